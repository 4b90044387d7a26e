//! The constants of wetness, each once. Section numbers are those of the project's sheet on wetness, disease and crops unless said.

use crate::sourced::Provenance::{Memory, Proposal, Published};
use crate::sourced::Sourced;

/// Leaves become wet at this humidity.
pub const WET_ON_PCT: Sourced = Sourced::new(
    "wet-on",
    (90.0, "%RH"),
    (80.0, 96.0),
    Published,
    "Sentelhas et al. 2008, Agric. For. Meteorol. 148:392-400, abstract: best single threshold at four sites (1.1 a)",
);
/// Wet leaves become dry below this humidity.
pub const WET_OFF_PCT: Sourced = Sourced::new(
    "wet-off",
    (87.0, "%RH"),
    (75.0, 95.0),
    Proposal,
    "three points of hysteresis, a sensor's tolerance (1.5)",
);
/// What a humidity sensor may be off by unless it has been tested over salt.
pub const HUMIDITY_ERROR_PCT: Sourced =
    Sourced::new("humidity-error", (3.0, "%RH"), (0.0, 8.0), Proposal, "run three times at -3, 0 and +3 %RH (1.5)");
/// From this humidity on leaves give off water themselves.
pub const GUTTATION_PCT: Sourced = Sourced::new(
    "guttation-humidity",
    (97.0, "%RH"),
    (95.0, 100.0),
    Proposal,
    "RH of 97 % for 3 h counts as wet (1.3)",
);
/// After so long at that humidity.
pub const GUTTATION_AFTER_H: Sourced =
    Sourced::new("guttation-after", (3.0, "h"), (0.0, 12.0), Proposal, "RH of 97 % for 3 h counts as wet (1.3)");
/// How long leaves stay wet after water came on them.
pub const WATERED_H: Sourced =
    Sourced::new("wet-after-watering", (3.0, "h"), (0.0, 12.0), Proposal, "logged overhead watering (1.3)");
/// Below this humidity leaves that were watered or have thawed are dry.
pub const DRYING_PCT: Sourced =
    Sourced::new("watering-ended-below", (75.0, "%RH"), (40.0, 90.0), Proposal, "ended early by RH below 75 % (1.3)");
/// How long leaves stay wet once hoar or frozen water on them has thawed.
pub const THAW_H: Sourced = Sourced::new(
    "wet-after-thaw",
    (3.0, "h"),
    (0.0, 12.0),
    Proposal,
    "leaves wet from thaw for 3 h or until RH < 75, from a grower's judgement (advice page, damp risk in a maritime winter)",
);
/// Time at or below 0 °C and near saturation over ice after which there is hoar to thaw.
pub const HOAR_AFTER_H: Sourced = Sourced::new(
    "hoar-after",
    (1.0, "h"),
    (0.0, 6.0),
    Proposal,
    "'after any hour at or below 0 near saturation' (advice page)",
);
/// At or below this temperature water is ice: it is not wetness and does not dry.
pub const FREEZING_C: Sourced =
    Sourced::new("frozen-at", (0.0, "°C"), (-2.0, 1.0), Proposal, "frozen water is not wetness (1.3)");
/// Humidity from which a sensor may have stuck at the top.
pub const SATURATED_PCT: Sourced = Sourced::new(
    "saturated-from",
    (99.0, "%RH"),
    (98.0, 100.0),
    Proposal,
    "99 % and more for 48 h while T moved (1.5)",
);
/// For so long.
pub const SATURATED_H: Sourced =
    Sourced::new("saturated-for", (48.0, "h"), (12.0, 168.0), Proposal, "99 % and more for 48 h while T moved (1.5)");
/// While temperature moved by more than this.
pub const SATURATED_MOVE_C: Sourced = Sourced::new(
    "saturated-while-moved",
    (5.0, "°C"),
    (2.0, 15.0),
    Proposal,
    "99 % and more for 48 h while T moved (1.5)",
);
/// Share of an hour that must be covered for it to be known.
pub const KNOWN_SHARE: Sourced =
    Sourced::new("hour-known-from", (0.5, "of the hour"), (0.1, 1.0), Proposal, "design page, rulings on the sheets");
