//! The water of a bed from day to day: what is missing to a full soil, least, likely and most.

use propstick_agronomy::water::balance;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};

use super::day::{likely_mm_of_season, wanted_mm, wanted_mm_of_season};
use super::limits as l;
use super::{Band, BedEvent, Site, Standing, Told, WaterBed, WaterDay};
use crate::record::Feel;

/// The state of the water sum of one bed at the begin of a day. Plain values: keep it at any day, and go on from there to the same digits.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WaterFold {
    /// What is missing to field capacity, mm, 0 to all the soil holds within reach of the roots.
    pub missing_mm: Band,
    /// Days in a row up to now whose climate was not known.
    pub unknown_d: u32,
    /// What the crop wanted on each of the last days, the newest first, mm; none where it was not known.
    pub recent_mm: [Option<f64>; l::RECENT_D],
    /// The last finger test.
    pub finger: Option<Finger>,
    /// When it was last watered, milliseconds since 1970.
    pub watered_ms: Option<i64>,
}

/// A finger test that is remembered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finger {
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// How the soil felt.
    #[serde(with = "feel_word")]
    pub feel: Feel,
}

impl WaterFold {
    /// The sum of a bed of which nothing is known: from full to all gone. None for a bed without a soil.
    pub fn starting(bed: &WaterBed) -> Option<WaterFold> {
        let holds = bed.holds()?;
        Some(WaterFold {
            missing_mm: Band { low: 0.0, likely: 0.5 * holds.readily_mm(), high: holds.total_mm() },
            unknown_d: 0,
            recent_mm: [None; l::RECENT_D],
            finger: None,
            watered_ms: None,
        })
    }

    /// Takes a whole day: its use and rain and what was told within it, in order of time.
    ///
    /// **Rules** (FAO-56 eq 85 and 88, climate sheet 4.5): `Dr = Dr - P - I + ETc`, within 0 and all the soil holds; the low run wants least and gets
    /// most, the high run the other way, and takes no account of a dry crop using less. A day of unknown climate uses nothing in the low run and all
    /// that a clear day can in the high one. Outdoors a day of unknown rain may have filled the soil. A finger overrules: dry, at least what the crop
    /// can take is missing; moist, at most that; wet, nothing. A bed without a soil stays as it is.
    pub fn take(&mut self, bed: &WaterBed, site: Site, day: &WaterDay, told: &[Told]) {
        let known = wanted_mm(bed, site, day);
        let wanted = known.unwrap_or_else(|| self.of_season(bed, site, day, told));
        self.unknown_d = if known.is_some() { 0 } else { self.unknown_d.saturating_add(1) };
        self.pass(bed, day, wanted, told, day.to);
        self.recent_mm.rotate_right(1);
        if let Some(newest) = self.recent_mm.first_mut() {
            *newest = known.map(|band| band.likely);
        }
    }

    /// How it stands at `now`, a time of `today`, of which only the times and the rain so far count: until now it has used what the last days did.
    /// None for a bed without a soil.
    pub fn standing(
        &self,
        bed: &WaterBed,
        site: Site,
        today: &WaterDay,
        told: &[Told],
        now: Millis,
    ) -> Option<Standing> {
        let use_mm_d = self.use_to_come(bed, site, today.day);
        let mut at = *self;
        at.pass(bed, today, use_mm_d, told, now.min(today.to));
        Some(Standing {
            holds: bed.holds()?,
            missing_mm: at.missing_mm,
            use_mm_d,
            unknown_d: self.unknown_d,
            finger: at.finger,
            watered: at.watered_ms.map(Millis),
        })
    }

    /// What the crop will want a day, mm: as in the last days, or where they are not known what the season makes likely, by half and double.
    fn use_to_come(&self, bed: &WaterBed, site: Site, day: i64) -> Band {
        let known: Vec<f64> = self.recent_mm.iter().flatten().copied().collect();
        if known.len() >= l::RECENT_LEAST_D {
            let mean = known.iter().sum::<f64>() / known.len() as f64;
            return Band::about(mean, bed.coefficient().1);
        }
        let likely = likely_mm_of_season(bed, site, day);
        Band { low: likely / l::SEASON_FACTOR, likely, high: (likely * l::SEASON_FACTOR).min(l::MOST_MM_D) }
    }

