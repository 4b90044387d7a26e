//! Degree-days from a day's lowest and highest temperature. The method is part of every figure: on a day from -2 to
//! 10 °C the common ones give 0, 1.9 and 3.0 above 4 °C.

/// How a day's degree-days were reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Method {
    /// Simple average, limits applied to the mean of minimum and maximum (McMaster & Wilhelm 1997, method 1).
    Average1,
    /// Simple average, limits applied to minimum and maximum before their mean (McMaster & Wilhelm 1997, method 2).
    Average2,
}

impl Method {
    /// The name used in stores and answers.
    pub const fn name(self) -> &'static str {
        match self {
            Method::Average1 => "average-1",
            Method::Average2 => "average-2",
        }
    }
}

/// A day's degree-days with everything that is needed to compare them with others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DegreeDays {
    /// The degree-days, °C d, zero or more.
    pub value_c_d: f64,
    /// How they were reached.
    pub method: Method,
    /// The temperature above which they count, °C.
    pub base_c: f64,
    /// The temperature above which more warmth adds nothing, °C.
    pub upper_c: Option<f64>,
}

impl DegreeDays {
    /// Degree-days of one day with the given lowest and highest temperature, °C.
    ///
    /// `None` where the lowest is above the highest, the upper limit is not above the base, or any number is not finite.
    /// Climate sheet 2.1; McMaster & Wilhelm 1997, Table 1. Exact.
    ///
    /// ```
    /// use propstick_agronomy::degree_days::{DegreeDays, Method};
    /// // McMaster & Wilhelm 1997, Table 1: 8 and -2 °C above base 0.
    /// let by = |method| DegreeDays::of_day(-2.0, 8.0, method, 0.0, None).unwrap().value_c_d;
    /// assert_eq!((by(Method::Average1), by(Method::Average2)), (3.0, 4.0));
    /// ```
    pub fn of_day(min_c: f64, max_c: f64, method: Method, base_c: f64, upper_c: Option<f64>) -> Option<DegreeDays> {
        let top_c = upper_c.unwrap_or(f64::MAX);
        let finite = [min_c, max_c, base_c, top_c].iter().all(|t| t.is_finite());
        if !finite || min_c > max_c || top_c <= base_c {
            return None;
        }
        let mean_c = |low_c: f64, high_c: f64| 0.5 * (low_c + high_c);
        let within = |t_c: f64| t_c.max(base_c).min(top_c);
        let used_c = match method {
            Method::Average1 => within(mean_c(min_c, max_c)),
            Method::Average2 => mean_c(within(min_c), within(max_c)),
        };
        Some(DegreeDays { value_c_d: used_c - base_c, method, base_c, upper_c })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn value(min_c: f64, max_c: f64, method: Method, base_c: f64, upper_c: Option<f64>) -> f64 {
        DegreeDays::of_day(min_c, max_c, method, base_c, upper_c).unwrap().value_c_d
    }

    #[test]
    fn mcmaster_and_wilhelm_table_1_is_reproduced_exactly() {
        // [published: McMaster & Wilhelm 1997 Table 1, base 0 °C]: Tmax, Tmin, method 1, method 2.
        for (max_c, min_c, one, two) in [
            (20.0, 10.0, 15.0, 15.0),
            (8.0, -2.0, 3.0, 4.0),
            (5.0, -5.0, 0.0, 2.5),
            (-2.0, -7.0, 0.0, 0.0),
            (10.0, -2.0, 4.0, 5.0),
            (15.0, 2.0, 8.5, 8.5),
        ] {
            assert_eq!(value(min_c, max_c, Method::Average1, 0.0, None), one);
            assert_eq!(value(min_c, max_c, Method::Average2, 0.0, None), two);
        }
    }

    #[test]
    fn averages_of_the_celsius_table_of_2_2_are_reproduced() {
        // Climate sheet 2.2 [arithmetic], L 4, no upper limit: min, max, avg 1, avg 2.
        for (min_c, max_c, one, two) in [
            (6.0, 18.0, 8.0, 8.0),
            (-2.0, 10.0, 0.0, 3.0),
            (2.0, 28.0, 11.0, 12.0),
            (10.0, 30.0, 16.0, 16.0),
            (25.0, 33.0, 25.0, 25.0),
        ] {
            assert!((value(min_c, max_c, Method::Average1, 4.0, None) - one).abs() <= 0.01);
            assert!((value(min_c, max_c, Method::Average2, 4.0, None) - two).abs() <= 0.01);
        }
    }

    #[test]
    fn upper_limit_clips_the_mean_in_method_1_and_the_ends_in_method_2() {
        // Climate sheet 2.1 by hand, L 4, U 24. 10..30: mean 20 -> 16; ends 10 and 24, mean 17 -> 13.
        assert_eq!(value(10.0, 30.0, Method::Average1, 4.0, Some(24.0)), 16.0);
        assert_eq!(value(10.0, 30.0, Method::Average2, 4.0, Some(24.0)), 13.0);
        // 25..33: above the limit all day.
        assert_eq!(value(25.0, 33.0, Method::Average1, 4.0, Some(24.0)), 20.0);
        assert_eq!(value(25.0, 33.0, Method::Average2, 4.0, Some(24.0)), 20.0);
    }

    #[test]
    fn result_names_its_method_and_limits() {
        let day = DegreeDays::of_day(2.0, 12.0, Method::Average2, 4.0, Some(24.0)).unwrap();
        assert_eq!((day.method.name(), day.base_c, day.upper_c), ("average-2", 4.0, Some(24.0)));
    }

    #[test]
    fn impossible_days_and_limits_give_none() {
        let none = |a, b, base, upper| DegreeDays::of_day(a, b, Method::Average1, base, upper).is_none();
        assert!(none(8.0, 2.0, 4.0, None));
        assert!(none(f64::NAN, 2.0, 4.0, None));
        assert!(none(1.0, f64::INFINITY, 4.0, None));
        assert!(none(1.0, 2.0, f64::NAN, None));
        assert!(none(1.0, 2.0, 4.0, Some(4.0)));
        assert!(none(1.0, 2.0, 4.0, Some(f64::NAN)));
    }

    proptest! {
        #[test]
        fn prop_method_2_is_never_below_method_1_without_upper_limit(min_c in -30.0..40.0, span in 0.0..30.0, base_c in -5.0..20.0) {
            let one = value(min_c, min_c + span, Method::Average1, base_c, None);
            let two = value(min_c, min_c + span, Method::Average2, base_c, None);
            prop_assert!(one >= 0.0 && two >= one - 1e-9);
        }

        #[test]
        fn prop_a_warmer_day_never_has_fewer(min_c in -30.0..40.0, span in 0.0..30.0, more in 0.0..5.0) {
            for method in [Method::Average1, Method::Average2] {
                let cool = value(min_c, min_c + span, method, 4.0, Some(24.0));
                let warm = value(min_c, min_c + span + more, method, 4.0, Some(24.0));
                prop_assert!(warm >= cool - 1e-9 && warm <= 20.0 + 1e-9);
            }
        }
    }
}
