use propstick_agronomy::frost::critical::Hardiness;

use super::*;
use crate::advice::frost::tests::{NIGHT, after, evening, heard, looked, question, scenario_9};
use crate::advice::frost::{ForecastLow, FrostCall, FrostCrop, FrostPlace, FrostQuestion, FrostScore, frost};
use crate::record::{Sky, Wind};
use propstick_wire::millis::HOUR;

#[test]
fn night_of_a_gale_is_never_called_still() {
    let q = scenario_9();
    let said = |gale| {
        let here = FrostHere {
            name: "tunnel",
            fleece: Fleece::ToLay,
            shuts: true,
            clock: LocalClock::default(),
            now: q.now,
            dark: false,
            gale,
        };
        frost_words(&frost(&q), here).say
    };
    assert!(said(false).contains("still") && !said(true).contains("still"), "{} / {}", said(false), said(true));
}

fn words(q: &FrostQuestion, fleece: Fleece) -> FrostWords {
    let dark = q.now >= NIGHT.sunset.plus(HOUR / 2);
    frost_words(
        &frost(q),
        FrostHere {
            name: "the frame",
            fleece,
            shuts: true,
            clock: LocalClock::default(),
            now: q.now,
            dark,
            gale: false,
        },
    )
}

/// Eight degrees till mid-afternoon and down to three, at 75 %: dew point -1.0.
fn frosty(h: f64) -> FrostQuestion {
    question(h, evening(&[(-6.5, 8.0), (-3.5, 8.0), (h, 3.0)], Some(75.0)))
}

#[test]
fn scenario_9_is_said_as_on_the_advice_page() {
    // "Clear and still tonight. Fleece the potatoes before dark: 0, perhaps -3, where the leaves are. Bring the tomato trays in."
    let words = words(&scenario_9(), Fleece::ToLay);
    assert_eq!(
        words.say,
        "Clear and still tonight. Fleece the potatoes and the lettuce before dark: 0, perhaps \u{2212}3 °C, where the leaves are. Bring the trays of \
         tomatoes in."
    );
    assert_eq!(
        words.because,
        "At 18:30 it was 8.0 °C, dew point \u{2212}0.5 °C, 4.0 °C down since the afternoon. It goes by rule, not by this gauge's own clear nights. \
         Leaves that freeze would be white with rime."
    );
    assert_eq!(words.doubt, None);
    assert!(words.cautions.contains(&"Do not water now.".to_string()));
    // Must not say: wait for the two-hours-after-sunset figure.
    assert!(!words.say.contains("look again") && !words.say.contains("22:"));
}

#[test]
fn afternoon_says_may_dusk_says_now_and_night_says_when() {
    let say = |h, fleece| words(&frosty(h), fleece).say;
    assert_eq!(
        say(-2.0, Fleece::ToLay),
        "There may be frost tonight. Have the fleece for anything tender to hand, and look again about 19:00: 3, perhaps \u{2212}3 °C, where the leaves \
         are."
    );
    assert_eq!(
        say(-0.5, Fleece::ToLay),
        "There may be frost tonight. Fleece anything tender now, while it is light: 3, perhaps \u{2212}3 °C, where the leaves are."
    );
    assert_eq!(
        say(-0.5, Fleece::None),
        "There may be frost tonight. Shut up before dark and cover anything tender: 3, perhaps \u{2212}3 °C, where the leaves are."
    );
    assert_eq!(
        say(2.5, Fleece::On),
        "3.0 °C at the gauge, falling 0.8 °C an hour: it could reach 0 °C by about 02:00 if it goes on so. By morning 3, perhaps \u{2212}3 °C, where the leaves \
         are, so leave the fleece on."
    );
}

#[test]
fn dark_sends_nobody_out() {
    for h in [0.6, 2.5, 6.0] {
        for fleece in [Fleece::ToLay, Fleece::On, Fleece::None] {
            let words = words(&frosty(h), fleece);
            assert!(
                words.cautions.contains(&"Nobody goes out in the dark, on ice or in a wind.".to_string()),
                "{h} {fleece:?}"
            );
            assert!(!words.say.contains("before dark") && !words.say.contains(" now") && !words.say.contains("Bring"));
        }
    }
}

