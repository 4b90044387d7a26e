//! When a board samples, reports, and tries again.

use crate::uptime::Uptime;

/// A connection that is not there after so long is given up.
pub const CONNECT_LIMIT_MS: u64 = 15_000;
/// A pack without a receipt is sent again after so long.
pub const RECEIPT_WAIT_MS: u64 = 20_000;
/// So often a pack is sent on one connection before that is given up.
pub const PACK_TRIES: u32 = 3;
/// A board that sleeps listens at least so long, so that its settings reach it.
pub const LISTEN_MS: u64 = 1_000;
/// Failures in a row double the wait so often.
const BACK_OFF_DOUBLINGS: u32 = 3;
/// But no wait is lengthened beyond this.
const BACK_OFF_LIMIT_MS: u64 = 3_600_000;
/// A board that stays connected comes back within this after it was cut off.
const IDLE_RETRY_MS: u64 = 5_000;
/// Reports are spread over at most this, so that boards which start together do not speak together.
const JITTER_LIMIT_MS: u64 = 30_000;

/// The times at which things are due.
#[derive(Clone, Debug)]
pub struct Schedule {
    sample_ms: u64,
    report_ms: u64,
    sample_at: Uptime,
    report_due: Uptime,
    jitter_ms: u64,
    retry_at: Uptime,
    failures: u32,
    dice: u64,
}

impl Schedule {
    /// Begins now: a sample at once, a report right after it. `seed` is this board's own random number.
    pub fn new(sample_s: u32, report_s: u32, seed: u64, now: Uptime) -> Schedule {
        let mut schedule = Schedule {
            sample_ms: 1,
            report_ms: 1,
            sample_at: now,
            report_due: now,
            jitter_ms: 0,
            retry_at: now,
            failures: 0,
            // Spread out, as seeds may be near each other; and never zero, which would stay zero.
            dice: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1,
        };
        schedule.set_periods(sample_s, report_s, now);
        schedule
    }

    /// Takes new periods; what is due later than they allow is drawn nearer. A report period below the sample period is one.
    pub fn set_periods(&mut self, sample_s: u32, report_s: u32, now: Uptime) {
        self.sample_ms = u64::from(sample_s.max(1)) * 1_000;
        self.report_ms = (u64::from(report_s) * 1_000).max(self.sample_ms);
        self.sample_at = self.sample_at.min(now.plus(self.sample_ms));
        self.report_due = self.report_due.min(now.plus(self.report_ms));
    }

    /// Whether a sample is due; if so, the next one is set. Samples that were slept through are not made up for.
    pub fn take_sample(&mut self, now: Uptime) -> bool {
        let due = now >= self.sample_at;
        if due {
            self.sample_at = next_on_grid(self.sample_at, self.sample_ms, now);
        }
        due
    }

    /// Whether a report is due.
    pub fn report_is_due(&self, now: Uptime) -> bool {
        now >= self.report_at()
    }

    /// A report is through: the next is set, and failures are forgotten.
    pub fn reported(&mut self, now: Uptime) {
        self.succeeded();
        self.report_due = next_on_grid(self.report_due, self.report_ms, now);
        self.jitter_ms = self.throw((self.report_ms / 10).min(JITTER_LIMIT_MS));
    }

    /// Something got through: failures are forgotten.
    pub fn succeeded(&mut self) {
        self.failures = 0;
    }

    /// An attempt failed: the next waits 1, 2, 4, then 8 report periods, at most an hour unless one period is longer, and up to
    /// an eighth more by chance.
    pub fn failed(&mut self, now: Uptime) {
        let limit_ms = self.report_ms.max(BACK_OFF_LIMIT_MS);
        let wait_ms = (self.report_ms << self.failures.min(BACK_OFF_DOUBLINGS)).min(limit_ms);
        self.failures = self.failures.saturating_add(1);
        self.retry_at = now.plus(wait_ms + self.throw(wait_ms / 8));
    }

    /// A connection was lost that nothing was under way on: try again at once, give or take a few seconds.
    pub fn lost_idle(&mut self, now: Uptime) {
        self.retry_at = now.plus(self.throw(IDLE_RETRY_MS));
    }

    /// Whether a connection may be tried, report or not.
    pub fn may_connect(&self, now: Uptime) -> bool {
        now >= self.retry_at
    }

    /// When a connection may be tried, report or not.
    pub fn connect_at(&self) -> Uptime {
        self.retry_at
    }

