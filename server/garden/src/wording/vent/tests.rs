use proptest::prelude::*;

use super::*;
use crate::advice::tests::{With, decide, frame, heard_of_tonight, on};
use crate::advice::{Air, FrostMemory, VentQuestion};
use crate::model::Notch;
use propstick_wire::millis::MINUTE;

fn words(q: &VentQuestion) -> VentWords {
    vent_words(&decide(q), &q.structure, q.clock, q.now)
}

#[track_caller]
fn says(q: &VentQuestion, say: &str, because: &str) -> VentWords {
    let words = words(q);
    assert_eq!(words.say, say);
    assert_eq!(words.because, because);
    words
}

// The figures are those of climate sheet 6.4; the sentences are this program's.

#[test]
fn case_a_says_when_and_how_far_to_open_and_by_how_much_it_dries() {
    says(
        &on(3, 10, "08:00").inside(12.0, 98.0).outside(8.0, 85.0),
        "Open both doors half way from about 08:30 to 16:00, to dry.",
        "Inside 1.37 kPa of vapour, outside 0.91 kPa: opening dries. Once the air has changed, expect 65 to 85 % humidity.",
    );
}

#[test]
fn case_b_says_that_fog_leaves_nothing_to_do() {
    let words = says(
        &on(3, 10, "12:00").inside(6.0, 97.0).outside(6.0, 100.0),
        "Nothing to do here: keep it shut till the fog lifts.",
        "Inside 0.91 kPa of vapour, outside 0.94 kPa: the two gauges cannot tell less than 0.04 kPa apart.",
    );
    assert_eq!(words.doubt.as_deref(), Some("Fog is only guessed, from the gauge outside; a look out decides."));
}

#[test]
fn case_c_says_that_opening_would_wet_the_leaves() {
    says(
        &on(1, 15, "09:00").inside(5.0, 99.0).outside(8.0, 95.0),
        "Keep it shut: opening would wet every leaf. Look again at noon.",
        "The dew point outside is 7.2 °C; the air inside, and so about the leaves, is 5.0 °C.",
    );
}

#[test]
fn case_d_says_how_long_and_when_again() {
    says(
        &on(3, 10, "12:00").inside(22.0, 60.0).outside(6.0, 80.0),
        "Open both doors half way, for 20 minutes. Shut for an hour to warm up, and so on in turn until about 16:00.",
        "Inside 1.59 kPa of vapour, outside 0.75 kPa: opening takes water out, but outside is 16.0 °C colder, so longer \
         would chill more than it dries.",
    );
}

#[test]
fn case_f_says_that_outside_is_wetter() {
    says(
        &on(6, 10, "12:30").inside(18.0, 85.0).outside(17.0, 95.0),
        "Keep it shut: the air outside is wetter. Look again about 14:30.",
        "Inside 1.75 kPa of vapour, outside 1.84 kPa: opening would add water.",
    );
}

#[test]
fn moving_air_says_that_it_will_not_dry() {
    let words = says(
        &on(1, 15, "09:30").inside(6.0, 97.0).outside(6.5, 98.0),
        "Open both doors a hand's width from about 10:00, to keep the air moving. It will not dry anything.",
        "Inside 0.91 kPa of vapour, outside 0.95 kPa: the two gauges cannot tell less than 0.04 kPa apart.",
    );
    assert_eq!(words.cautions, ["Shut before dark if frost or a gale is heard for the night."]);
}

#[test]
fn frozen_leaves_are_left_alone_with_the_hour_of_the_thaw() {
    let mut q = on(1, 15, "09:00").inside(-2.0, 97.0).outside(-4.0, 95.0);
    q.frost_memory = Some(FrostMemory { lowest_c: -4.0, thawed: false });
    let words = says(
        &q,
        "Leave it shut and touch nothing: it froze in there. When the leaves have gone soft, about 11:00, and it is above 4 °C \
         inside, open the sheltered end a hand's width; shut it by 13:00.",
        "It was down to \u{2212}4.0 °C inside. Frozen leaves bruise, and thaw best slowly under a shut cover.",
    );
    assert_eq!(words.cautions, ["No picking, watering or lifting of fleece until the leaves are soft."]);
}

