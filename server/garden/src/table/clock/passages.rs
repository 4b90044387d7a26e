//! How a file's own rows go through the clock changes: decided by their order before anything is read.

use std::collections::HashMap;

use propstick_wire::Millis;
use propstick_wire::millis::MINUTE;

use super::changes::{Change, Changes, Near};
use crate::table::report::ClockNote;

/// Steps of which the usual one is taken.
const STEPS: usize = 15;

/// So many passages in which the rows themselves decide are kept; a file that goes through changes more often is no record of a place.
const MAX_PASSAGES: usize = 65_536;

/// So many rows near clock changes are kept of a file that begins with its newest row: half a minute's rows of ten years.
const MAX_NEWEST_FIRST: usize = 400_000;

/// Watches the local times of a file, in its order and device by device. A file that begins with its newest row is watched from its end.
pub(in crate::table) struct Passages {
    changes: Changes,
    /// Whether rows are seen from the end of the file; their lines are then counted down from the greatest number there is.
    from_the_end: bool,
    ups: u64,
    downs: u64,
    /// Rows near a change, as long as the file may be one that begins with its newest row: device, line and local time.
    newest_first: Vec<(u32, u64, i64)>,
    tracks: Vec<Track>,
    decided: HashMap<(u32, usize), Vec<Decided>>,
    kept: usize,
    notes: Vec<ClockNote>,
    notes_left_out: u64,
}

/// From `from_line` on, rows before `switch_line` are before the change, the others behind it.
#[derive(Clone, Copy, Debug)]
struct Decided {
    from_line: u64,
    switch_line: u64,
}

#[derive(Clone, Debug, Default)]
struct Track {
    last_ms: Option<i64>,
    steps: Vec<i64>,
    /// The first steps back: what is usual in a file that begins with its newest row.
    steps_back: Vec<i64>,
    next_step: usize,
    open: Option<Open>,
}

/// A passage through the window of a change that has not ended yet.
#[derive(Clone, Copy, Debug)]
struct Open {
    change: usize,
    from_line: u64,
    /// Rows in the hour that comes twice or not at all, and the first of them.
    in_hour: u64,
    first_in_hour: u64,
    /// The place where the logger's own clock changed, as far as is known: how far the step is off, and the line behind it.
    best: Option<(i64, u64)>,
}

impl Track {
    fn usual_step(&self) -> Option<i64> {
        let mut steps = self.steps.clone();
        steps.sort_unstable();
        steps.get(steps.len().checked_sub(1)? / 2).copied()
    }

    fn take_step(&mut self, step: i64) {
        if self.steps.len() < STEPS {
            self.steps.push(step);
        } else {
            self.steps[self.next_step] = step;
            self.next_step = (self.next_step + 1) % STEPS;
        }
    }
}

impl Passages {
    pub(in crate::table) fn new(changes: Changes) -> Passages {
        Passages {
            changes,
            from_the_end: false,
            ups: 0,
            downs: 0,
            newest_first: Vec::new(),
            tracks: Vec::new(),
            decided: HashMap::new(),
            kept: 0,
            notes: Vec::new(),
            notes_left_out: 0,
        }
    }

    fn note_direction(&mut self, device: u32, line: u64, local_ms: i64, step: Option<i64>, near: Near) {
        self.ups += u64::from(step.is_some_and(|step| step > 0));
        self.downs += u64::from(step.is_some_and(|step| step < 0));
        if self.downs < self.ups {
            self.newest_first.clear();
        } else if matches!(near, Near::Change(_)) && self.newest_first.len() < MAX_NEWEST_FIRST {
            self.newest_first.push((device, line, local_ms));
        }
    }

