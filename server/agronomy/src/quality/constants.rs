//! The limits of what a reading can be, each once. Section numbers are those of the project's sheet on climate and water.

use crate::sourced::Provenance::{Memory, Proposal, Published, Secondary};
use crate::sourced::Sourced;

const ZAHUMENSKY: &str = "Zahumensky 2004 (WMO), via transcriptions; climate sheet 7";
const INSIDE: &str = "climate sheet 7: under a cover it can really move fast";
const HOURLY: &str = "Shafer et al. 2000 style, University of Washington quality notes; climate sheet 7";
const OURS: &str = "our own choice";
const TWO_TUNNELS: &str = "our own choice: two tunnels of the Veneto and six compartments in Holland really move so";

/// Coldest air or soil that a place under cover can have.
pub const COLDEST_C: Sourced =
    Sourced::new("range-coldest", (-25.0, "°C"), (-40.0, -15.0), Proposal, "climate sheet 7, local");
/// Warmest air.
pub const WARMEST_AIR_C: Sourced =
    Sourced::new("range-warmest-air", (60.0, "°C"), (50.0, 80.0), Proposal, "climate sheet 7, local");
/// Warmest soil: a hot bed.
pub const WARMEST_SOIL_C: Sourced =
    Sourced::new("range-warmest-soil", (80.0, "°C"), (50.0, 95.0), Proposal, "our own choice: hot beds and heaps");
/// Driest air.
pub const DRIEST_PCT: Sourced = Sourced::new(
    "range-driest",
    (5.0, "%RH"),
    (0.0, 15.0),
    Proposal,
    "our own choice: air near the sea is never so dry; a fallen sensor reads 0 or 1",
);
/// Dampest air that a sensor can mean.
pub const DAMPEST_PCT: Sourced = Sourced::new(
    "range-dampest",
    (105.0, "%RH"),
    (100.0, 110.0),
    Published,
    "range limit of the University of Washington's quality notes; climate sheet 1.5",
);
/// Humidity from which on a sensor cannot tell more.
pub const SATURATED_PCT: Sourced =
    Sourced::new("mark-saturated-from", (99.5, "%RH"), (98.0, 100.0), Proposal, "climate sheet 1.5");

/// Fastest believable change of air temperature under cover.
pub const STEP_INSIDE_C_MIN: Sourced = Sourced::new("step-inside", (5.0, "°C/min"), (2.0, 10.0), Memory, INSIDE);
/// Fastest believable change of air temperature outside.
pub const STEP_OUTSIDE_C_MIN: Sourced =
    Sourced::new("step-outside", (3.0, "°C/min"), (1.0, 6.0), Secondary, ZAHUMENSKY);
/// Greatest believable change of temperature between readings that lie minutes to an hour apart.
pub const STEP_MOST_C: Sourced = Sourced::new("step-most", (10.0, "°C"), (6.0, 15.0), Secondary, HOURLY);
/// Fastest believable change of soil temperature.
pub const STEP_SOIL_C_MIN: Sourced = Sourced::new("step-soil", (1.0, "°C/min"), (0.2, 3.0), Proposal, OURS);
/// Fastest believable change of humidity under cover.
pub const STEP_INSIDE_PCT_MIN: Sourced =
    Sourced::new("step-inside-humidity", (20.0, "%RH/min"), (10.0, 40.0), Memory, INSIDE);
/// Fastest believable change of humidity outside.
pub const STEP_OUTSIDE_PCT_MIN: Sourced =
    Sourced::new("step-outside-humidity", (10.0, "%RH/min"), (5.0, 20.0), Memory, "climate sheet 7");
/// Greatest believable change of humidity between readings that lie minutes to an hour apart.
pub const STEP_MOST_PCT: Sourced = Sourced::new("step-most-humidity", (60.0, "%RH"), (40.0, 80.0), Secondary, HOURLY);

/// A spike stands out from both neighbours by more than this many standard deviations, both differences together.
pub const SPIKE_DEVIATIONS: Sourced = Sourced::new("spike-deviations", (4.0, "1"), (3.0, 6.0), Secondary, ZAHUMENSKY);
/// Least and greatest deviation of temperature that a spike is measured by: under cover sun and a door move the air by 2 °C and back within minutes.
pub const SPIKE_INSIDE_C: [Sourced; 2] = [
    Sourced::new("spike-least-deviation", (1.0, "°C"), (0.1, 2.0), Proposal, TWO_TUNNELS),
    Sourced::new("spike-greatest-deviation", (5.0, "°C"), (2.0, 10.0), Proposal, OURS),
];
/// The same outside.
pub const SPIKE_OUTSIDE_C: [Sourced; 2] = [
    Sourced::new("spike-least-deviation-outside", (0.5, "°C"), (0.1, 2.0), Proposal, OURS),
    Sourced::new("spike-greatest-deviation-outside", (3.0, "°C"), (2.0, 10.0), Proposal, OURS),
];
/// The same of humidity under cover.
pub const SPIKE_INSIDE_PCT: [Sourced; 2] = [
    Sourced::new("spike-least-deviation-humidity", (8.0, "%RH"), (0.5, 10.0), Proposal, TWO_TUNNELS),
    Sourced::new("spike-greatest-deviation-humidity", (12.0, "%RH"), (5.0, 20.0), Proposal, OURS),
];
/// The same of humidity outside.
pub const SPIKE_OUTSIDE_PCT: [Sourced; 2] = [
    Sourced::new("spike-least-deviation-humidity-outside", (4.0, "%RH"), (0.5, 8.0), Proposal, OURS),
    Sourced::new("spike-greatest-deviation-humidity-outside", (10.0, "%RH"), (5.0, 20.0), Proposal, OURS),
];

