//! Whoever works the doors and lids of the demo's garden: three looks a day, by habit, and now and then one is forgotten.

use propstick_agronomy::sun::SunDay;
use propstick_garden::model::Notch;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::chance::Chance;
use super::diary::{Diary, Entry};
use super::weather::Outside;
use super::{LAT_DEG, LON_DEG};

const DAY_MS: i64 = 24 * HOUR;
/// Share of the looks that are forgotten.
const FORGOTTEN: f64 = 0.06;
/// Share of the days on which nobody is there until the evening.
const AWAY: f64 = 0.08;
/// Wind in which everything stays shut, m/s.
const GALE_M_S: f64 = 11.0;

/// The grower's day and where the openings stand.
pub(super) struct Grower {
    chance: Chance,
    diary: Diary,
    notches: [Notch; 3],
    day: i64,
    /// When the looks of the day are, and whether they are over.
    looks: [(Millis, bool); 3],
}

impl Grower {
    pub(super) fn new(seed: u64) -> Grower {
        let never = (Millis(i64::MAX), true);
        Grower {
            chance: Chance::new(seed, 2),
            diary: Diary::new(seed),
            notches: [Notch::Closed; 3],
            day: i64::MIN,
            looks: [never; 3],
        }
    }

    /// Where the openings of tunnel, low tunnel and frame stand.
    pub(super) fn notches(&self) -> [Notch; 3] {
        self.notches
    }

    /// What was told since this was last asked.
    pub(super) fn told(&mut self) -> Vec<(Millis, Entry)> {
        self.diary.take()
    }

    /// Looks at the garden if it is time for it; `inside_c` is the air under each cover.
    pub(super) fn look(&mut self, at: Millis, outside: &Outside, inside_c: [f64; 3]) {
        self.begin_day(at);
        for (n, look) in self.looks.iter_mut().enumerate() {
            if look.1 || at < look.0 {
                continue;
            }
            look.1 = true;
            if self.chance.happens(FORGOTTEN) {
                continue;
            }
            let evening = n == 2;
            for (place, notch) in self.notches.iter_mut().enumerate() {
                let wanted = if evening { for_the_night(outside) } else { for_the_day(outside, inside_c[place]) };
                let set = as_far_as_it_goes(place, wanted);
                if std::mem::replace(notch, set) != set {
                    self.diary.set(at, place, set);
                }
            }
            self.diary.looked(at, n, outside);
        }
    }

    /// Settles the looks of a new day: in the morning, at noon, and an hour and a half before sunset, more or less.
    fn begin_day(&mut self, at: Millis) {
        let day = at.0.div_euclid(DAY_MS);
        if day == self.day {
            return;
        }
        self.day = day;
        let sunset = SunDay::of_day_number(day, LAT_DEG, LON_DEG).and_then(|sun| sun.sunset_s);
        let evening_h = sunset.map_or(17.0, |s| (s - day * 86_400) as f64 / 3_600.0 - 1.5);
        let chance = &mut self.chance;
        self.looks = [(8.5, 0.5), (12.7, 0.4), (evening_h, 0.3)].map(|(hour, spread)| {
            let ms = (hour + spread * chance.normal()) * HOUR as f64;
            (Millis(day * DAY_MS + ms as i64), false)
        });
        if chance.happens(AWAY) {
            self.looks[0].1 = true;
            self.looks[1].1 = true;
        }
    }
}

fn for_the_day(outside: &Outside, inside_c: f64) -> Notch {
    if outside.wind_m_s > GALE_M_S || outside.air_c < 1.0 {
        return Notch::Closed;
    }
    // What the middle of the day may bring.
    let likely_c = outside.air_c + 6.0 * (1.0 - outside.cloud);
    match likely_c {
        _ if inside_c > 26.0 => Notch::Full,
        c if c > 17.0 => Notch::Full,
        c if c > 12.0 => Notch::Half,
        c if c > 6.5 => Notch::Crack,
        _ => Notch::Closed,
    }
}

fn for_the_night(outside: &Outside) -> Notch {
    let likely_c = outside.air_c - 5.0 * (1.0 - outside.cloud);
    match likely_c {
        _ if outside.wind_m_s > GALE_M_S => Notch::Closed,
        c if c > 13.0 => Notch::Half,
        c if c > 9.0 => Notch::Crack,
        _ => Notch::Closed,
    }
}

/// The side of the low tunnel and the lid of the frame have no crack: it stays shut.
fn as_far_as_it_goes(place: usize, wanted: Notch) -> Notch {
    if place > 0 && wanted == Notch::Crack { Notch::Closed } else { wanted }
}
