//! What the hours of a day add up to: hours of frost, hours of wet leaves, light.

use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::light::daily_light_mol_m2;
use propstick_agronomy::runs::Runs;
use propstick_agronomy::wetness::hours::{Leaf, WetHour};
use propstick_wire::Millis;

use super::days::LEAST_OF_A_DAY;
use super::{Figure, HourRow, Why};

/// Least share of a stretch that must be known for its wet hours: 18 of 24 h, as a score needs (wetness sheet 3.1).
const LEAST_OF_WETNESS: f64 = 0.75;

/// Hours of `[from, to)` whose mean temperature was at or below 0 °C; what was not measured may have been any. `rows` of air temperature, °C.
pub fn frost_hours(rows: &[HourRow], from: Millis, to: Millis, error_c: f64) -> Figure {
    let all_h = to.since(from).max(0) as f64 / HOUR_MS as f64;
    let (mut known_h, mut frost_h) = (0.0, Runs::all(0.0));
    for row in rows.iter().filter(|r| from <= r.from && r.from < to && r.n > 0) {
        let share = (row.covered_ms as f64 / HOUR_MS as f64).min(1.0);
        let mean_c = row.sum / f64::from(row.n);
        known_h += share;
        let frozen = Runs { low: mean_c + error_c <= 0.0, read: mean_c <= 0.0, high: mean_c - error_c <= 0.0 };
        frost_h = frost_h.with(frozen, |h, frozen| if frozen { h + share } else { h });
    }
    counted(frost_h, known_h, all_h, LEAST_OF_A_DAY)
}

/// Hours of `[from, to)` with wet leaves, in three runs; hours that are not known are dry in the low run and wet in the high one.
pub fn wet_hours_of(hours: &[WetHour], from: Millis, to: Millis) -> Figure {
    let all_h = (to.since(from).max(0) as f64 / HOUR_MS as f64).floor();
    let (mut known_h, mut wet_h) = (0.0, Runs::all(0.0));
    for hour in hours.iter().filter(|h| from.0 <= h.from_ms && h.from_ms < to.0 && h.known()) {
        known_h += 1.0;
        wet_h = wet_h.with(hour.leaf(), |h, leaf| if leaf == Leaf::Wet { h + 1.0 } else { h });
    }
    counted(wet_h, known_h, all_h, LEAST_OF_WETNESS)
}

/// Light that plants use in a day, mol/m², from `rows` of short-wave radiation (W/m²) where the sensor stands; `daylight` says whether an hour lies
/// between dawn and dusk. Where some of those were not measured the mean of the others stands for them, and the range reaches from dark to the brightest.
pub fn light_of(rows: &[HourRow], from: Millis, to: Millis, daylight: impl Fn(Millis) -> bool) -> Figure {
    let hours = (to.since(from).max(0) / HOUR_MS) as usize;
    let light_h = (0..hours).filter(|k| daylight(from.plus(*k as i64 * HOUR_MS))).count() as f64;
    let (mut known_h, mut mj, mut brightest) = (0.0, 0.0, 0.0_f64);
    for row in rows.iter().filter(|r| from <= r.from && r.from < to && r.n > 0 && daylight(r.from)) {
        let share = (row.covered_ms as f64 / HOUR_MS as f64).min(1.0);
        let w_m2 = (row.sum / f64::from(row.n)).max(0.0);
        known_h += share;
        mj += w_m2 * share * 0.0036;
        brightest = brightest.max(row.max);
    }
    if known_h <= 0.0 {
        return Figure::unknown(Why::NoReading, 0.0);
    }
    let measured = (known_h / light_h.max(known_h)).min(1.0);
    let high = mj + (light_h - known_h).max(0.0) * brightest * 0.0036;
    let mol = |mj: f64| daily_light_mol_m2(mj);
    match (mol(mj / measured), mol(mj), mol(high)) {
        (Some(value), Some(low), Some(high)) if measured >= LEAST_OF_A_DAY => {
            Figure::known(value, low.min(value), high.max(value), measured)
        }
        _ => Figure::unknown(Why::NotEnough, measured),
    }
}

