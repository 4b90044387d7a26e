//! Risk of mildew and mould: noon-days of a structure, when to look for spots, and what stands beside.

use axum::Json;
use axum::extract::{Path, State};
use chrono::{DateTime, Days, NaiveDate};
use propstick_agronomy::disease::Verdict;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::risk::level::Freshness;
use propstick_agronomy::risk::standing::Standing;
use propstick_agronomy::runs::Runs;
use propstick_agronomy::sourced;
use propstick_garden::fold::{DayKind, Figure, HourRow, Why};
use propstick_garden::model::{Garden, Measure, Placement, Structure};
use propstick_garden::record::{Event, Observation};
use propstick_garden::season::{
    Flags, GroupRisk, LEAVES_LOOK_BACK_MS, MORNING_AHEAD_MS, NOON_DAY_MS, SpotNight, damping_off, group_risks,
    noon_before, soil_was_moist, wet_hours_figure, worst_night,
};
use propstick_garden::wording::week_words;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::answers::{F, instant};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Views, answer};
use super::structures::structure_of;
use crate::season::{
    FOUND_BACK, StructureSeason, blight_of, found_in, leaf_spots, looks_of, noon_of, over, structure_season, week_of,
};
use crate::store::derived::{KeptNight, Seasons};
use crate::store::garden::told::Wanted;
use crate::store::readings::Span;

/// Most noon-days in one answer.
const MOST_NIGHTS: i64 = 400;
/// Civil days for which blight weather outdoors is told.
const BLIGHT_DAYS: u64 = 3;

/// What is asked for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RiskQuery {
    from: Option<String>,
    to: Option<String>,
}

/// Risk of a structure. Every figure is of the weather at its worst spot; nothing here knows whether there are spores.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RiskAnswer {
    /// Which constants it was worked out by; `/api/sources` lists them.
    pub constants: ConstantsPart,
    /// Noon-days, both ends included; the running one so far.
    pub nights: Vec<NightPart>,
    /// Windows in which spots may be seen if a night let a disease in: today's and those to come.
    pub look_for: Vec<LookPart>,
    /// Diseases whose look is due in the seven days from today: one look serves them all.
    pub look_this_week: Vec<&'static str>,
    /// Where this week stands among the structure's own weeks of this month; null until four such weeks are known.
    pub week: Option<WeekPart>,
    /// The damp spell that goes on; null where none does, or where the sensor is doubtful.
    pub spell: Option<SpellPart>,
    /// Damp days in a row (more than seven wet hours), up to the last noon-day that is over.
    pub damp_days: F,
    /// Blight weather outdoors on the last days, by the Hutton Criteria (2017).
    pub blight_outdoors: Vec<BlightPart>,
}

/// Which constants.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ConstantsPart {
    /// Goes up with every change of a value.
    pub version: u32,
    /// Changes with any name or value.
    pub fingerprint: String,
}

/// A noon-day: 12:00 to 12:00 standard time.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct NightPart {
    /// The date of the noon it begins with.
    pub noon_day: String,
    /// Whether it is over.
    #[serde(rename = "final")]
    pub is_final: bool,
    /// Share of it that was measured, at the spot where most was.
    pub measured: f64,
    /// Wet hours at the wettest spot.
    pub wet_hours: F,
    /// Risk by crop group.
    pub groups: Vec<GroupPart>,
    /// Rules that stand beside the score, where the noon-day is over.
    pub flags: Option<FlagsPart>,
}

/// Risk of a crop group.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"group": "lettuce", "level": "high", "range": ["high", "high"], "state": "fresh", "uncertain": false, "found_lately": false,
    "risk": {"value": 0.92, "low": 0.9, "high": 0.95, "measured": 1.0}, "by": "lettuce-downy-mildew", "spot": "tunnel-middle",
    "severity": {"value": 0.94, "low": 0.93, "high": 0.94, "measured": 1.0}, "wet_hours": {"value": 21.0, "low": 20.0, "high": 22.0, "measured": 1.0}}))]
