//! The night's frost in sentences.

use propstick_wire::Millis;

use super::cautions::caution_words;
use super::figures::{about, degrees, since, time};
use crate::advice::frost::{FrostAnswer, FrostBy, FrostDoubt, FrostOutlook, FrostTally, FrostUnknown, Ice, Speak};
use crate::advice::{Caution, LocalClock, laying_hour};

/// Frost as it is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrostWords {
    /// What to expect, and what to do.
    pub say: String,
    /// Why, in figures.
    pub because: String,
    /// What is not known, if anything.
    pub doubt: Option<String>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Where it is said of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrostHere<'a> {
    /// The place as it is said after "for": "the frame", "tunnel 3".
    pub name: &'a str,
    /// The fleece there.
    pub fleece: Fleece,
    /// Whether there is anything to shut.
    pub shuts: bool,
    /// The garden's clock.
    pub clock: LocalClock,
    /// The instant it is said at.
    pub now: Millis,
    /// Whether it is dark, or a gale blows: then nobody is sent out.
    pub dark: bool,
    /// Whether a gale is heard of, or blows.
    pub gale: bool,
}

/// The fleece of a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fleece {
    /// There is some, and it does not lie.
    ToLay,
    /// It lies over the crop.
    On,
    /// It must not be laid: a gale would take it.
    Lost,
    /// There is none.
    None,
}

/// The sentences of a frost answer.
pub fn frost_words(answer: &FrostAnswer, here: FrostHere<'_>) -> FrostWords {
    let voice = Voice { here };
    let (say, outlook) = match answer {
        FrostAnswer::Outlook(outlook) => (voice.say(outlook), Some(outlook)),
        FrostAnswer::Unknown { why, heard } => (voice.unknown(*why, heard.as_ref()), heard.as_ref()),
        FrostAnswer::Early { heard, .. } => {
            let early = "Too early in the day to say how cold the night gets.".to_string();
            (voice.with_heard(early, heard.as_ref()), heard.as_ref())
        }
    };
    // An open sky matters only where it could freeze.
    let matters = |o: &FrostOutlook, d: &FrostDoubt| *d != FrostDoubt::NoSky || o.is_warning() || o.may_freeze();
    let doubts_of = |o: &FrostOutlook| o.doubts.iter().filter(|d| matters(o, d)).map(|d| doubt(*d)).collect();
    let doubts: Vec<&str> = outlook.map(doubts_of).unwrap_or_default();
    FrostWords {
        say,
        because: voice.why(answer),
        doubt: (!doubts.is_empty()).then(|| doubts.join(" ")),
        cautions: outlook.map(|o| voice.cautions(o)).unwrap_or_default(),
    }
}

/// "Of 41 nights: 6 frosts, 6 warned of in time, 9 warnings without frost. The low was 1.1 °C off, last night's low would have been 2.2."
pub fn frost_tally_words(tally: &FrostTally) -> String {
    if tally.nights == 0 {
        return "No night has been scored yet.".to_string();
    }
    let some = |n: usize, one: &str, many: &str| match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    };
    let warned = match (tally.frosts(), tally.hits) {
        (0, _) => String::new(),
        (_, 0) => ", none of them warned of in time".to_string(),
        (_, hits) => format!(", {hits} warned of in time"),
    };
    let off = tally.mean_off_c().map(|(off_c, before_c)| {
        let off_c = degrees(off_c);
        format!(" The low was {off_c} off, the low of the night before {} (each in the mean).", degrees(before_c))
    });
    format!(
        "Of {}: {}{warned}, {}.{}",
        some(tally.nights, "night", "nights"),
        some(tally.frosts(), "frost", "frosts"),
        some(tally.false_alarms, "warning without frost", "warnings without frost"),
        off.unwrap_or_default()
    )
}

struct Voice<'a> {
    here: FrostHere<'a>,
}

