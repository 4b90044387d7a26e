//! Rules that stand beside the score, each from a few days of hours: they have no place on its scale and are never added to it.

use chrono::Datelike;
use chrono_tz::Tz;
use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::disease::Verdict;
use propstick_agronomy::disease::blight::{BlightDay, BlightRule, completes_period};
use propstick_agronomy::disease::dry_mildew::{DryMildewDay, dry_mildew_score};
use propstick_agronomy::disease::grey_mould::{GreyMouldDay, GreyMouldFold};
use propstick_agronomy::disease::lettuce::lettuce_morning_wu_2002;
use propstick_agronomy::disease::onion::{OnionInfection, onion_spore_night};
use propstick_agronomy::disease::stem_rot::{StemRotDay, StemRotFold};
use propstick_agronomy::risk::constants::LEAST_MEASURED_H;
use propstick_agronomy::runs::Runs;
use propstick_agronomy::sun::SunDay;
use propstick_agronomy::wetness::hours::{Leaf, WetHour};
use propstick_wire::Millis;

use super::NOON_DAY_MS;
use super::state::date_of_noon;

/// How far before a noon hours must be given for the flags of the noon-day that ends there, ms: a week.
pub const LEAVES_LOOK_BACK_MS: i64 = 7 * NOON_DAY_MS;

/// Humidity from which on an hour counts for stem rot, %RH (wetness sheet 2.10).
const STEM_ROT_PCT: f64 = 80.0;
/// An hour as hot as this counts against dry mildew, °C (wetness sheet 2.9).
const HOT_C: f64 = 35.0;

/// Noon-days for which spores of onion mildew live (wetness sheet 2.3: 72 h).
const SPORES_LIVE_D: i64 = 3;

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
    /// Whether the morning let lettuce mildew in; unknown until seven hours after sunrise are.
    pub lettuce_morning: Runs<Verdict>,
    /// How well the morning's warmth suited lettuce mildew, 0 to 1: say nothing on a yes without it.
    pub lettuce_suits: Option<f64>,
}

/// What a noon-day was like beyond wetness.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct DayWeather {
    /// Hours known.
    pub known_h: u32,
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
    for hour in of_day.iter().filter(|h| h.known()) {
        let Some(t_c) = hour.t_c else { continue };
        day.known_h += 1;
        t_sum += t_c;
        day.max_c = Some(day.max_c.map_or(t_c, |m| m.max(t_c)));
        day.hot_h += u32::from(t_c >= HOT_C);
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
            day.damp_h += u32::from(rh.read >= STEM_ROT_PCT);
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
    /// the four hours after it. `soil_moist`: whether the soil was kept moist, where that is known.
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
        let mut max_before = None;
        for k in (0..7).rev() {
            let from = noon.plus(-k * NOON_DAY_MS);
            let to = from.plus(NOON_DAY_MS);
            let of_day = stretch(hours, from, to);
            let day = day_weather(hours, from, to);
            let scored = f64::from(day.known_h) >= LEAST_MEASURED_H.value;
            let wet_h = day.wet_h.map(f64::from);
            let band_h = GreyMouldDay::band_h(of_day, from.0);
            flags.grey_mould_week = grey.push(scored.then_some(GreyMouldDay { wet_h, band_h })).outbreak;
            let stem_day = |mean_c, soil_moist| StemRotDay { mean_c, damp_h: f64::from(day.damp_h), soil_moist };
            let known = day.mean_c.zip(soil_moist).filter(|_| scored);
            flags.stem_rot = stem.push(known.map(|(mean_c, moist)| stem_day(mean_c, moist)));
            if k > SPORES_LIVE_D {
                max_before = day.max_c;
                continue;
            }
            let sun = date_of_noon(zone, to).and_then(|d| SunDay::of_date(d.year(), d.month(), d.day(), lat, lon));
            let midnight_ms = from.0 + 12 * HOUR_MS;
            let dawn_ms = sun.and_then(|s| s.civil_dawn_s).map_or(midnight_ms + 6 * HOUR_MS, |s| s * 1_000);
            flags.onion_spores = onion_spore_night(of_day, midnight_ms, dawn_ms, max_before.or(day.max_c));
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
            max_before = day.max_c;
            if k == 0 {
                flags.dry_mildew = dry_mildew(of_day, &day, sun.as_ref(), date_of_noon(zone, from)).filter(|_| scored);
                if let Some(sunrise_s) = sun.and_then(|s| s.sunrise_s) {
                    let morning =
                        lettuce_morning_wu_2002(stretch(hours, from, ends.plus(4 * HOUR_MS)), sunrise_s * 1_000);
                    (flags.lettuce_morning, flags.lettuce_suits) = (morning.infects, morning.suits);
                }
            }
        }
        flags
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
