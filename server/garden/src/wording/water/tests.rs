//! The sentences against the voice of the pages; those of the scenarios are checked beside the decision.

use propstick_agronomy::water::soils::Soil;

use super::*;
use crate::advice::water::{Band, Plot, Shelter, Standing, WaterBed, WaterQuestion, decide_water};

/// 10 June 2027, 9:00 UTC.
const NOW: Millis = Millis(1_812_618_000_000);

fn bed() -> WaterBed {
    WaterBed {
        soil: Soil::new(0.23, 0.11),
        roots_m: Some(0.3),
        area_m2: Some(9.6),
        can_l: Some(9.0),
        ..WaterBed::of("lettuce", Shelter::Film, 0.65)
    }
}

/// `low` to `high` mm of 10.8 missing, 2 mm going each day.
fn said(bed: WaterBed, low: f64, high: f64, change: impl Fn(&mut WaterQuestion)) -> WaterWords {
    let mut q = WaterQuestion::new(NOW, LocalClock::default(), Plot::Bed, bed);
    q.standing = Some(Standing {
        holds: bed.holds().unwrap(),
        missing_mm: Band { low, likely: 0.5 * (low + high), high },
        use_mm_d: Band::about(2.0, 0.4),
        unknown_d: 0,
        finger: None,
        watered: None,
    });
    change(&mut q);
    water_words(&decide_water(&q), "Long bed", q.clock, q.now)
}

#[test]
fn days_in_hand_come_first_and_then_cans_or_minutes() {
    // 10.8 mm by can at 0.75 on 9.6 m²: 138 L, fifteen cans; 11.5 mm by drip at 0.90 are 123 L, at 3 L a minute 41 minutes.
    assert_eq!(
        said(bed(), 1.0, 2.0, |_| ()).say,
        "Long bed can wait another three to nine days. Dry when you push a finger in? Then 15 cans, at the roots, before noon."
    );
    let drip = WaterBed { given: Some(Given::Drip), drip_l_min: Some(3.0), ..bed() };
    assert_eq!(
        said(drip, 11.0, 12.0, |_| ()).say,
        "Long bed is due: about 40 minutes of drip, at the roots, before noon. Push a finger in first; moist at 5 cm, leave it."
    );
    let slow = WaterBed { drip_l_min: Some(0.8), ..drip };
    assert!(
        said(slow, 11.0, 12.0, |_| ()).say.contains("about two and a half hours of drip"),
        "{}",
        said(slow, 11.0, 12.0, |_| ()).say
    );
}

#[test]
fn what_is_not_known_is_said_as_unknown() {
    let words = said(bed(), 0.0, 20.0, |_| ());
    assert!(words.say.starts_with("How much water Long bed has left is not known: push a finger in."), "{}", words.say);
    assert_eq!(
        words.because,
        "Between 0 and 20 mm are gone from the soil, and the crop can spare 11 mm: too wide to go by."
    );
    let doubt = words.doubt.unwrap();
    assert_eq!(doubt, "Neither a finger test nor a watering has been told yet.");
    let unknown = said(WaterBed { can_l: None, ..bed() }, 2.0, 3.0, |q| q.standing.as_mut().unwrap().unknown_d = 2);
    let doubt = unknown.doubt.unwrap();
    assert!(doubt.starts_with("Two days without readings widen the sum."), "{doubt}");
    assert!(doubt.ends_with("The can is taken as one of nine litres."), "{doubt}");
    let flow = said(WaterBed { given: Some(Given::Drip), ..bed() }, 11.0, 12.0, |_| ());
    assert!(flow.say.contains("about 120 litres by drip"), "{}", flow.say);
    assert!(flow.doubt.unwrap().contains("enter its litres a minute"));
}

#[test]
fn nobody_there_of_a_morning_waters_in_the_early_evening_or_is_told_so() {
    let hour = |h: i64| NOW.plus(h * HOUR);
    let evening = said(bed(), 11.0, 12.0, |q| q.there = Some(vec![(hour(7), hour(12))]));
    assert!(evening.say.contains("between 17:00 and 19:00"), "{}", evening.say);
    let nobody = said(bed(), 11.0, 12.0, |q| q.there = Some(vec![]));
    assert!(nobody.say.contains("before noon, when somebody is there"), "{}", nobody.say);
    assert!(nobody.doubt.unwrap().contains("Nobody is there at a time to water in the next two days."));
}

#[test]
fn rain_on_an_open_bed_waters_it() {
    let open = WaterBed { shelter: Shelter::None, ..bed() };
    let raining = |q: &mut WaterQuestion| q.wet = Some(crate::record::Wet::Rain);
    assert_eq!(said(open, 11.0, 12.0, raining).say, "Nothing to do for Long bed: rain is watering it.");
    assert!(said(bed(), 11.0, 12.0, raining).say.starts_with("Long bed is due"));
}
