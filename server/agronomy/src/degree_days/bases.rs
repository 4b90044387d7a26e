//! Base temperatures that others published. They belong to their method and disagree by up to 7 °C for one crop, so several are offered, each
//! labelled, and the grower's own harvest dates decide.

use crate::sourced::Provenance::{Memory, Published};
use crate::sourced::{Entry, Provenance};
use alloc::vec::Vec;

/// A crop's base temperature, as one source has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Base {
    /// The crop.
    pub crop: &'static str,
    /// Which of several for that crop.
    pub variant: &'static str,
    /// Base temperature, °C.
    pub base_c: f64,
    /// Temperature beyond which more warmth adds nothing or of fastest growth, °C, where the source gives one.
    pub optimum_c: Option<f64>,
    /// How far it can be trusted.
    pub provenance: Provenance,
    /// Where it comes from.
    pub source: &'static str,
}

const SWAT: &str = "crop table of the SWAT model (plant.dat); climate sheet 2.3";
const WURR: &str = "Wurr and co-workers, J. agric. Sci., abstracts on crisp and butterhead lettuce; climate sheet 2.3";
const ALCEPAS: &str = "ALCEPAS, de Visser 1994, in the WOFOST seed-onion set: capped at 21 °C; climate sheet 2.3";
const BREWSTER: &str = "Brewster 2008, eq 4.6-4.7, from Harrington 1962; climate sheet 2.3";

const fn row(
    crop: &'static str,
    variant: &'static str,
    base_c: f64,
    optimum_c: Option<f64>,
    provenance: Provenance,
    source: &'static str,
) -> Base {
    Base { crop, variant, base_c, optimum_c, provenance, source }
}

/// The table of climate sheet 2.3.
///
/// ```
/// use propstick_agronomy::degree_days::bases::BASES;
/// // Lettuce: 0 °C in British field trials, 7 °C in a crop model's table.
/// let lettuce: Vec<f64> = BASES.iter().filter(|b| b.crop == "lettuce").map(|b| b.base_c).collect();
/// assert_eq!(lettuce, [0.0, 7.0, 3.5]);
/// ```
pub const BASES: &[Base] = &[
    row("lettuce", "field", 0.0, None, Published, WURR),
    row("lettuce", "model", 7.0, Some(18.0), Published, SWAT),
    row("lettuce", "seed", 3.5, None, Memory, "Bierhuizen & Wagenvoort 1974; climate sheet 2.3"),
    row("spinach", "model", 4.0, Some(24.0), Published, SWAT),
    row("broccoli", "model", 4.0, Some(18.0), Published, SWAT),
    row("cabbage", "model", 1.0, Some(18.0), Published, SWAT),
    row("cauliflower", "model", 5.0, Some(18.0), Published, SWAT),
    row("onion", "model", 7.0, Some(19.0), Published, SWAT),
    row("onion", "crop", 0.0, Some(21.0), Published, ALCEPAS),
    row("onion", "seed", 2.5, None, Published, BREWSTER),
    row("tomato", "model", 10.0, Some(22.0), Published, SWAT),
    row("tomato", "crop", 7.0, Some(28.0), Memory, "AquaCrop; climate sheet 2.3"),
    row("cucumber", "model", 16.0, Some(32.0), Published, SWAT),
    row("cucumber", "crop", 12.0, None, Published, "Uriol et al.; climate sheet 2.3"),
    row("melon", "model", 15.0, Some(35.0), Published, SWAT),
    row("melon", "nodes", 10.0, Some(34.0), Published, "Streck et al. 2005; climate sheet 2.3"),
    row("pea", "model", 5.0, Some(14.0), Published, SWAT),
    row("pea", "harvest", 4.4, None, Published, "University of Delaware 2025: 40 °F; climate sheet 2.3"),
    row("carrot", "model", 7.0, Some(24.0), Published, SWAT),
    row(
        "radish",
        "model",
        7.0,
        Some(24.0),
        Published,
        "crop table of the SWAT model, whose radish row copies carrot; climate sheet 2.3",
    ),
    row("celery", "model", 4.0, Some(22.0), Published, SWAT),
    row("pepper", "model", 18.0, Some(27.0), Published, SWAT),
];

/// The table, number by number.
pub(crate) fn entries() -> Vec<Entry> {
    let entry = |b: &Base, column: &'static str, value: f64| Entry {
        table: "degree-day-bases",
        row: [b.crop, b.variant].join(", "),
        column,
        value,
        unit: "°C",
        provenance: b.provenance,
        source: b.source,
    };
    BASES
        .iter()
        .flat_map(|b| [Some(entry(b, "base", b.base_c)), b.optimum_c.map(|t| entry(b, "optimum", t))])
        .flatten()
        .collect()
}