/// A temperature that moves less than this stands still.
pub const STILL_C: Sourced = Sourced::new("stuck-still", (0.1, "°C"), (0.01, 0.2), Secondary, ZAHUMENSKY);
/// A humidity that moves less than this stands still.
pub const STILL_PCT: Sourced = Sourced::new(
    "stuck-still-humidity",
    (0.3, "%RH"),
    (0.05, 1.0),
    Proposal,
    "our own choice: the 1 % of Zahumensky 2004 calls live sensors of two tunnels stuck; climate sheet 7",
);
/// From this humidity on standing still is no fault by itself: see [`STUCK_DAMP_MIN`].
pub const STILL_BELOW_PCT: Sourced = Sourced::new(
    "stuck-below",
    (95.0, "%RH"),
    (90.0, 98.0),
    Secondary,
    "station quality notes: plateaus at 99 % to 20 h in fog; climate sheet 7",
);
/// How near saturation over ice standing still is no fault either.
pub const STILL_OVER_ICE_PCT: Sourced = Sourced::new(
    "stuck-over-ice",
    (3.0, "%RH"),
    (1.0, 6.0),
    Proposal,
    "plateaus of 85 to 91 % for 4 to 8 h below 0 °C, station quality notes; climate sheet 1.5 and 7",
);
/// So long at least.
pub const STUCK_MIN: Sourced = Sourced::new("stuck-after", (60.0, "min"), (30.0, 240.0), Secondary, ZAHUMENSKY);
/// In so many readings at least: whole per cents by the hour repeat themselves.
pub const STUCK_READINGS: Sourced = Sourced::new("stuck-readings", (12.0, "1"), (6.0, 30.0), Proposal, OURS);
/// While the temperature beside a humidity moved by this: at a steady content of water it would have moved by 12 %RH.
pub const BESIDE_MOVED_C: Sourced = Sourced::new("stuck-beside-moved", (2.0, "°C"), (0.5, 5.0), Proposal, OURS);
/// Without anything beside it: so long.
pub const STUCK_ALONE_MIN: Sourced =
    Sourced::new("stuck-alone-after", (720.0, "min"), (360.0, 1_440.0), Proposal, OURS);
/// A humidity that moves by this while the temperature beside it stands still shows that their sensor lives, up to [`STUCK_DAMP_MIN`].
pub const ALIVE_PCT: Sourced = Sourced::new(
    "stuck-humidity-lives",
    (5.0, "%RH"),
    (2.0, 15.0),
    Proposal,
    "our own choice: real air outside has kept one whole degree Fahrenheit for 14 hours, and one chip measures both",
);
/// A temperature whose steps are as fine as this flickers while its sensor lives: one number for [`STUCK_MIN`] is a fault.
pub const FINE_STEP_C: Sourced = Sourced::new(
    "stuck-fine-step",
    (0.04, "°C"),
    (0.01, 0.05),
    Proposal,
    "our own choice: chips of 0.01 °C have a noise of some hundredths; one-wire probes have steps of 0.0625 °C",
);

/// A humidity from [`STILL_BELOW_PCT`] on, but below the 99 % of saturation, that stands still for so long while the temperature beside it moved by
/// [`DAMP_MOVED_C`] is stuck all the same: fog stands for 20 h, but not through a day that warms. So long a temperature may stand still at the most.
pub const STUCK_DAMP_MIN: Sourced =
    Sourced::new("stuck-damp-after", (1_440.0, "min"), (1_200.0, 1_440.0), Proposal, OURS);
/// See [`STUCK_DAMP_MIN`].
pub const DAMP_MOVED_C: Sourced = Sourced::new(
    "stuck-damp-moved",
    (5.0, "°C"),
    (2.0, 10.0),
    Proposal,
    "that of a sensor saturated for 48 h, wetness sheet 1.5",
);
/// From here on a humidity that stands still is saturated, right or wrong, and never stuck.
pub const STILL_SATURATED_PCT: Sourced =
    Sourced::new("stuck-damp-below", (99.0, "%RH"), (98.0, 100.0), Proposal, "wetness sheet 1.5");

