//! When to look for spots: latent windows of nights that let a disease in, merged.

use propstick_agronomy::disease::latent::{LatentWindow, latent_window, merge_windows};
use propstick_agronomy::disease::rows::Disease;
use propstick_agronomy::risk::groups::CropGroup;

use super::Night;

/// Days to look for one disease. Days are noon-days, counted as the caller counts them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// The disease.
    pub what: Disease,
    /// First and last day, and the night that opened it.
    pub window: LatentWindow,
}

/// Windows of the diseases of `groups` that reach `today` or later, those of one disease merged, in the order of their beginning.
///
/// `nights` are noon-days one after the other, the first being day number `first`; where the mean of a day is not known, and for days to come,
/// `expected_c` stands in. Dry weather closes no window.
pub fn look_for(nights: &[Night], first: i64, groups: &[CropGroup], expected_c: f64, today: i64) -> Vec<Look> {
    let mut found = Vec::new();
    for what in Disease::ALL {
        if !groups.iter().any(|g| g.diseases().contains(&what)) {
            continue;
        }
        let opened = |k: &usize| nights.get(*k).is_some_and(|n| n.day.disease(what).opens_window());
        let window = |k: usize| {
            let after = nights.iter().skip(k + 1).map(|n| n.mean_c);
            latent_window(what, first + k as i64, after, expected_c)
        };
        let mut windows: Vec<LatentWindow> =
            (0..nights.len()).filter(opened).filter_map(window).filter(|w| w.to >= today).collect();
        let n = merge_windows(&mut windows);
        found.extend(windows.into_iter().take(n).map(|window| Look { what, window }));
    }
    found.sort_by_key(|look| (look.window.from, look.window.to, look.what));
    found
}

/// Whether a look is due in the seven days from `today` on, and for what: one weekly look serves all windows that are open then.
pub fn weekly_look(looks: &[Look], today: i64) -> Vec<Disease> {
    let mut due: Vec<Disease> =
        looks.iter().filter(|l| l.window.from <= today + 6 && l.window.to >= today).map(|l| l.what).collect();
    due.sort_unstable();
    due.dedup();
    due
}
