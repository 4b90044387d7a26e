//! Things told and their events: what is taken, and what is refused with which words.

use propstick_wire::millis::HOUR;

use super::*;
use crate::instant::from_rfc3339;
use crate::model::parse_garden;

/// A tunnel with one door, a bed and a fleece over it.
pub fn garden() -> Garden {
    parse_garden(
        r#"
        garden = { name = "G", lat = 52, lon = -8, zone = "Europe/Dublin", can_l = 9 }
        structure = [{ slug = "tunnel", kind = "tunnel", name = "Tunnel",
            vent = [{ slug = "south-door", name = "south door", kind = "door", positions = { closed = "shut", crack = "a hand's width", full = "hooked back" } }],
            night_cover = [{ slug = "fleece", name = "west fleece", bed = "west", kind = "fleece-17" }] }]
        bed = [{ slug = "west", name = "West bed", structure = "tunnel" }]
        spot = [{ slug = "tunnel-air", structure = "tunnel", role = "air" }]"#,
    )
    .unwrap()
}

fn now() -> Millis {
    from_rfc3339("2026-03-01T12:00:00Z").unwrap()
}

fn did(kind: &str, target: &str, what: &str) -> Did {
    let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    Did { kind: kind.into(), target: some(target), what: some(what), ..Did::default() }
}

fn read(did: &Did) -> Result<Event, Untold> {
    did.event(&garden(), now(), &|id| (id == 7).then(|| "tunnel".to_owned()))
}

#[test]
fn things_of_every_kind_are_taken_and_come_back_from_their_own_words() {
    let litres = Did { amount: Some(18.0), unit: Some("L".into()), ..did("water", "west", "") };
    let early = Did { t: Some("2026-03-01T09:40:00+01:00".into()), ..did("vent", "south-door", "crack") };
    for told in [
        early.clone(),
        litres.clone(),
        did("water", "tunnel", "overhead"),
        did("fleece", "fleece", "folded"),
        did("found", "west", "grey-mould"),
        did("found", "west", "stem-rot"),
        did("found", "tunnel", "nothing"),
        did("done", "", "7"),
        did("not_done", "tunnel", "7"),
    ] {
        let event = read(&told).unwrap();
        assert_eq!(event.structure(&garden()), Some("tunnel"), "{event:?}");
        assert_eq!(read(&Did::of(&event)).unwrap(), event);
    }
    assert_eq!(read(&early).unwrap().t, from_rfc3339("2026-03-01T08:40:00Z").unwrap());
    let event = read(&litres).unwrap();
    assert_eq!((event.t, event.what.as_deref(), event.is_overhead()), (now(), Some("root"), false));
    assert!(read(&did("water", "tunnel", "overhead")).unwrap().is_overhead());
}

#[test]
fn what_cannot_be_meant_is_refused_with_key_value_and_what_is_allowed() {
    let amount = |told: Did, v: f64, unit: &str| Did { amount: Some(v), unit: Some(unit.into()), ..told };
    let at = |t: &str| Did { t: Some(t.into()), ..did("vent", "south-door", "crack") };
    for (told, key, value, allowed) in [
        (did("open", "south-door", "crack"), "kind", "open", "vent, water, fleece, found, done, not_done"),
        (did("vent", "north-door", "crack"), "target", "north-door", "south-door"),
        (did("vent", "west", "crack"), "target", "west", "south-door"),
        (did("vent", "", "crack"), "target", "", "the short name"),
        (did("vent", "south-door", "half"), "what", "half", "closed, crack, full"),
        (did("vent", "south-door", ""), "what", "", "a word"),
        (did("water", "south-door", ""), "target", "south-door", "west, tunnel"),
        (did("water", "west", "hose"), "what", "hose", "root, overhead"),
        (amount(did("water", "west", ""), 2.0, "bucket"), "unit", "bucket", "L, can, min, mm"),
        (amount(did("water", "west", ""), 0.0, "L"), "amount", "0", "0.1 to 20000 L"),
        (amount(did("water", "west", ""), f64::NAN, "mm"), "amount", "NaN", "0.1 to 150 mm"),
        (amount(did("vent", "south-door", "crack"), 1.0, "L"), "amount", "1", "no amount"),
        (Did { amount: Some(2.0), ..did("water", "west", "") }, "unit", "", "a unit of 2"),
        (Did { unit: Some("L".into()), ..did("water", "west", "") }, "amount", "", "how many L"),
        (did("fleece", "south-door", "on"), "target", "south-door", "fleece"),
        (did("fleece", "fleece", "half"), "what", "half", "on, folded, off"),
        (did("found", "west", "blight"), "what", "blight", "late-blight"),
        (did("done", "", "8"), "what", "8", "the number of an advice"),
        (did("done", "", "seven"), "what", "seven", "the number of an advice"),
        (did("done", "frame", "7"), "target", "frame", "tunnel"),
        (at("1999-12-31T23:59:59Z"), "t", "1999-12-31T23:59:59Z", "from 2000 on"),
        (at("2026-03-01T12:00:01Z"), "t", "2026-03-01T12:00:01Z", "not after 2026-03-01T12:00:00Z"),
        (at("ten o'clock"), "t", "ten o'clock", "an instant like"),
    ] {
        let e = read(&told).unwrap_err();
        assert_eq!((e.at.as_str(), e.value.as_str()), (key, value), "{e}");
        assert!(e.allowed.contains(allowed), "{e}");
    }
    assert_eq!(read(&at("2026-03-01T12:00:00Z")).unwrap().t, now(), "now itself is not the future");
    assert_eq!(now().plus(-HOUR), from_rfc3339("2026-03-01T11:00:00Z").unwrap());
}
