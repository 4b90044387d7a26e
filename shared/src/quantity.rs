//! What may be measured: the quantities, their units, and what can be meant.

/// A measured quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Temperature of the air.
    AirTemperature,
    /// Relative humidity of the air, over water also below 0 °C.
    AirHumidity,
    /// Temperature of the soil, or of whatever a probe lies in: a hot bed, a compost heap.
    SoilTemperature,
    /// Temperature of a leaf.
    LeafTemperature,
    /// Water in the soil: volume of water by volume of soil.
    SoilMoisture,
    /// How much of a leaf, or of a sensor in a leaf's place, is wet: 0 dry, 1 wet.
    LeafWetness,
    /// Global radiation, as power.
    Light,
    /// Light as the eye weighs it.
    Illuminance,
    /// Pressure of the air at the sensor, not reduced to sea level.
    AirPressure,
    /// Speed of the wind.
    WindSpeed,
    /// Rain as depth, in one interval. (1 mm is 1 kg/m2.)
    Rain,
    /// A contact at a door, side vent or lid: 0 shut, 1 open.
    VentOpen,
    /// Voltage of a battery.
    BatteryVoltage,
}

/// What is fixed about a quantity.
struct Facts {
    name: &'static str,
    units: &'static [Unit],
    low: f64,
    high: f64,
}

/// A unit, and how its numbers become those of the quantity's first unit: `(v + before) * times / by`.
struct Unit {
    name: &'static str,
    before: f64,
    times: f64,
    by: f64,
}

const fn same(name: &'static str) -> Unit {
    times(name, 1.0)
}

const fn times(name: &'static str, times: f64) -> Unit {
    Unit { name, before: 0.0, times, by: 1.0 }
}

const fn over(name: &'static str, by: f64) -> Unit {
    Unit { name, before: 0.0, times: 1.0, by }
}

// "Cel" and "K" are SenML units (RFC 8428, section 12.1); "degF" is none and is there for other makers' devices.
const TEMPERATURE: &[Unit] = &[
    same("Cel"),
    Unit { name: "K", before: -273.15, times: 1.0, by: 1.0 },
    Unit { name: "degF", before: -32.0, times: 5.0, by: 9.0 },
];
const HUMIDITY: &[Unit] = &[same("%RH")];
// "/" is a ratio; "%" is a SenML unit that is advised against, "/100" its secondary form (RFC 8798).
const RATIO: &[Unit] = &[same("/"), over("%", 100.0), over("/100", 100.0)];
// Energy on an area in an hour, as the mean power in that hour. 1 ly (langley) is 1 cal of 4.184 J on 1 cm2, so 41840 J/m2.
const RADIATION: &[Unit] = &[
    same("W/m2"),
    Unit { name: "MJ/m2/h", before: 0.0, times: 1.0e6, by: 3600.0 },
    Unit { name: "J/cm2/h", before: 0.0, times: 1.0e4, by: 3600.0 },
    Unit { name: "ly/h", before: 0.0, times: 41_840.0, by: 3600.0 },
];
const ILLUMINANCE: &[Unit] = &[same("lx")];
const PRESSURE: &[Unit] = &[same("Pa"), times("hPa", 100.0), times("kPa", 1000.0)];
// "kn": the international knot, 1852 m in an hour.
const SPEED: &[Unit] = &[
    same("m/s"),
    over("km/h", 3.6),
    times("mph", 0.44704),
    Unit { name: "kn", before: 0.0, times: 1852.0, by: 3600.0 },
];
// An inch is 25.4 mm by definition (international inch, 1959).
const DEPTH: &[Unit] = &[same("mm"), same("kg/m2"), times("m", 1000.0), times("in", 25.4)];
const CONTACT: &[Unit] = &[same("/")];
const VOLTAGE: &[Unit] = &[same("V"), over("mV", 1000.0)];

impl Quantity {
    /// All quantities.
    pub const ALL: [Quantity; 13] = [
        Quantity::AirTemperature,
        Quantity::AirHumidity,
        Quantity::SoilTemperature,
        Quantity::LeafTemperature,
        Quantity::SoilMoisture,
        Quantity::LeafWetness,
        Quantity::Light,
        Quantity::Illuminance,
        Quantity::AirPressure,
        Quantity::WindSpeed,
        Quantity::Rain,
        Quantity::VentOpen,
        Quantity::BatteryVoltage,
    ];