pub struct GroupPart {
    /// The crop group.
    pub group: &'static str,
    /// `low`, `some`, `raised` or `high`; null where it is not known.
    pub level: Option<&'static str>,
    /// The levels that humidity lower and higher by the sensor's error would enter.
    pub range: [&'static str; 2],
    /// `fresh`; `stale` where the last one or two noon-days have no score; `unknown`.
    pub state: &'static str,
    /// Whether it hangs on the humidity sensor.
    pub uncertain: bool,
    /// Whether a disease of the group was found here within 21 days, so that the level shows one higher.
    pub found_lately: bool,
    /// Risk after the noon-day, 0 to 1.
    pub risk: F,
    /// The disease that drives it.
    pub by: &'static str,
    /// The spot where it is worst.
    pub spot: String,
    /// Severity of the night, 0 to 1: 0.5 is one infection just complete.
    pub severity: F,
    /// Wet hours at that spot.
    pub wet_hours: F,
}

/// Rules beside the score; each `yes`, `no` or `unknown`.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FlagsPart {
    /// Grey-mould week: wet leaves over seven hours a day and mild nights (Yunis and others 1994).
    pub grey_mould_week: &'static str,
    /// Stem-rot weather on three of five days; unknown unless somebody told whether the soil is moist: by a finger within seven days, or water within three.
    pub stem_rot: &'static str,
    /// Whether seedlings are near damping off: compost far too cold for them in a damp day; unknown without a probe in the trays, null where no trays or
    /// seedlings are.
    pub damping_off: Option<&'static str>,
    /// How well the day suited dry mildews, 0 to 1; null out of season or where too little is known.
    pub dry_mildew: Option<f64>,
    /// Whether onion mildew could make spores in the night.
    pub onion_spores: &'static str,
    /// Whether leaves then stayed wet long enough for it.
    pub onion_infects: bool,
    /// Whether the morning let lettuce mildew in: wet for four hours after sunrise, and cool enough. Leaves of a closed winter tunnel are wet nearly every
    /// morning: a yes says little without `lettuce_suits`.
    pub lettuce_morning: &'static str,
    /// How well the warmth of that morning suited lettuce mildew, 0 to 1; null where leaves were dry or it is not known.
    pub lettuce_suits: Option<f64>,
}

/// A window in which to look for spots.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LookPart {
    /// The disease, as in answers.
    pub what: &'static str,
    /// The disease in plain words.
    pub words: &'static str,
    /// First day worth looking.
    pub from: String,
    /// Last day worth looking.
    pub to: String,
    /// The noon-day that opened it; of merged windows the first.
    pub night: String,
    /// Whether the rule is a rough stand-in.
    pub rough: bool,
}

/// Where a week stands among the structure's own.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WeekPart {
    /// The month whose weeks it is placed among, 1 to 12.
    pub month: u32,
    /// Wet hours a day in this week.
    pub wet_hours_day: F,
    /// Its place, 1 for the dampest, as read and in the low and the high run.
    pub place: F,
    /// How many weeks it is placed among, itself not counted.
    pub weeks: u32,
    /// How many of them were drier, as read.
    pub drier: u32,
    /// How many were damper, as read.
    pub damper: u32,
    /// In a sentence.
    pub says: String,
}

/// Hours in a row of 90 %RH and more.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SpellPart {
    /// Its first instant.
    pub from: String,
    /// Its length in hours.
    pub hours: u32,
    /// Whether it may have begun earlier, unseen.
    pub begun_unseen: bool,
    /// Mean temperature, °C.
    pub mean_c: Option<f64>,
}

/// Blight weather on a civil day outdoors.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BlightPart {
    /// The date.
    pub date: String,
    /// Whether the day was mild and damp enough: `yes`, `no` or `unknown`.
    pub day: &'static str,
    /// Whether it and the day before were.
    pub period: &'static str,
}

