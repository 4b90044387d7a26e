//! Crop groups, and the diseases that each answers for.

use crate::disease::rows::Disease;

/// A group of crops that share their risk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum CropGroup {
    /// Lettuce and chicory.
    Lettuce,
    /// Spinach, chard, beet.
    Spinach,
    /// Brassica leaves.
    Brassica,
    /// The onion family.
    Onion,
    /// Tomato and potato.
    Tomato,
    /// Cucumber and its kin.
    Cucurbit,
    /// Peas and beans.
    PeaBean,
    /// Seedlings: no disease of the table, a flag only.
    Seedling,
}

/// A rule that raises a flag beside the score: see the modules of [`crate::disease`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Flag {
    /// [`crate::disease::stem_rot::StemRotFold`].
    StemRot,
    /// [`crate::disease::stem_rot::damping_off_day`].
    DampingOff,
    /// [`crate::disease::grey_mould::GreyMouldFold`].
    GreyMouldWeek,
    /// [`crate::disease::dry_mildew::dry_mildew_score`].
    DryMildew,
}

/// How many groups there are.
pub const COUNT: usize = 8;

impl CropGroup {
    /// All of them.
    pub const ALL: [CropGroup; COUNT] = [
        CropGroup::Lettuce,
        CropGroup::Spinach,
        CropGroup::Brassica,
        CropGroup::Onion,
        CropGroup::Tomato,
        CropGroup::Cucurbit,
        CropGroup::PeaBean,
        CropGroup::Seedling,
    ];

    /// Its word in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            CropGroup::Lettuce => "lettuce",
            CropGroup::Spinach => "spinach",
            CropGroup::Brassica => "brassica",
            CropGroup::Onion => "onion",
            CropGroup::Tomato => "tomato",
            CropGroup::Cucurbit => "cucurbit",
            CropGroup::PeaBean => "pea-bean",
            CropGroup::Seedling => "seedling",
        }
    }

    /// The group of that word.
    ///
    /// ```
    /// use propstick_agronomy::risk::groups::CropGroup;
    /// assert!(CropGroup::ALL.iter().all(|g| CropGroup::from_word(g.word()) == Some(*g)));
    /// ```
    pub fn from_word(word: &str) -> Option<CropGroup> {
        CropGroup::ALL.into_iter().find(|group| group.word() == word)
    }

    /// The diseases whose greatest risk is the group's (wetness sheet 3.1, crop groups; tomato's grey mould is the strawberry row, as lettuce's).
    pub const fn diseases(self) -> &'static [Disease] {
        match self {
            CropGroup::Lettuce => &[Disease::LettuceDownyMildew, Disease::GreyMould],
            CropGroup::Spinach => &[Disease::SpinachDownyMildew, Disease::SpinachWhiteRust],
            CropGroup::Brassica => &[Disease::BrassicaDownyMildew, Disease::WhiteBlister, Disease::DarkLeafSpot],
            CropGroup::Onion => &[Disease::OnionDownyMildew, Disease::OnionLeafBlight],
            CropGroup::Tomato => &[Disease::LateBlight, Disease::GreyMould],
            CropGroup::Cucurbit => &[Disease::CucurbitDownyMildew],
            CropGroup::PeaBean => &[Disease::GreyMould, Disease::BeanRust],
            CropGroup::Seedling => &[],
        }
    }

    /// The flags that stand beside it. They have no place on the scale of the risk and are never added to it.
    ///
    /// ```
    /// use propstick_agronomy::risk::groups::{CropGroup, Flag};
    /// assert!(CropGroup::Lettuce.flags().contains(&Flag::StemRot));
    /// ```
    pub const fn flags(self) -> &'static [Flag] {
        match self {
            CropGroup::Lettuce => &[Flag::StemRot, Flag::GreyMouldWeek],
            CropGroup::Tomato => &[Flag::DryMildew, Flag::GreyMouldWeek],
            CropGroup::Cucurbit => &[Flag::GreyMouldWeek, Flag::DryMildew],
            CropGroup::Seedling => &[Flag::DampingOff],
            CropGroup::Spinach | CropGroup::Brassica | CropGroup::Onion | CropGroup::PeaBean => &[],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_disease_of_the_table_belongs_to_a_group() {
        for disease in Disease::ALL {
            assert!(CropGroup::ALL.iter().any(|g| g.diseases().contains(&disease)), "{disease:?}");
        }
    }
}
