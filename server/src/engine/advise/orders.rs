//! Covers that were asked to be laid: where nobody tells, the morning takes it that they were.

use std::collections::BTreeMap;

use propstick_garden::advice::CoverMove;
use propstick_garden::model::CoverState;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

/// An order of the evening counts through the day after, not longer: by then somebody has seen the bed. Common practice, no source.
const STANDS: i64 = 30 * HOUR;

/// When each cover was last asked to be laid, and since then to be folded back.
#[derive(Default)]
pub(super) struct Orders {
    by_cover: BTreeMap<String, Order>,
}

struct Order {
    laid: Millis,
    folded: Option<Millis>,
}

impl Orders {
    /// Notes what was asked for.
    pub(super) fn note(&mut self, moves: &[CoverMove]) {
        for one in moves {
            match (one.state, self.by_cover.get_mut(&one.cover)) {
                (CoverState::On, _) => {
                    self.by_cover.insert(one.cover.clone(), Order { laid: one.from, folded: None });
                }
                (_, Some(order)) if one.from > order.laid => order.folded = Some(one.from),
                _ => {}
            }
        }
    }

    /// When a cover was asked to be laid for the night that ended with `sunrise`, if it is `now` taken to lie there still.
    pub(super) fn overnight(&self, cover: &str, sunrise: Millis, now: Millis) -> Option<Millis> {
        let order = self.by_cover.get(cover)?;
        let of_the_night = order.laid < sunrise && sunrise <= now && now.since(order.laid) < STANDS;
        let folded = order.folded.is_some_and(|at| now.since(at) >= HOUR);
        (of_the_night && !folded).then_some(order.laid)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fleece_asked_for_in_the_evening_lies_there_in_the_morning_until_it_was_asked_back() {
        let at = |h: i64| Millis(h * HOUR);
        let asked = |state, h| CoverMove { cover: "fleece".to_owned(), state, from: at(h), until: None };
        let mut orders = Orders::default();
        orders.note(&[asked(CoverState::On, 16)]);
        let lies = |orders: &Orders, h| orders.overnight("fleece", at(32), at(h)).is_some();
        assert!(!lies(&orders, 20), "the evening still reminds of what nobody answered");
        assert!(lies(&orders, 32) && lies(&orders, 45) && !lies(&orders, 46));
        orders.note(&[asked(CoverState::Folded, 34)]);
        assert!(lies(&orders, 34) && !lies(&orders, 35));
        assert_eq!(orders.overnight("another", at(32), at(33)), None);
        // Laid again the next evening, from the morning after on.
        orders.note(&[asked(CoverState::Folded, 34), asked(CoverState::On, 40)]);
        assert!(!lies(&orders, 41) && orders.overnight("fleece", at(56), at(57)).is_some());
    }
}
