//! Files with several whole times in a row.

use super::*;

/// Times of February 2026 every ten minutes, and beside each a value, a second time and another value.
fn two_times(first: &str, second: &str, other: impl Fn(usize) -> String) -> String {
    let row = |k: usize| {
        let at = format!("2026-02-01 {:02}:{:02}", k / 6, k % 6 * 10);
        format!("{at},{:.1},{},{:.0}\n", wave(5.0, 3.0, k), other(k), wave(85.0, 9.0, k))
    };
    format!("{first},T (°C),{second},RH (%)\n{}", (0..60).map(row).collect::<String>())
}

#[test]
fn two_columns_of_one_name_with_different_times_are_asked_about() {
    let file = two_times("time_utc", "time_utc", |k| format!("2026-02-01 {:02}:{:02}", k / 6 + 12, k % 6 * 10));
    let hints = in_zone(Tz::Europe__Dublin);
    let proposal = open(&file, &hints);
    assert_eq!(proposal.asked(), ["time"]);
    let question = proposal.question("time");
    assert_eq!(question.choices, ["time_utc", "time_utc#2"]);
    assert!(question.evidence.starts_with("they differ in 60 of 60 rows, first in line 2"), "{}", question.evidence);
    // Either answer settles it.
    let first = understood(&file, &Hints { time: Some("time_utc".to_owned()), ..hints.clone() });
    assert_eq!(sample(file.as_bytes(), &first)[0].at, from_rfc3339("2026-02-01T00:00:00Z").unwrap());
    let second = understood(&file, &Hints { time: Some("time_utc#2".to_owned()), zone: Some(Clock::UTC), ..hints });
    assert_eq!(sample(file.as_bytes(), &second)[0].at, from_rfc3339("2026-02-01T12:00:00Z").unwrap());
}

#[test]
fn time_of_another_logger_is_asked_about_whatever_its_name() {
    let file = two_times("time_utc", "read at", |k| format!("2026-01-{:02} 08:{:02}", 1 + k / 6, k % 60));
    assert_eq!(open(&file, &in_zone(Tz::Europe__Dublin)).asked(), ["time"]);
}

#[test]
fn same_time_again_or_by_another_clock_is_left_out_without_a_question() {
    let same = two_times("time_utc", "time_utc", |k| format!("2026-02-01 {:02}:{:02}", k / 6, k % 6 * 10));
    assert_eq!(understood(&same, &in_zone(Tz::Europe__Dublin)).left(), ["time_utc#2"]);
    let local = two_times("time_utc", "local time", |k| format!("2026-02-01 {:02}:{:02}", k / 6 + 1, k % 6 * 10));
    assert_eq!(understood(&local, &in_zone(Tz::Europe__Dublin)).left(), ["local time"]);
}
