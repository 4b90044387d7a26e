//! The outlook of a night, and what is to be said about it at this hour.

use propstick_agronomy::frost::{NightLow, falls_to_radiation, falls_to_radiation_in_the_open, trend_reaches_h};
use propstick_agronomy::psychrometrics::frost_point_c;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::gauge::Gauge;
use super::lately::{fell_at_most_c, lowest_c};
use super::limits::{COVERED_PACE_H, LAY_BEFORE_H, MAY_BEFORE_H};
use super::outlook::whole;
use super::outside::{low_by_outside, outside};
use super::question::hours;
use super::rule::{
    Clear, HeardCounts, Low, Start, at_leaf, beside_forecast, by_forecast, heard_counts, learned_low, low_at_gauge,
};
use super::{
    FrostAnswer, FrostBy, FrostCrop, FrostDoubt, FrostFigures, FrostOutlook, FrostQuestion, FrostUnknown, Ice,
    NightSpan, Speak,
};
use propstick_agronomy::frost::constants as c;

/// How cold the leaves get tonight, and what is to be said about it now.
pub fn frost(q: &FrostQuestion) -> FrostAnswer {
    let Some(night) = q.night else {
        return FrostAnswer::Unknown { why: FrostUnknown::NoNight, heard: None };
    };
    let heard = || heard(q, night);
    if hours(night.sunset.since(q.now)) > MAY_BEFORE_H {
        let tells_at = night.sunset.plus(-((MAY_BEFORE_H * HOUR as f64) as i64));
        return FrostAnswer::Early { tells_at, heard: heard() };
    }
    match Gauge::of(&q.readings, q.now, night) {
        Err(why) => FrostAnswer::Unknown { why, heard: heard() },
        Ok(gauge) => FrostAnswer::Outlook(from_gauge(q, night, gauge)),
    }
}

/// What the forecast heard makes of the night, with no gauge to go by.
fn heard(q: &FrostQuestion, night: NightSpan) -> Option<FrostOutlook> {
    let heard_c = q.forecast?.low_c.filter(|t| (-40.0..=40.0).contains(t))?;
    let clear = told(q).unwrap_or(Clear::unseen(None));
    let low = by_forecast(heard_c);
    let figures = FrostFigures { heard_c: Some(heard_c), ..FrostFigures::default() };
    Some(outlook(q, night, Found { low, by: FrostBy::Heard, clear, figures, doubts: Vec::new() }))
}

