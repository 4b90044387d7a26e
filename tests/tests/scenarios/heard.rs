//! What the program said in a scenario: the advice of all kinds that stands at its instant, and every sentence of its last hours.

use std::fmt::Debug;

use chrono::{Duration, NaiveDateTime};
use serde_json::Value;

use super::scene::local;

/// What was said.
pub struct Heard {
    made: Vec<Value>,
    instant: NaiveDateTime,
}

/// One piece of advice.
#[derive(Clone, Copy)]
pub struct Advice<'a> {
    heard: &'a Heard,
    body: &'a Value,
}

/// A move: what (slug of vent, cover or bed; "sheltered" for the sheltered end), how, from and until in local time.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Which.
    pub what: String,
    /// Notch or position.
    pub how: String,
    /// From.
    pub from: NaiveDateTime,
    /// Until.
    pub until: Option<NaiveDateTime>,
}

impl Heard {
    /// What was said until `instant` in the tunnel.
    pub fn new(made: Vec<Value>, instant: NaiveDateTime) -> Heard {
        let made = made.into_iter().filter(|one| one["structure"] == "tunnel").collect();
        Heard { made, instant }
    }

    /// The advice of a kind that stands, about a bed or about nothing in particular.
    #[track_caller]
    pub fn of(&self, kind: &str, about: Option<&str>) -> Advice<'_> {
        let about_it = |one: &&Value| one["about"].as_str().filter(|slug| !slug.is_empty()) == about;
        let mut of_kind = self.made.iter().filter(|one| one["kind"] == kind).filter(about_it);
        let body = of_kind.rfind(|one| one["superseded_by"].is_null());
        let body = body.unwrap_or_else(|| panic!("no advice of kind {kind:?} about {about:?}:\n{self:#?}"));
        Advice { heard: self, body }
    }

    /// The vent advice that stands.
    #[track_caller]
    pub fn vent(&self) -> Advice<'_> {
        self.of("vent", None)
    }

    /// The cover advice that stands.
    #[track_caller]
    pub fn cover(&self) -> Advice<'_> {
        self.of("cover", None)
    }

    /// The water advice that stands for a bed.
    #[track_caller]
    pub fn water(&self, bed: &str) -> Advice<'_> {
        self.of("water", Some(bed))
    }

    /// What was made from `hours` before the instant on, and what stood then.
    fn lately(&self, hours: i64) -> impl Iterator<Item = &Value> {
        let from = self.instant - Duration::hours(hours);
        let still = move |one: &&Value| match one["superseded_by"].as_i64() {
            None => true,
            Some(next) => {
                let next = self.made.iter().find(|other| other["id"].as_i64() == Some(next));
                next.is_some_and(|next| local(next["made_at"].as_str().expect("an instant")) > from)
            }
        };
        self.made.iter().filter(still)
    }

    /// Every sentence of any kind that was said in the last hours, in small letters.
    pub fn said(&self, hours: i64) -> String {
        self.lately(hours).map(sentences).collect::<Vec<_>>().join("\n").to_lowercase()
    }

    /// What a scenario asks for is in the words that stand.
    #[track_caller]
    pub fn must_say(&self, kind: &str, phrases: &[&str]) {
        let of_kind = self.made.iter().filter(|one| one["kind"] == kind && one["superseded_by"].is_null());
        let all = of_kind.map(sentences).collect::<Vec<_>>().join("\n").to_lowercase();
        for phrase in phrases {
            assert!(all.contains(phrase), "no {phrase:?} in the {kind} advice:\n{all}");
        }
    }

    /// Nothing of what was said in the last hours holds one of these phrases, a vent order that goes with a risk level, or a share of nothing.
    #[track_caller]
    pub fn must_not_say(&self, hours: i64, phrases: &[&str]) {
        let all = self.said(hours);
        for phrase in phrases {
            let line = all.lines().find(|line| line.contains(phrase));
            assert!(line.is_none(), "{phrase:?} in: {}\n{self:#?}", line.unwrap_or_default());
        }
        for (at, _) in all.match_indices('%') {
            assert!(
                all[at..].starts_with("% humidity") || all[at..].starts_with("%rh"),
                "a share of nothing in: {all}"
            );
        }
    }

    /// What stands, each kind with its why, to be read aloud.
    pub fn aloud(&self) -> String {
        let stands = self.made.iter().filter(|one| one["superseded_by"].is_null());
        let text = |one: &Value, key: &str| one[key].as_str().unwrap_or_default().to_owned();
        stands
            .map(|one| {
                let at = local(&text(one, "made_at")).format("%H:%M");
                format!("  [{} {}] {at} {}\n", text(one, "kind"), text(one, "about"), sentences(one))
            })
            .collect()
    }

    /// How often something was said of a kind in the last hours.
    pub fn times_said(&self, kind: &str, hours: i64, phrase: &str) -> usize {
        let of_kind = self.lately(hours).filter(|one| one["kind"] == kind);
        of_kind.filter(|one| sentences(one).to_lowercase().contains(phrase)).count()
    }

    /// Every kind says why.
    #[track_caller]
    pub fn says_why(&self) {
        for one in self.made.iter() {
            let why = one["because"].as_str().unwrap_or_default();
            assert!(!why.is_empty() && why.ends_with('.'), "no why: {} {}", one["kind"], sentences(one));
        }
    }

    /// No bed is to be watered now, at any place of the tunnel.
    #[track_caller]
    pub fn no_water(&self) {
        for water in self.made.iter().filter(|one| one["kind"] == "water" && one["superseded_by"].is_null()) {
            let verdict = water["verdict"].as_str().unwrap_or_default();
            let now = Advice { heard: self, body: water }.steps().iter().any(|step| step.from <= self.instant);
            assert!(
                !matches!(verdict, "water" | "feel" | "lift") || !now,
                "water now: {}\n{self:#?}",
                sentences(water)
            );
        }
    }
}

