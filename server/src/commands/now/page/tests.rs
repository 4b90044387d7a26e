use super::*;
use serde_json::json;

fn reading(quantity: &str, value: f64, age_s: i64, state: &str) -> Value {
    json!({"quantity": quantity, "value": value, "age_s": age_s, "state": state, "marks": []})
}

fn now(t_c: f64, rh_pct: f64) -> Value {
    json!({"at": "2026-01-14T09:30:00Z", "zone": "Europe/Dublin", "outside_spot": "yard",
        "spots": [{"spot": "bed", "readings": [reading("air-temperature", t_c, 200, "fresh"), reading("air-humidity", rh_pct, 200, "fresh")]}],
        "derived": {"dew_point_c": {"value": t_c - 0.5}}, "today": {"min_c": {"value": t_c - 2.0}, "max_c": {"value": t_c + 0.4}}})
}

fn item(kind: &str, verdict: &str, say: &str, moves: &[&str]) -> Value {
    json!({"kind": kind, "verdict": verdict, "rule": "x", "say": say, "moves": moves, "because": "It was so.", "doubt": null,
        "cautions": ["Mind."], "also": [], "further": null})
}

fn told(name: &str, now: Value, advice: &[Value]) -> Told {
    Told { name: name.to_owned(), now, advice: json!({"advice": advice}) }
}

/// A garden of four on a damp January morning, in the words of the program.
fn garden_of_four() -> Vec<Told> {
    let damp = |short: &str| json!({"leaves": "Leaves are likely wet now.", "risks": [{"level": "high", "says": "High risk: grey mould on lettuce."}], "doubt": null, "short": short, "hours": "wet 12 to 15 h of 24"});
    let mut tunnel = now(6.0, 97.0);
    tunnel["damp_says"] = damp("High risk: downy mildew on lettuce and spinach.");
    let crack = "Open both doors a crack from about 10:30, to keep the air moving. It will not dry anything.";
    let mut outside = now(6.5, 98.0);
    outside["spots"][0]["spot"] = json!("yard");
    vec![
        told("Outdoors", outside, &[]),
        told(
            "Tunnel",
            tunnel,
            &[
                item("vent", "move_air", crack, &["a"]),
                item("water", "wait", "Bed 2 can wait another six to twelve days.", &[]),
            ],
        ),
        told("Low tunnel", now(5.1, 99.0), &[item("vent", "shut", "Nothing to do here today: keep it shut.", &[])]),
        told("Frame", now(-0.4, 92.0), &[item("vent", "shut", "Nothing to do here today: keep it shut.", &[])]),
    ]
}

#[test]
fn a_garden_of_four_is_told_in_about_ten_lines_that_fit() {
    for width in [80, 100] {
        let lines = lines("The plot", &garden_of_four(), false, Some(width));
        assert!((8..=12).contains(&lines.len()), "{}", lines.join("\n"));
        assert!(lines.iter().all(|line| line.chars().count() <= width), "{}", lines.join("\n"));
        assert_eq!(lines[0], "The plot, Wednesday 14 January, 09:30 (Europe/Dublin)");
        assert!(lines[1].starts_with("Outdoors    6.5 °C, 98 %RH, dew point 6.0 °C; 3 min ago"), "{}", lines[1]);
    }
    let unbroken = lines("The plot", &garden_of_four(), false, None);
    assert_eq!(unbroken.len(), 9);
    assert!(unbroken[2].ends_with("; 3 min ago; wet 12 to 15 h of 24"), "{}", unbroken[2]);
    assert_eq!(unbroken[6], "Frame       \u{2212}0.4 °C, 92 %RH, dew point \u{2212}0.9 °C; 3 min ago");
    assert_eq!(unbroken[8], "High risk: downy mildew on lettuce and spinach (Tunnel).");
}

