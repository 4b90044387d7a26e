//! What the leaves of a structure went through, as it stands now: from noon-days and wet hours that are kept, carried on to the present.

pub mod days;

use propstick_agronomy::disease::rows::Disease;
use propstick_agronomy::quality::Place;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::runs::Runs;
use propstick_agronomy::wetness::hours::{Leaf, WetHour};
use propstick_agronomy::wetness::spell::{DampSpell, SpellFold};
use propstick_garden::fold::{DayKind, Figure, Why, civil_day, date_of, wet_hours_of};
use propstick_garden::model::{Garden, Role, Spot, Structure, StructureKind};
use propstick_garden::record::{EventKind, NOTHING, UNSCORED};
use propstick_garden::season::{
    BlightOutdoors, DayWeather, Flags, Found, GroupRisk, LEAVES_LOOK_BACK_MS, Look, NOON_DAY_MS, Night, PastDay,
    SpotNight, SpotState, WeekStanding, blight_outdoors, day_weather, group_risks, look_for, noon_before, roll_forward,
    spell_hour, week_standing, weekly_look,
};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use propstick_wire::quantity::Quantity;

use crate::store::StoreError;
use crate::store::derived::Seasons;
use crate::store::garden::GardenDb;
use crate::store::garden::told::Wanted;
use crate::store::readings::Span;

/// How old the last known hour may be for leaves to be said to be wet or dry now: its end, and the silence after which a spot is stale for advice.
const NOW_WITHIN: i64 = 90 * MINUTE;
/// How far back a disease's window can have opened, noon-days: the longest latent time.
const WINDOWS_BACK_D: i64 = 90;

/// A spot as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct SpotSeason {
    /// The spot.
    pub spot: String,
    /// The state at the last noon.
    pub state: SpotState,
    /// The last noon-day that is over; none where none is.
    pub last: Option<Night>,
    /// The noon-day that goes on, so far.
    pub so_far: Night,
    /// Known hours of the last eight days and what is known of the running hour, ascending.
    pub hours: Vec<WetHour>,
    /// The damp spell that goes on: hours in a row of 90 %RH and more.
    pub spell: Option<DampSpell>,
}

/// A structure as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct StructureSeason {
    /// Its spots of which anything is known.
    pub spots: Vec<SpotSeason>,
    /// Its crop groups.
    pub groups: Vec<CropGroup>,
    /// What was found in it lately.
    pub found: Vec<Found>,
    /// When this is.
    pub now: Millis,
}

/// What leaves are like at an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeavesNow {
    /// Wet somewhere in the structure.
    Wet,
    /// Dry wherever it is known.
    Dry,
    /// At or below 0 °C: neither.
    Frozen,
    /// Not known.
    Unknown,
}

impl LeavesNow {
    /// Its word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            LeavesNow::Wet => "wet",
            LeavesNow::Dry => "dry",
            LeavesNow::Frozen => "frozen",
            LeavesNow::Unknown => "unknown",
        }
    }

    /// What leaves are like, as an hour has it.
    pub const fn leaf(self) -> Leaf {
        match self {
            LeavesNow::Wet => Leaf::Wet,
            LeavesNow::Dry => Leaf::Dry,
            LeavesNow::Frozen => Leaf::Frozen,
            LeavesNow::Unknown => Leaf::Unknown,
        }
    }
}

/// The spots of a structure that can tell of its leaves: those with air temperature and humidity.
pub fn leaf_spots<'a>(garden: &'a Garden, structure: &'a str) -> impl Iterator<Item = &'a str> {
    garden.spots_of(structure).map(|s| s.slug.as_str()).filter(|spot| {
        let placed = |q| garden.placements.iter().any(|p| p.spot == *spot && p.quantity == q);
        placed(Quantity::AirTemperature) && placed(Quantity::AirHumidity)
    })
}

