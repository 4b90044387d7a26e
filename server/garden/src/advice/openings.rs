//! Which openings are set, to which of their real positions.

use propstick_wire::Millis;

use super::limits::{COLD_DAY_C, FACES_WIND_DEG};
use super::{Move, VentStructure};
use crate::model::{Notch, Vent};

/// Which openings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// All of them, at both ends.
    All,
    /// The one away from the wind.
    Sheltered,
}

/// The openings of a structure.
#[derive(Clone, Copy, Debug)]
pub struct Openings<'a> {
    vents: &'a [Vent],
    wind_from_deg: Option<f64>,
    fresh: bool,
}

impl<'a> Openings<'a> {
    /// The openings of `structure`; `fresh`: the wind is fresh or stronger.
    pub fn of(structure: &'a VentStructure, wind_from_deg: Option<f64>, fresh: bool) -> Openings<'a> {
        Openings { vents: structure.vents.as_slice(), wind_from_deg, fresh }
    }

    /// The moves that set `which` openings to `notch`, each to the nearest position it really has. One that can only be
    /// shut or wide open is left shut where a crack is wanted and it is cold outside. Empty where nothing can be set.
    pub fn set(
        &self,
        which: Which,
        notch: Notch,
        outside_c: Option<f64>,
        from: Millis,
        until: Option<Millis>,
    ) -> Vec<Move> {
        let wide_is_harmless = outside_c.is_some_and(|t| t >= COLD_DAY_C);
        let usable: Vec<(&Vent, Notch)> = self
            .vents
            .iter()
            .filter_map(|vent| Some((vent, nearest_position(vent, notch)?)))
            .filter(|(_, got)| *got <= notch || *got < Notch::Full || wide_is_harmless)
            .collect();
        match which {
            Which::All => usable.iter().map(|(vent, got)| set(Some(vent), *got, from, until)).collect(),
            Which::Sheltered => match (usable.as_slice(), self.sheltered()) {
                ([], _) => Vec::new(),
                // The only one there is may face the wind: then no more than a crack.
                ([(vent, got)], _) if self.fresh && self.faces_wind(vent) => {
                    let crack = nearest_position(vent, Notch::Crack).filter(|crack| *crack <= Notch::Crack);
                    vec![set(Some(vent), crack.unwrap_or(*got).min(*got), from, until)]
                }
                ([(vent, got)], _) => vec![set(Some(vent), *got, from, until)],
                (many, Some(lee)) => many
                    .iter()
                    .filter(|(vent, _)| vent.slug == lee.slug)
                    .map(|(vent, got)| set(Some(vent), *got, from, until))
                    .collect(),
                ([(_, got), ..], None) => vec![set(None, *got, from, until)],
            },
        }
    }

    /// The moves that shut everything.
    pub fn shut(&self, from: Millis) -> Vec<Move> {
        self.vents.iter().map(|vent| set(Some(vent), Notch::Closed, from, None)).collect()
    }

    fn faces_wind(&self, vent: &Vent) -> bool {
        self.apart_deg(vent).is_some_and(|apart| apart <= FACES_WIND_DEG)
    }

    /// How far the side that an opening faces lies from the wind's, degrees, 0 to 180.
    fn apart_deg(&self, vent: &Vent) -> Option<f64> {
        let from_deg = self.wind_from_deg.filter(|deg| deg.is_finite())?;
        let apart = (bearing_deg(vent.faces.as_deref()?)? - from_deg).rem_euclid(360.0);
        Some(apart.min(360.0 - apart))
    }

    /// The opening that faces away from the wind, where wind and sides are known and one is clearly more sheltered.
    fn sheltered(&self) -> Option<&'a Vent> {
        let mut by_shelter: Vec<(f64, &Vent)> = Vec::new();
        for vent in self.vents {
            by_shelter.push((self.apart_deg(vent)?, vent));
        }
        by_shelter.sort_by(|a, b| b.0.total_cmp(&a.0));
        match by_shelter.as_slice() {
            [(best, vent), (next, _), ..] if best - next >= 30.0 => Some(vent),
            [(_, vent)] => Some(vent),
            _ => None,
        }
    }
}

fn set(vent: Option<&Vent>, notch: Notch, from: Millis, until: Option<Millis>) -> Move {
    Move { vent: vent.map(|v| v.slug.clone()), notch, from, until }
}

/// The widest open position up to `wanted`, else the narrowest open one.
fn nearest_position(vent: &Vent, wanted: Notch) -> Option<Notch> {
    if vent.positions.is_empty() {
        return Some(wanted);
    }
    let open = || vent.positions.iter().map(|p| p.notch).filter(|n| *n != Notch::Closed);
    open().filter(|n| *n <= wanted).max().or_else(|| open().min())
}

/// Degrees from north of a side named by compass points.
fn bearing_deg(side: &str) -> Option<f64> {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let at = POINTS.iter().position(|point| side.trim().eq_ignore_ascii_case(point))?;
    Some(at as f64 * 45.0)
}
