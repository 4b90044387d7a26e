//! A frost answer as it is kept.

use propstick_garden::advice::frost::{FrostAnswer, FrostBy, Speak};
use propstick_garden::wording::{FrostHere, frost_words};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::{Body, Expect, range, reading, written};

/// What it says in short: its word, the night, the range of the low, how it speaks, and whether anybody may still be sent out. Read again by
/// [`is_frost_news`].
pub(crate) fn frost_gist(answer: &FrostAnswer, (dark, gale): (bool, bool)) -> String {
    let (sunset, low, speak) =
        answer.outlook().map_or((0, (0, 0), Speak::Nothing), |o| (o.night.sunset.0, o.low_c, o.speak));
    let out = if dark { "In" } else { "Out" };
    let wind = if gale { "Gale" } else { "Calm" };
    format!("{} {sunset} {} {} {speak:?} {out}{wind}", answer.word(), low.0, low.1)
}

/// Whether `new` says what `standing`, given so long ago, does not: another night or word, or of a warning another way of speaking; a lower end that
/// falls by a degree, or rises by two. What is colder may follow after half an hour, what is milder after two hours; where nothing is warned of the
/// range is said anew only when its lower end falls by two, or after an hour its upper one. A warning comes at once, and goes only after an hour and with a lower end a degree higher; once people
/// were told to lay covers it stands till morning, since the covers do.
pub(crate) fn is_frost_news(standing: &str, new: &str, since_ms: i64) -> bool {
    let Some((a, b)) = parts(standing).zip(parts(new)) else { return standing != new };
    let held = |ms: i64| (0..ms).contains(&since_ms);
    let fallen = a.low_c - b.low_c;
    if a.night != b.night {
        return true;
    }
    if is_warning(a.word) && b.word == "none" {
        return a.speak == "May" && fallen <= -1 && !held(HOUR);
    }
    if a.word != b.word || (is_warning(a.word) && (a.speak != b.speak || a.out != b.out)) {
        return true;
    }
    let warns = is_warning(a.word);
    if a.high_c - b.high_c >= 2 && !held(HOUR) {
        // It has become colder already than the likeliest low was said to be.
        return true;
    }
    (fallen >= if warns { 1 } else { 2 } && !held(HOUR / 2)) || (warns && fallen <= -2 && !held(2 * HOUR))
}

fn is_warning(word: &str) -> bool {
    matches!(word, "frost" | "chill")
}

struct Parts<'a> {
    word: &'a str,
    night: &'a str,
    low_c: i32,
    high_c: i32,
    speak: &'a str,
    out: &'a str,
}

fn parts(gist: &str) -> Option<Parts<'_>> {
    let mut words = gist.split(' ');
    let (word, night) = (words.next()?, words.next()?);
    let low_c = words.next()?.parse().ok()?;
    let high_c = words.next()?.parse().ok()?;
    Some(Parts { word, night, low_c, high_c, speak: words.next()?, out: words.next().unwrap_or_default() })
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_night_or_word_is_news_at_once_and_figures_alone_wait() {
        let minutes = |m: i64| m * 60_000;
        let news = |a, b, m| is_frost_news(a, b, minutes(m));
        assert!(news("none 1 3 6 Nothing", "none 2 3 6 Nothing", 0));
        assert!(news("none 1 3 6 Nothing", "frost 1 -1 6 May", 0));
        assert!(news("frost 1 -1 3 May", "frost 1 -1 3 LayNow", 0));
        assert!(!news("frost 1 -1 3 May", "frost 1 -2 3 May", 29) && news("frost 1 -1 3 May", "frost 1 -2 3 May", 30));
        // Noise of the gauge about the limit puts a warning neither off nor on; what is clearly milder for an hour does before the covers are laid.
        assert!(
            !news("frost 1 -2 3 May", "none 1 -2 3 Nothing", 600)
                && !news("frost 1 -2 3 May", "none 1 -1 4 Nothing", 59)
        );
        assert!(news("frost 1 -2 3 May", "none 1 -1 4 Nothing", 60));
        assert!(!news("frost 1 -2 3 LayNow", "none 1 4 9 Nothing", 600), "the covers lie");
        assert!(news("frost 1 -2 3 LayNow", "none 2 4 9 Nothing", 0), "another night");
        // At dusk, and when a gale is heard, the same warning asks for other things.
        assert!(news("frost 1 -2 3 LayNow OutCalm", "frost 1 -2 3 LayNow InCalm", 0));
        assert!(news("frost 1 -2 3 LayNow OutCalm", "frost 1 -2 3 LayNow OutGale", 0));
        assert!(!news("none 1 2 7 Nothing OutCalm", "none 1 2 6 Nothing InCalm", 600), "no frost, no matter");
        assert!(news("none 1 2 7 Nothing OutCalm", "none 1 2 5 Nothing InCalm", 60), "the likeliest low is passed");
        assert!(
            !news("frost 1 -3 0 May", "frost 1 -2 1 May", 600) && news("frost 1 -3 0 May", "frost 1 -1 1 May", 120)
        );
        assert!(
            !news("none 1 5 9 Nothing", "none 1 4 8 Nothing", 600)
                && news("none 1 5 9 Nothing", "none 1 3 8 Nothing", 31)
        );
    }
}
