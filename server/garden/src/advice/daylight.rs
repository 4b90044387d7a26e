//! The parts of a garden's day that advice goes by.

use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::limits::{COLD_MARGIN_H, EVENING_MARGIN_H};
use super::{LocalClock, VentQuestion};

/// Whether it is dark in the garden.
pub fn is_dark(q: &VentQuestion) -> bool {
    Daylight::of(q, false).is_dark()
}

/// The hour by which leaves that were frozen should have gone soft: three hours after `sunrise` from November to February, two otherwise.
pub fn thaw_hour(clock: LocalClock, sunrise: Millis) -> Millis {
    let low_sun = matches!(clock.month(sunrise), 11 | 12 | 1 | 2);
    clock.nearest_half_hour(sunrise.plus(if low_sun { 3 } else { 2 } * HOUR))
}

/// When covers are laid for the night that begins with `sunset`: the full or half hour by which an hour of it is left.
pub fn laying_hour(clock: LocalClock, sunset: Millis) -> Millis {
    clock.nearest_half_hour(sunset.plus(-HOUR - HOUR / 4))
}

/// A day as the vent decision sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Daylight {
    now: Millis,
    clock: LocalClock,
    sunrise: Millis,
    sunset: Millis,
    cold: bool,
    /// Whether sunrise and sunset are the garden's own; otherwise eight and five o'clock stand in.
    pub known: bool,
}

impl Daylight {
    /// The day of a question. `cold`: mornings and evenings are kept shut for warmth.
    pub fn of(q: &VentQuestion, cold: bool) -> Daylight {
        let midnight = q.clock.midnight(q.now);
        let (sunrise, sunset, known) = match (q.sunrise, q.sunset) {
            (Some(rise), Some(set)) if rise < set => (rise, set, true),
            _ => (midnight.plus(8 * HOUR), midnight.plus(17 * HOUR), false),
        };
        Daylight { now: q.now, clock: q.clock, sunrise, sunset, cold, known }
    }

    /// Whether it is dark.
    pub fn is_dark(&self) -> bool {
        self.now < self.sunrise || self.now >= self.sunset
    }

    /// Whether the night's own rule holds: from closing time to sunrise.
    pub fn is_night(&self) -> bool {
        self.now < self.sunrise || self.now >= self.closing()
    }

    /// When openings may be opened today: from sunrise, or where it is cold two hours after it; now if that is past.
    pub fn opening(&self) -> Millis {
        self.clock.nearest_half_hour(self.sunrise.plus(self.morning_ms())).max(self.now)
    }

    /// The earliest that openings are set on leaving: sunrise.
    pub const fn earliest(&self) -> Millis {
        self.sunrise
    }

    /// When the night's rule begins: an hour before sunset, or where it is cold two.
    pub fn closing(&self) -> Millis {
        let margin_h = if self.cold { COLD_MARGIN_H } else { EVENING_MARGIN_H };
        self.clock.nearest_half_hour(self.sunset.plus(-margin_h * HOUR))
    }

    /// When covers are laid for a frosty night: an hour before sunset (advice page), in the last of the light and the first of the cold.
    pub fn laying(&self) -> Millis {
        laying_hour(self.clock, self.sunset)
    }

    /// When everything is fastened for a gale of the night: early enough to be done by daylight, two hours before sunset.
    pub fn fastening(&self) -> Millis {
        self.clock.nearest_half_hour(self.sunset.plus(-COLD_MARGIN_H * HOUR))
    }

    fn morning_ms(&self) -> i64 {
        if self.cold { COLD_MARGIN_H * HOUR } else { 0 }
    }

    /// Whether there is time to open at all between opening and closing.
    pub fn has_window(&self) -> bool {
        self.opening() < self.closing()
    }

    /// The next opening time after now, today's or tomorrow's.
    pub fn next_opening(&self) -> Millis {
        let today = self.opening().max(self.sunrise);
        if today > self.now {
            today
        } else {
            self.clock.nearest_half_hour(self.sunrise.plus(24 * HOUR + self.morning_ms()))
        }
    }

    /// When frozen leaves should have gone soft: three hours after sunrise from November to February, two otherwise. Where they have not by then, two or
    /// four hours later, while it is day, else tomorrow: an hour that moved on with every look would be no hour at all.
    pub fn thaw(&self) -> Millis {
        let thaw = self.thaw_hour();
        if thaw > self.now {
            return thaw;
        }
        let later = [2, 4].map(|hours| thaw.plus(hours * HOUR)).into_iter().find(|at| *at > self.now);
        later.filter(|at| *at < self.closing()).unwrap_or(thaw.plus(24 * HOUR))
    }

    /// The hour of today's thaw, past or to come.
    pub fn thaw_hour(&self) -> Millis {
        thaw_hour(self.clock, self.sunrise)
    }

    /// The half hour nearest to `ms` from now, if it is before closing time.
    pub fn later_today(&self, ms: i64) -> Option<Millis> {
        let later = self.clock.nearest_half_hour(self.now.plus(ms));
        (later < self.closing()).then_some(later)
    }

    /// Noon on the garden's clock if it is at least half an hour ahead, else two hours from now, while it is day; in the dark the noon of the day to
    /// come.
    pub fn noon_or_later(&self) -> Option<Millis> {
        if self.is_dark() {
            let opening = self.next_opening();
            return Some(opening.plus((720 - self.clock.minute_of_day(opening)).max(0) * MINUTE));
        }
        let minutes = self.clock.minute_of_day(self.now);
        let to_noon = (720 - minutes) * MINUTE;
        if to_noon >= HOUR / 2 { self.later_today(to_noon) } else { self.later_today(2 * HOUR) }
    }

    /// Whether it is the half of the year in which nights are mild enough to leave openings open.
    pub fn is_summer(&self) -> bool {
        matches!(self.clock.month(self.now), 5..=9)
    }

    /// Whether it is November to March.
    pub fn is_winter(&self) -> bool {
        matches!(self.clock.month(self.now), 11 | 12 | 1..=3)
    }

    /// The instant asked about.
    pub const fn now(&self) -> Millis {
        self.now
    }
}
