//! Growth speed in sentences.

use chrono::Datelike;
use propstick_agronomy::growth::{Speed, constants};

use super::counts::count;
use crate::advice::Growth;

/// "All but stopped.", "Slow.", "Growing.", or that it is not known.
pub fn speed_words(growth: &Growth) -> &'static str {
    match growth.speed {
        Some(Speed::Stopped) => "Growth has all but stopped.",
        Some(Speed::Slow) => "Growth is slow.",
        Some(Speed::Growing) => "Things are growing.",
        None => "How fast things grow is not known: too few days were measured.",
    }
}

/// "Go lightly: about four pickings stand there until growth comes back in mid-February.": what follows a picking hour while things do not grow.
/// None while they grow.
pub fn go_lightly(growth: &Growth) -> Option<String> {
    let back = growth.back?;
    let when = part_of_month(back.day)?;
    Some(match back.pickings {
        1 => format!("Go lightly: about one picking stands there until growth comes back in {when}."),
        n => format!("Go lightly: about {} pickings stand there until growth comes back in {when}.", count(n)),
    })
}

/// What goes with a picking hour while things hardly grow: how fast, how lightly to go, and why, in figures.
pub fn slowly(growth: &Growth) -> String {
    let lightly = go_lightly(growth).unwrap_or_else(|| "Go lightly: what is picked comes back slowly.".to_string());
    let why = growth.mean_c_d.map(|mean| {
        let grows = constants::GROWING_ABOVE.value;
        let light = if growth.light_modelled { ", at the light of the season" } else { "" };
        format!(" The last week gave {mean:.1} effective day-degrees a day{light}; things grow from {grows:.1} on.")
    });
    format!("{} {lightly}{}", speed_words(growth), why.unwrap_or_default())
}

/// "The day is 7.9 hours long; ten hours come back on 15 February.": day length, and when ten hours are back where it is shorter.
pub fn day_length_words(growth: &Growth) -> Option<String> {
    let hours = growth.day_length_h?;
    let back = growth.ten_hours_on.and_then(|day| chrono::DateTime::from_timestamp(day.checked_mul(86_400)?, 0));
    let back = back.and_then(|date| {
        Some(format!("; ten hours come back on {} {}", date.day(), MONTHS.get(date.month0() as usize)?))
    });
    Some(format!("The day is {hours:.1} hours long{}.", back.unwrap_or_default()))
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// "early February", "mid-February", "late February", of a day in days since 1970.
pub fn part_of_month(day: i64) -> Option<String> {
    let date = chrono::DateTime::from_timestamp(day.checked_mul(86_400)?, 0)?;
    let month = MONTHS.get(date.month0() as usize)?;
    Some(match date.day() {
        ..=10 => format!("early {month}"),
        11..=20 => format!("mid-{month}"),
        _ => format!("late {month}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::{GrowthDay, GrowthPlace, growth};
    use chrono::NaiveDate;

    fn number(y: i32, m: u32, d: u32) -> i64 {
        NaiveDate::from_ymd_opt(y, m, d).unwrap().and_hms_opt(0, 0, 0).unwrap().and_utc().timestamp() / 86_400
    }

    #[test]
    fn parts_of_a_month_are_named() {
        let parts = [5, 11, 20, 21].map(|day| part_of_month(number(2027, 2, day)).unwrap());
        assert_eq!(parts, ["early February", "mid-February", "mid-February", "late February"]);
    }

    #[test]
    fn four_pickings_stand_there_until_mid_february() {
        // The advice page, sentence 9: a tunnel at 51° N, asked shortly before Christmas.
        let today = number(2026, 12, 22);
        let days: Vec<GrowthDay> =
            (today - 28..today).map(|day| GrowthDay { day, mean_c: Some(5.5), sun_mj_m2: None }).collect();
        let got = growth(&days, today, GrowthPlace { lat_deg: 51.0, lon_deg: -3.0, transmission: 0.65 });
        assert_eq!(speed_words(&got), "Growth has all but stopped.");
        // Wetness sheet 4.2: 7.91 h at 51° N on 21 December; ten hours return on 14 February at 50° N and on 16 at 52° N
        // (climate sheet 3.3, astral and SPA).
        assert_eq!(day_length_words(&got).unwrap(), "The day is 7.9 hours long; ten hours come back on 15 February.");
        assert_eq!(
            go_lightly(&got).unwrap(),
            "Go lightly: about four pickings stand there until growth comes back in mid-February."
        );
        let words = slowly(&got);
        assert!(words.starts_with("Growth has all but stopped. Go lightly: about four pickings"), "{words}");
        assert!(
            words.contains("effective day-degrees a day, at the light of the season; things grow from 2.5 on."),
            "{words}"
        );
        // A cold spell in a month that grows has no date: it ends when it ends.
        let spell = Growth { back: None, speed: Some(Speed::Slow), ..got };
        assert!(
            slowly(&spell)
                .starts_with("Growth is slow. Go lightly: what is picked comes back slowly. The last week gave ")
        );
    }
}
