//! Device names: URNs of the namespace `dev` (RFC 9039), and what a board may be called.
//!
//! The grammar of RFC 9039, section 3, in words. Behind `urn:dev:` stands a subtype with its body, then any number of `_component` parts:
//! - `mac:` and `ow:`: 16 lower-case hexadecimal digits (an EUI-64; a 1-wire number),
//! - `org:` a number without leading zero, `-`, an identifier, then any number of `:identifier`,
//! - `os:` the same with a serial number for the first identifier,
//! - `ops:` a number, `-`, a product without `-`, `-`, a serial number, then any number of `:identifier`.
//!
//! Identifiers, serial numbers and components are letters, digits, `.` and `-`. Names are compared letter by letter; the RFC would allow `URN:DEV:`
//! in capitals too, which nothing here writes and nothing here reads. Further subtypes that the RFC keeps open are not known here.
//!
//! A board's name is narrower still, because it must be read back from a topic, where ':' is written '-': no component (that place belongs to the
//! channel) and no ':' behind the subtype. `urn:dev:org:32473-a:b` would become `org-32473-a-b`, which is also what `urn:dev:org:32473-a-b` becomes,
//! so the former is refused and the latter is meant.

use core::fmt;

/// What every name here begins with.
pub const PREFIX: &str = "urn:dev:";

/// Parts a board's name from the name of its channel (a component of RFC 9039): `urn:dev:mac:02005efffe10a2b3_air-temperature`.
pub const CHANNEL_SEPARATOR: &str = "_";

/// A board's name has at most this many bytes.
pub const MAX_BOARD_URN_BYTES: usize = 64;

/// The name of a board of ours, such as `urn:dev:mac:02005efffe10a2b3`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BoardUrn {
    bytes: [u8; MAX_BOARD_URN_BYTES],
    len: u8,
}

impl BoardUrn {
    /// Checks a name.
    ///
    /// # Errors
    /// [`UrnError`] says what RFC 9039 or the rules for boards have against it.
    pub fn parse(text: &str) -> Result<BoardUrn, UrnError> {
        let parts = check(text)?;
        if parts.has_component {
            return Err(UrnError::Component);
        }
        if parts.has_more_colons {
            return Err(UrnError::NotReversible);
        }
        BoardUrn::build(&[text])
    }

    /// The board whose [`BoardUrn::topic_part`] is `part`: its first '-' was the ':' behind the subtype.
    ///
    /// # Errors
    /// As [`BoardUrn::parse`].
    pub fn from_topic_part(part: &str) -> Result<BoardUrn, UrnError> {
        let (subtype, body) = part.split_once('-').ok_or(UrnError::Subtype)?;
        if part.contains(':') {
            return Err(UrnError::NotReversible);
        }
        let urn = BoardUrn::build(&[PREFIX, subtype, ":", body])?;
        BoardUrn::parse(urn.as_str())
    }

    /// The board with this EUI-64, by the subtype `mac`.
    pub fn from_eui64(eui64: [u8; 8]) -> BoardUrn {
        let mut bytes = [0; MAX_BOARD_URN_BYTES];
        let head = b"urn:dev:mac:";
        bytes[..head.len()].copy_from_slice(head);
        let mut len = head.len();
        for byte in eui64 {
            for digit in [byte >> 4, byte & 15] {
                bytes[len] = b"0123456789abcdef"[usize::from(digit)];
                len += 1;
            }
        }
        BoardUrn { bytes, len: len as u8 }
    }

    /// The board with this 48-bit address (EUI-48, what network chips carry): `fffe` goes into its middle (RFC 9039, section 4.1).
    pub fn from_eui48(eui48: [u8; 6]) -> BoardUrn {
        let [a, b, c, d, e, f] = eui48;
        BoardUrn::from_eui64([a, b, c, 0xff, 0xfe, d, e, f])
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        core::str::from_utf8(&self.bytes[..usize::from(self.len)]).unwrap_or_default()
    }

    /// The name as a level of a topic and as MQTT user: what stands behind `urn:dev:`, with ':' as '-'.
    pub fn topic_part(&self) -> TopicPart<'_> {
        TopicPart { rest: self.as_str().strip_prefix(PREFIX).unwrap_or_default() }
    }

    fn build(pieces: &[&str]) -> Result<BoardUrn, UrnError> {
        let mut bytes = [0; MAX_BOARD_URN_BYTES];
        let mut len = 0;
        for piece in pieces {
            let end = len + piece.len();
            bytes.get_mut(len..end).ok_or(UrnError::TooLong)?.copy_from_slice(piece.as_bytes());
            len = end;
        }
        Ok(BoardUrn { bytes, len: len as u8 })
    }
}

impl fmt::Display for BoardUrn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl fmt::Debug for BoardUrn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "BoardUrn({})", self.as_str())
    }
}

/// A board's name as a level of a topic; written through `Display`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TopicPart<'a> {
    rest: &'a str,
}

impl PartialEq<str> for TopicPart<'_> {
    fn eq(&self, other: &str) -> bool {
        self.rest.len() == other.len()
            && self.rest.bytes().map(|byte| if byte == b':' { b'-' } else { byte }).eq(other.bytes())
    }
}

