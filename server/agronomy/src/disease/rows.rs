//! Parameters of the generic infection model, one row for each disease that the program speaks of.
//!
//! The rows that are not our proposal were read in a public transcription of the table of Magarey, Sutton and Thayer 2005 (wetness sheet 2.1). The
//! table has no row for the downy mildews of spinach, brassicas and onions: those stand-ins are ours, and to be shown as rough.

use crate::sourced::{Entry, Provenance};
use alloc::string::String;
use alloc::vec::Vec;
use core::ops::RangeInclusive;

/// A disease of the table, and its place in [`ROWS`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Disease {
    /// Downy mildew of lettuce and chicory.
    LettuceDownyMildew,
    /// Downy mildew of spinach, chard and beet.
    SpinachDownyMildew,
    /// White rust of spinach.
    SpinachWhiteRust,
    /// Downy mildew of brassica leaves.
    BrassicaDownyMildew,
    /// White blister of brassicas.
    WhiteBlister,
    /// Dark leaf spot of brassicas.
    DarkLeafSpot,
    /// Downy mildew of the onion family.
    OnionDownyMildew,
    /// Leaf blight of onions.
    OnionLeafBlight,
    /// Grey mould of leaves.
    GreyMould,
    /// Late blight of potato and tomato.
    LateBlight,
    /// Downy mildew of cucumber and its kin.
    CucurbitDownyMildew,
    /// Rust of beans.
    BeanRust,
}

/// How many there are.
pub const COUNT: usize = 12;

impl Disease {
    /// All, in the order of [`ROWS`].
    pub const ALL: [Disease; COUNT] = [
        Disease::LettuceDownyMildew,
        Disease::SpinachDownyMildew,
        Disease::SpinachWhiteRust,
        Disease::BrassicaDownyMildew,
        Disease::WhiteBlister,
        Disease::DarkLeafSpot,
        Disease::OnionDownyMildew,
        Disease::OnionLeafBlight,
        Disease::GreyMould,
        Disease::LateBlight,
        Disease::CucurbitDownyMildew,
        Disease::BeanRust,
    ];

    /// Its parameters.
    ///
    /// ```
    /// use propstick_agronomy::disease::rows::Disease;
    /// assert_eq!(Disease::LettuceDownyMildew.row().pathogen, "Bremia lactucae");
    /// ```
    pub const fn row(self) -> &'static InfectionRow {
        &ROWS[self as usize]
    }
}

/// Parameters of the generic infection model for one disease.
#[derive(Clone, Debug, PartialEq)]
pub struct InfectionRow {
    /// Its name in answers: words with hyphens, unique.
    pub id: &'static str,
    /// The pathogen.
    pub pathogen: &'static str,
    /// The disease in plain words.
    pub disease: &'static str,
    /// At or below this no infection, °C.
    pub t_min_c: f64,
    /// Fastest infection, °C.
    pub t_opt_c: f64,
    /// At or above this no infection, °C.
    pub t_max_c: f64,
    /// Wet hours that infect at the optimum: 20 % incidence or 5 % severity.
    pub wet_min_h: f64,
    /// Most wet hours that an infection takes.
    pub wet_max_h: f64,
    /// Months in which it is counted, 1 to 12.
    pub months: RangeInclusive<u8>,
    /// Whether to show it as rough: a stand-in, not of the published table.
    pub rough: bool,
    /// How far the row can be trusted.
    pub provenance: Provenance,
    /// Where it comes from.
    pub source: &'static str,
}

const TABLE_2005: &str =
    "Magarey, Sutton and Thayer 2005, Phytopathology 95:92-100, table, by a public transcription (2.1)";
const ALL_YEAR: RangeInclusive<u8> = 1..=12;

const fn published(
    id: &'static str,
    (pathogen, disease): (&'static str, &'static str),
    [t_min_c, t_opt_c, t_max_c, wet_min_h, wet_max_h]: [f64; 5],
) -> InfectionRow {
    let (provenance, source) = (Provenance::Secondary, TABLE_2005);
    InfectionRow {
        id,
        pathogen,
        disease,
        t_min_c,
        t_opt_c,
        t_max_c,
        wet_min_h,
        wet_max_h,
        months: ALL_YEAR,
        rough: false,
        provenance,
        source,
    }
}

const fn stand_in(
    id: &'static str,
    names: (&'static str, &'static str),
    parameters: [f64; 5],
    source: &'static str,
) -> InfectionRow {
    InfectionRow { rough: true, provenance: Provenance::Proposal, source, ..published(id, names, parameters) }
}

