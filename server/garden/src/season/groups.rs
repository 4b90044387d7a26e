//! Which crop groups a structure answers for.

use propstick_agronomy::risk::groups::CropGroup;

use crate::model::{Crops, Structure};

/// The crop groups of a structure: those told, or else those that suit how tough its crops are. Common practice, no source.
pub fn groups_of(structure: &Structure) -> Vec<CropGroup> {
    use CropGroup::{Brassica, Cucurbit, Lettuce, Onion, Seedling, Spinach, Tomato};
    let suiting: &[CropGroup] = match structure.crops {
        Crops::Hardy => &[Lettuce, Spinach, Brassica, Onion],
        Crops::Tender => &[Tomato, Cucurbit],
        Crops::Both => &[Lettuce, Spinach, Brassica, Onion, Seedling],
    };
    suiting.to_vec()
}
