//! A garden as the text of a garden file.

use std::fmt::{Display, Write};

use propstick_wire::Millis;

use super::{Bed, Cover, Film, Garden, Presence, Structure, Vent, WEEKDAYS, cover_word, watering_word};
use crate::instant::to_rfc3339;

/// The garden file of a garden: [`parse_garden`](super::parse_garden) reads it back as the same garden, but for its revision.
pub fn garden_text(garden: &Garden) -> String {
    let mut file = File(String::new());
    file.table("[garden]");
    file.text("name", &garden.name);
    file.number("lat", garden.lat);
    file.number("lon", garden.lon);
    file.number("alt_m", garden.alt_m);
    file.text("zone", garden.zone.name());
    file.maybe_number("can_l", garden.can_l);
    for presence in &garden.presence {
        file.presence(presence);
    }
    for structure in &garden.structures {
        file.structure(structure);
    }
    for bed in &garden.beds {
        file.bed(bed);
    }
    for spot in &garden.spots {
        file.table("[[spot]]");
        file.text("slug", &spot.slug);
        file.text("structure", &spot.structure);
        file.maybe_text("bed", spot.bed.as_deref());
        file.text("role", spot.role.word());
        file.maybe_number("height_m", spot.height_m);
    }
    // Channels of one device that came and went together stand together, as one would write them.
    for together in
        garden.placements.chunk_by(|a, b| (&a.urn, &a.spot, a.from, a.to) == (&b.urn, &b.spot, b.from, b.to))
    {
        let Some(first) = together.first() else { continue };
        file.table("[[placement]]");
        file.text("device", &first.urn);
        let channels: Vec<String> = together.iter().map(|p| quoted(&p.channel)).collect();
        file.line("channels", format_args!("[{}]", channels.join(", ")));
        file.text("spot", &first.spot);
        file.stretch(first.from, first.to);
    }
    for correction in &garden.corrections {
        file.table("[[correction]]");
        file.text("device", &correction.urn);
        file.text("channel", &correction.channel);
        file.stretch(correction.from, correction.to);
        file.number("scale", correction.scale);
        file.number("offset", correction.offset);
        file.text("why", &correction.why);
    }
    for exclusion in &garden.exclusions {
        file.table("[[exclusion]]");
        file.text("device", &exclusion.urn);
        file.text("channel", &exclusion.channel);
        file.stretch(exclusion.from, exclusion.to);
        file.text("why", &exclusion.why);
    }
    file.0
}

/// A TOML file as it grows.
struct File(String);

impl File {
    fn structure(&mut self, structure: &Structure) {
        self.table("[[structure]]");
        self.text("slug", &structure.slug);
        self.text("kind", structure.kind.word());
        self.text("name", &structure.name);
        self.maybe_number("area_m2", structure.area_m2);
        self.maybe_number("height_m", structure.height_m);
        self.maybe_text("cover", structure.cover.as_deref());
        self.maybe_text("lead_spot", structure.lead_spot.as_deref());
        self.text("crops", structure.crops.word());
        if !structure.groups.is_empty() {
            self.words("groups", structure.groups.iter().map(|group| group.word()));
        }
        if let Some(film) = &structure.film {
            self.film(film);
        }
        for vent in &structure.vents {
            self.vent(vent);
        }
        for cover in &structure.covers {
            self.cover(cover);
        }
    }

    fn film(&mut self, film: &Film) {
        self.table("[structure.film]");
        self.maybe_number("transmission", film.transmission);
        self.line("sheds_drips", film.sheds_drips);
        self.line("layers", film.layers);
    }

    fn cover(&mut self, cover: &Cover) {
        self.table("[[structure.night_cover]]");
        self.text("slug", &cover.slug);
        self.text("name", &cover.name);
        self.maybe_text("bed", cover.bed.as_deref());
        self.text("kind", cover_word(cover.kind));
        let words = cover.positions.iter().map(|p| format!("{} = {}", p.state.word(), quoted(&p.words)));
        let words: Vec<String> = words.collect();
        if !words.is_empty() {
            self.line("positions", format_args!("{{ {} }}", words.join(", ")));
        }
    }

