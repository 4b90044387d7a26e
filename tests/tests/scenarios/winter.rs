//! Scenarios of December to February: 1 to 6, and 15.

use propstick_tests::program::program;
use serde_json::json;

use super::scene::{Air, Scene};

pub const BOTH_CRACKED: [(&str, &str); 2] = [("yard-door", "crack"), ("field-door", "crack")];

/// A damp winter day in the tunnel: wet from five in the evening to eight in the morning.
const DAMP_IN: &Air = &[
    ("00:00", 5.5, 97.0),
    ("08:00", 5.0, 97.0),
    ("09:00", 5.5, 92.0),
    ("10:00", 6.5, 86.0),
    ("15:00", 8.0, 84.0),
    ("17:00", 7.0, 93.0),
    ("18:00", 6.5, 97.0),
    ("23:50", 5.5, 97.0),
];
/// The same day outside.
const DAMP_OUT: &Air =
    &[("00:00", 5.5, 96.0), ("08:00", 5.0, 97.0), ("13:00", 8.0, 90.0), ("17:00", 6.5, 95.0), ("23:50", 5.5, 96.0)];

/// Scenario 1, the sixth damp day of January, with what was heard for the night.
pub fn sixth_damp_day(low_c: f64, wind: &str) -> Scene {
    Scene::at("2026-01-15 09:30")
        .fleece("fleece", "fleece over the salads", None)
        .bed("salad", "lettuce", 12.0)
        .days_before(5, DAMP_IN, DAMP_OUT)
        .today(
            &[("00:00", 5.5, 97.0), ("08:00", 5.5, 97.0), ("09:30", 6.0, 97.0)],
            &[("00:00", 5.8, 97.0), ("08:00", 5.8, 98.0), ("09:30", 6.5, 98.0)],
        )
        .left(1, "16:30", "fleece", "on")
        .tonight("08:00", json!({"low_c": low_c, "wind": wind}))
        .look("09:00", "overcast", "light", "rain", Some(180.0))
}

#[test]
fn scenario_1_sixth_damp_day_both_ends_cracked_and_kept_on_a_mild_night() {
    let Some(program) = program() else { return };
    let mild = sixth_damp_day(5.0, "light").play(&program, 0);
    assert_eq!(mild.vent().verdict(), ("move_air", "moving_air"), "{mild:#?}");
    mild.vent().sets(&BOTH_CRACKED);
    mild.vent().begins_about(0, "10:30");
    mild.vent().stays();
    mild.cover().sets(&[("fleece", "folded")]);
    mild.no_water();
    mild.must_say(
        "vent",
        &["will not dry", "keep it so tonight", "yellow leaves", "pick only what you need", "go lightly"],
    );
    // What the fleece was to be folded back for at ten is not said any more at two.
    let later = sixth_damp_day(5.0, "light").play(&program, 270);
    assert!(later.cover().words().contains("now") || later.cover().steps().is_empty(), "{later:#?}");
    mild.must_not_say(1, &["shut", "to dry", "it dries", "vent ", "water the", "litre"]);
    // Heard colder, it is shut by half past two; heard to blow, the lee end alone is cracked, and all is shut and fastened by then.
    let cold = sixth_damp_day(3.0, "light").play(&program, 0);
    cold.vent().sets(&BOTH_CRACKED);
    cold.vent().ends_about("14:30");
    let gale = sixth_damp_day(6.0, "gale").play(&program, 0);
    gale.vent().sets(&[("field-door", "crack")]);
    gale.vent().ends_about("14:30");
    gale.must_say("vent", &["gale tonight", "shut and fasten both doors"]);
    gale.must_not_say(0, &["keep it so tonight"]);
}

/// A day of a frosty week.
const FROSTY_IN: &Air =
    &[("00:00", -1.0, 88.0), ("08:00", -2.0, 89.0), ("13:00", 5.0, 75.0), ("17:00", 2.0, 85.0), ("23:50", -1.0, 88.0)];
