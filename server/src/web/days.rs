//! Days of a structure.

use axum::Json;
use axum::extract::{Path, State};
use chrono::{Days, NaiveDate};
use propstick_agronomy::degree_days::Cutoff;
use propstick_garden::fold::{DayKind, Figure, OneDegreeDays, WantedDegreeDays, date_of};
use propstick_garden::model::Garden;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::answers::F;
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::structures::structure_of;
use crate::season::days::days_of;

/// Most days in one answer.
const MOST_DAYS: i64 = 15_000;
/// What warmth above the upper limit can do.
const CUTOFFS: [Cutoff; 3] = [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical];
/// Bases of degree-days unless told otherwise, °C.
const BASES: [f64; 3] = [0.0, 5.0, 10.0];

/// What is asked for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DaysQuery {
    from: Option<String>,
    to: Option<String>,
    kind: Option<String>,
    base_c: Option<String>,
    upper_c: Option<f64>,
    cutoff: Option<String>,
}

/// Days of a structure.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DaysAnswer {
    /// The garden's zone.
    pub zone: String,
    /// `civil`, `noon` or `utc`.
    pub kind: &'static str,
    /// The days, both ends included.
    pub days: Vec<DayPart>,
}

/// A day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DayPart {
    /// Its date: for a noon-day the date of the noon it begins with.
    pub date: String,
    /// Its length in hours.
    pub hours: i64,
    /// Share of it that was measured.
    pub measured: f64,
    /// Whether at least nine tenths of it were measured.
    pub complete: bool,
    /// Whether it is over.
    #[serde(rename = "final")]
    pub is_final: bool,
    /// Lowest air temperature, °C.
    pub min_c: F,
    /// Highest air temperature, °C.
    pub max_c: F,
    /// Mean air temperature over what was measured, °C.
    pub mean_c: F,
    /// Hours with wet leaves, from temperature and humidity. Its range is that of the humidity sensor's error and of hours that were not measured.
    pub wet_hours: F,
    /// Hours at or below 0 °C.
    pub frost_hours: F,
    /// Light that plants use where the structure's light sensor stands, mol/m².
    pub light_mol_m2: F,
    /// Degree-days, each with its method, base and upper limit.
    pub degree_days: Vec<DegreeDaysPart>,
}

/// Degree-days of a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DegreeDaysPart {
    /// `average-1` (limits applied to the mean), `average-2` (limits applied to lowest and highest), `single-triangle`, `double-triangle`, `single-sine`,
    /// `double-sine`, or `integrated` (the measured course, by hourly means).
    pub method: &'static str,
    /// Base, °C.
    pub base_c: f64,
    /// Upper limit, °C.
    pub upper_c: Option<f64>,
    /// What warmth above it does: `horizontal` (adds no more), `intermediate` (takes away as much again) or `vertical` (stops growth).
    pub cutoff: Option<&'static str>,
    /// The degree-days, °C d.
    pub figure: F,
}

