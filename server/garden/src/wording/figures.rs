//! Numbers and times as they are said: rounded to what the sensor knows.

use propstick_wire::Millis;

use crate::advice::LocalClock;

/// "8.4 °C", with a true minus sign and no minus before zero.
pub fn degrees(t_c: f64) -> String {
    format!("{} °C", rounded(t_c, 1))
}

/// "0.91 kPa".
pub fn kilopascals(e_kpa: f64) -> String {
    format!("{} kPa", rounded(e_kpa, 2))
}

/// "65 to 85 % humidity", or "85 % humidity" where both ends round to the same.
pub fn humidity_range(low_pct: f64, high_pct: f64) -> String {
    let (low, high) = (rounded(low_pct, 0), rounded(high_pct, 0));
    if low == high { format!("{low} % humidity") } else { format!("{low} to {high} % humidity") }
}

/// "22 m/s".
pub fn wind(m_s: f64) -> String {
    format!("{} m/s", rounded(m_s, 0))
}

/// A whole number with commas between its thousands, as sentences have it.
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut grouped = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped
}

fn rounded(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if zero { text.trim_start_matches('-').to_string() } else { text.replace('-', "\u{2212}") }
}

/// "14:00" on the garden's clock.
pub fn time(clock: LocalClock, at: Millis) -> String {
    let (hour, minute) = clock.hour_minute(at);
    format!("{hour:02}:{minute:02}")
}

/// "about 14:00", "at noon", "on Sunday about 10:00", seen from `now`. What is said is kept and may be read after midnight: another day has its name.
pub fn about(clock: LocalClock, at: Millis, now: Millis) -> String {
    let time = time(clock, at);
    match (clock.day_number(at) - clock.day_number(now), time.as_str()) {
        (0, "12:00") => "at noon".to_string(),
        (0, _) => format!("about {time}"),
        (1..=6, _) => format!("on {} about {time}", weekday(clock, at)),
        (days, _) => format!("in {days} days about {time}"),
    }
}

/// "since 21:50", "since Friday 21:50", "for 3 days", seen from `now`.
pub fn since(clock: LocalClock, at: Millis, now: Millis) -> String {
    match clock.day_number(now) - clock.day_number(at) {
        ..=0 => format!("since {}", time(clock, at)),
        1 => format!("since {} {}", weekday(clock, at), time(clock, at)),
        days => format!("for {days} days"),
    }
}

/// "Sunday", on the garden's clock.
pub fn weekday(clock: LocalClock, at: Millis) -> &'static str {
    // 1970-01-01 was a Thursday.
    const DAYS: [&str; 7] = ["Thursday", "Friday", "Saturday", "Sunday", "Monday", "Tuesday", "Wednesday"];
    DAYS.get(clock.day_number(at).rem_euclid(7) as usize).copied().unwrap_or("another day")
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_wire::millis::HOUR;

    #[test]
    fn numbers_are_rounded_to_what_the_sensor_knows() {
        assert_eq!(degrees(-0.04), "0.0 °C");
        assert_eq!(degrees(-0.46), "\u{2212}0.5 °C");
        assert_eq!(kilopascals(0.9119), "0.91 kPa");
        assert_eq!(humidity_range(65.01, 85.0), "65 to 85 % humidity");
        assert_eq!(humidity_range(84.9, 85.1), "85 % humidity");
        assert_eq!(wind(22.4), "22 m/s");
    }

    #[test]
    fn times_are_the_gardens_and_name_another_day() {
        let summer = LocalClock::steady(3_600);
        // 2027-07-10 10:00 UTC, a Saturday.
        let now = Millis(1_815_213_600_000);
        assert_eq!(about(summer, now.plus(3 * HOUR), now), "about 14:00");
        assert_eq!(about(summer, now.plus(HOUR), now), "at noon");
        assert_eq!(about(summer, now.plus(24 * HOUR), now), "on Sunday about 11:00");
        assert_eq!(since(summer, now.plus(-2 * HOUR), now), "since 09:00");
        assert_eq!(since(summer, now.plus(-12 * HOUR), now), "since Friday 23:00");
        assert_eq!(since(summer, now.plus(-72 * HOUR), now), "for 3 days");
    }

    #[test]
    fn grouped_by_thousands() {
        assert_eq!(
            [0, 12, 999, 1000, 12_026, 1_234_567].map(grouped),
            ["0", "12", "999", "1,000", "12,026", "1,234,567"]
        );
    }
}
