//! Dates as numbers: the proleptic Gregorian calendar from 1900 to 2100.

/// Days from 1970-01-01 to the date, in the proleptic Gregorian calendar; `None` for a date that does not exist.
pub(super) fn days_since_1970(year: i32, month: u32, day: u32) -> Option<i64> {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let length = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1900..=2100).contains(&year) || !(1..=length).contains(&day) {
        return None;
    }
    // Years counted from March, so that the leap day is the last of its year.
    let years = i64::from(year) - i64::from(month <= 2);
    let months = i64::from((month + 9) % 12);
    let day_of_year = (153 * months + 2) / 5 + i64::from(day) - 1;
    // 719,468 days lie between 0000-03-01 and 1970-01-01.
    Some(365 * years + years / 4 - years / 100 + years / 400 + day_of_year - 719_468)
}

/// The date that lies `day_number` days after 1970-01-01, as year, month and day.
pub(super) fn date_of(day_number: i64) -> (i32, u32, u32) {
    // Days since 0000-03-01, in eras of 400 years.
    let days = day_number + 719_468;
    let era = days.div_euclid(146_097);
    let in_era = days.rem_euclid(146_097);
    let year_of_era = (in_era - in_era / 1_460 + in_era / 36_524 - in_era / 146_096) / 365;
    let day_of_year = in_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let months = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * months + 2) / 5 + 1;
    let month = if months < 10 { months + 3 } else { months - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year as i32, month as u32, day as u32)
}

/// Day of the year, 1 to 366, of the day that lies `day_number` days after 1970-01-01 (-25,567 to 47,846).
///
/// **Errors**: `None` out of range. **Source**: the Gregorian calendar. Exact.
///
/// ```
/// use propstick_agronomy::sun::day_of_year;
/// // 2026-12-21 is day 20,808 since 1970 and day 355 of its year.
/// assert_eq!(day_of_year(20_808), Some(355));
/// ```
pub fn day_of_year(day_number: i64) -> Option<u32> {
    let meant = super::DAY_NUMBERS.contains(&day_number).then_some(day_number)?;
    let new_year = days_since_1970(date_of(meant).0, 1, 1)?;
    u32::try_from(day_number - new_year + 1).ok()
}
