//! A constant together with what stands behind it, so that a page can show where a figure comes from.
//!
//! Each subject keeps its constants in one file (`wetness/constants.rs` and so on) and its tables in another. The code reads them from there
//! and nowhere else; this module lists them all: [`all`] the single numbers, [`tables`] the rows of tables.

use alloc::string::String;
use alloc::vec::Vec;

/// Version of all constants together: goes up by one with every change of a value. [`fingerprint`] notices a change that forgot it.
pub const VERSION: u32 = 4;

/// How far a number can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Provenance {
    /// Read in the paper's own abstract or table, or on an official page.
    Published,
    /// Read in a public transcription, or in later work that quotes the source.
    Secondary,
    /// Recalled and not read again: a plausible default, never to be shown as a fact.
    Memory,
    /// Our own choice, free to change with evidence.
    Proposal,
}

impl Provenance {
    /// The word for it in answers.
    ///
    /// ```
    /// use propstick_agronomy::sourced::Provenance;
    /// assert_eq!(Provenance::Proposal.word(), "our proposal");
    /// ```
    pub const fn word(self) -> &'static str {
        match self {
            Provenance::Published => "published",
            Provenance::Secondary => "secondary",
            Provenance::Memory => "memory",
            Provenance::Proposal => "our proposal",
        }
    }
}

/// A constant with unit, validity and source.
///
/// ```
/// use propstick_agronomy::wetness::constants::WET_ON_PCT;
/// // Wetness sheet 1.5: wet from 90 %RH on.
/// assert_eq!((WET_ON_PCT.value, WET_ON_PCT.unit), (90.0, "%RH"));
/// assert!(WET_ON_PCT.holds(94.0) && !WET_ON_PCT.holds(50.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced {
    /// Its name in answers: words with hyphens, unique.
    pub name: &'static str,
    /// The value used, in `unit`.
    pub value: f64,
    /// The unit, in characters.
    pub unit: &'static str,
    /// Least value that would still mean the same thing.
    pub lowest: f64,
    /// Greatest value that would still mean the same thing.
    pub highest: f64,
    /// How far it can be trusted.
    pub provenance: Provenance,
    /// Where it comes from.
    pub source: &'static str,
}

impl Sourced {
    /// A constant `name` of `value` in `unit` that may be changed within `lowest` to `highest`.
    pub(crate) const fn new(
        name: &'static str,
        (value, unit): (f64, &'static str),
        (lowest, highest): (f64, f64),
        provenance: Provenance,
        source: &'static str,
    ) -> Sourced {
        Sourced { name, value, unit, lowest, highest, provenance, source }
    }

    /// A coefficient of an equation: it means the same thing at this one value only.
    pub(crate) const fn fixed(
        name: &'static str,
        (value, unit): (f64, &'static str),
        provenance: Provenance,
        source: &'static str,
    ) -> Sourced {
        Sourced { name, value, unit, lowest: value, highest: value, provenance, source }
    }

    /// Whether `value` lies within the validity of this constant.
    pub fn holds(&self, value: f64) -> bool {
        (self.lowest..=self.highest).contains(&value)
    }

    /// The value as whole milliseconds, of a constant in hours.
    pub(crate) const fn hours_as_ms(&self) -> i64 {
        (self.value * 3_600_000.0) as i64
    }
}

/// One number of a table: the table's name, its row, its column, and the number with its source.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The table.
    pub table: &'static str,
    /// The row, unique within the table.
    pub row: String,
    /// The column.
    pub column: &'static str,
    /// The value, in `unit`.
    pub value: f64,
    /// The unit, in characters; "1" for a bare number.
    pub unit: &'static str,
    /// How far it can be trusted.
    pub provenance: Provenance,
    /// Where it comes from.
    pub source: &'static str,
}

/// Every single constant, in the order of their files.
///
/// ```
/// assert!(propstick_agronomy::sourced::all().any(|c| c.name == "risk-memory"));
/// ```
pub fn all() -> impl Iterator<Item = &'static Sourced> {
    let files = [
        crate::psychrometrics::constants::ALL,
        crate::sun::constants::ALL,
        crate::light::constants::ALL,
        crate::growth::constants::ALL,
        crate::wetness::constants::ALL,
        crate::disease::constants::ALL,
        crate::risk::constants::ALL,
        crate::evapotranspiration::constants::ALL,
        crate::water::constants::ALL,
        crate::quality::constants::ALL,
        crate::frost::constants::ALL,
        crate::cover::constants::ALL,
    ];
    files.into_iter().flatten().copied()
}

/// Every number of every table, row by row.
///
/// ```
/// use propstick_agronomy::sourced::tables;
/// // FAO-56 Table 12: lettuce in full leaf 1.00.
/// let kc = tables().into_iter().find(|e| (e.table, e.row.as_str(), e.column) == ("crop-water", "lettuce", "Kc full"));
/// assert_eq!(kc.map(|e| (e.value, e.provenance.word())), Some((1.00, "published")));
/// ```
pub fn tables() -> Vec<Entry> {
    let mut all = crate::degree_days::bases::entries();
    all.extend(crate::disease::rows::entries());
    all.extend(crate::water::crops::entries());
    all.extend(crate::water::soils::entries());
    all.extend(crate::water::tension::entries());
    all.extend(crate::frost::critical::entries());
    all
}

/// A number that changes with any name or value of [`all`] and [`tables`]: part of the recipe of derived figures.
///
/// FNV-1a, 64 bits, over names and the bits of values.
///
/// ```
/// use propstick_agronomy::sourced::fingerprint;
/// // Not that of nothing at all.
/// assert_ne!(fingerprint(), 0xcbf2_9ce4_8422_2325);
/// ```
pub fn fingerprint() -> u64 {
    let mut hash = Fnv(0xcbf2_9ce4_8422_2325);
    hash.bytes(&VERSION.to_le_bytes());
    for constant in all() {
        hash.bytes(constant.name.as_bytes());
        hash.number(constant.value);
    }
    for entry in tables() {
        for name in [entry.table, &entry.row, entry.column] {
            hash.bytes(name.as_bytes());
        }
        hash.number(entry.value);
    }
    hash.0
}

struct Fnv(u64);

impl Fnv {
    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    fn number(&mut self, value: f64) {
        self.bytes(&value.to_bits().to_le_bytes());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::collections::BTreeSet;

    #[test]
    fn every_constant_lies_within_its_own_validity_and_names_unit_and_source() {
        for c in all() {
            assert!(c.holds(c.value) && c.lowest.is_finite() && c.highest.is_finite(), "{}", c.name);
            assert!(!c.unit.is_empty() && c.source.len() > 8, "{}", c.name);
        }
        for e in tables() {
            assert!(e.value.is_finite() && !e.unit.is_empty() && e.source.len() > 8, "{e:?}");
        }
    }

    #[test]
    fn a_changed_value_needs_a_new_version() {
        // Changed on purpose? Then VERSION goes up by one, and the release notes say which figures move.
        assert_eq!((VERSION, fingerprint()), (4, 0xb6ee_dcb0_fee8_3459));
    }

    #[test]
    fn names_are_unique() {
        let names: BTreeSet<&str> = all().map(|c| c.name).collect();
        assert_eq!(names.len(), all().count());
        let places: BTreeSet<String> = tables().iter().map(|e| [e.table, &e.row, e.column].join("/")).collect();
        assert_eq!(places.len(), tables().len());
    }
}