impl PartialEq<&str> for TopicPart<'_> {
    fn eq(&self, other: &&str) -> bool {
        *self == **other
    }
}

impl fmt::Display for TopicPart<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, piece) in self.rest.split(':').enumerate() {
            if at > 0 {
                f.write_str("-")?;
            }
            f.write_str(piece)?;
        }
        Ok(())
    }
}

/// Checks a device name by RFC 9039 alone: components and further ':' are allowed, the length is not limited.
///
/// # Errors
/// [`UrnError`], never [`UrnError::TooLong`], [`UrnError::Component`] or [`UrnError::NotReversible`].
pub fn check_device_urn(text: &str) -> Result<(), UrnError> {
    check(text).map(|_| ())
}

struct Parts {
    has_component: bool,
    has_more_colons: bool,
}

fn check(text: &str) -> Result<Parts, UrnError> {
    let rest = text.strip_prefix(PREFIX).ok_or(UrnError::Prefix)?;
    let mut pieces = rest.split('_');
    let whole = pieces.next().unwrap_or_default();
    let mut has_component = false;
    for component in pieces {
        has_component = true;
        if !is_identifier(component) {
            return Err(UrnError::BadComponent);
        }
    }
    let (subtype, body) = whole.split_once(':').ok_or(UrnError::Subtype)?;
    let has_more_colons = match subtype {
        "mac" | "ow" => {
            let is_hex = body.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f'));
            if body.len() != 16 || !is_hex {
                return Err(UrnError::Hex);
            }
            false
        }
        "org" | "os" | "ops" => {
            let mut identifiers = body.split(':');
            let (number, own) = identifiers.next().unwrap_or_default().split_once('-').ok_or(UrnError::Body)?;
            let starts_well = number.bytes().next().is_some_and(|digit| digit != b'0');
            if !starts_well || !number.bytes().all(|digit| digit.is_ascii_digit()) {
                return Err(UrnError::Organisation);
            }
            let own_is_well = if subtype == "ops" {
                own.split_once('-').is_some_and(|(product, serial)| is_identifier(product) && is_identifier(serial))
            } else {
                is_identifier(own)
            };
            let mut more = 0;
            let all_well = identifiers.inspect(|_| more += 1).all(is_identifier);
            if !own_is_well || !all_well {
                return Err(UrnError::Body);
            }
            more > 0
        }
        _ => return Err(UrnError::Subtype),
    };
    Ok(Parts { has_component, has_more_colons })
}

fn is_identifier(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-'))
}

/// What speaks against a device name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UrnError {
    /// It does not begin with [`PREFIX`].
    Prefix,
    /// Not one of the subtypes mac, ow, org, os, ops.
    Subtype,
    /// Not 16 lower-case hexadecimal digits.
    Hex,
    /// The organisation is no number without leading zero.
    Organisation,
    /// The rest of the body is not as the subtype wants it.
    Body,
    /// An empty component, or one with other characters than letters, digits, '.' and '-'.
    BadComponent,
    /// A component, which a board's name has not.
    Component,
    /// A ':' behind the subtype, which could not be read back from a topic.
    NotReversible,
    /// More than [`MAX_BOARD_URN_BYTES`].
    TooLong,
}

impl fmt::Display for UrnError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            UrnError::Prefix => write!(f, "a device name begins with {PREFIX}"),
            UrnError::Subtype => f.write_str("expected mac, ow, org, os or ops"),
            UrnError::Hex => f.write_str("expected 16 digits 0-9 a-f"),
            UrnError::Organisation => f.write_str("expected an organisation's number and '-'"),
            UrnError::Body => f.write_str("expected letters, digits, '.' and '-'"),
            UrnError::BadComponent => f.write_str("expected letters, digits, '.' and '-' behind '_'"),
            UrnError::Component => f.write_str("a board's name has no '_'"),
            UrnError::NotReversible => f.write_str("a board's name has one ':' behind urn:dev:"),
            UrnError::TooLong => write!(f, "longer than {MAX_BOARD_URN_BYTES} bytes"),
        }
    }
}

