//! Where a week stands among the structure's own weeks: in a maritime winter the level alone says the same on nearly every day (advice page).

use super::constants as c;
use crate::runs::Runs;

/// How many of the structure's own weeks a week is above, level with and below.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Weeks that were drier.
    pub drier: u32,
    /// Weeks that were as damp.
    pub level: u32,
    /// Weeks that were damper.
    pub damper: u32,
}

impl Standing {
    /// How many weeks it is placed among.
    pub const fn weeks(&self) -> u32 {
        self.drier + self.level + self.damper
    }

    /// Its place, 1 for the dampest; those as damp share the best place.
    pub const fn place(&self) -> u32 {
        self.damper + 1
    }
}

/// Places this week's figure (wet hours, or mean risk) among those of the structure's past weeks.
///
/// **Shape**: `past` in any order, this week not among them; the weeks of the same month of all years, as the caller chooses them. Those that are no number
/// are passed over. Each run of this week is placed among the past weeks' figures of the same run, so that a sensor's constant error cancels.
/// **Errors**: `None` where this week is no number, or fewer than four weeks are left: there is no rank worth a word (our proposal).
///
/// ```
/// use propstick_agronomy::risk::standing::standing;
/// use propstick_agronomy::runs::Runs;
/// let past = [60.0, 75.0, 80.0, 98.0].map(Runs::all);
/// let week = standing(Runs { low: 70.0, read: 81.0, high: 99.0 }, past).unwrap();
/// assert_eq!((week.read.place(), week.read.weeks(), week.low.drier, week.high.damper), (2, 4, 1, 0));
/// ```
pub fn standing(this: Runs<f64>, past: impl IntoIterator<Item = Runs<f64>>) -> Option<Runs<Standing>> {
    let nobody = Standing { drier: 0, level: 0, damper: 0 };
    if this.as_refs().into_iter().any(|v| !v.is_finite()) {
        return None;
    }
    let placed = past.into_iter().filter(|week| week.as_refs().into_iter().all(|v| v.is_finite())).fold(
        Runs::all(nobody),
        |places, week| {
            let compared = this.with(week, |this, past| this.total_cmp(&past));
            places.with(compared, |place, order| match order {
                core::cmp::Ordering::Greater => Standing { drier: place.drier + 1, ..place },
                core::cmp::Ordering::Equal => Standing { level: place.level + 1, ..place },
                core::cmp::Ordering::Less => Standing { damper: place.damper + 1, ..place },
            })
        },
    );
    (f64::from(placed.read.weeks()) >= c::LEAST_WEEKS.value).then_some(placed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn fewer_than_four_weeks_give_no_rank() {
        assert_eq!(standing(Runs::all(1.0), [1.0, 2.0, 3.0].map(Runs::all)), None);
        assert_eq!(standing(Runs::all(1.0), [1.0, 2.0, 3.0, f64::NAN].map(Runs::all)), None);
        assert_eq!(standing(Runs::all(f64::NAN), [1.0; 9].map(Runs::all)), None);
    }

    #[test]
    fn weeks_as_damp_are_neither_above_nor_below() {
        let place = standing(Runs::all(2.0), [1.0, 2.0, 2.0, 3.0].map(Runs::all)).unwrap().read;
        assert_eq!(place, Standing { drier: 1, level: 2, damper: 1 });
        assert_eq!(place.place(), 2);
    }

    proptest! {
        #[test]
        fn prop_order_of_weeks_does_not_matter(mut past in prop::collection::vec(0.0..170.0_f64, 4..40), this in 0.0..170.0_f64) {
            let before = standing(Runs::all(this), past.iter().copied().map(Runs::all));
            past.reverse();
            past.rotate_left(1);
            prop_assert_eq!(before, standing(Runs::all(this), past.into_iter().map(Runs::all)));
        }

        #[test]
        fn prop_a_sensor_that_reads_high_all_the_time_changes_no_place(past in prop::collection::vec(0_u8..160, 4..40), this in 0_u8..160, bias in 0_u8..20) {
            let of = |bias: f64| standing(Runs::all(f64::from(this) + bias), past.iter().map(|w| Runs::all(f64::from(*w) + bias)));
            prop_assert_eq!(of(0.0), of(f64::from(bias)));
        }
    }
}
