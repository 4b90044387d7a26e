//! Traffic as a recording.

use std::collections::{BTreeSet, HashMap};
use std::fmt::Write;
use std::iter::Peekable;
use std::ops::ControlFlow;
use std::path::Path;
use std::vec::IntoIter;

use propstick_garden::decode::Book;
use propstick_garden::exchange::recording::{Kept, Recorded, Recorder, RefusedMessage};
use propstick_garden::exchange::{Outlet, series_key};
use propstick_garden::instant::to_rfc3339;
use propstick_garden::record::{Did, Saw};
use propstick_garden::took::{RawReading, SeriesKey, SeriesKind};
use propstick_wire::{BoardUrn, Millis, QueueId, Topic};
use serde_json::{Value, json};

use super::{ExportError, Give, Stretch};
use crate::store::folder::{garden_path, readings_path};
use crate::store::garden::GardenDb;
use crate::store::garden::events::Telling;
use crate::store::outgoing::{Arrival, KeptState};
use crate::store::readings::{Refused, Span};
use crate::store::{Readings, SeriesId, StoreError};

/// So many refused things are held at once.
const REFUSED_AT_ONCE: usize = 64;

/// What was written and what was not.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordingTold {
    /// What came of it.
    pub recorded: Recorded,
    /// Imported files, which are no traffic.
    pub imports: u64,
    /// Things told, and things taken back.
    pub told: u64,
}

/// Writes what arrived in a stretch as lines for `replay`.
///
/// # Errors
/// A folder without readings; a store that cannot be read.
pub fn recording(folder: &Path, stretch: Stretch, book: &Book, give: Give<'_>) -> Result<RecordingTold, ExportError> {
    super::must_have_readings(folder)?;
    let readings = Readings::open(&readings_path(folder))?;
    let (from, to) = stretch.ends();
    let span = Span { from, to };
    let mut desk = Desk {
        keys: Keys::of(&readings)?,
        refused: RefusedPages::of(&readings, span),
        states: readings.states(span)?.into_iter().peekable(),
        recorder: Recorder::new(book, free_queue(&readings)?),
        told: told(folder, span)?.into_iter().peekable(),
        told_count: 0,
        out: Outlet::new(give),
        readings: &readings,
        failed: None,
    };
    let mut moment: Vec<Arrival> = Vec::new();
    let mut is_over = false;
    readings.traffic(span, &mut |arrival| {
        if moment.first().is_some_and(|a| a.arrived != arrival.arrived) {
            if desk.moment(&moment).is_break() {
                is_over = true;
                return ControlFlow::Break(());
            }
            moment.clear();
        }
        moment.push(arrival);
        ControlFlow::Continue(())
    })?;
    if !is_over && desk.moment(&moment).is_continue() && desk.others_before(None).is_continue() {
        let _ = desk.out.flush();
    }
    match desk.failed {
        Some(error) => Err(error.into()),
        None => {
            Ok(RecordingTold { told: desk.told_count, recorded: desk.recorder.done(), imports: readings.imports()? })
        }
    }
}

/// All that is needed to write what arrived, moment by moment.
struct Desk<'d> {
    readings: &'d Readings,
    keys: Keys,
    refused: RefusedPages<'d>,
    states: Peekable<IntoIter<KeptState>>,
    recorder: Recorder<'d>,
    /// What people told, as lines with their instants, in order.
    told: Peekable<IntoIter<(Millis, String)>>,
    told_count: u64,
    out: Outlet<'d>,
    /// What went wrong; then it is broken off.
    failed: Option<StoreError>,
}

impl Desk<'_> {
    /// Writes all that arrived when these readings did, and before it what arrived since the last moment and brought no reading.
    fn moment(&mut self, arrivals: &[Arrival]) -> ControlFlow<()> {
        let Some(at) = arrivals.first().map(|a| a.arrived) else { return ControlFlow::Continue(()) };
        self.others_before(Some(at))?;
        let refused = self.refused_at(at)?;
        self.write(at, arrivals, &refused)
    }

    /// Writes what was refused and told before `end`, or to the end of all.
    fn others_before(&mut self, end: Option<Millis>) -> ControlFlow<()> {
        while let Some(at) = self.next_refused()?.filter(|at| end.is_none_or(|end| *at < end)) {
            self.people_before(Some(at))?;
            let refused = self.refused_at(at)?;
            self.write(at, &[], &refused)?;
        }
        while let Some(state) = self.states.next_if(|s| end.is_none_or(|end| s.arrived <= end)) {
            self.people_before(Some(state.arrived))?;
            if let Ok(board) = BoardUrn::parse(&state.urn) {
                self.recorder.state(&board, state.arrived, state.retained, &state.payload, &mut self.out)?;
            }
        }
        self.people_before(end)
    }

    /// Writes what people told before `end`, or to the end of all.
    fn people_before(&mut self, end: Option<Millis>) -> ControlFlow<()> {
        while let Some((_, line)) = self.told.next_if(|(at, _)| end.is_none_or(|end| *at < end)) {
            let _ = writeln!(self.out, "{line}");
            self.told_count += 1;
        }
        ControlFlow::Continue(())
    }

    fn write(&mut self, at: Millis, arrivals: &[Arrival], refused: &[Refused]) -> ControlFlow<()> {
        let Desk { readings, keys, recorder, out, failed, .. } = self;
        let kept: Vec<Kept<'_>> = arrivals
            .iter()
            .filter_map(|a| Some(Kept { series: keys.by_id.get(&a.series)?, t: a.t, v: a.v, facts: a.facts }))
            .collect();
        let refused: Vec<RefusedMessage<'_>> = refused
            .iter()
            .map(|r| RefusedMessage { topic: &r.topic, payload: &r.payload, reason: &r.reason, detail: &r.detail })
            .collect();
        let mut is_kept = |r: &RawReading| match keys.by_key.get(&r.series) {
            None => false,
            Some(id) => readings.is_kept(*id, r.t, r.v, at.plus(-1)).unwrap_or_else(|error| {
                *failed = Some(error);
                false
            }),
        };
        let done = recorder.moment(at, &kept, &refused, &mut is_kept, out);
        if self.failed.is_some() { ControlFlow::Break(()) } else { done }
    }

    fn next_refused(&mut self) -> ControlFlow<(), Option<Millis>> {
        let next = self.refused.peek().map(|r| r.map(|r| r.at));
        self.or_break(next)
    }

    fn refused_at(&mut self, at: Millis) -> ControlFlow<(), Vec<Refused>> {
        let mut all = Vec::new();
        while self.next_refused()? == Some(at) {
            all.extend(self.refused.take());
        }
        ControlFlow::Continue(all)
    }

    fn or_break<T>(&mut self, result: Result<T, StoreError>) -> ControlFlow<(), T> {
        match result {
            Ok(found) => ControlFlow::Continue(found),
            Err(error) => {
                self.failed = Some(error);
                ControlFlow::Break(())
            }
        }
    }
}

