//! What the demo's grower told of the garden: openings set, beds watered, fleece laid, soil felt, looks out of the window.

use chrono::{DateTime, Datelike};
use propstick_garden::model::Notch;
use propstick_garden::record::{Did, FingerSaid, LookSaid, OVERHEAD, Saw};
use propstick_wire::Millis;
use propstick_wire::millis::MINUTE;

use super::chance::Chance;
use super::weather::Outside;

/// Share of the openings set that are told.
const TOLD: f64 = 0.9;
/// The openings of tunnel, low tunnel and frame.
const OPENINGS: [&[&str]; 3] = [&["tunnel-sw-door", "tunnel-ne-door"], &["low-tunnel-side"], &["frame-lid"]];

/// One thing told.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// Something was done.
    Did(Did),
    /// Something was seen.
    Saw(Box<Saw>),
}

/// The diary as it is written.
pub(super) struct Diary {
    chance: Chance,
    covered: bool,
    written: Vec<(Millis, Entry)>,
}

impl Diary {
    pub(super) fn new(seed: u64) -> Diary {
        Diary { chance: Chance::new(seed, 41), covered: false, written: Vec::new() }
    }

    /// Everything written since this was last asked.
    pub(super) fn take(&mut self) -> Vec<(Millis, Entry)> {
        std::mem::take(&mut self.written)
    }

    /// The openings of a place were set.
    pub(super) fn set(&mut self, at: Millis, place: usize, notch: Notch) {
        for (n, opening) in (0..).zip(OPENINGS[place]) {
            if self.chance.happens(TOLD) {
                self.did(at.plus(n * MINUTE), "vent", opening, notch.word());
            }
        }
    }

    /// The look of the morning (0), of noon (1) or of the evening (2) is over.
    pub(super) fn looked(&mut self, at: Millis, look: usize, outside: &Outside) {
        let day = at.0.div_euclid(super::DAY);
        let month = DateTime::from_timestamp_millis(at.0).map_or(1, |t| t.month());
        let growing = (4..=9).contains(&month);
        match look {
            0 if growing && day % 3 == 0 => self.water(at, day),
            0 if self.covered => {
                self.covered = false;
                self.did(at.plus(20 * MINUTE), "fleece", "low-tunnel-fleece", "folded");
            }
            1 if !growing && day % 14 == 0 => {
                let feel = if self.chance.happens(0.2) { "dry" } else { "moist" };
                let finger = FingerSaid { bed: "tunnel-east".into(), feel: feel.into() };
                self.saw(at, Saw { finger: Some(finger), ..Saw::default() });
            }
            1 if day % 30 == 5 => {
                let what = if month == 11 { "grey-mould" } else { "nothing" };
                self.did(at.plus(10 * MINUTE), "found", "tunnel-west", what);
            }
            2 => {
                self.window(at, outside);
                let cold = outside.air_c - 5.0 * (1.0 - outside.cloud) < 2.0;
                if cold && !self.covered {
                    self.covered = true;
                    self.did(at.plus(20 * MINUTE), "fleece", "low-tunnel-fleece", "on");
                }
            }
            _ => {}
        }
    }

    fn water(&mut self, at: Millis, day: i64) {
        let given = |target: &str, what: Option<&str>, amount: f64, unit: &str| Did {
            t: None,
            kind: "water".into(),
            target: Some(target.into()),
            what: what.map(str::to_owned),
            amount: Some(amount),
            unit: Some(unit.into()),
        };
        self.write(at.plus(15 * MINUTE), Entry::Did(given("tunnel-west", None, 40.0, "min")));
        self.write(at.plus(20 * MINUTE), Entry::Did(given("tunnel-east", None, 5.0, "can")));
        if day % 5 == 0 {
            // A rose held over the seedlings.
            self.write(at.plus(25 * MINUTE), Entry::Did(given("low-tunnel-bed", Some(OVERHEAD), 2.0, "can")));
        }
    }

    fn window(&mut self, at: Millis, outside: &Outside) {
        let sky = match outside.cloud {
            c if c < 0.3 => "clear",
            c if c < 0.75 => "broken",
            _ => "overcast",
        };
        let wind = match outside.wind_m_s {
            w if w < 1.0 => "calm",
            w if w < 5.0 => "light",
            w if w < 11.0 => "fresh",
            _ => "gale",
        };
        let wet = if outside.humidity_pct > 99.0 && outside.wind_m_s < 1.5 { "fog" } else { "dry" };
        let look = LookSaid { sky: sky.into(), wind: wind.into(), wet: wet.into(), wind_from_deg: None };
        self.saw(at, Saw { look: Some(look), ..Saw::default() });
    }

    fn did(&mut self, at: Millis, kind: &str, target: &str, what: &str) {
        let (target, what) = (Some(target.to_owned()), Some(what.to_owned()));
        self.write(at, Entry::Did(Did { kind: kind.to_owned(), target, what, ..Did::default() }));
    }

    fn saw(&mut self, at: Millis, saw: Saw) {
        self.write(at, Entry::Saw(Box::new(Saw { teller: "grower".into(), ..saw })));
    }

    fn write(&mut self, at: Millis, entry: Entry) {
        self.written.push((at, entry));
    }
}
