//! The water sum against the sheet's worked examples, the decision against the advice page's scenarios, and what must hold whatever comes in.

mod fold;
mod properties;
mod scenarios;
mod sheet;

use chrono::NaiveDate;
use propstick_agronomy::evapotranspiration::makkink_mm_d;
use propstick_agronomy::water::balance::Given;
use propstick_agronomy::water::soils::Soil;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::*;
use crate::advice::{Air, LocalClock};
use crate::record::Feel;

/// A place at 51° N near the sea, as the advice page's scenarios have it.
pub const SITE: Site = Site { lat_deg: 51.0, lon_deg: -3.0, altitude_m: 50.0 };

/// The lettuce bed of climate sheet 4.5: sandy loam 0.23/0.11, roots 0.30 m, share 0.30, 9.6 m², by drip.
pub fn lettuce() -> WaterBed {
    WaterBed {
        soil: Soil::new(0.23, 0.11),
        roots_m: Some(0.30),
        cover: Some(1.0),
        area_m2: Some(9.6),
        given: Some(Given::Drip),
        drip_l_min: Some(2.0),
        can_l: Some(9.0),
        ..WaterBed::of("lettuce", Shelter::Film, 0.65)
    }
}

/// The same watered by can.
pub fn by_can() -> WaterBed {
    WaterBed { given: Some(Given::Can), ..lettuce() }
}

/// An instant of UTC.
pub fn at(y: i32, m: u32, d: u32, hour: i64, minute: i64) -> Millis {
    let day = NaiveDate::from_ymd_opt(y, m, d).unwrap().and_hms_opt(0, 0, 0).unwrap().and_utc();
    Millis(day.timestamp_millis() + hour * HOUR + minute * MINUTE)
}

/// A day of UTC of which nothing is known, `days` after 1 January 2027.
pub fn unknown(days: i64) -> WaterDay {
    let from = at(2027, 1, 1, 0, 0).plus(days * 24 * HOUR);
    WaterDay::unknown(from.0.div_euclid(24 * HOUR), from, from.plus(24 * HOUR))
}

/// A day on which `bed` under cover most likely wants `mm`: from light that makes it so at 17 °C.
pub fn wanting(bed: &WaterBed, days: i64, mm: f64) -> WaterDay {
    let for_a_megajoule = bed.coefficient().0 * makkink_mm_d(17.0, 1.0, SITE.altitude_m).unwrap();
    WaterDay { min_max_c: Some((10.0, 24.0)), sun_mj_m2: Some(mm / for_a_megajoule), ..unknown(days) }
}

/// A sum with `mm` missing, without doubt.
pub fn short_of(bed: &WaterBed, mm: f64) -> WaterFold {
    WaterFold { missing_mm: Band::exact(mm), ..WaterFold::starting(bed).unwrap() }
}

pub fn watered(at: Millis, mm: f64) -> Told {
    Told { at, what: BedEvent::Watered(Some(Band::exact(mm))) }
}

pub fn felt(at: Millis, feel: Feel) -> Told {
    Told { at, what: BedEvent::Finger(feel) }
}

#[track_caller]
pub fn near(got: f64, wanted: f64, within: f64) {
    assert!((got - wanted).abs() <= within, "{got}, wanted {wanted}");
}
