//! From readings to hours and days, with what is known and what is not.

mod days;
mod degree_days;
mod figure;
mod hour_counts;
mod samples;

pub use days::{
    DayFigures, DayKind, DaySpan, HourRow, civil_day, date_of, day_figures, hour_shift_ms, local, noon_day,
    standard_offset_s, utc_day,
};
pub use degree_days::{DayOfAir, OneDegreeDays, WantedDegreeDays, has_cutoff};
pub use figure::{Figure, T_ERROR_C, Why};
pub use hour_counts::{frost_hours, light_of, wet_hours_of};
pub use samples::{Ledgered, air_figure, air_figure_within, of_air, placed_samples, wet_bulb_within};
