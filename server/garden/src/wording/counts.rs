//! Counts as they are said: in words up to twelve.

/// "six", "12" no longer: in words from none to twelve, in figures beyond.
pub fn count(n: u32) -> String {
    const WORDS: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(n as usize).map_or_else(|| n.to_string(), |word| (*word).to_string())
}

/// "one day", "six days": a count and what is counted, whose plural takes an s.
pub fn counted(n: u32, what: &str) -> String {
    format!("{} {what}{}", count(n), if n == 1 { "" } else { "s" })
}

/// "half a can", "one can", "one and a half cans", "two cans": halves up to two.
pub fn halves(n: f64, what: &str) -> String {
    let whole = n.max(0.0).floor() as u32;
    match (whole, n - n.floor() >= 0.25) {
        (0, true) => format!("half a {what}"),
        (whole, true) => format!("{} and a half {what}s", count(whole)),
        (whole, false) => counted(whole, what),
    }
}

/// "another six to twelve days", "another two to four weeks", "another four weeks or more": whole days, told in weeks from a fortnight on; `most` as
/// the greatest number that is told apart.
pub fn days_ahead(least: u32, high: u32, most: u32) -> String {
    let open = high >= most;
    match (least, high) {
        (_, 0) => "no longer".to_string(),
        (0, 1) => "another day at most".to_string(),
        (0, high) if open => format!("perhaps not a day, perhaps {} weeks or more", count(high / 7)),
        (0, high) => format!("another {} at most", counted(high, "day")),
        (14.., _) if open && least / 7 >= most / 7 => format!("another {} weeks or more", count(most / 7)),
        (14.., _) if open => format!("another {} to {} weeks or more", count(least / 7), count(most / 7)),
        (14.., _) if least / 7 == high.div_ceil(7) => format!("another {} weeks", count(least / 7)),
        (14.., _) => format!("another {} to {} weeks", count(least / 7), count(high.div_ceil(7))),
        _ if open => format!("another {} at least", counted(least, "day")),
        _ if least == high => format!("another {}", counted(least, "day")),
        _ => format!("another {} to {}", count(least), counted(high, "day")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_words_up_to_twelve() {
        assert_eq!((count(1), count(12), count(13)), ("one".into(), "twelve".into(), "13".into()));
        assert_eq!((counted(1, "day"), counted(2, "day")), ("one day".into(), "two days".into()));
        let cans = [0.5, 1.0, 1.5, 2.0, 13.0].map(|n| halves(n, "can"));
        assert_eq!(cans, ["half a can", "one can", "one and a half cans", "two cans", "13 cans"]);
    }

    #[test]
    fn days_in_hand_are_said_as_a_range() {
        // The advice page, sentence 6.
        assert_eq!(days_ahead(6, 12, 28), "another six to twelve days");
        assert_eq!(days_ahead(3, 3, 28), "another three days");
        assert_eq!(days_ahead(0, 4, 28), "another four days at most");
        assert_eq!(days_ahead(15, 25, 28), "another two to four weeks");
        assert_eq!(days_ahead(16, 28, 28), "another two to four weeks or more");
        assert_eq!(days_ahead(28, 28, 28), "another four weeks or more");
        assert_eq!(days_ahead(9, 28, 28), "another nine days at least");
        assert_eq!(days_ahead(9, 13, 28), "another nine to 13 days");
    }
}
