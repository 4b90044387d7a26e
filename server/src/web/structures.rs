//! The structures, and what the air in each is now.

use axum::Json;
use axum::extract::{Path, State};
use chrono::NaiveDate;
use propstick_agronomy::sun::SunDay;
use propstick_garden::fold::{
    Figure, T_ERROR_C, Why, air_figure_within, civil_day, date_of, day_figures, wet_bulb_within,
};
use propstick_garden::model::{Garden, Measure, Spot, Structure, cover_word};
use propstick_garden::season::GroupRisk;
use propstick_garden::wording::{DampHere, DampWords, damp_words};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::answers::{F, instant, round};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Standing, Views, answer};
use super::risk::{GroupPart, group_part};
use crate::season::FOUND_BACK;
use crate::store::readings::{Series, Span};

/// Stated error of a humidity sensor that nobody has stated, %RH (advice.md of the design: 3).
pub(super) const RH_ERROR_PCT: f64 = 3.0;

/// The garden and its structures.
#[derive(Serialize, ToSchema)]
pub struct StructuresAnswer {
    /// The time of this answer.
    at: String,
    /// The garden as a place.
    garden: GardenPart,
    /// Its structures in walking order.
    structures: Vec<StructurePart>,
}

/// The garden as a place.
#[derive(Serialize, ToSchema)]
pub struct GardenPart {
    /// Its name.
    name: String,
    /// Its zone, such as `Europe/Dublin`.
    zone: String,
    /// Degrees north.
    lat: f64,
    /// Degrees east.
    lon: f64,
    /// Goes up with every change of the garden.
    revision: i64,
}

/// A structure.
#[derive(Serialize, ToSchema)]
pub struct StructurePart {
    /// Its slug, by which everything else names it.
    slug: String,
    /// Its name as the grower says it.
    name: String,
    /// `tunnel`, `low_tunnel`, `cold_frame`, `fleece` or `outdoors`.
    kind: &'static str,
    /// `hardy`, `tender` or `both`.
    crops: &'static str,
    /// Whether its air stands for the air outside.
    outside: bool,
    /// What can be opened.
    vents: Vec<VentPart>,
    /// Its beds, as one walks past them.
    beds: Vec<BedPart>,
    /// What can be laid over its beds.
    covers: Vec<CoverPart>,
    /// Slugs of its spots.
    spots: Vec<String>,
}

/// A bed.
#[derive(Serialize, ToSchema)]
pub struct BedPart {
    /// Its slug, by which advice, events and observations name it.
    slug: String,
    /// Its name as the grower says it.
    name: String,
}

/// Something that can be laid over beds.
#[derive(Serialize, ToSchema)]
pub struct CoverPart {
    /// Its slug, by which advice and events name it.
    slug: String,
    /// Its name as the grower says it.
    name: String,
    /// `fleece-17`, `fleece-30` or `fleece-double`.
    kind: &'static str,
    /// Slug of the bed it lies over; null where it covers the whole structure.
    bed: Option<String>,
    /// How it can lie, where the grower has words of their own for it.
    positions: Vec<CoverPositionPart>,
}

/// A way a cover can lie.
#[derive(Serialize, ToSchema)]
pub struct CoverPositionPart {
    /// `on`, `folded` or `off`.
    position: &'static str,
    /// The grower's words for it.
    words: String,
}

/// Something that can be opened.
#[derive(Serialize, ToSchema)]
pub struct VentPart {
    /// Its slug, by which advice and events name it.
    id: String,
    /// Its name as the grower says it.
    name: String,
    /// `door`, `side`, `lid` or `roof`.
    kind: &'static str,
    /// Where it faces, such as `SW`; null where nobody has said.
    faces: Option<String>,
    /// How it can stand, from closed on.
    positions: Vec<PositionPart>,
}

/// A position an opening can stand in.
#[derive(Serialize, ToSchema)]
pub struct PositionPart {
    /// `closed`, `crack`, `half` or `full`.
    notch: &'static str,
    /// The grower's words for it.
    words: String,
}

