//! Numbers as files write them.

use crate::table::mapping::Decimal;

/// The number in a cell; none where there is no finite one. No thousands marks: `1.234,5` and `1,234.5` are no numbers.
pub fn number(cell: &str, decimal: Decimal) -> Option<f64> {
    let cell = cell.trim();
    // What else the parser takes for a number (`nan`, `infinity`) begins with a letter.
    let first = cell.bytes().find(|byte| !matches!(byte, b'+' | b'-'))?;
    if !(first.is_ascii_digit() || matches!(first, b'.' | b',')) {
        return None;
    }
    let number: f64 = match decimal {
        Decimal::Point => cell.parse().ok()?,
        Decimal::Comma => {
            let mut room = [0; 40];
            let written = room.get_mut(..cell.len())?;
            for (to, from) in written.iter_mut().zip(cell.bytes()) {
                *to = match from {
                    b',' => b'.',
                    b'.' => return None,
                    other => other,
                };
            }
            std::str::from_utf8(written).ok()?.parse().ok()?
        }
    };
    number.is_finite().then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn number_with_its_decimal_sign_is_read_and_another_is_none() {
        for (text, expected) in [
            ("4.5", Some(4.5)),
            (" +25.3 ", Some(25.3)),
            ("-0.5", Some(-0.5)),
            (".5", Some(0.5)),
            ("1e3", Some(1000.0)),
            ("12.658579999999999", Some(12.658579999999999)),
            // Never 253 (troubles page 13).
            ("25,3", None),
            ("1,234.5", None),
            ("", None),
            ("nan", None),
            ("-inf", None),
            ("infinity", None),
            ("1e999", None),
            ("---", None),
            ("4 5", None),
            ("0x10", None),
        ] {
            assert_eq!(number(text, Decimal::Point), expected, "{text}");
        }
        for (text, expected) in [
            ("4,5", Some(4.5)),
            ("45", Some(45.0)),
            ("-0,25", Some(-0.25)),
            ("4.5", None),
            ("1.234,5", None),
            ("4,5,6", None),
        ] {
            assert_eq!(number(text, Decimal::Comma), expected, "{text}");
        }
    }
}
