//! What a spot's past has to do with its future, noon-day by noon-day.

use chrono::{DateTime, Datelike};
use chrono_tz::Tz;
use propstick_agronomy::coverage::{CADENCE_UNKNOWN_MS, CadenceWindow, HOUR_MS};
use propstick_agronomy::disease::rows;
use propstick_agronomy::risk::fold::{DiseaseDay, RiskDay, RiskFold};
use propstick_agronomy::risk::groups::{self, CropGroup};
use propstick_agronomy::risk::level::{Level, LevelState};
use propstick_agronomy::runs::Runs;
use propstick_agronomy::wetness::hours::{WetFold, WetHour};
use propstick_agronomy::wetness::samples::{AirSample, wet_hours};
use propstick_agronomy::wetness::spell::{DampDays, DampSpell, SpellFold, SpellHour};
use propstick_agronomy::wetness::state::{WetRules, WetState};
use propstick_wire::Millis;

use super::gauge::{GaugeMemory, lay_beside};
use super::tape::{TapeReader, TapeWriter};
use super::{NOON_DAY_MS, SpotAir};
use crate::fold::{date_of, noon_day};

/// From this width of a humidity's runs on, %RH, somebody doubts it altogether: a sensor's own error makes 6.
const DOUBTED_WIDTH_PCT: f64 = 20.0;
/// Hours of a noon-day.
const DAY_H: usize = 24;

/// Everything that a spot's past has to do with its future. Plain values; keep it at a noon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpotState {
    /// The leaves.
    pub wet: WetFold,
    /// Risk of all diseases.
    pub risk: RiskFold,
    /// Levels of all crop groups, in the order of [`CropGroup::ALL`].
    pub levels: [LevelState; groups::COUNT],
    /// Damp days in a row.
    pub damp_days: DampDays,
    /// The damp spell that goes on.
    pub spell: SpellFold,
    /// The wetness gauge, where there is one.
    pub gauge: GaugeMemory,
}

/// A noon-day at a spot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Night {
    /// Wet hours, and every disease.
    pub day: RiskDay,
    /// Levels after it.
    pub levels: [LevelState; groups::COUNT],
    /// Damp days in a row, up to and with it.
    pub damp_days: Runs<u32>,
    /// Mean temperature over the hours known, °C.
    pub mean_c: Option<f64>,
}

/// Room for the hours of a noon-day.
#[derive(Clone, Debug)]
pub struct DayRoom {
    /// Hours of which something is known; the others are unknown.
    pub hours: [WetHour; DAY_H],
    /// The samples with the word of a gauge.
    with_gauge: Vec<AirSample>,
}

impl Default for DayRoom {
    fn default() -> DayRoom {
        DayRoom::unknown(Millis(0))
    }
}

impl DayRoom {
    /// The noon-day that begins at `noon`, of which nothing is known.
    pub fn unknown(noon: Millis) -> DayRoom {
        DayRoom { hours: unknown_hours(noon), with_gauge: Vec::new() }
    }

    /// The hours of which something is known.
    pub fn known(&self) -> impl Iterator<Item = &WetHour> {
        self.hours.iter().filter(|h| h.covered_ms > 0)
    }
}

fn unknown_hours(noon: Millis) -> [WetHour; DAY_H] {
    std::array::from_fn(|k| WetHour::unknown(noon.0 + k as i64 * HOUR_MS))
}

/// The noon, 12:00 standard time, at or before an instant.
pub fn noon_before(zone: Tz, at: Millis) -> Millis {
    let date = date_of(zone, at);
    let noon = noon_day(zone, date).from;
    if noon <= at {
        return noon;
    }
    date.pred_opt().map_or(noon, |before| noon_day(zone, before).from)
}

impl SpotState {
    /// Begins with dry leaves at a noon.
    pub fn starting(noon: Millis) -> SpotState {
        SpotState {
            wet: WetFold::with_hours_from(noon.0),
            risk: RiskFold::starting(noon.0),
            levels: [LevelState::default(); groups::COUNT],
            damp_days: DampDays::default(),
            spell: SpellFold::default(),
            gauge: GaugeMemory::default(),
        }
    }

    /// The noon it stands at.
    pub const fn noon(&self) -> Millis {
        Millis(self.risk.day_from_ms)
    }