/// How far back what was found can still raise a level, ms: 21 days and one to spare.
pub const FOUND_BACK: i64 = 22 * NOON_DAY_MS;

/// Diseases that were found in a structure in `[since, now]`, as somebody told.
///
/// # Errors
/// A store that cannot be read.
pub fn found_in(
    db: &GardenDb,
    garden: &Garden,
    structure: &str,
    since: Millis,
    now: Millis,
) -> Result<Vec<Found>, StoreError> {
    let kind = Some(EventKind::Found.word().to_owned());
    let told = db.events().list(&Wanted { from: since, to: now.plus(1), kind, ..Wanted::all() })?;
    let scored = |what: &str| what != NOTHING && UNSCORED.iter().all(|(word, _)| *word != what);
    let here = told.iter().filter(|e| e.structure(garden) == Some(structure) && e.what.as_deref().is_none_or(scored));
    let disease = |what: &str| Disease::ALL.into_iter().find(|d| d.row().id == what);
    Ok(here.map(|e| Found { disease: e.what.as_deref().and_then(disease), at: e.t }).collect())
}

/// The season of a structure as it stands at `now`, with what was `found` in it.
///
/// # Errors
/// A store that cannot be read.
pub fn structure_season(
    seasons: &dyn Seasons,
    garden: &Garden,
    structure: &Structure,
    found: Vec<Found>,
    now: Millis,
) -> Result<StructureSeason, StoreError> {
    let mut spots = Vec::new();
    for spot in leaf_spots(garden, &structure.slug) {
        spots.extend(spot_season(seasons, garden, spot, now)?);
    }
    Ok(StructureSeason { spots, groups: structure.crop_groups().to_vec(), found, now })
}

/// The season of a spot as it stands at `now`; none where nothing is known of it.
///
/// # Errors
/// A store that cannot be read.
pub fn spot_season(
    seasons: &dyn Seasons,
    garden: &Garden,
    spot: &str,
    now: Millis,
) -> Result<Option<SpotSeason>, StoreError> {
    // Noon-days that are over now: a stopped clock may stand before what is known.
    let kept = seasons.last_night(spot, now.plus(1 - NOON_DAY_MS))?;
    let (kept_state, kept_night) = match &kept {
        Some(kept) => (Some(kept.state), Some(kept.night)),
        None => (None, None),
    };
    let back = kept_state.map_or(i64::MIN, |s| s.noon().0.min(now.0) - LEAVES_LOOK_BACK_MS - NOON_DAY_MS);
    let hours = seasons.wet_hours(spot, Span { from: Millis(back), to: now })?;
    let begin = match (kept_state, hours.first()) {
        (Some(state), _) => state,
        (None, Some(first)) => SpotState::starting(noon_before(garden.zone, Millis(first.from_ms))),
        (None, None) => return Ok(None),
    };
    let over = over(&hours, now);
    let mut last = kept_night;
    let state = roll_forward(begin, over, now, |night| last = Some(*night));
    let mut since: Vec<WetHour> = over[over.partition_point(|h| h.from_ms < state.noon().0)..].to_vec();
    // What is not known up to now is unknown, and not yet to come.
    let last_whole = now.0 - (now.0 - state.noon().0).rem_euclid(HOUR) - HOUR;
    if last_whole >= state.noon().0 && since.last().is_none_or(|h| h.from_ms < last_whole) {
        since.push(WetHour::unknown(last_whole));
    }
    let so_far = Night::so_far(&state, &since);
    let mut spell: SpellFold = state.spell;
    let mut at = state.noon().0;
    for hour in &since {
        // An hour left out ends a spell.
        if hour.from_ms > at {
            spell.push(&spell_hour(&WetHour::unknown(at)));
        }
        spell.push(&spell_hour(hour));
        at = hour.from_ms + HOUR;
    }
    let from = hours.partition_point(|h| h.from_ms < state.noon().0 - LEAVES_LOOK_BACK_MS - NOON_DAY_MS);
    let hours = hours[from..].to_vec();
    Ok(Some(SpotSeason { spot: spot.to_owned(), state, last, so_far, hours, spell: spell.open }))
}

