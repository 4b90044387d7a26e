//! The rest of the day: the air outside from yesterday's at the same hour, the air inside with everything shut from that and the sun.

use propstick_agronomy::cover::constants as c;
use propstick_agronomy::sun::{apparent_elevation_deg, clear_sky_w_m2};
use propstick_agronomy::ventilation::AIR_HEAT_J_M3_K;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::VentQuestion;
use super::limits as l;
use super::seen::Seen;
use crate::record::Sky;

/// An air temperature to come, with its doubt, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutlookHour {
    /// When.
    pub t: Millis,
    /// As low as it may well be.
    pub low: f64,
    /// The likeliest.
    pub value: f64,
    /// As high as it may well be.
    pub high: f64,
}

impl OutlookHour {
    /// Its three runs, low first.
    pub const fn runs(&self) -> [f64; 3] {
        [self.low, self.value, self.high]
    }
}

/// What the rest of the day is expected to be like, by half hours on the garden's clock. An instant for which yesterday is not known is left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outlook {
    /// The air outside.
    pub outside: Vec<OutlookHour>,
    /// The air inside were everything shut from now on; at most as long as `outside`.
    pub shut: Vec<OutlookHour>,
}

impl Outlook {
    /// The outlook of a question from now to `until`, at most a day ahead.
    ///
    /// Outside is yesterday's air at the same hour plus today's difference from it, which fades over six hours. Where the sky is clear the rise over it
    /// inside is the steady rise of climate sheet 6.1 in the light of a clear sky; under cloud a share of that; where nobody has looked it is
    /// yesterday's own rise at that hour, with a clear sky as its upper end. No gap of yesterday is filled.
    pub fn of(q: &VentQuestion, until: Millis) -> Outlook {
        let mut outlook = Outlook::default();
        let Some(outside_now_c) = Seen::of(q).outside.map(|air| air.t_c) else { return outlook };
        let Some(ahead_c) = near(&q.past_outside, q.now.plus(-DAY)).map(|yesterday_c| outside_now_c - yesterday_c)
        else {
            return outlook;
        };
        let inside_now_c = Seen::of(q).inside.map(|air| air.t_c);
        let excess_c = inside_now_c.zip(rise_c(q, q.now)).map(|(inside_c, rise)| inside_c - outside_now_c - rise.value);
        let mut t = q.clock.nearest_half_hour(q.now.plus(HALF / 2));
        while t <= until && t.since(q.now) < DAY {
            if let Some(outside) = outside_at(q, t, ahead_c) {
                outlook.outside.push(outside);
                let rise = rise_c(q, t).zip(excess_c);
                outlook.shut.extend(rise.map(|(rise, excess_c)| {
                    // What it is warmer or colder by now than the sun explains goes within two hours.
                    let kept_c = excess_c * fading(t.since(q.now), l::EXCESS_FADES_H);
                    OutlookHour {
                        t,
                        low: outside.low + rise.low + kept_c,
                        value: outside.value + rise.value + kept_c,
                        high: outside.high + rise.high + kept_c,
                    }
                }));
            }
            t = t.plus(HALF);
        }
        outlook
    }

    /// The warmest that it is likely to get shut, and when.
    pub fn peak(&self) -> Option<OutlookHour> {
        self.shut.iter().copied().max_by(|a, b| a.value.total_cmp(&b.value))
    }

    /// When the likeliest shut air first passes `limit_c`.
    pub fn passes(&self, limit_c: f64) -> Option<Millis> {
        self.shut.iter().find(|hour| hour.value > limit_c).map(|hour| hour.t)
    }

    /// The air outside nearest to `t`, within half an hour.
    pub fn outside_at(&self, t: Millis) -> Option<OutlookHour> {
        self.outside
            .iter()
            .copied()
            .filter(|hour| hour.t.since(t).abs() <= HALF)
            .min_by_key(|hour| hour.t.since(t).abs())
    }
}

const DAY: i64 = 24 * HOUR;
const HALF: i64 = 30 * MINUTE;