impl Voice<'_> {
    fn say(&self, o: &FrostOutlook) -> String {
        let leaves = at_the_leaves(o.low_c);
        match o.speak {
            Speak::Nothing if o.may_freeze() => {
                format!("Leaves may stiffen tonight, no more than what grows there stands: {leaves}.")
            }
            Speak::Nothing => format!("No frost expected tonight: {leaves}."),
            Speak::Figures => self.say_figures(o, &leaves),
            Speak::May | Speak::LayNow => format!("{} {}{}", self.opening(o), self.act(o, &leaves), trays(o)),
        }
    }

    fn opening(&self, o: &FrostOutlook) -> String {
        let told = !o.doubts.contains(&FrostDoubt::NoSky);
        match o.figures.heard_c {
            _ if o.clear && told && !self.here.gale => "Clear and still tonight.".to_string(),
            Some(low_c) if low_c <= 2.0 => format!("A low of {} °C is heard for tonight.", whole(low_c.round() as i32)),
            _ if o.will_freeze() => "Frost tonight.".to_string(),
            _ if o.may_freeze() => "There may be frost tonight.".to_string(),
            _ => "Cold tonight.".to_string(),
        }
    }

    /// What to do in daylight, or what is left to do after it.
    fn act(&self, o: &FrostOutlook, leaves: &str) -> String {
        let what = endangered(o);
        let sure = o.clear || o.will_freeze();
        let dark = self.here.dark;
        let lay_at = time(self.here.clock, laying_hour(self.here.clock, o.night.sunset));
        match (self.here.fleece, o.speak) {
            (Fleece::On, _) => format!("Leave the fleece on: {leaves}."),
            (Fleece::ToLay, Speak::May) if sure => format!("Fleece {what} before dark: {leaves}."),
            (Fleece::ToLay, Speak::May) => {
                format!("Have the fleece for {what} to hand, and look again about {lay_at}: {leaves}.")
            }
            (Fleece::ToLay, _) if !dark => format!("Fleece {what} now, while it is light: {leaves}."),
            (Fleece::ToLay, _) => format!("Expect {leaves}. What is not covered is left till daylight."),
            (Fleece::Lost, _) if !dark => format!(
                "Fleece would be lost in the wind: before dark, bring in what of {what} can be carried. Expect {leaves}."
            ),
            (Fleece::None, _) if !dark && self.here.shuts => {
                format!("Shut up before dark and cover {what}: {leaves}.")
            }
            (Fleece::None, _) if !dark => format!("Cover {what} before dark: {leaves}."),
            (Fleece::Lost | Fleece::None, _) => format!("Expect {leaves}."),
        }
    }

    fn say_figures(&self, o: &FrostOutlook, leaves: &str) -> String {
        let mut text = String::new();
        if let Some(t_c) = o.figures.t_c {
            text.push_str(&format!("{} at the gauge", degrees(t_c)));
            if let Some(pace) = o.figures.cooling_c_h.filter(|pace| *pace >= 0.2) {
                text.push_str(&format!(", falling {pace:.1} °C an hour"));
            }
            match o.zero_at {
                Some(at) => text.push_str(&format!(
                    ": it could reach 0 °C by about {} if it goes on so. ",
                    time(self.here.clock, at)
                )),
                None => text.push_str(". "),
            }
        }
        match self.here.fleece {
            Fleece::On => text.push_str(&format!("By morning {leaves}, so leave the fleece on.")),
            Fleece::ToLay => text.push_str(&format!("By morning {leaves}. What is not covered is left till daylight.")),
            Fleece::Lost | Fleece::None => text.push_str(&format!("By morning {leaves}.")),
        }
        text
    }

    /// Why, in figures; or what is missing for them.
    fn why(&self, answer: &FrostAnswer) -> String {
        let clock = self.here.clock;
        let missing = match answer {
            FrostAnswer::Outlook(outlook) => return self.because(outlook),
            FrostAnswer::Early { tells_at, .. } => {
                let at = about(clock, clock.nearest_half_hour(*tells_at), self.here.now);
                format!("How far the air falls from mid-afternoon on tells it: {at} at the earliest.")
            }
            FrostAnswer::Unknown { why, .. } => match why {
                FrostUnknown::NoReading => "A figure rests on what the gauge reads from noon on.".to_string(),
                FrostUnknown::Silent { at, t_c, .. } => {
                    format!(
                        "It last read {}, at {}; a figure wants one from the last hour.",
                        degrees(*t_c),
                        time(clock, *at)
                    )
                }
                FrostUnknown::Doubtful { .. } => {
                    "What it sends is stuck, out of reach of any air, or against the other gauge there.".to_string()
                }
                FrostUnknown::One { .. } => "A figure rests on two readings at least: one may be a slip.".to_string(),
                FrostUnknown::NoNight => "Without a sunset there is no night to reckon with.".to_string(),
            },
        };
        let heard = match answer.outlook() {
            Some(outlook) => self.because(outlook),
            None => "No low has been heard for tonight.".to_string(),
        };
        format!("{missing} {heard}")
    }

    fn because(&self, o: &FrostOutlook) -> String {
        let f = o.figures;
        let mut parts: Vec<String> = Vec::new();
        if let (Some(at), Some(t_c)) = (f.at, f.t_c) {
            let dew = f.dew_c.map(|dew| format!(", dew point {}", degrees(dew))).unwrap_or_default();
            let fall = f.fall_c.filter(|fall| *fall >= 0.5);
            let fall = fall.map(|fall| format!(", {} down since the afternoon", degrees(fall))).unwrap_or_default();
            let outside = f.outside_c.map(|(t_c, dew_c)| {
                let dew = dew_c.map(|dew| format!(", dew point {}", degrees(dew))).unwrap_or_default();
                format!(" Outside {}{dew}: the night under a cover goes by that.", degrees(t_c))
            });
            let outside = outside.unwrap_or_default();
            parts.push(format!("At {} it was {}{dew}{fall}.{outside}", time(self.here.clock, at), degrees(t_c)));
        }
        if let Some(fell_c) = f.fell_c {
            parts.push(format!(
                "On none of the last three nights did it fall by more than {} from this hour.",
                degrees(fell_c)
            ));
        }
        if let Some(low_c) = f.heard_c {
            let heard = whole(low_c.round() as i32);
            match f.t_c.filter(|_| f.gauge_over_heard) {
                Some(t_c) => parts.push(format!(
                    "Heard for tonight: a low of {heard} °C; the gauge is at {} and may fall further, so the gauge counts.",
                    degrees(t_c)
                )),
                None => parts.push(format!("Heard for tonight: a low of {heard} °C.")),
            }
        }
        match o.by {
            FrostBy::Learned { nights } => parts.push(format!("It goes by {nights} clear nights of this gauge.")),
            FrostBy::Rule => parts.push("It goes by rule, not by this gauge's own clear nights.".to_string()),
            FrostBy::Heard => parts.push("It goes by the forecast alone.".to_string()),
        }
        match o.ice {
            Some(Ice::Black) => parts.push("Too dry for rime: leaves would freeze without turning white.".to_string()),
            Some(Ice::Hoar) => parts.push("Leaves that freeze would be white with rime.".to_string()),
            None => {}
        }
        parts.join(" ")
    }

    fn cautions(&self, o: &FrostOutlook) -> Vec<String> {
        let mut all = Vec::new();
        if o.speak == Speak::Nothing {
            return all;
        }
        if self.here.dark {
            all.push(caution_words(Caution::StayIn).to_string());
        }
        if o.may_freeze() {
            all.push("Do not water now.".to_string());
            all.push(caution_words(Caution::LeaveFrozenAlone).to_string());
        }
        all
    }

    fn unknown(&self, why: FrostUnknown, heard: Option<&FrostOutlook>) -> String {
        let FrostHere { name, clock, now, .. } = self.here;
        let state = match why {
            FrostUnknown::NoReading => format!("Nothing read since noon, so no frost figure for {name}."),
            FrostUnknown::Silent { at, .. } => {
                format!("No reading {}, so no frost figure for {name}.", since(clock, at, now))
            }
            FrostUnknown::Doubtful { since: at, .. } => {
                format!("The gauge cannot be believed {}, so no frost figure for {name}.", since(clock, at, now))
            }
            FrostUnknown::One { at } => {
                format!("One reading alone, at {}: no frost figure for {name} before the next.", time(clock, at))
            }
            FrostUnknown::NoNight => return format!("The sun does not set, so no frost figure for {name}."),
        };
        let state = if why.near_frost() {
            format!("{state} Frost was near then: take it that it freezes until you have looked.")
        } else {
            state
        };
        if heard.is_some() {
            return self.with_heard(state, heard);
        }
        if self.here.dark {
            return format!("{state} Leave what is covered as it is, and look in the morning before you touch a leaf.");
        }
        format!("{state} Go by the window: a clear still evening means cover what is tender before dark.")
    }

    fn with_heard(&self, state: String, heard: Option<&FrostOutlook>) -> String {
        let Some(o) = heard else { return state };
        let low = o.figures.heard_c.map(|low_c| whole(low_c.round() as i32)).unwrap_or_default();
        if o.is_warning() && self.here.dark {
            format!("{state} A low of {low} °C is heard for tonight: leave what is covered as it is.")
        } else if o.is_warning() && self.here.fleece == Fleece::On {
            format!("{state} A low of {low} °C is heard for tonight: leave the fleece on all the same.")
        } else if o.is_warning() {
            format!("{state} A low of {low} °C is heard for tonight: cover {} before dark all the same.", endangered(o))
        } else {
            format!("{state} A low of {low} °C is heard for tonight, which is no danger.")
        }
    }
}