#[test]
fn gale_says_shut_and_fasten_by_day_and_stay_in_by_night() {
    let gale = |time| {
        let mut q = on(1, 15, time).inside(9.0, 95.0).outside(10.0, 90.0);
        q.weather.tonight = Some(heard_of_tonight(&q, None, Some(22.0)));
        q
    };
    let because = "Gusts of 22 m/s are heard of; a damp night costs leaves, a wind inside costs the tunnel.";
    let shut = "Shut and fasten both doors while it is light, then stay in till it has blown through.";
    let words = says(&gale("15:00"), shut, because);
    assert_eq!(
        words.cautions,
        ["Nobody goes out in the dark, on ice or in a wind.", "By daylight only, and nobody up a ladder."]
    );
    says(&gale("19:00"), "Nothing to do here till it has blown through: stay in.", because);
}

#[test]
fn gale_that_blows_says_stay_in_and_gives_no_order() {
    let mut q = on(1, 15, "11:00").inside(9.0, 95.0).outside(10.0, 90.0);
    q.gust_m_s = Some(22.4);
    let words = says(
        &q,
        "It blows already: stay in. What stands open stays so till a lull by daylight; shut it then.",
        "Gusts of about 22 m/s, reckoned from the wind measured; a damp night costs leaves, a wind inside costs the tunnel, and a \
         person is worth more than either.",
    );
    assert_eq!(words.cautions, ["Nobody goes out in the dark, on ice or in a wind."]);
}

#[test]
fn gale_heard_for_the_night_leads_and_leaves_the_day_to_its_rules() {
    let mut q = on(2, 10, "09:00").inside(7.5, 96.0).outside(7.0, 80.0);
    q.weather.tonight = Some(heard_of_tonight(&q, None, Some(22.0)));
    let words = words(&q);
    assert_eq!(
        words.say,
        "Gale tonight. Open the sheltered end half way from about 09:30 to 15:30, to dry. Shut and fasten both doors about 15:30, \
         while it is light; then stay in till it has blown through."
    );
    assert!(words.because.ends_with("Gusts of 22 m/s are heard of."), "{}", words.because);
    // Where it stays shut there is only the fastening to do.
    let mut shut = on(1, 15, "09:00").inside(5.0, 99.0).outside(8.0, 95.0);
    shut.weather.tonight = Some(heard_of_tonight(&shut, None, Some(22.0)));
    assert_eq!(
        super::vent_words(&decide(&shut), &shut.structure, shut.clock, shut.now).say,
        "Gale tonight. Keep it shut, and fasten both doors about 14:30, while it is light; then stay in till it has blown through."
    );
}

#[test]
fn heat_in_cold_air_is_let_out_in_steps() {
    let words = says(
        &on(3, 15, "11:30").crops(Crops::Both).inside(29.0, 45.0).outside(5.0, 70.0),
        "Open the sheltered end a hand's width now, half way from 11:40.",
        "29.0 °C inside; 28.0 °C is as much as hardy crops like.",
    );
    assert_eq!(
        words.cautions,
        [
            "In steps: soft leaves suffer from a sudden cold draught.",
            "Keep the other end shut: no draught through soft seedlings."
        ]
    );
}

#[test]
fn heat_in_mild_air_is_let_out_at_once() {
    says(
        &on(7, 10, "13:00").crops(Crops::Tender).inside(34.0, 40.0).outside(23.0, 50.0),
        "Open both doors wide now.",
        "34.0 °C inside; 32.0 °C is as much as tender crops like.",
    );
}

