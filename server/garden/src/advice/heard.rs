//! The forecast as heard, each word of it for the day or the night that it speaks of.
//!
//! Days and nights are counted by the garden's own dates, so a night of eleven or thirteen hours and a day of 23 or 25 are each one. What is heard of
//! the same day or night at different times, or by different people, is put together field by field: the newest that says something counts.

use chrono::{Days, NaiveDate, Timelike};
use chrono_tz::Tz;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::frost::NightSpan;
use super::limits::TONIGHT_FROM_H;
use crate::fold::{date_of, local};
use crate::record::{Forecast, ForecastFor};

/// What is heard, up to an instant, of the days and nights about it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heard {
    /// Of the day that goes on, until its midnight.
    pub today: Option<Forecast>,
    /// Of the night that goes on or, by day, the one that comes.
    pub tonight: Option<Forecast>,
    /// Of the day after.
    pub tomorrow: Option<Forecast>,
    /// Of the night after.
    pub tomorrow_night: Option<Forecast>,
}

impl Heard {
    /// What `forecasts` (as they were told, the oldest first) say at `now` in a garden of that zone. `night` is the night that goes on or comes; where
    /// the sun does not set, evening and morning are taken by the clock.
    pub fn at(forecasts: &[Forecast], zone: Tz, now: Millis, night: Option<NightSpan>) -> Heard {
        let today = date_of(zone, now);
        let tonight = night.map_or_else(|| evening_of(zone, now), |night| begins_on(zone, night));
        let heard = |speaks: &dyn Fn(&Forecast) -> Option<NaiveDate>, date: Option<NaiveDate>| {
            let of_it = |f: &&Forecast| f.at <= now && date.is_some() && speaks(f) == date;
            forecasts.iter().filter(of_it).copied().reduce(later_word)
        };
        let (day, night) = (|f: &Forecast| day_of(f, zone), |f: &Forecast| night_of(f, zone));
        Heard {
            today: heard(&day, Some(today)),
            tonight: heard(&night, Some(tonight)),
            tomorrow: heard(&day, after(today)),
            tomorrow_night: heard(&night, after(tonight)),
        }
    }
}

/// What `forecasts` (the oldest first), as far as they were told at `now`, say of a night.
pub fn heard_of_night(forecasts: &[Forecast], zone: Tz, now: Millis, night: NightSpan) -> Option<Forecast> {
    let date = Some(begins_on(zone, night));
    forecasts.iter().filter(|f| f.at <= now && night_of(f, zone) == date).copied().reduce(later_word)
}

/// The day that a forecast speaks of, if it speaks of one.
fn day_of(f: &Forecast, zone: Tz) -> Option<NaiveDate> {
    let told_on = date_of(zone, f.at);
    match f.of {
        ForecastFor::Today => Some(told_on),
        ForecastFor::Tonight => None,
        ForecastFor::Tomorrow => after(told_on),
    }
}

/// The date on whose evening the night begins that a forecast speaks of, if it speaks of one. Tomorrow has its night, too.
fn night_of(f: &Forecast, zone: Tz) -> Option<NaiveDate> {
    match f.of {
        ForecastFor::Today => None,
        ForecastFor::Tonight => Some(evening_of(zone, f.at)),
        ForecastFor::Tomorrow => after(date_of(zone, f.at)),
    }
}

/// The evening that "tonight" means at `at`: in the small hours still the last one.
fn evening_of(zone: Tz, at: Millis) -> NaiveDate {
    let date = date_of(zone, at);
    let small_hours = local(zone, at).hour() < TONIGHT_FROM_H;
    if small_hours { date.checked_sub_days(Days::new(1)).unwrap_or(date) } else { date }
}

/// The date on whose evening a night begins; where the sun sets after midnight, the date that ended with it.
fn begins_on(zone: Tz, night: NightSpan) -> NaiveDate {
    date_of(zone, night.sunset.plus(-6 * HOUR))
}

fn after(date: NaiveDate) -> Option<NaiveDate> {
    date.checked_add_days(Days::new(1))
}

