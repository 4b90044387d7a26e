//! Water that comes on leaves by itself or by hand: watering from above, and rain where nothing keeps it off.

use propstick_agronomy::coverage::Interval;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use crate::model::{Garden, Notch, Structure, StructureKind, VentKind};
use crate::record::{Event, EventKind, Observation, Seen, Wet};

/// How long a setting of an opening is taken to stand without another word, ms.
pub const SETTING_STANDS_MS: i64 = 48 * HOUR;

/// What people told of the water on the leaves of a structure. Plain values, in order of time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ToldWet {
    /// Instants of watering from above, ms.
    pub watered_ms: Vec<i64>,
    /// Stretches in which rain reaches leaves, ms: none of them meet.
    pub open_ms: Vec<(i64, i64)>,
    /// Instants within them at which somebody saw rain, ms.
    pub rain_seen_ms: Vec<i64>,
}

/// Whether rain can reach the leaves of a structure at all: always in the open and under fleece, else through a lid or a lifted side (advice page).
pub fn lets_rain_in(structure: &Structure) -> bool {
    keeps_no_rain_off(structure) || structure.vents.iter().any(|v| is_above(v.kind))
}

const fn keeps_no_rain_off(structure: &Structure) -> bool {
    matches!(structure.kind, StructureKind::Outdoors | StructureKind::Fleece)
}

const fn is_above(kind: VentKind) -> bool {
    matches!(kind, VentKind::Lid | VentKind::Side)
}

impl ToldWet {
    /// Of a structure, from what was told of the whole garden, in whatever order. What was taken back does not count. A setting of a lid or side stands
    /// until the next word of it, at most [`SETTING_STANDS_MS`]: what was advised and nobody told opens nothing.
    pub fn of(garden: &Garden, structure: &Structure, events: &[Event], observations: &[Observation]) -> ToldWet {
        let counted = || events.iter().filter(|e| e.counts());
        let here = |e: &&Event| e.is_overhead() && e.structure(garden) == Some(&structure.slug);
        let mut watered_ms: Vec<i64> = counted().filter(here).map(|e| e.t.0).collect();
        watered_ms.sort_unstable();
        let mut open_ms = Vec::new();
        let always = keeps_no_rain_off(structure);
        if always {
            open_ms.push((i64::MIN, i64::MAX));
        }
        for vent in structure.vents.iter().filter(|v| !always && is_above(v.kind)) {
            let mut settings: Vec<&Event> =
                counted().filter(|e| e.kind == EventKind::Vent && e.target == vent.slug).collect();
            settings.sort_by_key(|e| (e.t, e.id));
            for (k, set) in settings.iter().enumerate() {
                let stands_ms = set.t.0 + SETTING_STANDS_MS;
                let until_ms = settings.get(k + 1).map_or(stands_ms, |next| next.t.0.min(stands_ms));
                if set.what.as_deref().is_some_and(|what| what != Notch::Closed.word()) && set.t.0 < until_ms {
                    open_ms.push((set.t.0, until_ms));
                }
            }
        }
        let open_ms = merged(open_ms);
        let rain =
            |o: &&Observation| o.undone_at.is_none() && matches!(o.seen, Seen::Look(look) if look.wet == Wet::Rain);
        let mut rain_seen_ms: Vec<i64> = observations.iter().filter(rain).map(|o| o.t.0).collect();
        rain_seen_ms.sort_unstable();
        rain_seen_ms.dedup();
        rain_seen_ms.retain(|t_ms| is_within(&open_ms, *t_ms));
        ToldWet { watered_ms, open_ms, rain_seen_ms }
    }

