//! Importing the same months again, taking back, half days, gaps and the night of a clock change.

use propstick_tests::program::told;
use propstick_tests::stores;

use super::Place;

/// A reading every half hour of these days of January 2026, by UTC, with `warmer` added.
fn january(days: std::ops::RangeInclusive<u32>, warmer: f64, header: &str) -> String {
    let mut text = format!("{header},T (°C)\n");
    for day in days {
        for half in 0..48 {
            let t = 5.0 + f64::from(half) / 8.0 + warmer;
            text += &format!("2026-01-{day:02} {:02}:{}0:00,{t}\n", half / 2, half % 2 * 3);
        }
    }
    text
}

fn winners(place: &Place) -> (Vec<String>, Vec<String>) {
    let data = place.data();
    let file = data.join("readings.db");
    let n = stores::count(&file, "SELECT count(*) FROM (SELECT DISTINCT series, t FROM reading)").unwrap();
    (vec![n.to_string()], stores::hours(&data).unwrap())
}

#[test]
fn trouble_17_same_months_again_add_nothing_and_another_zone_needs_a_take_back() {
    let Some(place) = Place::new() else { return };
    let first = place.write("first.csv", january(1..=20, 0.0, "time_utc").as_bytes());
    let second = place.write("second.csv", january(15..=28, 0.0, "time_utc").as_bytes());
    let other = place.write("other.csv", january(19..=20, 0.5, "time_utc").as_bytes());
    assert_eq!(place.take_in(&first, &[]).unwrap()["stored"]["readings"], 20 * 48);
    let with_one = winners(&place);
    let stored = place.take_in(&second, &[]).unwrap()["stored"].clone();
    assert_eq!((&stored["known_same"], &stored["known_other"]), (&(6 * 48).into(), &0.into()), "{stored}");
    assert_eq!(winners(&place).0, [(28 * 48).to_string()], "overlap adds nothing");
    let stored = place.take_in(&other, &[]).unwrap()["stored"].clone();
    assert_eq!(stored["known_other"], 2 * 48, "{stored}");

    // The very same file, to be read by another clock: the first reading of it has to go.
    let local = place.write("local.csv", january(1..=20, 0.0, "time").as_bytes());
    place.take_in(&local, &["--zone", "UTC", "--again"]).unwrap();
    let (code, says) = place.take_in(&local, &["--zone", "Europe/Rome"]).unwrap_err();
    assert!(code == Some(2) && says.contains("propstick import --take-back 4"), "{says}");
    for number in ["4", "3", "2"] {
        let done = place.run(&["import", "--take-back", number]);
        assert!(done.status.success(), "{}", told(&done));
    }
    assert_eq!(winners(&place), with_one, "as if they had never been");
    let listed = place.run(&["import", "--list"]);
    assert!(String::from_utf8_lossy(&listed.stdout).contains("first.csv: 960 readings"), "{listed:?}");
    let unknown = place.run(&["import", "--take-back", "2"]);
    assert_eq!(unknown.status.code(), Some(2), "{}", told(&unknown));
}

