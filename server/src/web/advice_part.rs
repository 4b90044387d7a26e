//! One piece of advice as it is answered.

use propstick_garden::advice::frost::FrostScore;
use propstick_garden::model::Garden;
use propstick_garden::record::Event;
use propstick_garden::wording::did_words;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::answers::{F, instant, round};
use super::problem::Problem;
use crate::store::advice::KeptAdvice;

/// A piece of advice: what to do, why, and on which readings it rests.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"id": 1536, "structure": "tunnel", "kind": "vent", "about": null, "say": "Open both doors a hand's width until 15:30, to dry.",
    "because": "Inside 1.27 kPa of vapour, outside 1.20 kPa: opening dries.", "verdict": "dry", "aim": "dry", "rule": "drying", "by_rule": false,
    "moves": [{"vent": "tunnel-sw-door", "notch": "crack", "from": "2026-03-01T09:21:00Z", "until": "2026-03-01T15:30:00Z"}],
    "expect": {"air_c": {"value": 10.7, "low": 10.3, "high": 11.1, "measured": 1.0}, "rh_pct": {"value": 93.3, "low": 90.8, "high": 95.8, "measured": 1.0}},
    "rests_on": [{"spot": "tunnel-middle", "quantity": "air-humidity", "unit": "%RH", "t": "2026-03-01T09:20:11Z", "value": 96.55}], "doubt": null,
    "cautions": [], "also": [], "further": null, "fasten_by": null, "made_at": "2026-03-01T09:21:00Z", "until": "2026-03-01T15:30:00Z", "recipe": "8f2df17e1c849839",
    "superseded_by": null, "score": null, "answered": null}))]
pub struct AdvicePart {
    /// Its number, by which it is answered (`done` or `not_done` of `/api/events`).
    id: i64,
    /// Slug of the structure.
    structure: String,
    /// `frost`, `vent`, `cover` or `water`.
    kind: String,
    /// Slug of the bed that water is advised for; null for all other kinds.
    about: Option<String>,
    #[serde(flatten)]
    body: BodyPart,
    /// When it was made.
    made_at: String,
    /// Until when it holds; null where it says no end.
    until: Option<String>,
    /// Which constants and derivations it was made by.
    recipe: String,
    /// Number of the advice that took its place; null while it stands.
    superseded_by: Option<i64>,
    /// What became of a frost night's call; null before the night is over, and for all other kinds.
    score: Option<ScorePart>,
    /// What people said became of it: the newest answer that counts; null while nobody has said anything.
    answered: Option<AnsweredPart>,
}

/// What is kept of a piece of advice as it was made.
#[derive(Clone, Debug, Default, Deserialize, Serialize, ToSchema)]
#[serde(default)]
struct BodyPart {
    /// What to do, in a sentence or two.
    #[schema(example = "Open both doors a hand's width from 10:15. Shut by 14:30.")]
    say: String,
    /// Why, with the figures.
    because: String,
    /// The decision in a word; vent: `shut`, `move_air`, `purge`, `dry`, `cool` or `unknown`; frost: `frost`, `chill`, `none`, `early` or `unknown`;
    /// water: `wait`, `feel`, `water`, `leave` or `lift`; cover: as `rule`.
    verdict: String,
    /// What it is to bring about: `dry`, `move_air` or `keep_warmth`; null where it has no aim.
    aim: Option<String>,
    /// The rule that decided. vent: `gale`, `frozen`, `heat`, `heat_ahead`, `cold`, `wetting`, `night`, `drying`, `moving_air`, `season_and_hour`; frost:
    /// `rule`, `learned`, `heard`, `none`; cover: `gale`, `frozen`, `heat`, `frost`, `air`, `leave`; water: what of soil, weather or bed decided.
    rule: String,
    /// Whether season and hour decided because readings are missing.
    by_rule: bool,
    /// What to move, in order of time; none where nothing is to be done.
    moves: Vec<MovePart>,
    /// What is to be expected if it is followed.
    expect: ExpectPart,
    /// The readings it rests on.
    rests_on: Vec<RestsOnPart>,
    /// What it hangs on, in words; null where nothing speaks against it.
    doubt: Option<String>,
    /// What to mind while doing it. They defer to local codes and licensed practice.
    cautions: Vec<String>,
    /// Short lines beside it: picking, looking, sowing.
    also: Vec<String>,
    /// What more moves would gain; null where there are none.
    further: Option<String>,
    /// A gale is heard for the night: everything is to be shut and fastened by then, in RFC 3339; null otherwise.
    fasten_by: Option<String>,
}

/// One thing to do: an opening, a cover or a bed.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(untagged)]
enum MovePart {
    Cover(CoverMove),
    Water(WaterMove),
    Vent(VentMove),
}

