//! The water decision in sentences.

use propstick_agronomy::water::balance::Given;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::cautions::caution_words;
use super::counts::{count, counted, days_ahead, halves};
use super::figures::{about, time};
use crate::advice::water::{
    Dose, Missing, WaterAdvice, WaterCaution, WaterDoubt, WaterRule, WaterVerdict, limits::DAYS_MOST,
};
use crate::advice::{Caution, LocalClock};
use crate::record::Feel;

/// Water advice as it is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaterWords {
    /// What to do.
    pub say: String,
    /// Why, in figures.
    pub because: String,
    /// What is not known, or not entered, if anything.
    pub doubt: Option<String>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// The sentences of water advice given at `now` for the bed of that name, or for the trays of a structure of that name.
pub fn water_words(advice: &WaterAdvice, name: &str, clock: LocalClock, now: Millis) -> WaterWords {
    let voice = Voice { advice, name, clock, now };
    let doubts: Vec<String> = voice.doubts();
    WaterWords {
        say: voice.say(),
        because: voice.because(),
        doubt: (!doubts.is_empty()).then(|| doubts.join(" ")),
        cautions: advice.cautions.iter().map(|caution| voice.caution(*caution).to_string()).collect(),
    }
}

struct Voice<'a> {
    advice: &'a WaterAdvice,
    name: &'a str,
    clock: LocalClock,
    now: Millis,
}