    /// Sees the next row with a local time.
    pub(in crate::table) fn see(&mut self, device: u32, line: u64, local_ms: i64) {
        let place = device as usize;
        if self.tracks.len() <= place {
            self.tracks.resize_with(place + 1, Track::default);
        }
        let near = self.changes.near(local_ms);
        let step = self.tracks[place].last_ms.map(|last| local_ms - last);
        if !self.from_the_end {
            self.note_direction(device, line, local_ms, step, near);
        }
        let track = &mut self.tracks[place];
        let is_new = match (track.open, near) {
            (Some(open), Near::Change(number)) => {
                let shift_ms = self.changes.get(number).shift_ms().abs();
                open.change != number || step.is_some_and(|step| step < -2 * shift_ms)
            }
            (_, Near::Change(_)) => true,
            (_, Near::Clear(_)) => false,
        };
        if (is_new || matches!(near, Near::Clear(_)))
            && let Some(open) = track.open.take()
        {
            self.close(device, open);
        }
        let track = &mut self.tracks[place];
        if let Near::Change(number) = near {
            let change = self.changes.get(number);
            let begun = Open { change: number, from_line: line, in_hour: 0, first_in_hour: line, best: None };
            let mut open = track.open.unwrap_or(begun);
            if let (Some(last), Some(step)) = (track.last_ms, step)
                && let Some(off) = misfit_ms(&change, &open, last, local_ms, step, track)
                && open.best.is_none_or(|(best, _)| off < best)
            {
                open.best = Some((off, line));
            }
            let (from, until) = change.hour();
            if (from..until).contains(&local_ms) {
                if open.in_hour == 0 {
                    open.first_in_hour = line;
                }
                open.in_hour += 1;
            }
            track.open = Some(open);
        }
        match step {
            Some(step @ 1..) => track.take_step(step),
            Some(step @ ..=-1) if track.steps_back.len() < STEPS => track.steps_back.push(-step),
            _ => {}
        }
        track.last_ms = Some(local_ms);
    }

    /// Ends the watching: from here on instants are told.
    pub(in crate::table) fn end(mut self) -> Resolver {
        if !self.from_the_end && self.downs > 2 * self.ups {
            let mut watched = Passages { from_the_end: true, ..Passages::new(self.changes) };
            watched
                .tracks
                .extend(self.tracks.into_iter().map(|track| Track { steps: track.steps_back, ..Track::default() }));
            for (device, line, local_ms) in self.newest_first.into_iter().rev() {
                watched.see(device, u64::MAX - line, local_ms);
            }
            return watched.end();
        }
        for place in 0..self.tracks.len() {
            if let Some(open) = self.tracks[place].open.take() {
                self.close(place as u32, open);
            }
        }
        if self.notes_left_out > 0 {
            let what = format!("and {} notes more of this kind", self.notes_left_out);
            self.notes.push(ClockNote { at: self.notes.last().map_or(Millis(0), |note| note.at), what });
        }
        let Passages { changes, from_the_end, decided, notes, .. } = self;
        Resolver { changes, from_the_end, decided, notes }
    }

    fn close(&mut self, device: u32, open: Open) {
        let change = self.changes.get(open.change);
        if let Some((_, switch_line)) = open.best
            && self.kept < MAX_PASSAGES
        {
            self.kept += 1;
            let decided = Decided { from_line: open.from_line, switch_line };
            self.decided.entry((device, open.change)).or_default().push(decided);
        }
        let Some(what) = note(&change, &open, self.from_the_end) else { return };
        if self.notes.len() < crate::table::report::MAX_ENTRIES {
            self.notes.push(ClockNote { at: change.at, what });
        } else {
            self.notes_left_out += 1;
        }
    }
}

/// How far the step from `last` to `here` is off what the logger's own change of clock would make of its usual step; none where it cannot be one.
fn misfit_ms(change: &Change, open: &Open, last: i64, here: i64, step: i64, track: &Track) -> Option<i64> {
    let shift = change.shift_ms();
    let (from, until) = change.hour();
    let usual = track.usual_step();
    let off = usual.map(|usual| (step - usual - shift).abs());
    if shift < 0 {
        if here < from || step < shift || (step <= 0 && last < from) {
            return None;
        }
        return match (step, usual.zip(off)) {
            // Within the hour that comes twice, any step back is the change.
            (..=-1, known) if last < until => Some(known.map_or(0, |(_, off)| off)),
            // Later: a step back that is off by at most one row.
            (..=-1, Some((usual, off))) => (off <= usual).then_some(off),
            // A row an hour: the same time twice.
            (0, Some((usual, off))) => (2 * off <= usual).then_some(off),
            // Rows further apart than the shift: a step that is shorter by just that.
            (1.., Some((usual, off))) => (usual > -shift && 100 * off <= usual && track.steps.len() > 2).then_some(off),
            (_, None) => None,
        };
    }
    // Ahead: only a logger that ran on through the hour that is left out can change late.
    let ran_through = open.in_hour > 0 && open.first_in_hour == open.from_line;
    let (usual, off) = usual.zip(off)?;
    (ran_through && last >= from && step > 0 && track.steps.len() > 2 && 2 * off <= usual.min(shift)).then_some(off)
}