/// The garden and its structures in walking order.
#[utoipa::path(get, path = "/api/structures", responses((status = 200, body = StructuresAnswer)))]
pub(super) async fn structures(State(desk): State<Desk>) -> Json<StructuresAnswer> {
    let garden = desk.windows.garden();
    let outside = garden.outside_spot().map(|s| s.structure.clone());
    let structures = garden.structures.iter().map(|s| structure_part(&garden, s, outside.as_deref())).collect();
    Json(StructuresAnswer {
        at: instant(desk.windows.clock.now()),
        garden: GardenPart {
            name: garden.name.clone(),
            zone: garden.zone.name().to_owned(),
            lat: garden.lat,
            lon: garden.lon,
            revision: garden.revision,
        },
        structures,
    })
}

fn structure_part(garden: &Garden, s: &Structure, outside: Option<&str>) -> StructurePart {
    let vents = s.vents.iter().map(|v| VentPart {
        id: v.slug.clone(),
        name: v.name.clone(),
        kind: v.kind.word(),
        faces: v.faces.clone(),
        positions: v.positions.iter().map(|p| PositionPart { notch: p.notch.word(), words: p.words.clone() }).collect(),
    });
    let beds = garden.beds.iter().filter(|bed| bed.structure == s.slug);
    let covers = s.covers.iter().map(|c| CoverPart {
        slug: c.slug.clone(),
        name: c.name.clone(),
        kind: cover_word(c.kind),
        bed: c.bed.clone(),
        positions: c
            .positions
            .iter()
            .map(|p| CoverPositionPart { position: p.state.word(), words: p.words.clone() })
            .collect(),
    });
    StructurePart {
        slug: s.slug.clone(),
        name: s.name.clone(),
        kind: s.kind.word(),
        crops: s.crops.word(),
        outside: outside == Some(s.slug.as_str()),
        vents: vents.collect(),
        beds: beds.map(|bed| BedPart { slug: bed.slug.clone(), name: bed.name.clone() }).collect(),
        covers: covers.collect(),
        spots: garden.spots_of(&s.slug).map(|s| s.slug.clone()).collect(),
    }
}

/// What the air in a structure is now.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct NowAnswer {
    /// Slug of the structure.
    pub structure: String,
    /// The time of this answer.
    pub at: String,
    /// The garden's zone.
    pub zone: String,
    /// The spot that stands for the air outside.
    pub outside_spot: Option<String>,
    /// What is measured where.
    pub spots: Vec<SpotNow>,
    /// Worked out from the air at the structure's lead spot.
    pub derived: DerivedNow,
    /// The civil day so far.
    pub today: TodayNow,
    /// How wet leaves likely are.
    pub wet: WetNow,
    /// Risk by crop group after the last noon-day that is over.
    pub risk: Vec<RiskNow>,
    /// Both in sentences.
    pub damp_says: DampSays,
}

/// Damp in sentences.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DampSays {
    /// Whether leaves are wet now, and how long they were.
    pub leaves: String,
    /// Risk by level, the highest first, with what to do to the plants; last the crop groups whose risk is not known.
    pub risks: Vec<RiskSays>,
    /// What the levels hang on.
    pub doubt: Option<String>,
    /// The risks that are raised or have changed since the noon-day before; null where there are none.
    pub short: Option<String>,
    /// Wet hours of the last 24, such as `wet 11 to 15 h of 24`; null where there were none or they are not known.
    pub hours: Option<String>,
}

/// The risk of the crop groups of one level in a sentence or two.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RiskSays {
    /// `low`, `some`, `raised` or `high`; null where it is not known.
    pub level: Option<&'static str>,
    /// What is said of it.
    pub says: String,
}

