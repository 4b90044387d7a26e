//! Days of the garden, always named by their kind, and their figures from hours.

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, Offset, TimeZone, Utc};
use chrono_tz::Tz;
use propstick_agronomy::coverage::HOUR_MS;
use propstick_wire::Millis;

use super::{Figure, Why};

/// Least share of a day that must be measured for a figure of it (climate sheet 2.1: under 60 % is missing).
pub const LEAST_OF_A_DAY: f64 = 0.6;
/// Least share for a day to be called complete (climate sheet 2.1: 90 %).
pub const COMPLETE_DAY: f64 = 0.9;

/// Which kind of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DayKind {
    /// Midnight to midnight by the garden's clocks: 23, 24 or 25 hours.
    Civil,
    /// From 12:00 to 12:00 standard time, named by the day it begins: for wetness and risk, so that a night is not cut.
    Noon,
    /// Midnight to midnight UTC: for published rules.
    Utc,
}

impl DayKind {
    /// Its word in addresses and answers.
    pub const fn word(self) -> &'static str {
        match self {
            DayKind::Civil => "civil",
            DayKind::Noon => "noon",
            DayKind::Utc => "utc",
        }
    }

    /// The kind of that word.
    pub fn from_word(word: &str) -> Option<DayKind> {
        [DayKind::Civil, DayKind::Noon, DayKind::Utc].into_iter().find(|k| k.word() == word)
    }

    /// The day of this kind that `date` names.
    pub fn span(self, zone: Tz, date: NaiveDate) -> DaySpan {
        match self {
            DayKind::Civil => civil_day(zone, date),
            DayKind::Noon => noon_day(zone, date),
            DayKind::Utc => utc_day(date),
        }
    }
}

/// A day as a stretch of time, `[from, to)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DaySpan {
    /// Its date.
    pub date: NaiveDate,
    /// First instant.
    pub from: Millis,
    /// First instant after it.
    pub to: Millis,
}

impl DaySpan {
    /// Its length in hours.
    pub fn hours(&self) -> i64 {
        (self.to.0 - self.from.0) / HOUR_MS
    }
}

/// One hour of one measure at one spot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourRow {
    /// First instant of the hour.
    pub from: Millis,
    /// Samples in it.
    pub n: u32,
    /// Milliseconds covered by a sample.
    pub covered_ms: i64,
    /// Smallest value, where `n` > 0.
    pub min: f64,
    /// Greatest value, where `n` > 0.
    pub max: f64,
    /// Sum of the values.
    pub sum: f64,
}

/// Figures of a day of one measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayFigures {
    /// Share of the day that was measured, 0 to 1.
    pub measured: f64,
    /// Lowest value.
    pub min: Figure,
    /// Highest value.
    pub max: Figure,
    /// Mean over the hours measured.
    pub mean: Figure,
}

impl DayFigures {
    /// Whether so much was measured that the day counts as whole.
    pub fn complete(&self) -> bool {
        self.measured >= COMPLETE_DAY
    }
}

/// Figures of the stretch `[from, to)` from the hours in it; hours outside are passed over.
///
/// `error` is the sensor's stated error either way, in the measure's unit.
pub fn day_figures(rows: &[HourRow], from: Millis, to: Millis, error: f64) -> DayFigures {
    let mut covered = 0;
    let (mut min, mut max) = (f64::INFINITY, f64::NEG_INFINITY);
    let (mut weighted, mut weight) = (0.0, 0.0);
    for row in rows.iter().filter(|r| from <= r.from && r.from < to) {
        covered += row.covered_ms;
        if row.n > 0 {
            min = min.min(row.min);
            max = max.max(row.max);
            let share = row.covered_ms.max(1) as f64;
            weighted += row.sum / f64::from(row.n) * share;
            weight += share;
        }
    }
    // The newest sample covers a little of what is yet to come.
    let measured = (covered as f64 / to.since(from).max(1) as f64).min(1.0);
    let figure = |v: f64| {
        if weight == 0.0 {
            Figure::unknown(Why::NoReading, measured)
        } else if measured < LEAST_OF_A_DAY {
            Figure::unknown(Why::NotEnough, measured)
        } else {
            Figure::within(v, error, measured)
        }
    };
    DayFigures { measured, min: figure(min), max: figure(max), mean: figure(weighted / weight) }
}

/// Midnight to midnight by the zone's clocks.
pub fn civil_day(zone: Tz, date: NaiveDate) -> DaySpan {
    let next = date.checked_add_days(Days::new(1)).unwrap_or(date);
    DaySpan { date, from: first_instant(zone, date), to: first_instant(zone, next) }
}

/// 12:00 to 12:00 standard time.
pub fn noon_day(zone: Tz, date: NaiveDate) -> DaySpan {
    let next = date.checked_add_days(Days::new(1)).unwrap_or(date);
    let noon = |d: NaiveDate| {
        Millis(
            (d.and_time(NaiveTime::MIN).and_utc().timestamp() + 43_200 - i64::from(standard_offset_s(zone, d.year())))
                * 1_000,
        )
    };
    DaySpan { date, from: noon(date), to: noon(next) }
}

