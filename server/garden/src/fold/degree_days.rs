//! Degree-days of a day by any method, with their doubt.

use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::degree_days::integrated::of_hours;
use propstick_agronomy::degree_days::{Cutoff, DayRange, DegreeDays, Limits, Method};

use super::{DayFigures, DaySpan, Figure, HourRow, Why};

/// A day of air temperature, °C.
#[derive(Clone, Copy, Debug)]
pub struct DayOfAir<'a> {
    /// The day.
    pub span: DaySpan,
    /// Its figures.
    pub figures: &'a DayFigures,
    /// The lowest of the day after, which the double methods need.
    pub next_min: Figure,
    /// Its hours; others are passed over.
    pub hours: &'a [HourRow],
    /// The sensor's stated error either way, °C.
    pub error_c: f64,
}

/// Which degree-days are wanted: every base with every method, and with every cut-off where there is an upper limit.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedDegreeDays {
    /// Bases, °C.
    pub bases_c: Vec<f64>,
    /// Upper limit, °C.
    pub upper_c: Option<f64>,
    /// What warmth above it does.
    pub cutoffs: Vec<Cutoff>,
}

/// One of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneDegreeDays {
    /// The method.
    pub method: Method,
    /// The base, °C.
    pub base_c: f64,
    /// The upper limit, °C, and what lies beyond it.
    pub upper: Option<(f64, Cutoff)>,
}

impl WantedDegreeDays {
    /// With a horizontal cut-off at the upper limit, if there is one.
    pub fn horizontal(bases_c: &[f64], upper_c: Option<f64>) -> WantedDegreeDays {
        WantedDegreeDays { bases_c: bases_c.to_vec(), upper_c, cutoffs: vec![Cutoff::Horizontal] }
    }

    /// Each of them, method by method; methods without a cut-off are left out for it.
    pub fn each(&self) -> Vec<OneDegreeDays> {
        let cutoffs: Vec<Cutoff> = match self.upper_c {
            Some(_) => self.cutoffs.clone(),
            None => vec![Cutoff::Horizontal],
        };
        let mut all = Vec::new();
        for method in Method::ALL {
            for cutoff in cutoffs.iter().filter(|c| has_cutoff(method, **c)) {
                let upper = self.upper_c.map(|upper_c| (upper_c, *cutoff));
                all.extend(self.bases_c.iter().map(|base_c| OneDegreeDays { method, base_c: *base_c, upper }));
            }
        }
        all
    }
}

impl OneDegreeDays {
    /// Its limits; none where the upper one is not above the base.
    pub fn limits(&self) -> Option<Limits> {
        match self.upper {
            Some((upper_c, cutoff)) => Limits::between(self.base_c, upper_c, cutoff),
            None => Limits::above(self.base_c),
        }
    }

    /// The degree-days of a day.
    pub fn of(&self, day: &DayOfAir<'_>) -> Figure {
        match self.limits() {
            Some(limits) => day.degree_days(self.method, limits),
            None => Figure::unknown(Why::NotEnough, day.figures.measured),
        }
    }
}

/// Whether a method has that cut-off: the simple averages only know the horizontal one.
pub const fn has_cutoff(method: Method, cutoff: Cutoff) -> bool {
    matches!(cutoff, Cutoff::Horizontal) || !matches!(method, Method::Average1 | Method::Average2)
}