/// Risk of mildew and mould in a structure, noon-day by noon-day, by its worst spot.
#[utoipa::path(get, path = "/api/structures/{slug}/risk",
    params(("slug" = String, Path, description = "Slug of the structure"),
        ("from" = Option<String>, Query, description = "First noon-day, by the date it begins on; six before `to` if left out"),
        ("to" = Option<String>, Query, description = "Last noon-day; the running one if left out")),
    responses((status = 200, body = RiskAnswer), (status = 400, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn risk(
    State(desk): State<Desk>,
    Path(slug): Path<String>,
    Asked(query): Asked<RiskQuery>,
) -> Result<Json<RiskAnswer>, Problem> {
    answer(&desk, move |views, garden, now| views.asked_risk(garden, &slug, &query, now)).await.map(Json)
}

/// The word of a verdict.
pub(super) const fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Yes => "yes",
        Verdict::No => "no",
        Verdict::Unknown => "unknown",
    }
}

/// A crop group's risk as it is answered.
pub(super) fn group_part(risk: &GroupRisk<'_>) -> GroupPart {
    let shown = &risk.shown;
    let wet = risk.wet_h.map(f64::from);
    let wet_hours = if risk.scored {
        Figure::known(wet.read, wet.low, wet.high, risk.measured)
    } else {
        Figure::unknown(Why::NotEnough, risk.measured)
    };
    GroupPart {
        group: risk.group.word(),
        level: shown.level.map(|l| l.word()),
        range: [shown.range.0.word(), shown.range.1.word()],
        state: match shown.freshness {
            Freshness::Fresh => "fresh",
            Freshness::Stale => "stale",
            Freshness::Unknown => "unknown",
        },
        uncertain: shown.uncertain,
        found_lately: risk.found_lately,
        risk: risk.risk_figure().into(),
        by: risk.by.row().id,
        spot: risk.spot.to_owned(),
        severity: risk.severity_figure().into(),
        wet_hours: wet_hours.into(),
    }
}

impl Views {
    /// The season of a structure as it stands at `now`, with what was found in it since `since`.
    pub(super) fn season(
        &self,
        garden: &Garden,
        structure: &Structure,
        since: Millis,
        now: Millis,
    ) -> Result<StructureSeason, Problem> {
        let found = found_in(&self.garden_db, garden, &structure.slug, since, now)?;
        Ok(structure_season(&self.hours, garden, structure, found, now)?)
    }