/// Air outside at `t`, °C.
fn outside_at(q: &VentQuestion, t: Millis, ahead_c: f64) -> Option<OutlookHour> {
    let yesterday_c = near(&q.past_outside, t.plus(-DAY))?;
    let hours = t.since(q.now) as f64 / HOUR as f64;
    let value = yesterday_c + ahead_c * fading(t.since(q.now), l::DIFFERENCE_FADES_H);
    let spread = (l::SPREAD_C + l::SPREAD_C_H * hours).min(l::SPREAD_MOST_C);
    // A sky that was seen or heard takes the side away that it speaks against: cloud keeps a day cool, a clear sky by day warms it.
    let (below, above) = match q.weather.sky(q.now) {
        Some(Sky::Overcast) => (spread, l::SKY_NARROWS * spread),
        Some(Sky::Clear) => (l::SKY_NARROWS * spread, spread),
        Some(Sky::Broken) | None => (spread, spread),
    };
    let mut hour = OutlookHour { t, low: value - below, value, high: value + above };
    if let Some(high_c) = q.weather.high_today_c().filter(|_| q.sunset.is_none_or(|set| t < set)) {
        hour.high = hour.high.min(high_c + l::HEARD_C);
        hour.value = hour.value.min(high_c);
        hour.low = hour.low.min(hour.value);
    }
    if let Some(low_c) = q.weather.low_tonight_c().filter(|_| q.sunset.is_some_and(|set| t >= set)) {
        hour.low = hour.low.max(low_c - l::HEARD_C);
        hour.value = hour.value.max(low_c);
        hour.high = hour.high.max(hour.value);
    }
    let sound = hour.runs().iter().all(|c| c.is_finite()) && hour.low <= hour.value && hour.value <= hour.high;
    sound.then_some(hour)
}

/// Rise of shut air over that outside at `t`, °C.
fn rise_c(q: &VentQuestion, t: Millis) -> Option<OutlookHour> {
    let dark = q.sunrise.is_some_and(|rise| t < rise) || q.sunset.is_some_and(|set| t >= set);
    let clear = q.place.and_then(|(lat, lon)| clear_sky_rise_c(t, lat, lon, q.transmission));
    let of_yesterday = near(&q.past_inside, t.plus(-DAY)).zip(near(&q.past_outside, t.plus(-DAY)));
    let yesterday = of_yesterday.map(|(inside_c, outside_c)| inside_c - outside_c);
    let hour = |low: f64, value: f64, high: f64| Some(OutlookHour { t, low, value, high });
    if dark {
        let value = yesterday.unwrap_or(0.0);
        return hour(value - 1.0, value, value + 1.0);
    }
    match (q.weather.sky(q.now), clear, yesterday) {
        (Some(Sky::Clear), Some(clear), _) => hour(l::RISE_LEAST * clear, clear, l::RISE_MOST * clear),
        (Some(Sky::Overcast), Some(clear), _) => {
            let value = l::OVERCAST_SHARE * clear;
            hour(0.5 * value, value, 2.0 * value)
        }
        (Some(Sky::Broken), Some(clear), _) => hour(l::OVERCAST_SHARE * clear, l::BROKEN_SHARE * clear, clear),
        (_, clear, Some(yesterday)) => {
            let (least, most) = (0.5 * yesterday.max(0.0), clear.unwrap_or(0.0).max(yesterday));
            hour(least.min(yesterday), yesterday, most)
        }
        _ => None,
    }
}

/// How much warmer than outside shut air settles under a clear sky, °C: climate sheet 6.1, `(1 - E) tau I / (U w_c + rho cp q)`.
pub fn clear_sky_rise_c(t: Millis, lat_deg: f64, lon_deg: f64, transmission: Option<f64>) -> Option<f64> {
    let light_w_m2 = clear_sky_w_m2(apparent_elevation_deg(t.0 as f64 / 1_000.0, lat_deg, lon_deg)?)?;
    let through = transmission.filter(|share| (0.0..=1.0).contains(share)).unwrap_or(c::WARMING_TRANSMISSION.value);
    Some((1.0 - c::LATENT_SHARE.value) * through * light_w_m2 / loss_w_m2_k(c::FLOW_SHUT_M_S.value))
}

/// Heat lost for each degree over outside, W/(m² K) of floor, at a flow of m³ a second and m² of floor.
pub fn loss_w_m2_k(flow_m_s: f64) -> f64 {
    c::FILM_LOSS_W.value * c::FILM_AREA.value + AIR_HEAT_J_M3_K * flow_m_s
}

/// 1 now, 0 from `hours` on.
fn fading(after_ms: i64, hours: f64) -> f64 {
    (1.0 - after_ms as f64 / HOUR as f64 / hours).clamp(0.0, 1.0)
}

/// The reading nearest to `t`, no further than half an hour from it; `readings` ascend in time.
fn near(readings: &[(Millis, f64)], t: Millis) -> Option<f64> {
    let first = readings.partition_point(|(at, _)| t.since(*at) > HALF);
    let close = readings[first..].iter().take_while(|(at, _)| at.since(t) <= HALF).filter(|(_, c)| c.is_finite());
    close.min_by_key(|(at, _)| at.since(t).abs()).map(|(_, c)| *c)
}
