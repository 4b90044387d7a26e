//! The places of a garden and the devices that stand in them.

use chrono_tz::Tz;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::{Bed, Cover, Film, Presence};

/// A whole garden as it is set up.
#[derive(Clone, Debug, PartialEq)]
pub struct Garden {
    /// Its name.
    pub name: String,
    /// Latitude in degrees, north positive.
    pub lat: f64,
    /// Longitude in degrees, east positive.
    pub lon: f64,
    /// Height above the sea in metres.
    pub alt_m: f64,
    /// The zone its clocks keep.
    pub zone: Tz,
    /// Litres in the can that beds are watered with.
    pub can_l: Option<f64>,
    /// Who is there who can act, and when; empty where nobody told.
    pub presence: Vec<Presence>,
    /// Grows with every change.
    pub revision: i64,
    /// Structures, outdoors among them, in walking order.
    pub structures: Vec<Structure>,
    /// Beds.
    pub beds: Vec<Bed>,
    /// Positions where something is measured.
    pub spots: Vec<Spot>,
    /// Which device stood where, from when until when.
    pub placements: Vec<Placement>,
    /// Dated corrections of devices.
    pub corrections: Vec<Correction>,
    /// Stretches of a device that do not count.
    pub exclusions: Vec<Exclusion>,
}

impl Garden {
    /// A garden nobody has set up yet, its clocks on UTC.
    pub fn empty() -> Garden {
        Garden {
            name: "Garden".to_owned(),
            lat: 0.0,
            lon: 0.0,
            alt_m: 0.0,
            zone: Tz::UTC,
            can_l: None,
            presence: Vec::new(),
            revision: 0,
            structures: Vec::new(),
            beds: Vec::new(),
            spots: Vec::new(),
            placements: Vec::new(),
            corrections: Vec::new(),
            exclusions: Vec::new(),
        }
    }

    /// The structure of that slug.
    pub fn structure(&self, slug: &str) -> Option<&Structure> {
        self.structures.iter().find(|s| s.slug == slug)
    }

    /// The spot of that slug.
    pub fn spot(&self, slug: &str) -> Option<&Spot> {
        self.spots.iter().find(|s| s.slug == slug)
    }

    /// The bed of that slug.
    pub fn bed(&self, slug: &str) -> Option<&Bed> {
        self.beds.iter().find(|b| b.slug == slug)
    }

    /// The opening of that slug, and the structure it is of.
    pub fn vent(&self, slug: &str) -> Option<(&Structure, &Vent)> {
        self.structures.iter().find_map(|s| s.vents.iter().find(|v| v.slug == slug).map(|v| (s, v)))
    }

    /// The cover of that slug, and the structure it lies in.
    pub fn cover(&self, slug: &str) -> Option<(&Structure, &Cover)> {
        self.structures.iter().find_map(|s| s.covers.iter().find(|c| c.slug == slug).map(|c| (s, c)))
    }

    /// The spots of a structure.
    pub fn spots_of<'a>(&'a self, slug: &'a str) -> impl Iterator<Item = &'a Spot> + Clone {
        self.spots.iter().filter(move |s| s.structure == slug)
    }

    /// The spot that speaks for a structure's air: its lead spot, else its first air spot.
    pub fn lead_spot<'a>(&'a self, structure: &'a Structure) -> Option<&'a Spot> {
        match &structure.lead_spot {
            Some(slug) => self.spot(slug),
            None => self.spots_of(&structure.slug).find(|s| matches!(s.role, Role::Air | Role::Outside)),
        }
    }

    /// The spot that speaks for the air outside.
    pub fn outside_spot(&self) -> Option<&Spot> {
        self.spots.iter().find(|s| s.role == Role::Outside)
    }

    /// The placement of a channel of a device at an instant.
    pub fn placed(&self, urn: &str, channel: &str, at: Millis) -> Option<&Placement> {
        self.placements.iter().find(|p| p.urn == urn && p.channel == channel && p.holds(at))
    }
}

/// What kind of cover a structure is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StructureKind {
    /// A walk-in polythene tunnel.
    Tunnel,
    /// A low tunnel over a bed.
    LowTunnel,
    /// A cold frame.
    ColdFrame,
    /// Fleece laid over a bed.
    Fleece,
    /// No cover at all.
    Outdoors,
}

impl StructureKind {
    /// All kinds.
    pub const ALL: [StructureKind; 5] = [
        StructureKind::Tunnel,
        StructureKind::LowTunnel,
        StructureKind::ColdFrame,
        StructureKind::Fleece,
        StructureKind::Outdoors,
    ];

    /// Its word in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            StructureKind::Tunnel => "tunnel",
            StructureKind::LowTunnel => "low_tunnel",
            StructureKind::ColdFrame => "cold_frame",
            StructureKind::Fleece => "fleece",
            StructureKind::Outdoors => "outdoors",
        }
    }
}

/// How tough what grows in a structure is, until the diary knows the crops.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Crops {
    /// Winter salads, brassicas and their like.
    #[default]
    Hardy,
    /// Tomatoes, cucumbers, basil, soft seedlings.
    Tender,
    /// Hardy beds with tender trays among them.
    Both,
}

impl Crops {
    /// Its word in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Crops::Hardy => "hardy",
            Crops::Tender => "tender",
            Crops::Both => "both",
        }
    }

    /// The crop groups to watch for where none are named. Our own choice.
    pub const fn usual_groups(self) -> &'static [CropGroup] {
        match self {
            Crops::Hardy => &[CropGroup::Lettuce, CropGroup::Spinach, CropGroup::Brassica, CropGroup::Onion],
            Crops::Tender => &[CropGroup::Tomato, CropGroup::Cucurbit],
            Crops::Both => {
                &[CropGroup::Lettuce, CropGroup::Spinach, CropGroup::Brassica, CropGroup::Onion, CropGroup::Seedling]
            }
        }
    }
}