    fn asked_risk(&self, garden: &Garden, slug: &str, q: &RiskQuery, now: Millis) -> Result<RiskAnswer, Problem> {
        let date = |place: &str, text: &str| {
            NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| Problem::bad(place, text, "a date like 2026-03-01"))
        };
        let running = noon_before(garden.zone, now);
        let today = propstick_garden::fold::date_of(garden.zone, running);
        let to = q.to.as_deref().map(|t| date("to", t)).transpose()?.unwrap_or(today);
        let from = q.from.as_deref().map(|t| date("from", t)).transpose()?;
        let from = from.or_else(|| to.checked_sub_days(Days::new(6))).unwrap_or(to);
        let count = to.signed_duration_since(from).num_days() + 1;
        if !(1..=MOST_NIGHTS).contains(&count) {
            return Err(Problem::bad("from, to", &format!("{from} to {to}"), "1 to 400 noon-days"));
        }
        self.risk(garden, slug, (from, count as u64), now)
    }

    /// Risk of a structure: `count` noon-days from `first` on.
    ///
    /// # Errors
    /// A structure that is not there, or a store that cannot be read.
    pub fn risk(
        &self,
        garden: &Garden,
        slug: &str,
        (first, count): (NaiveDate, u64),
        now: Millis,
    ) -> Result<RiskAnswer, Problem> {
        let structure = structure_of(garden, slug)?;
        let since = noon_of(garden, first).min(now).plus(-FOUND_BACK);
        let season = self.season(garden, structure, since, now)?;
        let dates: Vec<NaiveDate> = (0..count).filter_map(|k| first.checked_add_days(Days::new(k))).collect();
        let nights = self.nights(garden, structure, &season, &dates, now)?;
        let (looks, due) = looks_of(&self.hours, garden, structure, now)?;
        let day =
            |n: i64| DateTime::from_timestamp(n * 86_400, 0).map_or(String::new(), |t| t.date_naive().to_string());
        let look_for = looks.iter().map(|look| LookPart {
            what: look.what.row().id,
            words: look.what.row().disease,
            from: day(look.window.from),
            to: day(look.window.to),
            night: day(look.window.night),
            rough: look.what.row().rough,
        });
        let spell = season.spell().map(|s| SpellPart {
            from: instant(Millis(s.from_ms)),
            hours: s.hours,
            begun_unseen: s.begun_unseen,
            mean_c: s.mean_c().map(super::answers::round),
        });
        let blight = blight_of(&self.hours, garden, BLIGHT_DAYS, now)?;
        Ok(RiskAnswer {
            constants: ConstantsPart {
                version: sourced::VERSION,
                fingerprint: format!("{:016x}", sourced::fingerprint()),
            },
            nights,
            look_for: look_for.collect(),
            look_this_week: due.iter().map(|d| d.row().id).collect(),
            week: week_of(&self.hours, garden, structure, now)?.map(|w| week_part(&w)),
            spell,
            damp_days: damp_days_part(&season),
            blight_outdoors: blight
                .into_iter()
                .map(|(date, b)| BlightPart {
                    date: date.to_string(),
                    day: verdict_word(b.day),
                    period: verdict_word(b.period),
                })
                .collect(),
        })
    }

    /// What of the soil in `span` the flags beside the score rest on.
    fn soil_told(&self, garden: &Garden, structure: &Structure, span: Span) -> Result<SoilTold, Problem> {
        let wanted = |kind: &str| Wanted { from: span.from, to: span.to, kind: Some(kind.to_owned()), ..Wanted::all() };
        let has_trays = |bed: &str| garden.bed(bed).is_some_and(|b| b.trays);
        let trays = structure.crop_groups().contains(&CropGroup::Seedling)
            || garden.beds.iter().any(|b| b.structure == structure.slug && b.trays);
        let probe = garden.spots_of(&structure.slug).find(|s| {
            let measured = |p: &Placement| p.spot == s.slug && p.quantity == Quantity::SoilTemperature;
            s.bed.as_deref().is_some_and(has_trays) && garden.placements.iter().any(measured)
        });
        let compost = match probe {
            Some(spot) => self.hours.hours(&spot.slug, Measure::Direct(Quantity::SoilTemperature), span)?,
            None => Vec::new(),
        };
        Ok(SoilTold {
            events: self.garden_db.events().list(&wanted("water"))?,
            observations: self.garden_db.observations().list(&wanted("finger"))?,
            trays,
            compost,
        })
    }

    fn nights(
        &self,
        garden: &Garden,
        structure: &Structure,
        season: &StructureSeason,
        dates: &[NaiveDate],
        now: Millis,
    ) -> Result<Vec<NightPart>, Problem> {
        let (Some(first), Some(last)) = (dates.first(), dates.last()) else { return Ok(Vec::new()) };
        let span = Span { from: noon_of(garden, *first), to: noon_of(garden, *last).plus(1) };
        let wide =
            Span { from: span.from.plus(-LEAVES_LOOK_BACK_MS), to: span.to.plus(NOON_DAY_MS + MORNING_AHEAD_MS) };
        let mut kept: Vec<(&str, Vec<KeptNight>)> = Vec::new();
        let mut hours = Vec::new();
        for spot in leaf_spots(garden, &structure.slug) {
            kept.push((spot, self.hours.nights(spot, span)?));
            hours.push(self.hours.wet_hours(spot, wide)?);
        }
        let soil = self.soil_told(garden, structure, wide)?;
        let part = |date: &NaiveDate| {
            let day = DayKind::Noon.span(garden.zone, *date);
            let is_final = day.to <= now;
            let mut spots: Vec<SpotNight<'_>> = Vec::new();
            for (spot, nights) in kept.iter().filter(|_| is_final) {
                if let Ok(k) = nights.binary_search_by_key(&day.from, |n| n.noon) {
                    spots.push(SpotNight { spot, night: &nights[k].night });
                }
            }
            if spots.is_empty() {
                // Nobody has kept it: it is the last one, or the running one.
                let standing = if is_final { season.nights() } else { season.so_far() };
                spots.extend(standing.into_iter().filter(|s| s.night.day.from_ms == day.from.0));
            }
            let worst = worst_night(&spots).or(spots.first().copied());
            let flags = worst.filter(|_| is_final).and_then(|worst| {
                let k = kept.iter().position(|(spot, _)| *spot == worst.spot)?;
                let known = over(hours.get(k)?, now);
                let moist = soil_was_moist(garden, &structure.slug, &soil.events, &soil.observations, day.to);
                let flags = Flags::of_day(known, day.from, garden.zone, (garden.lat, garden.lon), moist);
                let damping =
                    soil.trays.then(|| damping_off(known, day.from, soil.compost_c(day.from), structure.crops));
                Some(flags_part(&flags, damping))
            });
            let measured = spots.iter().map(|s| s.night.day.measured_h / 24.0).fold(0.0, f64::max).min(1.0);
            NightPart {
                noon_day: date.to_string(),
                is_final,
                measured: (measured * 1_000.0).round() / 1_000.0,
                wet_hours: worst.map_or(Figure::unknown(Why::NoReading, 0.0), |w| wet_hours_figure(w.night)).into(),
                groups: group_risks(&spots, &season.groups, &season.found, day.to.min(now))
                    .iter()
                    .map(group_part)
                    .collect(),
                flags,
            }
        };
        Ok(dates.iter().map(part).collect())
    }
}

