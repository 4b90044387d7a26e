//! A structure by its worst spot.

use propstick_agronomy::disease::rows::Disease;
use propstick_agronomy::risk::constants::FOUND_D;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::risk::level::{Freshness, Level, LevelState, Shown, shown};
use propstick_agronomy::runs::Runs;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::Night;
use crate::fold::{Figure, Why};

/// A noon-day at one of a structure's spots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpotNight<'a> {
    /// The spot.
    pub spot: &'a str,
    /// The noon-day there.
    pub night: &'a Night,
}

/// A disease that was found in the structure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Found {
    /// The disease; none where it was only told that something was found.
    pub disease: Option<Disease>,
    /// When.
    pub at: Millis,
}

/// The risk of a crop group in a structure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupRisk<'a> {
    /// The group.
    pub group: CropGroup,
    /// What to show: level, range and how far to rely on it. The level is one higher where `found_lately`.
    pub shown: Shown,
    /// Whether a disease of the group was found in the structure within 21 days, so that the level shows one higher: say so.
    pub found_lately: bool,
    /// The disease that drives it.
    pub by: Disease,
    /// The spot that it is worst at.
    pub spot: &'a str,
    /// Risk, 0 to 1, in each run.
    pub risk: Runs<f64>,
    /// Severity of the night, 0 to 1; none without a score.
    pub severity: Option<Runs<f64>>,
    /// Wet hours of the noon-day at that spot, in each run.
    pub wet_h: Runs<u32>,
    /// Share of the noon-day that was measured there.
    pub measured: f64,
    /// Whether the noon-day has a score there.
    pub scored: bool,
}

/// The risk of each of `groups` in a structure: that of its worst spot, never a mean; groups that have only flags give none. Spots that know their level
/// go before those that do not, then the higher level, the higher risk, and the first of equals: in which order spots come does not matter beyond that.
pub fn group_risks<'a>(
    spots: &[SpotNight<'a>],
    groups: &[CropGroup],
    found: &[Found],
    at: Millis,
) -> Vec<GroupRisk<'a>> {
    groups.iter().filter_map(|group| worst_of(spots, *group, found, at)).collect()
}

fn worst_of<'a>(spots: &[SpotNight<'a>], group: CropGroup, found: &[Found], at: Millis) -> Option<GroupRisk<'a>> {
    let of_spot = |s: &SpotNight<'a>| {
        let day = &s.night.day;
        let of_group = day.group(group)?;
        let held = s.night.levels.get(group as usize).copied().unwrap_or(LevelState::default());
        let shown = shown(&held, of_group.risk, day.missing_d, day.scored_d);
        Some(GroupRisk {
            group,
            shown,
            found_lately: false,
            by: of_group.by,
            spot: s.spot,
            risk: of_group.risk,
            severity: of_group.severity,
            wet_h: day.wet_h,
            measured: (day.measured_h / 24.0).min(1.0),
            scored: day.scored,
        })
    };
    let worse = |a: &GroupRisk<'_>, b: &GroupRisk<'_>| {
        let known = |r: &GroupRisk<'_>| r.shown.level.is_some();
        let by_level = a.shown.level.cmp(&b.shown.level);
        known(a).cmp(&known(b)).then(by_level).then(a.risk.read.total_cmp(&b.risk.read)).then(b.spot.cmp(a.spot))
    };
    let worst = spots.iter().filter_map(of_spot).max_by(worse)?;
    let within = (FOUND_D.value * 24.0) as i64 * HOUR;
    let found_lately = found.iter().any(|f| {
        let meant = f.disease.is_none_or(|d| group.diseases().contains(&d));
        meant && f.at <= at && at.since(f.at) <= within
    });
    let raised = |level: Level| if found_lately { level.one_higher() } else { level };
    Some(GroupRisk { shown: Shown { level: worst.shown.level.map(raised), ..worst.shown }, found_lately, ..worst })
}

impl GroupRisk<'_> {
    /// The risk as a figure with its doubt; unknown where it is not known.
    pub fn risk_figure(&self) -> Figure {
        match self.shown.freshness {
            Freshness::Unknown => Figure::unknown(Why::NotEnough, self.measured),
            _ => figure(self.risk, self.measured),
        }
    }

    /// The night's severity as a figure.
    pub fn severity_figure(&self) -> Figure {
        match self.severity {
            Some(severity) => figure(severity, self.measured),
            None => Figure::unknown(Why::NotEnough, self.measured),
        }
    }
}

/// Wet hours of a noon-day as a figure: unknown where too little was measured for a score.
pub fn wet_hours_figure(night: &Night) -> Figure {
    let measured = (night.day.measured_h / 24.0).min(1.0);
    if night.day.scored {
        figure(night.day.wet_h.map(f64::from), measured)
    } else if night.day.measured_h > 0.0 {
        Figure::unknown(Why::NotEnough, measured)
    } else {
        Figure::unknown(Why::NoReading, 0.0)
    }
}

/// The spot whose noon-day was the wettest of those with a score; the first of equals, and none where none has.
pub fn worst_night<'a>(spots: &[SpotNight<'a>]) -> Option<SpotNight<'a>> {
    spots
        .iter()
        .filter(|s| s.night.day.scored)
        .max_by(|a, b| a.night.day.wet_h.read.cmp(&b.night.day.wet_h.read).then(b.spot.cmp(a.spot)))
        .copied()
}

fn figure(runs: Runs<f64>, measured: f64) -> Figure {
    Figure::known(runs.read, runs.low.min(runs.read), runs.high.max(runs.read), measured)
}

#[cfg(test)]
#[path = "structure_tests.rs"]
mod tests;
