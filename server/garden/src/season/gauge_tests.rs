use super::*;
use crate::model::parse_garden;
use crate::season::{DayRoom, Night, SpotState, join_air_with};
use propstick_agronomy::quality::Marks;
use propstick_agronomy::wetness::hours::Leaf;
use propstick_agronomy::wetness::state::WetRules;
use propstick_wire::Millis;
use proptest::prelude::*;

const STEP_MS: i64 = 600_000;
const PER_DAY: i64 = NOON_DAY_MS / STEP_MS;

/// What a place is like at a step: temperature, humidity, and what its gauge reads.
type At = (f64, Option<f64>, Option<f64>);
type Weather = dyn Fn(i64) -> At;

fn spot_air(days: i64, weather: &Weather) -> SpotAir {
    let steps: Vec<_> = (0..days * PER_DAY).map(|k| (k * STEP_MS, weather(k))).collect();
    let of = |v: fn(&At) -> Option<f64>| -> Vec<Sample> {
        steps.iter().filter_map(|(t_ms, w)| Some(Sample { t_ms: *t_ms, v: v(w)? })).collect()
    };
    let (t, rh) = (of(|w| Some(w.0)), of(|w| w.1));
    let gauge = LeafGauge::new(&of(|w| w.2), vec![0]);
    let mut air = SpotAir::default();
    let clean = |n: usize| vec![Marks::NONE; n];
    join_air_with(Some(&gauge), (&t, &clean(t.len())), (&rh, &clean(rh.len())), &[], &mut air);
    air
}

/// Noon-days of it, with their hours' leaves as read and the state after the last.
fn through(state: &mut SpotState, air: &SpotAir, days: i64) -> (Vec<Night>, Vec<Leaf>) {
    let mut cadence = CadenceWindow::new(&air.plain);
    let (mut room, mut nights, mut leaves) = (DayRoom::default(), Vec::new(), Vec::new());
    for _ in 0..days {
        nights.push(state.close_day(&WetRules::UNDER_COVER, air, &mut cadence, &[], &mut room));
        leaves.extend(room.hours.iter().map(|h| h.leaf().read));
    }
    (nights, leaves)
}

fn wet_of_day(leaves: &[Leaf], day: usize) -> usize {
    leaves[day * 24..(day + 1) * 24].iter().filter(|leaf| **leaf == Leaf::Wet).count()
}

/// A step's hour of the noon-day, 0 to 23.
fn hour(k: i64) -> i64 {
    k / 6 % 24
}

/// Dry by day at 60 %RH, 98 % from the eighth to the twentieth hour; the gauge says wet from the tenth to the sixteenth, and moves a little.
fn dewy(k: i64) -> At {
    let night = (8..20).contains(&hour(k));
    let wet = (10..16).contains(&hour(k));
    let little = 0.01 * (k % 3) as f64;
    (if night { 6.0 } else { 11.0 }, Some(if night { 98.0 } else { 60.0 }), Some(if wet { 0.7 } else { 0.1 } + little))
}

#[test]
fn gauge_overrides_humidity_once_its_scale_is_learned_and_not_before() {
    let mut state = SpotState::starting(Millis(0));
    let (_, leaves) = through(&mut state, &spot_air(4, &dewy), 4);
    // Day 0 knows nothing of the gauge: twelve hours of 98 %. Then the gauge's six.
    assert_eq!((wet_of_day(&leaves, 0), wet_of_day(&leaves, 1), wet_of_day(&leaves, 3)), (12, 6, 6));
    let (scale, at_ms) = state.gauge.scale.unwrap();
    // 5th percentile of 0.10, 0.11, 0.12 in dry air, 99th of the readings of the damp nights.
    assert_eq!((scale, at_ms), (GaugeScale { dry: 0.1, wet: 0.72 }, 3 * NOON_DAY_MS));
    assert!(!state.gauge.is_dirty());
}