impl StructureSeason {
    /// The risk of each crop group after the last noon-day that is over: that of the worst spot.
    pub fn risks(&self) -> Vec<GroupRisk<'_>> {
        group_risks(&self.nights(), &self.groups, &self.found, self.now)
    }

    /// The noon-day before the last one that is over, by spot.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn nights_before(&self, seasons: &dyn Seasons) -> Result<Vec<(String, Night)>, StoreError> {
        let mut all = Vec::new();
        for s in &self.spots {
            let kept = seasons.last_night(&s.spot, s.state.noon().plus(1 - 2 * NOON_DAY_MS))?;
            all.extend(kept.map(|k| (s.spot.clone(), k.night)));
        }
        Ok(all)
    }

    /// The risk of each crop group after the noon-days of [`Self::nights_before`].
    pub fn risks_of<'a>(&self, nights: &'a [(String, Night)]) -> Vec<GroupRisk<'a>> {
        let nights: Vec<SpotNight<'_>> = nights.iter().map(|(spot, night)| SpotNight { spot, night }).collect();
        group_risks(&nights, &self.groups, &self.found, self.now.plus(-NOON_DAY_MS))
    }

    /// The last noon-day that is over at each spot that has one.
    pub fn nights(&self) -> Vec<SpotNight<'_>> {
        self.spots.iter().filter_map(|s| Some(SpotNight { spot: &s.spot, night: s.last.as_ref()? })).collect()
    }

    /// The noon-day that goes on at each spot, so far.
    pub fn so_far(&self) -> Vec<SpotNight<'_>> {
        self.spots.iter().map(|s| SpotNight { spot: &s.spot, night: &s.so_far }).collect()
    }

    /// What leaves are like now: wet where any spot's are.
    pub fn leaves_now(&self) -> LeavesNow {
        let of_spot = |s: &SpotSeason| {
            let near = s.hours.iter().rev().find(|h| h.known())?;
            (near.from_ms + HOUR + NOW_WITHIN > self.now.0).then(|| near.leaf().read)
        };
        let all: Vec<Leaf> = self.spots.iter().filter_map(of_spot).collect();
        if all.contains(&Leaf::Wet) {
            LeavesNow::Wet
        } else if all.contains(&Leaf::Dry) {
            LeavesNow::Dry
        } else if all.contains(&Leaf::Frozen) {
            LeavesNow::Frozen
        } else {
            LeavesNow::Unknown
        }
    }

    /// Wet hours of a stretch at the spot that was wettest of those that know.
    pub fn wet_hours(&self, from: Millis, to: Millis) -> Figure {
        let of_spot = self.spots.iter().map(|s| wet_hours_of(over(&s.hours, self.now), from, to));
        of_spot
            .reduce(|a, b| if b.value.unwrap_or(-1.0) > a.value.unwrap_or(-1.0) { b } else { a })
            .unwrap_or(Figure::unknown(Why::NotMeasured, 0.0))
    }

    /// Wet hours of the last whole 24 h.
    pub fn wet_hours_24(&self) -> Figure {
        let to = Millis(self.now.0.div_euclid(HOUR) * HOUR);
        self.wet_hours(to.plus(-24 * HOUR), to)
    }

    /// Damp days in a row up to the last noon-day that is over, at the spot with the longest row as read.
    pub fn damp_days(&self) -> Runs<u32> {
        let all = self.spots.iter().filter_map(|s| s.last.as_ref()).map(|n| n.damp_days);
        all.max_by_key(|d| d.read).unwrap_or(Runs::all(0))
    }

    /// The longest damp spell that goes on, of those that no sensor's doubt has made.
    pub fn spell(&self) -> Option<DampSpell> {
        self.spots.iter().filter_map(|s| s.spell).filter(|s| !s.doubtful).max_by_key(|s| s.hours)
    }

    /// Since when the humidity of every spot that knows any has been doubtful (stuck at the top); none where one is sound.
    pub fn gauge_doubtful_since(&self) -> Option<Millis> {
        let since = |s: &SpotSeason| {
            let last = s.hours.iter().rev().find(|h| h.known())?;
            let first = s.hours.iter().rev().filter(|h| h.known()).take_while(|h| h.suspect).last();
            Some(first.filter(|_| last.suspect).map(|h| Millis(h.from_ms)))
        };
        let all: Vec<Option<Millis>> = self.spots.iter().filter_map(since).collect();
        if all.is_empty() { None } else { all.into_iter().collect::<Option<Vec<Millis>>>()?.into_iter().min() }
    }

    /// What the stretch was like at the spot with the most frozen hours, then the most wet ones.
    pub fn weather(&self, from: Millis, to: Millis) -> DayWeather {
        let all = self.spots.iter().map(|s| day_weather(over(&s.hours, self.now), from, to));
        all.max_by_key(|d| (d.frozen_h, d.wet_h.read)).unwrap_or_default()
    }

    /// The flags of the last noon-day that is over, at its worst spot.
    pub fn flags(&self, garden: &Garden, soil_moist: Option<bool>) -> Option<Flags> {
        let spot = self.spots.iter().filter(|s| s.last.is_some()).max_by_key(|s| {
            let wet_h = s.last.as_ref().map_or(0, |n| n.day.wet_h.read);
            (s.last.as_ref().is_some_and(|n| n.day.scored), wet_h)
        })?;
        let noon = spot.state.noon().plus(-NOON_DAY_MS);
        Some(Flags::of_day(over(&spot.hours, self.now), noon, garden.zone, (garden.lat, garden.lon), soil_moist))
    }
}