/// What people told in a stretch, as lines of a recording: things done, things seen or heard, and what was taken back of both.
fn told(folder: &Path, span: Span) -> Result<Vec<(Millis, String)>, StoreError> {
    if !garden_path(folder).is_file() {
        return Ok(Vec::new());
    }
    let db = GardenDb::open_reader(&garden_path(folder))?;
    let line = |at: Millis, what: &str, body: Value| (at, json!({"recv": to_rfc3339(at), what: body}).to_string());
    let mut all: Vec<(Millis, String)> = Vec::new();
    for (at, telling) in db.events().told(span.from, span.to)? {
        all.push(match telling {
            Telling::Told(event) => line(at, "did", serde_json::to_value(Did::of(&event)).unwrap_or_default()),
            Telling::TakenBack(n) => line(at, "undo", json!({"did": n})),
        });
    }
    for (at, telling) in db.observations().told(span.from, span.to)? {
        all.push(match telling {
            Telling::Told(seen) => line(at, "seen", serde_json::to_value(Saw::of(&seen)).unwrap_or_default()),
            Telling::TakenBack(n) => line(at, "undo", json!({"seen": n})),
        });
    }
    all.sort_by_key(|(at, _)| *at);
    Ok(all)
}

/// The series by their numbers and the other way round.
struct Keys {
    by_id: HashMap<SeriesId, SeriesKey>,
    by_key: HashMap<SeriesKey, SeriesId>,
}

impl Keys {
    fn of(readings: &Readings) -> Result<Keys, StoreError> {
        let mut keys = Keys { by_id: HashMap::new(), by_key: HashMap::new() };
        for s in readings.series()? {
            let key = SeriesKind::from_word(&s.kind).zip(series_key(&s.urn, &s.channel, &s.unit_sent));
            let Some((kind, key)) = key else { continue };
            let key = SeriesKey { kind, span_s: s.span_s, stamp_end: s.stamp_end, ..key };
            keys.by_id.insert(s.id, key.clone());
            keys.by_key.insert(key, s.id);
        }
        Ok(keys)
    }
}

/// The highest number that no refused message names as its queue.
fn free_queue(readings: &Readings) -> Result<QueueId, StoreError> {
    let mut all = RefusedPages::of(readings, Span { from: Millis(i64::MIN), to: Millis(i64::MAX) });
    let mut taken = BTreeSet::new();
    while all.peek()?.is_some() {
        if let Some(refused) = all.take()
            && let Some(Topic::Report { queue, .. }) = Topic::parse(&refused.topic)
        {
            taken.insert(queue.0);
        }
    }
    Ok(QueueId((0..=u32::MAX).rev().find(|n| !taken.contains(n)).unwrap_or(u32::MAX)))
}

/// What was refused, from the oldest on, a page at a time.
struct RefusedPages<'r> {
    readings: &'r Readings,
    span: Span,
    after: (Millis, i64),
    page: Vec<Refused>,
}

impl<'r> RefusedPages<'r> {
    fn of(readings: &'r Readings, span: Span) -> RefusedPages<'r> {
        RefusedPages { readings, span, after: (Millis(i64::MIN), i64::MIN), page: Vec::new() }
    }

    /// The next one.
    fn peek(&mut self) -> Result<Option<&Refused>, StoreError> {
        if self.page.is_empty() {
            self.page = self.readings.refused_after(self.after, self.span, REFUSED_AT_ONCE)?;
            self.page.reverse();
        }
        Ok(self.page.last())
    }

    /// Takes the one that was looked at.
    fn take(&mut self) -> Option<Refused> {
        let next = self.page.pop()?;
        self.after = (next.at, next.id);
        Some(next)
    }
}
