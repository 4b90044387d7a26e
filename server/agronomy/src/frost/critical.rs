//! How much cold crops stand, as data: ranges of damage, limits of chill, freezing points of tissue.

use super::constants as c;
use crate::sourced::{Entry, Provenance};
use alloc::string::String;
use alloc::vec::Vec;

/// How much cold a crop's leaf stands, in five classes. Damage begins at the upper end of the range and is done at the lower.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hardiness {
    /// +5 to 0 °C: hurt by chill already.
    Chilled,
    /// 0 to -2 °C.
    Tender,
    /// -2 to -4 °C.
    Spring,
    /// -4 to -7 °C.
    Hardy,
    /// -7 to -10 °C.
    VeryHardy,
}

impl Hardiness {
    /// Every class, the tenderest first.
    pub const ALL: [Hardiness; 5] =
        [Hardiness::Chilled, Hardiness::Tender, Hardiness::Spring, Hardiness::Hardy, Hardiness::VeryHardy];

    /// Where damage begins and where it is done, °C.
    ///
    /// **Source**: Wilson, Payne & Boyd 2023, Sci. Rep. 13, Table 2, unhardened and hardened plants mixed; climate sheet 5.3. **Accuracy**: sources
    /// disagree by a class on kale, beet and carrot.
    ///
    /// ```
    /// use propstick_agronomy::frost::critical::Hardiness;
    /// assert_eq!(Hardiness::Hardy.range_c(), [-4.0, -7.0]);
    /// ```
    pub const fn range_c(self) -> [f64; 2] {
        match self {
            Hardiness::Chilled => [5.0, 0.0],
            Hardiness::Tender => [0.0, -2.0],
            Hardiness::Spring => [-2.0, -4.0],
            Hardiness::Hardy => [-4.0, -7.0],
            Hardiness::VeryHardy => [-7.0, -10.0],
        }
    }

    /// The class of a crop after a week of `week_mean_c` °C (-60 to 60): one class up where that was above 10, for hardening is lost in warm weather.
    ///
    /// **Errors**: `None` out of range. **Source**: wetness sheet 4.6, our proposal; Snyder & de Melo-Abreu 2005 ch. 4 for the fact.
    ///
    /// ```
    /// use propstick_agronomy::frost::critical::Hardiness;
    /// assert_eq!(Hardiness::Hardy.after_week(12.0), Some(Hardiness::Spring));
    /// assert_eq!(Hardiness::Hardy.after_week(6.0), Some(Hardiness::Hardy));
    /// ```
    pub fn after_week(self, week_mean_c: f64) -> Option<Hardiness> {
        if !(-60.0..=60.0).contains(&week_mean_c) {
            return None;
        }
        let up = usize::from(week_mean_c > c::UNHARDENED_ABOVE_C.value);
        Some(Hardiness::ALL[(self as usize).saturating_sub(up)])
    }

    /// At or below this temperature at the crop to warn, °C: a degree above where damage begins.
    ///
    /// **Source**: wetness sheet 4.6, our proposal.
    ///
    /// ```
    /// use propstick_agronomy::frost::critical::Hardiness;
    /// assert_eq!(Hardiness::Spring.alert_c(), -1.0);
    /// ```
    pub fn alert_c(self) -> f64 {
        self.range_c()[0] + c::ALERT_ABOVE_C.value
    }
}

/// A crop and how much cold it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Critical {
    /// Its name in answers: words with hyphens, unique.
    pub name: &'static str,
    /// Its class.
    pub hardiness: Hardiness,
    /// How far the class can be trusted.
    pub provenance: Provenance,
}

const WILSON: &str = "Wilson, Payne & Boyd 2023, Sci. Rep. 13, Table 2; climate sheet 5.3 and wetness sheet 4.6";
const RECALLED: &str =
    "corn salad, claytonia, hardy oriental leaves to about -10 once hardened; wetness sheet 4.6, from memory there";

const fn row(name: &'static str, hardiness: Hardiness) -> Critical {
    Critical { name, hardiness, provenance: Provenance::Published }
}

const fn recalled(name: &'static str) -> Critical {
    Critical { name, hardiness: Hardiness::VeryHardy, provenance: Provenance::Memory }
}

/// The table.
///
/// ```
/// use propstick_agronomy::frost::critical::{CRITICAL, Hardiness};
/// let winter = CRITICAL.iter().find(|c| c.name == "winter-lettuce").unwrap();
/// assert_eq!(winter.hardiness, Hardiness::Hardy);
/// ```
pub const CRITICAL: &[Critical] = &[
    row("tomato", Hardiness::Chilled),
    row("cucumber", Hardiness::Chilled),
    row("potato-leaf", Hardiness::Tender),
    row("french-bean", Hardiness::Tender),
    row("melon", Hardiness::Tender),
    row("spring-lettuce", Hardiness::Spring),
    row("spring-pea", Hardiness::Spring),
    row("cauliflower-curd", Hardiness::Spring),
    row("broccoli-spear", Hardiness::Spring),
    row("asparagus", Hardiness::Spring),
    row("winter-lettuce", Hardiness::Hardy),
    row("onion", Hardiness::Hardy),
    row("kale", Hardiness::Hardy),
    row("cabbage", Hardiness::Hardy),
    row("cauliflower-leaf", Hardiness::Hardy),
    row("broccoli-leaf", Hardiness::Hardy),
    row("beet", Hardiness::Hardy),
    row("carrot", Hardiness::Hardy),
    row("parsnip", Hardiness::Hardy),
    row("spinach", Hardiness::VeryHardy),
    row("savoy", Hardiness::VeryHardy),
    recalled("corn-salad"),
    recalled("claytonia"),
    recalled("oriental-leaves"),
];

