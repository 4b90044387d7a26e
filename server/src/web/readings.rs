//! What was measured over a stretch of time, in as many steps as asked for.

use axum::Json;
use axum::extract::{Path, State};
use propstick_agronomy::coverage::{CADENCE_UNKNOWN_MS, HOUR_MS, Sample, cadence_ms, gaps};
use propstick_garden::fold::{HourRow, hour_shift_ms, of_air};
use propstick_garden::model::{Garden, Measure};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Desk;
use super::answers::{instant, parse_instant, round};
use super::asked::Asked;
use super::problem::Problem;
use super::readers::{Standing, Views, answer};
use super::structures::structure_of;
use crate::store::readings::{Series, Span};

/// Most steps in one answer.
const MOST_POINTS: i64 = 10_000;
/// Longest stretch in one answer: forty years.
const LONGEST: i64 = 40 * 366 * 24 * HOUR_MS;

/// What is asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReadingsQuery {
    quantity: String,
    spot: Option<String>,
    from: Option<String>,
    to: Option<String>,
    points: Option<i64>,
}

/// What was measured.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ReadingsAnswer {
    quantity: &'static str,
    unit: &'static str,
    from: String,
    to: String,
    /// Length of a step in seconds.
    step_s: i64,
    /// One for each spot.
    series: Vec<SpotSeries>,
    /// Stretches up to now that nobody measured (longer than 2.5 cadences at the first spot, or, where steps are made of hours, than an
    /// hour), those at either end included; a line must not be drawn across them.
    gaps: Vec<(String, String)>,
}

/// Steps of one spot. A step without a reading has null; that alone is no gap.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SpotSeries {
    spot: String,
    /// Usual distance of readings in seconds.
    cadence_s: i64,
    devices: Vec<DeviceThere>,
    /// First instant of the first step.
    t0: String,
    n: Vec<u32>,
    min: Vec<Option<f64>>,
    mean: Vec<Option<f64>>,
    max: Vec<Option<f64>>,
    /// For rain: what fell in the step.
    #[serde(skip_serializing_if = "Option::is_none")]
    sum: Option<Vec<Option<f64>>>,
    /// What is odd about a step, by its number; only steps that have any.
    marks: Vec<(usize, Vec<&'static str>)>,
}

/// A device that stood at the spot.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DeviceThere {
    urn: String,
    from: String,
    to: Option<String>,
}

/// Readings of a quantity in a structure, or a figure worked out from them, in steps.
#[utoipa::path(get, path = "/api/structures/{slug}/readings",
    params(("slug" = String, Path, description = "Slug of the structure"),
        ("quantity" = String, Query, description = "Such as air-temperature, air-humidity, dew-point, vapour-pressure-deficit"),
        ("spot" = Option<String>, Query, description = "A spot; all spots of the structure that have it if left out"),
        ("from" = Option<String>, Query, description = "First instant; a day before `to` if left out"),
        ("to" = Option<String>, Query, description = "First instant after; now if left out"),
        ("points" = Option<i64>, Query, description = "Most steps wanted, 1 to 10000; 1000 if left out")),
    responses((status = 200, body = ReadingsAnswer), (status = 400, body = Problem), (status = 404, body = Problem)))]
pub(super) async fn readings(
    State(desk): State<Desk>,
    Path(slug): Path<String>,
    Asked(query): Asked<ReadingsQuery>,
) -> Result<Json<ReadingsAnswer>, Problem> {
    answer(&desk, move |views, garden, now| views.stretch(garden, &slug, &query, now)).await.map(Json)
}

