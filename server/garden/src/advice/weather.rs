//! The weather as it was seen and heard, for gardens without the sensors.

use propstick_wire::Millis;

use super::Heard;
use super::limits::{GALE_M_S, GALE_SEEN_M_S};
use crate::record::{Forecast, Sky, Wet, Wind, WindowLook};

/// What people saw and heard, and what wind was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Weather {
    /// The last look out of the window; used while it holds.
    pub look: Option<WindowLook>,
    /// What is heard of the day that goes on.
    pub today: Option<Forecast>,
    /// What is heard of the night that goes on or, by day, the one that comes.
    pub tonight: Option<Forecast>,
    /// What is heard of the day after.
    pub tomorrow: Option<Forecast>,
    /// What is heard of the night after.
    pub tomorrow_night: Option<Forecast>,
    /// Gusts of the last hour as they follow from the wind measured, m/s: see [`super::WindNow`].
    pub gust_m_s: Option<f64>,
    /// Mean wind of the last hour as measured, m/s.
    pub wind_m_s: Option<f64>,
    /// Measured wind direction, degrees from north, clockwise.
    pub wind_from_deg: Option<f64>,
}

impl Weather {
    /// This weather with what is heard.
    pub fn hearing(self, heard: Heard) -> Weather {
        let Heard { today, tonight, tomorrow, tomorrow_night } = heard;
        Weather { today, tonight, tomorrow, tomorrow_night, ..self }
    }

    /// The look that holds at `now`.
    pub fn look(&self, now: Millis) -> Option<WindowLook> {
        self.look.filter(|look| look.holds(now))
    }

    /// Whether fog was seen or not; none where nobody has looked.
    pub fn fog(&self, now: Millis) -> Option<bool> {
        self.look(now).map(|look| look.wet == Wet::Fog)
    }

    /// Whether rain was seen or is heard for today.
    pub fn rain(&self, now: Millis) -> bool {
        match self.look(now) {
            Some(look) => look.wet == Wet::Rain,
            None => self.today.is_some_and(|heard| heard.wet == Some(Wet::Rain)),
        }
    }

    /// Where the wind comes from, degrees: measured, else as somebody saw it.
    pub fn wind_from_deg(&self, now: Millis) -> Option<f64> {
        self.wind_from_deg.filter(|deg| deg.is_finite()).or_else(|| self.look(now)?.wind_from_deg)
    }

    /// The sky by day: as seen, else as heard.
    pub fn sky(&self, now: Millis) -> Option<Sky> {
        self.look(now).map(|look| look.sky).or_else(|| self.today?.sky)
    }

    /// The low heard for tonight, °C.
    pub fn low_tonight_c(&self) -> Option<f64> {
        self.tonight?.low_c.filter(|c| c.is_finite())
    }

    /// The lowest heard for tonight and the night after, °C.
    pub fn lowest_heard_c(&self) -> Option<f64> {
        let after = self.tomorrow_night.and_then(|heard| heard.low_c).filter(|c| c.is_finite());
        self.low_tonight_c().into_iter().chain(after).reduce(f64::min)
    }

    /// The high heard for today, °C.
    pub fn high_today_c(&self) -> Option<f64> {
        self.today?.high_c.filter(|c| c.is_finite())
    }

    /// A gale: blowing now, by the wind measured or as somebody saw it, whichever is worse; else heard for today; else for tonight. One heard for
    /// tomorrow may come from midnight on, so it is tonight's, too.
    pub fn gale(&self, now: Millis) -> Option<Gale> {
        let strong = |gust: f64| gust > GALE_M_S;
        let measured = self.gust_m_s.filter(|gust| gust.is_finite() && strong(*gust));
        if measured.is_some() || self.look(now).is_some_and(|look| look.wind == Wind::Gale) {
            return Some(Gale { gust_m_s: measured, when: GaleWhen::Blows });
        }
        let heard = |f: Option<Forecast>, when| {
            let f = f?;
            // A figure that was heard wins over its word.
            let gust_m_s = f.gust_m_s.filter(|gust| gust.is_finite());
            let gale = gust_m_s.map_or(f.wind == Some(Wind::Gale), strong);
            gale.then_some(Gale { gust_m_s, when })
        };
        heard(self.today, GaleWhen::Today)
            .or_else(|| heard(self.tonight, GaleWhen::Tonight))
            .or_else(|| heard(self.tomorrow, GaleWhen::Tonight))
    }

    /// Gusts that keep everybody in at `now`, m/s: of a gale that blows, is heard for today, or whose night has begun; a gale without a figure counts
    /// as [`GALE_SEEN_M_S`]. None where nothing keeps anybody in.
    pub fn gust_that_keeps_in_m_s(&self, now: Millis, dark: bool) -> Option<f64> {
        let gale = self.gale(now).filter(|gale| gale.when != GaleWhen::Tonight || dark)?;
        Some(gale.gust_m_s.unwrap_or(GALE_SEEN_M_S))
    }
}

