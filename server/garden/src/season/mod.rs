//! From what was measured at a spot to what its leaves went through: marks, wet hours in three runs, noon-days of risk by crop group, and what follows
//! from them for a structure.
//!
//! Order of work: [`marks_at`] says which readings count as missing, [`Doubts`] which ones a neighbour contradicts, [`join_air`] makes the air of a spot
//! from the rest, [`SpotState::close_day`] goes through it noon-day by noon-day. A [`SpotState`] is plain values: kept at a noon, it goes on from there
//! when a late reading comes, and says the same as if it had never stopped. What rests on a few days only ([`Flags`]) is worked out from the hours when
//! it is asked for. A wetness gauge ([`LeafGauge`]) is learned noon-day by noon-day, and overrides humidity where it is believed.

mod air;
mod band;
mod flags;
mod gauge;
mod look;
mod marks;
mod soil;
mod state;
mod structure;
mod sunlit;
mod tape;
mod week;
mod wetting;

pub use air::{Doubts, SpotAir, join_air, join_air_with};
pub use band::{BandLeaves, BandStretch, leaf_band};
pub use flags::{
    BlightOutdoors, DayWeather, Flags, LEAVES_LOOK_BACK_MS, MORNING_AHEAD_MS, blight_outdoors, day_weather,
};
pub use gauge::{BesideAir, GAUGE_LOOK_BACK_MS, GaugeAir, GaugeMemory, LeafGauge, gauge_beside};
pub use look::{Look, look_for, weekly_look};
pub use marks::{MARKED_AHEAD_MS, MARKED_BACK_MS, Marker, kind_of, marks_at, marks_since, twin_of, unmarked};
pub use soil::{damping_off, soil_was_moist};
pub use state::{DayRoom, Night, SpotState, noon_before, roll_forward, spell_hour};
pub use structure::{Found, GroupRisk, SpotNight, group_risks, wet_hours_figure, worst_night};
pub use sunlit::{SunThere, mark_sun};
pub use week::{PastDay, WeekStanding, week_standing};
pub use wetting::{SETTING_STANDS_MS, ToldWet, lets_rain_in};

use propstick_agronomy::coverage::HOUR_MS;

/// A noon-day, ms.
pub const NOON_DAY_MS: i64 = 24 * HOUR_MS;
/// How far before a new reading the first noon-day it can change may end, ms: as far as a mark reaches, and the longest cover of a reading before that.
pub const CHANGED_BACK_MS: i64 = MARKED_AHEAD_MS + 36 * HOUR_MS + HOUR_MS;
/// How far after a new reading it can change a mark, a cadence or a cover, ms; beyond it only states carry it on.
pub const CHANGED_AHEAD_MS: i64 = MARKED_BACK_MS + 36 * HOUR_MS + HOUR_MS;
/// How far before a stretch readings must be given for its hours to be exact, ms.
pub const LOOK_BACK_MS: i64 = MARKED_BACK_MS + propstick_agronomy::coverage::LOOK_BACK_MS;
/// How far after it.
pub const LOOK_AHEAD_MS: i64 = MARKED_AHEAD_MS + 36 * HOUR_MS;
