//! What of a question's readings can be used, and what follows from them.

use propstick_agronomy::psychrometrics as psychro;
use propstick_agronomy::quality::humidity_for_physics;
use propstick_agronomy::ventilation;
use propstick_wire::millis::MINUTE;

use super::limits::{FOG_PCT, FRESH_MIN, VENTILATION_SHARES};
use super::{Air, AirFigures, Doubt, Figures, VentQuestion};

/// The readings that are young enough and can be meant, with the doubts about the others.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The air inside.
    pub inside: Option<AirFigures>,
    /// The air outside.
    pub outside: Option<AirFigures>,
    /// What is missing.
    pub doubts: Vec<Doubt>,
}

impl Seen {
    /// What of the question's readings can be used.
    pub fn of(q: &VentQuestion) -> Seen {
        let fresh = |air: &Air| q.now.since(air.at) <= FRESH_MIN * MINUTE;
        // What a stuck gauge shows is no humidity.
        let stuck = q.damp.gauge_stuck_since;
        let believed = |air: Air| Air { rh_pct: air.rh_pct.filter(|_| stuck.is_none()), ..air };
        let inside = q.inside.filter(fresh).map(believed).and_then(figures_of);
        let outside = q.outside.filter(fresh).and_then(figures_of);
        let mut doubts = Vec::new();
        match (q.inside.filter(|air| !fresh(air)), inside) {
            (Some(old), _) => doubts.push(Doubt::OldInside { at: old.at }),
            (None, None) => doubts.push(Doubt::NoInside),
            (None, Some(air)) if air.e_kpa.is_none() => {
                doubts.push(stuck.map_or(Doubt::NoInsideHumidity, |since| Doubt::GaugeStuck { since }));
            }
            _ => {}
        }
        match (q.outside.filter(|air| !fresh(air)), outside) {
            (Some(old), _) => doubts.push(Doubt::OldOutside { at: old.at }),
            (None, None) => doubts.push(Doubt::NoOutside),
            (None, Some(air)) if air.e_kpa.is_none() => doubts.push(Doubt::NoOutsideHumidity),
            _ => {}
        }
        Seen { inside, outside, doubts }
    }

    /// Whether there is fog: as somebody saw it, else as the gauge outside has it; and whether it is only guessed.
    pub fn fog(&self, q: &VentQuestion) -> (bool, bool) {
        match q.fog.or_else(|| q.weather.fog(q.now)) {
            Some(fog) => (fog, false),
            None => {
                let guessed = self.outside.and_then(|air| air.rh_pct).is_some_and(|rh| rh >= FOG_PCT);
                (guessed, guessed)
            }
        }
    }

    /// The figures of a verdict, as far as these readings give them.
    pub fn figures(&self, q: &VentQuestion) -> Figures {
        let mut figures =
            Figures { inside: self.inside, outside: self.outside, gust_m_s: q.gust_m_s, ..Figures::default() };
        if let Some(c) = Comparison::of(self, q) {
            figures.difference_kpa = Some(c.difference_kpa);
            figures.band_kpa = Some(c.band_kpa);
            figures.dryness = Some(c.dryness);
            figures.thresholds = Some(c.thresholds);
            figures.flushed_pct = Some(c.flushed_pct);
        }
        figures
    }
}

fn figures_of(air: Air) -> Option<AirFigures> {
    // A temperature that cannot be meant is no reading at all.
    psychro::saturation_vapour_pressure_kpa(air.t_c)?;
    let rh_pct = air.rh_pct.and_then(humidity_for_physics).map(|(used, _)| used).filter(|rh| *rh > 0.0);
    Some(AirFigures {
        t_c: air.t_c,
        rh_pct,
        e_kpa: rh_pct.and_then(|rh| psychro::vapour_pressure_kpa(air.t_c, rh)),
        dew_c: rh_pct.and_then(|rh| psychro::dew_point_c(air.t_c, rh)),
        at: air.at,
    })
}

/// How the air outside stands to that inside, beyond what the gauges' errors can make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Outside holds more water: opening adds to it.
    Wetter,
    /// The gauges cannot tell.
    Within,
    /// Outside holds less water.
    Drier,
}

impl Side {
    /// Compared in hundredths of a kPa, the last digit that is shown: no verdict hangs on figures that nobody sees. This
    /// only ever widens the band.
    fn of(difference_kpa: f64, band_kpa: f64) -> Side {
        let hundredths = |kpa: f64| (kpa * 100.0).round();
        let (difference, band) = (hundredths(difference_kpa), hundredths(band_kpa));
        if difference > band {
            Side::Drier
        } else if difference < -band {
            Side::Wetter
        } else {
            Side::Within
        }
    }
}

/// Inside and outside air compared by climate sheet 6.4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// Vapour pressure inside less that outside, kPa.
    pub difference_kpa: f64,
    /// What both gauges' errors make of it, kPa.
    pub band_kpa: f64,
    /// `1 - e_out / e_in`.
    pub dryness: f64,
    /// What dryness must exceed at the smallest and the largest ventilation share.
    pub thresholds: (f64, f64),
    /// Humidity inside once all air is exchanged and as warm as now, %.
    pub flushed_pct: f64,
    /// On which side outside stands.
    pub side: Side,
    /// Humidity falls with ventilation whatever the share of the heat that leaves with the air. The threshold is linear in
    /// that share, so both ends speak for all between.
    pub humidity_falls: bool,
}

impl Comparison {
    /// The comparison, where both airs are fully known.
    pub fn of(seen: &Seen, q: &VentQuestion) -> Option<Comparison> {
        let (inside, outside) = (seen.inside?, seen.outside?);
        let (e_in, e_out) = (inside.e_kpa?, outside.e_kpa?);
        let (least, most) = VENTILATION_SHARES;
        let threshold = |share| ventilation::drying_threshold(inside.t_c, outside.t_c, share);
        let falls = |share| ventilation::humidity_falls_with_ventilation(e_in, e_out, inside.t_c, outside.t_c, share);
        let band_kpa =
            ventilation::dead_band_kpa(inside.t_c, q.rh_error_inside_pct, outside.t_c, q.rh_error_outside_pct)?;
        let difference_kpa = e_in - e_out;
        Some(Comparison {
            difference_kpa,
            band_kpa,
            dryness: ventilation::dryness_outside(e_in, e_out)?,
            thresholds: (threshold(least)?, threshold(most)?),
            flushed_pct: ventilation::flushed_humidity_pct(e_out, inside.t_c)?,
            side: Side::of(difference_kpa, band_kpa),
            humidity_falls: falls(least)? && falls(most)?,
        })
    }
}

/// Whether opening would wet what grows inside: the outside dew point, less what the gauge's error can make of it, lies
/// above the leaves (taken as warm as the air) and above the measured surface, where there is one.
pub fn wets_surfaces(seen: &Seen, q: &VentQuestion) -> bool {
    let dew_c = seen.outside.and_then(|air| {
        let least_rh = (air.rh_pct? - q.rh_error_outside_pct).max(0.0);
        psychro::dew_point_c(air.t_c, least_rh)
    });
    match (dew_c, seen.inside) {
        (Some(dew_c), Some(inside)) => {
            dew_c > inside.t_c && q.surface_c.filter(|t| t.is_finite()).is_none_or(|t| dew_c > t)
        }
        _ => false,
    }
}