    /// The hours of the noon-day that begins where this state stands, in `room`, and the leaves after it: nothing else goes on.
    ///
    /// `air` holds what [`super::LOOK_BACK_MS`] asks for, and beside a gauge [`super::GAUGE_LOOK_BACK_MS`] before the noon; `cadence` goes over
    /// `air.plain`, `wettings_ms` ascend. Allocates nothing without a gauge, which is learned once a day.
    pub fn hours_of_day(
        &mut self,
        rules: &WetRules,
        air: &SpotAir,
        cadence: &mut CadenceWindow<'_>,
        wettings_ms: &[i64],
        room: &mut DayRoom,
    ) {
        let from_ms = self.risk.day_from_ms;
        room.hours = unknown_hours(Millis(from_ms));
        let DayRoom { hours, with_gauge } = room;
        let samples = match &air.gauge {
            Some(gauge) => {
                self.gauge.learn(air, from_ms);
                lay_beside(&self.gauge, air, gauge, from_ms, with_gauge);
                with_gauge.as_slice()
            }
            None => air.samples.as_slice(),
        };
        let span = from_ms..from_ms + NOON_DAY_MS;
        let cadence_ms = |end| cadence.before(end).unwrap_or(CADENCE_UNKNOWN_MS);
        wet_hours(&mut self.wet, rules, samples, wettings_ms, span, cadence_ms, |hour| {
            if let Some(place) = hours.get_mut(((hour.from_ms - from_ms) / HOUR_MS) as usize) {
                *place = *hour;
            }
        });
    }

    /// Goes through the noon-day that begins where this state stands, to its end; hours that are not known are unknown. Its hours are left in `room`.
    pub fn close_day(
        &mut self,
        rules: &WetRules,
        air: &SpotAir,
        cadence: &mut CadenceWindow<'_>,
        wettings_ms: &[i64],
        room: &mut DayRoom,
    ) -> Night {
        self.hours_of_day(rules, air, cadence, wettings_ms, room);
        self.fold(&room.hours)
    }

    /// Takes the 24 hours of a noon-day and says what it came to.
    pub fn fold(&mut self, hours: &[WetHour; DAY_H]) -> Night {
        let mut closed = None;
        for hour in hours {
            self.spell.push(&spell_hour(hour));
            self.risk.push(hour, |day| closed = Some(*day));
        }
        let day = closed.unwrap_or_else(|| self.risk.so_far());
        self.judge(&day);
        Night { day, levels: self.levels, damp_days: self.damp_days.days, mean_c: mean_c(hours.iter()) }
    }

    fn judge(&mut self, day: &RiskDay) {
        self.damp_days.push(day.scored.then(|| day.wet_h.map(f64::from)));
        if !day.scored {
            return;
        }
        for (group, level) in CropGroup::ALL.into_iter().zip(&mut self.levels) {
            if let Some(of_group) = day.group(group) {
                level.judge(of_group.risk.read);
            }
        }
    }

    /// As a row of bytes that [`SpotState::read`] takes back to the last bit. It must stand at a noon.
    pub fn written(&self) -> Vec<u8> {
        let mut tape = TapeWriter::default();
        let s = &self.wet.state;
        tape.maybe(self.wet.until_ms);
        tape.int(self.wet.cadence_ms);
        tape.flag(self.wet.watered_unseen);
        tape.int(self.wet.phase_ms);
        s.damp.as_refs().into_iter().for_each(|v| tape.flag(*v));
        for runs in [&s.guttation_ms, &s.drying_ms, &s.hoar_ms] {
            runs.as_refs().into_iter().for_each(|v| tape.int(*v));
        }
        tape.flag(s.leaf_wet);
        tape.int(s.saturated_ms);
        tape.number(s.saturated_min_c);
        tape.number(s.saturated_max_c);
        tape.int(self.risk.day_from_ms);
        tape.count(self.risk.missing_d);
        tape.count(self.risk.scored_d);
        for risk in &self.risk.risk {
            risk.as_refs().into_iter().for_each(|v| tape.number(*v));
        }
        for level in &self.levels {
            tape.int(level.level as i64);
            tape.count(level.below_raised_d);
            tape.count(level.below_high_d);
        }
        self.damp_days.days.as_refs().into_iter().for_each(|v| tape.count(*v));
        tape.maybe(self.spell.seen_until_ms);
        tape.flag(self.spell.open.is_some());
        if let Some(open) = &self.spell.open {
            tape.int(open.from_ms);
            tape.count(open.hours);
            tape.number(open.t_sum_c);
            tape.count(open.t_hours);
            tape.flag(open.begun_unseen);
            tape.flag(open.doubtful);
        }
        self.gauge.write(&mut tape);
        tape.finish()
    }

