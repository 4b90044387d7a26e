//! The frost seat: what is asked of each night, what its nights have taught, and what became of each call.

use propstick_agronomy::frost::{NightCover, NightLow};
use propstick_garden::advice::frost::{
    FrostAnswer, FrostCrop, FrostPlace, FrostQuestion, FrostReading, FrostScore, NightBeside, NightPast, NightSpan,
    frost, learn,
};
use propstick_garden::model::{Cover, CoverState, Garden, Role, Structure, StructureKind};
use propstick_garden::record::Seen;
use propstick_garden::wording::Fleece;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::book::{Book, PAST, Row};
use super::calls::CallBook;
use super::told::ToldNow;
use super::view::View;
use crate::engine::derive::Sources;
use crate::store::StoreError;
use crate::store::advice::KeptCalls;
use crate::store::readings::Span;

/// How many nights back are learned from.
const NIGHTS: i64 = 150;
/// How many of them are shown to the outlook.
const LATELY: usize = 5;
/// How often a night is asked about.
const ASK_AGAIN: i64 = 10 * MINUTE;
/// What is read of an evening, before its sunset.
const EVENING: i64 = 7 * HOUR;
const DAY: i64 = 24 * HOUR;

/// One structure's nights.
pub(super) struct FrostSeat {
    /// The spot whose gauge speaks: in the coldest corner if there is one, else the lead spot.
    pub(super) spot: String,
    on_leaf: bool,
    nights: Vec<NightPast>,
    learned: Option<NightLow>,
    taught_until: Option<Millis>,
    teach_again: bool,
    week_mean_c: Option<f64>,
    pub(super) calls: CallBook,
    asked_at: Option<Millis>,
    pub(super) answer: Option<FrostAnswer>,
}

impl FrostSeat {
    pub(super) fn of(garden: &Garden, structure: &Structure, lead: &str, kept: Option<KeptCalls>) -> FrostSeat {
        let corner = garden.spots_of(&structure.slug).find(|spot| spot.role == Role::Frost);
        let measures_air = |slug: &str| {
            garden
                .placements
                .iter()
                .any(|p| p.spot == slug && p.quantity == propstick_wire::quantity::Quantity::AirTemperature)
        };
        let corner = corner.filter(|spot| measures_air(&spot.slug));
        FrostSeat {
            spot: corner.map_or_else(|| lead.to_owned(), |spot| spot.slug.clone()),
            on_leaf: false,
            nights: Vec::new(),
            learned: None,
            taught_until: None,
            teach_again: false,
            week_mean_c: None,
            calls: CallBook::taken_up(kept),
            asked_at: None,
            answer: None,
        }
    }

    /// Something was told, or the ledger was looked in: the night is asked about anew.
    pub(super) fn ask_anew(&mut self) {
        self.asked_at = None;
    }

    /// Forgets what nights have taught, because older readings have come.
    pub(super) fn forget(&mut self) {
        self.nights.clear();
        self.taught_until = None;
        self.asked_at = None;
    }

    /// A reading of the gauge, taken at `at`, came late: the night is asked about anew, and a night that is over teaches once more.
    pub(super) fn late(&mut self, at: Millis) {
        self.asked_at = None;
        if self.nights.last().is_some_and(|last| at < last.span.sunrise) {
            self.nights.retain(|night| night.span.sunrise <= at);
            self.taught_until = self.taught_until.map(|until| until.min(at));
            self.teach_again = true;
        }
    }

