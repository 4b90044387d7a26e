//! What the flags of stem rot and damping off know of the soil: whether it was kept moist, and how cold the compost was.
//!
//! Whether soil was moist goes by what people told, and by nothing else yet: a sum of water is no word on it.

use propstick_agronomy::disease::Verdict;
use propstick_agronomy::disease::constants as c;
use propstick_agronomy::disease::stem_rot::damping_off_day;
use propstick_agronomy::risk::constants::LEAST_MEASURED_H;
use propstick_agronomy::wetness::hours::WetHour;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::NOON_DAY_MS;
use crate::model::{Crops, Garden};
use crate::record::{Event, EventKind, Feel, Observation, Seen};

/// How long soil that a finger found moist or wet counts as moist, and a dry one as dry, unless it was watered. Common practice, no source.
const FELT_HOLDS_MS: i64 = 7 * NOON_DAY_MS;
/// How long watered soil counts as moist. Common practice, no source.
const WATERED_HOLDS_MS: i64 = 3 * NOON_DAY_MS;

/// Whether the soil of a structure's beds was moist at `at`, as told until then: moist where any bed was, dry where a finger found all of them so, else
/// none. Trays are no beds. What was taken back does not count.
pub fn soil_was_moist(
    garden: &Garden,
    structure: &str,
    events: &[Event],
    observations: &[Observation],
    at: Millis,
) -> Option<bool> {
    let beds: Vec<Option<bool>> = garden
        .beds
        .iter()
        .filter(|bed| bed.structure == structure && !bed.trays)
        .map(|bed| bed_was_moist((&bed.slug, structure), events, observations, at))
        .collect();
    if beds.contains(&Some(true)) {
        return Some(true);
    }
    (!beds.is_empty() && beds.iter().all(|bed| *bed == Some(false))).then_some(false)
}

fn bed_was_moist(
    (bed, structure): (&str, &str),
    events: &[Event],
    observations: &[Observation],
    at: Millis,
) -> Option<bool> {
    let watered = events
        .iter()
        .filter(|e| e.counts() && e.kind == EventKind::Water && e.t <= at && (e.target == bed || e.target == structure))
        .map(|e| e.t)
        .max();
    if watered.is_some_and(|t| at.since(t) <= WATERED_HOLDS_MS) {
        return Some(true);
    }
    let felt = observations.iter().filter(|o| o.undone_at.is_none() && o.t <= at).filter_map(|o| match &o.seen {
        Seen::Finger { bed: of, feel } if of == bed => Some((o.t, *feel)),
        _ => None,
    });
    let (t, feel) = felt.max_by_key(|(t, _)| *t)?;
    let holds = at.since(t) <= FELT_HOLDS_MS && watered.is_none_or(|w| w <= t);
    holds.then_some(feel != Feel::Dry)
}

/// Whether the noon-day from `noon` brought seedlings near damping off: see [`damping_off_day`]. `hours` ascend; unknown with fewer than 18 known hours, or
/// without `compost_mean_c`, the day's mean in the trays.
pub fn damping_off(hours: &[WetHour], noon: Millis, compost_mean_c: Option<f64>, crops: Crops) -> Verdict {
    let of_day = hours.iter().filter(|h| (noon.0..noon.0 + NOON_DAY_MS).contains(&h.from_ms) && h.known());
    let humid: Vec<f64> = of_day.filter_map(|h| h.rh_pct.map(|rh| rh.read)).collect();
    let Some(compost_c) = compost_mean_c.filter(|_| humid.len() as f64 >= LEAST_MEASURED_H.value) else {
        return Verdict::Unknown;
    };
    let damp_h = humid.iter().filter(|rh| **rh > c::DAMPING_OFF_PCT.value).count();
    let best_c = match crops {
        Crops::Hardy => c::GERMINATION_HARDY_C.value,
        Crops::Tender | Crops::Both => c::GERMINATION_TENDER_C.value,
    };
    damping_off_day(compost_c, best_c, damp_h as f64)
}

