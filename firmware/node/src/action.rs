//! What a board is to do.

use crate::pack::Pack;
use crate::record::Record;
use crate::uptime::Uptime;
use propstick_wire::QueueId;

/// One thing to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Read the sensors and come back with [`Event::Sampled`](crate::Event::Sampled).
    Sample,
    /// Write this to the memory at rest, and have it there before any later action is begun: a sample that was sent and not
    /// kept would be missing from the queue after a start.
    Keep(Record),
    /// Strike from the memory at rest all of this queue up to and with this number, and all that is older.
    Forget {
        /// The queue.
        queue: QueueId,
        /// The last number struck.
        upto: u64,
    },
    /// Connect, subscribe to receipts and settings, and come back with [`Event::Connected`](crate::Event::Connected) or
    /// [`Event::Disconnected`](crate::Event::Disconnected).
    Connect,
    /// Cut the connection; no event follows.
    Disconnect,
    /// Publish [`Node::state_text`](crate::Node::state_text), retained.
    PublishState,
    /// Publish [`Node::pack_text`](crate::Node::pack_text) of this pack now.
    Publish(Pack),
}

/// What is to be done after one event, in order.
#[derive(Clone, Copy, Debug, Default)]
pub struct Actions {
    list: [Option<Action>; Actions::MOST],
    len: usize,
    /// When to come back with [`Event::Tick`](crate::Event::Tick) at the latest; until then the board may sleep.
    pub wake: Uptime,
}

impl Actions {
    /// No event asks for more than this.
    const MOST: usize = 6;

    pub(crate) fn push(&mut self, action: Action) {
        debug_assert!(self.len < Actions::MOST, "more actions than any event asks for");
        if let Some(slot) = self.list.get_mut(self.len) {
            *slot = Some(action);
            self.len += 1;
        }
    }

    /// Each of them.
    pub fn iter(&self) -> impl Iterator<Item = Action> {
        self.list.into_iter().flatten()
    }
}