    /// Asks about the night that goes on or comes; gives the score of the night before, once it is over, and again
    /// where readings of it came late.
    pub(super) fn ask(
        &mut self,
        sources: &Sources<'_>,
        structure: &Structure,
        view: &View,
        told: &ToldNow,
        book: &mut Book,
    ) -> Result<Option<FrostScore>, StoreError> {
        let now = view.now;
        if self.asked_at.is_some_and(|at| (0..ASK_AGAIN).contains(&now.since(at))) {
            return Ok(None);
        }
        self.asked_at = Some(now);
        let Some(night) = view.night else {
            self.answer = None;
            return Ok(None);
        };
        self.teach_again |= self.calls.turn_to(night, now);
        let mut score = None;
        if self.teach_again || self.taught_until.is_none() {
            self.teach(sources, structure, told, now, book)?;
            self.teach_again = false;
            score = self.calls.score(&self.nights, now);
        }
        // Before the afternoon nothing can be said of the night that comes.
        let from = night.sunset.plus(-EVENING);
        let readings = if now < from {
            Vec::new()
        } else {
            // Far north an evening and its night may be longer than a page.
            let read;
            let (temperature, humidity) = if now.since(from) <= PAST {
                book.recent(sources, &self.spot, now)?.since(from)
            } else {
                read = book.read(sources, &self.spot, Span { from, to: now.plus(1) })?;
                (read.temperature.as_slice(), read.humidity.as_slice())
            };
            frost_readings(temperature, humidity)
        };
        let mut q = FrostQuestion::new(now, Some(night), self.frost_place(sources.garden, structure, told, now));
        q.readings = readings;
        if let Some(spot) = view.outside_spot.as_deref().filter(|spot| now >= from && *spot != self.spot) {
            let (temperature, humidity) = book.recent(sources, spot, now)?.since(from);
            q.outside = frost_readings(temperature, humidity);
        }
        q.lately = self.nights.iter().rev().take(LATELY).rev().copied().collect();
        q.look = view.weather.look;
        q.forecast = told.heard_for_night(sources.garden.zone, night, now);
        q.wind_m_s = view.weather.wind_m_s;
        q.learned = self.learned;
        let answer = frost(&q);
        self.calls.hear(now, &answer);
        self.answer = Some(answer);
        Ok(score)
    }

    /// Takes in the nights that are over and not yet taken in.
    fn teach(
        &mut self,
        sources: &Sources<'_>,
        structure: &Structure,
        told: &ToldNow,
        now: Millis,
        book: &mut Book,
    ) -> Result<(), StoreError> {
        let (lat, lon) = (sources.garden.lat, sources.garden.lon);
        let today = now.0.div_euclid(DAY);
        let from = self.taught_until.map_or(today - NIGHTS, |until| until.0.div_euclid(DAY) - 2);
        let vents: Vec<&str> = structure.vents.iter().map(|v| v.slug.as_str()).collect();
        let place = self.frost_place(sources.garden, structure, told, now);
        for day in from..=today {
            let Some(span) = NightSpan::after_noon_of(day, lat, lon) else { continue };
            if span.sunrise > now || self.nights.last().is_some_and(|last| span.sunset <= last.span.sunset) {
                continue;
            }
            let stretch = Span { from: span.sunset.plus(-EVENING), to: span.sunrise.plus(1) };
            let marked = book.read(sources, &self.spot, stretch)?;
            if marked.temperature.is_empty() {
                continue;
            }
            let looked = told.observations.iter().rev().find_map(|o| match &o.seen {
                Seen::Look(look) if look.at >= span.sunset.plus(-3 * HOUR) && look.at < span.sunrise => Some(*look),
                _ => None,
            });
            let beside = NightBeside {
                opened: told.opened(&vents, span.sunset, span.sunrise),
                sky: looked.map(|l| l.sky),
                wind: looked.map(|l| l.wind),
                wind_m_s: None,
            };
            self.nights.push(NightPast::of(
                span,
                &place,
                &frost_readings(&marked.temperature, &marked.humidity),
                beside,
            ));
        }
        let surplus = self.nights.len().saturating_sub(NIGHTS as usize);
        self.nights.drain(..surplus);
        self.taught_until = Some(now);
        self.learned = learn(&self.nights);
        let week = Span { from: now.plus(-7 * DAY), to: now.plus(1) };
        let good = book.read(sources, &self.spot, week)?.temperature;
        let values: Vec<f64> = good.iter().filter(|(_, m)| !m.counts_as_missing()).map(|(s, _)| s.v).collect();
        // Five days of ten-minute readings, or as much at another step, would be too much to ask of a new gauge.
        let covers = good.first().is_some_and(|(s, _)| now.0 - s.t_ms >= 5 * DAY);
        self.week_mean_c = (covers && !values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64);
        Ok(())
    }

