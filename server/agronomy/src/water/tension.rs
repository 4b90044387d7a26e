//! How hard roots may have to pull before a crop is watered.

use crate::sourced::{Entry, Provenance};
use alloc::vec::Vec;

/// The tension of soil water at which a crop wants water, kPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tension {
    /// Its name in answers, unique.
    pub name: &'static str,
    /// Begin of the range: below it nothing is wanted.
    pub from_kpa: f64,
    /// End of the range: above it water is overdue.
    pub to_kpa: f64,
}

const fn row(name: &'static str, from_kpa: f64, to_kpa: f64) -> Tension {
    Tension { name, from_kpa, to_kpa }
}

/// The table. Criteria in the literature run from 2 to 800 kPa by crop and system (Shock & Wang 2011): these are working defaults.
///
/// ```
/// use propstick_agronomy::water::tension::TENSIONS;
/// // Climate sheet 4.5: leafy salads 20 to 30 kPa.
/// assert_eq!((TENSIONS[0].name, TENSIONS[0].from_kpa, TENSIONS[0].to_kpa), ("leaf-salad", 20.0, 30.0));
/// ```
pub const TENSIONS: &[Tension] = &[
    row("leaf-salad", 20.0, 30.0),
    row("celery", 15.0, 20.0),
    row("onion", 20.0, 30.0),
    row("brassica", 30.0, 50.0),
    row("tomato", 20.0, 40.0),
    row("sweet-pepper", 45.0, 58.0),
    row("melon", 35.0, 35.0),
    row("cucumber", 15.0, 30.0),
];

/// The row for a crop of [`super::crops::CROPS`]; leaf salads for any that has none.
///
/// ```
/// use propstick_agronomy::water::tension::tension_of;
/// assert_eq!((tension_of("cabbage").name, tension_of("spinach").name), ("brassica", "leaf-salad"));
/// ```
pub fn tension_of(crop: &str) -> Tension {
    let row = match crop {
        "celery" => 1,
        "onion-dry" | "onion-green" | "garlic" => 2,
        "broccoli" | "cauliflower" | "cabbage" => 3,
        "tomato" => 4,
        "sweet-pepper" => 5,
        "melon" => 6,
        "cucumber" | "courgette" => 7,
        _ => 0,
    };
    TENSIONS[row]
}

/// The table, number by number.
pub(crate) fn entries() -> Vec<Entry> {
    let mut all = Vec::new();
    for row in TENSIONS {
        let columns = [("from", row.from_kpa), ("to", row.to_kpa)];
        all.extend(columns.map(|(column, value)| Entry {
            table: "water-tension",
            row: row.name.into(),
            column,
            value,
            unit: "kPa",
            provenance: Provenance::Memory,
            source: "climate sheet 4.5: working defaults",
        }));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::water::crops::CROPS;

    #[test]
    fn every_crop_has_a_range_that_runs_upwards() {
        for crop in CROPS {
            let tension = tension_of(crop.name);
            assert!(tension.from_kpa <= tension.to_kpa && (15.0..=58.0).contains(&tension.from_kpa), "{}", crop.name);
        }
        // Climate sheet 4.5: tomato 20-40, pepper 45-58, cucumber 15-30.
        assert_eq!((tension_of("tomato").to_kpa, tension_of("sweet-pepper").from_kpa), (40.0, 45.0));
        assert_eq!(tension_of("cucumber").to_kpa, 30.0);
    }
}