impl core::error::Error for UrnError {}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::format;
    use std::string::{String, ToString};

    #[test]
    fn parse_board_of_the_contract_and_back_from_its_topic_part() {
        let board = BoardUrn::parse("urn:dev:mac:02005efffe10a2b3").unwrap();
        assert_eq!(board.topic_part().to_string(), "mac-02005efffe10a2b3");
        assert_eq!(board.topic_part(), "mac-02005efffe10a2b3");
        assert_ne!(board.topic_part(), "mac:02005efffe10a2b3");
        assert_eq!(BoardUrn::from_topic_part("mac-02005efffe10a2b3"), Ok(board));
        assert_eq!(BoardUrn::from_eui48([0x02, 0x00, 0x5e, 0x10, 0xa2, 0xb3]), board);
        assert_eq!(board.to_string(), "urn:dev:mac:02005efffe10a2b3");
    }

    #[test]
    fn parse_each_subtype() {
        for (urn, part) in [
            // RFC 9039, section 5.
            ("urn:dev:mac:0024beffff804ff1", "mac-0024beffff804ff1"),
            ("urn:dev:ow:10e2073a01080063", "ow-10e2073a01080063"),
            ("urn:dev:org:32473-foo", "org-32473-foo"),
            ("urn:dev:os:32473-123456", "os-32473-123456"),
            ("urn:dev:ops:32473-Refrigerator-5002", "ops-32473-Refrigerator-5002"),
            ("urn:dev:ops:1-a.b-c-d.e", "ops-1-a.b-c-d.e"),
        ] {
            let board = BoardUrn::parse(urn).unwrap();
            assert_eq!(board.topic_part().to_string(), part);
            assert_eq!(BoardUrn::from_topic_part(part), Ok(board));
        }
    }

    #[test]
    fn parse_component_or_second_colon_is_a_device_name_and_no_board() {
        for (urn, error) in [
            ("urn:dev:ow:264437f5000000ed_humidity", UrnError::Component),
            ("urn:dev:ow:264437f5000000ed_a_b", UrnError::Component),
            ("urn:dev:org:32473-foo:bar", UrnError::NotReversible),
            ("urn:dev:os:32473-12:34:56", UrnError::NotReversible),
        ] {
            assert_eq!(check_device_urn(urn), Ok(()), "{urn}");
            assert_eq!(BoardUrn::parse(urn), Err(error), "{urn}");
        }
        assert_eq!(BoardUrn::from_topic_part("org-32473:a"), Err(UrnError::NotReversible));
    }

    #[test]
    fn parse_against_the_grammar_says_why() {
        for (urn, error) in [
            ("", UrnError::Prefix),
            ("urn:dev", UrnError::Prefix),
            ("URN:DEV:mac:0024beffff804ff1", UrnError::Prefix),
            ("urn:dev:", UrnError::Subtype),
            ("urn:dev:mac", UrnError::Subtype),
            ("urn:dev:MAC:0024beffff804ff1", UrnError::Subtype),
            ("urn:dev:new:1", UrnError::Subtype),
            ("urn:dev:mac:0024beffff804ff", UrnError::Hex),
            ("urn:dev:mac:0024beffff804ff11", UrnError::Hex),
            ("urn:dev:mac:0024BEFFFF804FF1", UrnError::Hex),
            ("urn:dev:ow:0024beffff804fgé", UrnError::Hex),
            ("urn:dev:org:32473", UrnError::Body),
            ("urn:dev:org:-foo", UrnError::Organisation),
            ("urn:dev:org:032473-foo", UrnError::Organisation),
            ("urn:dev:org:a-foo", UrnError::Organisation),
            ("urn:dev:org:32473-", UrnError::Body),
            ("urn:dev:org:32473-a b", UrnError::Body),
            ("urn:dev:org:32473-a/b", UrnError::Body),
            ("urn:dev:org:32473-a:", UrnError::Body),
            ("urn:dev:ops:32473-product", UrnError::Body),
            ("urn:dev:ops:32473--serial", UrnError::Body),
            ("urn:dev:mac:0024beffff804ff1_", UrnError::BadComponent),
            ("urn:dev:mac:0024beffff804ff1_+", UrnError::BadComponent),
        ] {
            assert_eq!(BoardUrn::parse(urn), Err(error), "{urn}");
            assert_eq!(check_device_urn(urn), Err(error), "{urn}");
        }
        for part in ["", "mac", "mac-", "-", "new-1", "mac-+", "mac-0024beffff804ff1_a", "#"] {
            assert!(BoardUrn::from_topic_part(part).is_err(), "{part}");
        }
    }

    #[test]
    fn parse_at_and_beyond_the_longest_name() {
        let long = |len: usize| format!("urn:dev:org:1-{}", "a".repeat(len - 14));
        assert_eq!(BoardUrn::parse(&long(MAX_BOARD_URN_BYTES)).unwrap().as_str(), long(MAX_BOARD_URN_BYTES));
        assert_eq!(BoardUrn::parse(&long(MAX_BOARD_URN_BYTES + 1)), Err(UrnError::TooLong));
        assert_eq!(BoardUrn::from_topic_part(&"a-".repeat(100)), Err(UrnError::TooLong));
    }

    proptest! {
        #[test]
        fn prop_every_board_comes_back_from_its_topic_part(
            urn in "urn:dev:(mac:[0-9a-f]{16}|ow:[0-9a-f]{16}|o(rg|s):[1-9][0-9]{0,4}-[A-Za-z0-9.-]{1,20}|ops:[1-9]-[a-z.]{1,8}-[a-z-]{1,8})",
        ) {
            let board = BoardUrn::parse(&urn).unwrap();
            let part = board.topic_part().to_string();
            prop_assert!(!part.contains([':', '/', '+', '#']));
            prop_assert_eq!(BoardUrn::from_topic_part(&part).unwrap(), board);
        }

        #[test]
        fn prop_any_text_never_panics(text in any::<String>()) {
            let _ = BoardUrn::parse(&text);
            let _ = BoardUrn::parse(&format!("urn:dev:{text}"));
            let _ = BoardUrn::from_topic_part(&text);
        }
    }
}