    fn bed(&mut self, bed: &Bed) {
        self.table("[[bed]]");
        self.text("slug", &bed.slug);
        self.text("name", &bed.name);
        self.text("structure", &bed.structure);
        self.maybe_number("area_m2", bed.area_m2);
        self.maybe_text("soil", bed.soil.as_deref());
        self.maybe_text("crop", bed.crop.as_deref());
        self.maybe_number("roots_m", bed.roots_m);
        self.maybe_text("watering", bed.watering.map(watering_word));
        self.maybe_number("drip_l_min", bed.drip_l_min);
        if bed.trays {
            self.line("trays", true);
        }
    }

    fn presence(&mut self, presence: &Presence) {
        self.table("[[presence]]");
        self.text("who", &presence.who);
        let days = WEEKDAYS.iter().filter(|(day, _)| presence.days.contains(day)).map(|(_, word)| *word);
        if presence.days.len() == WEEKDAYS.len() {
            self.text("days", "every day");
        } else {
            self.words("days", days);
        }
        let time = |minute: u32| format!("{:02}:{:02}", minute / 60, minute % 60);
        self.text("from", &time(presence.from_min));
        self.text("to", &time(presence.to_min));
    }

    fn vent(&mut self, vent: &Vent) {
        self.table("[[structure.vent]]");
        self.text("slug", &vent.slug);
        self.text("name", &vent.name);
        self.text("kind", vent.kind.word());
        self.maybe_text("faces", vent.faces.as_deref());
        self.maybe_number("minutes", vent.minutes);
        if vent.mesh {
            self.line("mesh", true);
        }
        let words = vent.positions.iter().map(|p| format!("{} = {}", p.notch.word(), quoted(&p.words)));
        self.line("positions", format_args!("{{ {} }}", words.collect::<Vec<_>>().join(", ")));
        let areas = vent.positions.iter().filter_map(|p| Some(format!("{} = {}", p.notch.word(), float(p.area_m2?))));
        let areas: Vec<String> = areas.collect();
        if !areas.is_empty() {
            self.line("area_m2_by_notch", format_args!("{{ {} }}", areas.join(", ")));
        }
    }

    fn table(&mut self, head: &str) {
        let above = if self.0.is_empty() { "" } else { "\n" };
        let _ = writeln!(self.0, "{above}{head}");
    }

    fn line(&mut self, key: &str, value: impl Display) {
        let _ = writeln!(self.0, "{key} = {value}");
    }

    fn text(&mut self, key: &str, text: &str) {
        self.line(key, quoted(text));
    }

    fn words<'a>(&mut self, key: &str, all: impl Iterator<Item = &'a str>) {
        let all: Vec<String> = all.map(quoted).collect();
        self.line(key, format_args!("[{}]", all.join(", ")));
    }

    fn maybe_text(&mut self, key: &str, text: Option<&str>) {
        if let Some(text) = text {
            self.text(key, text);
        }
    }

    fn number(&mut self, key: &str, v: f64) {
        self.line(key, float(v));
    }

    fn maybe_number(&mut self, key: &str, v: Option<f64>) {
        if let Some(v) = v {
            self.number(key, v);
        }
    }

    fn stretch(&mut self, from: Millis, to: Option<Millis>) {
        self.text("from", &to_rfc3339(from));
        if let Some(to) = to {
            self.text("to", &to_rfc3339(to));
        }
    }
}

/// A TOML float (1.0.0, "Float"): it needs a point or an exponent, and Rust's debug form has one.
fn float(v: f64) -> String {
    format!("{v:?}")
}

/// A TOML basic string (1.0.0, "String"): quotation marks, backslashes and control characters are escaped.
fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", c as u32);
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests;
