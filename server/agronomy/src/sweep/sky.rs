//! Sun, light, growth, degree-days, frost.

use super::{Answers, Refuses, Row, Wild};
use crate::coverage::Sample;
use crate::degree_days::integrated::{of_hours, of_samples};
use crate::degree_days::{Cutoff, DayRange, DegreeDays, Limits, Method};
use crate::frost::critical::Hardiness;
use crate::frost::{Night, NightLow, falls_to_radiation, falls_to_radiation_in_the_open, trend_c, trend_reaches_h};
use crate::sun::{self, DayLength, ShortDays, SunDay, fao56};
use crate::{growth, light};
use alloc::format;
use alloc::vec::Vec;

const CUTOFFS: [Cutoff; 3] = [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical];
const LENGTHS: [DayLength; 2] = [DayLength::Apparent, DayLength::Geometric];

fn samples(w: &mut Wild, from_ms: i64, wild_one_in: usize) -> Vec<Sample> {
    (0..40)
        .map(|k| {
            let v = if w.below(wild_one_in) == 0 { w.n() } else { w.between(0.0, 20.0) };
            Sample { t_ms: from_ms + k * 2_400_000, v }
        })
        .collect()
}

fn nights(w: &mut Wild) -> Vec<Night> {
    let n = w.below(16);
    let wild = w.below(4) == 0;
    let number = |w: &mut Wild| if wild { w.n() } else { w.between(-10.0, 20.0) };
    (0..n).map(|_| Night { dusk_c: number(w), dusk_dew_c: Some(number(w)), low_c: number(w) }).collect()
}

fn learned(w: &mut Wild) -> NightLow {
    let teach =
        |k: u32| Night { dusk_c: f64::from(k), dusk_dew_c: Some(f64::from(k * k) * 0.1), low_c: f64::from(k) - 3.0 };
    let _ = w;
    NightLow::learn(&(0..12).map(teach).collect::<Vec<_>>()).unwrap()
}