impl From<DampWords> for DampSays {
    fn from(DampWords { leaves, risks, doubt, short, hours }: DampWords) -> DampSays {
        let risks = risks.into_iter().map(|r| RiskSays { level: r.level.map(|l| l.word()), says: r.says });
        DampSays { leaves, risks: risks.collect(), doubt, short, hours }
    }
}

/// How wet leaves likely are.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WetNow {
    /// `wet` where they are at any spot, `dry`, `frozen` (neither wet nor drying) or `unknown`.
    pub now: &'static str,
    /// Wet hours of the last whole 24 h, at the wettest spot.
    pub hours_24: F,
}

/// Risk of a crop group, in words.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"group": "lettuce", "level": "raised", "by": "lettuce-downy-mildew", "range": ["some", "high"], "state": "fresh", "uncertain": true,
    "found_lately": false}))]
pub struct RiskNow {
    /// The crop group.
    pub group: &'static str,
    /// `low`, `some`, `raised` or `high`; null where it is not known.
    pub level: Option<&'static str>,
    /// The disease that drives it.
    pub by: &'static str,
    /// The levels that humidity lower and higher by the sensor's error would enter.
    pub range: [&'static str; 2],
    /// `fresh`, `stale` or `unknown`.
    pub state: &'static str,
    /// Whether it hangs on the humidity sensor.
    pub uncertain: bool,
    /// Whether a disease of the group was found here within 21 days, so that the level shows one higher.
    pub found_lately: bool,
}

/// What is measured at a spot.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SpotNow {
    /// Slug of the spot.
    pub spot: String,
    /// What it is for.
    pub role: &'static str,
    /// The device that stands there.
    pub device: Option<String>,
    /// The newest reading of each quantity.
    pub readings: Vec<ReadingNow>,
}

/// The newest reading of a quantity.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"quantity": "air-temperature", "unit": "°C", "value": 12.05, "t": "2026-03-01T15:21:50Z", "age_s": 19, "state": "fresh", "marks": []}))]
pub struct ReadingNow {
    /// The quantity.
    pub quantity: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The value, corrected; null where nothing has been heard.
    pub value: Option<f64>,
    /// Its instant.
    pub t: Option<String>,
    /// Its age in seconds.
    pub age_s: Option<i64>,
    /// `fresh`, `stale` (over 3 cadences, at least 20 min), `silent` (over six times that) or `unknown`.
    pub state: &'static str,
    /// What is odd about it.
    pub marks: Vec<&'static str>,
}

/// Figures of the air.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DerivedNow {
    /// Dew point over water, °C.
    pub dew_point_c: F,
    /// What a fanned wet bulb would show at the garden's altitude, °C.
    pub wet_bulb_c: F,
    /// Vapour pressure, kPa.
    pub vapour_pressure_kpa: F,
    /// Vapour pressure deficit of the air, kPa.
    pub vpd_kpa: F,
    /// Absolute humidity, g/m³.
    pub absolute_humidity_g_m3: F,
}

/// The civil day so far.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TodayNow {
    /// Its date in the garden's zone.
    pub date: String,
    /// Lowest air temperature so far, °C.
    pub min_c: F,
    /// Highest air temperature so far, °C.
    pub max_c: F,
}

/// What the air in a structure is now.
#[utoipa::path(get, path = "/api/structures/{slug}/now", params(("slug" = String, Path, description = "Slug of the structure")),
    responses((status = 200, body = NowAnswer), (status = 404, body = Problem)))]
pub(super) async fn now(State(desk): State<Desk>, Path(slug): Path<String>) -> Result<Json<NowAnswer>, Problem> {
    answer(&desk, move |views, garden, now| views.now(garden, &slug, now)).await.map(Json)
}

/// The structure of that slug, or the problem that there is none.
pub(super) fn structure_of<'a>(garden: &'a Garden, slug: &str) -> Result<&'a Structure, Problem> {
    garden.structure(slug).ok_or_else(|| {
        let known: Vec<&str> = garden.structures.iter().map(|s| s.slug.as_str()).collect();
        Problem::unknown("structure", slug, &known)
    })
}