    /// When the next sample is due.
    pub fn sample_at(&self) -> Uptime {
        self.sample_at
    }

    /// When the next report is due.
    pub fn report_at(&self) -> Uptime {
        self.report_due.plus(self.jitter_ms)
    }

    /// When the next report may be tried.
    pub fn next_try(&self) -> Uptime {
        self.report_at().max(self.retry_at)
    }

    /// Whole seconds until the next report is tried.
    pub fn next_report_s(&self, now: Uptime) -> u32 {
        let next = if self.next_try() > now { self.next_try().since(now) } else { self.report_ms };
        u32::try_from(next.div_ceil(1_000)).unwrap_or(u32::MAX)
    }

    /// A number from 0 to `most`. (Xorshift: enough to spread boards, no secret.)
    fn throw(&mut self, most: u64) -> u64 {
        self.dice ^= self.dice << 13;
        self.dice ^= self.dice >> 7;
        self.dice ^= self.dice << 17;
        (self.dice >> 16) % (most + 1)
    }
}

/// The first of `due`, `due` + 1 period, ... that lies after `now`.
fn next_on_grid(due: Uptime, period_ms: u64, now: Uptime) -> Uptime {
    due.plus((now.since(due) / period_ms + 1) * period_ms)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    const MINUTE: u64 = 60_000;

    #[test]
    fn sample_due_on_a_grid_is_taken_once_and_not_made_up_for() {
        let mut schedule = Schedule::new(300, 900, 7, Uptime(0));
        assert!(schedule.take_sample(Uptime(0)) && !schedule.take_sample(Uptime(1)));
        assert!(!schedule.take_sample(Uptime(5 * MINUTE - 1)) && schedule.take_sample(Uptime(5 * MINUTE + 40)));
        assert_eq!(schedule.sample_at(), Uptime(10 * MINUTE), "late by 40 ms, and still on the grid");
        assert!(schedule.take_sample(Uptime(61 * MINUTE)));
        assert_eq!(schedule.sample_at(), Uptime(65 * MINUTE), "one for all that were slept through");
    }

    #[test]
    fn back_off_doubles_and_is_capped_at_an_hour() {
        let mut schedule = Schedule::new(300, 900, 7, Uptime(0));
        let waits: Vec<u64> = (0..6)
            .map(|_| {
                schedule.failed(Uptime(0));
                schedule.next_try().0 / MINUTE
            })
            .collect();
        // 15, 30, 60, 60... minutes and up to an eighth more.
        for (wait, least) in waits.iter().zip([15, 30, 60, 60, 60, 60]) {
            assert!((least..=least + least / 8).contains(wait), "{waits:?}");
        }
        schedule.succeeded();
        schedule.failed(Uptime(0));
        assert!(schedule.next_try().0 <= 17 * MINUTE, "a success forgets the failures");
    }

    #[test]
    fn back_off_of_a_long_period_is_never_shorter_than_the_period() {
        let mut schedule = Schedule::new(300, 86_400, 7, Uptime(0));
        schedule.failed(Uptime(0));
        assert!(schedule.next_try() >= Uptime(86_400_000));
    }

    #[test]
    fn boards_that_start_together_spread_their_reports() {
        let mut next: Vec<u64> = (1..=20)
            .map(|board| {
                let mut schedule = Schedule::new(300, 900, board, Uptime(0));
                schedule.reported(Uptime(2_000));
                schedule.next_try().0
            })
            .collect();
        assert!(next.iter().all(|at| (15 * MINUTE..=15 * MINUTE + 30_000).contains(at)), "{next:?}");
        next.sort_unstable();
        next.dedup();
        assert!(next.len() > 15, "{next:?}");
    }

    #[test]
    fn shorter_periods_draw_nearer_what_is_due() {
        let mut schedule = Schedule::new(300, 86_400, 7, Uptime(0));
        assert!(schedule.take_sample(Uptime(0)));
        schedule.reported(Uptime(0));
        schedule.set_periods(10, 20, Uptime(1_000));
        assert_eq!(schedule.sample_at(), Uptime(11_000));
        assert!(schedule.next_try() <= Uptime(21_000 + 30_000));
        schedule.set_periods(60, 10, Uptime(1_000));
        schedule.reported(Uptime(500_000));
        assert!(schedule.next_report_s(Uptime(500_000)) <= 66, "a report for each sample");
    }
}
