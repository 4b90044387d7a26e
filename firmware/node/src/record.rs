//! What a board keeps at rest: samples, and the anchors that date samples taken without a clock. Fixed binary records.
//!
//! Layout, little-endian: version (1 byte, [`VERSION`]), kind (1: 1 sample, 2 anchor), layout of the channels (2), queue (4), then
//! of a sample its number (8), kind of stamp (1: 0 since start, 1 UTC), stamp in ms (8), mask of values (1), values (8 × 4), or
//! of an anchor how far UTC is ahead (8) and zeros; at the end CRC-32 over all before it (4).

use crate::sample::{MAX_CHANNELS, Sample, Stamp, Values};
use crate::uptime::Uptime;
use propstick_wire::{Millis, QueueId};

/// Length of every record.
pub const RECORD_BYTES: usize = BODY_BYTES + 4;

/// The version written, and the only one read.
pub const VERSION: u8 = 1;

const BODY_BYTES: usize = HEAD_BYTES + 8 + 1 + 8 + 1 + 4 * MAX_CHANNELS;
const HEAD_BYTES: usize = 1 + 1 + 2 + 4;
const KIND_SAMPLE: u8 = 1;
const KIND_ANCHOR: u8 = 2;

/// What one record holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Record {
    /// A sample.
    Sample(Sample),
    /// When the board's clock became known.
    Anchor(Anchor),
}

/// Dates the samples of one queue that carry no time of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Anchor {
    /// The queue, and with it the run of the board.
    pub queue: QueueId,
    /// Milliseconds by which UTC is ahead of that run's uptime.
    pub ahead_ms: i64,
}

impl Record {
    /// The record as bytes; `layout` is that of the board's channels.
    pub fn encode(&self, layout: u16) -> [u8; RECORD_BYTES] {
        let mut bytes = [0; RECORD_BYTES];
        let (kind, queue) = match self {
            Record::Sample(sample) => (KIND_SAMPLE, sample.queue),
            Record::Anchor(anchor) => (KIND_ANCHOR, anchor.queue),
        };
        let mut pen = Pen { bytes: &mut bytes, at: 0 };
        pen.put(&[VERSION, kind]);
        pen.put(&layout.to_le_bytes());
        pen.put(&queue.0.to_le_bytes());
        match self {
            Record::Sample(sample) => {
                pen.put(&sample.n.to_le_bytes());
                match sample.at {
                    Stamp::Since(uptime) => {
                        pen.put(&[0]);
                        pen.put(&uptime.0.to_le_bytes());
                    }
                    Stamp::Utc(at) => {
                        pen.put(&[1]);
                        pen.put(&at.0.to_le_bytes());
                    }
                }
                pen.put(&[sample.values.mask()]);
                for place in 0..MAX_CHANNELS {
                    pen.put(&sample.values.at(place).unwrap_or(0).to_le_bytes());
                }
            }
            Record::Anchor(anchor) => pen.put(&anchor.ahead_ms.to_le_bytes()),
        }
        let checksum = crc32(&bytes[..BODY_BYTES]).to_le_bytes();
        bytes[BODY_BYTES..].copy_from_slice(&checksum);
        bytes
    }

    /// Reads a record back.
    ///
    /// # Errors
    /// [`RecordError`]; a record cut short by a loss of power is one of them.
    pub fn decode(bytes: &[u8], layout: u16) -> Result<Record, RecordError> {
        let bytes: &[u8; RECORD_BYTES] = bytes.try_into().map_err(|_| RecordError::Length { bytes: bytes.len() })?;
        let mut eye = Eye { bytes, at: 0 };
        let [version, kind] = eye.take();
        if version != VERSION {
            return Err(RecordError::Version { given: version });
        }
        let stored = [bytes[BODY_BYTES], bytes[BODY_BYTES + 1], bytes[BODY_BYTES + 2], bytes[BODY_BYTES + 3]];
        if crc32(&bytes[..BODY_BYTES]) != u32::from_le_bytes(stored) {
            return Err(RecordError::Checksum);
        }
        if u16::from_le_bytes(eye.take()) != layout {
            return Err(RecordError::OtherChannels);
        }
        let queue = QueueId(u32::from_le_bytes(eye.take()));
        match kind {
            KIND_SAMPLE => {
                let n = u64::from_le_bytes(eye.take());
                let [stamp] = eye.take();
                let ms: [u8; 8] = eye.take();
                let at = match stamp {
                    0 => Stamp::Since(Uptime(u64::from_le_bytes(ms))),
                    1 => Stamp::Utc(Millis(i64::from_le_bytes(ms))),
                    _ => return Err(RecordError::Kind),
                };
                let [mask] = eye.take();
                let mut values = Values::NONE;
                for place in 0..MAX_CHANNELS {
                    let number = i32::from_le_bytes(eye.take());
                    if mask & (1 << place) != 0 {
                        values.set(place, number);
                    }
                }
                Ok(Record::Sample(Sample { queue, n, at, values }))
            }
            KIND_ANCHOR => Ok(Record::Anchor(Anchor { queue, ahead_ms: i64::from_le_bytes(eye.take()) })),
            _ => Err(RecordError::Kind),
        }
    }
}