#[test]
fn a_frost_warning_goes_before_vents_covers_and_water_and_the_rest_is_counted() {
    let frost = item("frost", "frost", "Clear and still tonight.", &[]);
    let vent = item("vent", "shut", "Shut it.", &["a"]);
    let cover = item("cover", "frost", "Lay the fleece.", &["a"]);
    let water = item("water", "feel", "Push a finger in.", &["a"]);
    let said = |all: &[&Value]| {
        let all: Vec<Value> = all.iter().map(|one| (*one).clone()).collect();
        lines("The plot", &[told("Frame", now(3.0, 90.0), &all)], false, None)[2..].join(" ").trim_start().to_owned()
    };
    assert_eq!(said(&[&water, &cover, &vent, &frost]), "Clear and still tonight. More to mind: Frame 3; see --full.");
    assert_eq!(said(&[&water, &cover, &vent]), "Shut it. More to mind: Frame 2; see --full.");
    assert_eq!(said(&[&water, &cover]), "Lay the fleece. More to mind: Frame 1; see --full.");
    // What asks for nothing gives way to what does, and counts for nothing.
    let nothing = item("vent", "shut", "Nothing to do here today: keep it shut.", &[]);
    let no_frost = item("frost", "none", "No frost expected tonight.", &[]);
    assert_eq!(said(&[&no_frost, &nothing, &water]), "Push a finger in.");
    assert_eq!(said(&[&no_frost, &nothing]), "Nothing to do here today: keep it shut.");
    // In a gale nothing is moved, and that is what matters.
    let mut gale = item("vent", "shut", "Nothing to do here till it has blown through: stay in.", &[]);
    gale["rule"] = json!("gale");
    assert!(said(&[&water, &gale]).starts_with("Nothing to do here till it has blown through: stay in."));
    assert!(said(&[&frost, &gale]).starts_with("Nothing to do here till"), "the order of safety: gale before frost");
    // A gale of the coming night is met by daylight, whatever rule decides until then.
    let mut tonight = item("vent", "shut", "Gale tonight. Keep it shut.", &[]);
    tonight["fasten_by"] = json!("2026-01-14T14:30:00Z");
    assert!(said(&[&frost, &water, &tonight]).starts_with("Gale tonight."));
    // A frost that is only heard of asks, too.
    let mut heard = item("frost", "early", "A low of -4 is heard for tonight.", &[]);
    assert_eq!(said(&[&heard, &nothing]), "Nothing to do here today: keep it shut.");
    heard["aim"] = json!("keep_warmth");
    assert!(said(&[&heard, &nothing]).starts_with("A low of -4"));
    // What held until an hour ago gives way to what holds.
    let mut over = item("vent", "dry", "Open both doors until 08:30.", &["a"]);
    over["until"] = json!("2026-01-14T08:30:00Z");
    assert!(said(&[&over, &water]).starts_with("Push a finger in."), "{}", said(&[&over, &water]));
}

#[test]
fn what_was_said_a_while_ago_says_when_and_what_is_over_says_until_when() {
    let said = |made: &str, until: Value| {
        let mut one = item("cover", "leave", "Leave the covers as they lie.", &[]);
        (one["made_at"], one["until"]) = (json!(made), until);
        said_then(&one, &now(3.0, 90.0))
    };
    let plain = "Leave the covers as they lie.";
    assert_eq!(said("2026-01-14T08:40:00Z", Value::Null), plain);
    assert_eq!(said("2026-01-14T06:50:00Z", Value::Null), format!("{plain} (said 06:50)"));
    assert_eq!(
        said("2026-01-04T15:35:00Z", json!("2026-01-04T18:37:00Z")),
        format!("{plain} (said Sun 4 January, 15:35, held until Sun 4 January, 18:37)")
    );
    assert_eq!(
        said("2026-01-14T09:20:00Z", json!("2026-01-14T09:25:00Z")),
        format!("{plain} (said 09:20, held until 09:25)")
    );
}

#[test]
fn the_same_damp_news_of_several_structures_is_said_once() {
    let damp = |name: &str, short: &str| told(name, json!({"damp_says": {"short": short, "hours": null}}), &[]);
    let all = [damp("A", "High risk: rust on beans."), damp("B", "Some risk."), damp("C", "High risk: rust on beans.")];
    assert_eq!(damp_news(&all), ["High risk: rust on beans (A, C).", "Some risk (B)."]);
}

#[test]
fn in_full_every_kind_has_its_reasons_and_cautions() {
    let text = lines("The plot", &garden_of_four(), true, None).join("\n");
    for part in [
        "It will not dry anything.",
        "Bed 2 can wait",
        "                It was so.",
        "                Mind.",
        "Leaves are likely wet now.",
        "High risk: grey mould",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
}

#[test]
fn what_is_not_known_or_not_there_is_said_and_nothing_breaks() {
    let empty = told("Frame", json!({}), &[]);
    assert_eq!(
        lines("The plot", &[empty], false, None),
        ["The plot, at a time that is not known", "Frame  No reading yet.", "       No advice yet."]
    );
    let mut silent = now(3.0, 90.0);
    silent["spots"][0]["readings"][0] = reading("air-temperature", 3.0, 3 * 3_600, "silent");
    silent["derived"]["dew_point_c"] = json!({"value": null, "unknown": "stale"});
    assert!(air(&silent, false).starts_with("3.0 °C, 90 %RH; NOT HEARD for 3 hours"), "{}", air(&silent, false));
    let mut stuck = now(3.0, 100.0);
    stuck["spots"][0]["readings"][1]["marks"] = json!(["stuck", "over"]);
    assert!(air(&stuck, false).contains("100 %RH (doubtful: stuck), dew point"), "{}", air(&stuck, false));
    let mut half = now(3.0, 90.0);
    half["spots"][0]["readings"][1] = reading("air-humidity", 90.0, 50 * 60, "stale");
    assert!(air(&half, true).contains("; 3 min ago; humidity: NOT HEARD for 50 min;"), "{}", air(&half, true));
}
