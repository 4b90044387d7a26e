//! How fast things grow under a cover now, and when growth is to be expected back.

use chrono::Datelike;
use propstick_agronomy::growth::{self as speed, Speed, constants as c};
use propstick_agronomy::light::cloudy_day_mj_m2;
use propstick_agronomy::sun::{self, DayLength, ShortDays};

use super::water::limits::PICKING_D;

/// One day of a structure, as growth speed needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthDay {
    /// Its number: days from 1970-01-01 to the local date.
    pub day: i64,
    /// Mean air temperature at the crop, °C; none where too little was measured.
    pub mean_c: Option<f64>,
    /// Short-wave radiation measured at the crop, MJ/m²; none: a day of average cloud is taken.
    pub sun_mj_m2: Option<f64>,
}

/// What a structure's growth is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthPlace {
    /// Latitude, ° north.
    pub lat_deg: f64,
    /// Longitude, ° east.
    pub lon_deg: f64,
    /// Share of the outdoor light that reaches the crop, 0 to 1.
    pub transmission: f64,
}

/// Growth in a structure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// The speed; none until five of the last seven days are known.
    pub speed: Option<Speed>,
    /// Mean effective day-degrees of those days, °C d a day.
    pub mean_c_d: Option<f64>,
    /// How many of the last seven days are known.
    pub known_d: u32,
    /// Whether the light is an average of the season and not measured.
    pub light_modelled: bool,
    /// When growth is to be expected back, where things do not grow now.
    pub back: Option<GrowthBack>,
    /// Length of the day, sunrise to sunset, h.
    pub day_length_h: Option<f64>,
    /// First day from now on that is ten hours long, where today is shorter; days since 1970.
    pub ten_hours_on: Option<i64>,
}

/// When growth is to be expected back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GrowthBack {
    /// The day, in days since 1970: in a year of average light and warmth.
    pub day: i64,
    /// Light pickings that lie before it, where what stands there has to last.
    pub pickings: u32,
}

/// Growth at the end of `days`, which ascend without a break and end with the day before `today` (in days since 1970).
///
/// **Shape**: 28 days are enough; days whose temperature is not known count as unknown. **Source**: wetness sheet 4.1 ([`speed::speeds`]); when it
/// comes back is reckoned from average cloud and the default temperatures of [`speed::season_mean_c`], moved by what this structure's last known days
/// differed from them, halved for the days to come: our proposal. **Accuracy**: a week either way.
pub fn growth(days: &[GrowthDay], today: i64, place: GrowthPlace) -> Growth {
    let effective: Vec<Option<f64>> = days.iter().map(|day| effective(day, place)).collect();
    let last: Vec<f64> = effective.iter().rev().take(c::MEAN_D.value as usize).flatten().copied().collect();
    let now = speed::speeds(&effective).last().copied().flatten();
    let ten_hours_on = ten_hours(today, place);
    Growth {
        speed: now,
        mean_c_d: now.map(|_| last.iter().sum::<f64>() / last.len().max(1) as f64),
        known_d: last.len() as u32,
        light_modelled: days.iter().rev().take(c::MEAN_D.value as usize).any(|day| day.sun_mj_m2.is_none()),
        back: if now == Some(Speed::Growing) { None } else { growth_back(today, own_warmth_c(days), place) },
        day_length_h: DayLength::Apparent.seconds(today, place.lat_deg, place.lon_deg).map(|s| s / 3_600.0),
        ten_hours_on,
    }
}

/// First day after `today` on which an average day makes things grow; none within a year, within a week, or where an average day makes them grow
/// now: a cold spell then ends when it ends.
fn growth_back(today: i64, warmer_c: f64, place: GrowthPlace) -> Option<GrowthBack> {
    let grows = |day: i64| {
        let season = sun::day_of_year(day)?;
        let sun = cloudy_day_mj_m2(place.lat_deg, season)? * place.transmission.clamp(0.0, 1.0);
        let effective = speed::of_day(speed::season_mean_c(season)? + 0.5 * warmer_c, sun)?;
        Some(effective > c::GROWING_ABOVE.value)
    };
    if grows(today)? {
        return None;
    }
    let ahead_d = (1..=366).find(|ahead| grows(today + ahead) == Some(true))?;
    (ahead_d > c::MEAN_D.value as i64).then(|| GrowthBack {
        day: today + ahead_d,
        pickings: u32::try_from((ahead_d + PICKING_D / 2) / PICKING_D).unwrap_or(0).max(1),
    })
}