impl Voice<'_> {
    fn say(&self) -> String {
        capital(&self.said())
    }

    fn said(&self) -> String {
        match self.advice.verdict {
            WaterVerdict::Wait => self.say_wait(),
            WaterVerdict::Feel => self.say_feel(),
            WaterVerdict::Water => self.say_water(),
            WaterVerdict::Leave => self.say_leave(),
            WaterVerdict::Lift => self.say_lift(),
        }
    }

    fn say_wait(&self) -> String {
        let name = self.name;
        let days = self.advice.days.filter(|days| days.1 > 0);
        let ahead = days.map(|(least, most)| days_ahead(least, most, DAYS_MOST));
        if self.advice.rule == WaterRule::FeltMoist {
            let feel = self.advice.finger.map_or("moist", |finger| finger.feel.word());
            let ahead = ahead.filter(|_| self.advice.days.is_some_and(|days| days.0 > 0));
            let wait = ahead.map(|ahead| format!(" It can wait {ahead}.")).unwrap_or_default();
            return format!("{name} needs no water: it was {feel} to the finger.{wait}");
        }
        let begin = match ahead {
            Some(ahead) => format!("{name} can wait {ahead}."),
            None => format!("No water for {name} yet: in winter the sum alone orders none."),
        };
        let again = self.again();
        format!("{begin} Dry when you push a finger in? Then {}, at the roots, before noon.{again}", self.dose())
    }

    fn say_feel(&self) -> String {
        let name = self.name;
        let edges = if self.advice.edges { ", in the middle and along the edges" } else { "" };
        let (dose, when, again) = (self.dose(), self.when(), self.again());
        match self.advice.rule {
            WaterRule::HotShut | WaterRule::Wilted => format!(
                "Push a finger into {name}. Dry at 5 cm? Then {dose}, at the roots only, {when}.{again} Moist? No water: shade and air."
            ),
            WaterRule::DrySoilOnly => {
                format!("Push a finger into {name}. Only if it is dry at 5 cm: {dose}, at the base, {when}.{again}")
            }
            WaterRule::Winter | WaterRule::NoSoil => format!(
                "Push a finger into {name}{edges}. Dry at 5 cm? Then {dose}, at the base, {when}.{again} Moist? Nothing to do."
            ),
            WaterRule::SumUnknown => format!(
                "How much water {name} has left is not known: push a finger in. Dry at 5 cm? Then {dose}, at the roots, {when}.{again}"
            ),
            _ => {
                let ahead = self.advice.days.filter(|days| days.1 > 0).map_or_else(
                    || "is due by the sum".to_string(),
                    |(least, most)| format!("can wait {}", days_ahead(least, most, DAYS_MOST)),
                );
                format!("{name} {ahead}: push a finger in. Dry at 5 cm? Then {dose}, at the roots, {when}.{again}")
            }
        }
    }

    fn say_water(&self) -> String {
        let (name, dose, when) = (self.name, self.dose(), self.when());
        if self.advice.rule == WaterRule::FeltDry {
            return format!("{name} was dry to the finger: {dose}, at the base, {when}.");
        }
        format!("{name} is due: {dose}, at the roots, {when}. Push a finger in first; moist at 5 cm, leave it.")
    }

    fn say_leave(&self) -> String {
        let name = self.name;
        match self.advice.rule {
            WaterRule::Gale => "No watering till it has blown through: stay in.".to_string(),
            WaterRule::Frozen => format!("Leave {name} alone till the leaves have gone soft: no water."),
            WaterRule::WiltedInWet => {
                format!("Do not water {name}, wilted as it is: the soil is wet. Give it air and shade.")
            }
            WaterRule::Raining => format!("Nothing to do for {name}: rain is watering it."),
            WaterRule::HardFrost => {
                format!("No water for {name}: hard frost is heard. Push a finger in again when it is over.")
            }
            _ => {
                let ask = if self.advice.asks_finger {
                    " Push a finger in on the next day that dries; dry soil is watered all the same."
                } else {
                    ""
                };
                format!("No water for {name} today: nothing would dry off.{ask}")
            }
        }
    }

    fn say_lift(&self) -> String {
        let when = match self.advice.when {
            Some((from, _)) if self.is_today(from) && self.is_morning(from) && self.advice.again.is_none() => {
                "this morning only".to_string()
            }
            _ => self.when(),
        };
        let again = self.advice.again.map(|at| format!(" Lift them again {}.", about(self.clock, at, self.now)));
        format!(
            "Lift and look, trays in {}: water the light ones from below, {when}; leave the heavy ones.{}",
            self.name,
            again.unwrap_or_default()
        )
    }

    /// "two cans", "about 40 minutes of drip", "a can to every two square metres, only where it is dry".
    fn dose(&self) -> String {
        let Some(dose) = self.advice.dose else { return "water it well".to_string() };
        if dose.first { format!("start with {}", dose_words(&dose)) } else { dose_words(&dose) }
    }

    /// What follows a first share.
    fn again(&self) -> &'static str {
        if self.advice.dose.is_some_and(|dose| dose.first) { " Feel again the day after." } else { "" }
    }

    /// "before noon", "tomorrow before noon", "now, by 13:00", "between 17:00 and 19:00".
    fn when(&self) -> String {
        let Some((from, until)) = self.advice.when else { return "before noon, when somebody is there".to_string() };
        let day = match self.clock.day_number(from) - self.clock.day_number(self.now) {
            0 => "",
            1 => "tomorrow ",
            _ => "then ",
        };
        let (hour, minute) = self.clock.hour_minute(until);
        if (hour, minute) == (12, 0) {
            return format!("{day}before noon");
        }
        if from <= self.now && until.since(self.now) <= 2 * HOUR {
            return format!("now, by {}", time(self.clock, until));
        }
        if from <= self.now {
            return "now".to_string();
        }
        format!("{day}between {} and {}", time(self.clock, from), time(self.clock, until))
    }

    fn is_today(&self, at: Millis) -> bool {
        self.clock.day_number(at) == self.clock.day_number(self.now)
    }

    fn is_morning(&self, at: Millis) -> bool {
        self.clock.minute_of_day(at) < 12 * 60
    }

    fn because(&self) -> String {
        let rule = match self.advice.rule {
            WaterRule::Gale => "Gusts are heard; nothing here is worth going out in them.",
            WaterRule::Frozen => "Frozen leaves bruise and tear.",
            WaterRule::Trays => "Trays hold too little for a sum; their weight tells.",
            WaterRule::WiltedInWet => "Roots in wet soil that cannot keep up with the sun drown in more.",
            WaterRule::Wilted => "Leaves also wilt where roots stand too wet; only a finger tells.",
            WaterRule::HotShut => "Shut and this hot, the top dries fast.",
            WaterRule::HardFrost => "Wet soil and leaves going into hard frost do harm.",
            WaterRule::Winter => "From November to February the sum alone orders nothing: a finger does.",
            WaterRule::Damp => {
                "The air inside is above 90 % humidity and nothing that dries is in sight; a top-up would only feed mould."
            }
            WaterRule::DrySoilOnly => "Nights can still freeze; only dry soil is watered, and early.",
            WaterRule::Raining
            | WaterRule::FeltDry
            | WaterRule::FeltMoist
            | WaterRule::Sum
            | WaterRule::SumUnknown
            | WaterRule::NoSoil => "",
        };
        let parts = [rule.to_string(), self.sum(), self.finger()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    fn sum(&self) -> String {
        let (Some(missing), Some(readily), Some(used)) =
            (self.advice.missing_mm, self.advice.readily_mm, self.advice.use_mm_d)
        else {
            return String::new();
        };
        if self.advice.days.is_none() {
            return format!(
                "Between {:.0} and {:.0} mm are gone from the soil, and the crop can spare {readily:.0} mm: too wide to go by.",
                missing.low, missing.high
            );
        }
        let missing = match (missing.low.round(), missing.high.round()) {
            (low, high) if low == high => format!("About {low:.0} mm"),
            (low, high) => format!("Some {low:.0} to {high:.0} mm"),
        };
        format!(
            "{missing} are gone from the soil, and the crop can spare {readily:.0} mm; {} go each day.",
            each_day(used.low, used.high)
        )
    }

    fn finger(&self) -> String {
        let Some(finger) = self.advice.finger else { return String::new() };
        let days = self.clock.day_number(self.now) - self.clock.day_number(Millis(finger.at_ms));
        let ago = match u32::try_from(days).unwrap_or(0) {
            0 => "today".to_string(),
            1 => "yesterday".to_string(),
            days => format!("{} ago", counted(days, "day")),
        };
        let feel = match finger.feel {
            Feel::Dry => "dry at 5 cm",
            Feel::Moist => "moist",
            Feel::Wet => "wet",
        };
        format!("A finger found it {feel} {ago}.")
    }

    fn doubts(&self) -> Vec<String> {
        let missing = self.advice.missing.iter().map(|missing| self.missing(*missing));
        missing.chain(self.advice.doubts.iter().map(|doubt| self.doubt(*doubt))).collect()
    }

    fn missing(&self, missing: Missing) -> String {
        let name = self.name;
        match missing {
            Missing::Soil => format!(
                "The soil of {name} is not entered, so no days in hand are reckoned: enter its texture, such as sandy loam."
            ),
            Missing::Area => {
                format!("The size of {name} is not entered, so no cans are reckoned: enter its area in square metres.")
            }
            Missing::DripFlow => {
                format!("What the drip line of {name} gives is not entered: enter its litres a minute.")
            }
        }
    }

    fn doubt(&self, doubt: WaterDoubt) -> String {
        match doubt {
            WaterDoubt::UnknownDays(days) => {
                format!("{} without readings widen the sum.", capital(&counted(days, "day")))
            }
            WaterDoubt::NeverTold => "Neither a finger test nor a watering has been told yet.".to_string(),
            WaterDoubt::CanAssumed => "The can is taken as one of nine litres.".to_string(),
            WaterDoubt::ProbeDisagrees => {
                "The probe in the soil does not agree with the sum; a finger decides.".to_string()
            }
            WaterDoubt::NobodyThere => "Nobody is there at a time to water in the next two days.".to_string(),
        }
    }

    fn caution(&self, caution: WaterCaution) -> &'static str {
        match caution {
            WaterCaution::StayIn => caution_words(Caution::StayIn),
            WaterCaution::LeaveFrozenAlone => caution_words(Caution::LeaveFrozenAlone),
            WaterCaution::BrightMorning => "On a bright morning, keeping the leaves dry; never more than is missing.",
            WaterCaution::NotAgainstFrost => "Water keeps no frost off here.",
            WaterCaution::WiltedInWet => "A plant that wilts in wet soil wants shade and air, not water.",
            WaterCaution::StoodWater => "Use water that has stood, not cold from the pipe.",
        }
    }
}