    /// What was [`SpotState::written`]; none for anything else.
    pub fn read(bytes: &[u8]) -> Option<SpotState> {
        let mut tape = TapeReader::new(bytes);
        let (until_ms, cadence_ms) = (tape.maybe()?, tape.int()?);
        let (watered_unseen, phase_ms) = (tape.flag()?, tape.int()?);
        let state = WetState {
            damp: runs(&mut tape, TapeReader::flag)?,
            guttation_ms: runs(&mut tape, TapeReader::int)?,
            drying_ms: runs(&mut tape, TapeReader::int)?,
            hoar_ms: runs(&mut tape, TapeReader::int)?,
            leaf_wet: tape.flag()?,
            saturated_ms: tape.int()?,
            saturated_min_c: tape.number()?,
            saturated_max_c: tape.number()?,
        };
        let noon_ms = tape.int()?;
        let (missing_d, scored_d) = (tape.count()?, tape.count()?);
        let mut risk = [Runs::all(0.0); rows::COUNT];
        for of_disease in &mut risk {
            *of_disease = runs(&mut tape, TapeReader::number)?;
        }
        let mut levels = [LevelState::default(); groups::COUNT];
        for of_group in &mut levels {
            let level = *Level::ALL.get(usize::try_from(tape.int()?).ok()?)?;
            *of_group = LevelState { level, below_raised_d: tape.count()?, below_high_d: tape.count()? };
        }
        let damp_days = DampDays { days: runs(&mut tape, TapeReader::count)? };
        let seen_until_ms = tape.maybe()?;
        let open = if tape.flag()? {
            Some(DampSpell {
                from_ms: tape.int()?,
                hours: tape.count()?,
                t_sum_c: tape.number()?,
                t_hours: tape.count()?,
                begun_unseen: tape.flag()?,
                ended_unseen: false,
                doubtful: tape.flag()?,
            })
        } else {
            None
        };
        let gauge = GaugeMemory::read(&mut tape)?;
        tape.is_at_end().then(|| SpotState {
            wet: WetFold { state, until_ms, cadence_ms, watered_unseen, phase_ms, ..WetFold::default() },
            risk: RiskFold { missing_d, scored_d, risk, ..RiskFold::starting(noon_ms) },
            levels,
            damp_days,
            spell: SpellFold { open, seen_until_ms },
            gauge,
        })
    }
}

impl Night {
    /// As a row of bytes, with a digest of its hours: [`Night::read`] takes it back with the state after it. Progress is not kept.
    pub fn written(&self, hours: &[WetHour]) -> Vec<u8> {
        let mut tape = TapeWriter::default();
        tape.number(self.day.measured_h);
        tape.flag(self.day.scored);
        self.day.wet_h.as_refs().into_iter().for_each(|v| tape.count(*v));
        tape.number(self.mean_c.unwrap_or(f64::NAN));
        for severity in self.day.diseases.iter().filter_map(|d| d.severity) {
            severity.as_refs().into_iter().for_each(|v| tape.number(*v));
        }
        tape.int(digest(hours));
        tape.finish()
    }

    /// What was [`Night::written`], and `after`, the state that it left; none for anything else.
    pub fn read(bytes: &[u8], after: &SpotState) -> Option<Night> {
        let mut tape = TapeReader::new(bytes);
        let (measured_h, scored) = (tape.number()?, tape.flag()?);
        let wet_h = runs(&mut tape, TapeReader::count)?;
        let mean_c = Some(tape.number()?).filter(|t_c| t_c.is_finite());
        let mut diseases = [DiseaseDay::default(); rows::COUNT];
        for (disease, risk) in diseases.iter_mut().zip(after.risk.risk) {
            disease.risk = risk;
            if scored {
                disease.severity = Some(runs(&mut tape, TapeReader::number)?);
            }
        }
        let (missing_d, scored_d) = (after.risk.missing_d, after.risk.scored_d);
        let from_ms = after.risk.day_from_ms - NOON_DAY_MS;
        tape.int()?;
        let day = RiskDay { from_ms, is_final: true, measured_h, scored, wet_h, missing_d, scored_d, diseases };
        let night = Night { day, levels: after.levels, damp_days: after.damp_days.days, mean_c };
        tape.is_at_end().then_some(night)
    }