/// Share of its covered time that must be wet for an hour to be wet.
pub const WET_SHARE: Sourced =
    Sourced::new("hour-wet-from", (0.5, "of covered time"), (0.1, 0.9), Proposal, "design page, rulings on the sheets");

/// Humidity of a damp spell.
pub const SPELL_PCT: Sourced = Sourced::new(
    "damp-spell-humidity",
    (90.0, "%RH"),
    (80.0, 96.0),
    Proposal,
    "the threshold of wetness (1.1 a), no hysteresis",
);
/// A day with more wet hours than this is a damp day.
pub const DAMP_DAY_H: Sourced = Sourced::new(
    "damp-day-above",
    (7.0, "h wet"),
    (2.0, 20.0),
    Proposal,
    "the wetness from which grey mould broke out in unheated houses, Yunis et al. 1994 (2.6), taken day by day",
);

/// Humidity below which a wetness sensor is taken to be dry.
pub const GAUGE_DRY_BELOW_PCT: Sourced =
    Sourced::new("gauge-dry-below", (70.0, "%RH"), (30.0, 80.0), Proposal, "5th percentile with RH < 70 % (1.4)");
/// Humidity above which some of its readings are of a wet sensor.
pub const GAUGE_WET_ABOVE_PCT: Sourced =
    Sourced::new("gauge-wet-above", (97.0, "%RH"), (92.0, 100.0), Proposal, "99th percentile with RH > 97 % (1.4)");
/// Percentile of the readings in dry air that is called dry.
pub const GAUGE_DRY_PERCENTILE: Sourced =
    Sourced::new("gauge-dry-percentile", (5.0, "%"), (0.0, 50.0), Proposal, "5th percentile with RH < 70 % (1.4)");
/// Percentile of the readings in wet air that is called wet.
pub const GAUGE_WET_PERCENTILE: Sourced =
    Sourced::new("gauge-wet-percentile", (99.0, "%"), (50.0, 100.0), Proposal, "99th percentile with RH > 97 % (1.4)");
/// Days that are learned from.
pub const GAUGE_DAYS: Sourced =
    Sourced::new("gauge-learns-from", (14.0, "d"), (3.0, 60.0), Proposal, "the last 14 days (1.4)");
/// Fewest readings in dry air, and in wet air, to learn from.
pub const GAUGE_LEAST: Sourced = Sourced::new(
    "gauge-least-readings",
    (12.0, "readings"),
    (3.0, 1_000.0),
    Proposal,
    "two hours of ten-minute readings of each",
);
/// The span must be this many times the noise.
pub const GAUGE_NOISE: Sourced = Sourced::new(
    "gauge-span-over-noise",
    (6.0, "times"),
    (2.0, 50.0),
    Proposal,
    "refuse under 6 x the 1-minute noise (1.4)",
);
/// Share of the readings in dry air that may come out wet.
pub const GAUGE_FALSE_WET: Sourced = Sourced::new(
    "gauge-false-wet",
    (0.1, "of dry readings"),
    (0.02, 0.3),
    Proposal,
    "our addition to 1.4: a dead input that drifts with temperature passes the test of noise",
);
/// Share of the span by which the dry end may drift before dirt is suspected.
pub const GAUGE_DIRT: Sourced = Sourced::new(
    "gauge-dirt",
    (0.25, "of the span"),
    (0.05, 1.0),
    Proposal,
    "warn when drifted by 25 % of the span (1.4)",
);
/// Fraction of the span from which the sensor is wet.
pub const GAUGE_ON: Sourced =
    Sourced::new("gauge-on", (0.30, "of the span"), (0.05, 0.95), Proposal, "on at w >= 0.30 (1.4)");
/// Fraction of the span below which it is dry.
pub const GAUGE_OFF: Sourced =
    Sourced::new("gauge-off", (0.15, "of the span"), (0.0, 0.9), Proposal, "off at w < 0.15 (1.4)");
