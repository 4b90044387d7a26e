//! Openings and their positions in the grower's own words.

use propstick_wire::Millis;

use super::figures::time;
use crate::advice::{LocalClock, Move, VentStructure};
use crate::model::{Notch, Vent, VentKind};

/// "Open both doors a hand's width from about 10:30 to 14:00; ...": all moves, those alike in one breath. Without a full
/// stop. Empty for no moves.
pub fn moves(moves: &[Move], structure: &VentStructure, clock: LocalClock, now: Millis) -> String {
    let parts: Vec<String> = alike(moves, structure)
        .iter()
        .map(|group| format!("{} {}", group.setting(structure), when(group.first, clock, now)))
        .collect();
    capitalised(&parts.join("; "))
}

/// "open both doors a hand's width": the settings alone, whenever they are made.
pub fn settings(moves: &[Move], structure: &VentStructure) -> String {
    let parts: Vec<String> = alike(moves, structure).iter().map(|group| group.setting(structure)).collect();
    parts.join("; ")
}

/// "Open both doors a hand's width for the night", or in the dark, when nobody is sent out for it, "Let both doors stand a
/// hand's width for the night".
pub fn for_the_night(moves: &[Move], structure: &VentStructure, dark: bool) -> String {
    let parts: Vec<String> = alike(moves, structure)
        .iter()
        .map(|group| if dark { format!("let {} stand {}", group.what, group.words) } else { group.setting(structure) })
        .collect();
    format!("{} for the night", capitalised(&parts.join("; ")))
}

/// "Open the sheltered end a hand's width now, half way from 11:40": the first setting, and what follows it at the same
/// place.
pub fn steps(all: &[Move], structure: &VentStructure, clock: LocalClock, now: Millis) -> String {
    let groups = alike(all, structure);
    let (Some(first), rest) = (groups.first(), groups.get(1..).unwrap_or_default()) else {
        return String::new();
    };
    if rest.is_empty() || rest.iter().any(|group| group.what != first.what) {
        return moves(all, structure, clock, now);
    }
    let mut text = format!("{} now", capitalised(&first.setting(structure)));
    for group in rest {
        text.push_str(&format!(", {} from {}", group.words, time(clock, group.first.from)));
    }
    text
}

/// "both doors", "the lid", "everything": all openings of a structure.
pub fn all_of(structure: &VentStructure) -> String {
    let vents: Vec<&Vent> = structure.vents.iter().collect();
    match vents.as_slice() {
        [one] => the(&one.name),
        many => together(many, structure).unwrap_or_else(|| "everything".to_string()),
    }
}

/// The first letter made a capital.
pub fn capitalised(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

/// Moves to the same position in the same words at the same times.
struct Alike<'a> {
    first: &'a Move,
    vents: Vec<&'a Vent>,
    what: String,
    words: String,
}

impl Alike<'_> {
    /// "open both doors a hand's width"; "have the lid on one brick" where the words are no measure of an opening.
    fn setting(&self, structure: &VentStructure) -> String {
        if self.first.notch == Notch::Closed {
            return format!("shut {}", self.what);
        }
        let kind = self.vents.first().copied().or(structure.vents.first()).map(|vent| vent.kind);
        let swings = matches!(kind, Some(VentKind::Door | VentKind::Roof));
        let verb = if swings && is_measure(&self.words) { "open" } else { "have" };
        format!("{verb} {} {}", self.what, self.words)
    }
}

fn alike<'a>(moves: &'a [Move], structure: &'a VentStructure) -> Vec<Alike<'a>> {
    let mut groups: Vec<Alike<'a>> = Vec::new();
    for m in moves {
        let vent = m.vent.as_ref().and_then(|slug| structure.vents.iter().find(|v| v.slug == *slug));
        let words = position_words(vent.or(structure.vents.first()), m.notch);
        let same = |g: &&mut Alike| {
            (g.first.notch, g.first.from, g.first.until) == (m.notch, m.from, m.until)
                && g.words == words
                && !g.vents.is_empty()
                && vent.is_some()
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.vents.extend(vent),
            None => groups.push(Alike { first: m, vents: vent.into_iter().collect(), what: String::new(), words }),
        }
    }
    for group in &mut groups {
        group.what = match group.vents.as_slice() {
            [] => sheltered(structure),
            [one] => the(&one.name),
            many => together(many, structure).unwrap_or_else(|| listed(many)),
        };
    }
    groups
}

/// "both doors", "all sides", where the openings are all there are and of one kind.
fn together(vents: &[&Vent], structure: &VentStructure) -> Option<String> {
    let kind = vents.first()?.kind;
    let whole = vents.len() == structure.vents.len() && vents.iter().all(|vent| vent.kind == kind);
    let plural = match kind {
        VentKind::Door => "doors",
        VentKind::Side => "sides",
        VentKind::Lid => "lids",
        VentKind::Roof => "roof vents",
    };
    whole.then(|| if vents.len() == 2 { format!("both {plural}") } else { format!("all {plural}") })
}

fn listed(vents: &[&Vent]) -> String {
    let names: Vec<String> = vents.iter().map(|vent| the(&vent.name)).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn sheltered(structure: &VentStructure) -> String {
    let doors = structure.vents.iter().all(|vent| vent.kind == VentKind::Door);
    if doors { "the sheltered end".to_string() } else { "the sheltered side".to_string() }
}

fn the(name: &str) -> String {
    format!("the {name}")
}

pub(super) fn position_words(vent: Option<&Vent>, notch: Notch) -> String {
    let own = vent.and_then(|vent| vent.positions.iter().find(|p| p.notch == notch)).map(|p| p.words.clone());
    own.filter(|words| !words.trim().is_empty()).unwrap_or_else(|| {
        match notch {
            Notch::Closed => "shut",
            Notch::Crack => "a crack",
            Notch::Half => "half way",
            Notch::Full => "wide",
        }
        .to_string()
    })
}

/// Whether words say how far, so that one can "open it a hand's width"; others say how it stands: "have it hooked back".
pub(super) fn is_measure(words: &str) -> bool {
    const MEASURES: [&str; 12] =
        ["a", "an", "half", "wide", "fully", "right", "all", "one", "two", "three", "four", "about"];
    let first = words.split_whitespace().next().unwrap_or_default().trim_end_matches(',');
    MEASURES.contains(&first) || first.starts_with(|c: char| c.is_ascii_digit())
}

fn when(m: &Move, clock: LocalClock, now: Millis) -> String {
    match (m.from > now, m.until) {
        (false, None) => "now".to_string(),
        (false, Some(until)) => format!("until {}", time(clock, until)),
        (true, None) => format!("from about {}", time(clock, m.from)),
        (true, Some(until)) => format!("from about {} to {}", time(clock, m.from), time(clock, until)),
    }
}