/// An earlier and a later word of the same time as one: the later counts where it says something. Wind is one word, whether by figure or by name.
fn later_word(earlier: Forecast, later: Forecast) -> Forecast {
    let finite = |c: Option<f64>| c.filter(|c| c.is_finite());
    let says_wind = later.wind.is_some() || finite(later.gust_m_s).is_some();
    let (wind, gust_m_s) =
        if says_wind { (later.wind, later.gust_m_s) } else { (earlier.wind, finite(earlier.gust_m_s)) };
    Forecast {
        low_c: finite(later.low_c).or(earlier.low_c),
        high_c: finite(later.high_c).or(earlier.high_c),
        wind,
        gust_m_s,
        sky: later.sky.or(earlier.sky),
        wet: later.wet.or(earlier.wet),
        ..later
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Wet, Wind};

    const ZONE: Tz = chrono_tz::Europe::London;

    /// An instant by the garden's clock of 2026.
    fn at(month: u32, day: u32, hour: u32) -> Millis {
        use chrono::TimeZone;
        Millis(ZONE.with_ymd_and_hms(2026, month, day, hour, 0, 0).earliest().unwrap().timestamp_millis())
    }

    fn told(of: ForecastFor, at: Millis) -> Forecast {
        Forecast { at, of, low_c: None, high_c: None, wind: None, gust_m_s: None, sky: None, wet: None }
    }

    fn gale(of: ForecastFor, at: Millis) -> Forecast {
        Forecast { wind: Some(Wind::Gale), ..told(of, at) }
    }

    fn low(of: ForecastFor, at: Millis, c: f64) -> Forecast {
        Forecast { low_c: Some(c), ..told(of, at) }
    }

    fn heard(forecasts: &[Forecast], now: Millis) -> Heard {
        Heard::at(forecasts, ZONE, now, NightSpan::at(now, 51.0, -3.0))
    }

    #[test]
    fn tonight_heard_with_the_morning_news_lasts_until_the_sun_is_up_again() {
        // 15 January: the sun rises about ten past eight.
        let news = [gale(ForecastFor::Tonight, at(1, 14, 7))];
        assert_eq!(heard(&news, at(1, 14, 7)).tonight, None, "the night that is nearly over is not meant");
        for now in [at(1, 14, 9), at(1, 14, 15), at(1, 14, 23), at(1, 15, 3), at(1, 15, 8)] {
            assert!(heard(&news, now).tonight.is_some(), "{now:?}");
        }
        assert_eq!(heard(&news, at(1, 15, 9)).tonight, None);
    }

    #[test]
    fn tonight_heard_in_the_evening_is_forgotten_in_the_morning_and_in_the_small_hours_means_the_night_that_goes_on() {
        let evening = [gale(ForecastFor::Tonight, at(6, 8, 20))];
        assert!(heard(&evening, at(6, 9, 2)).tonight.is_some());
        assert_eq!(heard(&evening, at(6, 9, 11)).tonight, None);
        let late = [gale(ForecastFor::Tonight, at(6, 9, 1))];
        assert!(heard(&late, at(6, 9, 2)).tonight.is_some());
        assert_eq!(heard(&late, at(6, 9, 11)).tonight, None);
    }

    #[test]
    fn today_ends_at_midnight_and_tomorrow_becomes_today_and_the_night_after_it() {
        let rain = Forecast { wet: Some(Wet::Rain), ..told(ForecastFor::Today, at(2, 3, 20)) };
        assert!(heard(&[rain], at(2, 3, 23)).today.is_some());
        assert_eq!(heard(&[rain], at(2, 4, 0)).today, None);
        let cold = [Forecast { low_c: Some(-6.0), ..gale(ForecastFor::Tomorrow, at(2, 3, 12)) }];
        let noon = heard(&cold, at(2, 3, 13));
        assert_eq!((noon.today, noon.tonight), (None, None));
        assert!(noon.tomorrow.is_some() && noon.tomorrow_night.is_some());
        let next = heard(&cold, at(2, 4, 10));
        assert!(next.today.is_some_and(|f| f.wind == Some(Wind::Gale)));
        assert!(next.tonight.is_some_and(|f| f.low_c == Some(-6.0)) && next.tomorrow.is_none());
        let small_hours = heard(&cold, at(2, 4, 2));
        assert!(small_hours.today.is_some() && small_hours.tonight.is_none() && small_hours.tomorrow_night.is_some());
        assert!(heard(&cold, at(2, 5, 2)).tonight.is_some() && heard(&cold, at(2, 5, 2)).today.is_none());
    }

    #[test]
    fn two_tellers_are_put_together_field_by_field() {
        let ann = gale(ForecastFor::Tonight, at(1, 14, 7));
        let ben = low(ForecastFor::Tonight, at(1, 14, 12), 6.0);
        let both = heard(&[ann, ben], at(1, 14, 15)).tonight.unwrap();
        assert_eq!((both.wind, both.low_c, both.at), (Some(Wind::Gale), Some(6.0), ben.at));
        // A later word of the wind takes the place of an earlier figure, and tonight's own word that of yesterday's of tomorrow.
        let figure = Forecast { gust_m_s: Some(22.0), ..told(ForecastFor::Tonight, at(1, 14, 7)) };
        let calm = Forecast { wind: Some(Wind::Calm), ..told(ForecastFor::Tonight, at(1, 14, 12)) };
        let now = heard(&[figure, calm], at(1, 14, 15)).tonight.unwrap();
        assert_eq!((now.wind, now.gust_m_s), (Some(Wind::Calm), None));
        let before = low(ForecastFor::Tomorrow, at(1, 13, 12), -6.0);
        assert_eq!(heard(&[before, ben], at(1, 14, 15)).tonight.and_then(|f| f.low_c), Some(6.0));
        assert_eq!(heard(&[before, ben], at(1, 14, 11)).tonight.and_then(|f| f.low_c), Some(-6.0), "not yet told");
    }

    #[test]
    fn nights_of_both_clock_changes_are_one_night_each() {
        // The clocks go forward on 29 March and back on 25 October 2026.
        for (month, day) in [(3, 28), (10, 24)] {
            let news = [low(ForecastFor::Tonight, at(month, day, 7), 1.0)];
            let rain = [Forecast { wet: Some(Wet::Rain), ..told(ForecastFor::Tomorrow, at(month, day, 7)) }];
            for now in [at(month, day, 12), at(month, day, 23), at(month, day + 1, 0), at(month, day + 1, 5)] {
                assert!(heard(&news, now).tonight.is_some(), "{now:?}");
            }
            assert_eq!(heard(&news, at(month, day + 1, 9)).tonight, None);
            // A day of 23 or 25 hours is tomorrow and today from midnight to midnight.
            let midnight = at(month, day + 1, 0);
            assert!(heard(&rain, midnight.plus(-1)).today.is_none() && heard(&rain, midnight).today.is_some());
            let next = at(month, day + 2, 0);
            assert!(heard(&rain, next.plus(-1)).today.is_some() && heard(&rain, next).today.is_none());
        }
    }

    #[test]
    fn frost_asks_the_night_that_begins_at_its_sunset_and_not_the_one_before() {
        let night = NightSpan::at(at(1, 14, 15), 51.0, -3.0).unwrap();
        let yesterday = low(ForecastFor::Tonight, at(1, 13, 23), 4.0);
        assert_eq!(heard_of_night(&[yesterday], ZONE, at(1, 14, 15), night), None);
        let today = low(ForecastFor::Tonight, at(1, 14, 7), -2.0);
        assert_eq!(heard_of_night(&[yesterday, today], ZONE, at(1, 14, 15), night).and_then(|f| f.low_c), Some(-2.0));
    }

    #[test]
    fn where_the_sun_does_not_set_evening_is_taken_by_the_clock() {
        let news = [gale(ForecastFor::Tonight, at(6, 20, 12))];
        assert!(Heard::at(&news, ZONE, at(6, 20, 15), None).tonight.is_some());
        assert!(Heard::at(&news, ZONE, at(6, 21, 3), None).tonight.is_some());
        assert!(Heard::at(&news, ZONE, at(6, 21, 4), None).tonight.is_none());
    }
}