impl Views {
    fn stretch(
        &self,
        garden: &Garden,
        slug: &str,
        query: &ReadingsQuery,
        now: Millis,
    ) -> Result<ReadingsAnswer, Problem> {
        structure_of(garden, slug)?;
        let measure = Measure::from_name(&query.quantity).ok_or_else(|| {
            Problem::bad("quantity", &query.quantity, "a quantity such as air-temperature, air-humidity or dew-point")
        })?;
        let to = query.to.as_deref().map(|t| parse_instant("to", t)).transpose()?.unwrap_or(now.plus(1));
        let from = query.from.as_deref().map(|t| parse_instant("from", t)).transpose()?;
        let from = from.unwrap_or(to.plus(-24 * HOUR_MS));
        if from >= to || to.since(from) > LONGEST {
            let value = format!("{} to {}", instant(from), instant(to));
            return Err(Problem::bad("from, to", &value, "from before to, at most forty years apart"));
        }
        let points = query.points.unwrap_or(1_000);
        if !(1..=MOST_POINTS).contains(&points) {
            return Err(Problem::bad("points", &points.to_string(), "1 to 10000"));
        }
        let spots = self.spots(garden, slug, measure, query.spot.as_deref())?;
        let span = Span { from, to };
        let finest = (to.since(from) + points - 1) / points;
        let series = self.readings.series()?;
        let grid = if finest >= HOUR_MS { Grid::by_hours(garden, span, finest) } else { Grid::plain(span, finest) };
        let mut parts = Vec::new();
        let mut missing = Vec::new();
        for (k, spot) in spots.iter().enumerate() {
            let (part, gaps) = if finest >= HOUR_MS {
                self.by_hours(garden, spot, measure, &grid, now)?
            } else {
                self.by_samples(garden, &series, spot, measure, &grid, now)?
            };
            if k == 0 {
                missing = gaps;
            }
            parts.push(part);
        }
        let named = |(a, b): (i64, i64)| (instant(Millis(a.max(from.0))), instant(Millis(b.min(to.0))));
        Ok(ReadingsAnswer {
            quantity: measure.name(),
            unit: measure.unit(),
            from: instant(from),
            to: instant(to),
            step_s: grid.step_ms / 1_000,
            series: parts,
            gaps: missing.into_iter().map(named).collect(),
        })
    }

    fn spots(&self, garden: &Garden, slug: &str, measure: Measure, only: Option<&str>) -> Result<Vec<String>, Problem> {
        let has = |spot: &str| {
            let placed = |q: Quantity| garden.placements.iter().any(|p| p.spot == spot && p.quantity == q);
            match measure {
                Measure::Direct(q) => placed(q),
                _ => placed(Quantity::AirTemperature) && placed(Quantity::AirHumidity),
            }
        };
        if let Some(only) = only
            && !garden.spots_of(slug).any(|s| s.slug == only)
        {
            let known: Vec<&str> = garden.spots_of(slug).map(|s| s.slug.as_str()).collect();
            return Err(Problem::unknown("spot", only, &known));
        }
        let lead = garden.structure(slug).and_then(|s| garden.lead_spot(s)).map(|s| s.slug.clone());
        let mut spots: Vec<String> = garden
            .spots_of(slug)
            .filter(|s| only.is_none_or(|o| o == s.slug) && has(&s.slug))
            .map(|s| s.slug.clone())
            .collect();
        // The spot that speaks for the structure comes first.
        spots.sort_by_key(|s| Some(s) != lead.as_ref());
        Ok(spots)
    }

    fn by_samples(
        &self,
        garden: &Garden,
        series: &[Series],
        spot: &str,
        measure: Measure,
        grid: &Grid,
        now: Millis,
    ) -> Result<(SpotSeries, Vec<(i64, i64)>), Problem> {
        let span = Span { from: Millis(grid.from_ms), to: Millis(grid.to_ms) };
        // A little before and after, so that a gap which crosses an end is seen whole.
        let wide = Span { from: span.from.plus(-26 * HOUR_MS), to: span.to.plus(6 * HOUR_MS) };
        let sampled = |q| self.samples(garden, series, spot, q, wide);
        let all: Vec<Sample> = match measure {
            Measure::Direct(q) => sampled(q)?,
            other => of_air(other, &sampled(Quantity::AirTemperature)?, &sampled(Quantity::AirHumidity)?),
        };
        let cadence = cadence_ms(&all, span.to.0).or_else(|| cadence_ms(&all, i64::MAX)).unwrap_or(CADENCE_UNKNOWN_MS);
        let inside = &all[all.partition_point(|s| s.t_ms < span.from.0)..all.partition_point(|s| s.t_ms < span.to.0)];
        let mut steps = Steps::new(grid);
        for s in inside {
            steps.add(grid.step_of(s.t_ms), 1, s.v, s.v, s.v);
        }
        if let Measure::Direct(q) = measure {
            for (s, marks) in self.marked(garden, series, spot, q, span)? {
                marks.iter().for_each(|mark| steps.mark(grid.step_of(s.t_ms), mark.name()));
            }
        }
        let heard: Vec<i64> = all.iter().map(|s| s.t_ms).collect();
        let mut missing = gaps(&all, cadence);
        let looked_at = (wide.from.0, wide.to.0.min(now.0));
        missing.extend(gaps_at_the_ends(&heard, looked_at, cadence * 5 / 2));
        // Boards report several readings at once: the newest is the last one until it is stale.
        missing.retain(|&(a, b)| b != now.0 || Standing::of(b - a, cadence) != Standing::Fresh);
        missing.sort_unstable();
        missing.retain(|&(a, b)| a < grid.to_ms && b > grid.from_ms);
        Ok((steps.finish(garden, spot, measure, grid, cadence), missing))
    }

