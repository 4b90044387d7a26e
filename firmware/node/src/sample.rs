//! What a board measures: channels, values, and a numbered sample with its time.

use crate::uptime::Uptime;
use propstick_wire::senml::{WriteError, Writer};
use propstick_wire::{Decimal, Millis, QueueId};

/// A board has at most this many channels.
pub const MAX_CHANNELS: usize = 8;

/// One measured quantity of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Channel {
    /// Its name, such as `air-temperature` or `soil-temperature-2`.
    pub name: &'static str,
    /// Its unit as sent, such as `Cel`.
    pub unit: &'static str,
    /// How many digits of a value stand behind the point, 0 to 9: 612 with 2 is 6.12.
    pub places: u8,
}

/// The channels of a board, checked once at the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Channels(&'static [Channel]);

impl Channels {
    /// Checks the table.
    ///
    /// # Errors
    /// [`ChannelError`] says which channel cannot be sent, or that there are too many or none.
    pub fn new(channels: &'static [Channel]) -> Result<Channels, ChannelError> {
        if channels.is_empty() || channels.len() > MAX_CHANNELS {
            return Err(ChannelError::Count { given: channels.len() });
        }
        for (place, channel) in channels.iter().enumerate() {
            let fault = |why| ChannelError::Channel { place, why };
            if channel.places > 9 {
                return Err(fault(None));
            }
            let mut trial = [0; 256];
            let record = Writer::begin(&mut trial, "a_", None).and_then(|mut writer| {
                writer.record(channel.name, channel.unit, Decimal::new(i64::from(i32::MIN), channel.places), 0)
            });
            record.map_err(|why| fault(Some(why)))?;
        }
        Ok(Channels(channels))
    }

    /// The channels in the order of their values.
    pub fn iter(self) -> impl Iterator<Item = &'static Channel> {
        self.0.iter()
    }

    /// The place of the channel called `name`.
    pub fn place(self, name: &str) -> Option<usize> {
        self.0.iter().position(|channel| channel.name == name)
    }

    /// A number that differs, with all likelihood, between different tables: kept with each sample at rest, so that other
    /// firmware does not take a humidity for a temperature.
    pub fn layout(self) -> u16 {
        let mut hash = 0x811c_9dc5_u32;
        let mut eat = |byte: u8| hash = (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193);
        for channel in self.0 {
            channel.name.bytes().chain([0]).chain(channel.unit.bytes()).chain([0, channel.places]).for_each(&mut eat);
        }
        (hash ^ (hash >> 16)) as u16
    }
}

/// Why a table of channels cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChannelError {
    /// None, or more than [`MAX_CHANNELS`].
    Count {
        /// How many there are.
        given: usize,
    },
    /// This one cannot be sent.
    Channel {
        /// Its place in the table, from 0.
        place: usize,
        /// What the writer has against it; `None` for more than 9 places.
        why: Option<WriteError>,
    },
}

/// One number for each channel, in thousandths or whatever its `places` say; some may be missing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Values {
    mask: u8,
    numbers: [i32; MAX_CHANNELS],
}

impl Values {
    /// No value at all.
    pub const NONE: Values = Values { mask: 0, numbers: [0; MAX_CHANNELS] };

    /// Sets the value of the channel at `place`; places beyond the table are passed over.
    pub fn set(&mut self, place: usize, number: i32) {
        if let Some(slot) = self.numbers.get_mut(place) {
            *slot = number;
            self.mask |= 1 << place;
        }
    }

    /// The value of the channel at `place`.
    pub fn at(&self, place: usize) -> Option<i32> {
        let there = place < MAX_CHANNELS && self.mask & (1 << place) != 0;
        there.then(|| self.numbers[place])
    }

    /// Whether no channel has a value.
    pub fn is_empty(&self) -> bool {
        self.mask == 0
    }

    /// Which channels have a value, as bits.
    pub fn mask(&self) -> u8 {
        self.mask
    }

    /// These values without those of the channels in `mask`.
    #[must_use]
    pub fn without(mut self, mask: u8) -> Values {
        for (place, number) in self.numbers.iter_mut().enumerate() {
            if mask & (1 << place) != 0 {
                *number = 0;
            }
        }
        self.mask &= !mask;
        self
    }
}

/// When a sample was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stamp {
    /// By the board's clock.
    Utc(Millis),
    /// While the board had no clock: so long after it started.
    Since(Uptime),
}

/// A sample with its place in the queue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    /// The queue; every start of the board begins one of its own.
    pub queue: QueueId,
    /// Its number in the queue, from 1.
    pub n: u64,
    /// When it was taken.
    pub at: Stamp,
    /// What was measured.
    pub values: Values,
}

#[cfg(test)]
mod tests {
    use super::*;

    static AIR: [Channel; 2] = [
        Channel { name: "air-temperature", unit: "Cel", places: 2 },
        Channel { name: "air-humidity", unit: "%RH", places: 2 },
    ];

    #[test]
    fn channels_good_table_is_taken_and_finds_places() {
        let channels = Channels::new(&AIR).unwrap();
        assert_eq!(channels.place("air-humidity"), Some(1));
        assert_eq!(channels.place("light"), None);
    }

    #[test]
    fn channels_that_cannot_be_sent_are_refused_by_place() {
        static BAD_NAME: [Channel; 2] = [AIR[0], Channel { name: "air temperature", unit: "Cel", places: 2 }];
        static BAD_UNIT: [Channel; 1] = [Channel { name: "air", unit: "\"", places: 2 }];
        static BAD_PLACES: [Channel; 1] = [Channel { name: "air", unit: "Cel", places: 10 }];
        let why = Some(WriteError::BadName);
        assert_eq!(Channels::new(&BAD_NAME), Err(ChannelError::Channel { place: 1, why }));
        let why = Some(WriteError::BadUnit);
        assert_eq!(Channels::new(&BAD_UNIT), Err(ChannelError::Channel { place: 0, why }));
        assert_eq!(Channels::new(&BAD_PLACES), Err(ChannelError::Channel { place: 0, why: None }));
        assert_eq!(Channels::new(&[]), Err(ChannelError::Count { given: 0 }));
        static MANY: [Channel; 9] = [AIR[0]; 9];
        assert_eq!(Channels::new(&MANY), Err(ChannelError::Count { given: 9 }));
    }

    #[test]
    fn layout_of_tables_that_differ_in_one_thing_differs() {
        static SWAPPED: [Channel; 2] = [AIR[1], AIR[0]];
        static FINER: [Channel; 2] = [Channel { places: 3, ..AIR[0] }, AIR[1]];
        static OTHER_UNIT: [Channel; 2] = [Channel { unit: "K", ..AIR[0] }, AIR[1]];
        let layout = Channels::new(&AIR).unwrap().layout();
        for other in [&SWAPPED, &FINER, &OTHER_UNIT] {
            assert_ne!(Channels::new(other).unwrap().layout(), layout);
        }
    }

    #[test]
    fn values_without_a_channel_lose_its_number_too() {
        let mut values = Values::NONE;
        values.set(0, 612);
        values.set(1, 9541);
        values.set(MAX_CHANNELS, 1);
        let mut alone = Values::NONE;
        alone.set(0, 612);
        assert_eq!(values.without(0b10), alone);
        assert_eq!((values.at(1), alone.at(1), values.at(MAX_CHANNELS)), (Some(9541), None, None));
        assert!(values.without(0b11).is_empty() && !alone.is_empty());
    }
}