    fn frost_place(&self, garden: &Garden, structure: &Structure, told: &ToldNow, now: Millis) -> FrostPlace {
        let under = match structure.kind {
            StructureKind::Tunnel | StructureKind::LowTunnel | StructureKind::ColdFrame => Some(NightCover::Tunnel),
            StructureKind::Fleece => Some(NightCover::Fleece17),
            StructureKind::Outdoors => None,
        };
        let bed = garden.spot(&self.spot).and_then(|spot| spot.bed.as_deref());
        let lies = |cover: &&Cover| told.lies(&cover.slug, now) == Some(CoverState::On);
        let with = |fleece: Option<NightCover>| match (under, fleece) {
            (Some(NightCover::Tunnel), Some(_)) => Some(NightCover::TunnelAndFleece),
            (_, Some(fleece)) => Some(fleece),
            (under, None) => under,
        };
        let lying: Vec<&Cover> = structure.covers.iter().filter(lies).collect();
        let grown: Vec<&str> = garden
            .beds
            .iter()
            .filter(|b| b.structure == structure.slug && b.crop.is_some())
            .map(|b| b.slug.as_str())
            .collect();
        let over_crop = barest(&grown, &lying);
        let over_gauge = structure.covers.iter().filter(lies).find(|c| c.bed.is_some() && c.bed.as_deref() == bed);
        let mut crops: Vec<FrostCrop> = garden
            .beds
            .iter()
            .filter(|b| b.structure == structure.slug)
            .filter_map(|b| {
                let named = FrostCrop::of_bed(b.crop.as_deref()?)?;
                Some(FrostCrop { trays: b.trays, ..named })
            })
            .collect();
        if crops.is_empty() {
            crops = if structure.groups.is_empty() {
                FrostCrop::of_crops(structure.crops)
            } else {
                structure.groups.iter().map(|g| FrostCrop::of_group(*g)).collect()
            };
        }
        FrostPlace {
            on_leaf: self.on_leaf,
            gauge_under: with(over_gauge.map(|c| c.kind)),
            crop_under: with(over_crop),
            fleece_wet: false,
            crops,
            week_mean_c: self.week_mean_c,
        }
    }

    /// The fleece of the structure, as far as it was told how it lies.
    pub(super) fn fleece(structure: &Structure, told: &ToldNow, now: Millis, gale: bool) -> Fleece {
        if structure.covers.is_empty() {
            return Fleece::None;
        }
        // In a walk-in tunnel it lies out of the wind.
        if gale && structure.kind != StructureKind::Tunnel {
            return Fleece::Lost;
        }
        let all_on = structure.covers.iter().all(|c| told.lies(&c.slug, now) == Some(CoverState::On));
        if all_on { Fleece::On } else { Fleece::ToLay }
    }
}

/// The fleece over the least covered of the beds in which something grows; where no such bed is entered, what lies over no bed of its own. A fleece that
/// names a bed counts for that bed alone.
fn barest(beds: &[&str], lying: &[&Cover]) -> Option<NightCover> {
    let gain = |kind: &NightCover| kind.gain_c(false);
    let over = |bed: Option<&str>| {
        let of = lying.iter().filter(|c| c.bed.is_none() || (bed.is_some() && c.bed.as_deref() == bed));
        of.map(|c| c.kind).max_by(|a, b| gain(a).total_cmp(&gain(b)))
    };
    if beds.is_empty() {
        return over(None);
    }
    let each: Option<Vec<NightCover>> = beds.iter().map(|bed| over(Some(bed))).collect();
    each?.into_iter().min_by(|a, b| gain(a).total_cmp(&gain(b)))
}

/// Readings with their marks, temperature and humidity of one instant together.
fn frost_readings(temperature: &[Row], humidity: &[Row]) -> Vec<FrostReading> {
    let mut humidity = humidity.iter().peekable();
    let mut all = Vec::with_capacity(temperature.len());
    for (t, marks) in temperature {
        while humidity.next_if(|(rh, _)| rh.t_ms < t.t_ms).is_some() {}
        let rh = humidity.peek().filter(|(rh, _)| rh.t_ms == t.t_ms).map(|(rh, marks)| (rh.v, *marks));
        all.push(FrostReading::marked(Millis(t.t_ms), Some((t.v, *marks)), rh));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fleece(bed: Option<&str>, kind: NightCover) -> Cover {
        Cover {
            slug: "f".to_owned(),
            name: "the fleece".to_owned(),
            kind,
            bed: bed.map(str::to_owned),
            positions: Vec::new(),
        }
    }

    #[test]
    fn fleece_over_one_bed_covers_no_other() {
        let (trays, all) = (fleece(Some("trays"), NightCover::Fleece30), fleece(None, NightCover::Fleece17));
        assert_eq!(barest(&["trays", "west"], &[&trays]), None, "the west bed lies bare");
        assert_eq!(barest(&["trays"], &[&trays]), Some(NightCover::Fleece30));
        assert_eq!(barest(&["trays", "west"], &[&trays, &all]), Some(NightCover::Fleece17));
        assert_eq!(barest(&["west"], &[]), None);
        assert_eq!((barest(&[], &[&trays]), barest(&[], &[&all])), (None, Some(NightCover::Fleece17)));
    }
}