/// Midnight to midnight UTC.
pub fn utc_day(date: NaiveDate) -> DaySpan {
    let from = date.and_time(NaiveTime::MIN).and_utc().timestamp() * 1_000;
    DaySpan { date, from: Millis(from), to: Millis(from + 24 * HOUR_MS) }
}

/// The smallest UTC offset in force in that year, in seconds: the zone database's own "standard" calls Dublin's winter the exception.
pub fn standard_offset_s(zone: Tz, year: i32) -> i32 {
    let Some(first) = NaiveDate::from_ymd_opt(year, 1, 1) else { return 0 };
    // No zone has kept a clock change for less than five days.
    (0..366)
        .step_by(5)
        .filter_map(|k| first.checked_add_days(Days::new(k)))
        .map(|d| zone.offset_from_utc_date(&d).fix().local_minus_utc())
        .min()
        .unwrap_or(0)
}

/// How far the garden's hour boundaries lie after those of UTC, in milliseconds: 0 where the standard offset is whole hours.
pub fn hour_shift_ms(zone: Tz, year: i32) -> i64 {
    (-i64::from(standard_offset_s(zone, year)) * 1_000).rem_euclid(HOUR_MS)
}

/// The date an instant has by the zone's clocks.
pub fn date_of(zone: Tz, at: Millis) -> NaiveDate {
    local(zone, at).date_naive()
}

/// An instant by the zone's clocks.
pub fn local(zone: Tz, at: Millis) -> DateTime<Tz> {
    let utc: DateTime<Utc> = DateTime::from_timestamp_millis(at.0).unwrap_or(DateTime::UNIX_EPOCH);
    utc.with_timezone(&zone)
}

fn first_instant(zone: Tz, date: NaiveDate) -> Millis {
    // Where midnight does not exist the day begins with the first minute that does.
    let midnight = date.and_time(NaiveTime::MIN);
    let found = (0..=180)
        .step_by(15)
        .find_map(|minutes| zone.from_local_datetime(&(midnight + chrono::TimeDelta::minutes(minutes))).earliest());
    Millis(found.map_or_else(|| midnight.and_utc().timestamp_millis(), |t| t.timestamp_millis()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).unwrap()
    }

    #[test]
    fn civil_day_has_23_and_25_hours_at_the_clock_changes() {
        let zone = chrono_tz::Europe::Dublin;
        assert_eq!(civil_day(zone, date(2026, 3, 29)).hours(), 23);
        assert_eq!(civil_day(zone, date(2026, 10, 25)).hours(), 25);
        assert_eq!(civil_day(zone, date(2026, 6, 1)).hours(), 24);
        assert_eq!(civil_day(zone, date(2026, 6, 1)).from.0, 1_780_268_400_000); // 2026-05-31T23:00:00Z
    }

    #[test]
    fn standard_time_of_dublin_is_its_winter_time() {
        assert_eq!(standard_offset_s(chrono_tz::Europe::Dublin, 2026), 0);
        assert_eq!(standard_offset_s(chrono_tz::Europe::Amsterdam, 2026), 3_600);
        assert_eq!(standard_offset_s(chrono_tz::Africa::Casablanca, 2026), 0);
        assert_eq!(hour_shift_ms(chrono_tz::Asia::Kolkata, 2026), 1_800_000);
    }

    #[test]
    fn noon_day_keeps_its_24_hours_through_the_clock_change() {
        let day = noon_day(chrono_tz::Europe::Dublin, date(2026, 3, 28));
        assert_eq!((day.hours(), day.from.0), (24, 1_774_699_200_000)); // 2026-03-28T12:00:00Z
    }

    fn hour(k: i64, n: u32, v: f64) -> HourRow {
        let covered_ms = if n > 0 { HOUR_MS } else { 0 };
        HourRow { from: Millis(k * HOUR_MS), n, covered_ms, min: v, max: v + 1.0, sum: v * f64::from(n) }
    }

    #[test]
    fn day_half_missing_is_not_enough_rather_than_zero() {
        // Trouble 18: readings 00:00 to 09:00 only, 2 to 6 degrees.
        let rows: Vec<HourRow> = (0..9).map(|k| hour(k, 6, 2.0 + k as f64 * 0.4)).collect();
        let day = day_figures(&rows, Millis(0), Millis(24 * HOUR_MS), 0.3);
        assert_eq!(day.measured, 0.375);
        assert_eq!(day.min.unknown, Some(Why::NotEnough));
    }

    #[test]
    fn whole_day_has_its_lowest_highest_and_mean_with_the_sensors_error() {
        let rows: Vec<HourRow> = (0..24).map(|k| hour(k, 6, k as f64)).collect();
        let day = day_figures(&rows, Millis(0), Millis(24 * HOUR_MS), 0.3);
        assert!(day.complete());
        assert_eq!((day.min.value, day.max.value), (Some(0.0), Some(24.0)));
        assert_eq!(day.mean.value, Some(11.5));
        assert_eq!(day.max.high, Some(24.3));
    }
}