/// A gale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gale {
    /// Its gusts, m/s, where a figure is known.
    pub gust_m_s: Option<f64>,
    /// When.
    pub when: GaleWhen,
}

/// When a gale blows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GaleWhen {
    /// Now.
    Blows,
    /// It is heard for today, at an hour that nobody named.
    Today,
    /// It is heard for the night.
    Tonight,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::ForecastFor;
    use propstick_wire::millis::HOUR;

    const NOW: Millis = Millis(1_000_000_000_000);

    fn heard(gust_m_s: Option<f64>, wind: Option<Wind>) -> Weather {
        let f = Forecast {
            at: NOW.plus(-HOUR),
            of: ForecastFor::Tonight,
            low_c: Some(5.0),
            high_c: None,
            wind,
            gust_m_s,
            sky: None,
            wet: None,
        };
        Weather { tonight: Some(f), ..Weather::default() }
    }

    #[test]
    fn gale_is_heard_by_figure_or_word() {
        assert!(heard(Some(22.0), None).gale(NOW).is_some_and(|gale| gale.when == GaleWhen::Tonight));
        assert!(heard(None, Some(Wind::Gale)).gale(NOW).is_some());
        assert!(heard(Some(9.0), Some(Wind::Gale)).gale(NOW).is_none(), "the figure wins");
        assert!(heard(Some(f64::NAN), None).gale(NOW).is_none());
    }

    #[test]
    fn gale_heard_for_tomorrow_is_tonights_from_midnight_on_and_of_today_comes_first() {
        let gale = heard(Some(22.0), None).tonight;
        let weather = Weather { tomorrow: gale, tomorrow_night: gale, ..Weather::default() };
        assert_eq!(weather.gale(NOW).map(|g| g.when), Some(GaleWhen::Tonight));
        let after = Weather { tomorrow_night: gale, ..Weather::default() };
        assert_eq!(after.gale(NOW), None, "the night after the next day");
        let both = Weather { today: gale, tonight: gale, ..Weather::default() };
        assert_eq!(both.gale(NOW).map(|g| g.when), Some(GaleWhen::Today));
        // Heard for the night only, it keeps nobody from watering by day.
        let keeps_in = |weather: &Weather, dark| weather.gust_that_keeps_in_m_s(NOW, dark);
        assert_eq!((keeps_in(&both, false), keeps_in(&weather, false)), (Some(22.0), None));
        assert_eq!(keeps_in(&weather, true), Some(22.0));
        let word = Weather { today: heard(None, Some(Wind::Gale)).tonight, ..Weather::default() };
        assert_eq!(keeps_in(&word, false), Some(GALE_SEEN_M_S));
    }

    #[test]
    fn either_a_look_or_the_wind_measured_makes_a_gale() {
        let look = WindowLook { at: NOW, sky: Sky::Clear, wind: Wind::Gale, wet: Wet::Fog, wind_from_deg: Some(90.0) };
        let mut weather = Weather { look: Some(look), ..Weather::default() };
        assert!(weather.gale(NOW).is_some());
        // A cup that is seized measures 0 for days: whoever looks out counts.
        for measured in [0.0, 8.0, f64::NAN] {
            weather.gust_m_s = Some(measured);
            assert_eq!(weather.gale(NOW), Some(Gale { gust_m_s: None, when: GaleWhen::Blows }), "{measured}");
        }
        assert_eq!(weather.gale(NOW.plus(3 * HOUR)), None);
        let calm = Weather { look: Some(WindowLook { wind: Wind::Calm, ..look }), gust_m_s: Some(16.0), ..weather };
        assert_eq!(calm.gale(NOW), Some(Gale { gust_m_s: Some(16.0), when: GaleWhen::Blows }));
        assert_eq!((weather.fog(NOW), weather.fog(NOW.plus(3 * HOUR))), (Some(true), None));
        assert_eq!(weather.wind_from_deg(NOW), Some(90.0));
    }

    #[test]
    fn lowest_heard_is_of_tonight_and_the_night_after() {
        let low = |c: f64| Some(Forecast { low_c: Some(c), ..heard(None, None).tonight.unwrap() });
        let weather = Weather { tonight: low(2.0), tomorrow_night: low(-5.0), ..Weather::default() };
        assert_eq!((weather.low_tonight_c(), weather.lowest_heard_c()), (Some(2.0), Some(-5.0)));
        assert_eq!(Weather { tonight: None, ..weather }.lowest_heard_c(), Some(-5.0));
    }
}
