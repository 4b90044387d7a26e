//! A frost answer as it is kept.

use propstick_garden::advice::frost::{FrostAnswer, FrostBy, Speak};
use propstick_garden::wording::{FrostHere, frost_words};
use propstick_wire::Millis;

use super::{Body, Expect, range, reading, written};

/// What it says in short: another night, another word or another range is news; a minute more or less is none.
pub(crate) fn frost_gist(answer: &FrostAnswer) -> String {
    let of = |o: &propstick_garden::advice::frost::FrostOutlook| {
        let names: Vec<&str> = o.danger.iter().map(|crop| crop.name.as_str()).collect();
        format!("{} {:?} {:?} {}", o.night.sunset.0, o.low_c, o.speak, names.join(","))
    };
    format!("{} {}", answer.word(), answer.outlook().map(of).unwrap_or_default())
}

/// Until when it holds: the night's end.
pub(crate) fn frost_until(answer: &FrostAnswer) -> Option<Millis> {
    answer.outlook().map(|o| o.night.sunrise)
}

/// The body of a frost answer at a spot.
pub(crate) fn frost_body(answer: &FrostAnswer, here: FrostHere<'_>, spot: &str) -> String {
    let said = frost_words(answer, here);
    let outlook = answer.outlook();
    let mut rests_on = Vec::new();
    if let Some((figures, at)) = outlook.and_then(|o| Some((o.figures, o.figures.at?))) {
        let parts = [(figures.t_c, "air-temperature"), (figures.dew_c, "dew-point")];
        rests_on.extend(parts.iter().filter_map(|(value, name)| Some(reading(spot, (name, "°C"), at, (*value)?))));
    }
    let rule = outlook.map_or("none", |o| match o.by {
        FrostBy::Rule => "rule",
        FrostBy::Learned { .. } => "learned",
        FrostBy::Heard => "heard",
    });
    let low_c = outlook.map(|o| range(Some((f64::from(o.low_c.0), f64::from(o.low_c.1)))));
    written(&Body {
        say: said.say,
        because: said.because,
        verdict: answer.word().to_owned(),
        aim: outlook.filter(|o| o.speak != Speak::Nothing).map(|_| "keep_warmth".to_owned()),
        rule: rule.to_owned(),
        by_rule: outlook.is_some_and(|o| o.by == FrostBy::Heard),
        expect: Expect { low_c, ..Expect::default() },
        rests_on,
        doubt: said.doubt,
        cautions: said.cautions,
        ..Body::default()
    })
}