/// "0, perhaps −3 °C, where the leaves are".
pub(super) fn at_the_leaves(low_c: (i32, i32)) -> String {
    let comma = if low_c.0 == low_c.1 { "" } else { "," };
    format!("{}{comma} where the leaves are", range(low_c))
}

/// "0, perhaps −3 °C": the upper end first.
fn range((lower, upper): (i32, i32)) -> String {
    if lower == upper {
        format!("about {} °C", whole(lower))
    } else {
        format!("{}, perhaps {} °C", whole(upper), whole(lower))
    }
}

fn whole(t_c: i32) -> String {
    t_c.to_string().replace('-', "\u{2212}")
}

/// "the potatoes and the lettuce", "anything tender": what stands in the soil.
fn endangered(o: &FrostOutlook) -> String {
    let names: Vec<String> =
        o.danger.iter().filter(|crop| !crop.trays).map(|crop| format!("the {}", crop.name)).collect();
    match names.as_slice() {
        [] => "anything tender".to_string(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// " Bring the trays of tomatoes in.", where there are some and it is not yet night.
fn trays(o: &FrostOutlook) -> String {
    let names: Vec<&str> = o.danger.iter().filter(|crop| crop.trays).map(|crop| crop.name.as_str()).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => format!(" Bring the trays of {one} in."),
        [most @ .., last] => format!(" Bring the trays of {} and {last} in.", most.join(", ")),
    }
}

const fn doubt(doubt: FrostDoubt) -> &'static str {
    match doubt {
        FrostDoubt::Jump => "The last reading was far off the one before; it waits for the next.",
        FrostDoubt::NoDewPoint => "There is no humidity to go by, so the range is wide.",
        FrostDoubt::Saturated => "The humidity gauge is at its end; it may be drier than it says.",
        FrostDoubt::NoSky => "Nobody has looked at the sky: clear and still means the colder end.",
        FrostDoubt::NoAfternoon => "The afternoon was not measured.",
        FrostDoubt::BeyondLearned => "This evening lies beyond all that the gauge has learned from.",
        FrostDoubt::NoWeek => "The past week is not known, so crops count as not hardened.",
    }
}

#[cfg(test)]
mod tests;