    /// What a day of unknown climate may have wanted. Where the high run has nothing left to use up, the most is not worked out.
    fn of_season(&self, bed: &WaterBed, site: Site, day: &WaterDay, told: &[Told]) -> Band {
        let is_told = told.iter().any(|told| day.from <= told.at && told.at < day.to);
        let is_empty = bed.holds().is_none_or(|holds| self.missing_mm.high >= holds.total_mm());
        if is_empty && !is_told {
            let likely = likely_mm_of_season(bed, site, day.day);
            return Band { low: 0.0, likely, high: likely };
        }
        wanted_mm_of_season(bed, site, day.day)
    }

    fn pass(&mut self, bed: &WaterBed, day: &WaterDay, wanted: Band, told: &[Told], until: Millis) {
        let Some(holds) = bed.holds() else { return };
        let mut done = 0.0;
        for told in told.iter().filter(|told| day.from <= told.at && told.at < day.to && told.at <= until) {
            let share = day.used_before(told.at);
            self.use_up(&holds, wanted.times((share - done).max(0.0)));
            done = share;
            self.hear(&holds, told);
        }
        self.use_up(&holds, wanted.times((day.used_before(until) - done).max(0.0)));
        if bed.shelter.lets_rain_in() {
            match day.rain_mm.filter(|mm| (0.0..=500.0).contains(mm)) {
                Some(mm) => self.add(Band::exact(mm)),
                // Nobody knows: it may have poured.
                None => self.missing_mm.low = 0.0,
            }
        }
    }

    fn use_up(&mut self, holds: &balance::Bed, wanted: Band) {
        let total_mm = holds.total_mm();
        let after = |missing_mm: f64, wanted_mm: f64| {
            let missing_mm = missing_mm.clamp(0.0, total_mm);
            let day = balance::DayWater { wanted_mm, ..balance::DayWater::default() };
            holds.after(missing_mm, day).map_or(missing_mm, |day| day.missing_mm)
        };
        let m = self.missing_mm;
        let high = (m.high + wanted.high).min(total_mm);
        let likely = after(m.likely, wanted.likely).min(high);
        self.missing_mm = Band { low: after(m.low, wanted.low).min(likely), likely, high };
    }

    fn hear(&mut self, holds: &balance::Bed, told: &Told) {
        match told.what {
            BedEvent::Watered(reached) => {
                self.watered_ms = Some(told.at.0);
                match reached {
                    Some(mm) => self.add(mm),
                    None => {
                        // Somebody watered, nobody knows how much.
                        self.missing_mm.low = 0.0;
                        self.missing_mm.likely *= 0.5;
                    }
                }
            }
            BedEvent::Finger(feel) => {
                self.finger = Some(Finger { at_ms: told.at.0, feel });
                let readily_mm = holds.readily_mm();
                self.missing_mm = match feel {
                    Feel::Dry => self.missing_mm.map(|mm| mm.max(readily_mm)),
                    Feel::Moist => self.missing_mm.map(|mm| mm.min(readily_mm)),
                    Feel::Wet => Band::exact(0.0),
                };
            }
        }
    }

    /// Water that came in: most in the low run.
    fn add(&mut self, mm: Band) {
        let m = self.missing_mm;
        let less = |missing: f64, mm: f64| (missing - mm).max(0.0);
        self.missing_mm =
            Band { low: less(m.low, mm.high), likely: less(m.likely, mm.likely), high: less(m.high, mm.low) };
    }
}

mod feel_word {
    use crate::record::Feel;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub fn serialize<S: Serializer>(feel: &Feel, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(feel.word())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Feel, D::Error> {
        let word = String::deserialize(from)?;
        Feel::from_word(&word).ok_or_else(|| D::Error::custom(format!("{word} is not how soil feels")))
    }
}
