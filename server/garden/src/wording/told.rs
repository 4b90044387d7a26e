//! What was told, said back.

use propstick_agronomy::disease::rows::Disease;
use propstick_wire::Millis;

use super::figures::{degrees, time, wind as metres_a_second};
use super::openings::{capitalised, is_measure, position_words};
use crate::advice::LocalClock;
use crate::fold::local;
use crate::model::{CoverState, Garden, Notch, Vent, VentKind};
use crate::record::{
    Event, EventKind, Feel, Forecast, ForecastFor, NOTHING, OVERHEAD, Observation, SOMETHING, Seen, Sky, UNSCORED, Wet,
    Wind, WindowLook,
};

/// "South door open a hand's width at 10:40": a thing done, without a full stop. The time is the garden's, with the date where `now` is another day.
pub fn did_words(event: &Event, garden: &Garden, now: Millis) -> String {
    let name = name_of(garden, &event.target);
    let what = event.what.as_deref().unwrap_or_default();
    let said = match event.kind {
        EventKind::Vent => opened(garden.vent(&event.target).map(|(_, vent)| vent), &name, what),
        EventKind::Water => watered(event, &name, garden.can_l),
        EventKind::Fleece => covered(garden, event, &name),
        EventKind::Found => found(event, &name),
        EventKind::Done => format!("advice {what} for {name} followed"),
        EventKind::NotDone => format!("advice {what} for {name} left"),
    };
    format!("{} {}", capitalised(&said), when(garden, event.t, now))
}

/// "Sky clear, wind calm, dry at 10:40": a thing seen or heard, without a full stop.
pub fn saw_words(observation: &Observation, garden: &Garden, now: Millis) -> String {
    let said = match &observation.seen {
        Seen::Look(look) => looked(look),
        Seen::Heard(forecast) => heard(forecast),
        Seen::Finger { bed, feel } => {
            let feel = match feel {
                Feel::Dry => "dry",
                Feel::Moist => "moist",
                Feel::Wet => "wet",
            };
            format!("{} {feel} at a finger's depth", name_of(garden, bed))
        }
        Seen::Leaves { structure, wet } => {
            format!("leaves {} in {}", if *wet { "wet" } else { "dry" }, name_of(garden, structure))
        }
    };
    let by = if observation.teller.is_empty() { String::new() } else { format!(", told by {}", observation.teller) };
    format!("{} {}{by}", capitalised(&said), when(garden, observation.t, now))
}

fn opened(vent: Option<&Vent>, name: &str, word: &str) -> String {
    let notch = Notch::ALL.into_iter().find(|notch| notch.word() == word).unwrap_or(Notch::Closed);
    if notch == Notch::Closed {
        return format!("{name} shut");
    }
    let words = position_words(vent, notch);
    let swings = vent.is_none_or(|vent| matches!(vent.kind, VentKind::Door | VentKind::Roof));
    let open = if swings && is_measure(&words) { "open " } else { "" };
    // "a hand's width, on the hook" must not run into what follows.
    let end = if words.contains(',') { "," } else { "" };
    format!("{name} {open}{words}{end}")
}

fn watered(event: &Event, name: &str, can_l: Option<f64>) -> String {
    let overhead = event.what.as_deref() == Some(OVERHEAD);
    let how = if overhead { "from above" } else { "at the roots" };
    let much = event.amount.zip(event.unit.as_deref()).map(|(amount, unit)| match unit {
        "can" if amount == 1.0 => format!("1 can{}", litres(amount, can_l)),
        "can" => format!("{amount} cans{}", litres(amount, can_l)),
        "min" => format!("{amount} minutes"),
        other => format!("{amount} {other}"),
    });
    much.map_or_else(|| format!("{name} watered {how}"), |much| format!("{name} watered {how}, {much},"))
}

fn litres(cans: f64, can_l: Option<f64>) -> String {
    can_l.map_or_else(String::new, |l| format!(" ({} L)", cans * l))
}