    const fn facts(self) -> Facts {
        match self {
            // Climate sheet, section 7: -40 to 80 °C is what a sensor of this kind can say.
            Quantity::AirTemperature => Facts { name: "air-temperature", units: TEMPERATURE, low: -40.0, high: 80.0 },
            // Climate sheet, sections 1.5 and 7: above 105 % is refused, 100 to 105 kept and used as 100.
            Quantity::AirHumidity => Facts { name: "air-humidity", units: HUMIDITY, low: 0.0, high: 105.0 },
            // Local: as the air below; above, room for a hot bed near boiling, so that the one-wire probe's power-on 85.0 is left to the marks,
            // which can tell it from a true 85 (troubles page 2). -127, its "disconnected", is outside (troubles page 3).
            Quantity::SoilTemperature => {
                Facts { name: "soil-temperature", units: TEMPERATURE, low: -40.0, high: 100.0 }
            }
            // As the air.
            Quantity::LeafTemperature => Facts { name: "leaf-temperature", units: TEMPERATURE, low: -40.0, high: 80.0 },
            // By definition.
            Quantity::SoilMoisture => Facts { name: "soil-moisture", units: RATIO, low: 0.0, high: 1.0 },
            // By definition.
            Quantity::LeafWetness => Facts { name: "leaf-wetness", units: RATIO, low: 0.0, high: 1.0 },
            // Local: sunlight above the air is 1361 W/m2 and cloud edges exceed the clear sky; some sensors read a little below 0 at night.
            Quantity::Light => Facts { name: "light", units: RADIATION, low: -20.0, high: 1600.0 },
            // Local: full sun is about 120,000 lx.
            Quantity::Illuminance => Facts { name: "illuminance", units: ILLUMINANCE, low: 0.0, high: 200_000.0 },
            // Local: from about 4,400 m up to above the highest pressure at sea level.
            Quantity::AirPressure => Facts { name: "air-pressure", units: PRESSURE, low: 58_000.0, high: 110_000.0 },
            // Local: no tunnel stands in 75 m/s.
            Quantity::WindSpeed => Facts { name: "wind-speed", units: SPEED, low: 0.0, high: 75.0 },
            // Local: more than any day's rain in a maritime climate.
            Quantity::Rain => Facts { name: "rain", units: DEPTH, low: 0.0, high: 500.0 },
            // By definition.
            Quantity::VentOpen => Facts { name: "vent-open", units: CONTACT, low: 0.0, high: 1.0 },
            // Local: extra-low voltage only (embedded page, section 5); 0 is said by devices without the divider.
            Quantity::BatteryVoltage => Facts { name: "battery-voltage", units: VOLTAGE, low: 0.0, high: 60.0 },
        }
    }

