//! What exports read and nobody else does: traffic by its arrival, refused things from the oldest on, states, and advice piece by piece.

use std::ops::ControlFlow;

use propstick_garden::took::Facts;
use propstick_wire::Millis;
use rusqlite::params;

use super::advice::{self, AdviceStore, KeptAdvice};
use super::readings::{Refused, Span};
use super::{Readings, SeriesId, StoreError};

/// A live reading as it is kept, the loser of its instant too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrival {
    /// Its series.
    pub series: SeriesId,
    /// Its instant.
    pub t: Millis,
    /// Its value as sent.
    pub v: f64,
    /// When its message arrived.
    pub arrived: Millis,
    /// What is known of its message.
    pub facts: Facts,
}

/// The newest word of a board of ours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptState {
    /// URN of the board.
    pub urn: String,
    /// When it arrived.
    pub arrived: Millis,
    /// Whether it was delivered as retained.
    pub retained: bool,
    /// The message as sent.
    pub payload: String,
}

impl Readings {
    /// Live readings whose message arrived in `span`, by arrival, then by series and instant; imports are not among them. They are sorted on disk where
    /// they are many, so that memory does not grow with them.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn traffic(&self, span: Span, take: &mut dyn FnMut(Arrival) -> ControlFlow<()>) -> Result<(), StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT series, t, v, arrived, facts FROM reading WHERE origin = 0 AND arrived >= ?1 AND arrived < ?2
             UNION ALL SELECT series, t, v, arrived, facts FROM variant WHERE origin = 0 AND arrived >= ?1 AND arrived < ?2
             ORDER BY arrived, series, t, v",
        )?;
        let mut rows = query.query(params![span.from.0, span.to.0])?;
        while let Some(r) = rows.next()? {
            let arrival = Arrival {
                series: SeriesId(r.get(0)?),
                t: Millis(r.get(1)?),
                v: r.get(2)?,
                arrived: Millis(r.get(3)?),
                facts: Facts(r.get(4)?),
            };
            if take(arrival).is_break() {
                break;
            }
        }
        Ok(())
    }

    /// Whether the live ledger has that value at that instant from a message that arrived no later than `by`.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn is_kept(&self, series: SeriesId, t: Millis, v: f64, by: Millis) -> Result<bool, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT EXISTS (SELECT 1 FROM reading WHERE series = ?1 AND t = ?2 AND origin = 0 AND v = ?3 AND arrived <= ?4)
                 OR EXISTS (SELECT 1 FROM variant WHERE series = ?1 AND t = ?2 AND origin = 0 AND v = ?3 AND arrived <= ?4)",
        )?;
        Ok(query.query_row(params![series.0, t.0, v, by.0], |r| r.get(0))?)
    }

    /// What was refused in `span`, by arrival: at most `most` of it, behind the one that arrived at `after.0` with the number `after.1`.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn refused_after(&self, after: (Millis, i64), span: Span, most: usize) -> Result<Vec<Refused>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT id, at, device, topic, reason, detail, payload FROM reject
             WHERE at >= ?3 AND at < ?4 AND (at > ?1 OR (at = ?1 AND id > ?2)) ORDER BY at, id LIMIT ?5",
        )?;
        let rows = query.query_map(params![after.0.0, after.1, span.from.0, span.to.0, most as i64], |r| {
            Ok(Refused {
                id: r.get(0)?,
                at: Millis(r.get(1)?),
                device: r.get(2)?,
                topic: r.get(3)?,
                reason: r.get(4)?,
                detail: r.get(5)?,
                payload: r.get(6)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The newest word of each board, if that came in `span`, by arrival.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn states(&self, span: Span) -> Result<Vec<KeptState>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT d.urn, b.arrived, b.retained, b.payload FROM board_state b JOIN device d ON d.id = b.device
             WHERE b.arrived >= ?1 AND b.arrived < ?2 ORDER BY b.arrived, d.urn",
        )?;
        let rows = query.query_map(params![span.from.0, span.to.0], |r| {
            Ok(KeptState { urn: r.get(0)?, arrived: Millis(r.get(1)?), retained: r.get(2)?, payload: r.get(3)? })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// How many files have been imported and not taken back.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn imports(&self) -> Result<u64, StoreError> {
        let mut query = self.db.prepare_cached("SELECT count(*) FROM origin WHERE id <> 0")?;
        Ok(query.query_row([], |r| r.get::<_, i64>(0))? as u64)
    }
}

impl AdviceStore<'_> {
    /// All advice made in `[from, to)`, in order, one piece at a time.
    ///
    /// # Errors
    /// A store that cannot be read.
    pub fn each(
        &self,
        (from, to): (Millis, Millis),
        take: &mut dyn FnMut(KeptAdvice) -> ControlFlow<()>,
    ) -> Result<(), StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {} FROM advice WHERE made_at >= ?1 AND made_at < ?2 ORDER BY id",
            advice::COLUMNS
        ))?;
        let mut rows = query.query(params![from.0, to.0])?;
        while let Some(r) = rows.next()? {
            if take(advice::row(r)?).is_break() {
                break;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Ledger;
    use propstick_garden::exchange::series_key;
    use propstick_garden::took::{RawReading, Took};

    #[test]
    fn traffic_is_by_arrival_and_has_losers_too_but_nothing_outside_its_span() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("readings.db");
        let mut ledger = Ledger::open(&path).unwrap();
        let reading = |t: i64, v: f64, arrived: i64| {
            let series = series_key("urn:propstick:stick", "air-temperature", "Cel").unwrap();
            let (t, arrived) = (Millis(t), Millis(arrived));
            Took::Reading(RawReading { series, t, v, arrived, facts: Facts::RETAINED, sample: None })
        };
        ledger.commit(&[reading(5, 1.5, 30), reading(9, 2.5, 10), reading(5, 3.5, 20), reading(1, 4.5, 40)]).unwrap();
        let readings = Readings::open(&path).unwrap();
        let of = |from: i64, to: i64| {
            let mut all = Vec::new();
            let span = Span { from: Millis(from), to: Millis(to) };
            readings
                .traffic(span, &mut |a| {
                    all.push((a.t.0, a.v, a.arrived.0));
                    ControlFlow::Continue(())
                })
                .unwrap();
            all
        };
        assert_eq!(of(0, 99), [(9, 2.5, 10), (5, 3.5, 20), (5, 1.5, 30), (1, 4.5, 40)]);
        assert_eq!(of(20, 40), [(5, 3.5, 20), (5, 1.5, 30)]);
        let series = readings.series().unwrap()[0].id;
        let kept = |t: i64, v: f64, by: i64| readings.is_kept(series, Millis(t), v, Millis(by)).unwrap();
        assert!(kept(5, 3.5, 20) && kept(5, 1.5, 30) && !kept(5, 1.5, 29) && !kept(5, 2.5, 99) && !kept(9, 1.5, 99));
        assert_eq!(readings.imports().unwrap(), 0);
    }
}