/// The same day outside.
const FROSTY_OUT: &Air =
    &[("00:00", -3.0, 88.0), ("08:00", -4.0, 90.0), ("13:00", 3.0, 65.0), ("17:00", 0.0, 78.0), ("23:50", -3.0, 88.0)];

#[test]
fn scenario_2_first_mild_air_is_kept_out_and_looked_at_again_at_noon() {
    let Some(program) = program() else { return };
    let heard = Scene::at("2026-01-15 09:00")
        .bed("salad", "lettuce", 12.0)
        .soil(3.0)
        .days_before(5, FROSTY_IN, FROSTY_OUT)
        .days_before(
            1,
            &[("00:00", -1.0, 88.0), ("08:00", -1.0, 89.0), ("13:00", 5.0, 80.0), ("20:00", 2.0, 88.0)],
            &[("00:00", -3.0, 88.0), ("08:00", -2.0, 88.0), ("13:00", 4.0, 80.0), ("20:00", 3.0, 88.0)],
        )
        .today(
            &[("03:00", 2.5, 95.0), ("09:00", 4.0, 97.0)],
            &[("03:00", 6.0, 97.0), ("08:00", 9.0, 98.0), ("09:00", 9.0, 98.0)],
        )
        .look("08:45", "overcast", "fresh", "dry", Some(180.0))
        .play(&program, 0);
    assert_eq!(heard.vent().verdict(), ("shut", "wetting"), "{heard:#?}");
    heard.vent().opens_nothing();
    heard.vent().looked_at_again_about("12:00");
    heard.no_water();
    heard.must_not_say(1, &["open both", "open the", "have the", "mild", "to dry"]);
}

#[test]
fn scenario_3_hard_frost_is_left_alone_then_one_end_cracked_and_the_fleece_folded() {
    let Some(program) = program() else { return };
    let scene = Scene::at("2026-01-15 09:00")
        .fleece("fleece", "fleece over the salads", None)
        .bed("salad", "lettuce", 12.0)
        .days_before(
            1,
            &[
                ("00:00", 3.0, 92.0),
                ("08:00", 2.0, 93.0),
                ("13:00", 8.0, 75.0),
                ("17:00", 5.0, 88.0),
                ("23:50", 0.1, 95.0),
            ],
            &[
                ("00:00", 2.0, 90.0),
                ("08:00", 1.0, 92.0),
                ("13:00", 6.0, 70.0),
                ("17:00", 2.0, 82.0),
                ("23:50", -2.0, 92.0),
            ],
        )
        .today(
            &[("00:10", -0.1, 95.0), ("07:00", -3.0, 96.0), ("08:30", -2.5, 97.0), ("09:00", -2.0, 97.0)],
            &[("00:10", -2.0, 92.0), ("07:00", -5.0, 94.0), ("09:00", -4.0, 95.0)],
        )
        .left(1, "15:30", "fleece", "on")
        .tonight("08:30", json!({"low_c": -3.0, "wind": "calm"}))
        .look("08:45", "clear", "calm", "dry", None);
    let heard = scene.play(&program, 0);
    assert_eq!(heard.vent().verdict(), ("shut", "frozen"), "{heard:#?}");
    heard.vent().sets(&[("sheltered", "crack")]);
    heard.vent().begins_about(0, "11:00");
    let crack = &heard.vent().steps()[0];
    assert!(crack.until.is_some_and(|until| until <= heard.vent().at("14:30")), "{heard:#?}");
    heard.cover().sets(&[("fleece", "folded"), ("fleece", "on")]);
    heard.cover().begins_about(0, "11:00");
    assert!(heard.cover().steps()[1].from <= heard.cover().at("16:20"), "before sunset: {heard:#?}");
    heard.no_water();
    heard.must_say("vent", &["touch nothing", "no picking, watering", "leaves have gone soft"]);
    heard.must_not_say(1, &["drier", "to dry", "dries", "pick for", "pick between", "pick until", "open both"]);
}