#[test]
fn cold_names_the_limit_and_the_figure_held_against_it() {
    let say = "Keep it shut: it is too cold to open. Look again about 14:00.";
    let mut q = on(3, 10, "12:00").inside(6.0, 95.0).outside(-1.5, 80.0);
    says(&q, say, "Outside \u{2212}1.5 °C; below \u{2212}1.0 °C nothing is opened on hardy crops.");
    q = q.outside(0.5, 80.0);
    q.trend_outside_c_h = Some(-1.0);
    says(
        &q,
        say,
        "Outside 0.5 °C now and \u{2212}1.5 °C in two hours at this rate; below \u{2212}1.0 °C nothing is opened on hardy \
         crops.",
    );
    q = on(3, 10, "12:00").inside(3.0, 98.0).outside(-1.0, 90.0);
    says(&q, say, "Inside 3.0 °C; hardy crops are aired only above 3.0 °C and warming.");
    q = on(3, 10, "12:00").crops(Crops::Tender).inside(12.5, 95.0).outside(3.0, 60.0);
    says(&q, say, "Opened, it would settle at about 7.8 °C; tender crops bear 8.0 °C.");
}

#[test]
fn evening_says_shut_now_and_the_dark_says_nothing_to_do() {
    let because = "Outside 8.0 °C, dew point \u{2212}0.5 °C: it can be near frost by morning.";
    let q = on(4, 20, "18:30").inside(12.0, 70.0).outside(8.0, 55.0);
    says(&q, "Shut both doors now for the night.", because);
    let q = on(4, 20, "22:00").inside(12.0, 70.0).outside(8.0, 55.0);
    says(&q, "Nothing to do here tonight: keep it shut.", because);
}

#[test]
fn mild_nights_are_ordered_by_daylight_and_only_let_stand_in_the_dark() {
    let because = "Inside 1.13 kPa of vapour, outside 1.04 kPa: opening dries. Once the air has changed, expect 91 to 97 % \
                   humidity.";
    let q = on(11, 10, "15:00").inside(9.0, 98.0).outside(8.0, 97.0);
    let words = says(&q, "Open both doors a hand's width for the night, to dry.", because);
    assert_eq!(words.cautions, ["Shut before dark if frost or a gale is heard for the night."]);
    let q = on(11, 10, "22:00").inside(9.0, 98.0).outside(8.0, 97.0);
    let words = says(&q, "Let both doors stand a hand's width for the night, to dry.", because);
    assert_eq!(words.cautions, ["Not worth going out for in the dark: leave it as it stands."]);
}

#[test]
fn a_night_that_is_drier_but_chills_more_promises_nothing() {
    says(
        &on(4, 10, "21:30").inside(14.0, 95.0).outside(8.0, 95.0),
        "Let both doors stand a hand's width for the night, to keep the air moving.",
        "Inside 1.52 kPa of vapour, outside 1.02 kPa: a little water goes out with it.",
    );
}

#[test]
fn stale_outside_is_said_by_rule_with_the_time_of_the_last_reading() {
    let mut q = on(1, 15, "12:00").inside(6.0, 97.0).outside(5.0, 70.0);
    q.outside = q.outside.map(|air| Air { at: q.now.plus(-130 * MINUTE), ..air });
    let words = says(
        &q,
        "By rule, not by reading: open both doors a hand's width until 14:30, if a look outside shows no fog, frost or \
         strong wind.",
        "It goes by the season and the hour, as one would by looking out.",
    );
    assert_eq!(words.doubt.as_deref(), Some("No reading outside since 09:50."));
}

#[test]
fn nothing_read_inside_is_said_as_unknown_and_the_rule_is_given() {
    let q = on(1, 15, "20:00").outside(5.0, 70.0);
    let words = words(&q);
    assert_eq!(
        words.say,
        "Not known what it is like in there. By rule, not by reading: leave it as it stands till it is light."
    );
    assert_eq!(words.doubt.as_deref(), Some("Nothing is read inside."));
}

