//! From the time on a wall to the instant, through clock changes.

mod changes;
mod passages;

use std::fmt;
use std::str::FromStr;

use chrono_tz::Tz;

pub use changes::{Change, Changes, EARLIEST_MS, LATE_MS, Near};
pub(super) use passages::{Passages, Resolver};

/// The clock that a file's times were read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// So many seconds ahead of UTC the whole year.
    Fixed(i32),
    /// The time of a place, with its changes.
    Zone(Tz),
}

impl Clock {
    /// UTC.
    pub const UTC: Clock = Clock::Fixed(0);
}

impl fmt::Display for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Clock::Fixed(0) => f.write_str("UTC"),
            Clock::Fixed(ahead_s) => {
                let sign = if *ahead_s < 0 { '-' } else { '+' };
                let minutes = ahead_s.unsigned_abs() / 60;
                write!(f, "{sign}{:02}:{:02}", minutes / 60, minutes % 60)
            }
            Clock::Zone(zone) => f.write_str(zone.name()),
        }
    }
}

/// A text that names no clock.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0:?}; allowed a zone such as \"Europe/Dublin\", an offset such as \"+01:00\", or \"UTC\"")]
pub struct NoClock(pub String);

impl FromStr for Clock {
    type Err = NoClock;

    fn from_str(text: &str) -> Result<Clock, NoClock> {
        let wrong = || NoClock(text.to_owned());
        if matches!(text, "UTC" | "Z") {
            return Ok(Clock::UTC);
        }
        let (sign, digits) = match text.as_bytes() {
            [b'+', digits @ ..] => (1, digits),
            [b'-', digits @ ..] => (-1, digits),
            _ => return text.parse().map(Clock::Zone).map_err(|_| wrong()),
        };
        let &[h, hh, b':', m, mm] = digits else { return Err(wrong()) };
        if ![h, hh, m, mm].iter().all(u8::is_ascii_digit) {
            return Err(wrong());
        }
        let number = |tens: u8, ones: u8| i32::from(tens - b'0') * 10 + i32::from(ones - b'0');
        let (hours, minutes) = (number(h, hh), number(m, mm));
        if hours > 14 || minutes > 59 {
            return Err(wrong());
        }
        Ok(Clock::Fixed(sign * (hours * 3600 + minutes * 60)))
    }
}

#[cfg(test)]
mod tests;
