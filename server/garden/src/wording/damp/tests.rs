use propstick_agronomy::disease::names::must_not_be_shown;
use propstick_agronomy::risk::level::Shown;
use propstick_agronomy::risk::standing::Standing;
use propstick_agronomy::runs::Runs;

use super::*;

fn risk(group: CropGroup, level: Option<Level>, by: Disease) -> GroupRisk<'static> {
    let freshness = if level.is_some() { Freshness::Fresh } else { Freshness::Unknown };
    let held = level.unwrap_or(Level::Low);
    GroupRisk {
        group,
        shown: Shown { level, range: (held, held), freshness, uncertain: false, may_alert: false },
        found_lately: false,
        by,
        spot: "bed",
        risk: Runs::all(0.5),
        severity: None,
        wet_h: Runs::all(12),
        measured: 1.0,
        scored: true,
    }
}

fn lettuce(level: Option<Level>) -> GroupRisk<'static> {
    risk(CropGroup::Lettuce, level, Disease::LettuceDownyMildew)
}

fn spinach(level: Option<Level>) -> GroupRisk<'static> {
    risk(CropGroup::Spinach, level, Disease::SpinachDownyMildew)
}

fn onions(level: Option<Level>) -> GroupRisk<'static> {
    risk(CropGroup::Onion, level, Disease::OnionLeafBlight)
}

fn told(leaves: Leaf, hours_24: Figure, risks: &[GroupRisk<'_>], before: &[GroupRisk<'_>]) -> DampWords {
    damp_words(DampHere { leaves, hours_24, risks, before })
}

fn hours_of(low: f64, value: f64, high: f64) -> Figure {
    Figure::known(value, low, high, 1.0)
}

fn said(words: &DampWords) -> Vec<&str> {
    words.risks.iter().map(|risk| risk.says.as_str()).collect()
}

#[test]
fn wet_hours_are_whole_with_their_range_and_name_the_sensor_where_it_decides() {
    let leaves = |leaf, figure| told(leaf, figure, &[], &[]).leaves;
    assert_eq!(
        leaves(Leaf::Wet, hours_of(10.6, 12.0, 15.2)),
        "Leaves are likely wet now; they were wet for 11 to 15 of the last 24 hours; the humidity sensor decides."
    );
    assert_eq!(
        leaves(Leaf::Dry, hours_of(6.0, 6.2, 6.4)),
        "Leaves are likely dry now; they were wet for about 6 of the last 24 hours."
    );
    assert_eq!(
        leaves(Leaf::Dry, hours_of(0.0, 0.0, 2.0)),
        "Leaves are likely dry now; they were wet for up to 2 of the last 24 hours."
    );
    assert_eq!(
        leaves(Leaf::Dry, hours_of(0.0, 0.0, 0.0)),
        "Leaves are likely dry now; they were not wet in the last 24 hours."
    );
    assert_eq!(
        leaves(Leaf::Frozen, hours_of(24.0, 24.0, 24.0)),
        "Leaves are likely frozen now; they were wet all the last 24 hours."
    );
    assert_eq!(
        leaves(Leaf::Unknown, hours_of(3.0, 4.0, 5.0)),
        "Whether leaves are wet now is not known; they were wet for 3 to 5 of the last 24 hours."
    );
}

#[test]
fn unknown_hours_say_why() {
    let leaves = |leaf, why| told(leaf, Figure::unknown(why, 0.0), &[], &[]).leaves;
    assert_eq!(
        leaves(Leaf::Unknown, Why::NoReading),
        "Whether leaves are wet now is not known, nor how long they were: there is no reading yet."
    );
    assert_eq!(
        leaves(Leaf::Wet, Why::NotEnough),
        "Leaves are likely wet now. How long they were wet in the last 24 hours is not known: too little was measured."
    );
}

#[test]
fn risks_are_told_by_level_with_their_driver_and_what_changed() {
    let risks = [lettuce(Some(Level::High)), spinach(Some(Level::High)), onions(Some(Level::Some))];
    let before = [lettuce(Some(Level::Raised)), spinach(Some(Level::High)), onions(Some(Level::Raised))];
    let words = told(Leaf::Wet, hours_of(11.0, 12.0, 15.0), &risks, &before);
    assert_eq!(
        said(&words),
        [
            "High risk: downy mildew on lettuce (up from raised) and spinach. When the leaves are dry, not before: thin, pick off old \
             ones, and look under what is left.",
            "Some risk: leaf blight on onions (down from raised).",
        ]
    );
    assert_eq!(
        words.short.unwrap(),
        "High risk: downy mildew on lettuce (up from raised). Some risk: leaf blight on onions (down from raised)."
    );
    assert_eq!((words.doubt, words.hours.as_deref()), (None, Some("wet 11 to 15 h of 24")));
}