/// Lowest temperature of the air, °C, at which a crop still stands being aired.
///
/// ```
/// use propstick_agronomy::frost::critical::CHILL_LIMITS_C;
/// assert!(CHILL_LIMITS_C.contains(&("tomato", 8.0)));
/// ```
pub const CHILL_LIMITS_C: &[(&str, f64)] = &[
    ("tomato", 8.0),
    ("cucumber", 8.0),
    ("melon", 8.0),
    ("basil", 8.0),
    ("bean", 5.0),
    ("courgette", 5.0),
    ("hardy-salads", 0.0),
];

/// Highest freezing points of harvested tissue, °C: where ice can form, not where a hardened plant dies.
///
/// ```
/// use propstick_agronomy::frost::critical::FREEZING_POINTS_C;
/// assert!(FREEZING_POINTS_C.contains(&("lettuce", -0.2)));
/// ```
pub const FREEZING_POINTS_C: &[(&str, f64)] = &[
    ("lettuce", -0.2),
    ("endive", -0.1),
    ("spinach", -0.3),
    ("celery", -0.5),
    ("kale", -0.5),
    ("cucumber", -0.5),
    ("tomato", -0.5),
    ("pea", -0.6),
    ("broccoli", -0.6),
    ("leek", -0.7),
    ("radish", -0.7),
    ("onion", -0.8),
    ("cauliflower", -0.8),
    ("cabbage", -0.9),
    ("parsley", -1.1),
    ("carrot", -1.4),
];

/// The tables, number by number.
pub(crate) fn entries() -> Vec<Entry> {
    let entry = |table, row: &str, column, value, provenance, source| Entry {
        table,
        row: String::from(row),
        column,
        value,
        unit: "°C",
        provenance,
        source,
    };
    let mut all = Vec::new();
    for crop in CRITICAL {
        let source = if crop.provenance == Provenance::Published { WILSON } else { RECALLED };
        let [begins, done] = crop.hardiness.range_c();
        for (column, value) in [("damage begins", begins), ("damage done", done)] {
            all.push(entry("frost-damage", crop.name, column, value, crop.provenance, source));
        }
    }
    let chill = "wetness sheet 4.6, chill limit for venting, our proposal";
    all.extend(
        CHILL_LIMITS_C.iter().map(|(name, t)| entry("chill-limit", name, "air", *t, Provenance::Proposal, chill)),
    );
    let whiteman = "Whiteman 1957, USDA MRR 196, from memory; climate sheet 5.3";
    all.extend(
        FREEZING_POINTS_C
            .iter()
            .map(|(name, t)| entry("freezing-point", name, "tissue", *t, Provenance::Memory, whiteman)),
    );
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frost::NightCover;

    fn class(name: &str) -> Hardiness {
        CRITICAL.iter().find(|c| c.name == name).unwrap().hardiness
    }

    #[test]
    fn rule_test_of_5_3_is_met() {
        // [arithmetic]: Tp -3.3 °C outside, tunnel +1.3, fleece +1.5 -> -0.5 °C at the crop: safe for winter lettuce (-4), unsafe for tomato (0),
        // cucumber (0).
        let at_crop = -3.3 + 1.3 + NightCover::Fleece17.gain_c(false);
        assert!((at_crop + 0.5).abs() < 1e-9);
        assert!(at_crop > class("winter-lettuce").alert_c());
        assert!(at_crop < class("tomato").range_c()[1] && at_crop < class("cucumber").range_c()[1]);
    }

    #[test]
    fn classes_follow_each_other_without_a_gap() {
        for pair in Hardiness::ALL.windows(2) {
            assert_eq!(pair[0].range_c()[1], pair[1].range_c()[0]);
            assert!(pair[0] < pair[1] && pair[0].alert_c() > pair[1].alert_c());
        }
    }

    #[test]
    fn warm_week_takes_a_class_of_hardiness_away() {
        assert_eq!(class("spinach").after_week(10.1), Some(Hardiness::Hardy));
        assert_eq!(class("spinach").after_week(10.0), Some(Hardiness::VeryHardy));
        assert_eq!(class("tomato").after_week(20.0), Some(Hardiness::Chilled));
        assert_eq!(class("tomato").after_week(f64::NAN), None);
    }

    #[test]
    fn tissue_freezes_below_nought_and_before_hardy_leaves_die() {
        assert!(FREEZING_POINTS_C.iter().all(|(_, t)| (-1.5..0.0).contains(t)));
        assert!(CHILL_LIMITS_C.iter().all(|(_, t)| (0.0..=12.0).contains(t)));
    }
}
