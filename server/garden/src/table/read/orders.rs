//! Files in which day and month change places: told row by row by the step.
//!
//! A row that reads as a date in both orders is read in the one that is nearer in time to the row read last. It counts where that is *near*: at most 26 h
//! back and at most 7 days ahead. A row that is near in neither order is held, with the rows that follow near to it, until they span 3 h among themselves
//! (a true gap: they count) or a row near to the last one that counts comes (they are set aside: a clock that was set wrong, or a date that was
//! shifted while day and month were confused). What is held at the end of the file is set aside. The first row of a file is read in the mapping's order.

use propstick_wire::millis::HOUR;

use crate::table::stamp::Order;

const NEAR_BACK_MS: i64 = 26 * HOUR;
const NEAR_AHEAD_MS: i64 = 7 * 24 * HOUR;
const CONFIRMED_MS: i64 = 3 * HOUR;
const MAX_HELD: usize = 4096;
const MAX_STRETCHES: usize = 65_536;

/// How the rows of a stretch are read: in an order, or not at all.
type Choice = Option<Order>;

/// Watches the dates of a file.
pub(super) struct Watch {
    order: Order,
    last_ms: Option<i64>,
    held: Vec<(u64, Order, i64)>,
    stretches: Vec<(u64, Choice)>,
}

impl Watch {
    pub(super) fn new(order: Order) -> Watch {
        Watch { order, last_ms: None, held: Vec::new(), stretches: Vec::new() }
    }

    /// Sees a row: its line, and its time in the mapping's order and in the other, where it has them.
    pub(super) fn see(&mut self, line: u64, plain_ms: Option<i64>, swapped_ms: Option<i64>) {
        let swapped = self.order.swapped().unwrap_or(self.order);
        let readings = [plain_ms.map(|ms| (self.order, ms)), swapped_ms.map(|ms| (swapped, ms))];
        let Some(first) = readings.into_iter().flatten().next() else { return };
        let nearest = |to: i64| {
            let near =
                readings.into_iter().flatten().filter(|(_, ms)| (-NEAR_BACK_MS..=NEAR_AHEAD_MS).contains(&(ms - to)));
            near.min_by_key(|(_, ms)| (ms - to).abs())
        };
        let Some(last_ms) = self.last_ms else {
            self.count(line, Some(first.0));
            self.last_ms = Some(first.1);
            return;
        };
        if let Some((order, ms)) = nearest(last_ms) {
            self.drop_held();
            self.count(line, Some(order));
            self.last_ms = Some(ms);
            return;
        }
        let (order, ms) = match self.held.last().and_then(|(_, _, held_ms)| nearest(*held_ms)) {
            Some(following) => following,
            None => {
                self.drop_held();
                // Behind a gap: ahead rather than back, then in the mapping's order.
                readings.into_iter().flatten().find(|(_, ms)| *ms > last_ms).unwrap_or(first)
            }
        };
        self.held.push((line, order, ms));
        let (from_ms, until_ms) = (self.held[0].2, ms);
        if until_ms - from_ms >= CONFIRMED_MS || self.held.len() >= MAX_HELD {
            for (line, order, _) in std::mem::take(&mut self.held) {
                self.count(line, Some(order));
            }
            self.last_ms = Some(until_ms);
        }
    }

    pub(super) fn end(mut self) -> Orders {
        self.drop_held();
        Orders { stretches: self.stretches, next: 0 }
    }

    fn drop_held(&mut self) {
        for (line, _, _) in std::mem::take(&mut self.held) {
            self.count(line, None);
        }
    }

    fn count(&mut self, line: u64, choice: Choice) {
        let is_new = self.stretches.last().is_none_or(|(_, last)| *last != choice);
        if is_new && self.stretches.len() < MAX_STRETCHES {
            self.stretches.push((line, choice));
        }
    }
}

/// The order of every row.
pub(super) struct Orders {
    stretches: Vec<(u64, Choice)>,
    next: usize,
}