impl Views {
    /// What the air in a structure is at `now`.
    ///
    /// # Errors
    /// A structure that is not there, or a store that cannot be read.
    pub fn now(&self, garden: &Garden, slug: &str, now: Millis) -> Result<NowAnswer, Problem> {
        let structure = structure_of(garden, slug)?;
        let series = self.readings.series()?;
        let mut spots = Vec::new();
        for spot in garden.spots_of(slug) {
            spots.push(self.spot_now(garden, &series, spot, now)?);
        }
        let lead = garden.lead_spot(structure);
        let season = self.season(garden, structure, now.plus(-FOUND_BACK), now)?;
        let (risks, hours_24) = (season.risks(), season.wet_hours_24());
        let nights_before = season.nights_before(&self.hours)?;
        let before = season.risks_of(&nights_before);
        let damp = DampHere { leaves: season.leaves_now().leaf(), hours_24, risks: &risks, before: &before };
        Ok(NowAnswer {
            structure: slug.to_owned(),
            at: instant(now),
            zone: garden.zone.name().to_owned(),
            outside_spot: garden.outside_spot().map(|s| s.slug.clone()),
            spots,
            derived: self.derived_now(garden, &series, lead, now)?,
            today: self.today(garden, lead, now)?,
            wet: WetNow { now: season.leaves_now().word(), hours_24: hours_24.into() },
            risk: risks.iter().map(risk_now).collect(),
            damp_says: damp_words(damp).into(),
        })
    }

    fn spot_now(&self, garden: &Garden, series: &[Series], spot: &Spot, now: Millis) -> Result<SpotNow, Problem> {
        let mut quantities: Vec<Quantity> =
            garden.placements.iter().filter(|p| p.spot == spot.slug).map(|p| p.quantity).collect();
        quantities.sort_unstable();
        quantities.dedup();
        let mut readings = Vec::new();
        let mut device = None;
        for quantity in quantities {
            let newest = self.newest(garden, series, &spot.slug, quantity, now)?;
            let marks = match &newest {
                Some(n) => self.marks_at(garden, series, &spot.slug, quantity, n.at)?,
                None => Vec::new(),
            };
            readings.push(ReadingNow {
                quantity: quantity.name(),
                unit: Measure::Direct(quantity).unit(),
                value: newest.as_ref().map(|n| round(n.value)),
                t: newest.as_ref().map(|n| instant(n.at)),
                age_s: newest.as_ref().map(|n| now.since(n.at) / 1_000),
                state: newest.as_ref().map_or(Standing::Unknown, |n| n.standing).word(),
                marks,
            });
            device = device.or(newest.map(|n| n.device));
        }
        let placed_now =
            || garden.placements.iter().find(|p| p.spot == spot.slug && p.holds(now)).map(|p| p.urn.clone());
        Ok(SpotNow { spot: spot.slug.clone(), role: spot.role.word(), device: placed_now().or(device), readings })
    }

    fn derived_now(
        &self,
        garden: &Garden,
        series: &[Series],
        lead: Option<&Spot>,
        now: Millis,
    ) -> Result<DerivedNow, Problem> {
        let air = match lead {
            None => Err(Why::NotMeasured),
            Some(spot) => {
                let t = self.newest(garden, series, &spot.slug, Quantity::AirTemperature, now)?;
                let rh = self.newest(garden, series, &spot.slug, Quantity::AirHumidity, now)?;
                match (t, rh) {
                    (Some(t), Some(rh)) if t.standing == Standing::Fresh && rh.standing == Standing::Fresh => {
                        Ok((t.value, rh.value))
                    }
                    (Some(_), Some(_)) => Err(Why::Stale),
                    _ => Err(Why::NoReading),
                }
            }
        };
        let figure = |measure: Measure| match air {
            Ok((t_c, rh_pct)) => F::from(air_figure_within(measure, (t_c, T_ERROR_C), (rh_pct, RH_ERROR_PCT))),
            Err(why) => F::from(Figure::unknown(why, 0.0)),
        };
        let wet_bulb_c = match air {
            Ok((t_c, rh_pct)) => F::from(wet_bulb_within(garden.alt_m, (t_c, T_ERROR_C), (rh_pct, RH_ERROR_PCT))),
            Err(why) => F::from(Figure::unknown(why, 0.0)),
        };
        Ok(DerivedNow {
            dew_point_c: figure(Measure::DewPoint),
            wet_bulb_c,
            vapour_pressure_kpa: figure(Measure::VapourPressure),
            vpd_kpa: figure(Measure::VapourPressureDeficit),
            absolute_humidity_g_m3: figure(Measure::AbsoluteHumidity),
        })
    }