impl DayOfAir<'_> {
    /// Degree-days by `method`. Direct integration goes by the hours' means, from 90 % of the day on; its range holds what was not measured too.
    /// Unknown for a method that does not have the cut-off.
    pub fn degree_days(&self, method: Method, limits: Limits) -> Figure {
        if method == Method::Integrated {
            return self.integrated(limits);
        }
        let f = self.figures;
        let of = |min: Option<f64>, max: Option<f64>, next: Option<f64>| {
            let range = DayRange::new(min?, max?)?;
            let range = match method {
                Method::DoubleTriangle | Method::DoubleSine => range.with_next_min(next?)?,
                _ => range,
            };
            DegreeDays::of(range, method, limits).map(|d| d.value_c_d)
        };
        let ends = (
            of(f.min.value, f.max.value, self.next_min.value),
            of(f.min.low, f.max.low, self.next_min.low),
            of(f.min.high, f.max.high, self.next_min.high),
        );
        match ends {
            // Above the upper limit warmth may take away: the range is that of all three.
            (Some(v), Some(a), Some(b)) => Figure::known(v, a.min(b).min(v), a.max(b).max(v), f.measured),
            _ => Figure::unknown(f.min.unknown.or(self.next_min.unknown).unwrap_or(Why::NotEnough), f.measured),
        }
    }

    fn integrated(&self, limits: Limits) -> Figure {
        let mut means = vec![None; self.span.hours().max(0) as usize];
        for row in self.hours.iter().filter(|r| r.n > 0 && r.covered_ms * 2 >= HOUR_MS) {
            let k = row.from.since(self.span.from).div_euclid(HOUR_MS);
            if let Some(place) = usize::try_from(k).ok().and_then(|k| means.get_mut(k)) {
                *place = Some(row.sum / f64::from(row.n));
            }
        }
        let shifted = |by_c: f64| {
            let moved: Vec<Option<f64>> = means.iter().map(|t_c| t_c.map(|t_c| t_c + by_c)).collect();
            of_hours(&moved, limits).filter(|m| m.degree_days.method == Method::Integrated)
        };
        match (shifted(0.0), shifted(-self.error_c), shifted(self.error_c)) {
            (Some(m), Some(a), Some(b)) => {
                let low = a.low_c_d.min(b.low_c_d).min(m.low_c_d);
                let high = a.high_c_d.max(b.high_c_d).max(m.high_c_d);
                Figure::known(m.degree_days.value_c_d, low, high, m.covered)
            }
            _ => Figure::unknown(self.figures.min.unknown.unwrap_or(Why::NotEnough), self.figures.measured),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::{day_figures, utc_day};
    use chrono::NaiveDate;
    use propstick_wire::Millis;

    fn rows(mean_c: impl Fn(i64) -> f64, hours: i64) -> Vec<HourRow> {
        let row = |k: i64| {
            let v = mean_c(k);
            HourRow { from: Millis(k * HOUR_MS), n: 6, covered_ms: HOUR_MS, min: v, max: v, sum: 6.0 * v }
        };
        (0..hours).map(row).collect()
    }

    fn by(rows: &[HourRow], method: Method, limits: Limits, next_min: Figure) -> Figure {
        let span = utc_day(NaiveDate::from_ymd_opt(1970, 1, 1).unwrap());
        let figures = day_figures(rows, span.from, span.to, 0.3);
        DayOfAir { span, figures: &figures, next_min, hours: rows, error_c: 0.3 }.degree_days(method, limits)
    }

    const NO_NEXT: Figure = Figure { value: None, low: None, high: None, measured: 0.0, unknown: Some(Why::NoReading) };

    #[test]
    fn day_of_two_levels_is_integrated_as_it_was() {
        // Twelve hours of 2 °C and twelve of 8: 2 °C d above 4; the average of lowest and highest says 1.
        let rows = rows(|k| if k < 12 { 2.0 } else { 8.0 }, 24);
        let limits = Limits::above(4.0).unwrap();
        let integrated = by(&rows, Method::Integrated, limits, NO_NEXT);
        assert!((integrated.value.unwrap() - 2.0).abs() < 1e-9);
        assert!((integrated.low.unwrap() - 1.85).abs() < 1e-9 && (integrated.high.unwrap() - 2.15).abs() < 1e-9);
        assert_eq!(by(&rows, Method::Average1, limits, NO_NEXT).value, Some(1.0));
    }

    #[test]
    fn double_methods_need_the_next_day_and_half_a_day_is_not_enough() {
        let limits = Limits::between(4.0, 20.0, Cutoff::Vertical).unwrap();
        let whole = rows(|k| k as f64, 24);
        assert_eq!(by(&whole, Method::DoubleSine, limits, NO_NEXT).unknown, Some(Why::NoReading));
        assert!(by(&whole, Method::DoubleSine, limits, Figure::within(2.0, 0.3, 1.0)).value.is_some());
        assert_eq!(by(&whole, Method::Average2, limits, NO_NEXT).value, None, "an average has no vertical cut-off");
        assert!(!has_cutoff(Method::Average2, Cutoff::Vertical) && has_cutoff(Method::SingleSine, Cutoff::Vertical));
        // Troubles page 18.
        let morning = rows(|k| 2.0 + 0.4 * k as f64, 9);
        assert!(Method::ALL.into_iter().all(|m| by(&morning, m, limits, NO_NEXT).value.is_none()));
    }
}