/// Why bytes are no record of this board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RecordError {
    /// Not [`RECORD_BYTES`].
    Length {
        /// How many there are.
        bytes: usize,
    },
    /// Written by other firmware.
    Version {
        /// Its version.
        given: u8,
    },
    /// Damaged.
    Checksum,
    /// Written with another table of channels.
    OtherChannels,
    /// Whole, but of no kind that is known.
    Kind,
}

struct Pen<'b> {
    bytes: &'b mut [u8; RECORD_BYTES],
    at: usize,
}

impl Pen<'_> {
    fn put(&mut self, piece: &[u8]) {
        self.bytes[self.at..self.at + piece.len()].copy_from_slice(piece);
        self.at += piece.len();
    }
}

struct Eye<'b> {
    bytes: &'b [u8; RECORD_BYTES],
    at: usize,
}

impl Eye<'_> {
    fn take<const K: usize>(&mut self) -> [u8; K] {
        let mut piece = [0; K];
        piece.copy_from_slice(&self.bytes[self.at..self.at + K]);
        self.at += K;
        piece
    }
}

/// CRC-32 as in Ethernet: polynomial 0x04C11DB7 reflected, all ones at the start and inverted at the end.
fn crc32(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn crc32_of_the_nine_digits_is_the_published_check_value() {
        // Check value of CRC-32/ISO-HDLC: 0xCBF43926 for "123456789".
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
    }

    #[test]
    fn record_is_laid_out_as_written_down() {
        let mut values = Values::NONE;
        values.set(1, -2);
        let at = Stamp::Utc(Millis(0x0102_0304_0506_0708));
        let bytes = Record::Sample(Sample { queue: QueueId(0x3f9c_21a7), n: 0x41a, at, values }).encode(0xbeef);
        assert_eq!(bytes[..8], [1, 1, 0xef, 0xbe, 0xa7, 0x21, 0x9c, 0x3f]);
        assert_eq!(bytes[8..16], [0x1a, 4, 0, 0, 0, 0, 0, 0]);
        assert_eq!(bytes[16..26], [1, 8, 7, 6, 5, 4, 3, 2, 1, 0b10]);
        assert_eq!(bytes[26..34], [0, 0, 0, 0, 0xfe, 0xff, 0xff, 0xff]);
        assert_eq!(bytes.len(), 62);
    }

    #[test]
    fn records_of_others_are_refused_with_the_reason() {
        let record = Record::Anchor(Anchor { queue: QueueId(7), ahead_ms: 5 });
        let bytes = record.encode(1);
        assert_eq!(Record::decode(&bytes, 1), Ok(record));
        assert_eq!(Record::decode(&bytes, 2), Err(RecordError::OtherChannels));
        assert_eq!(Record::decode(&bytes[1..], 1), Err(RecordError::Length { bytes: RECORD_BYTES - 1 }));
        let mut newer = bytes;
        newer[0] = 2;
        assert_eq!(Record::decode(&newer, 1), Err(RecordError::Version { given: 2 }));
        assert_eq!(Record::decode(&[0xff; RECORD_BYTES], 1), Err(RecordError::Version { given: 0xff }), "erased flash");
        let mut odd = bytes;
        odd[1] = 3;
        let checksum = crc32(&odd[..BODY_BYTES]).to_le_bytes();
        odd[BODY_BYTES..].copy_from_slice(&checksum);
        assert_eq!(Record::decode(&odd, 1), Err(RecordError::Kind));
    }

    fn any_record() -> impl Strategy<Value = Record> {
        let stamp = prop_oneof![
            any::<u64>().prop_map(|ms| Stamp::Since(Uptime(ms))),
            any::<i64>().prop_map(|ms| Stamp::Utc(Millis(ms)))
        ];
        let values = prop::array::uniform8(prop::option::of(any::<i32>())).prop_map(|numbers| {
            let mut values = Values::NONE;
            numbers.iter().enumerate().for_each(|(place, number)| {
                if let Some(number) = number {
                    values.set(place, *number);
                }
            });
            values
        });
        prop_oneof![
            (any::<u32>(), any::<u64>(), stamp, values).prop_map(|(queue, n, at, values)| Record::Sample(Sample {
                queue: QueueId(queue),
                n,
                at,
                values
            })),
            (any::<u32>(), any::<i64>())
                .prop_map(|(queue, ahead_ms)| Record::Anchor(Anchor { queue: QueueId(queue), ahead_ms })),
        ]
    }

    proptest! {
        #[test]
        fn prop_record_comes_back_from_its_bytes(record in any_record(), layout: u16) {
            prop_assert_eq!(Record::decode(&record.encode(layout), layout), Ok(record));
        }

        #[test]
        fn prop_one_flipped_bit_is_noticed(record in any_record(), bit in 0..RECORD_BYTES * 8) {
            let mut bytes = record.encode(9);
            bytes[bit / 8] ^= 1 << (bit % 8);
            prop_assert!(Record::decode(&bytes, 9).is_err());
        }

        #[test]
        fn prop_any_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..80)) {
            let _ = Record::decode(&bytes, 0);
        }
    }
}