fn note(change: &Change, open: &Open, from_the_end: bool) -> Option<String> {
    let minutes = change.shift_ms().abs() / MINUTE;
    let line_of = |line: u64| if from_the_end { u64::MAX - line } else { line };
    let (in_hour, first_in_hour) = (open.in_hour, line_of(open.first_in_hour));
    let best = open.best.map(|(off, line)| (off, line_of(line)));
    match (change.shift_ms() < 0, best, in_hour) {
        (true, Some((_, line)), _) if from_the_end => Some(format!(
            "the clock goes back by {minutes} min; the rows show it in line {line}: that row and those above it are read as winter time, those below as summer time"
        )),
        (true, Some((_, line)), _) => Some(format!(
            "the clock goes back by {minutes} min; the rows show it in line {line}: rows before it are read as summer time, from it on as winter time"
        )),
        (true, None, 1..) => Some(format!(
            "the clock goes back by {minutes} min, but the time that comes twice is there once ({in_hour} rows from line {first_in_hour}); read as the first of the two"
        )),
        (false, Some((_, line)), _) => Some(format!(
            "the clock goes ahead by {minutes} min; this logger's own was put in line {line} only: rows before it are read as winter time"
        )),
        (false, None, 1..) => Some(format!(
            "the clock goes ahead by {minutes} min, but the rows run through the time that is left out ({in_hour} rows from line {first_in_hour}, set aside): this logger does not seem to change its clock; an offset all year, such as \"{}\", would fit",
            super::Clock::Fixed((change.before_ms / 1000) as i32)
        )),
        (_, None, 0) => None,
    }
}

/// Makes instants of local times, as the watching has decided.
pub(in crate::table) struct Resolver {
    changes: Changes,
    from_the_end: bool,
    decided: HashMap<(u32, usize), Vec<Decided>>,
    notes: Vec<ClockNote>,
}

impl Resolver {
    /// The instant of a row; none in the hour that is left out. At the very beginning of that hour stands the change itself where `is_boundary`: for
    /// times that end an interval, and for dates whose midnight is left out.
    pub(in crate::table) fn instant(
        &mut self,
        device: u32,
        line: u64,
        local_ms: i64,
        is_boundary: bool,
    ) -> Option<Millis> {
        let line = if self.from_the_end { u64::MAX - line } else { line };
        let number = match self.changes.near(local_ms) {
            Near::Clear(offset_ms) => return Some(Millis(local_ms - offset_ms)),
            Near::Change(number) => number,
        };
        let change = self.changes.get(number);
        let (from, until) = change.hour();
        let is_in_hour = (from..until).contains(&local_ms);
        let decided = self.decided.get(&(device, number)).and_then(|all| {
            let behind = all.partition_point(|decided| decided.from_line <= line);
            all.get(behind.checked_sub(1)?)
        });
        let is_before = match decided {
            Some(decided) => line < decided.switch_line,
            None => change.shift_ms() < 0 && is_in_hour,
        };
        match (is_before, change.shift_ms() > 0 && is_in_hour) {
            (true, _) => Some(Millis(local_ms - change.before_ms)),
            (false, false) => Some(Millis(local_ms - change.after_ms)),
            (false, true) if is_boundary && local_ms == from => Some(change.at),
            (false, true) => None,
        }
    }

    /// What became of the changes.
    pub(in crate::table) fn notes(self) -> Vec<ClockNote> {
        self.notes
    }
}
