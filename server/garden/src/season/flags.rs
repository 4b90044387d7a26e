//! Rules that stand beside the score, each from a few days of hours: they have no place on its scale and are never added to it.

use chrono::Datelike;
use chrono_tz::Tz;
use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::disease::Verdict;
use propstick_agronomy::disease::blight::{BlightDay, BlightRule, completes_period};
use propstick_agronomy::disease::constants as c;
use propstick_agronomy::disease::dry_mildew::{DryMildewDay, dry_mildew_score};
use propstick_agronomy::disease::grey_mould::{GreyMouldDay, GreyMouldFold};
use propstick_agronomy::disease::lettuce::{LETTUCE_LOOK_MS, lettuce_morning_wu_2002};
use propstick_agronomy::disease::onion::{OnionInfection, onion_spore_night};
use propstick_agronomy::disease::stem_rot::{StemRotDay, StemRotFold};
use propstick_agronomy::risk::constants::LEAST_MEASURED_H;
use propstick_agronomy::runs::Runs;
use propstick_agronomy::sun::{SunDay, elevation_deg};
use propstick_agronomy::wetness::hours::{Leaf, WetHour};
use propstick_wire::Millis;

use super::NOON_DAY_MS;
use super::state::date_of_noon;

/// How far before a noon hours must be given for the flags of the noon-day that ends there, ms: a week.
pub const LEAVES_LOOK_BACK_MS: i64 = 7 * NOON_DAY_MS;

/// How far after a noon-day's end hours must be given for its morning rule, ms: the sun rises before its end.
pub const MORNING_AHEAD_MS: i64 = LETTUCE_LOOK_MS;

/// Noon-days for which spores of onion mildew live.
const SPORES_LIVE_D: i64 = c::ONION_WITHIN_H.value as i64 / 24;
/// The shortest night that counts, ms.
const SHORT_NIGHT_MS: i64 = c::ONION_SHORT_NIGHT_H.value as i64 * HOUR_MS;
/// Where the sun's depth says nothing of the dark, the night is held to end so long after midnight, ms (06:00).
const NIGHT_MS: i64 = 6 * HOUR_MS;

/// What the rules say at the end of a noon-day.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Flags {
    /// Grey-mould week (Yunis and others 1994), in each run.
    pub grey_mould_week: Runs<Verdict>,
    /// Stem-rot weather: three of five days.
    pub stem_rot: Verdict,
    /// How well the day suited dry mildews, 0 to 1; none where too little is known.
    pub dry_mildew: Option<f64>,
    /// Whether onion mildew made spores in the night, in each run.
    pub onion_spores: Runs<Verdict>,
    /// Whether leaves were wet long enough in the day for spores of the last three days, in each run.
    pub onion_infects: Runs<bool>,
    /// Whether the morning let lettuce mildew in; unknown until the hours of the rule after sunrise are over.
    pub lettuce_morning: Runs<Verdict>,
    /// How well the morning's warmth suited lettuce mildew, 0 to 1: say nothing on a yes without it.
    pub lettuce_suits: Option<f64>,
}

/// What a noon-day was like beyond wetness.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct DayWeather {
    /// Hours known, of which at least half was measured.
    pub known_h: u32,
    /// Hours measured, parts of hours among them.
    pub measured_h: f64,
    /// Mean temperature of them, °C.
    pub mean_c: Option<f64>,
    /// Highest hourly mean, °C.
    pub max_c: Option<f64>,
    /// Hours at or below 0 °C.
    pub frozen_h: u32,
    /// Hours of 80 %RH and more.
    pub damp_h: u32,
    /// Hours of 35 °C and more.
    pub hot_h: u32,
    /// Mean humidity, %RH.
    pub mean_rh_pct: Option<f64>,
    /// Wet hours, in each run: unknown ones dry in the low run and as read, wet in the high run.
    pub wet_h: Runs<u32>,
    /// Hours of leaves just thawed: above 0 °C, wet, with a frozen hour before.
    pub thaw_h: u32,
}