#[test]
fn mild_night_is_said_in_one_breath() {
    let words = words(&question(2.5, evening(&[(-6.5, 14.0), (2.5, 11.0)], Some(90.0))), Fleece::ToLay);
    assert_eq!(words.say, "No frost expected tonight: 11, perhaps 7 °C, where the leaves are.");
    assert_eq!((words.doubt, words.cautions), (None, Vec::new()));
}

#[test]
fn frost_that_hardy_crops_stand_is_no_alarm_and_chill_is_no_frost() {
    let with = |hardiness, name: &str, q: FrostQuestion| {
        let crops = vec![FrostCrop { name: name.to_string(), hardiness, trays: false }];
        let place = FrostPlace { crops, week_mean_c: Some(5.0), ..FrostPlace::default() };
        words(&FrostQuestion { place, ..q }, Fleece::ToLay).say
    };
    assert_eq!(
        with(Hardiness::VeryHardy, "spinach", frosty(-0.5)),
        "Leaves may stiffen tonight, no more than what grows there stands: 3, perhaps \u{2212}3 °C, where the leaves are."
    );
    let cool = question(-0.5, evening(&[(-6.5, 13.0), (-0.5, 10.0)], Some(85.0)));
    let said = with(Hardiness::Chilled, "cucumbers", cool);
    assert!(said.starts_with("Cold tonight. Fleece the cucumbers now, while it is light: "), "{said}");
    assert!(!said.contains("frost"), "{said}");
}

#[test]
fn silence_is_said_as_unknown_and_louder_near_frost() {
    // Pages: "No reading since 21:50, so no frost advice for the frame."
    let until_nine = |t_c: f64| evening(&[(-6.5, 10.0), (1.0, t_c)], Some(90.0));
    let mut q = question(2.5, until_nine(3.0));
    assert_eq!(
        words(&q, Fleece::ToLay).say,
        "No reading since 21:00, so no frost figure for the frame. Frost was near then: take it that it freezes until you have looked. Leave what is \
         covered as it is, and look in the morning before you touch a leaf."
    );
    q.forecast = heard(-1.0);
    let said = words(&q, Fleece::ToLay).say;
    assert!(said.ends_with("A low of \u{2212}1 °C is heard for tonight: leave what is covered as it is."));
    assert!(!words(&question(2.5, until_nine(9.0)), Fleece::ToLay).say.contains("Frost was near"));
    assert_eq!(
        words(&question(-1.0, Vec::new()), Fleece::ToLay).say,
        "Nothing read since noon, so no frost figure for the frame. Go by the window: a clear still evening means cover what is tender before dark."
    );
    let mut dead = question(0.2, until_nine(9.0));
    for reading in dead.readings.iter_mut().filter(|r| r.at > after(-1.5)) {
        reading.t_c = Some(-127.0);
    }
    let said = words(&dead, Fleece::ToLay).say;
    assert!(said.starts_with("The gauge cannot be believed since 18:40, so no frost figure for the frame."), "{said}");
}

#[test]
fn morning_knows_only_what_was_heard() {
    let mut q = question(-6.0, Vec::new());
    assert_eq!(words(&q, Fleece::On).say, "Too early in the day to say how cold the night gets.");
    q.forecast = heard(-1.0);
    let words = words(&q, Fleece::On);
    assert!(words.say.ends_with("A low of \u{2212}1 °C is heard for tonight: leave the fleece on all the same."));
    assert_eq!(
        words.because,
        "How far the air falls from mid-afternoon on tells it: about 17:00 at the earliest. Heard for tonight: a low of \u{2212}1 °C. It goes by the forecast alone."
    );
}