    /// The instants of `[from, to)` at which water came on the leaves, ascending, with the `rain` measured outside over intervals: at the beginning of each
    /// that has any, or when rain could first reach the leaves in it.
    pub fn wettings(&self, rain: &[Interval], from: Millis, to: Millis) -> Vec<i64> {
        let mut all: Vec<i64> = self.watered_ms.iter().chain(&self.rain_seen_ms).copied().collect();
        for interval in rain.iter().filter(|i| i.v > 0.0) {
            let (start_ms, end_ms) = (interval.start_ms, interval.start_ms + interval.span_ms);
            let first = self.open_ms.partition_point(|(_, until)| *until <= start_ms);
            all.extend(self.open_ms.get(first).filter(|(open, _)| *open < end_ms).map(|(open, _)| start_ms.max(*open)));
        }
        all.retain(|t_ms| (from.0..to.0).contains(t_ms));
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Every instant that it names, with what it is there, ascending: two of these that differ first or last at an instant differ in nothing before or
    /// after it.
    pub fn instants(&self) -> Vec<(i64, i64)> {
        let mut all: Vec<(i64, i64)> = self.watered_ms.iter().map(|t| (*t, 0)).collect();
        for (from, until) in &self.open_ms {
            all.extend([(*from, 1), (*until, 2)].into_iter().filter(|(t, _)| *t != i64::MIN && *t != i64::MAX));
        }
        all.extend(self.rain_seen_ms.iter().map(|t| (*t, 3)));
        all.sort_unstable();
        all.dedup();
        all
    }
}

fn is_within(stretches: &[(i64, i64)], t_ms: i64) -> bool {
    stretches.iter().any(|(from, until)| (*from..*until).contains(&t_ms))
}

fn merged(mut stretches: Vec<(i64, i64)>) -> Vec<(i64, i64)> {
    stretches.sort_unstable();
    let mut all: Vec<(i64, i64)> = Vec::new();
    for (from, until) in stretches {
        match all.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(until),
            _ => all.push((from, until)),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::parse_garden;
    use crate::record::{EventSource, Sky, Wind, WindowLook};

    const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Frame"
[[structure.vent]]
slug = "lid"
name = "lid"
kind = "lid"
positions = { closed = "shut", full = "off" }
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
[[structure.vent]]
slug = "door"
name = "door"
kind = "door"
positions = { closed = "shut", full = "wide" }
[[structure]]
slug = "field"
kind = "outdoors"
name = "Field"
"#;

    fn event(hour: i64, kind: EventKind, target: &str, what: &str) -> Event {
        Event {
            id: hour,
            t: Millis(hour * HOUR),
            kind,
            target: target.to_owned(),
            what: Some(what.to_owned()),
            amount: None,
            unit: None,
            source: EventSource::Tap,
            origin: 0,
            undone_at: None,
        }
    }

    fn rain_seen(hour: i64) -> Observation {
        let t = Millis(hour * HOUR);
        let look = WindowLook { at: t, sky: Sky::Overcast, wind: Wind::Calm, wet: Wet::Rain, wind_from_deg: None };
        Observation { id: hour, t, teller: String::new(), seen: Seen::Look(look), undone_at: None }
    }

    fn told(slug: &str, events: &[Event], seen: &[Observation]) -> ToldWet {
        let garden = parse_garden(GARDEN).unwrap();
        ToldWet::of(&garden, garden.structure(slug).unwrap(), events, seen)
    }

    /// An hour's rain from each of these hours on.
    fn rain(hours: &[(i64, f64)]) -> Vec<Interval> {
        hours.iter().map(|(h, v)| Interval { start_ms: h * HOUR, span_ms: HOUR, v: *v }).collect()
    }

    const NEVER: [f64; 0] = [];

    fn wet(told: &ToldWet, rain: &[Interval]) -> Vec<f64> {
        let all = told.wettings(rain, Millis(0), Millis(500 * HOUR));
        all.iter().map(|t| *t as f64 / HOUR as f64).collect()
    }

    #[test]
    fn rain_wets_leaves_under_an_open_lid_and_nobody_elses() {
        let events = [
            event(10, EventKind::Vent, "lid", "full"),
            event(14, EventKind::Vent, "lid", "closed"),
            event(10, EventKind::Vent, "door", "full"),
        ];
        let showers = rain(&[(8, 1.0), (9, 0.0), (11, 0.2), (14, 3.0)]);
        assert_eq!(wet(&told("frame", &events, &[]), &showers), [11.0], "14:00 found it shut");
        assert_eq!(wet(&told("tunnel", &events, &[]), &showers), NEVER, "no rain comes in by a door");
        assert_eq!(wet(&told("field", &events, &[]), &showers), [8.0, 11.0, 14.0]);
        // Opened in the middle of a wet hour: from then on.
        let half_past = Event { t: Millis(8 * HOUR + HOUR / 2), ..events[0].clone() };
        assert_eq!(wet(&told("frame", &[half_past], &[]), &showers), [8.5, 11.0, 14.0]);
    }

    #[test]
    fn setting_stands_for_two_days_without_another_word_and_what_was_taken_back_does_not_count() {
        let open = event(10, EventKind::Vent, "lid", "full");
        let showers = rain(&[(57, 1.0), (58, 1.0)]);
        assert_eq!(wet(&told("frame", std::slice::from_ref(&open), &[]), &showers), [57.0]);
        let undone = Event { undone_at: Some(Millis(11 * HOUR)), ..open };
        assert_eq!(wet(&told("frame", &[undone], &[]), &showers), NEVER);
    }

    #[test]
    fn rain_that_somebody_saw_counts_where_it_can_reach_leaves_and_watering_from_above_everywhere() {
        let events = [event(10, EventKind::Vent, "lid", "full"), event(12, EventKind::Water, "frame", "overhead")];
        let seen = [rain_seen(9), rain_seen(11)];
        let frame = told("frame", &events, &seen);
        assert_eq!(wet(&frame, &[]), [11.0, 12.0]);
        assert_eq!(wet(&told("field", &events, &seen), &[]), [9.0, 11.0]);
        let named: Vec<(i64, i64)> = frame.instants().iter().map(|(t, what)| (t / HOUR, *what)).collect();
        assert_eq!(named, [(10, 1), (11, 3), (12, 0), (58, 2)]);
    }
}
