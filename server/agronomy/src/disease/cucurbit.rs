//! Cucurbit downy mildew: the least wetness by temperature, beside the generic model's row.

use super::constants as c;

/// Wet hours without which cucurbit downy mildew does not get in, at a mean of `t_c` (°C) while wet.
///
/// 2 h from 20 °C on, 6 h from 10, 12 h from 5; none below 5 and above 28 °C. The abstract gives points; between 15 and 20 °C the value of 10 to 15 is
/// kept, which errs towards more hours.
/// **Errors**: `None` where there is no infection, and for what is no number.
/// **Source**: Cohen 1977, abstract; wetness sheet 2.8.
///
/// ```
/// use propstick_agronomy::disease::cucurbit::least_wet_hours_cohen_1977 as least;
/// assert_eq!([20.0, 12.0, 7.0, 4.0].map(least), [Some(2.0), Some(6.0), Some(12.0), None]);
/// ```
pub fn least_wet_hours_cohen_1977(t_c: f64) -> Option<f64> {
    match t_c {
        t if t > c::CUCURBIT_MAX_C.value => None,
        t if t >= c::CUCURBIT_WARM_FROM_C.value => Some(c::CUCURBIT_WARM_H.value),
        t if t >= c::CUCURBIT_MILD_FROM_C.value => Some(c::CUCURBIT_MILD_H.value),
        t if t >= c::CUCURBIT_COOL_FROM_C.value => Some(c::CUCURBIT_COOL_H.value),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::disease::rows::Disease;

    #[test]
    fn least_hours_step_at_5_10_20_and_28() {
        // Cohen 1977 as in wetness sheet 2.8.
        let least = [4.9, 5.0, 9.9, 10.0, 19.9, 20.0, 28.0, 28.1, f64::NAN].map(least_wet_hours_cohen_1977);
        let expected = [None, Some(12.0), Some(12.0), Some(6.0), Some(6.0), Some(2.0), Some(2.0), None, None];
        assert_eq!(least, expected);
    }

    #[test]
    fn generic_row_asks_for_no_more_than_the_cool_end_and_no_less_than_the_warm_one() {
        // Two sources of one thing: they agree at 5 and 20 °C and within an hour at 10; at 15 the step of the old table still asks for 6 h, the curve for 2.54 (2.1).
        let row = Disease::CucurbitDownyMildew.row();
        for (t_c, within_h) in [(5.0, 0.0), (10.0, 1.0), (15.0, 3.5), (20.0, 0.0)] {
            let (generic, cohen) = (row.wet_hours_needed(t_c).unwrap(), least_wet_hours_cohen_1977(t_c).unwrap());
            assert!((generic - cohen).abs() <= within_h, "{t_c}: {generic} {cohen}");
            assert!((2.0..=12.0).contains(&generic) && generic <= cohen + 1e-9, "{t_c}: {generic} {cohen}");
        }
    }
}
