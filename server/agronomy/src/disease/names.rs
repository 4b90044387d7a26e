//! What of all this may be named to a grower, and how: published criteria by author and year, never coined program names.

/// Something published that may be cited in help and "why".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Citable {
    /// The name that may be shown.
    pub name: &'static str,
    /// Whose and when, to be shown with it.
    pub by: &'static str,
}

/// All that may be named (wetness sheet 2.11).
///
/// ```
/// use propstick_agronomy::disease::names::CITABLE;
/// assert!(CITABLE.iter().any(|c| c.name == "Hutton Criteria" && c.by.contains("2017")));
/// ```
pub const CITABLE: &[Citable] = &[
    Citable { name: "Smith Period", by: "Smith 1956" },
    Citable { name: "Hutton Criteria", by: "James Hutton Institute 2017" },
    Citable { name: "generic infection model", by: "Magarey, Sutton and Thayer 2005" },
    Citable { name: "onion mildew rules", by: "Jesperson and Sutton 1987" },
    Citable { name: "morning wetness rule", by: "Scherm and van Bruggen 1994; Wu and others 2002" },
    Citable { name: "grey-mould rule for unheated houses", by: "Yunis and others 1994" },
];

/// The first word of `text` that must not be shown to a grower: a name coined on "-cast" other than everyday words, or a wording reserved to others.
///
/// For tests of wording. Case does not matter.
///
/// ```
/// use propstick_agronomy::disease::names::must_not_be_shown;
/// assert_eq!(must_not_be_shown("Blight weather outdoors (Hutton, 2017): two mild damp days running; overcast, forecast damp"), None);
/// assert_eq!(must_not_be_shown("MOULDCAST says high"), Some("MOULDCAST"));
/// ```
pub fn must_not_be_shown(text: &str) -> Option<&str> {
    const EVERYDAY: [&str; 5] = ["cast", "forecast", "overcast", "broadcast", "outcast"];
    text.split(|letter: char| !letter.is_alphanumeric()).find(|word| {
        let ends_so = word.len() >= 4 && word.get(word.len() - 4..).is_some_and(|end| end.eq_ignore_ascii_case("cast"));
        ends_so && !EVERYDAY.iter().any(|everyday| word.eq_ignore_ascii_case(everyday))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_citable_is_forbidden() {
        for citable in CITABLE {
            assert_eq!((must_not_be_shown(citable.name), must_not_be_shown(citable.by)), (None, None));
        }
    }

    #[test]
    fn coined_names_are_found_in_any_case_and_place() {
        assert_eq!(must_not_be_shown("as the dewcast, says"), Some("dewcast"));
        assert_eq!(must_not_be_shown("Forecast: cast iron, a cäst"), None);
        assert_eq!(must_not_be_shown(""), None);
    }
}