/// Where this week stands among the structure's own weeks of that month: its lead spot's, or the first spot's that can tell.
///
/// # Errors
/// A store that cannot be read.
pub fn week_of(
    seasons: &dyn Seasons,
    garden: &Garden,
    structure: &Structure,
    now: Millis,
) -> Result<Option<WeekStanding>, StoreError> {
    let lead = garden.lead_spot(structure).map(|s| s.slug.as_str());
    let Some(spot) = leaf_spots(garden, &structure.slug)
        .find(|s| Some(*s) == lead)
        .or_else(|| leaf_spots(garden, &structure.slug).next())
    else {
        return Ok(None);
    };
    let nights = seasons.nights(spot, Span { from: Millis(i64::MIN), to: now.plus(1 - NOON_DAY_MS) })?;
    let past = |n: &crate::store::derived::KeptNight| PastDay {
        date: date_of(garden.zone, n.noon),
        wet_h: n.night.day.scored.then(|| n.night.day.wet_h.map(f64::from)),
    };
    let days: Vec<PastDay> = nights.iter().map(past).collect();
    // A week that ended long ago is not this week.
    let is_lately = nights.last().is_some_and(|n| n.noon.0 + 2 * NOON_DAY_MS > now.0);
    Ok(if is_lately { week_standing(&days) } else { None })
}

