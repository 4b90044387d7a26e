//! The weather as it was seen and heard, for gardens without the sensors.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::limits::GALE_M_S;
use crate::record::{Forecast, Sky, Wet, Wind, WindowLook};

/// What people saw and heard, and what wind was measured. Measured gusts win over words.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Weather {
    /// The last look out of the window; used while it holds.
    pub look: Option<WindowLook>,
    /// The forecast heard for today.
    pub today: Option<Forecast>,
    /// The forecast heard for tonight.
    pub tonight: Option<Forecast>,
    /// The forecast heard for tomorrow.
    pub tomorrow: Option<Forecast>,
    /// Measured gusts of the last hour, m/s.
    pub gust_m_s: Option<f64>,
    /// Measured wind direction, degrees from north, clockwise.
    pub wind_from_deg: Option<f64>,
}

/// How long a forecast says anything of today or tonight.
const HEARD_HOLDS: i64 = 18 * HOUR;

impl Weather {
    /// The look that holds at `now`.
    pub fn look(&self, now: Millis) -> Option<WindowLook> {
        self.look.filter(|look| look.holds(now))
    }

    /// The forecast for today, while it lasts.
    pub fn today(&self, now: Millis) -> Option<Forecast> {
        self.today.filter(|heard| (0..=HEARD_HOLDS).contains(&now.since(heard.at)))
    }

    /// The forecast for tonight, while it lasts.
    pub fn tonight(&self, now: Millis) -> Option<Forecast> {
        self.tonight.filter(|heard| (0..=HEARD_HOLDS).contains(&now.since(heard.at)))
    }

    /// Whether fog was seen or not; none where nobody has looked.
    pub fn fog(&self, now: Millis) -> Option<bool> {
        self.look(now).map(|look| look.wet == Wet::Fog)
    }

    /// Whether rain was seen or is heard for today.
    pub fn rain(&self, now: Millis) -> bool {
        match self.look(now) {
            Some(look) => look.wet == Wet::Rain,
            None => self.today(now).is_some_and(|heard| heard.wet == Some(Wet::Rain)),
        }
    }

    /// Where the wind comes from, degrees: measured, else as somebody saw it.
    pub fn wind_from_deg(&self, now: Millis) -> Option<f64> {
        self.wind_from_deg.filter(|deg| deg.is_finite()).or_else(|| self.look(now)?.wind_from_deg)
    }

    /// The sky by day: as seen, else as heard.
    pub fn sky(&self, now: Millis) -> Option<Sky> {
        self.look(now).map(|look| look.sky).or_else(|| self.today(now)?.sky)
    }

    /// The low heard for tonight, °C.
    pub fn low_tonight_c(&self, now: Millis) -> Option<f64> {
        self.tonight(now)?.low_c.filter(|c| c.is_finite())
    }

    /// The high heard for today, °C.
    pub fn high_today_c(&self, now: Millis) -> Option<f64> {
        self.today(now)?.high_c.filter(|c| c.is_finite())
    }

    /// A gale: blowing now by measured gusts, or, where none are measured, as seen; or heard for today or tonight.
    pub fn gale(&self, now: Millis) -> Option<Gale> {
        let strong = |gust: f64| gust > GALE_M_S;
        let blows = match self.gust_m_s.filter(|gust| gust.is_finite()) {
            Some(gust) => strong(gust).then_some(Some(gust)),
            None => self.look(now).filter(|look| look.wind == Wind::Gale).map(|_| None),
        };
        if let Some(gust_m_s) = blows {
            return Some(Gale { gust_m_s, heard: false });
        }
        let heard = |f: Forecast| {
            // A figure that was heard wins over its word.
            let gust_m_s = f.gust_m_s.filter(|gust| gust.is_finite());
            let gale = gust_m_s.map_or(f.wind == Some(Wind::Gale), strong);
            gale.then_some(Gale { gust_m_s, heard: true })
        };
        self.tonight(now).and_then(heard).or_else(|| self.today(now).and_then(heard))
    }
}

/// A gale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gale {
    /// Its gusts, m/s, where a figure is known.
    pub gust_m_s: Option<f64>,
    /// Whether it is only heard of yet.
    pub heard: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::ForecastFor;

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
    fn gale_is_heard_by_figure_or_word_and_forgotten_the_next_day() {
        assert!(heard(Some(22.0), None).gale(NOW).is_some_and(|gale| gale.heard));
        assert!(heard(None, Some(Wind::Gale)).gale(NOW).is_some());
        assert!(heard(Some(9.0), Some(Wind::Gale)).gale(NOW).is_none(), "the figure wins");
        assert!(heard(Some(f64::NAN), None).gale(NOW).is_none());
        assert!(heard(Some(22.0), None).gale(NOW.plus(18 * HOUR)).is_none());
    }

    #[test]
    fn measured_gusts_win_over_a_look() {
        let look = WindowLook { at: NOW, sky: Sky::Clear, wind: Wind::Gale, wet: Wet::Fog, wind_from_deg: Some(90.0) };
        let mut weather = Weather { look: Some(look), ..Weather::default() };
        assert!(weather.gale(NOW).is_some());
        weather.gust_m_s = Some(8.0);
        assert_eq!(weather.gale(NOW), None);
        assert_eq!((weather.fog(NOW), weather.fog(NOW.plus(3 * HOUR))), (Some(true), None));
        assert_eq!(weather.wind_from_deg(NOW), Some(90.0));
    }
}
