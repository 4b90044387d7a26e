//! Scenarios of July: 12 to 14.

use propstick_tests::program::program;

use super::scene::Scene;

const BOTH_FULL: [(&str, &str); 2] = [("yard-door", "full"), ("field-door", "full")];

#[test]
fn scenario_12_dripping_july_morning_is_opened_wide_now_and_stays_so() {
    let Some(program) = program() else { return };
    let heard = Scene::at("2026-07-10 06:30")
        .crops("tender")
        .bed("tomatoes", "tomato", 20.0)
        .days_before(
            2,
            &[
                ("00:00", 15.0, 95.0),
                ("05:00", 14.0, 97.0),
                ("13:00", 26.0, 55.0),
                ("20:00", 19.0, 84.0),
                ("23:50", 15.0, 95.0),
            ],
            &[
                ("00:00", 14.0, 88.0),
                ("05:00", 12.5, 92.0),
                ("13:00", 21.0, 55.0),
                ("20:00", 17.0, 75.0),
                ("23:50", 14.0, 88.0),
            ],
        )
        .today(
            &[("00:00", 15.0, 97.0), ("05:00", 13.8, 98.5), ("06:30", 14.0, 99.0)],
            &[("00:00", 14.0, 90.0), ("05:00", 12.7, 95.0), ("06:30", 13.0, 95.0)],
        )
        .look("06:15", "clear", "calm", "dry", None)
        .play(&program, 0);
    assert_eq!(heard.vent().verdict().0, "dry", "{heard:#?}");
    heard.vent().sets(&BOTH_FULL);
    heard.vent().stays();
    assert!(heard.vent().steps().iter().all(|step| step.from <= heard.vent().at("06:31")), "{heard:#?}");
    heard.must_say("vent", &["open tonight", "above about 12"]);
    heard.must_not_say(1, &["25 °c", "wait", "from about"]);
    // Leaves drip: they are picked once they are dry. No finger has told yet: it is asked first, and orders no more than a first share.
    heard.must_say("vent", &["the leaves are wet now: pick once they are dry"]);
    let water = heard.water("tomatoes");
    assert_eq!(water.verdict().0, "feel", "{heard:#?}");
    assert!(
        water.words().contains("push a finger in. dry at 5 cm? then start with")
            && water.words().contains("feel again"),
        "{heard:#?}"
    );
}

#[test]
fn scenario_13_july_heat_has_everything_open_and_shade_and_water_next_morning() {
    let Some(program) = program() else { return };
    let scene = Scene::at("2026-07-10 13:00")
        .crops("tender")
        .bed("tomatoes", "tomato", 20.0)
        .bed("seedbed", "lettuce", 4.0)
        .fleece("shade", "fleece over the seed bed", Some("seedbed"))
        .soil(27.0)
        .probe_in("seedbed")
        .days_before(
            8,
            &[
                ("00:00", 16.0, 88.0),
                ("05:00", 14.0, 92.0),
                ("14:00", 31.0, 45.0),
                ("20:00", 22.0, 70.0),
                ("23:50", 16.0, 88.0),
            ],
            &[
                ("00:00", 15.0, 80.0),
                ("05:00", 13.0, 86.0),
                ("14:00", 23.0, 50.0),
                ("20:00", 19.0, 65.0),
                ("23:50", 15.0, 80.0),
            ],
        )
        .today(
            &[("05:00", 15.0, 90.0), ("09:00", 24.0, 65.0), ("11:30", 31.0, 45.0), ("13:00", 34.0, 40.0)],
            &[("05:00", 13.5, 86.0), ("09:00", 18.0, 68.0), ("13:00", 23.0, 50.0)],
        )
        .left(0, "08:00", "shade", "off")
        .look("12:45", "clear", "light", "dry", Some(225.0));
    let heard = scene.play(&program, 0);
    assert_eq!(heard.vent().verdict(), ("cool", "heat"), "{heard:#?}");
    heard.vent().sets(&BOTH_FULL);
    assert_eq!(heard.cover().verdict().0, "heat", "{heard:#?}");
    heard.must_say("cover", &["as shade"]);
    // Whatever the sum says, no bed is watered in the heat of the day: it is tomorrow morning.
    heard.no_water();
    for bed in ["tomatoes", "seedbed"] {
        let (water, tomorrow) = (heard.water(bed), heard.vent().at("00:00") + chrono::Duration::days(1));
        let until = water.steps().first().and_then(|step| step.until);
        assert!(water.steps().iter().all(|step| step.from > tomorrow), "{heard:#?}");
        assert!(until.is_some_and(|until| until <= tomorrow + chrono::Duration::hours(12)), "{heard:#?}");
    }
    scene.clone().look("13:20", "clear", "light", "dry", Some(225.0)).play(&program, 40).no_water();
    // Lettuce sleeps in soil of 27 °C.
    heard.must_say("vent", &["the soil is 27 °c: sow lettuce this evening, in shade, or wait for a cooler spell"]);
    heard.must_not_say(1, &["further", "sow now", "more open", "sow at noon"]);
}

#[test]
fn scenario_14_muggy_july_night_stays_open_and_leaves_are_looked_at_tomorrow() {
    let Some(program) = program() else { return };
    let damp_in = [
        ("00:00", 16.5, 96.0),
        ("08:00", 17.0, 96.0),
        ("13:00", 18.6, 93.0),
        ("20:00", 17.5, 94.0),
        ("23:50", 16.5, 96.0),
    ];
    let damp_out = [
        ("00:00", 16.0, 97.0),
        ("08:00", 16.4, 97.0),
        ("13:00", 18.0, 95.0),
        ("20:00", 16.7, 95.0),
        ("23:50", 16.0, 97.0),
    ];
    let heard = Scene::at("2026-07-10 21:00")
        .crops("tender")
        .bed("tomatoes", "tomato", 20.0)
        .days_before(5, &damp_in, &damp_out)
        .today(
            &[
                ("00:00", 16.5, 96.0),
                ("08:00", 17.0, 96.0),
                ("13:00", 18.6, 93.0),
                ("20:00", 17.2, 94.0),
                ("21:00", 17.0, 94.0),
            ],
            &[
                ("00:00", 16.0, 97.0),
                ("08:00", 16.4, 97.0),
                ("13:00", 18.0, 95.0),
                ("20:00", 16.2, 96.0),
                ("21:00", 16.0, 96.0),
            ],
        )
        .look("17:30", "overcast", "light", "rain", Some(180.0))
        .look("20:00", "overcast", "light", "rain", Some(180.0))
        .look("20:45", "overcast", "light", "rain", Some(180.0))
        .play(&program, 0);
    assert_eq!(heard.vent().verdict().0, "move_air", "{heard:#?}");
    heard.vent().sets(&BOTH_FULL);
    heard.vent().stays();
    heard.no_water();
    heard.must_say(
        "vent",
        &["towards the wind if rain blows in", "brown blotches tomorrow", "in a bag", "will not dry"],
    );
    heard.must_not_say(2, &["to dry", "vent ", "blight", "infect", "spray"]);
}
