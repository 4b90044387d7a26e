//! When leaves were wet, read out: the sentence beside the band that is drawn.

use chrono_tz::Tz;
use propstick_wire::Millis;

use super::damp::listed;
use super::figures::time;
use super::openings::capitalised;
use crate::advice::LocalClock;
use crate::season::{BandLeaves, BandStretch};

/// "Leaves likely wet 00:00 to 09:00; possibly 09:00 to 11:00, the humidity sensor decides; not known 12:00 to 14:00.", on the clock of `zone`. The
/// stretches are those of one civil day, or of less.
pub fn leaf_band_words(band: &[BandStretch], zone: Tz, now: Millis) -> String {
    let of = |leaves: BandLeaves| {
        let all: Vec<String> = band.iter().filter(|s| s.leaves == leaves).map(|s| from_to(s, zone, now)).collect();
        (!all.is_empty()).then(|| listed(&all))
    };
    let [likely, possible, dry, frozen, unknown] =
        [BandLeaves::Likely, BandLeaves::Possible, BandLeaves::Dry, BandLeaves::Frozen, BandLeaves::Unknown].map(of);
    if band.is_empty() {
        return "Nothing is known yet of how wet the leaves were.".to_owned();
    }
    let is_wet = likely.is_some() || possible.is_some();
    if !is_wet && dry.is_none() && frozen.is_none() {
        return "Whether leaves were wet is not known.".to_owned();
    }
    let possibly = if likely.is_some() { "possibly" } else { "leaves possibly wet" };
    let parts = [
        likely.map(|when| format!("leaves likely wet {when}")),
        possible.map(|when| format!("{possibly} {when}, the humidity sensor decides")),
        (!is_wet && dry.is_some()).then(|| "leaves not wet".to_owned()),
        frozen.map(|when| format!("frozen {when}")),
        unknown.map(|when| format!("not known {when}")),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    format!("{}.", capitalised(&parts.join("; ")))
}

fn from_to(stretch: &BandStretch, zone: Tz, now: Millis) -> String {
    let at = |at: Millis| time(LocalClock::of(zone, at), at);
    let to = match at(stretch.to) {
        _ if stretch.to == now => "now".to_owned(),
        midnight if midnight == "00:00" => "midnight".to_owned(),
        time => time,
    };
    format!("{} to {to}", at(stretch.from))
}

#[cfg(test)]
mod tests {
    use super::*;
    use BandLeaves::{Dry, Frozen, Likely, Possible, Unknown};
    use propstick_wire::millis::HOUR;

    fn said(band: &[(i64, i64, BandLeaves)], now_h: i64) -> String {
        let stretch = |(from, to, leaves): &(i64, i64, BandLeaves)| BandStretch {
            from: Millis(from * HOUR),
            to: Millis(to * HOUR),
            leaves: *leaves,
        };
        let band: Vec<BandStretch> = band.iter().map(stretch).collect();
        leaf_band_words(&band, Tz::UTC, Millis(now_h * HOUR))
    }

    #[test]
    fn stretches_are_read_out_by_what_the_leaves_were_with_the_sensor_named_where_it_decides() {
        assert_eq!(
            said(&[(0, 9, Likely), (9, 11, Possible), (11, 12, Dry), (12, 14, Unknown), (14, 15, Likely)], 15),
            "Leaves likely wet 00:00 to 09:00 and 14:00 to now; possibly 09:00 to 11:00, the humidity sensor decides; not known 12:00 to 14:00."
        );
        assert_eq!(
            said(&[(0, 5, Dry), (5, 6, Possible), (6, 24, Dry)], 40),
            "Leaves possibly wet 05:00 to 06:00, the humidity sensor decides."
        );
        assert_eq!(
            said(&[(0, 4, Frozen), (4, 24, Likely)], 40),
            "Leaves likely wet 04:00 to midnight; frozen 00:00 to 04:00."
        );
    }

    #[test]
    fn leaves_that_were_not_wet_and_leaves_nobody_knows_of_are_told_apart() {
        assert_eq!(said(&[(0, 10, Dry)], 10), "Leaves not wet.");
        assert_eq!(said(&[(0, 10, Dry), (10, 12, Unknown)], 12), "Leaves not wet; not known 10:00 to now.");
        assert_eq!(said(&[(0, 4, Frozen), (4, 6, Unknown)], 12), "Frozen 00:00 to 04:00; not known 04:00 to 06:00.");
        assert_eq!(said(&[(0, 10, Unknown)], 12), "Whether leaves were wet is not known.");
        assert_eq!(said(&[], 0), "Nothing is known yet of how wet the leaves were.");
    }
}