#[test]
fn scenario_4_thick_fog_leaves_nothing_to_do() {
    let Some(program) = program() else { return };
    let heard = Scene::at("2026-01-15 14:30")
        .bed("salad", "lettuce", 12.0)
        .days_before(3, DAMP_IN, DAMP_OUT)
        .today(
            &[("00:00", 5.5, 97.0), ("09:00", 6.0, 98.0), ("14:30", 7.0, 99.0)],
            &[("00:00", 5.5, 99.0), ("09:00", 5.8, 99.8), ("14:30", 7.0, 99.8)],
        )
        .look("09:30", "overcast", "calm", "fog", None)
        .look("12:00", "overcast", "calm", "fog", None)
        .look("14:15", "overcast", "calm", "fog", None)
        .play(&program, 0);
    assert_eq!(heard.vent().verdict().0, "shut", "{heard:#?}");
    heard.vent().opens_nothing();
    heard.no_water();
    heard.must_not_say(4, &["open both", "open the", "hand's width", "to dry", "vent ", "pick between", "pick until"]);
}

#[test]
fn scenario_5_gale_heard_is_met_in_daylight_and_nobody_goes_out_at_night() {
    let Some(program) = program() else { return };
    let scene = Scene::at("2026-01-15 15:00")
        .fleece("fleece", "fleece over the carrots", None)
        .bed("carrots", "carrots", 12.0)
        .days_before(4, DAMP_IN, DAMP_OUT)
        .today(&[("00:00", 6.0, 96.0), ("15:00", 9.0, 95.0)], &[("00:00", 7.0, 92.0), ("15:00", 10.0, 90.0)])
        .left(1, "16:00", "fleece", "on")
        .tonight("14:30", json!({"low_c": 6.0, "wind": "gale", "gust_m_s": 22.0}))
        .look("14:45", "overcast", "fresh", "rain", Some(225.0));
    let forbidden =
        ["open both", "open the", "hand's width", "half way", "one side", "go out", "up a ladder to", "to dry"];
    let heard = scene.play(&program, 0);
    assert_eq!(heard.vent().verdict(), ("shut", "gale"), "{heard:#?}");
    heard.vent().opens_nothing();
    heard.must_say("vent", &["shut and fasten both doors while it is light", "stay in"]);
    // The morning's fold is past, and fleece in the tunnel lies out of the wind.
    assert_eq!((heard.cover().verdict().0, heard.cover().steps()), ("leave", Vec::new()), "{heard:#?}");
    heard.must_say("cover", &["leave the covers as they lie"]);
    heard.no_water();
    heard.must_not_say(0, &forbidden);
    // Fleece over a low tunnel comes in while it is light.
    let low = scene.clone().kind("low_tunnel").play(&program, 0);
    low.cover().sets(&[("fleece", "off")]);
    low.cover().begins_about(0, "15:00");
    // At night nobody is sent.
    let night = scene.play(&program, 240);
    assert_eq!(night.vent().verdict().0, "shut", "{night:#?}");
    night.vent().opens_nothing();
    assert_eq!(night.cover().steps(), Vec::new(), "{night:#?}");
    night.must_not_say(0, &forbidden);
}

