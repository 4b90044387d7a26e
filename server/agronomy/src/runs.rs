//! Three runs of one calculation: with humidity as low as the sensor's error allows, as it was read, and as high.
//!
//! Near 90 %RH a sensor's 3 % move an answer by hours and levels (wetness sheet 3.3). So every figure that rests on humidity is worked out three
//! times and carries all three.

/// A figure of each run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Runs<T> {
    /// Humidity lower by the sensor's error, and unknown hours dry.
    pub low: T,
    /// Humidity as read.
    pub read: T,
    /// Humidity higher by the sensor's error, and unknown hours wet.
    pub high: T,
}

impl<T> Runs<T> {
    /// The same in each run.
    pub fn all(value: T) -> Runs<T>
    where
        T: Clone,
    {
        Runs { low: value.clone(), read: value.clone(), high: value }
    }

    /// Each run's figure through `f`.
    ///
    /// ```
    /// use propstick_agronomy::runs::Runs;
    /// let wet_hours = Runs { low: 9.0, read: 11.0, high: 13.0 };
    /// assert_eq!(wet_hours.map(|h| h > 10.0), Runs { low: false, read: true, high: true });
    /// ```
    pub fn map<U>(self, mut f: impl FnMut(T) -> U) -> Runs<U> {
        Runs { low: f(self.low), read: f(self.read), high: f(self.high) }
    }

    /// Each run's figure and the other's of the same run through `f`.
    pub fn with<U, V>(self, other: Runs<U>, mut f: impl FnMut(T, U) -> V) -> Runs<V> {
        Runs { low: f(self.low, other.low), read: f(self.read, other.read), high: f(self.high, other.high) }
    }

    /// The three figures, low first.
    pub fn as_refs(&self) -> [&T; 3] {
        [&self.low, &self.read, &self.high]
    }
}