#[test]
fn gauge_stuck_wet_never_makes_wet_leaves_of_air_that_says_dry() {
    // From the fourth day on it stands at 0.7 in air of 78 to 84 %RH: no dry hour teaches it, no wet one.
    let sticks = |k: i64| match k {
        _ if k < 4 * PER_DAY => dewy(k),
        _ => (8.0 + 0.2 * hour(k) as f64, Some(78.0 + 0.25 * hour(k) as f64), Some(0.7)),
    };
    let (_, leaves) = through(&mut SpotState::starting(Millis(0)), &spot_air(12, &sticks), 12);
    assert_eq!(wet_of_day(&leaves, 4), 24, "nobody can know on the first day");
    for day in 5..12 {
        assert_eq!(wet_of_day(&leaves, day), 0, "day {day}");
    }
    // One that moves by more than its noise is believed in the same air.
    let lives = move |k: i64| match sticks(k) {
        (t, rh, leaf) if k >= 4 * PER_DAY => (t, rh, leaf.map(|v| v + 0.02 * (k % 5) as f64)),
        same => same,
    };
    let (_, leaves) = through(&mut SpotState::starting(Millis(0)), &spot_air(6, &lives), 6);
    assert_eq!(wet_of_day(&leaves, 5), 24);
}

#[test]
fn gauge_that_says_wet_in_dry_air_is_believed_for_three_hours() {
    // Water that nobody told came on it at the second hour of day 3, in air of 60 %RH: gone by the sheet long before the eighth.
    let wetted = |k: i64| match dewy(k) {
        (t, rh, Some(v)) if k / PER_DAY == 3 && (2..8).contains(&hour(k)) => (t, rh, Some(v + 0.5)),
        same => same,
    };
    let (_, leaves) = through(&mut SpotState::starting(Millis(0)), &spot_air(4, &wetted), 4);
    // Three hours believed, and the six of the night.
    assert_eq!(wet_of_day(&leaves, 3), 9);
}

#[test]
fn dead_gauge_has_no_scale_and_humidity_speaks() {
    let dead = |k: i64| (dewy(k).0, dewy(k).1, Some(0.4));
    let mut state = SpotState::starting(Millis(0));
    let (_, leaves) = through(&mut state, &spot_air(5, &dead), 5);
    assert_eq!((state.gauge.scale, wet_of_day(&leaves, 4)), (None, 12));
}

#[test]
fn scale_stands_through_a_damp_fortnight_for_sixty_days_and_dirt_shows() {
    let damp = |k: i64| match k {
        _ if k < 3 * PER_DAY => dewy(k),
        // 97.5 % and never dry: the gauge goes on by the scale of day 2.
        _ => (5.0, Some(97.5), Some(0.1 + 0.05 * (k % 3) as f64)),
    };
    let mut state = SpotState::starting(Millis(0));
    let (_, leaves) = through(&mut state, &spot_air(80, &damp), 80);
    // Last learned at the noon of day 16, whose fortnight holds dry hours of day 2: it stands until the noon of day 76.
    let wet = [40, 76, 77].map(|day| wet_of_day(&leaves, day));
    assert_eq!(wet, [0, 0, 24], "its own word, then that of humidity");
    assert!(state.gauge.scale.is_none() && state.gauge.clean.is_some());
    // Dirt: the dry end at 0.3 of a span of 0.62.
    let dirty = |k: i64| match dewy(k) {
        (t, rh, Some(v)) if k >= 3 * PER_DAY => (t, rh, Some(if v < 0.5 { v + 0.2 } else { v })),
        same => same,
    };
    let mut state = SpotState::starting(Millis(0));
    through(&mut state, &spot_air(25, &dirty), 25);
    assert!(state.gauge.is_dirty(), "{:?}", state.gauge);
}

#[test]
fn gauge_alone_will_do_where_humidity_is_dead() {
    let no_humidity = |k: i64| match dewy(k) {
        (t, _, leaf) if k >= 3 * PER_DAY => (t, None, leaf),
        same => same,
    };
    let (nights, leaves) = through(&mut SpotState::starting(Millis(0)), &spot_air(5, &no_humidity), 5);
    assert_eq!((wet_of_day(&leaves, 4), nights[4].day.scored), (6, true));
}