/// Days of a structure by its lead spot.
#[utoipa::path(get, path = "/api/structures/{slug}/days",
    params(("slug" = String, Path, description = "Slug of the structure"),
        ("from" = Option<String>, Query, description = "First date; a week before `to` if left out"),
        ("to" = Option<String>, Query, description = "Last date; today if left out"),
        ("kind" = Option<String>, Query, description = "civil (the garden's clocks), noon (12:00 to 12:00 standard time) or utc"),
        ("base_c" = Option<String>, Query, description = "Bases of degree-days, comma between; 0,5,10 if left out"),
        ("upper_c" = Option<f64>, Query, description = "Upper limit of degree-days; none if left out"),
        ("cutoff" = Option<String>, Query, description = "What warmth above the upper limit does: horizontal, intermediate, vertical, comma between; horizontal if left out. The averages have the horizontal one alone")),
    responses((status = 200, body = DaysAnswer), (status = 400, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn days(
    State(desk): State<Desk>,
    Path(slug): Path<String>,
    Asked(query): Asked<DaysQuery>,
) -> Result<Json<DaysAnswer>, Problem> {
    answer(&desk, move |views, garden, now| views.asked_days(garden, &slug, &query, now)).await.map(Json)
}

impl Views {
    fn asked_days(&self, garden: &Garden, slug: &str, q: &DaysQuery, now: Millis) -> Result<DaysAnswer, Problem> {
        let kind = match q.kind.as_deref() {
            None => DayKind::Civil,
            Some(word) => DayKind::from_word(word).ok_or_else(|| Problem::bad("kind", word, "civil, noon or utc"))?,
        };
        let date = |place: &str, text: &str| {
            NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| Problem::bad(place, text, "a date like 2026-03-01"))
        };
        let to = q.to.as_deref().map(|t| date("to", t)).transpose()?.unwrap_or_else(|| date_of(garden.zone, now));
        let from = q.from.as_deref().map(|t| date("from", t)).transpose()?;
        let from = from.or_else(|| to.checked_sub_days(Days::new(6))).unwrap_or(to);
        let count = to.signed_duration_since(from).num_days() + 1;
        if !(1..=MOST_DAYS).contains(&count) {
            return Err(Problem::bad("from, to", &format!("{from} to {to}"), "1 to 15000 days"));
        }
        let bases = match q.base_c.as_deref() {
            None => BASES.to_vec(),
            Some(text) => text
                .split(',')
                .map(|b| b.trim().parse::<f64>().ok().filter(|b| (-20.0..=40.0).contains(b)))
                .collect::<Option<Vec<f64>>>()
                .ok_or_else(|| Problem::bad("base_c", text, "temperatures from -20 to 40, comma between"))?,
        };
        if let Some(upper_c) = q.upper_c.filter(|upper_c| !(-20.0..=60.0).contains(upper_c)) {
            return Err(Problem::bad("upper_c", &upper_c.to_string(), "a temperature from -20 to 60"));
        }
        let cutoffs = match q.cutoff.as_deref() {
            None => vec![Cutoff::Horizontal],
            Some(text) => text
                .split(',')
                .map(|word| CUTOFFS.into_iter().find(|c| c.name() == word.trim()))
                .collect::<Option<Vec<Cutoff>>>()
                .ok_or_else(|| Problem::bad("cutoff", text, "horizontal, intermediate or vertical, comma between"))?,
        };
        let wanted = WantedDegreeDays { bases_c: bases, upper_c: q.upper_c, cutoffs };
        self.days(garden, slug, kind, (from, count as u64), &wanted, now)
    }

    /// Days of a structure: `count` of them from `first` on, with the degree-days wanted.
    ///
    /// # Errors
    /// A structure that is not there, or a store that cannot be read.
    pub fn days(
        &self,
        garden: &Garden,
        slug: &str,
        kind: DayKind,
        (first, count): (NaiveDate, u64),
        wanted: &WantedDegreeDays,
        now: Millis,
    ) -> Result<DaysAnswer, Problem> {
        let structure = structure_of(garden, slug)?;
        let spans: Vec<_> = (0..count)
            .filter_map(|k| first.checked_add_days(Days::new(k)))
            .map(|d| kind.span(garden.zone, d))
            .collect();
        let each = wanted.each();
        let found = days_of(&self.hours, garden, structure, kind, &spans, wanted, now)?;
        let days = found.into_iter().map(|day| DayPart {
            date: day.span.date.to_string(),
            hours: day.span.hours(),
            measured: (day.figures.measured * 1_000.0).round() / 1_000.0,
            complete: day.figures.complete() && day.is_final,
            is_final: day.is_final,
            min_c: day.figures.min.into(),
            max_c: day.figures.max.into(),
            mean_c: day.figures.mean.into(),
            wet_hours: day.wet_hours.into(),
            frost_hours: day.frost_hours.into(),
            light_mol_m2: day.light_mol_m2.into(),
            degree_days: each.iter().zip(day.degree_days).map(|(one, figure)| degree_days_part(one, figure)).collect(),
        });
        Ok(DaysAnswer { zone: garden.zone.name().to_owned(), kind: kind.word(), days: days.collect() })
    }
}

fn degree_days_part(one: &OneDegreeDays, figure: Figure) -> DegreeDaysPart {
    let (upper_c, cutoff) = one.upper.unzip();
    let (method, base_c) = (one.method.name(), one.base_c);
    DegreeDaysPart { method, base_c, upper_c, cutoff: cutoff.map(Cutoff::name), figure: figure.into() }
}
