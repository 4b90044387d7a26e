//! Who is there, and when.

use propstick_wire::Millis;

/// Stretches in which somebody is there who can act, half-open, in order: at least from now to 48 hours ahead.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Presence(pub Vec<(Millis, Millis)>);

impl Presence {
    /// Whether somebody is there at that instant.
    pub fn holds(&self, at: Millis) -> bool {
        self.0.iter().any(|(from, to)| *from <= at && at < *to)
    }

    /// The first instant from `at` on at which somebody is there; none where nobody comes.
    pub fn first_from(&self, at: Millis) -> Option<Millis> {
        self.0.iter().filter(|(from, to)| from < to && at < *to).map(|(from, _)| (*from).max(at)).min()
    }

    /// The end of the stretch that holds at that instant; none where nobody is there.
    pub fn leaves_after(&self, at: Millis) -> Option<Millis> {
        self.0.iter().filter(|(from, to)| *from <= at && at < *to).map(|(_, to)| *to).max()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn out_till_evening_is_told_from_stretches() {
        let there = Presence(vec![(Millis(0), Millis(10)), (Millis(50), Millis(90))]);
        assert!(there.holds(Millis(0)) && !there.holds(Millis(10)) && there.holds(Millis(50)));
        assert_eq!(there.first_from(Millis(3)), Some(Millis(3)));
        assert_eq!(there.first_from(Millis(10)), Some(Millis(50)));
        assert_eq!(there.first_from(Millis(90)), None);
        assert_eq!(there.leaves_after(Millis(3)), Some(Millis(10)));
        assert_eq!(there.leaves_after(Millis(20)), None);
    }
}