fn counted(h: Runs<f64>, known_h: f64, all_h: f64, least: f64) -> Figure {
    let measured = if all_h > 0.0 { (known_h / all_h).min(1.0) } else { 0.0 };
    if known_h <= 0.0 {
        Figure::unknown(Why::NoReading, 0.0)
    } else if measured < least {
        Figure::unknown(Why::NotEnough, measured)
    } else {
        Figure::known(h.read, h.low.min(h.read), h.high.max(h.read) + (all_h - known_h).max(0.0), measured)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: Millis = Millis(24 * HOUR_MS);

    fn rows(of: impl Fn(i64) -> Option<f64>) -> Vec<HourRow> {
        let row = |(k, v): (i64, f64)| HourRow {
            from: Millis(k * HOUR_MS),
            n: 1,
            covered_ms: HOUR_MS,
            min: v,
            max: v,
            sum: v,
        };
        (0..24).filter_map(|k| of(k).map(|v| (k, v))).map(row).collect()
    }

    #[test]
    fn frost_hours_carry_the_thermometers_error_and_what_was_not_measured() {
        let all = rows(|k| {
            Some(if k < 4 {
                -1.0
            } else if k < 6 {
                0.2
            } else {
                3.0
            })
        });
        let f = frost_hours(&all, Millis(0), DAY, 0.3);
        assert_eq!((f.value, f.low, f.high), (Some(4.0), Some(4.0), Some(6.0)));
        let holes = rows(|k| (k < 18).then_some(-1.0));
        let f = frost_hours(&holes, Millis(0), DAY, 0.3);
        assert_eq!((f.value, f.high, f.measured), (Some(18.0), Some(24.0), 0.75));
        assert_eq!(frost_hours(&holes[..9], Millis(0), DAY, 0.3).unknown, Some(Why::NotEnough));
    }

    #[test]
    fn wet_hours_of_a_day_half_unknown_are_unknown() {
        let hour = |k: i64| WetHour {
            covered_ms: HOUR_MS,
            wet_ms: Runs { low: 0, read: HOUR_MS, high: HOUR_MS },
            t_c: Some(8.0),
            ..WetHour::unknown(k * HOUR_MS)
        };
        let hours: Vec<WetHour> = (0..20).map(hour).collect();
        let f = wet_hours_of(&hours, Millis(0), DAY);
        assert_eq!((f.low, f.value, f.high), (Some(0.0), Some(20.0), Some(24.0)));
        assert_eq!(wet_hours_of(&hours[..12], Millis(0), DAY).unknown, Some(Why::NotEnough));
        assert_eq!(wet_hours_of(&[], Millis(0), DAY).unknown, Some(Why::NoReading));
    }

    #[test]
    fn eight_hours_of_100_watts_are_nearly_six_mol() {
        // Climate sheet 3.5: 2.88 MJ at 2.06 mol/MJ.
        let all = rows(|k| Some(if (8..16).contains(&k) { 100.0 } else { 0.0 }));
        let day = |at: Millis| (8..16).contains(&(at.0 / HOUR_MS));
        let f = light_of(&all, Millis(0), DAY, day);
        assert!((f.value.unwrap() - 2.88 * 2.06).abs() < 1e-9 && f.measured == 1.0);
        let holes = rows(|k| (k < 14).then_some(100.0));
        let f = light_of(&holes, Millis(0), DAY, day);
        assert!((f.low.unwrap() - 2.16 * 2.06).abs() < 1e-9 && (f.high.unwrap() - 2.88 * 2.06).abs() < 1e-9);
        assert_eq!(light_of(&holes[..11], Millis(0), DAY, day).unknown, Some(Why::NotEnough));
    }
}