impl Orders {
    /// The order of the row in a line, none where it is set aside. Lines are asked for in ascending order.
    pub(super) fn of(&mut self, line: u64) -> Choice {
        while self.stretches.get(self.next).is_some_and(|(from, _)| *from <= line) {
            self.next += 1;
        }
        self.next.checked_sub(1).and_then(|place| self.stretches[place].1)
    }

    /// Ready to be asked from the first line on.
    pub(super) fn again(&mut self) {
        self.next = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::stamp::{Moment, Written};

    /// The order of each row, written as in a file, from line 2 on.
    fn orders(rows: &[&str]) -> Vec<Option<Order>> {
        let mut watch = Watch::new(Order::Dmy);
        let at = |row: &str, order| match Written::parse(row).and_then(|written| written.moment(order)) {
            Some(Moment::Local(ms)) => Some(ms),
            _ => None,
        };
        for (line, row) in (2..).zip(rows) {
            watch.see(line, at(row, Order::Dmy), at(row, Order::Mdy));
        }
        let mut orders = watch.end();
        (2..).zip(rows).map(|(line, _)| orders.of(line)).collect()
    }

    const DMY: Option<Order> = Some(Order::Dmy);
    const MDY: Option<Order> = Some(Order::Mdy);

    #[test]
    fn row_is_read_in_the_order_that_follows_the_row_before() {
        // As tunnel2-trh3, lines 2249 to 2251 and 3402 to 3403: `11/01` is 1 November.
        let rows = ["31/10/2021 23:45", "11/01/2021 01:00", "11/01/2021 01:15", "11/12/2021 23:45", "13/11/2021 00:00"];
        assert_eq!(orders(&rows)[..3], [DMY, MDY, MDY]);
        let rows = ["11/11/2021 23:45", "11/12/2021 00:00", "11/12/2021 23:45", "13/11/2021 00:00"];
        assert_eq!(orders(&rows), [DMY, MDY, MDY, DMY]);
    }

    #[test]
    fn row_that_is_near_in_neither_order_is_set_aside_where_the_next_goes_on_from_the_last() {
        // As tunnel2-trh3, lines 2342 to 2347: the midnight hour of 2 November is written as 12 January.
        let rows = ["11/01/2021 23:45", "12/01/2021 00:00", "12/01/2021 00:45", "11/02/2021 01:00"];
        let mut begun = vec!["31/10/2021 23:45"];
        begun.extend(rows);
        assert_eq!(orders(&begun), [DMY, MDY, None, None, MDY]);
        // As tunnel2-micro1, line 7832: so even a date that reads in one order only.
        assert_eq!(
            orders(&[
                "30/11/2021 23:45",
                "12/01/2021 23:45",
                "13/01/2021 00:00",
                "13/01/2021 01:00",
                "12/02/2021 01:15"
            ]),
            [DMY, MDY, None, None, MDY]
        );
    }

    #[test]
    fn row_behind_a_gap_counts_once_three_hours_go_on_from_it() {
        let rows = ["06/10/2021 10:15", "14/10/2021 10:45", "14/10/2021 12:00", "14/10/2021 13:45", "14/10/2021 14:00"];
        assert_eq!(orders(&rows), [DMY; 5]);
        assert_eq!(orders(&rows[..3]), [DMY, None, None]);
        // Behind a gap that both orders could close: ahead, not back.
        let rows = ["20/07/2021 10:00", "11/05/2021 10:00", "11/05/2021 12:00", "11/05/2021 14:00"];
        assert_eq!(orders(&rows), [DMY, MDY, MDY, MDY]);
    }

    #[test]
    fn first_row_is_read_in_the_mappings_order_where_it_can_be() {
        assert_eq!(orders(&["11/05/2021", "12/05/2021"]), [DMY, DMY]);
        assert_eq!(orders(&["no time", "11/25/2021", "11/26/2021"])[1..], [MDY, MDY]);
    }
}