    fn today(&self, garden: &Garden, lead: Option<&Spot>, now: Millis) -> Result<TodayNow, Problem> {
        let date = date_of(garden.zone, now);
        let day = civil_day(garden.zone, date);
        let (min_c, max_c) = match lead {
            None => (Figure::unknown(Why::NotMeasured, 0.0), Figure::unknown(Why::NotMeasured, 0.0)),
            Some(spot) => {
                let measure = Measure::Direct(Quantity::AirTemperature);
                let rows = self.hours.hours(&spot.slug, measure, Span { from: day.from, to: day.to })?;
                // The day so far: what has not come yet is not missing.
                let figures = day_figures(&rows, day.from, day.to.min(now.max(day.from.plus(1))), T_ERROR_C);
                (figures.min, figures.max)
            }
        };
        Ok(TodayNow { date: date.to_string(), min_c: min_c.into(), max_c: max_c.into() })
    }
}

fn risk_now(risk: &GroupRisk<'_>) -> RiskNow {
    let GroupPart { group, level, by, range, state, uncertain, found_lately, .. } = group_part(risk);
    RiskNow { group, level, by, range, state, uncertain, found_lately }
}

/// The sun on a day.
#[derive(Serialize, ToSchema)]
pub struct SunAnswer {
    /// The date, in the garden's zone.
    date: String,
    /// When the sun's upper edge rises.
    sunrise: Option<String>,
    /// When it sets.
    sunset: Option<String>,
    /// When the sun comes within 6° of the horizon.
    civil_dawn: Option<String>,
    /// When it goes below that.
    civil_dusk: Option<String>,
}

/// Which day.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SunQuery {
    date: Option<String>,
}

/// When the sun rises and sets on a date of the garden; null where it does not.
#[utoipa::path(get, path = "/api/sun", params(("date" = Option<String>, Query, description = "Date, such as 2026-03-01; today if left out")),
    responses((status = 200, body = SunAnswer), (status = 400, body = Problem)))]
pub(super) async fn sun(State(desk): State<Desk>, Asked(query): Asked<SunQuery>) -> Result<Json<SunAnswer>, Problem> {
    let garden = desk.windows.garden();
    let date = match query.date {
        None => date_of(garden.zone, desk.windows.clock.now()),
        Some(text) => NaiveDate::parse_from_str(&text, "%Y-%m-%d")
            .map_err(|_| Problem::bad("date", &text, "a date like 2026-03-01"))?,
    };
    let day = sun_of(&garden, date);
    let at = |s: Option<i64>| s.map(|s| instant(Millis(s * 1_000)));
    Ok(Json(SunAnswer {
        date: date.to_string(),
        sunrise: at(day.and_then(|d| d.sunrise_s)),
        sunset: at(day.and_then(|d| d.sunset_s)),
        civil_dawn: at(day.and_then(|d| d.civil_dawn_s)),
        civil_dusk: at(day.and_then(|d| d.civil_dusk_s)),
    }))
}

fn sun_of(garden: &Garden, date: NaiveDate) -> Option<SunDay> {
    use chrono::Datelike;
    SunDay::of_date(date.year(), date.month(), date.day(), garden.lat, garden.lon)
}