fn from_gauge(q: &FrostQuestion, night: NightSpan, gauge: Gauge) -> FrostOutlook {
    let told = told(q);
    let outside = outside(q, night, &gauge);
    // The sun's warmth that leaves a cover says nothing of the sky where the air outside is known.
    let falls_c = outside.as_ref().unwrap_or(&gauge).fall_c();
    let shown = falls_c.filter(|_| q.now >= night.sunset).map(|fall_c| fall_c / c::FALL_C.value);
    let mut clear = told.unwrap_or(Clear::unseen(shown)).in_wind(q.wind_m_s);
    let mut doubts = gauge.doubts.clone();
    if told.is_none() {
        doubts.push(FrostDoubt::NoSky);
    }
    let start = Start {
        t_c: gauge.now.t_c,
        dew_c: gauge.now.dew_c,
        saturated: gauge.now.saturated,
        left_h: hours(night.sunrise.since(gauge.now.at)),
        covered: q.place.gauge_under.is_some(),
        passing_c: passing_c(q, night, &gauge),
    };
    let mut by = FrostBy::Rule;
    let learned = q.learned.and_then(|learned| {
        let dusk = Dusk::of(q.now, night, &gauge)?;
        let low = dusk.learned_low(&learned)?;
        let falls = if q.place.gauge_under.is_some() { falls_to_radiation } else { falls_to_radiation_in_the_open };
        let fell = |warm_c| dusk.is_read && falls(warm_c, dusk.t_c.1, q.wind_m_s) == Some(true);
        if told.is_none() && gauge.afternoon_c.is_some_and(fell) {
            // The nights learned from were chosen so: what came of the sky afterwards is in their own spread.
            clear = Clear((1.0, 1.0));
        }
        if clear.0.1 >= CLEAR_FROM {
            by = FrostBy::Learned { nights: learned.nights };
            if learned.low(dusk.t_c.0, None)?.beyond {
                doubts.push(FrostDoubt::BeyondLearned);
            }
        }
        Some(low)
    });
    let heard_c = q.forecast.and_then(|f| f.low_c);
    let mut gauge_over_heard = false;
    let mut low = low_at_gauge(start, clear, learned);
    if learned.is_none() {
        let counts = heard_counts(q, night, &gauge);
        let believed = beside_forecast(low, heard_c, HeardCounts::BothWays);
        gauge_over_heard = counts == HeardCounts::Down && believed.ends.0 > low.ends.0;
        low = beside_forecast(low, heard_c, counts);
        low = outside.as_ref().and_then(|air| low_by_outside(q, night, air, clear, low)).unwrap_or(low);
    }
    // Where nobody has looked or heard, the last nights have.
    let unseen = told.is_none() && learned.is_none() && (heard_c.is_none() || gauge_over_heard);
    let fell_c = fell_at_most_c(q, night).filter(|fell_c| unseen && lowest_c(gauge.now.t_c, *fell_c) > low.ends.0);
    low = fell_c.map_or(low, |fell_c| low.no_lower(lowest_c(gauge.now.t_c, fell_c)));
    // The night's low is no higher than what it has come to already.
    let so_far_c = gauge.lowest_c.unwrap_or(f64::MAX);
    low = low.at_most(so_far_c);
    let figures = FrostFigures {
        at: Some(gauge.now.at),
        t_c: Some(gauge.now.t_c),
        dew_c: gauge.now.dew_c,
        outside_c: outside.as_ref().filter(|_| learned.is_none()).map(|air| (air.now.t_c, air.now.dew_c)),
        fell_c,
        fall_c: gauge.fall_c(),
        cooling_c_h: gauge.cooling_c_h,
        heard_c,
        gauge_over_heard,
    };
    let mut outlook = outlook(q, night, Found { low, by, clear, figures, doubts });
    if q.now >= night.sunset.plus(2 * HOUR) {
        outlook.zero_at = zero_at(q.now, night, &gauge, low.ends.0);
    }
    outlook.ice = ice(&outlook, &gauge);
    outlook
}

/// The air two hours after sunset.
struct Dusk {
    /// Temperature, °C: both ends.
    t_c: (f64, f64),
    dew_c: Option<f64>,
    /// It was read, and is not expected.
    is_read: bool,
}

impl Dusk {
    /// As it was read; from an hour before sunset on as it is expected to be, between what it is now and what the present pace makes of it.
    fn of(now: Millis, night: NightSpan, gauge: &Gauge) -> Option<Dusk> {
        let to_dusk_h = hours(night.sunset.since(now)) + c::DUSK_AFTER_H.value;
        if to_dusk_h <= 0.0 {
            return gauge.dusk.map(|dusk| Dusk { t_c: (dusk.t_c, dusk.t_c), dew_c: dusk.dew_c, is_read: true });
        }
        let falls_c = gauge.cooling_c_h?.max(0.0) * to_dusk_h;
        let soon = to_dusk_h <= LAY_BEFORE_H + c::DUSK_AFTER_H.value;
        let t_c = (gauge.now.t_c - falls_c, gauge.now.t_c);
        soon.then_some(Dusk { t_c, dew_c: gauge.now.dew_c, is_read: false })
    }

    fn learned_low(&self, learned: &NightLow) -> Option<Low> {
        let (colder, warmer) =
            (learned_low(learned, self.t_c.0, self.dew_c)?, learned_low(learned, self.t_c.1, self.dew_c)?);
        Some(Low { ends: (colder.ends.0, warmer.ends.1), likely: 0.5 * (colder.likely + warmer.likely) })
    }
}

/// Under a cover, what of the air's warmth is still the afternoon's, °C: an hour or so of its present pace of cooling, until two hours after sunset.
fn passing_c(q: &FrostQuestion, night: NightSpan, gauge: &Gauge) -> f64 {
    let to_dusk_h = hours(night.sunset.plus(2 * HOUR).since(q.now)).clamp(0.0, COVERED_PACE_H);
    let pace = gauge.cooling_c_h.filter(|_| q.place.gauge_under.is_some()).unwrap_or(0.0);
    (pace * to_dusk_h).max(0.0)
}