/// Days to look for spots, by all spots of a structure together, and the diseases whose look is due in the seven days from now. Days are counted from
/// 1970-01-01.
///
/// # Errors
/// A store that cannot be read.
pub fn looks_of(
    seasons: &dyn Seasons,
    garden: &Garden,
    structure: &Structure,
    now: Millis,
) -> Result<(Vec<Look>, Vec<Disease>), StoreError> {
    let day_of = |at: Millis| i64::from(chrono::Datelike::num_days_from_ce(&date_of(garden.zone, at))) - 719_163;
    let today = day_of(now);
    let span = Span { from: now.plus(-(WINDOWS_BACK_D + 1) * NOON_DAY_MS), to: now.plus(1 - NOON_DAY_MS) };
    let mut looks: Vec<Look> = Vec::new();
    for spot in leaf_spots(garden, &structure.slug) {
        let kept = seasons.nights(spot, span)?;
        let Some(first) = kept.first() else { continue };
        let nights: Vec<Night> = kept.iter().map(|k| k.night).collect();
        // Of the days to come the last week is expected to go on.
        let week: Vec<f64> = nights.iter().rev().take(7).filter_map(|n| n.mean_c).collect();
        let Some(expected_c) = (!week.is_empty()).then(|| week.iter().sum::<f64>() / week.len() as f64) else {
            continue;
        };
        looks.extend(look_for(&nights, day_of(first.noon), structure.crop_groups(), expected_c, today));
    }
    let looks = merged(looks);
    let due = weekly_look(&looks, today);
    Ok((looks, due))
}

/// Windows of one disease at several spots as one.
fn merged(looks: Vec<Look>) -> Vec<Look> {
    let mut all = Vec::new();
    for what in Disease::ALL {
        let mut windows: Vec<_> = looks.iter().filter(|l| l.what == what).map(|l| l.window).collect();
        let n = propstick_agronomy::disease::latent::merge_windows(&mut windows);
        all.extend(windows.into_iter().take(n).map(|window| Look { what, window }));
    }
    all.sort_by_key(|l| (l.window.from, l.window.to, l.what));
    all
}

/// Blight weather outdoors on the last `days` civil days that are over, and on their dates.
///
/// # Errors
/// A store that cannot be read.
pub fn blight_of(
    seasons: &dyn Seasons,
    garden: &Garden,
    days: u64,
    now: Millis,
) -> Result<Vec<(chrono::NaiveDate, BlightOutdoors)>, StoreError> {
    let Some(outside) = garden.outside_spot() else { return Ok(Vec::new()) };
    let today = date_of(garden.zone, now);
    // One day more, because a period is two days.
    let dates: Vec<_> = (1..=days + 1).rev().filter_map(|k| today.checked_sub_days(chrono::Days::new(k))).collect();
    let spans: Vec<(Millis, Millis)> =
        dates.iter().map(|date| civil_day(garden.zone, *date)).map(|span| (span.from, span.to)).collect();
    let (Some(first), Some(last)) = (spans.first(), spans.last()) else { return Ok(Vec::new()) };
    let hours = seasons.wet_hours(&outside.slug, Span { from: first.0, to: last.1 })?;
    Ok(dates.into_iter().zip(blight_outdoors(&hours, &spans)).skip(1).collect())
}

/// The hours that are over at `now`.
pub fn over(hours: &[WetHour], now: Millis) -> &[WetHour] {
    &hours[..hours.partition_point(|h| h.from_ms + HOUR <= now.0)]
}

/// The noon of a noon-day's date.
pub fn noon_of(garden: &Garden, date: chrono::NaiveDate) -> Millis {
    DayKind::Noon.span(garden.zone, date).from
}

/// The spot that measures the light under the cover that `spot` stands under.
pub fn light_beside<'a>(garden: &'a Garden, spot: &str) -> Option<&'a str> {
    let structure = &garden.spot(spot)?.structure;
    let measures = |s: &&Spot| garden.placements.iter().any(|p| p.spot == s.slug && p.quantity == Quantity::Light);
    garden.spots.iter().filter(|s| s.structure == *structure).find(measures).map(|s| s.slug.as_str())
}

/// Which rules of marks hold at a spot.
pub fn mark_place(garden: &Garden, spot: &str) -> Place {
    let outside = garden.spot(spot).is_some_and(|s| {
        s.role == Role::Outside || garden.structure(&s.structure).is_some_and(|x| x.kind == StructureKind::Outdoors)
    });
    if outside { Place::Outside } else { Place::Inside }
}