/// What the hours that are known of `[from, to)` were like.
pub fn day_weather(hours: &[WetHour], from: Millis, to: Millis) -> DayWeather {
    let of_day = &hours[hours.partition_point(|h| h.from_ms < from.0)..hours.partition_point(|h| h.from_ms < to.0)];
    let mut day = DayWeather::default();
    let (mut t_sum, mut rh_sum, mut rh_n, mut froze) = (0.0, 0.0, 0_u32, false);
    day.measured_h = of_day.iter().map(|h| h.covered_ms as f64 / HOUR_MS as f64).sum();
    for hour in of_day.iter().filter(|h| h.known()) {
        let Some(t_c) = hour.t_c else { continue };
        day.known_h += 1;
        t_sum += t_c;
        day.max_c = Some(day.max_c.map_or(t_c, |m| m.max(t_c)));
        day.hot_h += u32::from(t_c >= c::DRY_MILDEW_HOT_C.value);
        let leaf = hour.leaf();
        day.wet_h = day.wet_h.with(leaf, |n, leaf| n + u32::from(leaf == Leaf::Wet));
        if leaf.read == Leaf::Frozen {
            day.frozen_h += 1;
            froze = true;
        } else if froze && leaf.read == Leaf::Wet {
            day.thaw_h += 1;
        } else {
            froze = false;
        }
        if let Some(rh) = hour.rh_pct {
            rh_sum += rh.read;
            rh_n += 1;
            day.damp_h += u32::from(rh.read >= c::STEM_ROT_PCT.value);
        }
    }
    let unknown_h = ((to.0 - from.0) / HOUR_MS - i64::from(day.known_h)).max(0) as u32;
    day.wet_h.high += unknown_h;
    day.mean_c = (day.known_h > 0).then(|| t_sum / f64::from(day.known_h));
    day.mean_rh_pct = (rh_n > 0).then(|| rh_sum / f64::from(rh_n));
    day
}

impl Flags {
    /// The flags of the noon-day that begins at `noon`, from the known `hours` (ascending) of the seven noon-days up to its end and, for the morning rule,
    /// those of [`MORNING_AHEAD_MS`] after it. `soil_moist`: whether the soil was kept moist, where that is known.
    pub fn of_day(
        hours: &[WetHour],
        noon: Millis,
        zone: Tz,
        (lat, lon): (f64, f64),
        soil_moist: Option<bool>,
    ) -> Flags {
        let ends = noon.plus(NOON_DAY_MS);
        let (mut grey, mut stem, mut onion) =
            (GreyMouldFold::default(), StemRotFold::default(), OnionInfection::default());
        let mut flags = Flags::default();
        for k in (0..7).rev() {
            let from = noon.plus(-k * NOON_DAY_MS);
            let to = from.plus(NOON_DAY_MS);
            let of_day = stretch(hours, from, to);
            let day = day_weather(hours, from, to);
            let scored = day.is_scored();
            let grey_day = GreyMouldDay {
                wet_h: day.wet_h.map(f64::from),
                band_h: GreyMouldDay::band_h(of_day, from.0),
                unknown_h: 24.0 - f64::from(day.known_h),
            };
            flags.grey_mould_week = grey.push(scored.then_some(grey_day)).outbreak;
            let stem_day = |mean_c, soil_moist| StemRotDay { mean_c, damp_h: f64::from(day.damp_h), soil_moist };
            let known = day.mean_c.zip(soil_moist).filter(|_| scored);
            flags.stem_rot = stem.push(known.map(|(mean_c, moist)| stem_day(mean_c, moist)));
            if k > SPORES_LIVE_D {
                continue;
            }
            let midnight_ms = from.0 + 12 * HOUR_MS;
            let sun = date_of_noon(zone, to)
                .and_then(|d| SunDay::of_date(d.year(), d.month(), d.day(), lat, lon))
                .map(|sun| of_this_day(sun, to));
            let dawn_ms = end_of_dark(sun.as_ref(), midnight_ms, (lat, lon));
            let before = day_weather(hours, Millis(midnight_ms - NOON_DAY_MS), Millis(midnight_ms));
            let max_before_c = before.max_c.filter(|_| before.is_scored());
            flags.onion_spores = onion_spore_night(of_day, midnight_ms, dawn_ms, max_before_c);
            flags.onion_infects = Runs::all(false);
            let mut known = of_day.iter().peekable();
            let mut dawned = false;
            for at_ms in (0..24).map(|h| from.0 + h * HOUR_MS) {
                if !dawned && at_ms >= dawn_ms {
                    onion.night(flags.onion_spores);
                    dawned = true;
                }
                let hour = known.next_if(|h| h.from_ms == at_ms).copied().unwrap_or(WetHour::unknown(at_ms));
                flags.onion_infects = flags.onion_infects.with(onion.hour(&hour), |a, b| a || b);
            }
            if k == 0 {
                flags.dry_mildew = dry_mildew(of_day, &day, sun.as_ref(), date_of_noon(zone, from)).filter(|_| scored);
                if let Some(sunrise_s) = sun.and_then(|s| s.sunrise_s) {
                    let morning =
                        lettuce_morning_wu_2002(stretch(hours, from, ends.plus(MORNING_AHEAD_MS)), sunrise_s * 1_000);
                    (flags.lettuce_morning, flags.lettuce_suits) = (morning.infects, morning.suits);
                }
            }
        }
        flags
    }
}

