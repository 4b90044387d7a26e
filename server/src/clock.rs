//! The one place that reads a clock, apart from the roads' notes of arrival and their time limits.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use propstick_wire::Millis;

/// The time by the machine's clock.
pub fn system_now() -> Millis {
    Clock::System.now()
}

/// Where the time comes from.
#[derive(Clone, Copy, Debug)]
pub enum Clock {
    /// The machine's clock.
    System,
    /// A recording's: it stands still.
    Stopped(Millis),
}

impl Clock {
    /// The time now; a machine's clock before 1970 counts as 1970.
    pub fn now(self) -> Millis {
        match self {
            Clock::Stopped(at) => at,
            Clock::System => {
                let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
                Millis(i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
            }
        }
    }

    /// How long from now until `at`, if it lies ahead; a stopped clock never gets there.
    pub fn until(self, at: Millis) -> Option<Duration> {
        match self {
            Clock::Stopped(_) => None,
            Clock::System => Some(Duration::from_millis(u64::try_from(at.since(self.now())).unwrap_or(0))),
        }
    }
}
