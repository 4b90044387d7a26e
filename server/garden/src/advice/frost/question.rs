//! What is asked about a night: plain values, every one that can be missing an `Option`.

use propstick_agronomy::frost::critical::Hardiness;
use propstick_agronomy::frost::{NightCover, NightLow};
use propstick_agronomy::quality::{Mark, Marks};
use propstick_agronomy::sun::SunDay;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::NightPast;
use super::limits::LEAF_BELOW_C;
use crate::record::{Forecast, WindowLook};

/// Everything that is known at `now` of the night at one spot.
#[derive(Clone, Debug, PartialEq)]
pub struct FrostQuestion {
    /// The instant asked about.
    pub now: Millis,
    /// The night; none where it is not known when the sun sets.
    pub night: Option<NightSpan>,
    /// Where the gauge stands and what grows there.
    pub place: FrostPlace,
    /// The gauge's readings from seven hours before sunset to `now`, in any order; earlier and later ones are not looked at.
    pub readings: Vec<FrostReading>,
    /// The same of the air outside, where the gauge is under a cover; empty where nothing is measured there.
    pub outside: Vec<FrostReading>,
    /// The nights that are over, ascending; the last of them count.
    pub lately: Vec<NightPast>,
    /// The last look out of the window.
    pub look: Option<WindowLook>,
    /// What was heard for tonight.
    pub forecast: Option<Forecast>,
    /// Wind measured in the last hour, m/s.
    pub wind_m_s: Option<f64>,
    /// What the gauge's own clear nights teach; see [`super::learn`].
    pub learned: Option<NightLow>,
}

impl FrostQuestion {
    /// A question of which nothing is known but the time and the place.
    pub fn new(now: Millis, night: Option<NightSpan>, place: FrostPlace) -> FrostQuestion {
        FrostQuestion {
            now,
            night,
            place,
            readings: Vec::new(),
            outside: Vec::new(),
            lately: Vec::new(),
            look: None,
            forecast: None,
            wind_m_s: None,
            learned: None,
        }
    }
}

/// A night, from sunset to sunrise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NightSpan {
    /// Sunset.
    pub sunset: Millis,
    /// The next sunrise.
    pub sunrise: Millis,
}

impl NightSpan {
    /// The night that goes on at `now`, or by day the one that comes, at a latitude of -90 to 90 and a longitude of -180 to 180 degrees, east positive.
    ///
    /// **Errors**: `None` out of range and where the sun does not set and rise again.
    pub fn at(now: Millis, lat_deg: f64, lon_deg: f64) -> Option<NightSpan> {
        let day = now.0.div_euclid(24 * HOUR);
        (day - 2..=day + 1).find_map(|day| {
            let night = NightSpan::after_noon_of(day, lat_deg, lon_deg)?;
            (now < night.sunrise).then_some(night)
        })
    }

    /// The night that begins on a day, numbered from 1970-01-01 at the place's own meridian.
    ///
    /// **Errors**: as [`NightSpan::at`].
    pub fn after_noon_of(day: i64, lat_deg: f64, lon_deg: f64) -> Option<NightSpan> {
        let at = |seconds: i64| Millis(seconds.saturating_mul(1_000));
        let sunset = at(SunDay::of_day_number(day, lat_deg, lon_deg)?.sunset_s?);
        let sunrise = at(SunDay::of_day_number(day + 1, lat_deg, lon_deg)?.sunrise_s?);
        (sunset < sunrise).then_some(NightSpan { sunset, sunrise })
    }

    /// From sunset to sunrise, h.
    pub fn hours(self) -> f64 {
        hours(self.sunrise.since(self.sunset))
    }
}

/// Milliseconds as hours.
pub(super) fn hours(ms: i64) -> f64 {
    ms as f64 / HOUR as f64
}

/// Where the gauge stands, and what grows there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FrostPlace {
    /// Whether the gauge measures a leaf itself; otherwise air, and leaves get colder than that.
    pub on_leaf: bool,
    /// What the gauge is under.
    pub gauge_under: Option<NightCover>,
    /// What the crop is under tonight, the gauge's cover with it. Its gain is added as far as the gauge is not under it, too.
    pub crop_under: Option<NightCover>,
    /// Whether fleece is wet or lies on the leaves: it then gains half.
    pub fleece_wet: bool,
    /// What grows there. Nothing: 0 °C at the leaf is what is warned of.
    pub crops: Vec<FrostCrop>,
    /// Mean of the air there over the past seven days, °C; unknown counts as warm, and crops as not hardened.
    pub week_mean_c: Option<f64>,
}

impl FrostPlace {
    /// What the crop's covers add to what the gauge is under already, °C: never less than nothing.
    pub fn gain_c(&self) -> f64 {
        let gain = |cover: Option<NightCover>| cover.map_or(0.0, |cover| cover.gain_c(self.fleece_wet));
        (gain(self.crop_under) - gain(self.gauge_under)).max(0.0)
    }

    /// How much colder than the air at the gauge its leaves get under a clear still sky, °C.
    pub fn leaf_below_c(&self) -> f64 {
        match self.crop_under.or(self.gauge_under) {
            _ if self.on_leaf => 0.0,
            None => LEAF_BELOW_C.0,
            Some(_) => LEAF_BELOW_C.1,
        }
    }

