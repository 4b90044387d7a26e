//! A night that is heard of in the morning, and a program that was started anew in it: the advice and the score are those of a night heard in time.

use super::*;

/// From 15 °C at noon to -3 °C at five, and 1.2 °C at seven.
fn air_c(t: Millis) -> f64 {
    let hours = t.since(NOON) as f64 / HOUR as f64;
    match hours {
        h if h < 0.0 => 12.0,
        h if h < 17.0 => 15.0 - 18.0 * h / 17.0,
        h => -3.0 + 2.1 * (h - 17.0),
    }
}

fn garden() -> Garden {
    let lid = "\n[[structure.vent]]\nslug = \"lid\"\nname = \"lid\"\nkind = \"lid\"\npositions = { closed = \"shut\", full = \"off\" }\n[[spot]]";
    parse_garden(&GARDEN.replacen("\n[[spot]]", lid, 1)).unwrap()
}

/// Hears the readings of every ten minutes from `from` to `to` hours after noon, each when `arrives` says, and looks each time.
fn hear(engine: &mut Engine, ledger: &mut Ledger, (from, to): (i64, i64), arrives: impl Fn(Millis) -> Millis) {
    for k in from * 6..to * 6 {
        let t = NOON.plus(k * 10 * MINUTE);
        let now = arrives(t);
        let mut took = reading(t, air_c(t), "Cel");
        if let Took::Reading(reading) = &mut took {
            reading.arrived = now;
        }
        let mut committed = ledger.commit(&[took]).unwrap();
        committed.arrived = Some(now);
        engine.step(Input::Committed(committed)).unwrap();
        engine.step(Input::Tick(now.plus(2 * MINUTE))).unwrap();
    }
}

fn begin(folder: &Path) -> (Engine, Ledger) {
    let mut ledger = Ledger::open(&folder::readings_path(folder)).unwrap();
    let mut engine = Engine::open(folder, Some(garden()), Pace::Live).unwrap();
    hear(&mut engine, &mut ledger, (-30, 10), |t| t);
    (engine, ledger)
}

fn vent_rule(folder: &Path) -> String {
    let db = GardenDb::open_reader(&folder::garden_path(folder)).unwrap();
    let kept = db.advice().standing("frame").unwrap().into_iter().find(|kept| kept.kind == "vent").unwrap();
    serde_json::from_str::<serde_json::Value>(&kept.body).unwrap()["rule"].as_str().unwrap().to_owned()
}

#[test]
fn frost_of_a_night_that_is_heard_of_at_seven_is_known_at_seven() {
    let found = [false, true].map(|late| {
        let dir = tempfile::tempdir().unwrap();
        let (mut engine, mut ledger) = begin(dir.path());
        // The board is not heard from ten in the evening; the clock goes on.
        let back = NOON.plus(19 * HOUR + 2 * MINUTE);
        if late {
            (10..19).for_each(|h| drop(engine.step(Input::Tick(NOON.plus(h * HOUR))).unwrap()));
        }
        hear(&mut engine, &mut ledger, (10, 19), |t| if late { back } else { t });
        engine.step(Input::Tick(back.plus(5 * MINUTE))).unwrap();
        vent_rule(dir.path())
    });
    assert_eq!(found, ["frozen", "frozen"]);
}

#[test]
fn night_through_which_the_program_was_started_anew_or_that_came_late_is_scored_like_any_other() {
    let scores = ["in time", "started anew", "late"].map(|how| {
        let dir = tempfile::tempdir().unwrap();
        let (mut engine, mut ledger) = begin(dir.path());
        hear(&mut engine, &mut ledger, (10, 14), |t| t);
        if how == "started anew" {
            drop(engine);
            engine = Engine::open(dir.path(), Some(garden()), Pace::Live).unwrap();
        }
        let back = NOON.plus(23 * HOUR);
        let arrives = |t: Millis| if how == "late" { back } else { t };
        if how == "late" {
            (14..23).for_each(|h| drop(engine.step(Input::Tick(NOON.plus(h * HOUR))).unwrap()));
        }
        hear(&mut engine, &mut ledger, (14, 23), arrives);
        engine.step(Input::Tick(back.plus(30 * MINUTE))).unwrap();
        let db = GardenDb::open_reader(&folder::garden_path(dir.path())).unwrap();
        let scores = db.advice().scores("frame").unwrap();
        let last = *scores.last().unwrap();
        (scores.len(), last.call.word(), last.measured_c, last.forecast)
    });
    let [in_time, anew, late] = scores;
    assert_eq!((in_time.1, in_time.2), ("hit", -3.0), "{in_time:?}");
    assert_eq!(anew, in_time);
    assert_eq!((late.1, late.2), (in_time.1, in_time.2), "{late:?}");
}
