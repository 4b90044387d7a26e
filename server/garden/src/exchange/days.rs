//! Days as a table: one row a structure and day.

use core::ops::ControlFlow;

use chrono::NaiveDate;

use super::Outlet;
use super::cells::Cells;
use super::text::Number;
use crate::fold::{DayFigures, DayKind, Figure, WantedDegreeDays};

/// Which columns a table of days has.
#[derive(Clone, Debug, PartialEq)]
pub struct DayColumns {
    /// Which degree-days.
    pub wanted: WantedDegreeDays,
    /// The sensor's stated error either way, °C: what it could change stands in a column of its own.
    pub error_c: f64,
}

/// A day of a structure.
#[derive(Clone, Debug, PartialEq)]
pub struct DayOfStructure<'a> {
    /// Its date.
    pub date: NaiveDate,
    /// The structure's slug.
    pub structure: &'a str,
    /// Which kind of day.
    pub kind: DayKind,
    /// Its length in hours.
    pub hours: i64,
    /// Whether it is over.
    pub is_final: bool,
    /// Its air temperatures, °C.
    pub figures: DayFigures,
    /// Hours with wet leaves.
    pub wet_hours: Figure,
    /// Hours at or below 0 °C.
    pub frost_hours: Figure,
    /// Light that plants use, mol/m².
    pub light_mol_m2: Figure,
    /// Degree-days, in the order of [`WantedDegreeDays::each`].
    pub degree_days: Vec<Figure>,
}

impl DayColumns {
    /// The line of heads. Every figure names its unit, degree-days also their method, base and upper limit.
    pub fn header(&self, out: &mut Outlet<'_>) -> ControlFlow<()> {
        let mut cells = Cells::new(out);
        for head in ["date", "structure", "kind", "hours", "final", "measured [share]", "sensor error [±°C]"] {
            cells.text(head);
        }
        for figure in ["min", "mean", "max"] {
            cells.text(&format!("{figure} [°C]"));
        }
        for head in ["wet hours", "wet hours low", "wet hours high", "frost hours"] {
            cells.text(&format!("{head} [h]"));
        }
        cells.text("light [mol/m²]");
        for one in self.wanted.each() {
            let upper =
                one.upper.map(|(u, cutoff)| format!(" below {} {}", Number(u), cutoff.name())).unwrap_or_default();
            cells.text(&format!("degree-days {} above {}{upper} °C [°C d]", one.method.name(), Number(one.base_c)));
        }
        cells.end()
    }

    /// The row of a day. What is unknown is an empty cell; the share that was measured stands beside it in any case.
    pub fn row(&self, day: &DayOfStructure<'_>, out: &mut Outlet<'_>) -> ControlFlow<()> {
        let figures = &day.figures;
        let mut cells = Cells::new(out);
        cells.plain(day.date);
        cells.text(day.structure);
        cells.plain(day.kind.word());
        cells.plain(day.hours);
        cells.plain(if day.is_final { "yes" } else { "no" });
        cells.number((figures.measured * 1_000.0).round() / 1_000.0);
        cells.number(self.error_c);
        for figure in [figures.min, figures.mean, figures.max] {
            cells.maybe(figure.value.map(rounded));
        }
        let wet = day.wet_hours;
        for v in [wet.value, wet.low, wet.high, day.frost_hours.value, day.light_mol_m2.value] {
            cells.maybe(v.map(rounded));
        }
        for figure in &day.degree_days {
            cells.maybe(figure.value.map(rounded));
        }
        cells.end()
    }
}

/// To a ten-thousandth, as answers are.
fn rounded(v: f64) -> f64 {
    (v * 10_000.0).round() / 10_000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::tests::written;
    use crate::fold::{DayOfAir, HourRow, Why, day_figures, utc_day};
    use propstick_agronomy::coverage::HOUR_MS;
    use propstick_agronomy::degree_days::Cutoff;
    use propstick_wire::Millis;

    #[test]
    fn day_measured_and_day_half_missing_stand_with_their_share_and_no_figure_is_made_up() {
        let hour = |k: i64| {
            let v = k as f64;
            HourRow { from: Millis(k * HOUR_MS), n: 6, covered_ms: HOUR_MS, min: v, max: v, sum: 6.0 * v }
        };
        let rows: Vec<HourRow> = (0..24).map(hour).collect();
        let figures = |n: usize| day_figures(&rows[..n], Millis(0), Millis(24 * HOUR_MS), 0.3);
        let wanted = WantedDegreeDays { bases_c: vec![5.0], upper_c: Some(20.0), cutoffs: vec![Cutoff::Horizontal] };
        let columns = DayColumns { wanted: wanted.clone(), error_c: 0.3 };
        let nothing = Figure::unknown(Why::NotMeasured, 0.0);
        let day = |n: usize| {
            let figures = figures(n);
            let span = utc_day(NaiveDate::from_ymd_opt(1970, 1, 1).unwrap());
            let air = DayOfAir { span, figures: &figures, next_min: nothing, hours: &rows[..n], error_c: 0.3 };
            DayOfStructure {
                date: span.date,
                structure: "tunnel",
                kind: DayKind::Civil,
                hours: 24,
                is_final: n == 24,
                wet_hours: if n == 24 { Figure::known(7.0, 5.0, 9.0, 1.0) } else { nothing },
                frost_hours: if n == 24 { Figure::known(1.0, 1.0, 1.0, 1.0) } else { nothing },
                light_mol_m2: nothing,
                degree_days: wanted.each().iter().map(|one| one.of(&air)).collect(),
                figures,
            }
        };
        let text = written(|out| {
            columns.header(out)?;
            columns.row(&day(24), out)?;
            columns.row(&day(9), out)
        });
        // Lowest 0, highest 23: mean 11.5 - 5; method 2 takes the ends within 5 and 20, mean 12.5 - 5 (climate sheet 2.1 by hand). Integrated: hours
        // of 6 to 19 °C give 1 to 14, those of 20 to 23 give 15: 105 + 60 of 24.
        let lines: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
        let heads = &lines[0];
        assert_eq!(heads.len(), 22, "{heads:?}");
        let cell = |row: usize, head: &str| lines[row][heads.iter().position(|h| *h == head).unwrap()];
        for (head, whole, morning) in [
            ("date", "1970-01-01", "1970-01-01"),
            ("measured [share]", "1", "0.375"),
            ("sensor error [±°C]", "0.3", "0.3"),
            ("mean [°C]", "11.5", ""),
            ("wet hours [h]", "7", ""),
            ("wet hours high [h]", "9", ""),
            ("frost hours [h]", "1", ""),
            ("light [mol/m²]", "", ""),
            ("degree-days average-1 above 5 below 20 horizontal °C [°C d]", "6.5", ""),
            ("degree-days average-2 above 5 below 20 horizontal °C [°C d]", "7.5", ""),
            ("degree-days double-sine above 5 below 20 horizontal °C [°C d]", "", ""),
            ("degree-days integrated above 5 below 20 horizontal °C [°C d]", "6.875", ""),
        ] {
            assert_eq!((cell(1, head), cell(2, head)), (whole, morning), "{head}");
        }
    }
}
