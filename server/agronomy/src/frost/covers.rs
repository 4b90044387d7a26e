//! What covers add to the temperature of a clear night.

use super::constants as c;

/// A cover, or two of them, over a crop at night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NightCover {
    /// Fleece of about 17 g/m².
    Fleece17,
    /// Fleece of about 30 g/m².
    Fleece30,
    /// Two layers of fleece.
    FleeceDouble,
    /// An unheated tunnel.
    Tunnel,
    /// Fleece in an unheated tunnel.
    TunnelAndFleece,
}

impl NightCover {
    /// How much warmer it is under it on a clear night, °C; `wet` where fleece is wet or lies on the leaves, which halves its part.
    ///
    /// Add it only where the sensor is not under that cover. **Source**: climate sheet 5.2, from memory there. **Accuracy**: ±1 °C; a dry tunnel can
    /// be colder than the open for the first hour and a half of the night.
    ///
    /// ```
    /// use propstick_agronomy::frost::NightCover;
    /// assert_eq!((NightCover::Fleece17.gain_c(false), NightCover::Fleece17.gain_c(true)), (1.5, 0.75));
    /// ```
    pub fn gain_c(self, wet: bool) -> f64 {
        let (tunnel, fleece) = match self {
            NightCover::Fleece17 => (0.0, c::FLEECE_17_C.value),
            NightCover::Fleece30 => (0.0, c::FLEECE_30_C.value),
            NightCover::FleeceDouble => (0.0, c::FLEECE_DOUBLE_C.value),
            NightCover::Tunnel => (c::TUNNEL_C.value, 0.0),
            NightCover::TunnelAndFleece => (c::TUNNEL_C.value, c::TUNNEL_AND_FLEECE_C.value - c::TUNNEL_C.value),
        };
        tunnel + if wet { fleece * c::WET_FLEECE.value } else { fleece }
    }

    /// The least that is to be reckoned with on a clear night, °C, dry: negative under a tunnel, whose film lets some of the warmth of the ground through
    /// while no water lies on it.
    ///
    /// **Source**: climate sheet 5.2, the lower end of its ranges.
    pub const fn least_gain_c(self) -> f64 {
        match self {
            NightCover::Fleece17 => c::FLEECE_17_C.lowest,
            NightCover::Fleece30 => c::FLEECE_30_C.lowest,
            NightCover::FleeceDouble => c::FLEECE_DOUBLE_C.lowest,
            NightCover::Tunnel => c::TUNNEL_C.lowest,
            NightCover::TunnelAndFleece => c::TUNNEL_AND_FLEECE_C.lowest,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gains_are_those_of_5_2_and_halve_when_wet() {
        // Climate sheet 5.2, defaults [memory]: 1.5, 2.5, 4; tunnel 1.5, tunnel and fleece 4; fleece halved when wet or touching leaves.
        let both = |cover: NightCover| (cover.gain_c(false), cover.gain_c(true));
        assert_eq!(both(NightCover::Fleece30), (2.5, 1.25));
        assert_eq!(both(NightCover::FleeceDouble), (4.0, 2.0));
        assert_eq!(both(NightCover::Tunnel), (1.5, 1.5));
        assert_eq!(both(NightCover::TunnelAndFleece), (4.0, 2.75));
        // 5.2: thin sheet from 1 °C, heavyweight from 1.1; a dry tunnel colder than the open.
        for cover in [NightCover::Fleece17, NightCover::Fleece30, NightCover::FleeceDouble, NightCover::TunnelAndFleece]
        {
            assert!((0.0..cover.gain_c(false)).contains(&cover.least_gain_c()), "{cover:?}");
        }
        assert_eq!(NightCover::Tunnel.least_gain_c(), -1.0);
    }
}
