//! What the program keeps figures of: the quantities that are measured, and those worked out from them at the same instant.

use propstick_wire::quantity::Quantity;

/// A quantity of which hours and days are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// Measured as it is.
    Direct(Quantity),
    /// Dew point over water, °C, from air temperature and humidity.
    DewPoint,
    /// Vapour pressure, kPa.
    VapourPressure,
    /// Vapour pressure deficit of the air, kPa.
    VapourPressureDeficit,
    /// Absolute humidity, g/m³.
    AbsoluteHumidity,
}

impl Measure {
    /// Those worked out from air temperature and humidity.
    pub const OF_AIR: [Measure; 4] =
        [Measure::DewPoint, Measure::VapourPressure, Measure::VapourPressureDeficit, Measure::AbsoluteHumidity];

    /// Its name in addresses and stores, such as `dew-point`.
    pub fn name(self) -> &'static str {
        match self {
            Measure::Direct(q) => q.name(),
            Measure::DewPoint => "dew-point",
            Measure::VapourPressure => "vapour-pressure",
            Measure::VapourPressureDeficit => "vapour-pressure-deficit",
            Measure::AbsoluteHumidity => "absolute-humidity",
        }
    }

    /// Its unit as said to people.
    pub fn unit(self) -> &'static str {
        match self {
            Measure::Direct(q) => match q.unit() {
                "Cel" => "°C",
                "%RH" => "%RH",
                other => other,
            },
            Measure::DewPoint => "°C",
            Measure::VapourPressure | Measure::VapourPressureDeficit => "kPa",
            Measure::AbsoluteHumidity => "g/m³",
        }
    }

    /// The measure of that name.
    pub fn from_name(name: &str) -> Option<Measure> {
        if let Some(found) = Measure::OF_AIR.into_iter().find(|m| m.name() == name) {
            return Some(found);
        }
        let (quantity, _) = Quantity::from_channel(name)?;
        (quantity.name() == name).then_some(Measure::Direct(quantity))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn name_of_every_measure_leads_back_to_it() {
        for m in Measure::OF_AIR {
            assert_eq!(Measure::from_name(m.name()), Some(m));
        }
        let air = Measure::from_name("air-temperature").unwrap();
        assert_eq!((air.name(), air.unit()), ("air-temperature", "°C"));
        assert_eq!(Measure::from_name("soil-temperature-2"), None);
        assert_eq!(Measure::from_name("brightness of spirit"), None);
    }
}
