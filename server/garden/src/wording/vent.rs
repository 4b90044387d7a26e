//! The vent verdict in sentences.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::also::also_words;
use super::cautions::caution_words;
use super::figures::{about, degrees, humidity_range, kilopascals, since, time, wind};
use super::openings::{all_of, for_the_night, moves, settings, steps};
use crate::advice::{
    Aim, AirFigures, Caution, Doubt, Figures, Limits, LocalClock, Move, Rule, VentStructure, VentVerdict, Verdict,
};
use crate::model::{Crops, StructureKind};

/// A vent verdict as it is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VentWords {
    /// What to do.
    pub say: String,
    /// Why, in figures.
    pub because: String,
    /// What is not known, if anything.
    pub doubt: Option<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What else the hour asks for.
    pub also: Vec<String>,
    /// Moves one may make beside the plan, with what they gain.
    pub further: Option<String>,
}

/// The sentences of a verdict given at `now`, in the words of the structure's own openings and the time of its own clock.
pub fn vent_words(verdict: &Verdict, structure: &VentStructure, clock: LocalClock, now: Millis) -> VentWords {
    let voice = Voice { verdict, structure, clock, now };
    let doubts: Vec<String> = verdict.doubts.iter().filter_map(|doubt| voice.doubt(*doubt)).collect();
    VentWords {
        say: voice.say(),
        because: voice.because(),
        doubt: (!doubts.is_empty()).then(|| doubts.join(" ")),
        cautions: verdict.cautions.iter().map(|caution| caution_words(*caution).to_string()).collect(),
        also: verdict.also.iter().map(|also| also_words(*also, clock, now)).collect(),
        further: voice.further(),
    }
}

/// What is to be looked at again no sooner than this lies behind a night.
const NIGHT_AHEAD: i64 = 6 * HOUR;

/// Leaves in air below this have frozen, °C; down to here from 0 they may have. Common practice, no source.
const SURELY_FROZE_C: f64 = -0.25;

struct Voice<'a> {
    verdict: &'a Verdict,
    structure: &'a VentStructure,
    clock: LocalClock,
    now: Millis,
}