#[test]
fn another_device_is_learned_from_its_own_readings() {
    let mut air = spot_air(6, &dewy);
    let gauge = air.gauge.as_mut().unwrap();
    gauge.begins_ms.push(4 * NOON_DAY_MS + 5 * HOUR_MS);
    let mut state = SpotState::starting(Millis(0));
    let (_, leaves) = through(&mut state, &air, 6);
    // From the fifth hour of day 4 on humidity speaks; at the noon after, the new one has had a night of its own.
    assert_eq!((wet_of_day(&leaves, 4), wet_of_day(&leaves, 5)), (12, 6));
    assert_eq!(state.gauge.since_ms, Some(4 * NOON_DAY_MS + 5 * HOUR_MS));
}

#[test]
fn gauge_without_air_of_its_own_goes_with_its_bed_or_the_lead_spot() {
    let text = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
lead_spot = "south"
[[bed]]
slug = "bed-1"
structure = "tunnel"
name = "Bed 1"
[[spot]]
slug = "north"
structure = "tunnel"
role = "air"
bed = "bed-1"
[[spot]]
slug = "south"
structure = "tunnel"
role = "air"
[[spot]]
slug = "leaf"
structure = "tunnel"
role = "leaf"
"#;
    let placed = |slug: &str, channels: &str, device: u8| {
        format!(
            "[[placement]]\ndevice = \"urn:dev:mac:02005efffe10a2b{device}\"\nchannels = [{channels}]\nspot = \"{slug}\"\nfrom = \"2026-01-01T00:00:00Z\"\n"
        )
    };
    let air = "\"air-temperature\", \"air-humidity\"";
    let base = format!("{text}{}{}", placed("north", air, 1), placed("south", air, 2));
    let with = |more: String| parse_garden(&format!("{base}{more}")).unwrap();
    let garden = with(placed("leaf", "\"leaf-wetness\"", 3));
    assert_eq!((gauge_beside(&garden, "south"), gauge_beside(&garden, "north")), (Some("leaf"), None));
    let mut garden = garden;
    garden.spots[2].bed = Some("bed-1".to_owned());
    assert_eq!((gauge_beside(&garden, "south"), gauge_beside(&garden, "north")), (None, Some("leaf")));
    let garden = with(placed("north", "\"leaf-wetness\"", 3));
    assert_eq!((gauge_beside(&garden, "south"), gauge_beside(&garden, "north")), (None, Some("north")));
}

proptest! {
    /// With a gauge, too, a state that was written down at any noon goes on as if it had never stopped.
    #[test]
    fn prop_state_with_a_gauge_kept_at_any_noon_goes_on_as_if_it_had_never_stopped(
        noise in prop::collection::vec((0_u8..10, 0_u8..40), 64), cut in 1_i64..19,
    ) {
        let weather = move |k: i64| {
            let (gap, n) = noise[(k * 7 % 64) as usize];
            let (t, rh, leaf) = dewy(k);
            (t, rh.filter(|_| gap > 0), leaf.filter(|_| gap != 1).map(|v| v + f64::from(n) / 100.0))
        };
        let air = spot_air(20, &weather);
        let mut whole = SpotState::starting(Millis(0));
        let at_once = through(&mut whole, &air, 20);
        let mut kept = SpotState::starting(Millis(0));
        let mut in_two = through(&mut kept, &air, cut);
        let mut kept = SpotState::read(&kept.written()).unwrap();
        // As much as is asked for before the noon, and no more.
        let from_ms = cut * NOON_DAY_MS - GAUGE_LOOK_BACK_MS - crate::season::LOOK_BACK_MS;
        let first = air.samples.partition_point(|s| s.t_ms < from_ms);
        let near = SpotAir {
            samples: air.samples[first..].to_vec(),
            plain: air.plain[first..].to_vec(),
            gauge: air.gauge.as_ref().map(|g| GaugeAir { beside: g.beside[first..].to_vec(), ..g.clone() }),
        };
        let rest = through(&mut kept, &near, 20 - cut);
        in_two.0.extend(rest.0);
        in_two.1.extend(rest.1);
        prop_assert_eq!(at_once, in_two);
        prop_assert_eq!(whole, kept);
    }
}
