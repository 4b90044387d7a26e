//! How much water soils hold: FAO-56 Table 19.

use crate::sourced::{Entry, Provenance};
use alloc::vec::Vec;

/// A soil: what it holds at field capacity and at wilting point, m³ of water in a m³ of soil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Soil {
    field_capacity: f64,
    wilting_point: f64,
}

impl Soil {
    /// A soil that holds `field_capacity` after draining and `wilting_point` when plants give up, 0 to 0.6 m³/m³.
    ///
    /// **Errors**: `None` out of range, or where the first is not above the second.
    ///
    /// ```
    /// use propstick_agronomy::water::soils::Soil;
    /// assert!(Soil::new(0.23, 0.11).is_some() && Soil::new(0.11, 0.23).is_none());
    /// ```
    pub fn new(field_capacity: f64, wilting_point: f64) -> Option<Soil> {
        let holds = 0.0..=0.6;
        let meant = holds.contains(&field_capacity) && holds.contains(&wilting_point) && field_capacity > wilting_point;
        meant.then_some(Soil { field_capacity, wilting_point })
    }

    /// Water that roots of `roots_m` (0.05 to 3 m) can reach, mm: total available water.
    ///
    /// **Errors**: `None` out of range. **Source**: FAO-56 eq 82. **Accuracy**: exact to the equation; the table's ranges are ±30 %.
    ///
    /// ```
    /// use propstick_agronomy::water::soils::Soil;
    /// // FAO-56 example 36: silt, tomato rooting 0.8 m: 136 mm.
    /// assert!((Soil::new(0.32, 0.15).unwrap().available_mm(0.8).unwrap() - 136.0).abs() < 1e-9);
    /// ```
    pub fn available_mm(&self, roots_m: f64) -> Option<f64> {
        let meant = (0.05..=3.0).contains(&roots_m);
        meant.then_some(1_000.0 * (self.field_capacity - self.wilting_point) * roots_m)
    }
}

/// A texture's range of field capacity and wilting point, m³/m³, and what it holds in the middle, mm in a metre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Texture {
    /// Its name in answers, unique.
    pub name: &'static str,
    /// Field capacity, least and most.
    pub field_capacity: [f64; 2],
    /// Wilting point, least and most.
    pub wilting_point: [f64; 2],
    /// Available water in the middle, mm/m.
    pub middle_mm_m: f64,
}

const SOURCE: &str = "Allen et al. 1998, FAO-56 Table 19, via the R package CropWaterBalance; climate sheet 4.5";

const fn row(name: &'static str, field_capacity: [f64; 2], wilting_point: [f64; 2], middle_mm_m: f64) -> Texture {
    Texture { name, field_capacity, wilting_point, middle_mm_m }
}

/// The table, sand to clay.
///
/// ```
/// use propstick_agronomy::water::soils::TEXTURES;
/// assert_eq!((TEXTURES[3].name, TEXTURES[3].middle_mm_m), ("loam", 130.0));
/// ```
pub const TEXTURES: &[Texture] = &[
    row("sand", [0.07, 0.17], [0.02, 0.07], 75.0),
    row("loamy-sand", [0.11, 0.19], [0.03, 0.10], 85.0),
    row("sandy-loam", [0.18, 0.28], [0.06, 0.16], 120.0),
    row("loam", [0.20, 0.30], [0.07, 0.17], 130.0),
    row("silt-loam", [0.22, 0.36], [0.09, 0.21], 140.0),
    row("silt", [0.28, 0.36], [0.12, 0.22], 150.0),
    row("silt-clay-loam", [0.30, 0.37], [0.17, 0.24], 130.0),
    row("silty-clay", [0.30, 0.42], [0.17, 0.29], 130.0),
    row("clay", [0.32, 0.40], [0.20, 0.24], 140.0),
];

impl Texture {
    /// The texture of that name.
    ///
    /// ```
    /// use propstick_agronomy::water::soils::Texture;
    /// assert!(Texture::of_name("loam").is_some() && Texture::of_name("peat").is_none());
    /// ```
    pub fn of_name(name: &str) -> Option<&'static Texture> {
        TEXTURES.iter().find(|texture| texture.name == name)
    }

    /// The soil in the middle of its ranges.
    ///
    /// ```
    /// use propstick_agronomy::water::soils::{Soil, Texture};
    /// assert_eq!(Some(Texture::of_name("sandy-loam").unwrap().middle()), Soil::new(0.23, 0.11));
    /// ```
    pub fn middle(&self) -> Soil {
        let middle = |range: [f64; 2]| 0.5 * (range[0] + range[1]);
        Soil { field_capacity: middle(self.field_capacity), wilting_point: middle(self.wilting_point) }
    }
}

/// The table, number by number.
pub(crate) fn entries() -> Vec<Entry> {
    let mut all = Vec::new();
    for texture in TEXTURES {
        let columns = [
            ("field capacity, least", texture.field_capacity[0], "m³/m³"),
            ("field capacity, most", texture.field_capacity[1], "m³/m³"),
            ("wilting point, least", texture.wilting_point[0], "m³/m³"),
            ("wilting point, most", texture.wilting_point[1], "m³/m³"),
            ("available, middle", texture.middle_mm_m, "mm/m"),
        ];
        all.extend(columns.map(|(column, value, unit)| Entry {
            table: "soil-water",
            row: texture.name.into(),
            column,
            value,
            unit,
            provenance: Provenance::Published,
            source: SOURCE,
        }));
    }
    all
}
