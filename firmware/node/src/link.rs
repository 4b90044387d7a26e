//! The connection as the board sees it.

use crate::pack::Pack;
use crate::uptime::Uptime;

/// The connection to the broker.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Link {
    /// None.
    Down,
    /// Being made.
    Connecting {
        /// Given up at this time.
        until: Uptime,
    },
    /// There.
    Up {
        /// Since then.
        since: Uptime,
        /// Whether a report is under way: packs follow until the queue is empty.
        reporting: bool,
        /// The one pack that has no receipt yet.
        flight: Option<Flight>,
    },
}

/// A pack on its way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flight {
    /// The pack.
    pub pack: Pack,
    /// Sent again at this time.
    pub until: Uptime,
    /// How often it was sent on this connection.
    pub tries: u32,
}