#[test]
fn doubts_are_said_in_words() {
    let mut q = question(0.2, evening(&[(-6.5, 10.0), (0.2, 3.0)], None));
    assert_eq!(
        words(&q, Fleece::ToLay).doubt.unwrap(),
        "There is no humidity to go by, so the range is wide. Nobody has looked at the sky: clear and still means the colder end."
    );
    q.look = looked(0.1, Sky::Broken, Wind::Light);
    assert_eq!(words(&q, Fleece::ToLay).doubt.unwrap(), "There is no humidity to go by, so the range is wide.");
}

#[test]
fn tally_is_one_plain_sentence() {
    let score = |call, n: usize, measured_c, before| {
        (0..n).map(move |_| FrostScore {
            advice: 0,
            measured_c,
            forecast: Some(ForecastLow { ends_c: (0.0, 4.0), likely_c: 2.0 }),
            baseline_c: before,
            call,
            scored_at: after(12.0),
        })
    };
    let count = |scores: Vec<FrostScore>| frost_tally_words(&scores.iter().collect());
    assert_eq!(count(Vec::new()), "No night has been scored yet.");
    // Advice page: "Count hits, misses and false alarms from the first night."
    let mut all: Vec<FrostScore> = score(FrostCall::Hit, 6, 1.0, Some(3.0)).collect();
    all.extend(score(FrostCall::FalseAlarm, 9, 3.0, Some(5.0)));
    all.extend(score(FrostCall::Quiet, 26, 3.0, Some(5.0)));
    assert_eq!(
        count(all),
        "Of 41 nights: 6 frosts, 6 warned of in time, 9 warnings without frost. The low was 1.0 °C off, the low of the night before 2.0 °C (each in \
         the mean)."
    );
    assert_eq!(
        count(score(FrostCall::Miss, 1, 1.0, None).collect()),
        "Of 1 night: 1 frost, none of them warned of in time, no warnings without frost."
    );
    assert_eq!(
        count(score(FrostCall::FalseAlarm, 1, 5.0, None).collect()),
        "Of 1 night: no frosts, 1 warning without frost."
    );
}

#[test]
fn early_and_unknown_say_why_with_figures_or_what_is_missing() {
    let early = words(&question(-6.0, evening(&[(-6.5, 8.0), (-6.0, 8.0)], Some(75.0))), Fleece::ToLay);
    assert_eq!(
        early.because,
        "How far the air falls from mid-afternoon on tells it: about 17:00 at the earliest. No low has been heard for tonight."
    );
    let mut q = question(-6.0, Vec::new());
    q.forecast = heard(4.0);
    assert!(
        words(&q, Fleece::ToLay).because.ends_with("Heard for tonight: a low of 4 °C. It goes by the forecast alone.")
    );
    let silent = words(&question(0.0, evening(&[(-6.5, 8.0), (-3.0, 3.5)], Some(75.0))), Fleece::ToLay);
    assert!(
        silent.because.starts_with("It last read 3.5 °C, at 17:00; a figure wants one from the last hour."),
        "{}",
        silent.because
    );
    let nothing = words(&question(0.0, Vec::new()), Fleece::ToLay);
    assert!(nothing.because.starts_with("A figure rests on what the gauge reads from noon on."), "{}", nothing.because);
}

#[test]
fn fleece_that_a_gale_would_take_is_not_ordered_and_nothing_is_shut_where_nothing_can_be() {
    let q = scenario_9();
    let say = |fleece, shuts| {
        let here = FrostHere {
            name: "the beds",
            fleece,
            shuts,
            clock: LocalClock::default(),
            now: q.now,
            dark: false,
            gale: false,
        };
        frost_words(&frost(&q), here).say
    };
    let lost = say(Fleece::Lost, true);
    assert!(lost.contains("Fleece would be lost in the wind: before dark, bring in what"), "{lost}");
    assert!(!lost.contains("Shut up") && !lost.contains("now"), "{lost}");
    assert!(say(Fleece::None, true).contains("Shut up before dark and cover"));
    let outdoors = say(Fleece::None, false);
    assert!(
        outdoors.contains(" Cover ") && outdoors.contains("before dark") && !outdoors.contains("Shut"),
        "{outdoors}"
    );
}