/// A structure, or the open ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Structure {
    /// Its short name in addresses; never changes.
    pub slug: String,
    /// What kind it is.
    pub kind: StructureKind,
    /// Its name as the grower says it.
    pub name: String,
    /// Ground covered, m².
    pub area_m2: Option<f64>,
    /// Mean height, m.
    pub height_m: Option<f64>,
    /// What it is covered with.
    pub cover: Option<String>,
    /// The spot that speaks for its air.
    pub lead_spot: Option<String>,
    /// How tough what grows in it is.
    pub crops: Crops,
    /// The crop groups named for it, each once; see [`Structure::crop_groups`].
    pub groups: Vec<CropGroup>,
    /// What can be opened.
    pub vents: Vec<Vent>,
    /// What can be laid over its beds.
    pub covers: Vec<Cover>,
    /// Its film or glass, where anything was said of it.
    pub film: Option<Film>,
}

impl Structure {
    /// The crop groups it is watched for: those named, else those that suit how tough its crops are.
    pub fn crop_groups(&self) -> &[CropGroup] {
        if self.groups.is_empty() { self.crops.usual_groups() } else { &self.groups }
    }
}

/// What kind of opening it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum VentKind {
    /// A door.
    Door,
    /// A side that rolls or lifts.
    Side,
    /// A lid.
    Lid,
    /// A flap in the roof.
    Roof,
}

impl VentKind {
    /// All kinds.
    pub const ALL: [VentKind; 4] = [VentKind::Door, VentKind::Side, VentKind::Lid, VentKind::Roof];

    /// Its word in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            VentKind::Door => "door",
            VentKind::Side => "side",
            VentKind::Lid => "lid",
            VentKind::Roof => "roof",
        }
    }
}

/// How far an opening stands open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Notch {
    /// Shut.
    Closed,
    /// A hand's width or so.
    Crack,
    /// About half.
    Half,
    /// All the way.
    Full,
}

impl Notch {
    /// All notches, from shut to open.
    pub const ALL: [Notch; 4] = [Notch::Closed, Notch::Crack, Notch::Half, Notch::Full];

    /// Its word in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Notch::Closed => "closed",
            Notch::Crack => "crack",
            Notch::Half => "half",
            Notch::Full => "full",
        }
    }
}

/// A real position behind a notch.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    /// The notch.
    pub notch: Notch,
    /// How the grower says it, such as "a hand's width".
    pub words: String,
    /// Opening in m², if measured.
    pub area_m2: Option<f64>,
}

/// Something that can be opened.
#[derive(Clone, Debug, PartialEq)]
pub struct Vent {
    /// Its short name; unique in the garden.
    pub slug: String,
    /// Its name as the grower says it, such as "south door".
    pub name: String,
    /// What kind it is.
    pub kind: VentKind,
    /// The side it faces, such as "S" or "NE".
    pub faces: Option<String>,
    /// Minutes it takes to work it, 0 to 120.
    pub minutes: Option<f64>,
    /// Whether insect mesh hangs in it.
    pub mesh: bool,
    /// The positions it can really stand in, from shut to open.
    pub positions: Vec<Position>,
}

/// What a spot is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// The air of a structure at crop height.
    Air,
    /// The coldest corner.
    Frost,
    /// In the soil.
    Soil,
    /// At the leaf.
    Leaf,
    /// Light.
    Light,
    /// At an opening.
    Vent,
    /// The air outside.
    Outside,
}

impl Role {
    /// All roles.
    pub const ALL: [Role; 7] = [Role::Air, Role::Frost, Role::Soil, Role::Leaf, Role::Light, Role::Vent, Role::Outside];

    /// Its word in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Role::Air => "air",
            Role::Frost => "frost",
            Role::Soil => "soil",
            Role::Leaf => "leaf",
            Role::Light => "light",
            Role::Vent => "vent",
            Role::Outside => "outside",
        }
    }
}

/// A position where something is measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Its short name.
    pub slug: String,
    /// The structure it is in.
    pub structure: String,
    /// The bed, if it belongs to one.
    pub bed: Option<String>,
    /// What it is for.
    pub role: Role,
    /// Height above the ground, m.
    pub height_m: Option<f64>,
}

/// A channel of a device stood at a spot from `from` until before `to`.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// URN of the device.
    pub urn: String,
    /// Its channel.
    pub channel: String,
    /// What it measures there.
    pub quantity: Quantity,
    /// The spot.
    pub spot: String,
    /// From when.
    pub from: Millis,
    /// Until before when; open if absent.
    pub to: Option<Millis>,
}

impl Placement {
    /// Whether it holds at an instant.
    pub fn holds(&self, at: Millis) -> bool {
        self.from <= at && self.to.is_none_or(|to| at < to)
    }
}

/// `scale * value + offset` for a stretch of a channel, in the quantity's unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// URN of the device.
    pub urn: String,
    /// Its channel.
    pub channel: String,
    /// From when.
    pub from: Millis,
    /// Until before when; open if absent.
    pub to: Option<Millis>,
    /// Factor.
    pub scale: f64,
    /// Added after the factor.
    pub offset: f64,
    /// Why.
    pub why: String,
}

/// A stretch of a channel that does not count.
#[derive(Clone, Debug, PartialEq)]
pub struct Exclusion {
    /// URN of the device.
    pub urn: String,
    /// Its channel.
    pub channel: String,
    /// From when.
    pub from: Millis,
    /// Until before when; open if absent.
    pub to: Option<Millis>,
    /// Why.
    pub why: String,
}