fn covered(garden: &Garden, event: &Event, name: &str) -> String {
    let state = event.what.as_deref().and_then(CoverState::from_word).unwrap_or(CoverState::Off);
    let own = garden.cover(&event.target).and_then(|(_, cover)| cover.words(state)).filter(|w| !w.trim().is_empty());
    let words = own.unwrap_or(match state {
        CoverState::On => "laid",
        CoverState::Folded => "folded back",
        CoverState::Off => "taken off",
    });
    format!("{name} {words}")
}

fn found(event: &Event, name: &str) -> String {
    let count = event.amount.map_or_else(String::new, |n| format!(" ({n} plants)"));
    let what = event.what.as_deref().unwrap_or(SOMETHING);
    if what == NOTHING {
        return format!("nothing found in {name}");
    }
    let scored = Disease::ALL.into_iter().map(|disease| (disease.row().id, disease.row().disease));
    match scored.chain(UNSCORED).find(|(id, _)| *id == what) {
        Some((_, words)) => format!("what looks like {words} found in {name}{count}"),
        None => format!("something found in {name}{count}"),
    }
}

fn looked(look: &WindowLook) -> String {
    let from = look.wind_from_deg.map_or_else(String::new, |deg| format!(" from {}", compass(deg)));
    format!("{}, {}{from}, {}", sky(look.sky), wind(look.wind), wet(look.wet))
}

fn heard(forecast: &Forecast) -> String {
    let of = match forecast.of {
        ForecastFor::Today => "today",
        ForecastFor::Tonight => "tonight",
        ForecastFor::Tomorrow => "tomorrow",
    };
    let parts = [
        forecast.low_c.map(|c| format!("low {}", degrees(c))),
        forecast.high_c.map(|c| format!("high {}", degrees(c))),
        forecast.sky.map(|s| sky(s).to_owned()),
        forecast.wind.map(|w| wind(w).to_owned()),
        forecast.gust_m_s.map(|g| format!("gusts of {}", metres_a_second(g))),
        forecast.wet.map(|w| wet(w).to_owned()),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    format!("heard for {of}: {};", parts.join(", "))
}

fn sky(sky: Sky) -> &'static str {
    match sky {
        Sky::Clear => "sky clear",
        Sky::Broken => "sun and cloud",
        Sky::Overcast => "sky overcast",
    }
}

fn wind(wind: Wind) -> &'static str {
    match wind {
        Wind::Calm => "wind calm",
        Wind::Light => "wind light",
        Wind::Fresh => "wind fresh",
        Wind::Gale => "gale",
    }
}

fn wet(wet: Wet) -> &'static str {
    match wet {
        Wet::Dry => "dry",
        Wet::Rain => "rain",
        Wet::Fog => "fog",
    }
}

/// The nearest of eight compass points.
fn compass(deg: f64) -> &'static str {
    const POINTS: [&str; 8] = [
        "the north",
        "the north-east",
        "the east",
        "the south-east",
        "the south",
        "the south-west",
        "the west",
        "the north-west",
    ];
    POINTS.get(((deg / 45.0).round() as usize) % 8).copied().unwrap_or("the north")
}

/// What the grower calls an opening, a cover, a bed or a structure; its slug where it is no longer there.
fn name_of(garden: &Garden, slug: &str) -> String {
    let vent = garden.vent(slug).map(|(_, vent)| vent.name.as_str());
    let cover = || garden.cover(slug).map(|(_, cover)| cover.name.as_str());
    let bed = || garden.bed(slug).map(|bed| bed.name.as_str());
    let structure = || garden.structure(slug).map(|structure| structure.name.as_str());
    vent.or_else(cover).or_else(bed).or_else(structure).unwrap_or(slug).to_owned()
}

