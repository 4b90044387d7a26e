//! Exact decimals from integers, so that a board needs no floating point to say `6.12`.

use core::fmt::{self, Write};

/// The number `mantissa` / 10^`places`, written without an exponent and without needless zeros: 9560 with 2 places is `95.6`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Decimal {
    /// The digits.
    pub mantissa: i64,
    /// How many of them stand behind the point; more than 18 are written as 18, so keep to 0 to 18.
    pub places: u8,
}

impl Decimal {
    /// The number `mantissa` / 10^`places`.
    pub const fn new(mantissa: i64, places: u8) -> Decimal {
        Decimal { mantissa, places }
    }
}

impl From<i64> for Decimal {
    fn from(whole: i64) -> Decimal {
        Decimal::new(whole, 0)
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut places = u32::from(self.places.min(18));
        let mut digits = self.mantissa.unsigned_abs();
        while places > 0 && digits.is_multiple_of(10) {
            digits /= 10;
            places -= 1;
        }
        if self.mantissa < 0 {
            f.write_char('-')?;
        }
        let unit = 10_u64.pow(places);
        write!(f, "{}", digits / unit)?;
        if places > 0 {
            write!(f, ".{:0width$}", digits % unit, width = places as usize)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::string::ToString;

    #[test]
    fn display_various_numbers_is_short_and_exact() {
        for (mantissa, places, text) in [
            (612, 2, "6.12"),
            (9560, 2, "95.6"),
            (700, 2, "7"),
            (-5, 2, "-0.05"),
            (0, 3, "0"),
            (-12_700, 2, "-127"),
            (42, 0, "42"),
            (10, 0, "10"),
            (i64::MIN, 18, "-9.223372036854775808"),
            (i64::MAX, 18, "9.223372036854775807"),
        ] {
            assert_eq!(Decimal::new(mantissa, places).to_string(), text);
        }
    }

    proptest! {
        #[test]
        fn prop_display_reads_back_as_the_nearest_double(mantissa in -9_007_199_254_740_992_i64..9_007_199_254_740_992, places in 0_u8..18) {
            let read: f64 = Decimal::new(mantissa, places).to_string().parse().unwrap();
            // Both sides are the double nearest to the same rational where 10^places is exact (places <= 22).
            prop_assert_eq!(read, mantissa as f64 / 10_f64.powi(i32::from(places)));
        }
    }
}