#[test]
fn scenario_6_cold_bright_east_wind_opens_the_lee_end_half_and_fleeces_the_trays() {
    let Some(program) = program() else { return };
    let heard = Scene::at("2026-02-15 10:00")
        .crops("both")
        .doors("E", "W")
        .bed("salad", "lettuce", 12.0)
        .trays("seedlings", "lettuce")
        .fleece("tray-fleece", "fleece over the trays", Some("seedlings"))
        .days_before(
            2,
            &[
                ("00:00", 4.0, 88.0),
                ("07:30", 3.0, 89.0),
                ("13:00", 14.0, 70.0),
                ("18:00", 6.0, 84.0),
                ("23:50", 4.0, 88.0),
            ],
            &[
                ("00:00", 2.0, 75.0),
                ("07:30", 1.5, 78.0),
                ("13:00", 7.0, 55.0),
                ("18:00", 3.5, 68.0),
                ("23:50", 2.0, 75.0),
            ],
        )
        .today(
            &[("07:30", 3.5, 89.0), ("08:30", 6.0, 88.0), ("10:00", 12.0, 85.0)],
            &[("07:30", 1.5, 78.0), ("08:30", 3.0, 70.0), ("10:00", 6.0, 60.0)],
        )
        .left(0, "08:15", "tray-fleece", "off")
        .look("08:15", "clear", "fresh", "dry", Some(90.0))
        .look("09:45", "clear", "fresh", "dry", Some(90.0))
        .play(&program, 0);
    assert_eq!(heard.vent().verdict().0, "dry", "{heard:#?}");
    heard.vent().sets(&[("field-door", "half")]);
    heard.vent().begins_about(0, "10:00");
    heard.vent().ends_about("15:00");
    heard.cover().sets(&[("tray-fleece", "on")]);
    assert!(heard.cover().steps()[0].from <= heard.cover().at("16:00"), "{heard:#?}");
    assert_eq!(heard.water("seedlings").verdict().0, "lift", "{heard:#?}");
    assert!(heard.water("seedlings").steps()[0].until <= Some(heard.water("seedlings").at("12:00")), "{heard:#?}");
    heard.must_say("vent", &["no draught through soft seedlings"]);
    heard.must_say("water", &["lift and look", "from below"]);
    heard.must_not_say(1, &["both"]);
    let trays = heard.water("seedlings").words();
    assert!(!trays.contains("litre") && !trays.contains(" can") && !trays.contains("mm"), "{trays}");
}

#[test]
fn scenario_15_stuck_gauge_gives_way_to_the_window_and_a_winter_sum_to_the_finger() {
    let Some(program) = program() else { return };
    let heard = Scene::at("2025-12-15 12:00")
        .bed("salad", "lettuce", 12.0)
        .days_before(8, DAMP_IN, DAMP_OUT)
        .days_before(
            4,
            &[
                ("00:00", 4.0, 100.0),
                ("08:00", 3.0, 100.0),
                ("13:00", 8.0, 100.0),
                ("17:00", 5.0, 100.0),
                ("23:50", 4.0, 100.0),
            ],
            &[
                ("00:00", 3.0, 85.0),
                ("08:00", 2.0, 88.0),
                ("13:00", 6.0, 75.0),
                ("17:00", 4.0, 82.0),
                ("23:50", 3.0, 85.0),
            ],
        )
        .today(
            &[("00:00", 3.5, 100.0), ("08:00", 2.5, 100.0), ("09:30", 4.0, 100.0), ("12:00", 5.0, 100.0)],
            &[("00:00", 1.0, 80.0), ("08:00", 0.0, 80.0), ("12:00", 2.0, 70.0)],
        )
        .look("09:45", "clear", "fresh", "dry", Some(45.0))
        .look("11:45", "clear", "fresh", "dry", Some(45.0))
        .play(&program, 0);
    heard.vent().sets(&[("yard-door", "half")]);
    heard.vent().ends_about("14:00");
    assert!(heard.vent().steps()[0].until <= Some(heard.vent().at("14:00")) && heard.vent().by_rule(), "{heard:#?}");
    heard.must_say("vent", &["by rule, not by reading", "stuck for"]);
    assert_eq!(heard.water("salad").verdict(), ("feel", "winter"), "{heard:#?}");
    heard.must_say("water", &["push a finger into", "dry at 5 cm?", "at the base"]);
    heard.must_not_say(3, &["105", "litre", "unknown", "not known"]);
}