/// "two cans", "about 40 minutes of drip", "a can to every two square metres, only where it is dry", "water it well".
fn dose_words(dose: &Dose) -> String {
    match (dose.cans, dose.minutes, dose.m2_a_can, dose.litres) {
        (Some(cans), ..) => halves(cans, "can"),
        (_, Some(minutes), ..) if minutes <= 60.0 => format!("about {} minutes of drip", count(minutes as u32)),
        (_, Some(minutes), ..) => format!("about {} of drip", hours(minutes / 60.0)),
        (_, _, Some(m2), _) if m2 <= 1.0 => "a can to every square metre, only where it is dry".to_string(),
        (_, _, Some(m2), _) => format!("a can to every {} square metres, only where it is dry", count(m2 as u32)),
        (None, None, None, Some(litres)) if dose.given == Given::Drip => {
            format!("about {:.0} litres by drip", (litres / 10.0).round().max(1.0) * 10.0)
        }
        _ => "water it well".to_string(),
    }
}

/// "0.2 to 0.5 mm", "less than 0.1 mm".
fn each_day(low_mm: f64, high_mm: f64) -> String {
    match (format!("{low_mm:.1}"), format!("{high_mm:.1}")) {
        (_, high) if high == "0.0" => "less than 0.1 mm".to_string(),
        (low, high) if low == high => format!("about {low} mm"),
        (low, high) => format!("{low} to {high} mm"),
    }
}

/// "two hours", "two and a half hours".
fn hours(hours: f64) -> String {
    halves((hours * 2.0).round() / 2.0, "hour")
}

fn capital(text: &str) -> String {
    super::openings::capitalised(text)
}

#[cfg(test)]
mod tests;