impl Voice<'_> {
    fn say(&self) -> String {
        let v = self.verdict;
        let Some(by) = v.day.fasten_by.filter(|_| v.rule != Rule::Gale) else { return self.say_rule() };
        let (all, by) = (all_of(self.structure), self.about(by));
        let then = format!("{by}, while it is light; then stay in till it has blown through.");
        if v.verdict == VentVerdict::Shut && v.moves.is_empty() && v.rule != Rule::Frozen {
            return format!("Gale tonight. Keep it shut, and fasten {all} {then}");
        }
        format!("Gale tonight. {} Shut and fasten {all} {then}", self.say_rule())
    }

    /// What the rule asks for that decided.
    fn say_rule(&self) -> String {
        let v = self.verdict;
        if v.verdict == VentVerdict::Unknown || v.by_rule {
            return self.say_by_rule();
        }
        if v.rule == Rule::HeatAhead {
            return self.say_ahead();
        }
        if v.day.anyone {
            return self.say_anyone();
        }
        match v.verdict {
            VentVerdict::Shut if v.rule == Rule::Frozen && !v.moves.is_empty() => self.say_thaw(),
            VentVerdict::Shut if v.day.away && v.moves.is_empty() => self.say_away(),
            VentVerdict::Shut => self.say_shut(),
            VentVerdict::Cool => format!("{}.", steps(&v.moves, self.structure, self.clock, self.now)),
            VentVerdict::Dry => format!("{}, to dry.", self.moves()),
            VentVerdict::Purge => self.say_purge(),
            VentVerdict::MoveAir if self.is_drier_outside() => format!("{}, to keep the air moving.", self.moves()),
            VentVerdict::MoveAir => format!("{}, to keep the air moving. It will not dry anything.", self.moves()),
            VentVerdict::Unknown => String::new(),
        }
    }

    fn moves(&self) -> String {
        if self.verdict.rule == Rule::Night {
            let dark = self.verdict.cautions.contains(&Caution::NotForThisInTheDark);
            return for_the_night(&self.verdict.moves, self.structure, dark);
        }
        moves(&self.verdict.moves, self.structure, self.clock, self.now)
    }

    /// Heat that is to come: by one setting on leaving, or by settings at their hours.
    fn say_ahead(&self) -> String {
        let v = self.verdict;
        if !v.day.on_leaving {
            return format!("The sun is coming: {}.", lower(&self.moves()));
        }
        let back = v.moves.first().and_then(|m| m.until);
        let back = back.map(|at| format!("You are out until {} and the sun is coming", time(self.clock, at)));
        let back = back.unwrap_or_else(|| "You are out and the sun is coming".to_string());
        let when = v.moves.first().map(|m| self.about(m.from)).unwrap_or_default();
        format!("{back}: {} when you go, {when}, and leave it so.", settings(&v.moves, self.structure))
    }

    /// Harm that cannot wait, and nobody there.
    fn say_anyone(&self) -> String {
        let v = self.verdict;
        let all = all_of(self.structure);
        let back = v.day.away_until.map(|at| self.about(at));
        if v.rule == Rule::Gale {
            return format!(
                "Nobody is there now. If anyone can go while it is light and before it blows, shut and fasten {all}; nobody goes in the dark."
            );
        }
        let what = if v.moves.is_empty() { format!("open {all}") } else { settings(&v.moves, self.structure) };
        let stays = v.moves.iter().any(|m| m.notch != crate::model::Notch::Closed && m.until.is_none());
        let stay = if stays { ", and leave it so when you go tomorrow" } else { "" };
        let then = back.map(|back| format!(" When you are back, {back}, do the same{stay}.")).unwrap_or_default();
        format!("If anyone can go, {what} at once. If not, there is nothing to do from where you are.{then}")
    }

    fn say_away(&self) -> String {
        let back = self.verdict.day.away_until.map(|at| format!(" until {}", time(self.clock, at))).unwrap_or_default();
        format!("Nothing to do here: nobody is there{back}.")
    }

    /// Shut until the leaves are soft, and what then.
    fn say_thaw(&self) -> String {
        let v = self.verdict;
        let (first, rest) = (v.moves.first(), v.moves.get(1..).unwrap_or_default());
        let soft = first.map(|m| self.about(m.from)).unwrap_or_default();
        let open = settings(v.moves.get(..1).unwrap_or_default(), self.structure);
        let mut text = format!(
            "Leave it shut and touch nothing: {}. When the leaves have gone soft, {soft}, and it is above 4 °C inside, {open}",
            self.froze()
        );
        let mut rest = rest;
        while let Some(next) = rest.first() {
            let together = rest.iter().take_while(|m| m.from == next.from).count();
            let (group, later) = rest.split_at(together);
            text.push_str(&format!(", then {} from {}", settings(group, self.structure), time(self.clock, next.from)));
            rest = later;
        }
        if let Some(until) = v.moves.last().and_then(|m| m.until) {
            text.push_str(&format!("; shut it by {}", time(self.clock, until)));
        }
        text + "."
    }

    /// Air at 0 °C at one gauge is no leaf that somebody saw.
    fn froze(&self) -> &'static str {
        let clearly = self.verdict.figures.against_c.is_none_or(|c| c < SURELY_FROZE_C);
        if clearly { "it froze in there" } else { "it may have frozen in there" }
    }

    /// What further moves would gain.
    fn further(&self) -> Option<String> {
        let further = self.verdict.day.further.as_ref()?;
        let hours = further.spares_hot_h.round() as i64;
        let moves = lower(&moves(&further.moves, self.structure, self.clock, self.now));
        let gain = if hours >= 1 {
            let unit = if hours == 1 { "hour" } else { "hours" };
            format!(
                "that spares about {hours} {unit} above {} °C",
                limit(&self.verdict.figures).trim_end_matches(" °C")
            )
        } else {
            "that is a little kinder to the leaves".to_string()
        };
        Some(format!("If you can go twice: {moves}; {gain}."))
    }

    fn is_drier_outside(&self) -> bool {
        self.verdict.figures.difference_kpa.zip(self.verdict.figures.band_kpa).is_some_and(|(d, band)| d > band)
            && !self.verdict.doubts.contains(&Doubt::WithinBand)
    }

    fn say_purge(&self) -> String {
        let minutes = self.verdict.moves.first().and_then(|m| Some(m.until?.since(m.from) / 60_000)).unwrap_or(0);
        let again = match self.verdict.look_again {
            Some(at) => format!("Shut for an hour to warm up, and so on in turn until {}.", self.about(at)),
            None => "Then shut for the day.".to_string(),
        };
        // How long stands in place of until when; the plan is for all of its rounds, so "now" would soon be wrong.
        let open: Vec<Move> = self.verdict.moves.iter().map(|m| Move { until: None, ..m.clone() }).collect();
        let open = moves(&open, self.structure, self.clock, self.now);
        let open = open.strip_suffix(" now").unwrap_or(&open);
        format!("{open}, for {minutes} minutes. {again}")
    }

    fn say_shut(&self) -> String {
        let v = self.verdict;
        let look = v.look_again.map(|at| format!(" Look again {}.", self.about(at))).unwrap_or_default();
        if v.cautions.contains(&Caution::AllOrNothing) {
            return "Nothing to do here: keep it shut.".to_string();
        }
        let acts = !v.moves.is_empty();
        // What has to be shut is named: it may be one of two doors.
        let named = settings(&v.moves, self.structure);
        let all = match named.strip_prefix("shut ") {
            Some(named) if v.rule != Rule::Gale => named.to_string(),
            _ => all_of(self.structure),
        };
        match v.rule {
            Rule::Gale if acts => {
                let by = v.day.fasten_by.map(|by| format!(" {},", self.about(by))).unwrap_or_default();
                format!("Shut and fasten {all}{by} while it is light, then stay in till it has blown through.")
            }
            Rule::Gale if !v.figures.gale_heard => {
                "It blows already: stay in. What stands open stays so till a lull by daylight; shut it then."
                    .to_string()
            }
            Rule::Gale => "Nothing to do here till it has blown through: stay in.".to_string(),
            Rule::Frozen => {
                let soft = v.look_again.map(|at| format!(", {}", self.about(at))).unwrap_or_default();
                format!(
                    "Leave it shut and touch nothing: {}. Look again when the leaves have gone soft{soft}.",
                    self.froze()
                )
            }
            Rule::Cold if acts => format!("Shut {all} now: it is getting too cold.{look}"),
            Rule::Cold => format!("Keep it shut: it is too cold to open.{look}"),
            Rule::Wetting if acts => format!("Shut {all} now: the air coming in would wet every leaf.{look}"),
            Rule::Wetting => format!("Keep it shut: opening would wet every leaf.{look}"),
            Rule::Night if acts => format!("Shut {all} now for the night."),
            Rule::Night => "Nothing to do here tonight: keep it shut.".to_string(),
            Rule::Drying if acts && v.look_again.is_some_and(|at| at.since(self.now) < NIGHT_AHEAD) => {
                format!("Shut {all} now: the air outside is wetter.{look}")
            }
            Rule::Drying if acts => format!("Shut {all} now for the night: the air outside is wetter."),
            Rule::Drying if v.figures.difference_kpa.is_some_and(|d| d < 0.0) => {
                format!("Keep it shut: the air outside is wetter.{look}")
            }
            Rule::MovingAir if acts && v.aim == Aim::Dry => format!("Shut {all} now, till the fog lifts."),
            _ if acts => format!("Shut {all} now.{look}"),
            Rule::MovingAir if v.aim == Aim::Dry => "Nothing to do here: keep it shut till the fog lifts.".to_string(),
            _ => format!("Nothing to do here today: keep it shut.{look}"),
        }
    }

    fn say_by_rule(&self) -> String {
        let v = self.verdict;
        let rule = match (v.verdict, v.moves.iter().any(|m| m.notch != crate::model::Notch::Closed)) {
            (_, true) => format!("{}, if a look outside shows no fog, frost or strong wind", lower(&self.moves())),
            (_, false) if v.cautions.contains(&Caution::NotForThisInTheDark) => {
                "leave it as it stands till it is light".to_string()
            }
            (_, false) if v.moves.is_empty() => "keep it shut".to_string(),
            _ => format!("shut {} for the night", all_of(self.structure)),
        };
        let what = if v.verdict == VentVerdict::Unknown { "Not known what it is like in there. " } else { "" };
        format!("{what}By rule, not by reading: {rule}.")
    }

    fn because(&self) -> String {
        let because = self.because_rule();
        match self.verdict.day.fasten_by {
            Some(_) if self.verdict.rule != Rule::Gale => {
                format!("{because} {}.", self.gale_heard()).trim().to_string()
            }
            _ => because,
        }
    }

    fn gale_heard(&self) -> String {
        match self.verdict.figures.gust_m_s {
            Some(gust) => format!("Gusts of {} are heard of", wind(gust)),
            None => "A gale is heard of".to_string(),
        }
    }

    fn because_rule(&self) -> String {
        let f = &self.verdict.figures;
        match self.verdict.rule {
            Rule::Gale => {
                let kind = kind_word(self.structure.kind);
                let costs = format!("a damp night costs leaves, a wind inside costs the {kind}");
                match f.gust_m_s {
                    _ if f.gale_heard => format!("{}; {costs}.", self.gale_heard()),
                    Some(gust) => format!(
                        "Gusts of about {}, reckoned from the wind measured; {costs}, and a person is worth more than either.",
                        wind(gust)
                    ),
                    None => format!("A gale was seen; {costs}, and a person is worth more than either."),
                }
            }
            Rule::Frozen => {
                let was = f.against_c.map(|c| format!("It was down to {} inside. ", degrees(c))).unwrap_or_default();
                let hot = self.verdict.day.peak.map(|_| format!(" {}", self.because_ahead())).unwrap_or_default();
                format!("{was}Frozen leaves bruise, and thaw best slowly under a shut cover.{hot}")
            }
            Rule::HeatAhead => self.because_ahead(),
            Rule::Heat => format!("{} inside; {} is as much as {} crops like.", self.against(), limit(f), self.crops()),
            Rule::Cold => self.because_cold(),
            Rule::Wetting => format!(
                "The dew point outside is {}; the air inside, and so about the leaves, is {}.",
                self.against(),
                f.inside.map(|air| degrees(air.t_c)).unwrap_or_default()
            ),
            Rule::Night => self.because_night(),
            Rule::Drying | Rule::MovingAir => self.because_compared(),
            Rule::SeasonAndHour => "It goes by the season and the hour, as one would by looking out.".to_string(),
        }
    }

    fn because_ahead(&self) -> String {
        let v = self.verdict;
        let (Some(peak), Some(passes)) = (v.day.peak, v.day.passes) else { return String::new() };
        let whole = |t_c: f64| (t_c.round() as i64).to_string().replace('-', "\u{2212}");
        let limit_c = Limits::of(self.structure.crops).hot_c;
        format!(
            "Shut, it would pass {} °C {} and reach {} °C {}, between {} and {} °C.",
            whole(limit_c),
            self.about(passes),
            whole(peak.value),
            self.about(peak.t),
            whole(peak.low),
            whole(peak.high)
        )
    }

    fn because_cold(&self) -> String {
        let f = &self.verdict.figures;
        let limits = Limits::of(self.structure.crops);
        let at_this_rate = |read: Option<AirFigures>| match (read, f.against_c) {
            (Some(air), Some(ahead)) if (air.t_c - ahead).abs() > 0.05 => {
                format!("{} now and {} in two hours at this rate", degrees(air.t_c), degrees(ahead))
            }
            _ => self.against(),
        };
        if f.limit_c == Some(limits.outside_c) {
            format!(
                "Outside {}; below {} nothing is opened on {} crops.",
                at_this_rate(f.outside),
                limit(f),
                self.crops()
            )
        } else if f.limit_c == Some(limits.venting_c) {
            format!(
                "Inside {}; {} crops are aired only above {} and warming.",
                at_this_rate(f.inside),
                self.crops(),
                limit(f)
            )
        } else {
            format!("Opened, it would settle at about {}; {} crops bear {}.", self.against(), self.crops(), limit(f))
        }
    }

    fn because_night(&self) -> String {
        let f = &self.verdict.figures;
        if self.verdict.verdict != VentVerdict::Shut {
            return self.because_compared();
        }
        let ahead = |out_c: f64| f.against_c.filter(|low_c| out_c - low_c > 0.05);
        match (f.outside, f.limit_c) {
            _ if f.heard_low_c.is_some() => {
                format!(
                    "{} is heard for tonight: too cold to leave it open.",
                    f.heard_low_c.map(degrees).unwrap_or_default()
                )
            }
            (Some(out), Some(limit_c)) if self.structure.crops == Crops::Tender && limit_c > 9.0 => {
                let low = ahead(out.t_c).map(|c| format!(", and it can fall to {}", degrees(c))).unwrap_or_default();
                format!("Outside {}{low}; tender crops are shut in at night below {}.", degrees(out.t_c), limit(f))
            }
            (Some(out), Some(_)) => {
                let dew = out.dew_c.map(|dew| format!(", dew point {}", degrees(dew))).unwrap_or_default();
                format!("Outside {}{dew}: it can be near frost by morning.", degrees(out.t_c))
            }
            _ if self.verdict.aim == Aim::Dry => {
                "The air outside is saturated: opened, it would let the fog in.".to_string()
            }
            _ => "Shut, it keeps what warmth there is.".to_string(),
        }
    }

    fn because_compared(&self) -> String {
        let f = &self.verdict.figures;
        let (Some(e_in), Some(e_out)) = (f.inside.and_then(|a| a.e_kpa), f.outside.and_then(|a| a.e_kpa)) else {
            return String::new();
        };
        let airs = format!("Inside {} of vapour, outside {}", kilopascals(e_in), kilopascals(e_out));
        match self.verdict.verdict {
            VentVerdict::Dry => {
                let expect = self
                    .verdict
                    .expect
                    .rh_pct
                    .map(|(low, high)| format!(" Once the air has changed, expect {}.", humidity_range(low, high)));
                format!("{airs}: opening dries.{}", expect.unwrap_or_default())
            }
            VentVerdict::Purge => format!(
                "{airs}: opening takes water out, but outside is {} colder, so longer would chill more than it dries.",
                f.inside.zip(f.outside).map(|(i, o)| degrees(i.t_c - o.t_c)).unwrap_or_default()
            ),
            VentVerdict::Shut if f.difference_kpa.zip(f.band_kpa).is_some_and(|(d, band)| d < -band) => {
                format!("{airs}: opening would add water.")
            }
            _ if self.is_drier_outside() => format!("{airs}: a little water goes out with it."),
            _ => {
                let band =
                    f.band_kpa.map_or_else(|| "that".to_string(), |band| format!("less than {}", kilopascals(band)));
                format!("{airs}: the two gauges cannot tell {band} apart.")
            }
        }
    }

    fn against(&self) -> String {
        self.verdict.figures.against_c.map(degrees).unwrap_or_default()
    }

    fn crops(&self) -> &'static str {
        if self.structure.crops == Crops::Tender { "tender" } else { "hardy" }
    }

    fn about(&self, at: Millis) -> String {
        about(self.clock, at, self.now)
    }

    fn since_day(&self, at: Millis) -> String {
        since(self.clock, at, self.now)
    }

    fn doubt(&self, doubt: Doubt) -> Option<String> {
        let since = |at| since(self.clock, at, self.now);
        Some(match doubt {
            Doubt::NoInside => "Nothing is read inside.".to_string(),
            Doubt::OldInside { at } => format!("No reading inside {}.", since(at)),
            Doubt::NoInsideHumidity => "There is no humidity inside to go by.".to_string(),
            Doubt::GaugeStuck { since } => {
                format!("The humidity gauge inside has been stuck {}; it does not count.", self.since_day(since))
            }
            Doubt::NoOutside => "Nothing is read outside.".to_string(),
            Doubt::OldOutside { at } => format!("No reading outside {}.", since(at)),
            Doubt::NoOutsideHumidity => "There is no humidity outside to go by.".to_string(),
            // Said by the reason already.
            Doubt::WithinBand => return None,
            Doubt::FogGuessed => "Fog is only guessed, from the gauge outside; a look out decides.".to_string(),
            Doubt::NoSun => "Sunrise and sunset are not known here; eight and five o'clock stand in.".to_string(),
        })
    }
}

fn kind_word(kind: StructureKind) -> &'static str {
    match kind {
        StructureKind::Tunnel => "tunnel",
        StructureKind::LowTunnel => "low tunnel",
        StructureKind::ColdFrame => "frame",
        StructureKind::Fleece | StructureKind::Outdoors => "cover",
    }
}

fn limit(figures: &Figures) -> String {
    figures.limit_c.map(degrees).unwrap_or_default()
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_lowercase().chain(chars).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests;