#[test]
fn trouble_18_and_19_half_a_day_is_not_enough_and_a_gap_stays_empty() {
    let Some(place) = Place::new() else { return };
    // Readings from midnight to nine only, 2 to 6 degrees; the next day is whole.
    let mut text = "time_utc,T (°C)\n".to_owned();
    for (day, hours) in [(10, 0..9), (11, 0..24)] {
        for hour in hours {
            for minute in [0, 20, 40] {
                text += &format!("2026-02-{day} {hour:02}:{minute:02}:00,{}\n", 2 + hour % 5);
            }
        }
    }
    let file = place.write("half.csv", text.as_bytes());
    place.take_in(&file, &[]).unwrap();
    let days = place.run(&["export", "days", "--base", "5"]);
    let days = String::from_utf8(days.stdout).unwrap();
    let header: Vec<&str> = days.lines().next().unwrap().split(',').collect();
    let day: Vec<&str> = days.lines().find(|l| l.starts_with("2026-02-10")).unwrap().split(',').collect();
    let cell = |head: &str| day[header.iter().position(|h| h.starts_with(head)).unwrap()];
    let share: f64 = cell("measured").parse().unwrap();
    assert!((0.37..0.39).contains(&share), "{share}");
    assert_eq!((cell("min"), cell("max"), cell("degree-days average-1")), ("", "", ""), "never 0, and never silently");
    let house = place.serve();
    house.until_worked_out();
    let answer = house.ask("structures/tunnel/days?from=2026-02-10&to=2026-02-10");
    assert_eq!(answer["days"][0]["min_c"]["unknown"], "not-enough", "{answer:#}");
    let asked = "structures/tunnel/readings?quantity=air-temperature&from=2026-02-10T00:00:00Z&to=2026-02-12T00:00:00Z";
    let steps = house.ask(asked);
    assert_eq!(
        steps["gaps"][0],
        serde_json::json!(["2026-02-10T08:40:00Z", "2026-02-11T00:00:00Z"]),
        "{}",
        steps["gaps"]
    );
    house.stop();
}

#[test]
fn trouble_20_night_of_the_change_has_its_twenty_five_hours() {
    let Some(place) = Place::new() else { return };
    // By the clock on the wall in Dublin: 26 October 2025 has the hour from one to two twice.
    let mut text = "time,T (°C)\n".to_owned();
    let wall = (0..26).chain([25]).chain(26..48);
    for (k, hour) in wall.enumerate() {
        text += &format!("2025-10-{} {:02}:00:00,{}\n", 25 + hour / 24, hour % 24, k);
    }
    let file = place.write("wall.csv", text.as_bytes());
    let taken = place.take_in(&file, &["--zone", "Europe/Dublin"]).unwrap();
    assert_eq!(taken["stored"]["readings"], 49, "{taken:#}");
    assert_eq!((&taken["first"], &taken["last"]), (&"2025-10-24T23:00:00Z".into(), &"2025-10-26T23:00:00Z".into()));
    let house = place.serve();
    house.until_worked_out();
    let day = &house.ask("structures/tunnel/days?from=2025-10-26&to=2025-10-26")["days"][0];
    assert_eq!((&day["hours"], &day["measured"]), (&25.into(), &1.0.into()), "{day:#}");
    assert_eq!((&day["min_c"]["value"], &day["max_c"]["value"]), (&24.0.into(), &48.0.into()), "{day:#}");
    house.stop();
}

#[test]
fn rain_of_an_hour_stamped_at_its_end_fell_in_the_hour_before() {
    let Some(place) = Place::new() else { return };
    let file = place.write(
        "rain.csv",
        b"time_utc,rain (mm)\n2026-02-01T10:00:00Z,0.4\n2026-02-01T11:00:00Z,0\n2026-02-01T12:00:00Z,1.2\n",
    );
    place.take_in(&file, &["--stamp", "end"]).unwrap();
    let house = place.serve();
    house.until_worked_out();
    let asked = "structures/tunnel/readings?quantity=rain&from=2026-02-01T08:00:00Z&to=2026-02-01T12:00:00Z&points=4";
    let answer = house.ask(asked);
    assert_eq!(answer["series"][0]["sum"], serde_json::json!([null, 0.4, 0.0, 1.2]), "{answer:#}");
    house.stop();
}

#[test]
fn stuck_humidity_and_frost_keep_their_values() {
    let Some(place) = Place::new() else { return };
    let mut text = "time_utc,T (°C),RH (%)\n".to_owned();
    for k in 0..12 {
        text +=
            &format!("2026-02-01T{:02}:00:00Z,{},{}\n", k, 3.0 - f64::from(k) / 2.0, if k > 5 { 1.0 } else { 96.0 });
    }
    let file = place.write("frost.csv", text.as_bytes());
    let taken = place.take_in(&file, &[]).unwrap();
    let series = &taken["report"]["series"];
    assert_eq!(
        (&series[0]["min"], &series[1]["min"], &taken["report"]["aside"]),
        (&(-2.5).into(), &1.0.into(), &serde_json::json!([]))
    );
}