impl DayWeather {
    /// Whether enough of it was measured for a rule of days, by the same measure as for a score.
    pub fn is_scored(&self) -> bool {
        self.measured_h >= LEAST_MEASURED_H.value
    }
}

/// A sun's day moved by whole days so that its noon lies near `noon`: where a zone keeps the date of the other side of the date line its days are a day off.
fn of_this_day(sun: SunDay, noon: Millis) -> SunDay {
    const DAY_S: i64 = NOON_DAY_MS / 1_000;
    let off_s = (sun.noon_s - noon.0 / 1_000 + DAY_S / 2).div_euclid(DAY_S) * DAY_S;
    let moved = |at_s: Option<i64>| at_s.map(|s| s - off_s);
    SunDay {
        civil_dawn_s: moved(sun.civil_dawn_s),
        sunrise_s: moved(sun.sunrise_s),
        noon_s: sun.noon_s - off_s,
        sunset_s: moved(sun.sunset_s),
        civil_dusk_s: moved(sun.civil_dusk_s),
    }
}

/// When it is no longer dark enough for spores, ms: civil dawn; sunrise where that lies less than two hours after midnight or does not come; none of the
/// night in polar day.
fn end_of_dark(sun: Option<&SunDay>, midnight_ms: i64, (lat, lon): (f64, f64)) -> i64 {
    let Some(sun) = sun else { return midnight_ms + NIGHT_MS };
    let late_enough = |s: &i64| s * 1_000 >= midnight_ms + SHORT_NIGHT_MS;
    let is_up_at_noon = || elevation_deg(sun.noon_s as f64, lat, lon).is_some_and(|deg| deg > 0.0);
    match sun.civil_dawn_s.filter(late_enough).or(sun.sunrise_s) {
        Some(dawn_s) => dawn_s * 1_000,
        None if is_up_at_noon() => midnight_ms,
        None => midnight_ms + NIGHT_MS,
    }
}

fn dry_mildew(
    of_day: &[WetHour],
    day: &DayWeather,
    sun: Option<&SunDay>,
    date: Option<chrono::NaiveDate>,
) -> Option<f64> {
    let (sunrise_ms, sunset_ms) = (sun?.sunrise_s? * 1_000, sun?.sunset_s? * 1_000 - NOON_DAY_MS);
    let light: Vec<f64> = of_day
        .iter()
        .filter(|h| h.known() && (h.from_ms >= sunrise_ms || h.from_ms < sunset_ms))
        .filter_map(|h| h.t_c)
        .collect();
    let light_mean_c = (!light.is_empty()).then(|| light.iter().sum::<f64>() / light.len() as f64)?;
    dry_mildew_score(&DryMildewDay {
        light_mean_c,
        mean_rh_pct: day.mean_rh_pct?,
        hot_h: f64::from(day.hot_h),
        wet_h: f64::from(day.wet_h.read),
        month: date?.month() as u8,
    })
}

/// Blight weather outdoors: what the last two days meant by the Hutton Criteria, 2017.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct BlightOutdoors {
    /// Whether the day meets the rule.
    pub day: Verdict,
    /// Whether it and the day before do: then spores may be about.
    pub period: Verdict,
}

/// Blight weather on the days `[from, to)` outdoors (the garden's civil days), from the known hours of the outside spot, ascending; in the order of
/// `days`, which follow each other. The first has an unknown day before it.
pub fn blight_outdoors(hours: &[WetHour], days: &[(Millis, Millis)]) -> Vec<BlightOutdoors> {
    let mut before = Verdict::Unknown;
    days.iter()
        .map(|&(from, to)| {
            let mut blight = BlightDay::default();
            for hour in stretch(hours, from, to).iter().filter(|h| h.known()) {
                blight.hour(hour.t_c, hour.rh_pct.map(|rh| rh.read));
            }
            let day = blight.meets(BlightRule::Hutton2017, ((to.0 - from.0) / HOUR_MS).max(0) as u32);
            let period = completes_period(before, day);
            before = day;
            BlightOutdoors { day, period }
        })
        .collect()
}

fn stretch(hours: &[WetHour], from: Millis, to: Millis) -> &[WetHour] {
    let first = hours.partition_point(|h| h.from_ms < from.0);
    &hours[first..hours.partition_point(|h| h.from_ms < to.0).max(first)]
}

#[cfg(test)]
#[path = "flags_tests.rs"]
mod tests;