pub(super) const ROWS: &[Row] = &[
    Row("sun.rs: of_date", Refuses, |w| {
        let (year, month, day) =
            (w.one_of(&[i32::MIN, 1_899, 2_026, i32::MAX]), w.below(15) as u32, w.below(34) as u32);
        format!("{:?}", SunDay::of_date(year, month, day, w.n(), w.n()))
    }),
    Row("sun.rs: of_day_number", Refuses, |w| {
        let day = w.day();
        format!("{:?}", SunDay::of_day_number(day, w.n(), w.n()))
    }),
    Row("sun/calendar.rs: day_of_year", Answers, |w| format!("{:?}", sun::day_of_year(w.day()))),
    Row("sun/clear_sky.rs: clear_sky_w_m2", Refuses, |w| format!("{:?}", sun::clear_sky_w_m2(w.n()))),
    Row("sun/clear_sky.rs: clear_sky_day_mj_m2", Refuses, |w| {
        // Slow: 288 positions a call.
        let day = if w.below(20) == 0 { w.day() } else { i64::MAX };
        format!("{:?}", sun::clear_sky_day_mj_m2(day, w.n(), w.n()))
    }),
    Row("sun/day_length.rs: seconds", Refuses, |w| {
        let (length, day) = (w.one_of(&LENGTHS), w.day());
        format!("{:?}", length.seconds(day, w.n(), w.n()))
    }),
    Row("sun/day_length.rs: of_winter", Refuses, |w| {
        // Slow: a year of days a call.
        let year = if w.below(20) == 0 { 2_026 } else { w.one_of(&[i32::MIN, 1_899, 2_101, i32::MAX]) };
        let (lat, lon, limit) = (w.n(), w.n(), w.n());
        format!("{:?}", ShortDays::of_winter(year, lat, lon, limit, w.one_of(&LENGTHS)))
    }),
    Row("sun/day_length.rs: days", Answers, |w| {
        let short =
            if w.below(50) == 0 { ShortDays::of_winter(2_026, w.n(), w.n(), 10.0, DayLength::Geometric) } else { None };
        format!("{:?}", short.map(|short| short.days()))
    }),
    Row("sun/day_length.rs: length_s", Answers, |w| {
        format!("{:?}", SunDay::of_day_number(w.day(), w.n(), w.n()).and_then(|day| day.length_s()))
    }),
    Row("sun/fao56.rs: extraterrestrial_day_mj_m2", Refuses, |w| {
        format!("{:?}", fao56::extraterrestrial_day_mj_m2(w.n(), w.day_of_year()))
    }),
    Row("sun/fao56.rs: extraterrestrial_period_mj_m2", Refuses, |w| {
        let (lat, lon, day) = (w.n(), w.n(), w.day_of_year());
        format!("{:?}", fao56::extraterrestrial_period_mj_m2(lat, lon, day, w.n(), w.n()))
    }),
    Row("sun/fao56.rs: elevation_rad", Refuses, |w| {
        let (lat, lon, day) = (w.n(), w.n(), w.day_of_year());
        format!("{:?}", fao56::elevation_rad(lat, lon, day, w.n()))
    }),
    Row("sun/fao56.rs: daylight_hours", Refuses, |w| format!("{:?}", fao56::daylight_hours(w.n(), w.day_of_year()))),
    Row("sun/position.rs: position", Refuses, |w| {
        let at = if w.flag() { w.n() } else { w.t_ms() as f64 / 1_000.0 };
        format!("{:?}", sun::position(at, w.n(), w.n()))
    }),
    Row("sun/position.rs: elevation_deg", Refuses, |w| {
        let at = if w.flag() { w.n() } else { w.t_ms() as f64 / 1_000.0 };
        format!("{:?}", sun::elevation_deg(at, w.n(), w.n()))
    }),
    Row("sun/position.rs: apparent_elevation_deg", Refuses, |w| {
        let at = if w.flag() { w.n() } else { w.t_ms() as f64 / 1_000.0 };
        format!("{:?}", sun::apparent_elevation_deg(at, w.n(), w.n()))
    }),
    Row("light.rs: daily_light_mol_m2", Refuses, |w| format!("{:?}", light::daily_light_mol_m2(w.n()))),
    Row("light.rs: cloudy_day_mj_m2", Refuses, |w| format!("{:?}", light::cloudy_day_mj_m2(w.n(), w.day_of_year()))),
    Row("light.rs: measured", Answers, |w| {
        let from_ms = w.t_ms();
        let samples = samples(w, from_ms, 60);
        let length_ms = w.one_of(&[0, -1, 3_600_000, 40_000_000, 96_000_000]);
        format!("{:?}", light::measured(&samples, from_ms, from_ms + length_ms))
    }),
    Row("growth.rs: effective_day_degrees", Refuses, |w| {
        format!("{:?}", growth::effective_day_degrees(w.n(), w.n(), w.n()))
    }),
    Row("growth.rs: of_day", Refuses, |w| format!("{:?}", growth::of_day(w.n(), w.n()))),
    Row("growth.rs: after", Refuses, |w| {
        let before = w.one_of(&[None, Some(growth::Speed::Stopped), Some(growth::Speed::Growing)]);
        format!("{:?}", growth::Speed::after(before, w.n()))
    }),
    Row("growth.rs: speeds", Answers, |w| {
        format!("{:?}", growth::speeds(&[w.option(), w.option(), w.option(), w.option(), w.option(), w.option()]))
    }),
    Row("degree_days.rs: above", Refuses, |w| format!("{:?}", Limits::above(w.n()))),
    Row("degree_days.rs: between", Refuses, |w| format!("{:?}", Limits::between(w.n(), w.n(), w.one_of(&CUTOFFS)))),
    Row("degree_days.rs: new", Refuses, |w| format!("{:?}", DayRange::new(w.n(), w.n()))),
    Row("degree_days.rs: with_next_min", Refuses, |w| {
        format!("{:?}", DayRange::new(w.n(), w.n()).and_then(|day| day.with_next_min(w.n())))
    }),
    Row("degree_days.rs: of", Refuses, |w| {
        let (day, limits) = (DayRange::new(w.n(), w.n()), Limits::between(w.n(), w.n(), w.one_of(&CUTOFFS)));
        let both = day.zip(limits);
        format!("{:?}", both.and_then(|(day, limits)| DegreeDays::of(day, w.one_of(&Method::ALL), limits)))
    }),
    Row("degree_days.rs: of_day", Refuses, |w| {
        let (low, high, method, base) = (w.n(), w.n(), w.one_of(&Method::ALL), w.n());
        format!("{:?}", DegreeDays::of_day(low, high, method, base, w.option()))
    }),
    Row("degree_days/integrated.rs: of_samples", Answers, |w| {
        let from_ms = w.t_ms();
        let samples = samples(w, from_ms, 60);
        let hours = w.one_of(&[0, 19, 20, 24, 28, 29]);
        format!("{:?}", of_samples(&samples, from_ms, from_ms + hours * 3_600_000, Limits::above(4.0).unwrap()))
    }),
    Row("degree_days/integrated.rs: of_hours", Answers, |w| {
        let n = w.one_of(&[0, 20, 24, 28]);
        let wild = w.flag();
        let hours: Vec<Option<f64>> =
            (0..n).map(|_| if wild { w.option() } else { Some(w.between(0.0, 20.0)) }).collect();
        format!("{:?}", of_hours(&hours, Limits::between(4.0, 24.0, w.one_of(&CUTOFFS)).unwrap()))
    }),
    Row("frost/critical.rs: after_week", Refuses, |w| format!("{:?}", w.one_of(&Hardiness::ALL).after_week(w.n()))),
    Row("frost/regression.rs: learn", Refuses, |w| format!("{:?}", NightLow::learn(&nights(w)))),
    Row("frost/regression.rs: low", Refuses, |w| {
        let learned = learned(w);
        format!("{:?}", learned.low(w.n(), w.option()))
    }),
    Row("frost/regression.rs: trend_c", Refuses, |w| format!("{:?}", trend_c(w.n(), w.n(), w.n(), w.n()))),
    Row("frost/regression.rs: falls_to_radiation", Refuses, |w| {
        format!("{:?}", falls_to_radiation(w.n(), w.n(), w.option()))
    }),
    Row("frost/regression.rs: falls_to_radiation_in_the_open", Refuses, |w| {
        format!("{:?}", falls_to_radiation_in_the_open(w.n(), w.n(), w.option()))
    }),
    Row("frost/regression.rs: trend_reaches_h", Refuses, |w| {
        let (dusk_c, low_c) = if w.flag() { (w.n(), w.n()) } else { (w.between(0.0, 10.0), w.between(-10.0, 2.0)) };
        let night_h = if w.flag() { w.n() } else { 15.0 };
        format!("{:?}", trend_reaches_h(dusk_c, low_c, night_h, w.n()))
    }),
];
