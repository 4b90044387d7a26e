//! Days as a table: one row a structure and day.

use core::ops::ControlFlow;

use chrono::NaiveDate;
use propstick_agronomy::degree_days::Method;

use super::Outlet;
use super::cells::Cells;
use super::text::Number;
use crate::fold::{DayFigures, DayKind};

/// Which columns a table of days has.
#[derive(Clone, Debug, PartialEq)]
pub struct DayColumns {
    /// Bases of degree-days, °C; each with every method.
    pub bases_c: Vec<f64>,
    /// Their upper limit, °C.
    pub upper_c: Option<f64>,
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
        for (method, base_c) in self.degree_days() {
            let upper = self.upper_c.map(|u| format!(" below {}", Number(u))).unwrap_or_default();
            cells.text(&format!("degree-days {} above {}{upper} °C [°C d]", method.name(), Number(base_c)));
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
        for (method, base_c) in self.degree_days() {
            cells.maybe(figures.degree_days(method, base_c, self.upper_c).value.map(rounded));
        }
        cells.end()
    }

    fn degree_days(&self) -> impl Iterator<Item = (Method, f64)> + '_ {
        [Method::Average1, Method::Average2]
            .into_iter()
            .flat_map(|method| self.bases_c.iter().map(move |b| (method, *b)))
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
    use crate::fold::{HourRow, day_figures};
    use propstick_agronomy::coverage::HOUR_MS;
    use propstick_wire::Millis;

    #[test]
    fn day_measured_and_day_half_missing_stand_with_their_share_and_no_figure_is_made_up() {
        let hour = |k: i64| {
            let v = k as f64;
            HourRow { from: Millis(k * HOUR_MS), n: 6, covered_ms: HOUR_MS, min: v, max: v, sum: 6.0 * v }
        };
        let rows: Vec<HourRow> = (0..24).map(hour).collect();
        let figures = |n: usize| day_figures(&rows[..n], Millis(0), Millis(24 * HOUR_MS), 0.3);
        let columns = DayColumns { bases_c: vec![5.0], upper_c: Some(20.0), error_c: 0.3 };
        let day = |n| DayOfStructure {
            date: NaiveDate::from_ymd_opt(1970, 1, 1).unwrap(),
            structure: "tunnel",
            kind: DayKind::Civil,
            hours: 24,
            is_final: n == 24,
            figures: figures(n),
        };
        let text = written(|out| {
            columns.header(out)?;
            columns.row(&day(24), out)?;
            columns.row(&day(9), out)
        });
        // Lowest 0, highest 23: mean 11.5 - 5; method 2 takes the ends within 5 and 20, mean 12.5 - 5 (climate sheet 2.1 by hand).
        assert_eq!(
            text,
            "date,structure,kind,hours,final,measured [share],sensor error [±°C],min [°C],mean [°C],max [°C],\
             degree-days average-1 above 5 below 20 °C [°C d],degree-days average-2 above 5 below 20 °C [°C d]\n\
             1970-01-01,tunnel,civil,24,yes,1,0.3,0,11.5,23,6.5,7.5\n\
             1970-01-01,tunnel,civil,24,no,0.375,0.3,,,,,\n"
        );
    }
}