fn when(garden: &Garden, at: Millis, now: Millis) -> String {
    let here = local(garden.zone, at);
    let clock = LocalClock::of(garden.zone, at);
    let today = local(garden.zone, now).date_naive() == here.date_naive();
    let date = if today { String::new() } else { here.format(" on %-d %B %Y").to_string() };
    format!("at {}{date}", time(clock, at))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instant::from_rfc3339;
    use crate::model::parse_garden;
    use crate::record::{Did, FingerSaid, HeardSaid, LookSaid, Saw};

    fn garden() -> Garden {
        parse_garden(
            r#"
            garden = { name = "G", lat = 52, lon = -8, zone = "Europe/Dublin", can_l = 9 }
            structure = [{ slug = "tunnel", kind = "tunnel", name = "Tunnel",
                vent = [{ slug = "south-door", name = "south door", kind = "door",
                    positions = { closed = "shut", crack = "a hand's width", half = "half, on the hook", full = "hooked back" } }],
                night_cover = [{ slug = "fleece", name = "west fleece", bed = "west", kind = "fleece-17", positions = { on = "pegged down" } }] }]
            bed = [{ slug = "west", name = "West bed", structure = "tunnel" }]"#,
        )
        .unwrap()
    }

    fn done(kind: &str, target: &str, what: &str, amount: Option<(f64, &str)>) -> String {
        let now = from_rfc3339("2026-06-01T09:40:00Z").unwrap();
        let did = Did {
            t: None,
            kind: kind.into(),
            target: Some(target.into()),
            what: Some(what.into()),
            amount: amount.map(|(v, _)| v),
            unit: amount.map(|(_, unit)| unit.into()),
        };
        did_words(&did.event(&garden(), now, &|_| Some("tunnel".into())).unwrap(), &garden(), now)
    }

    #[test]
    fn things_done_are_said_in_the_growers_words_and_on_the_gardens_clock() {
        assert_eq!(done("vent", "south-door", "crack", None), "South door open a hand's width at 10:40");
        assert_eq!(done("vent", "south-door", "half", None), "South door open half, on the hook, at 10:40");
        assert_eq!(done("vent", "south-door", "full", None), "South door hooked back at 10:40");
        assert_eq!(done("vent", "south-door", "closed", None), "South door shut at 10:40");
        assert_eq!(
            done("water", "west", "root", Some((2.0, "can"))),
            "West bed watered at the roots, 2 cans (18 L), at 10:40"
        );
        assert_eq!(done("water", "tunnel", "overhead", None), "Tunnel watered from above at 10:40");
        assert_eq!(
            done("water", "west", "root", Some((20.0, "min"))),
            "West bed watered at the roots, 20 minutes, at 10:40"
        );
        assert_eq!(done("fleece", "fleece", "on", None), "West fleece pegged down at 10:40");
        assert_eq!(done("fleece", "fleece", "off", None), "West fleece taken off at 10:40");
        assert_eq!(done("found", "west", "nothing", None), "Nothing found in West bed at 10:40");
        assert_eq!(
            done("found", "west", "something", Some((3.0, "count"))),
            "Something found in West bed (3 plants) at 10:40"
        );
        assert_eq!(done("done", "tunnel", "7", None), "Advice 7 for Tunnel followed at 10:40");
        let mould = done("found", "tunnel", "grey-mould", None);
        assert!(mould.starts_with("What looks like ") && mould.contains("mould"), "{mould}");
        assert_eq!(done("found", "west", "stem-rot", None), "What looks like stem rot found in West bed at 10:40");
    }

    #[test]
    fn things_seen_are_said_with_their_teller_and_another_day_with_its_date() {
        let (then, now) =
            (from_rfc3339("2026-06-01T09:40:00Z").unwrap(), from_rfc3339("2026-06-02T09:40:00Z").unwrap());
        let said = |saw: Saw, now| saw_words(&saw.observation(&garden(), then).unwrap(), &garden(), now);
        let look =
            LookSaid { sky: "clear".into(), wind: "fresh".into(), wet: "dry".into(), wind_from_deg: Some(230.0) };
        let look = Saw { look: Some(look), teller: "Ann".into(), ..Saw::default() };
        assert_eq!(said(look, then), "Sky clear, wind fresh from the south-west, dry at 10:40, told by Ann");
        let heard =
            HeardSaid { of: "tonight".into(), low_c: Some(-2.0), wind: Some("gale".into()), ..HeardSaid::default() };
        let heard = Saw { heard: Some(heard), ..Saw::default() };
        assert_eq!(said(heard, now), "Heard for tonight: low \u{2212}2.0 °C, gale; at 10:40 on 1 June 2026");
        let finger = Saw { finger: Some(FingerSaid { bed: "west".into(), feel: "dry".into() }), ..Saw::default() };
        assert_eq!(said(finger, then), "West bed dry at a finger's depth at 10:40");
    }
}