/// What was said in the last twelve hours, with when, for a test that fails.
impl Debug for Heard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for one in self.lately(12) {
            let at = local(one["made_at"].as_str().unwrap_or_default());
            let text = |key: &str| one[key].as_str().unwrap_or("-").to_owned();
            let steps = Advice { heard: self, body: one }.steps();
            let steps: Vec<String> = steps
                .iter()
                .map(|s| {
                    let until = s.until.map(|u| u.format("%d %H:%M").to_string()).unwrap_or_default();
                    format!("{} {} {}-{until}", s.what, s.how, s.from.format("%d %H:%M"))
                })
                .collect();
            writeln!(
                f,
                "{} {} {} {} {} [{}] {}",
                at.format("%d %H:%M"),
                text("kind"),
                text("about"),
                text("verdict"),
                text("rule"),
                steps.join("; "),
                sentences(one)
            )?;
        }
        Ok(())
    }
}

impl Advice<'_> {
    /// Its word and the rule that decided.
    pub fn verdict(&self) -> (&str, &str) {
        (self.body["verdict"].as_str().unwrap_or_default(), self.body["rule"].as_str().unwrap_or_default())
    }

    /// Whether it was decided by rule, not by reading.
    pub fn by_rule(&self) -> bool {
        self.body["by_rule"] == true
    }

    /// The lowest of the night at the leaves that it says to expect, °C: both ends.
    pub fn low_c(&self) -> Option<(f64, f64)> {
        let low = &self.body["expect"]["low_c"];
        Some((low["low"].as_f64()?, low["high"].as_f64()?))
    }

    /// Its moves.
    pub fn steps(&self) -> Vec<Step> {
        let text = |v: &Value| v.as_str().map(str::to_owned);
        let step = |m: &Value| Step {
            what: ["vent", "cover", "bed"].iter().find_map(|key| text(&m[key])).unwrap_or("sheltered".into()),
            how: ["notch", "position"].iter().find_map(|key| text(&m[key])).unwrap_or_default(),
            from: local(m["from"].as_str().expect("an instant")),
            until: m["until"].as_str().map(local),
        };
        self.body["moves"].as_array().into_iter().flatten().map(step).collect()
    }

    /// Which is set how, in order.
    pub fn settings(&self) -> Vec<(String, String)> {
        self.steps().into_iter().map(|step| (step.what, step.how)).collect()
    }

    /// Whether these are its moves.
    #[track_caller]
    pub fn sets(&self, wanted: &[(&str, &str)]) {
        let found = self.settings();
        let found: Vec<(&str, &str)> = found.iter().map(|(what, how)| (what.as_str(), how.as_str())).collect();
        assert_eq!(found, wanted, "{:#?}", self.heard);
    }

    /// Whether nothing but what is shut is asked for.
    #[track_caller]
    pub fn opens_nothing(&self) {
        assert!(self.settings().iter().all(|(_, how)| how == "closed"), "{:#?}", self.heard);
    }

    /// Whether the `k`-th move begins within an hour of a local time of the day.
    #[track_caller]
    pub fn begins_about(&self, k: usize, time: &str) {
        let steps = self.steps();
        self.about(steps.get(k).map(|step| step.from), time);
    }

    /// Whether every move ends within an hour of a local time of the day.
    #[track_caller]
    pub fn ends_about(&self, time: &str) {
        self.steps().iter().for_each(|step| self.about(step.until, time));
    }

    /// Whether no move has an end.
    #[track_caller]
    pub fn stays(&self) {
        assert!(self.steps().iter().all(|step| step.until.is_none()), "{:#?}", self.heard);
    }

    /// Whether it is to be looked at again, or holds, until about a local time.
    #[track_caller]
    pub fn looked_at_again_about(&self, time: &str) {
        self.about(self.body["until"].as_str().map(local), time);
    }

    /// Everything it says, in small letters.
    pub fn words(&self) -> String {
        sentences(self.body).to_lowercase()
    }

    #[track_caller]
    fn about(&self, found: Option<NaiveDateTime>, time: &str) {
        let wanted = self.at(time);
        let found = found.unwrap_or_else(|| panic!("no time about {time}:\n{:#?}", self.heard));
        let off = (found - wanted).num_minutes();
        assert!(off.abs() <= 60, "{found} is off by {off} min from {time}\n{:#?}", self.heard);
    }

    /// A local time on the day of the scenario.
    pub fn at(&self, time: &str) -> NaiveDateTime {
        let time = chrono::NaiveTime::parse_from_str(time, "%H:%M").expect("a time of day");
        self.heard.instant.date().and_time(time)
    }
}

/// All that one piece of advice says.
fn sentences(one: &Value) -> String {
    let words = ["say", "because", "doubt", "further"].iter().filter_map(|key| one[key].as_str());
    let lists = ["cautions", "also"].iter().flat_map(|key| one[key].as_array().into_iter().flatten());
    words.chain(lists.filter_map(Value::as_str)).collect::<Vec<_>>().join(" ")
}
