//! The constants of the risk index, each once. All are our proposal (wetness sheet 3).

use crate::sourced::{Provenance, Sourced};

const fn proposal(
    name: &'static str,
    (value, unit): (f64, &'static str),
    (lowest, highest): (f64, f64),
    source: &'static str,
) -> Sourced {
    Sourced::new(name, (value, unit), (lowest, highest), Provenance::Proposal, source)
}

/// Least of a noon-day that must be measured for a score.
pub const LEAST_MEASURED_H: Sourced =
    proposal("risk-least-measured", (18.0, "h"), (12.0, 24.0), "wetness sheet 3.1 step 1");
/// Share of yesterday's risk that today keeps: exp(-1/4), a half-life of 2.77 days.
pub const MEMORY: Sourced =
    proposal("risk-memory", (0.778_800_783_071_404_9, "of 1"), (0.5, 0.95), "wetness sheet 3.1 step 6: exp(-1/4)");
/// Days without a score after which the risk is not known.
pub const UNKNOWN_AFTER_D: Sourced = proposal("risk-unknown-after", (3.0, "d"), (1.0, 7.0), "wetness sheet 3.1 step 6");
/// Scored days before which nothing is alerted.
pub const START_UP_D: Sourced = proposal("risk-start-up", (3.0, "d"), (1.0, 14.0), "wetness sheet 3.2");
/// Severity of a night that opens a latent window.
pub const WINDOW_FROM: Sourced = proposal("risk-window-from", (0.5, "of 1"), (0.2, 0.9), "wetness sheet 3.1 step 10");
/// Range of risk above which it hangs on the humidity sensor.
pub const UNCERTAIN_FROM: Sourced = proposal("risk-uncertain-above", (0.35, "of 1"), (0.1, 0.9), "wetness sheet 3.2");
/// Days for which a disease that was found raises the level.
pub const FOUND_D: Sourced = proposal("risk-found-within", (21.0, "d"), (7.0, 60.0), "wetness sheet 3.1 step 11");
/// "Some" from here.
pub const SOME_ENTER: Sourced = proposal("level-some-enter", (0.20, "of 1"), (0.0, 1.0), "wetness sheet 3.2");
/// And no longer below here.
pub const SOME_LEAVE: Sourced = proposal("level-some-leave", (0.15, "of 1"), (0.0, 1.0), "wetness sheet 3.2");
/// "Raised" from here.
pub const RAISED_ENTER: Sourced = proposal("level-raised-enter", (0.40, "of 1"), (0.0, 1.0), "wetness sheet 3.2");
/// And no longer below here on two days running.
pub const RAISED_LEAVE: Sourced = proposal("level-raised-leave", (0.30, "of 1"), (0.0, 1.0), "wetness sheet 3.2");
/// "High" from here.
pub const HIGH_ENTER: Sourced = proposal("level-high-enter", (0.60, "of 1"), (0.0, 1.0), "wetness sheet 3.2");
/// And no longer below here on two days running.
pub const HIGH_LEAVE: Sourced = proposal("level-high-leave", (0.50, "of 1"), (0.0, 1.0), "wetness sheet 3.2");
/// Days running below the limit before raised or high are left.
pub const LEAVE_AFTER_D: Sourced = proposal("level-leave-after", (2.0, "d"), (1.0, 5.0), "wetness sheet 3.2");
/// Fewest of the structure's own weeks that a week is placed among.
pub const LEAST_WEEKS: Sourced =
    proposal("standing-least-weeks", (4.0, "weeks"), (2.0, 20.0), "under four there is no rank worth a word");

/// All of the above.
pub const ALL: &[&Sourced] = &[
    &LEAST_MEASURED_H,
    &MEMORY,
    &UNKNOWN_AFTER_D,
    &START_UP_D,
    &WINDOW_FROM,
    &UNCERTAIN_FROM,
    &FOUND_D,
    &SOME_ENTER,
    &SOME_LEAVE,
    &RAISED_ENTER,
    &RAISED_LEAVE,
    &HIGH_ENTER,
    &HIGH_LEAVE,
    &LEAVE_AFTER_D,
    &LEAST_WEEKS,
];