    /// The noon-day so far: the state at its noon and the hours of it that are over, in order.
    pub fn so_far(state: &SpotState, hours: &[WetHour]) -> Night {
        let mut risk = state.risk;
        for hour in hours.iter().filter(|h| h.from_ms < state.risk.day_from_ms + NOON_DAY_MS - HOUR_MS) {
            risk.push(hour, |_| {});
        }
        let day = risk.so_far();
        let mut after = *state;
        after.judge(&day);
        Night { day, levels: after.levels, damp_days: after.damp_days.days, mean_c: mean_c(hours.iter()) }
    }
}

/// The state at the last noon before `now`, from one that was kept and the known hours since (ascending): noon-days that nobody measured are gone
/// through as unknown ones. `closed` is given each noon-day on the way.
pub fn roll_forward(kept: SpotState, hours: &[WetHour], now: Millis, mut closed: impl FnMut(&Night)) -> SpotState {
    let mut state = kept;
    while state.noon().0 + NOON_DAY_MS <= now.0 {
        let from_ms = state.noon().0;
        let mut of_day = unknown_hours(state.noon());
        let first = hours.partition_point(|h| h.from_ms < from_ms);
        for hour in hours[first..].iter().take_while(|h| h.from_ms < from_ms + NOON_DAY_MS) {
            if let Some(place) = of_day.get_mut(((hour.from_ms - from_ms) / HOUR_MS) as usize) {
                *place = *hour;
            }
        }
        closed(&state.fold(&of_day));
    }
    state
}

/// An hour as a damp spell takes it.
pub fn spell_hour(hour: &WetHour) -> SpellHour {
    let rh_pct = hour.rh_pct.filter(|_| hour.known());
    let doubtful = hour.suspect || rh_pct.is_some_and(|rh| rh.high - rh.low > DOUBTED_WIDTH_PCT);
    SpellHour { from_ms: hour.from_ms, rh_pct: rh_pct.map(|rh| rh.read), t_c: hour.t_c, doubtful }
}

/// A number that changes with any figure of the hours: FNV-1a.
fn digest(hours: &[WetHour]) -> i64 {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    let mut take = |bits: u64| hash = (hash ^ bits).wrapping_mul(0x0000_0100_0000_01b3).rotate_left(17);
    for hour in hours {
        take(hour.from_ms.cast_unsigned());
        take(hour.covered_ms.cast_unsigned());
        take(hour.frozen_ms.cast_unsigned());
        hour.wet_ms.as_refs().into_iter().for_each(|v| take(v.cast_unsigned()));
        take(hour.t_c.map_or(1, f64::to_bits));
        hour.rh_pct.iter().flat_map(Runs::as_refs).for_each(|v| take(v.to_bits()));
        take(u64::from(hour.suspect));
    }
    hash.cast_signed()
}

fn mean_c<'a>(hours: impl Iterator<Item = &'a WetHour>) -> Option<f64> {
    let (sum, n) =
        hours.filter(|h| h.known()).filter_map(|h| h.t_c).fold((0.0, 0_u32), |(sum, n), t_c| (sum + t_c, n + 1));
    (n > 0).then(|| sum / f64::from(n))
}

fn runs<'a, T>(tape: &mut TapeReader<'a>, mut read: impl FnMut(&mut TapeReader<'a>) -> Option<T>) -> Option<Runs<T>> {
    Some(Runs { low: read(tape)?, read: read(tape)?, high: read(tape)? })
}

/// The date a noon-day is named by: that of the noon it begins with, by standard time.
pub(super) fn date_of_noon(zone: Tz, noon: Millis) -> Option<chrono::NaiveDate> {
    let year = DateTime::from_timestamp_millis(noon.0)?.year();
    let offset_ms = i64::from(crate::fold::standard_offset_s(zone, year)) * 1_000;
    Some(DateTime::from_timestamp_millis(noon.0 + offset_ms)?.date_naive())
}

#[cfg(test)]
#[path = "state_tests.rs"]
mod tests;
