//! How far the air falls by sunrise: by rule until a gauge has clear nights of its own, by what they teach from then on.
//!
//! The rule: air falls towards its dew point and a little further. Under a clear still sky it closes nearly all of that gap, under cloud or in wind
//! less than half of it; what is left of the night counts by the square root of its share, as in the trend of climate sheet 5.1. Each of the four
//! ends is reckoned alone and what lies between overcast and clear in proportion, so that an unknown can only widen the range.

use propstick_agronomy::frost::{NightLow, constants as c};

use super::gauge::Gauge;
use super::limits::{
    BESIDE_FORECAST_C, CLOSES_LEAST, CLOSES_MOST, COVERED_GAP_C, FALLEN_CLEAR, FALLS_LEAST_C, FALLS_MOST_C,
    LAY_BEFORE_H, LEARNED_ABOVE_C, SATURATED_GAP_C, UNFALLEN_CLEAR, UNKNOWN_CLEAR, WHOLE_NIGHT_H, WIDEST_GAP_C,
};
use super::question::hours;
use super::{FrostQuestion, NightSpan};
use crate::record::{Sky, Wet, Wind};

/// Two ends of something, the lower or less first.
pub type Ends = (f64, f64);

/// A low as it is expected, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Low {
    /// Both ends.
    pub ends: Ends,
    /// The likeliest, between them.
    pub likely: f64,
}

impl Low {
    fn of(ends: Ends, likely: f64) -> Low {
        let ends = (ends.0, ends.1.max(ends.0));
        Low { ends, likely: likely.clamp(ends.0, ends.1) }
    }

    /// With its lower end, its upper end and its middle that much warmer, °C.
    pub fn raised(self, lower_c: f64, upper_c: f64) -> Low {
        let likely = self.likely + 0.5 * (lower_c + upper_c);
        Low::of((self.ends.0 + lower_c, self.ends.1 + upper_c), likely)
    }

    /// What two witnesses make of one night: the mean of both.
    pub fn and(self, other: Low) -> Low {
        let mean = |a: f64, b: f64| 0.5 * (a + b);
        Low::of((mean(self.ends.0, other.ends.0), mean(self.ends.1, other.ends.1)), mean(self.likely, other.likely))
    }

    /// With its lower end no lower than `least_c`.
    pub fn no_lower(self, least_c: f64) -> Low {
        Low::of((self.ends.0.max(least_c), self.ends.1), self.likely)
    }

    /// No higher than `most_c`.
    pub fn at_most(self, most_c: f64) -> Low {
        Low::of((self.ends.0.min(most_c), self.ends.1.min(most_c)), self.likely)
    }
}

/// How clear and still a night may turn out, 0 overcast or windy to 1 clear and still.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clear(pub Ends);

impl Clear {
    /// As far as sky, wind and wet tell it; none where there is no sky.
    pub fn of(sky: Option<Sky>, wind: Option<Wind>, wet: Option<Wet>) -> Option<Clear> {
        if matches!(wet, Some(Wet::Rain | Wet::Fog)) {
            return Some(Clear((0.0, 0.3)));
        }
        let (least, most) = match sky? {
            Sky::Clear => (0.8, 1.0),
            Sky::Broken => (0.3, 0.7),
            Sky::Overcast => (0.0, 0.4),
        };
        // Wind mixes warmer air down. Unknown wind may be any.
        let (lower, upper) = match wind {
            Some(Wind::Calm) => (1.0, 1.0),
            None => (0.5, 1.0),
            Some(Wind::Light) => (0.7, 0.9),
            Some(Wind::Fresh) => (0.3, 0.6),
            Some(Wind::Gale) => (0.1, 0.4),
        };
        Some(Clear((least * lower, most * upper)))
    }

    /// Where nobody has looked or heard: as the fall of the air since the afternoon has it, once the sun is down. `fall_shown` is that fall as a
    /// share of the fall that shows a clear night, from 0.
    pub fn unseen(fall_shown: Option<f64>) -> Clear {
        let most = fall_shown.map_or(UNKNOWN_CLEAR, |share| between((UNFALLEN_CLEAR, 1.0), share.clamp(0.0, 1.0)));
        let least = fall_shown.map_or(0.0, |share| FALLEN_CLEAR * (share - 1.0).clamp(0.0, 1.0));
        Clear((least, most))
    }

    /// What two tellers agree on: the mean of both.
    pub fn and(self, other: Clear) -> Clear {
        Clear(((self.0.0 + other.0.0) / 2.0, (self.0.1 + other.0.1) / 2.0))
    }

    /// In measured wind: 4 m/s and more mixes the air whatever the sky.
    pub fn in_wind(self, m_s: Option<f64>) -> Clear {
        let (least, most) = self.0;
        match m_s {
            Some(m_s) if m_s >= 2.0 * c::CALM_M_S.value => Clear((least * 0.3, most * 0.6)),
            _ => self,
        }
    }
}

/// The air at the gauge, and what is left of the night.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Temperature, °C.
    pub t_c: f64,
    /// Dew point, °C, at most the temperature.
    pub dew_c: Option<f64>,
    /// Whether the humidity gauge cannot tell wet from wetter.
    pub saturated: bool,
    /// To sunrise, h.
    pub left_h: f64,
    /// Whether the gauge is under a cover.
    pub covered: bool,
    /// What of the air's warmth is still the afternoon's and will be gone soon, °C, 0 and more.
    pub passing_c: f64,
}

