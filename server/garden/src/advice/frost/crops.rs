//! How much cold what grows at a spot stands.

use propstick_agronomy::frost::critical::{CRITICAL, Hardiness};
use propstick_agronomy::risk::groups::CropGroup;

use super::FrostCrop;
use crate::model::Crops;

impl FrostCrop {
    /// A crop of the table of the science by its name there, with or without its hyphens: "winter-lettuce", "potato leaf"; said by `words`.
    ///
    /// **Errors**: `None` for a name that is not in the table.
    pub fn of_table(name: &str, words: &str) -> Option<FrostCrop> {
        let name = name.trim().to_lowercase().replace(' ', "-");
        let row = CRITICAL.iter().find(|row| row.name == name)?;
        Some(FrostCrop { name: words.to_string(), hardiness: row.hardiness, trays: false })
    }

    /// What grows in a bed, by the name that a bed's crop has: the table's, or the plain one of a crop whose parts or seasons the table tells apart.
    ///
    /// **Errors**: `None` for a name that neither is.
    pub fn of_bed(crop: &str) -> Option<FrostCrop> {
        let name = crop.trim().to_lowercase().replace(' ', "-");
        let (row, words) = match name.as_str() {
            "potato" | "potatoes" => ("potato-leaf", "potatoes"),
            "lettuce" | "winter-lettuce" => ("winter-lettuce", "lettuce"),
            "tomato" | "tomatoes" => ("tomato", "tomatoes"),
            "cucumber" | "cucumbers" => ("cucumber", "cucumbers"),
            "onion" | "onions" => ("onion", "onions"),
            "carrot" | "carrots" => ("carrot", "carrots"),
            "beet" | "beets" => ("beet", "beets"),
            "cabbage" | "cabbages" => ("cabbage", "cabbages"),
            "parsnip" | "parsnips" => ("parsnip", "parsnips"),
            other => (other, crop.trim()),
        };
        FrostCrop::of_table(row, words)
    }

    /// What stands for a crop group where no crop is named: the tender side of what the group holds (climate sheet 5.3, wetness sheet 4.6).
    pub fn of_group(group: CropGroup) -> FrostCrop {
        let (name, hardiness, trays) = match group {
            CropGroup::Lettuce => ("lettuces", Hardiness::Hardy, false),
            CropGroup::Spinach => ("spinach and beets", Hardiness::Hardy, false),
            CropGroup::Brassica => ("brassicas", Hardiness::Hardy, false),
            CropGroup::Onion => ("onions", Hardiness::Hardy, false),
            CropGroup::Tomato => ("tomatoes and potatoes", Hardiness::Chilled, false),
            CropGroup::Cucurbit => ("cucumbers and their kin", Hardiness::Chilled, false),
            CropGroup::PeaBean => ("peas and beans", Hardiness::Tender, false),
            CropGroup::Seedling => ("seedlings", Hardiness::Spring, true),
        };
        FrostCrop { name: name.to_string(), hardiness, trays }
    }

    /// What stands for a structure's crops where not even a group is named.
    pub fn of_crops(crops: Crops) -> Vec<FrostCrop> {
        let crop = |name: &str, hardiness, trays| FrostCrop { name: name.to_string(), hardiness, trays };
        match crops {
            Crops::Hardy => vec![crop("winter salads", Hardiness::Hardy, false)],
            Crops::Tender => vec![crop("tender crops", Hardiness::Tender, false)],
            Crops::Both => {
                vec![crop("winter salads", Hardiness::Hardy, false), crop("tender seedlings", Hardiness::Tender, true)]
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crops_by_name_and_by_group_have_their_class() {
        // Wetness sheet 4.6: potato leaf 0 to -2, winter lettuce -4 to -7, tomato +5 to 0.
        let class = |name| FrostCrop::of_table(name, "them").map(|crop| crop.hardiness);
        assert_eq!(class("Potato leaf"), Some(Hardiness::Tender));
        assert_eq!(class("winter-lettuce"), Some(Hardiness::Hardy));
        assert_eq!(class("tomato"), Some(Hardiness::Chilled));
        assert_eq!(class("dahlia"), None);
        let bed = |name| FrostCrop::of_bed(name).map(|crop| (crop.name, crop.hardiness));
        assert_eq!(bed("potato"), Some(("potatoes".into(), Hardiness::Tender)));
        assert_eq!(bed("Lettuce"), Some(("lettuce".into(), Hardiness::Hardy)));
        assert_eq!(bed("french bean"), Some(("french bean".into(), Hardiness::Tender)));
        assert_eq!(bed("dahlia"), None);
        assert_eq!(FrostCrop::of_group(CropGroup::Lettuce).hardiness, class("winter-lettuce").unwrap());
        assert_eq!(FrostCrop::of_group(CropGroup::Cucurbit).hardiness, class("cucumber").unwrap());
        assert!(FrostCrop::of_group(CropGroup::Seedling).trays);
        let both = FrostCrop::of_crops(Crops::Both);
        assert_eq!(both.iter().filter(|crop| crop.trays).count(), 1);
        assert!(FrostCrop::of_crops(Crops::Hardy).iter().all(|crop| crop.hardiness == Hardiness::Hardy));
    }
}