/// An opening to a notch.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
struct VentMove {
    /// Slug of the opening; null for the sheltered end, where the wind is not known.
    vent: Option<String>,
    /// `closed`, `crack`, `half` or `full`.
    notch: String,
    /// From when.
    from: String,
    /// Until when; null where it stays.
    until: Option<String>,
}

/// A cover laid, folded back or taken off.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
struct CoverMove {
    /// Slug of the cover.
    cover: String,
    /// `on`, `folded` or `off`.
    position: String,
    /// From when.
    from: String,
    /// Until when; null where it stays.
    until: Option<String>,
}

/// Water for a bed.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
struct WaterMove {
    /// Slug of the bed.
    bed: String,
    /// How much, L, with its range; null where no sum can be meant.
    litres: Option<F>,
    /// How many of the garden's cans; null where it is not watered by can.
    cans: Option<f64>,
    /// Minutes of drip; null where there is no drip line.
    minutes: Option<f64>,
    /// Whether a finger 5 cm deep has the last word.
    only_if_dry: bool,
    /// Not before.
    from: String,
    /// Not after.
    until: Option<String>,
}

/// What is to be expected.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(default)]
struct ExpectPart {
    /// Air temperature, °C.
    air_c: F,
    /// Humidity, %RH.
    rh_pct: F,
    /// Lowest temperature of the night at the leaves, whole °C; left out where the advice is not about a night.
    #[serde(skip_serializing_if = "Option::is_none")]
    low_c: Option<F>,
}

impl Default for ExpectPart {
    fn default() -> ExpectPart {
        let nothing = F { value: None, low: None, high: None, unknown: Some("not-worked-out".into()), measured: 0.0 };
        ExpectPart { air_c: nothing.clone(), rh_pct: nothing, low_c: None }
    }
}

/// A reading that advice rests on.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
struct RestsOnPart {
    /// Slug of the spot.
    spot: String,
    /// The quantity.
    quantity: String,
    /// Its unit, such as `°C` or `%RH`.
    unit: String,
    /// When it was measured.
    t: String,
    /// The value, in `unit`.
    value: f64,
}

/// What became of a night's call.
#[derive(Clone, Debug, Serialize, ToSchema)]
struct ScorePart {
    /// The low as measured, °C.
    measured_c: f64,
    /// The low as it was expected, lower and upper end, °C; null where none was given.
    forecast: Option<[f64; 2]>,
    /// The low as the night before would have had it, °C; null where that was not measured.
    baseline_c: Option<f64>,
    /// `hit`, `miss`, `false_alarm` or `quiet`.
    call: &'static str,
    /// When it was reckoned up.
    scored_at: String,
}

/// What people said became of a piece of advice.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub(super) struct AnsweredPart {
    /// Number of the event, by which it is taken back.
    id: i64,
    /// `done` or `not_done`.
    kind: &'static str,
    /// When.
    t: String,
    /// It in a sentence, without a full stop.
    say: String,
}

impl AnsweredPart {
    /// An event that answers advice, seen from `now`.
    pub(super) fn of(event: &Event, garden: &Garden, now: Millis) -> AnsweredPart {
        let (kind, say) = (event.kind.word(), did_words(event, garden, now));
        AnsweredPart { id: event.id, kind, t: instant(event.t), say }
    }
}

impl AdvicePart {
    /// A piece of advice that is kept.
    ///
    /// # Errors
    /// A body that is not one.
    pub(super) fn of(
        kept: &KeptAdvice,
        score: Option<&FrostScore>,
        answered: Option<AnsweredPart>,
    ) -> Result<AdvicePart, Problem> {
        let body: BodyPart = serde_json::from_str(&kept.body).map_err(|error| {
            tracing::error!(%error, id = kept.id, "a piece of advice that is kept cannot be read");
            Problem::inside("A piece of advice that is kept could not be read; the log says which.")
        })?;
        Ok(AdvicePart {
            id: kept.id,
            structure: kept.structure.clone(),
            kind: kept.kind.clone(),
            about: Some(kept.about.clone()).filter(|about| !about.is_empty()),
            body,
            made_at: instant(kept.made_at),
            until: kept.until.map(instant),
            recipe: kept.recipe.clone(),
            superseded_by: kept.superseded_by,
            score: score.map(ScorePart::of),
            answered,
        })
    }
}

impl ScorePart {
    fn of(score: &FrostScore) -> ScorePart {
        ScorePart {
            measured_c: round(score.measured_c),
            forecast: score.forecast.map(|low| [round(low.ends_c.0), round(low.ends_c.1)]),
            baseline_c: score.baseline_c.map(round),
            call: score.call.word(),
            scored_at: instant(score.scored_at),
        }
    }
}
