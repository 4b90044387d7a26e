//! What goes with a level of damp risk. Never anything about openings: those have their own rules.

use propstick_agronomy::risk::level::Level;

/// What to do to the plants at a level; nothing below raised.
pub(super) const fn level_to_do(level: Level) -> Option<&'static str> {
    match level {
        Level::Low | Level::Some => None,
        Level::Raised => Some("No water from above, and pick off old leaves."),
        Level::High => Some("Thin, pick off old leaves, and look under what is left."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_level_never_hold_a_vent_order() {
        for level in Level::ALL {
            let words = level_to_do(level).unwrap_or_default().to_lowercase();
            for order in ["vent", "open", "shut", "clos", "crack", "door", "lid", "air"] {
                assert!(!words.contains(order), "{level:?}: {order}");
            }
        }
    }
}
