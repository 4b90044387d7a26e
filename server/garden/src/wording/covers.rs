//! The cover verdict in sentences.

use propstick_wire::Millis;

use super::cautions::caution_words;
use super::figures::{about, degrees, time};
use super::frost::at_the_leaves;
use crate::advice::{Caution, CoverMove, CoverQuestion, CoverRule, CoverState, CoverVerdict, LocalClock};

/// A cover verdict as it is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CoverWords {
    /// What to do.
    pub say: String,
    /// Why.
    pub because: String,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// The sentences of a cover verdict, in the grower's own names of the covers.
pub fn cover_words(verdict: &CoverVerdict, question: &CoverQuestion) -> CoverWords {
    let voice = Voice { verdict, question, clock: question.of.clock, now: question.of.now };
    let mut cautions: Vec<String> = verdict.cautions.iter().map(|c| caution_words(*c).to_string()).collect();
    if verdict.rule == CoverRule::Frost {
        cautions.push("No watering tonight.".to_string());
    }
    CoverWords { say: voice.say(), because: voice.because(), cautions }
}

struct Voice<'a> {
    verdict: &'a CoverVerdict,
    question: &'a CoverQuestion,
    clock: LocalClock,
    now: Millis,
}

impl Voice<'_> {
    fn say(&self) -> String {
        let v = self.verdict;
        let trays = if v.trays_in { " Bring the tender trays in, or give them a second layer." } else { "" };
        if v.moves.is_empty() && v.trays_in && v.rule == CoverRule::Frost {
            return "Bring the tender trays in, or give them a second layer; leave the covers as they lie.".to_string();
        }
        if v.moves.is_empty() {
            return self.say_nothing() + trays;
        }
        let lifted = self.names(CoverState::Folded);
        let laid = self.names(CoverState::On);
        match v.rule {
            CoverRule::Gale => {
                let when = self.when(CoverState::Off).filter(|when| when != "now");
                let when = when.map(|when| format!(" {when},")).unwrap_or_default();
                let names = self.names(CoverState::Off).unwrap_or_default();
                format!("Take in {names}{when} while it is light, then stay in.")
            }
            CoverRule::Frozen => self.say_frozen(lifted, laid) + trays,
            CoverRule::Heat => {
                format!("Lay {} loosely as shade{}.", laid.unwrap_or_default(), self.until())
            }
            CoverRule::Frost => self.say_frost(lifted, laid) + trays,
            CoverRule::Air | CoverRule::Leave => {
                let when = self.when(CoverState::Folded).unwrap_or_default();
                format!("Fold {} back {when}, so that no wet is held on the leaves.", lifted.unwrap_or_default())
            }
        }
    }

    fn say_nothing(&self) -> String {
        let v = self.verdict;
        match v.rule {
            CoverRule::Gale => "Nothing to do here till it has blown through: stay in.".to_string(),
            CoverRule::Frozen => {
                let soft = v.look_again.map(|at| format!(", {}", about(self.clock, at, self.now))).unwrap_or_default();
                format!("Leave the covers as they lie until the leaves have gone soft{soft}.")
            }
            _ => "Nothing to do here: leave the covers as they lie.".to_string(),
        }
    }

    fn say_frozen(&self, lifted: Option<String>, laid: Option<String>) -> String {
        let Some(lifted) = lifted else {
            let when = self.when(CoverState::On).unwrap_or_default();
            return format!(
                "It froze in there: lift nothing. Lay {} again {when}, before dark.",
                laid.unwrap_or_default()
            );
        };
        let when = self.when(CoverState::Folded).unwrap_or_default();
        if self.verdict.cautions.contains(&Caution::OnlyIfSoft) {
            return format!(
                "When you go, {when}: if the leaves are soft, fold {lifted} back; if they are stiff, leave {} on.",
                self.it(CoverState::Folded)
            );
        }
        let again = self
            .when(CoverState::On)
            .map(|when| format!(" Lay {} again {when}, before dark.", self.it(CoverState::On)));
        let it = self.it(CoverState::Folded);
        format!(
            "Leave {lifted} on until the leaves have gone soft, {when}; then fold {it} back.{}",
            again.unwrap_or_default()
        )
    }

    fn say_frost(&self, lifted: Option<String>, laid: Option<String>) -> String {
        let fold = lifted.zip(self.when(CoverState::Folded)).map(|(names, when)| format!("Fold {names} back {when}. "));
        let lay = laid.zip(self.when(CoverState::On)).map(|(names, when)| format!("Lay {names} {when}, before dark."));
        let expect = self.verdict.low_c.map(|low| format!(" Expect {}.", at_the_leaves(low)));
        format!("{}{}{}", fold.unwrap_or_default(), lay.unwrap_or_default(), expect.unwrap_or_default())
    }

    fn because(&self) -> String {
        let v = self.verdict;
        match v.rule {
            CoverRule::Gale => "Loose fleece does not stand a gale.".to_string(),
            CoverRule::Frozen => "Frozen leaves bruise, and frozen fleece tears them.".to_string(),
            CoverRule::Heat => "Shade takes what the openings cannot.".to_string(),
            CoverRule::Frost => match (v.low_c, self.question.of.weather.low_tonight_c(), v.dew_c) {
                (Some(_), ..) => "It may be cold enough to harm what grows there.".to_string(),
                (None, Some(low_c), _) => {
                    format!("{} °C is heard for tonight.", low_c.round() as i64).replace('-', "\u{2212}")
                }
                (None, None, Some(dew_c)) => {
                    format!("The dew point outside is {}: it can be near frost by morning.", degrees(dew_c))
                }
                _ => "It can be near frost by morning.".to_string(),
            },
            CoverRule::Air => "What lies on the leaves keeps them wet.".to_string(),
            CoverRule::Leave if v.cautions.contains(&Caution::StayIn) => {
                "Fleece in the tunnel lies out of the wind.".to_string()
            }
            CoverRule::Leave => "Nothing that can be done now asks for a change.".to_string(),
        }
    }

    /// "the fleece over the potatoes and the fleece over the trays": what is set to `state`.
    fn names(&self, state: CoverState) -> Option<String> {
        let moves = self.verdict.moves.iter().filter(|one| one.state == state);
        let found = moves.filter_map(|one| self.question.covers.iter().find(|cover| cover.slug == one.cover));
        let names: Vec<String> = found.map(|cover| format!("the {}", cover.name)).collect();
        match names.as_slice() {
            [] => None,
            [one] => Some(one.clone()),
            [most @ .., last] => Some(format!("{} and {last}", most.join(", "))),
        }
    }

    /// What stands for the covers that are set to `state`.
    fn it(&self, state: CoverState) -> &'static str {
        if self.verdict.moves.iter().filter(|one| one.state == state).count() > 1 { "them" } else { "it" }
    }

    fn first(&self, state: CoverState) -> Option<&CoverMove> {
        self.verdict.moves.iter().find(|one| one.state == state)
    }

    fn when(&self, state: CoverState) -> Option<String> {
        let from = self.first(state)?.from;
        Some(if from <= self.now { "now".to_string() } else { about(self.clock, from, self.now) })
    }

    fn until(&self) -> String {
        let until = self.first(CoverState::On).and_then(|one| one.until);
        until.map(|until| format!(" until {}", time(self.clock, until))).unwrap_or_default()
    }
}
