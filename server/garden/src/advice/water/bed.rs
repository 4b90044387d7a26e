//! What the water of a bed is reckoned from: its soil, roots and crop, and the cover above it.

use propstick_agronomy::light::{self, Layer};
use propstick_agronomy::water::balance::{self, Given};
use propstick_agronomy::water::crops;
use propstick_agronomy::water::soils::{Soil, Texture};

use super::limits as l;
use crate::model::StructureKind;

/// What stands above a bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shelter {
    /// A film or glass that keeps rain off.
    Film,
    /// Fleece: rain comes through.
    Fleece,
    /// Nothing.
    None,
}

impl Shelter {
    /// What stands above the beds of a structure of that kind.
    pub const fn of(kind: StructureKind) -> Shelter {
        match kind {
            StructureKind::Tunnel | StructureKind::LowTunnel | StructureKind::ColdFrame => Shelter::Film,
            StructureKind::Fleece => Shelter::Fleece,
            StructureKind::Outdoors => Shelter::None,
        }
    }

    /// Whether rain reaches the bed.
    pub const fn lets_rain_in(self) -> bool {
        !matches!(self, Shelter::Film)
    }
}

/// Share of the outdoor light that reaches a crop in a structure of that kind, 0 to 1, where nobody has measured it (climate sheet 3.5).
pub fn usual_transmission(kind: StructureKind) -> f64 {
    let layers: &[Layer] = match kind {
        StructureKind::Tunnel => &[Layer::Tunnel],
        StructureKind::LowTunnel => &[Layer::Film],
        StructureKind::ColdFrame => &[Layer::Glass],
        StructureKind::Fleece => &[Layer::Fleece17],
        StructureKind::Outdoors => &[],
    };
    light::transmission(layers)
}

/// A bed as the water fold sees it. What nobody has said is `None`, and the fold then says what is missing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterBed {
    /// Its soil.
    pub soil: Option<Soil>,
    /// How deep the roots reach, m; none: the shallow end of the crop's range, as raised beds have it.
    pub roots_m: Option<f64>,
    /// What grows in it.
    pub crop: &'static crops::Crop,
    /// Share of the ground that leaves hide, 0 to 1.
    pub cover: Option<f64>,
    /// Area, m².
    pub area_m2: Option<f64>,
    /// How it is watered, where that is set.
    pub given: Option<Given>,
    /// Litres a minute its drip line gives to the whole bed.
    pub drip_l_min: Option<f64>,
    /// Litres in the can.
    pub can_l: Option<f64>,
    /// What stands above it.
    pub shelter: Shelter,
    /// Share of the outdoor light that reaches it, 0 to 1.
    pub transmission: f64,
}

impl WaterBed {
    /// A bed under `shelter` of a crop by its name, of which nothing else is known yet.
    pub fn of(crop: &str, shelter: Shelter, transmission: f64) -> WaterBed {
        WaterBed {
            soil: None,
            roots_m: None,
            crop: crops::crop(crop),
            cover: None,
            area_m2: None,
            given: None,
            drip_l_min: None,
            can_l: None,
            shelter,
            transmission,
        }
    }

    /// The same with the soil of a texture by its name, spaces or hyphens; unknown where the name is none of [`Texture`]'s.
    pub fn with_texture(self, name: &str) -> WaterBed {
        let name = name.trim().to_lowercase().replace([' ', '_'], "-");
        WaterBed { soil: Texture::of_name(&name).map(|texture| texture.middle()), ..self }
    }

    /// What its soil holds and the crop can take: none without a soil.
    ///
    /// The share is the table's own, not the one for days of little use: shallow-rooted salads in raised beds are better asked for early, and the
    /// worked example of climate sheet 4.5 has it so.
    pub fn holds(&self) -> Option<balance::Bed> {
        balance::Bed::new(self.soil?, self.roots_m(), self.crop.share)
    }

    /// How deep the roots reach, m.
    pub fn roots_m(&self) -> f64 {
        self.roots_m.filter(|m| (0.05..=3.0).contains(m)).unwrap_or(self.crop.roots_m[0])
    }

    /// What the crop uses as a multiple of the reference, and how far off that may be, as a share of it.
    ///
    /// Under cover the middle of the table's coefficient and of what lettuce on a lysimeter used (0.6 of it), outdoors the table's. The doubts of the
    /// reference (±30 %), of the coefficient and of an unknown leaf cover are independent, so that their squares add: our proposal.
    pub fn coefficient(&self) -> (f64, f64) {
        let known = self.cover.filter(|share| (0.0..=1.0).contains(share));
        let table = self.crop.coefficient(known.unwrap_or(l::COVER)).unwrap_or(self.crop.kc[1]);
        let share = propstick_agronomy::water::constants::UNDER_COVER_SHARE.value;
        let (middle, of_coefficient) = match self.shelter {
            Shelter::None => (table, 0.0),
            Shelter::Film | Shelter::Fleece => (0.5 * (1.0 + share) * table, l::COEFFICIENT_DOUBT),
        };
        let of_reference = propstick_agronomy::evapotranspiration::constants::UNDER_COVER_DOUBT.value;
        let of_cover = if known.is_some() { 0.0 } else { l::COVER_DOUBT };
        let squares = of_reference * of_reference + of_coefficient * of_coefficient + of_cover * of_cover;
        (middle, squares.sqrt())
    }

    /// How water is given to it at the root: what is set, else by can.
    pub fn at_the_root(&self) -> Given {
        match self.given {
            Some(Given::Drip) => Given::Drip,
            _ => Given::Can,
        }
    }
}
