//! Packs of our boards, numbered anew.

use core::ops::ControlFlow;

use propstick_wire::senml::{MAX_PACK_BYTES, Writer};
use propstick_wire::{BoardUrn, Millis};

use super::{Kept, Outlet, Recorder, envelope};
use crate::took::{Envelope, Facts};

/// 1990-01-01T00:00:00Z: an instant of long before any board, which is replaced by the arrival as the one that it stands for was.
const UNBELIEVABLE: Millis = Millis(631_152_000_000);

impl Recorder<'_> {
    /// Writes the readings of one board, of one way of knowing the time, as packs.
    pub(super) fn packs(&mut self, arrived: Millis, kept: &[&Kept<'_>], out: &mut Outlet<'_>) -> ControlFlow<()> {
        let Some(board) = kept.first().and_then(|k| BoardUrn::parse(&k.series.device).ok()) else {
            self.leave_out("readings of a board whose name no topic can carry".to_owned(), kept.len());
            return ControlFlow::Continue(());
        };
        let mut rest = kept;
        while !rest.is_empty() {
            let Some((text, taken, samples)) = pack(&board, arrived, rest) else {
                self.leave_out("readings that no pack can carry".to_owned(), rest.len());
                break;
            };
            let (these, later) = rest.split_at(taken);
            rest = later;
            if self.write_pack(&board, arrived, these, text, samples, out)? {
                continue;
            }
            // The times of a pack that cannot be believed hang together; single samples may still be told.
            for sample in these.chunk_by(|a, b| a.t == b.t) {
                let is_written = match pack(&board, arrived, sample) {
                    Some((text, taken, 1)) if taken == sample.len() => {
                        self.write_pack(&board, arrived, sample, text, 1, out)?
                    }
                    _ => false,
                };
                if !is_written {
                    self.leave_out("readings whose instant no message of a board explains".to_owned(), sample.len());
                }
            }
        }
        ControlFlow::Continue(())
    }

    fn write_pack(
        &mut self,
        board: &BoardUrn,
        arrived: Millis,
        kept: &[&Kept<'_>],
        text: String,
        samples: u64,
        out: &mut Outlet<'_>,
    ) -> ControlFlow<(), bool> {
        let first = self.next.get(board.as_str()).copied().unwrap_or(1);
        let topic = board.report_topic(self.queue, first, first + samples - 1).to_string();
        let retain = kept.first().is_some_and(|k| k.facts.has(Facts::RETAINED));
        let message: Envelope = envelope(arrived, topic, text.into_bytes(), retain);
        let is_written = self.write_if_same(&message, kept, out)?;
        if is_written {
            self.next.insert(board.as_str().to_owned(), first + samples);
        }
        ControlFlow::Continue(is_written)
    }
}

/// A pack of as many of the readings as it holds, whole samples where it can; how many readings and how many samples those are.
fn pack(board: &BoardUrn, arrived: Millis, kept: &[&Kept<'_>]) -> Option<(String, usize, u64)> {
    let first = kept.first()?;
    let (base, zero) = match first.facts.time_kind() {
        Facts::TIME_OWN => (Some(first.t), first.t),
        Facts::TIME_RELATIVE => (None, arrived),
        _ => (Some(UNBELIEVABLE), first.t),
    };
    let mut buffer = [0; MAX_PACK_BYTES];
    let mut writer = Writer::begin_board(&mut buffer, board, base).ok()?;
    let (mut taken, mut samples) = (0, 0);
    for sample in kept.chunk_by(|a, b| a.t == b.t) {
        let mark = writer.mark();
        let mut well =
            |k: &&Kept<'_>| writer.record(&k.series.channel, &k.series.unit_sent, k.v, k.t.since(zero)).is_ok();
        let written = sample.iter().take_while(|k| well(k)).count();
        if written < sample.len() && taken > 0 {
            writer.back_to(mark);
            break;
        }
        taken += written;
        samples += u64::from(written > 0);
        if written < sample.len() {
            break;
        }
    }
    if taken == 0 {
        return None;
    }
    Some((writer.finish().ok()?.to_owned(), taken, samples))
}