const _: () = assert!(WATERED_HOLDS_MS < FELT_HOLDS_MS && WATERED_HOLDS_MS % HOUR == 0);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::parse_garden;
    use crate::record::EventSource;
    use propstick_agronomy::runs::Runs;

    const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
[[bed]]
slug = "one"
structure = "tunnel"
name = "One"
[[bed]]
slug = "two"
structure = "tunnel"
name = "Two"
[[bed]]
slug = "bench"
structure = "tunnel"
name = "Bench"
trays = true
"#;
    const DAY: i64 = NOON_DAY_MS;

    fn water(day: i64, target: &str) -> Event {
        Event {
            id: day,
            t: Millis(day * DAY),
            kind: EventKind::Water,
            target: target.to_owned(),
            what: Some("root".to_owned()),
            amount: None,
            unit: None,
            source: EventSource::Tap,
            origin: 0,
            undone_at: None,
        }
    }

    fn finger(day: i64, bed: &str, feel: Feel) -> Observation {
        let seen = Seen::Finger { bed: bed.to_owned(), feel };
        Observation { id: day, t: Millis(day * DAY), teller: String::new(), seen, undone_at: None }
    }

    fn moist(events: &[Event], seen: &[Observation], day: i64) -> Option<bool> {
        soil_was_moist(&parse_garden(GARDEN).unwrap(), "tunnel", events, seen, Millis(day * DAY))
    }

    #[test]
    fn one_moist_bed_is_enough_and_all_must_be_found_dry() {
        let seen = [finger(10, "one", Feel::Dry), finger(10, "two", Feel::Moist)];
        assert_eq!(
            (moist(&[], &seen, 10), moist(&[], &seen, 17), moist(&[], &seen, 18)),
            (Some(true), Some(true), None)
        );
        assert_eq!(moist(&[], &seen[..1], 10), None, "nobody felt the other");
        let dry = [finger(10, "one", Feel::Dry), finger(11, "two", Feel::Dry)];
        assert_eq!(moist(&[], &dry, 12), Some(false));
        assert_eq!(moist(&[], &dry, 9), None, "felt later than what is asked about");
        assert_eq!(moist(&[], &[finger(10, "bench", Feel::Wet)], 10), None, "trays are no bed");
    }

    #[test]
    fn water_keeps_soil_moist_for_three_days_and_outdates_a_finger_before_it() {
        let dry = [finger(10, "one", Feel::Dry), finger(10, "two", Feel::Dry)];
        let watered = [water(11, "tunnel")];
        assert_eq!((moist(&watered, &dry, 14), moist(&watered, &dry, 15)), (Some(true), None));
        let undone = Event { undone_at: Some(Millis(0)), ..water(11, "one") };
        assert_eq!(moist(&[undone], &dry, 12), Some(false));
    }

    #[test]
    fn cold_compost_in_a_damp_day_is_near_damping_off() {
        // Wetness sheet 2.10: colder than the best for germination by more than 8 °C, and above 90 %RH for more than 16 h.
        let hours = |damp: i64| -> Vec<WetHour> {
            (0..24)
                .map(|h| WetHour {
                    covered_ms: HOUR,
                    rh_pct: Some(Runs::all(if h < damp { 90.1 } else { 90.0 })),
                    t_c: Some(9.0),
                    ..WetHour::unknown(h * HOUR)
                })
                .collect()
        };
        let of = |damp, compost_c, crops| damping_off(&hours(damp), Millis(0), compost_c, crops);
        assert_eq!(of(17, Some(11.9), Crops::Hardy), Verdict::Yes);
        assert_eq!(of(16, Some(11.9), Crops::Hardy), Verdict::No);
        assert_eq!(of(17, Some(12.0), Crops::Hardy), Verdict::No);
        assert_eq!(of(17, Some(16.9), Crops::Tender), Verdict::Yes);
        assert_eq!(of(17, None, Crops::Hardy), Verdict::Unknown);
        assert_eq!(damping_off(&hours(17)[..17], Millis(0), Some(9.0), Crops::Hardy), Verdict::Unknown);
    }
}