#[test]
fn a_lid_is_had_on_its_brick_and_a_hooked_door_is_had_hooked() {
    let mut q = on(2, 10, "09:00").inside(9.0, 96.0).outside(7.0, 80.0);
    q.structure = frame(Crops::Hardy, &[(Notch::Closed, "on"), (Notch::Half, "on the brick"), (Notch::Full, "off")]);
    assert_eq!(words(&q).say, "Have the lid on the brick from about 09:30 to 15:30, to dry.");
    let mut q = on(7, 10, "13:00").inside(34.0, 40.0).outside(23.0, 50.0);
    for vent in &mut q.structure.vents {
        vent.positions.last_mut().unwrap().words = "hooked back".into();
    }
    assert_eq!(words(&q).say, "Have both doors hooked back now.");
}

#[test]
fn openings_of_different_words_are_named_one_by_one() {
    let mut q = on(2, 10, "12:00").inside(9.0, 96.0).outside(7.0, 80.0);
    q.structure.vents[1].positions[2].words = "two blocks".into();
    assert_eq!(
        words(&q).say,
        "Open the yard door half way until 15:30; open the field door two blocks until 15:30, to dry."
    );
    q.structure.vents[1].name = "south side".into();
    q.structure.vents[1].kind = crate::model::VentKind::Side;
    q.structure.vents[1].positions[2].words = "half way".into();
    assert_eq!(words(&q).say, "Open the yard door and the south side half way until 15:30, to dry.");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    // The advice page: words that go with shutting never contain a vent order; moving air never promises to dry; nobody is
    // told a percentage of nothing.
    #[test]
    fn prop_no_sentence_says_what_must_not_be_said(q in crate::advice::tests::properties::any_question()) {
        let verdict = decide(&q);
        let words = vent_words(&verdict, &q.structure, q.clock, q.now);
        let all = format!("{} {}", words.say, words.because);
        prop_assert!(words.say.ends_with('.') && words.because.ends_with('.'), "{all}");
        for flaw in ["  ", "..", " .", ",,", "NaN", "inf", "-0", "to vent"] {
            prop_assert!(!all.contains(flaw), "{flaw:?} in {all}");
        }
        for (at, _) in all.match_indices('%') {
            prop_assert!(all[at..].starts_with("% humidity"), "{all}");
        }
        let orders = ["Open ", "Have ", "Let ", "open the", "open both", "have the", "have both"];
        let opens = orders.iter().any(|order| words.say.contains(order));
        match verdict.verdict {
            VentVerdict::Shut => prop_assert!(!opens || all.contains("When the leaves have gone soft"), "{all}"),
            VentVerdict::MoveAir => {
                let without = all.replace("It will not dry anything.", "");
                prop_assert!(opens && !without.contains("dry") && !without.contains("dries"), "{all}");
                let within = verdict.doubts.contains(&Doubt::WithinBand);
                prop_assert!(verdict.by_rule || within == all.contains("It will not dry anything."), "{all}");
            }
            VentVerdict::Dry | VentVerdict::Purge | VentVerdict::Cool => prop_assert!(opens, "{all}"),
            VentVerdict::Unknown => prop_assert!(all.contains("Not known") && all.contains("By rule, not by reading")),
        }
        if verdict.verdict == VentVerdict::Shut && verdict.moves.is_empty() && !verdict.by_rule {
            prop_assert!(["Nothing to do here", "Keep it shut", "Leave it shut", "It blows already: stay in"].iter().any(|w| words.say.starts_with(w)), "{all}");
        }
    }
}

#[test]
fn night_shut_for_fog_says_fog_and_one_shut_for_wetter_air_says_to_shut() {
    says(
        &on(11, 25, "22:00").inside(6.0, 97.0).outside(6.0, 100.0),
        "Nothing to do here tonight: keep it shut.",
        "The air outside is saturated: opened, it would let the fog in.",
    );
    says(
        &on(6, 10, "21:00").inside(18.0, 85.0).outside(17.0, 95.0),
        "Shut both doors now for the night: the air outside is wetter.",
        "Inside 1.75 kPa of vapour, outside 1.84 kPa: opening would add water.",
    );
    says(
        &on(10, 10, "21:00").inside(12.0, 70.0).outside(9.0, 80.0),
        "Nothing to do here tonight: keep it shut.",
        "Shut, it keeps what warmth there is.",
    );
}
