//! What a scenario says is the same each time it is played, and what was told wrongly and taken back leaves nothing.

use propstick_tests::program::program;
use serde_json::json;

use super::scene::{Air, Scene};
use super::winter::{BOTH_CRACKED, sixth_damp_day};

#[test]
fn scenario_played_twice_gives_the_same_to_the_letter() {
    let Some(program) = program() else { return };
    let scene = sixth_damp_day(5.0, "light");
    let (first, second) = (scene.print(&program, 0), scene.print(&program, 0));
    assert!(first.contains("\"say\""), "{first}");
    assert_eq!(first, second);
}

#[test]
fn forecast_taken_back_changes_the_advice_back() {
    let Some(program) = program() else { return };
    let told =
        sixth_damp_day(5.0, "light").told(0, "09:20", json!({"seen": {"heard": {"of": "tonight", "wind": "gale"}}}));
    let gale = told.play(&program, 0);
    gale.must_say("vent", &["gale tonight", "shut and fasten both doors"]);
    gale.vent().ends_about("14:30");
    // The third thing seen: the forecast of eight, the look of nine, and this one.
    let taken_back = told.told(0, "09:25", json!({"undo": {"seen": 3}}));
    // Nothing holds the old word back: it is gone with what it rested on.
    let after = taken_back.play(&program, 0);
    let without = sixth_damp_day(5.0, "light").play(&program, 60);
    after.vent().sets(&BOTH_CRACKED);
    assert_eq!(after.vent().steps(), without.vent().steps(), "{after:#?}");
    after.must_say("vent", &["keep it so tonight"]);
    after.must_say("cover", &["fold the fleece"]);
}

#[test]
fn door_that_was_told_to_stand_open_is_shut_by_name_and_not_asked_for_once_it_was_told_shut() {
    let Some(program) = program() else { return };
    const INSIDE: &Air = &[("00:00", 4.0, 80.0), ("12:00", 6.0, 75.0)];
    const OUTSIDE: &Air = &[("00:00", -1.8, 60.0), ("12:00", -1.6, 55.0)];
    let cold = Scene::at("2026-01-15 12:00").bed("salad", "lettuce", 12.0).today(INSIDE, OUTSIDE);
    let plain = cold.play(&program, 0);
    assert_eq!(plain.vent().verdict(), ("shut", "cold"), "{plain:#?}");
    plain.must_say("vent", &["keep it shut"]);
    let vent = |what: &str| json!({"did": {"kind": "vent", "target": "yard-door", "what": what}});
    let opened = cold.told(0, "10:30", vent("full"));
    let open = opened.play(&program, 0);
    open.must_say("vent", &["shut the yard door now"]);
    let shut = opened.clone().told(0, "11:40", vent("closed")).play(&program, 0);
    shut.must_say("vent", &["keep it shut"]);
    // Told by mistake and taken back: as if nothing had been told.
    let undone = opened.told(0, "11:40", json!({"undo": {"did": 1}})).play(&program, 0);
    undone.must_say("vent", &["keep it shut"]);
}