    fn by_hours(
        &self,
        garden: &Garden,
        spot: &str,
        measure: Measure,
        grid: &Grid,
        now: Millis,
    ) -> Result<(SpotSeries, Vec<(i64, i64)>), Problem> {
        let span = Span { from: Millis(grid.from_ms), to: Millis(grid.to_ms) };
        let rows = self.hours.hours(spot, measure, span)?;
        let mut steps = Steps::new(grid);
        for r in rows.iter().filter(|r| r.n > 0) {
            steps.add(grid.step_of(r.from.0), r.n, r.min, r.sum, r.max);
        }
        let cadence = rows.iter().rev().find(|r| r.n > 1).map_or(HOUR_MS, |r| HOUR_MS / i64::from(r.n));
        let looked_at = (grid.from_ms, grid.to_ms.min(now.0));
        Ok((steps.finish(garden, spot, measure, grid, cadence), hour_gaps(&rows, looked_at)))
    }
}

/// Hours in a row without a reading, also before the first that has one and after the last.
fn hour_gaps(rows: &[HourRow], (from, to): (i64, i64)) -> Vec<(i64, i64)> {
    let heard = rows.iter().filter(|r| r.n > 0).flat_map(|r| [r.from.0, r.from.0 + HOUR_MS]);
    let ends: Vec<i64> = std::iter::once(from).chain(heard).chain([to]).collect();
    ends.chunks_exact(2).map(|silence| (silence[0], silence[1])).filter(|(a, b)| b - a > HOUR_MS).collect()
}

/// Silences longer than `limit_ms` before the first and after the last of `heard` (ascending) in the stretch that was looked at.
fn gaps_at_the_ends(heard: &[i64], (from, to): (i64, i64), limit_ms: i64) -> Vec<(i64, i64)> {
    let ends = match (heard.first(), heard.last()) {
        (Some(&first), Some(&last)) => vec![(from, first), (last, to)],
        _ => vec![(from, to)],
    };
    ends.into_iter().filter(|(a, b)| b - a > limit_ms).collect()
}

/// Steps over a stretch.
struct Grid {
    from_ms: i64,
    to_ms: i64,
    step_ms: i64,
}

impl Grid {
    fn plain(span: Span, finest: i64) -> Grid {
        let step_ms = (finest.max(1) + 999) / 1_000 * 1_000;
        Grid { from_ms: span.from.0, to_ms: span.to.0, step_ms }
    }

    fn by_hours(garden: &Garden, span: Span, finest: i64) -> Grid {
        let year = chrono::Datelike::year(&propstick_garden::fold::date_of(garden.zone, span.to));
        let shift = hour_shift_ms(garden.zone, year);
        let step_ms = (finest + HOUR_MS - 1) / HOUR_MS * HOUR_MS;
        let from_ms = (span.from.0 - shift).div_euclid(HOUR_MS) * HOUR_MS + shift;
        Grid { from_ms, to_ms: span.to.0, step_ms }
    }

    fn steps(&self) -> usize {
        ((self.to_ms - self.from_ms + self.step_ms - 1) / self.step_ms).max(1) as usize
    }

    fn step_of(&self, t_ms: i64) -> usize {
        ((t_ms - self.from_ms) / self.step_ms).max(0) as usize
    }
}