    /// Its name, which is also the stem of its channels, such as `soil-temperature`.
    pub const fn name(self) -> &'static str {
        self.facts().name
    }

    /// The quantity of that name.
    pub fn from_name(name: &str) -> Option<Quantity> {
        Quantity::ALL.into_iter().find(|quantity| quantity.name() == name)
    }

    /// The quantity of a channel and its number there: a name, and behind it, where a board has several, `-1` to `-99`; 0 where no number stands.
    pub fn from_channel(channel: &str) -> Option<(Quantity, u8)> {
        if let Some(quantity) = Quantity::from_name(channel) {
            return Some((quantity, 0));
        }
        let (stem, digits) = channel.rsplit_once('-')?;
        let well = matches!(digits.len(), 1..=2) && !digits.starts_with('0');
        let number = if well && digits.bytes().all(|digit| digit.is_ascii_digit()) {
            digits.parse().ok()?
        } else {
            return None;
        };
        Some((Quantity::from_name(stem)?, number))
    }

    /// The unit its numbers have inside, and in which our boards send it: a SenML unit (RFC 8428, section 12.1; `mm` by RFC 8798).
    pub const fn unit(self) -> &'static str {
        self.facts().units[0].name
    }

    /// Whether numbers in `unit` can be read as this quantity.
    pub fn accepts_unit(self, unit: &str) -> bool {
        self.units().any(|accepted| accepted == unit)
    }

    /// The units that can be read as this quantity, the one of [`Quantity::unit`] first.
    pub fn units(self) -> impl Iterator<Item = &'static str> {
        self.facts().units.iter().map(|unit| unit.name)
    }

    /// `value` in `unit` as a number in [`Quantity::unit`]; `None` where the unit is not accepted or the result is not finite.
    pub fn to_base(self, value: f64, unit: &str) -> Option<f64> {
        let unit = self.facts().units.iter().find(|accepted| accepted.name == unit)?;
        let base = (value + unit.before) * unit.times / unit.by;
        base.is_finite().then_some(base)
    }

    /// What can be meant, both ends included, in [`Quantity::unit`]. A number outside is a fault of sensor, wire or program, never weather; it is
    /// refused. What is inside may still be wrong: the server's marks say so.
    pub const fn hard_range(self) -> (f64, f64) {
        let facts = self.facts();
        (facts.low, facts.high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::format;
    use std::string::String;
    use std::vec::Vec;

    #[test]
    fn names_are_kebab_case_and_different_and_read_back() {
        for quantity in Quantity::ALL {
            let name = quantity.name();
            assert!(name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-'), "{name}");
            assert_eq!(Quantity::from_name(name), Some(quantity));
            assert_eq!(Quantity::from_channel(name), Some((quantity, 0)));
            assert_eq!(Quantity::from_channel(&format!("{name}-99")), Some((quantity, 99)));
            assert!(quantity.hard_range().0 < quantity.hard_range().1);
        }
    }

    #[test]
    fn from_channel_with_a_number_or_rubbish() {
        assert_eq!(Quantity::from_channel("soil-temperature-2"), Some((Quantity::SoilTemperature, 2)));
        for channel in [
            "",
            "soil",
            "soil-temperature-",
            "soil-temperature-0",
            "soil-temperature-02",
            "soil-temperature-100",
            "soil-temperature-a",
            "soil-temperature-+2",
            "soil-temperature--2",
            "Soil-temperature",
            "soil-temperature-2-2",
            "-2",
        ] {
            assert_eq!(Quantity::from_channel(channel), None, "{channel}");
        }
    }

    #[test]
    fn to_base_known_pairs() {
        let close = |quantity: Quantity, value, unit, expected: f64| {
            let base = quantity.to_base(value, unit).unwrap();
            assert!((base - expected).abs() < 1e-9, "{value} {unit} -> {base}");
        };
        // Troubles page 15: 46.4 degF is 8.0; troubles page 3: -196.6 degF is -127.
        close(Quantity::AirTemperature, 46.4, "degF", 8.0);
        close(Quantity::SoilTemperature, -196.6, "degF", -127.0);
        close(Quantity::AirTemperature, 273.15, "K", 0.0);
        close(Quantity::AirPressure, 1013.25, "hPa", 101_325.0);
        close(Quantity::AirPressure, 101.325, "kPa", 101_325.0);
        close(Quantity::WindSpeed, 36.0, "km/h", 10.0);
        // The international knot: 1852 m in 3600 s.
        close(Quantity::WindSpeed, 9.0, "kn", 4.63);
        // 3.6 MJ, 360 J on each cm2 and 86.0421 ly (of 41840 J/m2) in an hour are each 1000 W for an hour.
        close(Quantity::Light, 3.6, "MJ/m2/h", 1000.0);
        close(Quantity::Light, 360.0, "J/cm2/h", 1000.0);
        close(Quantity::Light, 3.6e6 / 41_840.0, "ly/h", 1000.0);
        close(Quantity::Light, 45.0, "ly/h", 523.0);
        close(Quantity::SoilMoisture, 24.0, "%", 0.24);
        close(Quantity::Rain, 0.0002, "m", 0.2);
        close(Quantity::Rain, 0.5, "in", 12.7);
        close(Quantity::BatteryVoltage, 3910.0, "mV", 3.91);
    }

    #[test]
    fn to_base_in_the_own_unit_changes_nothing() {
        for quantity in Quantity::ALL {
            for value in [quantity.hard_range().0, 0.1, quantity.hard_range().1] {
                assert_eq!(quantity.to_base(value, quantity.unit()), Some(value));
            }
        }
    }

    #[test]
    fn units_of_another_quantity_are_not_accepted() {
        assert!(!Quantity::AirHumidity.accepts_unit("Cel"));
        assert!(!Quantity::AirHumidity.accepts_unit("%"));
        assert!(!Quantity::Light.accepts_unit("lx"));
        assert!(!Quantity::Illuminance.accepts_unit("W/m2"));
        assert!(!Quantity::AirTemperature.accepts_unit("C"));
        assert_eq!(Quantity::AirTemperature.units().collect::<Vec<_>>(), ["Cel", "K", "degF"]);
        assert_eq!(Quantity::AirTemperature.to_base(5.0, "V"), None);
        assert_eq!(Quantity::AirPressure.to_base(1e308, "kPa"), None);
        assert_eq!(Quantity::AirTemperature.to_base(f64::NAN, "Cel"), None);
    }

    #[test]
    fn hard_range_leaves_out_what_the_troubles_page_names() {
        let outside = |quantity: Quantity, value: f64| {
            let (low, high) = quantity.hard_range();
            !(low..=high).contains(&value)
        };
        assert!(outside(Quantity::SoilTemperature, -127.0));
        assert!(outside(Quantity::AirTemperature, -127.0));
        assert!(outside(Quantity::AirHumidity, 340.0));
        assert!(!outside(Quantity::SoilTemperature, 85.5));
        assert!(!outside(Quantity::AirHumidity, 103.1));
    }

    proptest! {
        #[test]
        fn prop_any_channel_never_panics_and_reads_back(text in prop_oneof![any::<String>(), "(rain|light|soil-temperature)-?[0-9]{0,3}"]) {
            if let Some((quantity, number)) = Quantity::from_channel(&text) {
                let again = if number == 0 { String::from(quantity.name()) } else { format!("{}-{number}", quantity.name()) };
                prop_assert_eq!(again, text);
            }
        }
    }
}
