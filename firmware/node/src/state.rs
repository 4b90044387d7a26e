//! What a board says of itself.

use crate::node::Node;
use crate::uptime::Uptime;
use propstick_wire::Decimal;
use propstick_wire::Full;
use propstick_wire::message::StateReport;

/// What only the hardware can tell.
#[derive(Clone, Copy, Debug)]
pub struct Vitals<'a> {
    /// How often it has started.
    pub boot: u32,
    /// Why it last started, such as `power-on`.
    pub reset: &'a str,
    /// Version of its program.
    pub fw: &'a str,
    /// Voltage of its battery, where it can tell.
    pub battery_v: Option<Decimal>,
    /// Strength of its radio signal in dBW, where it can tell.
    pub signal_dbw: Option<i32>,
    /// What is wrong, each `what:how`; at most [`MOST_FAULTS`] are told.
    pub faults: &'a [&'a str],
}

/// So many of the hardware's faults are told.
pub const MOST_FAULTS: usize = 12;

impl<const N: usize> Node<N> {
    /// The message for the state topic.
    ///
    /// # Errors
    /// The buffer is too short; 384 bytes and the texts are enough.
    pub fn state_text<'b>(&self, vitals: &Vitals<'_>, now: Uptime, buffer: &'b mut [u8]) -> Result<&'b str, Full> {
        let mut faults = [""; MOST_FAULTS + 4];
        let mut count = 0;
        let mut tell = |fault| {
            faults[count] = fault;
            count += 1;
        };
        vitals.faults.iter().take(MOST_FAULTS).for_each(|fault| tell(fault));
        self.refused.iter().for_each(|key| tell(key.fault()));
        let clock = if self.clock.ahead_ms().is_some() { "sntp" } else { "none" };
        let state = StateReport {
            online: true,
            sleeps: self.setup.sleeps,
            next_report_s: self.schedule.next_report_s(now),
            queue: self.setup.queue,
            queued: u32::try_from(self.samples.len()).unwrap_or(u32::MAX),
            dropped: self.counts.lost(),
            boot: vitals.boot,
            reset: vitals.reset,
            clock,
            fw: vitals.fw,
            settings: self.settings.revision,
            battery_v: vitals.battery_v,
            signal_dbw: vitals.signal_dbw,
            faults: &faults[..count],
        };
        state.write(buffer)
    }
}