/// Steps being filled.
struct Steps {
    n: Vec<u32>,
    min: Vec<f64>,
    sum: Vec<f64>,
    max: Vec<f64>,
    marks: Vec<(usize, Vec<&'static str>)>,
}

impl Steps {
    fn new(grid: &Grid) -> Steps {
        let k = grid.steps();
        Steps {
            n: vec![0; k],
            min: vec![f64::INFINITY; k],
            sum: vec![0.0; k],
            max: vec![f64::NEG_INFINITY; k],
            marks: Vec::new(),
        }
    }

    fn add(&mut self, k: usize, n: u32, min: f64, sum: f64, max: f64) {
        let k = k.min(self.n.len() - 1);
        self.n[k] += n;
        self.min[k] = self.min[k].min(min);
        self.sum[k] += sum;
        self.max[k] = self.max[k].max(max);
    }

    fn mark(&mut self, k: usize, mark: &'static str) {
        match self.marks.last_mut() {
            Some((last, marks)) if *last == k => {
                if !marks.contains(&mark) {
                    marks.push(mark);
                }
            }
            _ => self.marks.push((k, vec![mark])),
        }
    }

    fn finish(self, garden: &Garden, spot: &str, measure: Measure, grid: &Grid, cadence: i64) -> SpotSeries {
        let known = |k: usize, v: f64| (self.n[k] > 0).then(|| round(v));
        let steps = 0..self.n.len();
        let (from, to) = (Millis(grid.from_ms), Millis(grid.to_ms));
        let of_measure = |q: Quantity| match measure {
            Measure::Direct(d) => d == q,
            _ => matches!(q, Quantity::AirTemperature | Quantity::AirHumidity),
        };
        let mut devices: Vec<DeviceThere> = garden
            .placements
            .iter()
            .filter(|p| p.spot == spot && of_measure(p.quantity) && p.from < to && p.to.is_none_or(|t| t > from))
            .map(|p| DeviceThere { urn: p.urn.clone(), from: instant(p.from), to: p.to.map(instant) })
            .collect();
        devices.dedup_by(|a, b| a.urn == b.urn && a.from == b.from);
        let adds_up = measure == Measure::Direct(Quantity::Rain);
        SpotSeries {
            spot: spot.to_owned(),
            cadence_s: cadence / 1_000,
            devices,
            t0: instant(from),
            min: steps.clone().map(|k| known(k, self.min[k])).collect(),
            mean: steps.clone().map(|k| known(k, self.sum[k] / f64::from(self.n[k]))).collect(),
            max: steps.clone().map(|k| known(k, self.max[k])).collect(),
            sum: adds_up.then(|| steps.map(|k| known(k, self.sum[k])).collect()),
            n: self.n,
            marks: self.marks,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hour(k: i64) -> HourRow {
        HourRow { from: Millis(k * HOUR_MS), n: 6, covered_ms: HOUR_MS, min: 1.0, max: 2.0, sum: 9.0 }
    }

    #[test]
    fn silence_at_either_end_is_a_gap_as_one_between_is() {
        assert_eq!(gaps_at_the_ends(&[100, 110, 120], (90, 140), 25), []);
        assert_eq!(gaps_at_the_ends(&[100, 110, 120], (70, 150), 25), [(70, 100), (120, 150)]);
        assert_eq!(gaps_at_the_ends(&[], (70, 150), 25), [(70, 150)]);
        assert_eq!(gaps_at_the_ends(&[], (200, 150), 25), [], "a stretch that is still to come");
    }

    #[test]
    fn hours_nobody_measured_are_gaps_between_and_at_the_ends() {
        let gaps = |hours: &[i64], to: i64| {
            let rows: Vec<HourRow> = hours.iter().map(|k| hour(*k)).collect();
            let found = hour_gaps(&rows, (0, to * HOUR_MS));
            found.into_iter().map(|(a, b)| (a / HOUR_MS, b / HOUR_MS)).collect::<Vec<_>>()
        };
        assert_eq!(gaps(&[0, 1, 2, 3], 4), []);
        assert_eq!(gaps(&[0, 1, 6, 7], 8), [(2, 6)]);
        assert_eq!(gaps(&[5, 6, 7], 12), [(0, 5), (8, 12)]);
        assert_eq!(gaps(&[0], 12), [(1, 12)]);
        assert_eq!(gaps(&[], 12), [(0, 12)]);
    }
}
