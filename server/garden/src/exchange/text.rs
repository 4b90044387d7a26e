//! Numbers and texts as they are written in every form.

use core::fmt::{self, Display, Write};

/// A finite number as the shortest text that reads back as the same double: plain where that is short, with an exponent where it is very large or
/// very small (both are numbers in CSV readers, in JSON (RFC 8259, section 6) and in the line protocol ("Float")).
#[derive(Clone, Copy)]
pub(super) struct Number(pub(super) f64);

impl Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.0.abs();
        if size == 0.0 || (1e-5..1e15).contains(&size) { write!(f, "{}", self.0) } else { write!(f, "{:e}", self.0) }
    }
}

/// A text as a JSON string (RFC 8259, section 7), quotation marks and escapes included.
struct JsonText<'a>(&'a str);

impl Display for JsonText<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char('"')?;
        for c in self.0.chars() {
            match c {
                '"' => f.write_str("\\\"")?,
                '\\' => f.write_str("\\\\")?,
                '\n' => f.write_str("\\n")?,
                c if (c as u32) < 0x20 => write!(f, "\\u{:04x}", c as u32)?,
                c => f.write_char(c)?,
            }
        }
        f.write_char('"')
    }
}

/// A text as a JSON string, to be written through `Display`.
pub fn json_text(text: &str) -> impl Display + '_ {
    JsonText(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn number_is_short_and_plain_where_it_can_be() {
        for (v, text) in [
            (6.12, "6.12"),
            (6.0, "6"),
            (-0.0, "-0"),
            (0.1 + 0.2, "0.30000000000000004"),
            (101_325.0, "101325"),
            (0.000_01, "0.00001"),
            (0.000_009, "9e-6"),
            (-1.5e300, "-1.5e300"),
            (5e-324, "5e-324"),
        ] {
            assert_eq!(Number(v).to_string(), text);
        }
    }

    #[test]
    fn json_text_escapes_what_json_wants_escaped() {
        assert_eq!(json_text("a \"b\" \\ \n\u{1} é").to_string(), r#""a \"b\" \\ \n\u0001 é""#);
    }

    proptest! {
        #[test]
        fn prop_any_finite_number_reads_back_as_the_same_bits(bits in any::<u64>()) {
            let v = f64::from_bits(bits);
            prop_assume!(v.is_finite());
            let text = Number(v).to_string();
            prop_assert_eq!(text.parse::<f64>().unwrap().to_bits(), bits, "{}", text);
            prop_assert!(text.len() <= 25, "{}", text);
        }
    }
}