/// All rows, in the order of [`Disease::ALL`].
pub static ROWS: [InfectionRow; COUNT] = [
    published("lettuce-downy-mildew", ("Bremia lactucae", "lettuce downy mildew"), [1.0, 15.0, 25.0, 4.0, 10.0]),
    stand_in(
        "spinach-downy-mildew",
        ("Peronospora effusa", "spinach and beet downy mildew"),
        [2.0, 12.0, 25.0, 6.0, 12.0],
        "our stand-in from germination at 9-12 °C and free water of 6 h (INRA) and lesions at 15-25 °C (Purdue) (2.4)",
    ),
    InfectionRow {
        months: 4..=10,
        ..published("spinach-white-rust", ("Albugo occidentalis", "spinach white rust"), [6.0, 16.0, 28.0, 3.0, 12.0])
    },
    stand_in(
        "brassica-downy-mildew",
        ("Hyaloperonospora brassicae", "brassica downy mildew"),
        [3.0, 14.0, 24.0, 4.0, 12.0],
        "our stand-in from nights of 8-16 °C with days below 24 °C, a trade guide (2.5)",
    ),
    stand_in(
        "white-blister",
        ("Albugo candida", "white blister of brassicas"),
        [5.0, 20.0, 28.0, 3.0, 12.0],
        "our stand-in from 13-25 °C and 2 to 3 h of free water, a farm advisory article (2.5)",
    ),
    published("dark-leaf-spot", ("Alternaria brassicae", "dark leaf spot of brassicas"), [2.6, 18.0, 35.0, 6.0, 22.0]),
    stand_in(
        "onion-downy-mildew",
        ("Peronospora destructor", "onion downy mildew"),
        [3.0, 13.0, 26.0, 3.0, 12.0],
        "our stand-in from infection with 2 to 3 h of wetness, best at 6-16 °C (2.3)",
    ),
    published("onion-leaf-blight", ("Botrytis squamosa", "onion leaf blight"), [1.0, 18.0, 28.0, 15.0, 24.0]),
    published("grey-mould", ("Botrytis cinerea", "grey mould"), [5.0, 25.0, 35.0, 8.0, 18.0]),
    published("late-blight", ("Phytophthora infestans", "potato and tomato blight"), [1.0, 15.0, 28.0, 6.0, 12.0]),
    published(
        "cucurbit-downy-mildew",
        ("Pseudoperonospora cubensis", "cucumber downy mildew"),
        [1.0, 20.0, 28.0, 2.0, 12.0],
    ),
    published("bean-rust", ("Uromyces phaseoli", "bean rust"), [1.0, 17.0, 29.0, 4.0, 15.8]),
];

/// Every number of the table, row by row.
///
/// ```
/// use propstick_agronomy::disease::rows::entries;
/// assert!(entries().iter().any(|e| e.row == "lettuce-downy-mildew" && e.column == "optimum" && e.value == 15.0));
/// ```
pub fn entries() -> Vec<Entry> {
    let of_row = |row: &'static InfectionRow| {
        [
            ("least", row.t_min_c, "°C"),
            ("optimum", row.t_opt_c, "°C"),
            ("greatest", row.t_max_c, "°C"),
            ("wet-hours-at-optimum", row.wet_min_h, "h"),
            ("wet-hours-at-most", row.wet_max_h, "h"),
            ("first-month", f64::from(*row.months.start()), "month"),
            ("last-month", f64::from(*row.months.end()), "month"),
        ]
        .map(|(column, value, unit)| Entry {
            table: "infection",
            row: String::from(row.id),
            column,
            value,
            unit,
            provenance: row.provenance,
            source: row.source,
        })
    };
    ROWS.iter().flat_map(of_row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_disease_finds_its_own_row() {
        // Wetness sheet 2.1: Tmin, Topt, Tmax, Wmin, Wmax.
        let expected = [
            ("lettuce-downy-mildew", [1.0, 15.0, 25.0, 4.0, 10.0]),
            ("spinach-downy-mildew", [2.0, 12.0, 25.0, 6.0, 12.0]),
            ("spinach-white-rust", [6.0, 16.0, 28.0, 3.0, 12.0]),
            ("brassica-downy-mildew", [3.0, 14.0, 24.0, 4.0, 12.0]),
            ("white-blister", [5.0, 20.0, 28.0, 3.0, 12.0]),
            ("dark-leaf-spot", [2.6, 18.0, 35.0, 6.0, 22.0]),
            ("onion-downy-mildew", [3.0, 13.0, 26.0, 3.0, 12.0]),
            ("onion-leaf-blight", [1.0, 18.0, 28.0, 15.0, 24.0]),
            ("grey-mould", [5.0, 25.0, 35.0, 8.0, 18.0]),
            ("late-blight", [1.0, 15.0, 28.0, 6.0, 12.0]),
            ("cucurbit-downy-mildew", [1.0, 20.0, 28.0, 2.0, 12.0]),
            ("bean-rust", [1.0, 17.0, 29.0, 4.0, 15.8]),
        ];
        for (disease, (id, values)) in Disease::ALL.into_iter().zip(expected) {
            let row = disease.row();
            assert_eq!(row.id, id);
            assert_eq!([row.t_min_c, row.t_opt_c, row.t_max_c, row.wet_min_h, row.wet_max_h], values, "{id}");
            assert_eq!(row.rough, row.provenance == Provenance::Proposal, "{id}");
            assert!(row.t_min_c < row.t_opt_c && row.t_opt_c < row.t_max_c && row.wet_min_h <= row.wet_max_h, "{id}");
        }
        assert_eq!(Disease::SpinachWhiteRust.row().months, 4..=10);
    }
}
