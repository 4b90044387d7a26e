//! What crops use of water, how deep they root and how dry they may get: FAO-56 Tables 12, 17 and 22.

use crate::sourced::{Entry, Provenance};
use alloc::vec::Vec;

/// A crop's coefficients.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crop {
    /// Its name in answers: words with hyphens, unique.
    pub name: &'static str,
    /// Use as a multiple of the reference: young, in full leaf, at the end. FAO-56 Table 12.
    pub kc: [f64; 3],
    /// Use by the leaves alone: young, in full leaf, at the end. FAO-56 Table 17.
    pub kcb: [f64; 3],
    /// Greatest height, m.
    pub height_m: f64,
    /// Range of its greatest rooting depth, m. In raised tunnel beds use the small end or less.
    pub roots_m: [f64; 2],
    /// Share of the soil's water that it takes without suffering, at a use of 5 mm a day. FAO-56 Table 22.
    pub share: f64,
}

const SOURCE: &str = "Allen et al. 1998, FAO-56 Tables 12, 17 and 22, via pyfao56 1.4.3; climate sheet 4.4";

const fn row(name: &'static str, kc: [f64; 3], kcb: [f64; 3], height_m: f64, roots_m: [f64; 2], share: f64) -> Crop {
    Crop { name, kc, kcb, height_m, roots_m, share }
}

/// The table. The last row stands for a crop that is not in it.
///
/// Lysimeter lettuce under cover used 0.6 ± 0.3 of the reference (Casanova et al. 2009), not the 1.0 of this table: show the band.
///
/// ```
/// use propstick_agronomy::water::crops::CROPS;
/// // FAO-56 Table 12: tomato in full leaf 1.15.
/// assert_eq!(CROPS.iter().find(|c| c.name == "tomato").unwrap().kc[1], 1.15);
/// ```
pub const CROPS: &[Crop] = &[
    row("lettuce", [0.7, 1.00, 0.95], [0.15, 0.90, 0.90], 0.3, [0.3, 0.5], 0.30),
    row("spinach", [0.7, 1.00, 0.95], [0.15, 0.90, 0.85], 0.3, [0.3, 0.5], 0.20),
    row("radish", [0.7, 0.90, 0.85], [0.15, 0.85, 0.75], 0.3, [0.3, 0.5], 0.30),
    row("broccoli", [0.7, 1.05, 0.95], [0.15, 0.95, 0.85], 0.3, [0.4, 0.6], 0.45),
    row("cauliflower", [0.7, 1.05, 0.95], [0.15, 0.95, 0.85], 0.4, [0.4, 0.7], 0.45),
    row("cabbage", [0.7, 1.05, 0.95], [0.15, 0.95, 0.85], 0.4, [0.5, 0.8], 0.45),
    row("celery", [0.7, 1.05, 1.00], [0.15, 0.95, 0.90], 0.6, [0.3, 0.5], 0.20),
    row("carrot", [0.7, 1.05, 0.95], [0.15, 0.95, 0.85], 0.3, [0.5, 1.0], 0.35),
    row("onion-dry", [0.7, 1.05, 0.75], [0.15, 0.95, 0.65], 0.4, [0.3, 0.6], 0.30),
    row("onion-green", [0.7, 1.00, 1.00], [0.15, 0.90, 0.90], 0.3, [0.3, 0.6], 0.30),
    row("garlic", [0.7, 1.00, 0.70], [0.15, 0.90, 0.60], 0.3, [0.3, 0.5], 0.30),
    row("beetroot", [0.5, 1.05, 0.95], [0.15, 0.95, 0.85], 0.4, [0.6, 1.0], 0.50),
    row("pea", [0.5, 1.15, 1.10], [0.15, 1.10, 1.05], 0.5, [0.6, 1.0], 0.35),
    row("bean", [0.5, 1.05, 0.90], [0.15, 1.00, 0.80], 0.4, [0.5, 0.7], 0.45),
    row("tomato", [0.6, 1.15, 0.80], [0.15, 1.10, 0.70], 0.6, [0.7, 1.5], 0.40),
    row("sweet-pepper", [0.6, 1.05, 0.90], [0.15, 1.00, 0.80], 0.7, [0.5, 1.0], 0.30),
    row("cucumber", [0.6, 1.00, 0.75], [0.15, 0.95, 0.70], 0.3, [0.7, 1.2], 0.50),
    row("melon", [0.5, 1.05, 0.75], [0.15, 1.00, 0.70], 0.4, [0.8, 1.5], 0.40),
    row("courgette", [0.5, 0.95, 0.75], [0.15, 0.90, 0.70], 0.3, [0.6, 1.0], 0.50),
    row("small-vegetables", [0.7, 1.05, 0.95], [0.15, 0.95, 0.85], 0.3, [0.3, 0.5], 0.30),
];

/// The crop of that name; for any other the row of small vegetables.
///
/// ```
/// use propstick_agronomy::water::crops::crop;
/// assert_eq!((crop("spinach").share, crop("mizuna").name), (0.20, "small-vegetables"));
/// ```
pub fn crop(name: &str) -> &'static Crop {
    let last = &CROPS[CROPS.len() - 1];
    CROPS.iter().find(|crop| crop.name == name).unwrap_or(last)
}

impl Crop {
    /// Use as a multiple of the reference at `cover`, the share of the ground that leaves hide, 0 to 1: from the young crop's to full leaf's in a
    /// straight line.
    ///
    /// **Errors**: `None` out of range. **Source**: FAO-56 fig. 34 with the ground cover in the place of days, which are Mediterranean (climate sheet
    /// 4.4); our proposal. **Accuracy**: ±30 %.
    ///
    /// ```
    /// use propstick_agronomy::water::crops::crop;
    /// assert!((crop("lettuce").coefficient(0.5).unwrap() - 0.85).abs() < 1e-12);
    /// ```
    pub fn coefficient(&self, cover: f64) -> Option<f64> {
        (0.0..=1.0).contains(&cover).then_some(self.kc[0] + (self.kc[1] - self.kc[0]) * cover)
    }
}

/// The table, number by number.
pub(crate) fn entries() -> Vec<Entry> {
    let mut all = Vec::new();
    for crop in CROPS {
        // The height, roots and share of a crop that is in no table are ours.
        let ours = crop.name == "small-vegetables";
        let columns = [
            ("Kc young", crop.kc[0], "1", false),
            ("Kc full", crop.kc[1], "1", false),
            ("Kc end", crop.kc[2], "1", false),
            ("Kcb young", crop.kcb[0], "1", false),
            ("Kcb full", crop.kcb[1], "1", false),
            ("Kcb end", crop.kcb[2], "1", false),
            ("height", crop.height_m, "m", ours),
            ("roots, least", crop.roots_m[0], "m", ours),
            ("roots, most", crop.roots_m[1], "m", ours),
            ("share", crop.share, "1", ours),
        ];
        all.extend(columns.map(|(column, value, unit, ours)| Entry {
            table: "crop-water",
            row: crop.name.into(),
            column,
            value,
            unit,
            provenance: if ours { Provenance::Proposal } else { Provenance::Published },
            source: if ours { "our own: as lettuce" } else { SOURCE },
        }));
    }
    all
}
