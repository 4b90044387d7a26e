//! A night under a cover as the air outside has it.
//!
//! Air under a cover keeps the sun's warmth of the afternoon and the water of the soil for some hours; neither holds through the night. Where it ends
//! hangs on the air outside and on what the cover gains (climate sheet 5.2; 6.6: under a clear sky with little mass in the soil it may end below the
//! air outside). So where both are measured the low outside is reckoned first, from its own dew point, and the cover's gain is added from the one
//! table of gains: its middle to the upper end, and to the lower, as far as the night may turn out clear, the least that the table leaves open. From
//! two hours after sunset the sun's warmth has gone, and the gauge under the cover is a witness of its own.

use propstick_agronomy::frost::constants as c;
use propstick_wire::millis::HOUR;

use super::gauge::Gauge;
use super::question::hours;
use super::rule::{Clear, Low, Start, beside_forecast, heard_counts, low_at_gauge};
use super::{FrostQuestion, NightSpan};

/// The air outside of a gauge under a cover; none where the gauge is under none, where nothing fresh is measured outside, and where it is colder under
/// the cover than any cover explains: then one of the two gauges stands wrong.
pub fn outside(q: &FrostQuestion, night: NightSpan, inside: &Gauge) -> Option<Gauge> {
    let cover = q.place.gauge_under?;
    let outside = Gauge::of(&q.outside, q.now, night).ok()?;
    (inside.now.t_c - outside.now.t_c >= cover.least_gain_c()).then_some(outside)
}

/// The low at the gauge under the cover by the air outside; `own` is the low by that gauge's own air.
pub fn low_by_outside(q: &FrostQuestion, night: NightSpan, outside: &Gauge, clear: Clear, own: Low) -> Option<Low> {
    let cover = q.place.gauge_under?;
    let start = Start {
        t_c: outside.now.t_c,
        dew_c: outside.now.dew_c,
        saturated: outside.now.saturated,
        left_h: hours(night.sunrise.since(outside.now.at)),
        covered: false,
        passing_c: 0.0,
    };
    let low = low_at_gauge(start, clear, None);
    let low = beside_forecast(low, q.forecast.and_then(|f| f.low_c), heard_counts(q, night, outside));
    let low = low.at_most(outside.lowest_c.unwrap_or(f64::MAX));
    let gain_c = cover.gain_c(false);
    let least_c = clear.0.1 * cover.least_gain_c();
    let by_outside = low.raised(least_c, gain_c);
    let sun_has_gone = q.now >= night.sunset.plus((c::DUSK_AFTER_H.value * HOUR as f64) as i64);
    Some(if sun_has_gone { by_outside.and(own) } else { by_outside })
}
