//! The levels of damp risk in sentences. They never say anything about openings: those have their own rules.

use propstick_agronomy::risk::level::Level;

/// What goes with a level: what to do to the plants, never what to do with doors and lids.
pub const fn level_words(level: Level) -> &'static str {
    match level {
        Level::Low => "Little risk.",
        Level::Some => "Some risk.",
        Level::Raised => "Raised: no water from above, and pick off old leaves.",
        Level::High => "High: thin, pick off old leaves, and look under what is left.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_level_never_hold_a_vent_order() {
        for level in Level::ALL {
            let words = level_words(level).to_lowercase();
            for order in ["vent", "open", "shut", "clos", "crack", "door", "lid", "air"] {
                assert!(!words.contains(order), "{level:?}: {order}");
            }
        }
    }
}