/// From here on a night is more clear and still than not.
const CLEAR_FROM: f64 = 0.5;

/// How clear and still the night is, as told by a look that still holds, a forecast, or both.
fn told(q: &FrostQuestion) -> Option<Clear> {
    let looked =
        q.look.filter(|look| look.holds(q.now)).and_then(|l| Clear::of(Some(l.sky), Some(l.wind), Some(l.wet)));
    let heard = q.forecast.and_then(|f| Clear::of(f.sky, f.wind, f.wet));
    match (looked, heard) {
        (Some(looked), Some(heard)) => Some(looked.and(heard)),
        (one, other) => one.or(other),
    }
}

struct Found {
    low: Low,
    by: FrostBy,
    clear: Clear,
    figures: FrostFigures,
    doubts: Vec<FrostDoubt>,
}

fn outlook(q: &FrostQuestion, night: NightSpan, found: Found) -> FrostOutlook {
    let place = &q.place;
    let leaf = at_leaf(found.low.ends, found.clear, place.leaf_below_c());
    let gain_c = place.gain_c();
    let leaf_c = (leaf.0 + gain_c, leaf.1 + gain_c);
    let low_c = whole(leaf_c);
    let mut doubts = found.doubts;
    if place.week_mean_c.is_none() && !place.crops.is_empty() {
        doubts.push(FrostDoubt::NoWeek);
    }
    let limit_c = place.limit_c();
    let in_danger = |crop: &&FrostCrop| f64::from(low_c.0) <= place.limit_of(crop);
    FrostOutlook {
        low_c,
        leaf_c,
        gauge_c: found.low.ends,
        likely_c: found.low.likely,
        by: found.by,
        night,
        when: night.sunrise,
        zero_at: None,
        speak: if f64::from(low_c.0) <= limit_c { hour_to_speak(q.now, night) } else { Speak::Nothing },
        limit_c,
        danger: place.crops.iter().filter(in_danger).cloned().collect(),
        ice: None,
        clear: found.clear.0.0 >= CLEAR_FROM,
        figures: found.figures,
        doubts,
    }
}

fn hour_to_speak(now: Millis, night: NightSpan) -> Speak {
    match hours(night.sunset.since(now)) {
        h if h > MAY_BEFORE_H => Speak::Nothing,
        h if h > LAY_BEFORE_H => Speak::May,
        h if h > -c::DUSK_AFTER_H.value => Speak::LayNow,
        _ => Speak::Figures,
    }
}

/// When the air could reach 0 °C: as it cools now, or by the trend to the lower end, whichever is earlier; to a quarter of an hour.
fn zero_at(now: Millis, night: NightSpan, gauge: &Gauge, lower_c: f64) -> Option<Millis> {
    if lower_c > 0.0 || gauge.now.t_c <= 0.0 {
        return None;
    }
    let after = |from: Millis, h: f64| from.plus((h * HOUR as f64) as i64);
    let by_pace = gauge.cooling_c_h.filter(|pace| *pace > 0.1).map(|pace| after(gauge.now.at, gauge.now.t_c / pace));
    let by_trend = gauge
        .dusk
        .and_then(|dusk| trend_reaches_h(dusk.t_c, lower_c, night.hours(), 0.0))
        .map(|h| after(night.sunset, h));
    let quarter = 15 * MINUTE;
    let rounded = |at: Millis| Millis((at.0 + quarter / 2).div_euclid(quarter) * quarter);
    [by_pace, by_trend].into_iter().flatten().map(rounded).filter(|at| *at > now && *at < night.sunrise).min()
}

/// Hoar where the leaves come down to the frost point of the air, black frost where not even the lower end does.
fn ice(outlook: &FrostOutlook, gauge: &Gauge) -> Option<Ice> {
    // Air whose dew point is above 0 wets the leaves before it freezes them.
    let frost_point = frost_point_c(gauge.now.t_c, gauge.now.rh_pct?).or(gauge.now.dew_c)?;
    let (lower, upper) = outlook.leaf_c;
    if !outlook.may_freeze() {
        None
    } else if frost_point < lower {
        Some(Ice::Black)
    } else {
        (frost_point >= 0.5 * (lower + upper)).then_some(Ice::Hoar)
    }
}