/// How far two temperatures of one tunnel may be apart by day.
pub const APART_DAY_C: Sourced = Sourced::new("neighbour-day", (6.0, "°C"), (3.0, 12.0), Memory, "climate sheet 7");
/// How far by night.
pub const APART_NIGHT_C: Sourced = Sourced::new("neighbour-night", (3.0, "°C"), (1.5, 6.0), Memory, "climate sheet 7");
/// How far two vapour pressures of one place may be apart, in dead bands of both sensors: see [`super::Vapour::allowed_kpa`].
pub const APART_BANDS: Sourced = Sourced::new(
    "neighbour-vapour",
    (3.0, "dead bands"),
    (1.5, 6.0),
    Proposal,
    "our own choice, by the dead band of the advice page; the 0.2 kPa of climate sheet 7 (memory) is 33 %RH at 0 °C",
);
/// And never nearer than this.
pub const APART_LEAST_KPA: Sourced = Sourced::new("neighbour-vapour-least", (0.05, "kPa"), (0.02, 0.1), Proposal, OURS);
/// By how much less water than outside the air under a cover can hold.
pub const DRIER_KPA: Sourced = Sourced::new(
    "drier-than-outside",
    (0.2, "kPa"),
    (0.1, 0.5),
    Proposal,
    "our own choice: dew on a film four degrees colder than the air outside leaves 0.17 kPa less at 8 °C",
);
/// For so long at least.
pub const DRIER_FOR_H: Sourced = Sourced::new("drier-than-outside-for", (3.0, "h"), (1.0, 6.0), Proposal, OURS);
/// Air that reads below this humidity loses no water as dew.
pub const DRIER_BELOW_PCT: Sourced = Sourced::new(
    "drier-than-outside-below",
    (75.0, "%RH"),
    (60.0, 85.0),
    Proposal,
    "our own choice: mild air over cold soil dews, and is damp (advice page, scenario 2)",
);

/// Sun under the cover from which on a still shield reads too warm.
pub const SUNLIT_W_M2: Sourced = Sourced::new("sunlit-from", (150.0, "W/m²"), (80.0, 300.0), Memory, "climate sheet 7");
/// By how much at 300 W/m² in still air, growing with the sun.
pub const SUNLIT_C: Sourced = Sourced::new(
    "sunlit-error",
    (1.5, "°C"),
    (0.5, 4.0),
    Memory,
    "climate sheet 7; home-made shields +7.4 (Tarara & Hoheisel 2007), still air at noon +2 to +4",
);

/// What a one-wire probe holds until its first conversion.
pub const POWER_ON_C: Sourced =
    Sourced::fixed("power-on-value", (85.0, "°C"), Published, "data sheets of one-wire probes; troubles page 2");
/// What a lost one-wire probe is reported as.
pub const LOST_C: Sourced =
    Sourced::fixed("lost-value", (-127.0, "°C"), Published, "drivers of one-wire probes; troubles page 3");
/// What a hung one-wire bus repeats, as sent and rounded.
pub const HUNG_C: [Sourced; 2] = [
    Sourced::fixed("hung-value", (-0.0625, "°C"), Published, "drivers of one-wire probes; troubles page 3"),
    Sourced::fixed("hung-value-rounded", (-0.06, "°C"), Published, "drivers of one-wire probes; troubles page 3"),
];
/// How far from its neighbours a reading of exactly that value must stand.
pub const POWER_ON_APART_C: Sourced = Sourced::new("power-on-apart", (5.0, "°C"), (2.0, 20.0), Proposal, OURS);

/// All of them.
pub const ALL: &[&Sourced] = &[
    &COLDEST_C,
    &WARMEST_AIR_C,
    &WARMEST_SOIL_C,
    &DRIEST_PCT,
    &DAMPEST_PCT,
    &SATURATED_PCT,
    &STEP_INSIDE_C_MIN,
    &STEP_OUTSIDE_C_MIN,
    &STEP_MOST_C,
    &STEP_SOIL_C_MIN,
    &STEP_INSIDE_PCT_MIN,
    &STEP_OUTSIDE_PCT_MIN,
    &STEP_MOST_PCT,
    &SPIKE_DEVIATIONS,
    &SPIKE_INSIDE_C[0],
    &SPIKE_INSIDE_C[1],
    &SPIKE_OUTSIDE_C[0],
    &SPIKE_OUTSIDE_C[1],
    &SPIKE_INSIDE_PCT[0],
    &SPIKE_INSIDE_PCT[1],
    &SPIKE_OUTSIDE_PCT[0],
    &SPIKE_OUTSIDE_PCT[1],
    &STILL_C,
    &STILL_PCT,
    &STILL_BELOW_PCT,
    &STILL_OVER_ICE_PCT,
    &STUCK_MIN,
    &STUCK_READINGS,
    &BESIDE_MOVED_C,
    &STUCK_ALONE_MIN,
    &ALIVE_PCT,
    &FINE_STEP_C,
    &STUCK_DAMP_MIN,
    &DAMP_MOVED_C,
    &STILL_SATURATED_PCT,
    &APART_DAY_C,
    &APART_NIGHT_C,
    &APART_BANDS,
    &APART_LEAST_KPA,
    &DRIER_KPA,
    &DRIER_FOR_H,
    &DRIER_BELOW_PCT,
    &SUNLIT_W_M2,
    &SUNLIT_C,
    &POWER_ON_C,
    &LOST_C,
    &HUNG_C[0],
    &HUNG_C[1],
    &POWER_ON_APART_C,
];