/// Time over which the median of its readings is taken.
pub const GAUGE_MEDIAN_MIN: Sourced =
    Sourced::new("gauge-median", (10.0, "min"), (1.0, 60.0), Proposal, "10-minute median (1.4)");
/// For so long the last scale is kept where humidity teaches none: a winter fortnight may have no dry hour.
pub const GAUGE_KEPT_D: Sourced = Sourced::new(
    "gauge-scale-kept",
    (60.0, "d"),
    (14.0, 365.0),
    Proposal,
    "our addition to 1.4: 14 damp days hold no reading below 70 %RH",
);
/// A sensor that moves less than this stands still.
pub const GAUGE_STILL: Sourced = Sourced::new("gauge-still", (0.02, "of the span"), (0.0, 0.1), Proposal, GAUGE_TRUST);
/// One that has stood still and wet for so long …
pub const GAUGE_STUCK_H: Sourced = Sourced::new("gauge-stuck-after", (24.0, "h"), (6.0, 96.0), Proposal, GAUGE_TRUST);
/// … while temperature moved by this …
pub const GAUGE_STUCK_MOVED_C: Sourced =
    Sourced::new("gauge-stuck-while-moved", (2.0, "°C"), (0.5, 10.0), Proposal, GAUGE_TRUST);
/// … or humidity by this has stuck.
pub const GAUGE_STUCK_MOVED_PCT: Sourced =
    Sourced::new("gauge-stuck-while-humidity-moved", (5.0, "%RH"), (1.0, 20.0), Proposal, GAUGE_TRUST);
const GAUGE_TRUST: &str =
    "our addition to 1.4: a sensor stuck wet must not wet a leaf; an air that moved dries or wets a leaf, if little";

/// Condensate on the film from which it drips when the film warms.
pub const DRIP_FROM_G_M2: Sourced =
    Sourced::new("drip-from", (75.0, "g/m²"), (50.0, 100.0), Memory, "climate sheet 6.3: 50 to 100 g/m² collected");
/// The most that a film holds; what is over has run off.
pub const FILM_HOLDS_G_M2: Sourced = Sourced::new(
    "film-holds",
    (150.0, "g/m²"),
    (75.0, 400.0),
    Proposal,
    "twice the amount at which drops begin to fall",
);
/// Least difference between film and air that drying air is moved by, for the cube-root rule of transfer.
pub const FILM_DRYING_K: Sourced = Sourced::new(
    "film-drying-difference",
    (1.0, "K"),
    (0.1, 5.0),
    Proposal,
    "the transfer rule of climate sheet 6.3 has none to a warmer film; a wet film dries all the same",
);
/// All of the above.
pub const ALL: &[&Sourced] = &[
    &WET_ON_PCT,
    &WET_OFF_PCT,
    &HUMIDITY_ERROR_PCT,
    &GUTTATION_PCT,
    &GUTTATION_AFTER_H,
    &WATERED_H,
    &DRYING_PCT,
    &THAW_H,
    &HOAR_AFTER_H,
    &FREEZING_C,
    &SATURATED_PCT,
    &SATURATED_H,
    &SATURATED_MOVE_C,
    &KNOWN_SHARE,
    &WET_SHARE,
    &SPELL_PCT,
    &DAMP_DAY_H,
    &GAUGE_DRY_BELOW_PCT,
    &GAUGE_WET_ABOVE_PCT,
    &GAUGE_DRY_PERCENTILE,
    &GAUGE_WET_PERCENTILE,
    &GAUGE_DAYS,
    &GAUGE_LEAST,
    &GAUGE_NOISE,
    &GAUGE_FALSE_WET,
    &GAUGE_DIRT,
    &GAUGE_ON,
    &GAUGE_OFF,
    &GAUGE_MEDIAN_MIN,
    &GAUGE_KEPT_D,
    &GAUGE_STILL,
    &GAUGE_STUCK_H,
    &GAUGE_STUCK_MOVED_C,
    &GAUGE_STUCK_MOVED_PCT,
    &DRIP_FROM_G_M2,
    &FILM_HOLDS_G_M2,
    &FILM_DRYING_K,
];