/// The lowest the air at the gauge gets by sunrise.
pub fn low_at_gauge(start: Start, clear: Clear, learned: Option<Low>) -> Low {
    let (least_clear, most_clear) = clear.0;
    let share = (start.left_h / WHOLE_NIGHT_H).clamp(0.0, 1.0).sqrt();
    // A wide gap alone is one witness: a broken humidity gauge shows one, too.
    let second = ((most_clear - UNKNOWN_CLEAR) / (1.0 - UNKNOWN_CLEAR)).clamp(0.0, 1.0);
    let widest = between(WIDEST_GAP_C, second);
    let known_gap = |from_c: f64| start.dew_c.map(|dew_c| from_c - dew_c);
    let hidden = match (start.covered, start.saturated) {
        (true, _) => COVERED_GAP_C,
        (false, true) => SATURATED_GAP_C,
        (false, false) => 0.0,
    };
    let from_c = start.t_c - start.passing_c.max(0.0);
    let most_gap = known_gap(from_c).unwrap_or(widest).max(hidden).clamp(0.0, widest);
    let least_gap = known_gap(start.t_c).unwrap_or(0.0).clamp(0.0, widest);
    let most = |closes: f64, falls_c: f64| from_c - share * (closes * most_gap + falls_c);
    let least = |closes: f64, falls_c: f64| start.t_c - share * (closes * least_gap + falls_c);
    let overcast = (most(CLOSES_MOST.0, FALLS_MOST_C.0), least(CLOSES_LEAST.0, FALLS_LEAST_C.0));
    let by_rule = (most(CLOSES_MOST.1, FALLS_MOST_C.1), least(CLOSES_LEAST.1, FALLS_LEAST_C.1));
    // What clear nights taught stands for the clear end; no clear night is warmer than an overcast one.
    let clear_night = learned.map_or(by_rule, |low| {
        let (lower, upper) = low.ends;
        (lower.max(by_rule.0 - 2.0).min(overcast.0), upper.min(overcast.1))
    });
    let lower = between((overcast.0, clear_night.0), most_clear);
    let upper = between((overcast.1, clear_night.1), least_clear);
    let middle = |(lower, upper): Ends| 0.5 * (lower + upper);
    let likely = learned.map_or(middle((lower, upper)), |low| between((middle(overcast), low.likely), middle(clear.0)));
    Low::of((lower, upper), likely)
}

/// The low that a gauge's own clear nights teach.
pub fn learned_low(learned: &NightLow, dusk_c: f64, dusk_dew_c: Option<f64>) -> Option<Low> {
    // Air that is warmer at dusk, or moister, never ends a night colder: nights that taught so were too few.
    if learned.per_dusk <= 0.0 {
        return None;
    }
    let dew_c = dusk_dew_c.filter(|_| learned.per_dew > 0.0);
    let low = learned.low(dusk_c, dew_c)?;
    // 1.5 °C, or twice what the nights themselves left unexplained, where that is more; half of it again beyond what was learned from.
    let widened = if low.beyond { 1.5 } else { 1.0 };
    let below = (low.low_c - low.warn_c).max(2.0 * learned.residual_c) * widened;
    let above = learned.residual_c.max(LEARNED_ABOVE_C) * widened;
    Some(Low::of((low.low_c - below, low.low_c + above), low.low_c))
}

/// What a low that was heard may do to a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeardCounts {
    /// Narrow it from both sides.
    BothWays,
    /// Bring its ends down, and narrow it from above: the gauge itself says how far it may fall.
    Down,
}

/// From the hour at which covers are laid a gauge that cools is not contradicted from the warm side, nor ever one that is as cold as what was heard: a
/// forecast is of the district, and may be of yesterday.
pub fn heard_counts(q: &FrostQuestion, night: NightSpan, gauge: &Gauge) -> HeardCounts {
    let cools = gauge.cooling_c_h.is_none_or(|pace| pace > 0.0);
    let laying = hours(night.sunset.since(q.now)) <= LAY_BEFORE_H;
    let reached = q.forecast.and_then(|f| f.low_c).is_some_and(|heard_c| gauge.now.t_c <= heard_c);
    if (laying && cools) || reached { HeardCounts::Down } else { HeardCounts::BothWays }
}

/// A range beside the low that was heard for the district: a garden in a hollow is colder than that by so much at most.
pub fn beside_forecast(low: Low, heard_c: Option<f64>, counts: HeardCounts) -> Low {
    let Some(heard_c) = heard_c.filter(|t| (-40.0..=40.0).contains(t)) else { return low };
    let (lower_most, lower_least, upper_least, upper_most) = BESIDE_FORECAST_C;
    let (lower, upper) = match counts {
        HeardCounts::BothWays => (low.ends.0.max(heard_c - lower_most), low.ends.1.max(heard_c - upper_least)),
        HeardCounts::Down => low.ends,
    };
    Low::of((lower.min(heard_c - lower_least), upper.min(heard_c + upper_most)), low.likely)
}

/// The low that a forecast alone leaves open.
pub fn by_forecast(heard_c: f64) -> Low {
    let (lower_most, .., upper_most) = BESIDE_FORECAST_C;
    Low::of((heard_c - lower_most, heard_c + upper_most), heard_c)
}

/// From the air at the gauge to the leaves, which a clear sky makes colder by `below` °C.
pub fn at_leaf(low: Ends, clear: Clear, below: f64) -> Ends {
    (low.0 - below * clear.0.1, low.1 - below * clear.0.0)
}

/// What lies `share` (0 to 1) of the way between two.
fn between((from, to): Ends, share: f64) -> f64 {
    from + (to - from) * share
}