    /// At or below this at the leaf to warn, °C: the tenderest crop's, 0 where nothing is known to grow.
    pub fn limit_c(&self) -> f64 {
        self.crops.iter().map(|crop| self.limit_of(crop)).reduce(f64::max).unwrap_or(0.0)
    }

    /// At or below this at the leaf to warn for one crop, °C.
    pub fn limit_of(&self, crop: &FrostCrop) -> f64 {
        // An unknown week counts as a warm one: no crop is taken as hardened that may not be.
        let week_c = self.week_mean_c.unwrap_or(f64::INFINITY).clamp(-60.0, 60.0);
        crop.hardiness.after_week(week_c).unwrap_or(crop.hardiness).alert_c()
    }

    /// A night whose low at the gauge is at or below this counts as one to warn of, °C: the limit, seen from the gauge under a clear still sky.
    pub fn limit_at_gauge_c(&self) -> f64 {
        self.limit_c() + self.leaf_below_c() - self.gain_c()
    }
}

/// Something that grows at a spot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrostCrop {
    /// Its name as it is said, in the plural: "potatoes".
    pub name: String,
    /// How much cold its leaves stand, once hardened.
    pub hardiness: Hardiness,
    /// Whether it stands in trays that can be carried in.
    pub trays: bool,
}

/// One reading of a gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrostReading {
    /// When.
    pub at: Millis,
    /// Temperature, °C; none where there was none or it says nothing of the air.
    pub t_c: Option<f64>,
    /// Relative humidity over water, %; none where there was none or it says nothing of the air.
    pub rh_pct: Option<f64>,
    /// A temperature came and is not believed.
    pub doubted: bool,
    /// The sun may have warmed the gauge.
    pub sunlit: bool,
    /// The humidity gauge is at its end: it cannot tell wet from wetter.
    pub saturated: bool,
}

impl FrostReading {
    /// A reading with no mark against it.
    pub const fn plain(at: Millis, t_c: f64, rh_pct: Option<f64>) -> FrostReading {
        FrostReading { at, t_c: Some(t_c), rh_pct, doubted: false, sunlit: false, saturated: false }
    }

    /// A reading with its marks: what counts as missing, or disagrees with the other sensor of the place, is left out; the sun and saturation are
    /// minded.
    pub fn marked(at: Millis, t: Option<(f64, Marks)>, rh: Option<(f64, Marks)>) -> FrostReading {
        let stands = |(_, marks): &(f64, Marks)| !marks.counts_as_missing() && !marks.has(Mark::Neighbour);
        let t_c = t.filter(stands).map(|(t_c, _)| t_c);
        FrostReading {
            at,
            t_c,
            rh_pct: rh.filter(stands).map(|(rh_pct, _)| rh_pct),
            doubted: t.is_some() && t_c.is_none(),
            sunlit: t.is_some_and(|(_, marks)| marks.has(Mark::Sunlit)),
            saturated: rh.is_some_and(|(_, marks)| marks.has(Mark::Saturated)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn night_at_an_instant_is_the_one_that_goes_on_or_comes() {
        // 2027-01-15, 51.5° N 9.4° W: sunrise 08:35, sunset 16:50 UTC or thereabouts.
        let midnight = Millis(20_833 * 24 * HOUR);
        let at = |h: i64| NightSpan::at(midnight.plus(h * HOUR), 51.5, -9.4).unwrap();
        assert_eq!(at(3), at(-3));
        assert_eq!(at(10), at(20));
        assert_ne!(at(3), at(10));
        assert!((15.0..16.5).contains(&at(3).hours()), "{}", at(3).hours());
        assert!(at(10).sunset > midnight.plus(16 * HOUR) && at(10).sunset < midnight.plus(17 * HOUR));
        // Far from Greenwich the UTC day of a sunset is another one.
        for lon in [-170.0, -90.0, 90.0, 175.0] {
            for h in 0..24 {
                let now = midnight.plus(h * HOUR);
                let night = NightSpan::at(now, 51.5, lon).unwrap();
                assert!(now < night.sunrise && night.sunrise.since(now) < 25 * HOUR, "{lon} {h}");
            }
        }
        assert_eq!(NightSpan::at(midnight, 89.0, 0.0), None);
        assert_eq!(NightSpan::at(midnight, f64::NAN, 0.0), None);
    }

    #[test]
    fn marked_readings_are_left_out_or_minded() {
        let none = Marks::NONE;
        let of = |t: Marks, rh: Marks| FrostReading::marked(Millis(0), Some((1.0, t)), Some((99.9, rh)));
        assert_eq!(of(none, none), FrostReading::plain(Millis(0), 1.0, Some(99.9)));
        for mark in [Mark::Dead, Mark::Stuck, Mark::Range, Mark::Spike, Mark::Neighbour, Mark::Excluded] {
            let reading = of(none.with(mark), none.with(mark));
            assert_eq!((reading.t_c, reading.rh_pct, reading.doubted), (None, None, true), "{mark:?}");
        }
        let lit = of(none.with(Mark::Sunlit), none.with(Mark::Saturated));
        assert!(lit.sunlit && lit.saturated && lit.t_c == Some(1.0) && lit.rh_pct == Some(99.9));
    }
}
