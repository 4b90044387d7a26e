//! What goes with a level of damp risk. Never anything about openings: those have their own rules.

use propstick_agronomy::risk::level::Level;
use propstick_agronomy::wetness::hours::Leaf;

/// What to do to the plants at a level; nothing below raised. Frozen leaves bruise and wet ones pass rot on: what touches them waits until they are dry.
pub(super) const fn level_to_do(level: Level, leaves: Leaf) -> Option<&'static str> {
    match (level, leaves) {
        (Level::Low | Level::Some, _) => None,
        (Level::Raised, Leaf::Dry) => Some("No water from above, and pick off old leaves."),
        (Level::Raised, Leaf::Frozen) => {
            Some("No water from above. Pick off old leaves once all are soft and dry again, not before.")
        }
        (Level::Raised, Leaf::Wet | Leaf::Unknown) => {
            Some("No water from above. Pick off old leaves when all are dry, not before.")
        }
        (Level::High, Leaf::Dry) => Some("Thin, pick off old leaves, and look under what is left."),
        (Level::High, Leaf::Frozen) => Some(
            "Once the leaves are soft and dry again, not before: thin, pick off old ones, and look under what is left.",
        ),
        (Level::High, Leaf::Wet | Leaf::Unknown) => {
            Some("When the leaves are dry, not before: thin, pick off old ones, and look under what is left.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEAVES: [Leaf; 4] = [Leaf::Wet, Leaf::Dry, Leaf::Frozen, Leaf::Unknown];

    #[test]
    fn words_of_a_level_never_hold_a_vent_order() {
        for (level, leaves) in Level::ALL.into_iter().flat_map(|level| LEAVES.map(|leaves| (level, leaves))) {
            let words = level_to_do(level, leaves).unwrap_or_default().to_lowercase();
            for order in ["vent", "open", "shut", "clos", "crack", "door", "lid", "air"] {
                assert!(!words.contains(order), "{level:?}: {order}");
            }
        }
    }

    #[test]
    fn no_words_of_a_level_ask_to_touch_frozen_or_wet_leaves() {
        for level in Level::ALL {
            for (leaves, until) in [(Leaf::Frozen, "soft and dry"), (Leaf::Wet, "dry"), (Leaf::Unknown, "dry")] {
                let words = level_to_do(level, leaves).unwrap_or_default().to_lowercase();
                let touches = ["pick off", "thin", "look under"].iter().any(|touch| words.contains(touch));
                assert!(
                    !touches || (words.contains(until) && words.contains("not before")),
                    "{level:?} {leaves:?}: {words}"
                );
            }
        }
        assert!(level_to_do(Level::High, Leaf::Dry).is_some_and(|words| !words.contains("not before")));
    }
}
