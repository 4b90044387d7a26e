//! The generic infection model of Magarey, Sutton and Thayer 2005: how long leaves must be wet at a temperature.

use super::constants as c;
use super::rows::InfectionRow;
use libm::{exp, log};

/// Temperatures answered for, °C.
const TEMPERATURE_C: core::ops::RangeInclusive<f64> = -60.0..=80.0;

/// How well `t_c` (°C) suits between `t_min_c`, `t_opt_c` and `t_max_c`: 0 outside or at the ends, 1 at the optimum.
///
/// `f(T) = (Tmax - T)/(Tmax - Topt) * ((T - Tmin)/(Topt - Tmin))^((Topt - Tmin)/(Tmax - Topt))`, the beta form of the paper (wetness sheet 2.1).
/// **Errors**: `None` where `t_c` is or a cardinal is outside -60 to 80 °C or no number, and where the cardinals do not ascend.
///
/// ```
/// use propstick_agronomy::disease::infection::temperature_response_magarey_2005 as f;
/// // Wetness sheet 2.1: lettuce downy mildew (1, 15, 25) at 8 °C.
/// assert!((f(8.0, 1.0, 15.0, 25.0).unwrap() - 0.6442).abs() < 0.000_05);
/// ```
pub fn temperature_response_magarey_2005(t_c: f64, t_min_c: f64, t_opt_c: f64, t_max_c: f64) -> Option<f64> {
    // Ascending cardinals between these two lie within the range, too.
    let ascend =
        *TEMPERATURE_C.start() <= t_min_c && t_min_c < t_opt_c && t_opt_c < t_max_c && t_max_c <= *TEMPERATURE_C.end();
    (ascend && TEMPERATURE_C.contains(&t_c)).then(|| {
        if t_c <= t_min_c || t_c >= t_max_c {
            return 0.0;
        }
        let falling = (t_max_c - t_c) / (t_max_c - t_opt_c);
        // The power as exp and log: half the time of `pow`, and far more exact than a table of four digits.
        falling * exp((t_opt_c - t_min_c) / (t_max_c - t_opt_c) * log((t_c - t_min_c) / (t_opt_c - t_min_c)))
    })
}

impl InfectionRow {
    /// [`temperature_response_magarey_2005`] with this row's cardinals.
    pub fn response(&self, t_c: f64) -> Option<f64> {
        temperature_response_magarey_2005(t_c, self.t_min_c, self.t_opt_c, self.t_max_c)
    }

    /// Wet hours at `t_c` (°C) that make an infection as the paper prints it, `min(Wmin / f(T), Wmax)`; none where there is no infection.
    ///
    /// **Errors**: `None` also for what is no temperature. **Accuracy**: about 4.9 h (memory); mean r 0.83 over 53 laboratory studies (published: abstract).
    ///
    /// ```
    /// use propstick_agronomy::disease::rows::Disease;
    /// // Wetness sheet 2.1: lettuce downy mildew at 12 °C.
    /// assert!((Disease::LettuceDownyMildew.row().wet_hours_needed(12.0).unwrap() - 4.31).abs() < 0.005);
    /// assert_eq!(Disease::LettuceDownyMildew.row().wet_hours_needed(25.0), None);
    /// ```
    pub fn wet_hours_needed(&self, t_c: f64) -> Option<f64> {
        let response = self.response(t_c)?;
        (response > 0.0).then(|| (self.wet_min_h / response).min(self.wet_max_h))
    }

    /// What one wet hour at `t_c` (°C) adds to an infection: 1 makes one. Never negative, at most `1 / Wmin`.
    ///
    /// `g / min(Wmin / f(T), Wmax)` with `g = clamp((T - Tmin) / 3, 0, 1)`: as printed, the cap would let ten wet hours at 1.5 °C infect lettuce, so it is
    /// faded in over the first three degrees (wetness sheet 2.1 and 3.1 step 3, our proposal). From Tmin + 3 on it is the published model hour by hour.
    /// **Errors**: 0 for what is no temperature.
    ///
    /// ```
    /// use propstick_agronomy::disease::rows::Disease;
    /// // Wetness sheet 3.3: lettuce downy mildew at 2 and 8 °C.
    /// let row = Disease::LettuceDownyMildew.row();
    /// assert!((row.hourly_progress(2.0) - 0.0333).abs() < 0.000_05 && (row.hourly_progress(8.0) - 0.1610).abs() < 0.000_05);
    /// ```
    pub fn hourly_progress(&self, t_c: f64) -> f64 {
        let fade = ((t_c - self.t_min_c) / c::COLD_FADE_C.value).clamp(0.0, 1.0);
        self.wet_hours_needed(t_c).map_or(0.0, |needed_h| fade / needed_h)
    }
}

/// Wet hours gathered towards infections, event by event. Plain values.
///
/// Two wet spells belong to one event where at most four dry hours lie between them (D50; wetness sheet 2.1). What is 1 or more has infected.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct InfectionEvents {
    /// Progress of the event that goes on.
    pub open: f64,
    /// Dry hours since its last wet one.
    pub dry_h: u32,
    /// Sum of the squares of the events that are closed.
    pub closed_squares: f64,
    /// Greatest of them.
    pub closed_greatest: f64,
    /// Sum of all progress.
    pub total: f64,
}

impl InfectionEvents {
    /// A wet hour that adds `progress` (see [`InfectionRow::hourly_progress`]), 0 to 24; anything else adds nothing.
    pub fn wet(&mut self, progress: f64) {
        let progress = if (0.0..=24.0).contains(&progress) { progress } else { 0.0 };
        if f64::from(self.dry_h) > c::DRY_BETWEEN_H.value {
            self.close();
        }
        self.dry_h = 0;
        self.open += progress;
        self.total += progress;
    }

    /// A dry hour. Frozen hours are neither: they do not run this clock (wetness sheet 1.3).
    pub fn dry(&mut self) {
        self.dry_h = self.dry_h.saturating_add(1);
    }

    /// The greatest event so far: 1 or more has infected.
    ///
    /// ```
    /// use propstick_agronomy::disease::{infection::InfectionEvents, rows::Disease};
    /// // Wetness sheet 2.1, worked: lettuce downy mildew at 12 °C, 3 h wet, 3 h dry, 2 h wet make one; with 5 h dry they do not, with 4 h they do.
    /// let progress = Disease::LettuceDownyMildew.row().hourly_progress(12.0);
    /// let infected = [3, 4, 5].map(|dry_h| {
    ///     let mut events = InfectionEvents::default();
    ///     (0..3).for_each(|_| events.wet(progress));
    ///     (0..dry_h).for_each(|_| events.dry());
    ///     (0..2).for_each(|_| events.wet(progress));
    ///     events.greatest() >= 1.0
    /// });
    /// assert_eq!(infected, [true, true, false]);
    /// ```
    pub fn greatest(&self) -> f64 {
        self.open.max(self.closed_greatest)
    }

    /// Sum of the squares of all events, the open one with them.
    pub fn sum_of_squares(&self) -> f64 {
        self.closed_squares + self.open * self.open
    }

    fn close(&mut self) {
        self.closed_squares += self.open * self.open;
        self.closed_greatest = self.closed_greatest.max(self.open);
        self.open = 0.0;
    }
}

#[cfg(test)]
#[path = "infection/tests.rs"]
mod tests;
