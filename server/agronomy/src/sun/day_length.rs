//! How long the day is, and the short days of winter.

use super::calendar::days_since_1970;
use super::fao56;
use super::{DAY_NUMBERS, SunDay, constants as c, crossing_s, culmination_s, day_of_year, is_place};

/// Which of three definitions in circulation a day length follows; they differ by up to 20 min at 50 to 58° N.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DayLength {
    /// From sunrise to sunset, with refraction and the sun's upper limb: what almanacs print.
    Apparent,
    /// The sun's centre above the horizon, without air: 10 to 20 min less.
    Geometric,
    /// FAO-56 eq 34, geometric with a crude declination: for evapotranspiration only, it shifts the ten-hour date by 4 to 6 days.
    Fao56,
}

impl DayLength {
    /// The name used in stores and answers.
    ///
    /// ```
    /// use propstick_agronomy::sun::DayLength;
    /// assert_eq!(DayLength::Apparent.name(), "apparent");
    /// ```
    pub const fn name(self) -> &'static str {
        match self {
            DayLength::Apparent => "apparent",
            DayLength::Geometric => "geometric",
            DayLength::Fao56 => "fao-56",
        }
    }

    /// Length of the day that lies `day_number` days after 1970-01-01 (-25,567 to 47,846) at `lat_deg` (-90 to 90) and `lon_deg` (-180 to 180), s: 0
    /// in polar night, 86,400 in polar day.
    ///
    /// **Errors**: `None` out of range. **Source**: climate sheet 3.3. **Accuracy**: [`DayLength::Apparent`] within 2 s of pvlib 0.16.1 (SPA) all
    /// year at 50, 52 and 58° N.
    ///
    /// ```
    /// use propstick_agronomy::sun::DayLength;
    /// // Climate sheet 3.3: 7.731 h on the shortest day at 52° N.
    /// let length_s = DayLength::Apparent.seconds(20_808, 52.0, 0.0).unwrap();
    /// assert!((length_s / 3_600.0 - 7.731).abs() < 0.02);
    /// ```
    pub fn seconds(self, day_number: i64, lat_deg: f64, lon_deg: f64) -> Option<f64> {
        let elevation_deg = match self {
            DayLength::Apparent => c::SUNRISE_DEG.value,
            DayLength::Geometric => 0.0,
            DayLength::Fao56 => {
                let hours = fao56::daylight_hours(lat_deg, day_of_year(day_number)?)?;
                return Some(hours * 3_600.0).filter(|_| is_place(lat_deg, lon_deg));
            }
        };
        if !DAY_NUMBERS.contains(&day_number) || !is_place(lat_deg, lon_deg) {
            return None;
        }
        let noon_s = culmination_s((day_number as f64 + 0.5) * super::DAY_S - lon_deg * 240.0, lon_deg);
        let crossing = |side| crossing_s(noon_s, elevation_deg, side, lat_deg, lon_deg);
        Some(match (crossing(-1.0), crossing(1.0)) {
            (Some(rise_s), Some(set_s)) => set_s - rise_s,
            // At the edge of polar night or day one of the two may be missing.
            _ if super::elevation_deg(noon_s, lat_deg, lon_deg)? > elevation_deg => super::DAY_S,
            _ => 0.0,
        })
    }
}

/// The days of a winter that are shorter than a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShortDays {
    /// First of them, in days since 1970.
    pub first: i64,
    /// Last of them, in days since 1970.
    pub last: i64,
    /// The shortest, in days since 1970.
    pub shortest: i64,
    /// How long the shortest is, s.
    pub shortest_s: i64,
}

impl ShortDays {
    /// The days shorter than `limit_h` hours (0 to 24) of the winter that begins in `year` (1900 to 2099): from July to June north of the equator,
    /// from January to December south of it. With 10 h it is the "ten-hour rule", a proxy for light that was found at 44° N; at 50 to 52° N it gives
    /// the February date of new growth right and the autumn date six weeks early: prefer [`crate::growth`].
    ///
    /// **Errors**: `None` out of range, or where no day is that short or all are. **Source**: climate sheet 3.3, day length by `length`.
    /// **Accuracy**: the dates of pvlib 0.16.1 (SPA) at 45 to 58° N to the day, those of astral 3.2 to one day ([`DayLength::Apparent`]).
    ///
    /// ```
    /// use propstick_agronomy::sun::{DayLength, ShortDays};
    /// // Climate sheet 3.3, 52° N: 26 October 2026 to 15 February 2027, 113 days.
    /// let short = ShortDays::of_winter(2026, 52.0, 0.0, 10.0, DayLength::Apparent).unwrap();
    /// assert_eq!((short.first, short.last), (20_752, 20_864));
    /// ```
    pub fn of_winter(year: i32, lat_deg: f64, lon_deg: f64, limit_h: f64, length: DayLength) -> Option<ShortDays> {
        let (first_month, days) = if lat_deg >= 0.0 { (7, 365) } else { (1, 365) };
        let begin = days_since_1970(year, first_month, 1).filter(|_| (1900..=2099).contains(&year))?;
        if !(0.0..=24.0).contains(&limit_h) {
            return None;
        }
        let mut found: Option<ShortDays> = None;
        for day in begin..begin + days {
            let seconds = length.seconds(day, lat_deg, lon_deg)?;
            if seconds >= limit_h * 3_600.0 {
                continue;
            }
            let this = ShortDays { first: day, last: day, shortest: day, shortest_s: super::whole(seconds) };
            found = Some(match found {
                None => this,
                Some(so_far) if this.shortest_s < so_far.shortest_s => ShortDays { first: so_far.first, ..this },
                Some(so_far) => ShortDays { last: day, ..so_far },
            });
        }
        found.filter(|short| short.last - short.first < days - 1)
    }

    /// How many days lie from the first to the last.
    pub fn days(&self) -> i64 {
        self.last - self.first + 1
    }
}

impl SunDay {
    /// From sunrise to sunset, s; `None` where one of them does not happen. See [`DayLength::Apparent`].
    ///
    /// ```
    /// use propstick_agronomy::sun::SunDay;
    /// // Climate sheet 3.3: 10.039 h on 25 October 2026 at 52° N, ±0.02.
    /// let day_s = SunDay::of_date(2026, 10, 25, 52.0, 0.0).unwrap().length_s().unwrap();
    /// assert!((day_s as f64 / 3_600.0 - 10.039).abs() <= 0.02);
    /// ```
    pub fn length_s(&self) -> Option<i64> {
        Some(self.sunset_s? - self.sunrise_s?)
    }
}