fn effective(day: &GrowthDay, place: GrowthPlace) -> Option<f64> {
    let modelled =
        || Some(cloudy_day_mj_m2(place.lat_deg, sun::day_of_year(day.day)?)? * place.transmission.clamp(0.0, 1.0));
    let sun = day.sun_mj_m2.filter(|mj| (0.0..=50.0).contains(mj)).or_else(modelled)?;
    speed::of_day(day.mean_c?, sun)
}

/// By how much the known days were warmer than the default, °C, -8 to 8; 0 where fewer than seven are known.
fn own_warmth_c(days: &[GrowthDay]) -> f64 {
    let differences: Vec<f64> = days
        .iter()
        .rev()
        .take(28)
        .filter_map(|day| {
            Some(day.mean_c.filter(|t| t.is_finite())? - speed::season_mean_c(sun::day_of_year(day.day)?)?)
        })
        .collect();
    if differences.len() < c::MEAN_D.value as usize {
        return 0.0;
    }
    (differences.iter().sum::<f64>() / differences.len() as f64).clamp(-8.0, 8.0)
}

fn ten_hours(today: i64, place: GrowthPlace) -> Option<i64> {
    let (limit_h, length) = (sun::constants::TEN_HOURS_H.value, DayLength::Apparent);
    if length.seconds(today, place.lat_deg, place.lon_deg)? >= limit_h * 3_600.0 {
        return None;
    }
    let date = chrono::DateTime::from_timestamp(today.checked_mul(86_400)?, 0)?;
    // North of the equator a winter begins in the year before the one it ends in.
    let begun = if place.lat_deg >= 0.0 && date.month() < 7 { date.year() - 1 } else { date.year() };
    let short = ShortDays::of_winter(begun, place.lat_deg, place.lon_deg, limit_h, length)?;
    (short.first..=short.last).contains(&today).then_some(short.last + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::NaiveDate;
    use proptest::prelude::*;

    const PLACE: GrowthPlace = GrowthPlace { lat_deg: 51.0, lon_deg: -3.0, transmission: 0.65 };

    fn number(y: i32, m: u32, d: u32) -> i64 {
        NaiveDate::from_ymd_opt(y, m, d).unwrap().and_hms_opt(0, 0, 0).unwrap().and_utc().timestamp() / 86_400
    }

    /// Days of the season's own mean temperature, moved by `warmer_c`, without a light sensor.
    fn average(today: i64, warmer_c: f64) -> Vec<GrowthDay> {
        let mean_c = |day| Some(speed::season_mean_c(sun::day_of_year(day)?)? + warmer_c);
        (today - 28..today).map(|day| GrowthDay { day, mean_c: mean_c(day), sun_mj_m2: None }).collect()
    }

    fn at(y: i32, m: u32, d: u32) -> Growth {
        let today = number(y, m, d);
        growth(&average(today, 0.0), today, PLACE)
    }

    #[test]
    fn undercover_growth_all_but_stops_in_mid_december_and_has_clearly_resumed_by_mid_february() {
        // Common practice, no source (the trade; wetness sheet 6): at 50 to 52 N it all but stops about mid-December to early February and has
        // clearly resumed by mid-February. The default tunnel of wetness sheet 4.1 stops early December to about 20 January and grows from mid-February.
        for lat_deg in [50.0, 51.0, 52.0] {
            let place = GrowthPlace { lat_deg, ..PLACE };
            let speed = |y, m, d| {
                let today = number(y, m, d);
                growth(&average(today, 0.0), today, place).speed.unwrap()
            };
            for (y, m, d) in [(2026, 12, 15), (2026, 12, 31), (2027, 1, 15)] {
                assert_eq!(speed(y, m, d), Speed::Stopped, "{lat_deg} {d}.{m}.");
            }
            assert_ne!(speed(2027, 2, 1), Speed::Growing, "{lat_deg}");
            assert_eq!(speed(2027, 2, 24), Speed::Growing, "{lat_deg}");
            let today = number(2026, 12, 22);
            let back = growth(&average(today, 0.0), today, place).back.unwrap();
            let (from, until) = (number(2027, 2, 8), number(2027, 2, 20));
            assert!((from..=until).contains(&back.day), "{lat_deg}: {}", back.day - number(2027, 2, 1));
        }
    }

    #[test]
    fn growth_is_expected_back_in_mid_february_and_not_told_while_things_grow() {
        // Wetness sheet 4.1 at 51 N: 2.190 on day 36, 2.523 on day 46; 2.5 lies about day 45, 14 February.
        let back = at(2026, 12, 20).back.unwrap();
        assert!((back.day - number(2027, 2, 14)).abs() <= 1, "{back:?}");
        assert_eq!(back.pickings, 4);
        assert_eq!(at(2027, 2, 5).back.map(|back| back.pickings), Some(1));
        let summer = at(2027, 6, 15);
        assert_eq!((summer.speed, summer.back, summer.ten_hours_on), (Some(Speed::Growing), None, None));
    }

    #[test]
    fn a_colder_place_waits_longer_and_a_warmer_one_less() {
        let today = number(2026, 12, 22);
        let back = |warmer_c| growth(&average(today, warmer_c), today, PLACE).back.unwrap().day;
        assert!(back(-2.0) > back(0.0) && back(2.0) < back(0.0));
    }

    #[test]
    fn ten_hours_come_back_on_the_sheets_date() {
        // Climate sheet 3.3: at 52° N shorter than 10 h from 26 October 2026 to 15 February 2027.
        let ten =
            |y, m, d| growth(&[], number(y, m, d), GrowthPlace { lat_deg: 52.0, lon_deg: 0.0, transmission: 0.65 });
        assert_eq!(ten(2026, 12, 21).ten_hours_on, Some(number(2027, 2, 16)));
        assert_eq!(ten(2027, 2, 15).ten_hours_on, Some(number(2027, 2, 16)));
        assert_eq!((ten(2026, 10, 25).ten_hours_on, ten(2027, 2, 16).ten_hours_on), (None, None));
        // 7.731 h on the shortest day.
        assert!((ten(2026, 12, 21).day_length_h.unwrap() - 7.731).abs() < 0.02);
    }

    #[test]
    fn too_few_days_leave_the_speed_unknown_but_not_when_growth_is_back() {
        let today = number(2027, 1, 10);
        let mut days = average(today, 0.0);
        for day in days.iter_mut().rev().take(3) {
            day.mean_c = None;
        }
        let got = growth(&days, today, PLACE);
        assert_eq!((got.speed, got.mean_c_d, got.known_d), (None, None, 4));
        assert!(got.back.is_some() && got.light_modelled);
        let nothing = growth(&[], today, PLACE);
        assert!(nothing.speed.is_none() && nothing.back.is_some());
    }

    #[test]
    fn measured_light_counts_and_nonsense_does_not() {
        let today = number(2027, 1, 10);
        let with = |sun| {
            let days: Vec<_> = average(today, 0.0).into_iter().map(|day| GrowthDay { sun_mj_m2: sun, ..day }).collect();
            growth(&days, today, PLACE)
        };
        assert!(with(Some(5.0)).mean_c_d.unwrap() > with(None).mean_c_d.unwrap());
        assert!(!with(Some(5.0)).light_modelled);
        assert_eq!(with(Some(f64::NAN)).mean_c_d, with(None).mean_c_d);
    }

    proptest! {
        #[test]
        fn prop_no_nan_leaves_whatever_comes_in(
            mean in proptest::option::of(proptest::num::f64::ANY), sun in proptest::option::of(proptest::num::f64::ANY),
            lat_deg in -95.0..95.0_f64, transmission in -1.0..2.0_f64, today in 0_i64..40_000,
        ) {
            let days: Vec<_> = (today - 10..today).map(|day| GrowthDay { day, mean_c: mean, sun_mj_m2: sun }).collect();
            let got = growth(&days, today, GrowthPlace { lat_deg, lon_deg: 0.0, transmission });
            prop_assert!(got.mean_c_d.is_none_or(f64::is_finite) && got.day_length_h.is_none_or(f64::is_finite));
            prop_assert!(got.back.is_none_or(|back| back.day > today && back.pickings >= 1));
        }
    }
}