/// What was told and measured of a structure's soil.
struct SoilTold {
    events: Vec<Event>,
    observations: Vec<Observation>,
    trays: bool,
    compost: Vec<HourRow>,
}

impl SoilTold {
    /// Mean of the compost in the trays over a noon-day, °C, where half of it was measured.
    fn compost_c(&self, noon: Millis) -> Option<f64> {
        let of_day = self.compost.iter().filter(|r| noon <= r.from && r.from < noon.plus(NOON_DAY_MS) && r.n > 0);
        let means: Vec<f64> = of_day.map(|r| r.sum / f64::from(r.n)).collect();
        (means.len() >= 12).then(|| means.iter().sum::<f64>() / means.len() as f64)
    }
}

fn flags_part(f: &Flags, damping: Option<Verdict>) -> FlagsPart {
    FlagsPart {
        damping_off: damping.map(verdict_word),
        grey_mould_week: verdict_word(f.grey_mould_week.read),
        stem_rot: verdict_word(f.stem_rot),
        dry_mildew: f.dry_mildew.map(super::answers::round),
        onion_spores: verdict_word(f.onion_spores.read),
        onion_infects: f.onion_infects.read,
        lettuce_morning: verdict_word(f.lettuce_morning.read),
        lettuce_suits: f.lettuce_suits.map(super::answers::round),
    }
}

fn week_part(week: &propstick_garden::season::WeekStanding) -> WeekPart {
    let of = |runs: Runs<f64>| F::from(Figure::known(runs.read, runs.low.min(runs.high), runs.low.max(runs.high), 1.0));
    WeekPart {
        month: week.month,
        wet_hours_day: of(week.wet_h_day),
        place: of(week.among.map(|s: Standing| f64::from(s.place()))),
        weeks: week.among.read.weeks(),
        drier: week.among.read.drier,
        damper: week.among.read.damper,
        says: week_words(week),
    }
}

fn damp_days_part(season: &StructureSeason) -> F {
    let Some(night) = season.spots.iter().find_map(|s| s.last) else {
        return Figure::unknown(Why::NoReading, 0.0).into();
    };
    let days = season.damp_days().map(f64::from);
    Figure::known(days.read, days.low, days.high, (night.day.measured_h / 24.0).min(1.0)).into()
}
