//! The vent decision against the sheet's cases, the advice page's scenarios, and what must hold whatever the figures.

mod cases;
mod fifteen;
mod gale_and_night;
mod plans;
pub(crate) mod properties;
mod scenarios;
mod single_rules;

use propstick_agronomy::sun::SunDay;
use propstick_wire::Millis;
use propstick_wire::millis::MINUTE;

use super::*;
use crate::model::{Crops, Notch, Position, StructureKind, Vent, VentKind};

/// A place at 51° N near the sea, as the advice page's scenarios have it.
const LAT_LON: (f64, f64) = (51.0, -3.0);

/// A question asked on a date of 2026 or 2027 at a time of the garden's clock: GMT from November to March, an hour ahead
/// otherwise.
pub fn on(month: u32, day: u32, time: &str) -> VentQuestion {
    let year = if month >= 11 { 2026 } else { 2027 };
    let offset_s = if (4..=10).contains(&month) { 3_600 } else { 0 };
    let clock = LocalClock::steady(offset_s);
    let midnight = chrono::NaiveDate::from_ymd_opt(year, month, day).unwrap().and_hms_opt(0, 0, 0).unwrap();
    let midnight_ms = midnight.and_utc().timestamp_millis() - i64::from(offset_s) * 1_000;
    let (h, m) = time.split_once(':').unwrap();
    let minutes: i64 = h.parse::<i64>().unwrap() * 60 + m.parse::<i64>().unwrap();
    let now = Millis(midnight_ms + minutes * MINUTE);
    let sun = SunDay::of_date(year, month, day, LAT_LON.0, LAT_LON.1).unwrap();
    let mut q = VentQuestion::new(now, clock, tunnel(Crops::Hardy));
    q.sunrise = sun.sunrise_s.map(|s| Millis(s * 1_000));
    q.sunset = sun.sunset_s.map(|s| Millis(s * 1_000));
    q
}

/// A tunnel with a door at each end.
pub fn tunnel(crops: Crops) -> VentStructure {
    let door = |slug: &str, name: &str, faces: &str| Vent {
        slug: slug.into(),
        name: name.into(),
        kind: VentKind::Door,
        faces: Some(faces.into()),
        minutes: None,
        mesh: false,
        positions: positions(&[
            (Notch::Closed, "shut"),
            (Notch::Crack, "a hand's width"),
            (Notch::Half, "half way"),
            (Notch::Full, "wide"),
        ]),
    };
    VentStructure {
        kind: StructureKind::Tunnel,
        vents: vec![door("yard-door", "yard door", "S"), door("field-door", "field door", "N")],
        crops,
    }
}

/// A frame with one lid.
pub fn frame(crops: Crops, all: &[(Notch, &str)]) -> VentStructure {
    let lid = Vent {
        slug: "lid".into(),
        name: "lid".into(),
        kind: VentKind::Lid,
        faces: Some("S".into()),
        minutes: None,
        mesh: false,
        positions: positions(all),
    };
    VentStructure { kind: StructureKind::ColdFrame, vents: vec![lid], crops }
}

fn positions(all: &[(Notch, &str)]) -> Vec<Position> {
    all.iter().map(|(notch, words)| Position { notch: *notch, words: (*words).into(), area_m2: None }).collect()
}

/// Setters that read like the sheet's rows.
pub trait With: Sized {
    fn inside(self, t_c: f64, rh_pct: f64) -> Self;
    fn outside(self, t_c: f64, rh_pct: f64) -> Self;
    fn crops(self, crops: Crops) -> Self;
}

impl With for VentQuestion {
    fn inside(mut self, t_c: f64, rh_pct: f64) -> Self {
        self.inside = Some(Air { t_c, rh_pct: Some(rh_pct), at: self.now.plus(-5 * MINUTE) });
        self
    }

    fn outside(mut self, t_c: f64, rh_pct: f64) -> Self {
        self.outside = Some(Air { t_c, rh_pct: Some(rh_pct), at: self.now.plus(-5 * MINUTE) });
        self
    }

    fn crops(mut self, crops: Crops) -> Self {
        self.structure.crops = crops;
        self
    }
}

/// What may be heard of the night to come.
pub fn heard_of_tonight(q: &VentQuestion, low_c: Option<f64>, gust_m_s: Option<f64>) -> crate::record::Forecast {
    crate::record::Forecast {
        at: q.now,
        of: crate::record::ForecastFor::Tonight,
        low_c,
        high_c: None,
        wind: None,
        gust_m_s,
        sky: None,
        wet: None,
    }
}

/// The verdict of a question about something that can be opened.
#[track_caller]
pub fn decide(q: &VentQuestion) -> Verdict {
    decide_vent(q).expect("something can be opened")
}

/// Moves as "vent notch from-until" on the garden's clock; "lee" for the sheltered end, "-" for no end.
pub fn plan(q: &VentQuestion, verdict: &Verdict) -> Vec<String> {
    let time = |at: Millis| {
        let (h, m) = q.clock.hour_minute(at);
        format!("{h:02}:{m:02}")
    };
    let one = |m: &Move| {
        let vent = m.vent.as_deref().unwrap_or("lee");
        format!("{vent} {} {}-{}", m.notch.word(), time(m.from), m.until.map(time).unwrap_or_default())
    };
    verdict.moves.iter().map(one).collect()
}