#[test]
fn nothing_raised_and_nothing_changed_is_not_worth_a_short_line() {
    let risks = [lettuce(Some(Level::Some)), onions(Some(Level::Low))];
    let words = told(Leaf::Dry, hours_of(2.0, 2.0, 2.0), &risks, &risks);
    assert_eq!(words.short, None);
    assert_eq!(said(&words), ["Some risk: downy mildew on lettuce.", "Little risk: leaf blight on onions."]);
}

#[test]
fn level_that_stands_is_no_news_but_where_disease_was_found_or_it_was_not_known_before() {
    let high = [spinach(Some(Level::High))];
    let short = |risks: &[GroupRisk<'_>], before: &[GroupRisk<'_>]| {
        told(Leaf::Wet, hours_of(9.0, 9.0, 9.0), risks, before).short
    };
    assert_eq!(short(&high, &high), None);
    let first = short(&high, &[]).unwrap();
    assert!(first.starts_with("High risk"), "{first}");
    let found = GroupRisk { found_lately: true, ..high[0] };
    assert!(short(&[found], &high).is_some());
}

#[test]
fn what_is_no_longer_known_is_said() {
    let unknown = [lettuce(None), onions(None)];
    let words = told(Leaf::Unknown, Figure::unknown(Why::NotEnough, 0.2), &unknown, &[lettuce(Some(Level::Low))]);
    assert_eq!(said(&words), ["Risk not known for lettuce and onions: too little was measured in the last days."]);
    assert!(words.short.unwrap().contains("no longer known"));
    // Where it never was known, it is no news.
    assert_eq!(told(Leaf::Unknown, Figure::unknown(Why::NoReading, 0.0), &unknown, &unknown).short, None);
}

#[test]
fn doubts_name_the_sensor_the_gap_and_what_was_found() {
    let mut one = lettuce(Some(Level::Raised));
    one.shown.range = (Level::Some, Level::High);
    one.shown.freshness = Freshness::Stale;
    one.found_lately = true;
    assert_eq!(
        told(Leaf::Dry, hours_of(1.0, 1.0, 1.0), &[one], &[]).doubt.unwrap(),
        "The humidity sensor decides: it may be some to high for lettuce. The last day was not measured well enough, so this is how it stood \
         before. Disease was found here lately, so lettuce counts one level higher."
    );
}

#[test]
fn week_stands_among_its_own_with_the_doubt_of_its_place() {
    let place = |drier, damper| Standing { drier, level: 0, damper };
    let week = |among| WeekStanding { wet_h_day: Runs { low: 13.0, read: 14.0, high: 16.0 }, among, month: 1 };
    let between = Runs { low: place(5, 4), read: place(7, 2), high: place(7, 2) };
    assert_eq!(
        week_words(&week(between)),
        "This week has been damper than five to seven of the nine other January weeks on record here: 13 to 16 wet hours a day."
    );
    assert!(week_words(&week(Runs::all(place(9, 0)))).contains("damper than any of the nine other January weeks"));
    assert!(week_words(&week(Runs::all(place(0, 9)))).contains("no damper than any of the nine"));
}

#[test]
fn words_of_damp_hold_no_number_of_the_risk_no_order_about_openings_and_no_coined_name() {
    for level in Level::ALL {
        for group in CropGroup::ALL {
            for by in group.diseases() {
                let risks = [risk(group, Some(level), *by)];
                let words = told(Leaf::Wet, Figure::unknown(Why::NotEnough, 0.0), &risks, &[]);
                let all = [said(&words).join(" "), words.short.unwrap_or_default()].join(" ");
                assert_eq!(must_not_be_shown(&all), None, "{all}");
                for bad in ["vent", "open", "shut", "close", "crack", "door", "lid", "spray", "0.5", "%"] {
                    assert!(!all.to_lowercase().contains(bad), "{bad}: {all}");
                }
            }
        }
    }
}
