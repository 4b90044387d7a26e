//! Units that the numbers themselves tell, where only one can be meant.

use crate::wording::grouped;
use propstick_wire::Quantity;

use super::survey::Seen;
use super::units::spoken;

/// Fewer numbers than these tell nothing.
const LEAST: u64 = 24;

/// No garden's air or soil has so low a mean over four months (local ruling: below it nothing grows under cover).
const COLDEST_MEAN_C: f64 = -5.0;

/// No garden's air has so high a mean over four months, and no air at all the second.
const WARMEST_MEAN_C: f64 = 45.0;
const WARMEST_AIR_C: f64 = 60.0;

/// Days from which on a mean tells the unit of a temperature.
const DAYS: f64 = 120.0;

/// No place has so much rain in a year, in mm (the record is about 26,500 mm in twelve months, at Cherrapunji 1860/61; a garden is not there).
const WETTEST_YEAR_MM: f64 = 12_000.0;

/// Radiation that is reached under a bright sky; lower numbers might be sums of energy over the step in some unit.
const BRIGHT_W_M2: f64 = 600.0;

/// What the numbers say of the unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ByValues {
    /// Only this one can be meant, and why.
    Only(&'static str, String),
    /// These can be meant, the likeliest first.
    Several(Vec<&'static str>),
    /// None of ours can be meant, and why.
    None(String),
}

/// What the numbers of a column say of its unit. `days` is the length of the file, `step_s` its step.
pub(super) fn unit(quantity: Quantity, seen: &Seen, days: f64, step_s: Option<i64>) -> ByValues {
    match quantity {
        Quantity::AirTemperature | Quantity::LeafTemperature | Quantity::SoilTemperature => {
            temperature(quantity, seen, days)
        }
        Quantity::AirHumidity if seen.high <= 1.0 => ByValues::Several(vec!["%RH"]),
        Quantity::AirHumidity => ByValues::Only("%RH", "relative humidity is read in %".to_owned()),
        Quantity::SoilMoisture | Quantity::LeafWetness => ratio(seen),
        Quantity::Light => light(seen, step_s),
        Quantity::Illuminance => ByValues::Only("lx", "light as the eye weighs it is read in lux".to_owned()),
        Quantity::AirPressure => pressure(seen),
        Quantity::WindSpeed => ByValues::Several(vec!["m/s", "km/h", "mph", "kn"]),
        Quantity::Rain => rain(seen, days),
        Quantity::VentOpen if seen.low >= 0.0 && seen.high <= 1.0 && seen.whole == seen.numbers => {
            ByValues::Only("/", "0 is shut and 1 is open".to_owned())
        }
        Quantity::VentOpen => ByValues::None("a contact says 0 or 1, and other numbers stand here".to_owned()),
        Quantity::BatteryVoltage => battery(seen),
    }
}

fn temperature(quantity: Quantity, seen: &Seen, days: f64) -> ByValues {
    let both = ByValues::Several(vec!["Cel", "degF"]);
    let Some(middle) = seen.middle().filter(|_| seen.numbers >= LEAST) else { return both };
    let (low, high) = quantity.hard_range();
    if seen.quantile(0.05).is_some_and(|value| value >= 200.0) && seen.high < 400.0 {
        return ByValues::Only("K", format!("numbers around {middle:.0} are kelvin"));
    }
    let out_c = seen.share(|value| !(low..=high).contains(&value));
    let out_f = seen.share(|value| quantity.to_base(value, "degF").is_none_or(|base| !(low..=high).contains(&base)));
    if out_c > 0.02 && out_f < 0.002 {
        let why = format!(
            "{:.0} % of the numbers are above {high}, which no °C can be here (up to {})",
            out_c * 100.0,
            plain(seen.high)
        );
        return ByValues::Only("degF", why);
    }
    let middle_f_c = (middle - 32.0) / 1.8;
    if days >= DAYS && middle_f_c < COLDEST_MEAN_C && (COLDEST_MEAN_C..=WARMEST_MEAN_C).contains(&middle) {
        let why =
            format!("the mean of {days:.0} days is {middle:.1}: as °F that would be {middle_f_c:.0} °C all the time");
        return ByValues::Only("Cel", why);
    }
    let is_compost = quantity == Quantity::SoilTemperature;
    if !is_compost && (middle > WARMEST_AIR_C || (days >= DAYS && middle > WARMEST_MEAN_C)) {
        return ByValues::Only("degF", format!("the mean is {middle:.1}: no garden's mean in °C"));
    }
    both
}

fn ratio(seen: &Seen) -> ByValues {
    let Some(most) = seen.quantile(0.99) else { return ByValues::Several(vec!["/", "%"]) };
    if most > 100.5 {
        ByValues::None(format!("numbers up to {} are neither a ratio nor per cent", seen.high))
    } else if most > 1.0 {
        ByValues::Only("%", format!("numbers up to {} are no ratio from 0 to 1, but per cent", seen.high))
    } else if seen.numbers >= LEAST && seen.quantile(0.95).is_some_and(|most| most > 0.04) {
        ByValues::Only("/", format!("numbers up to {} are a ratio from 0 to 1", seen.high))
    } else {
        ByValues::Several(vec!["/", "%"])
    }
}

fn light(seen: &Seen, step_s: Option<i64>) -> ByValues {
    let (_, most_w) = Quantity::Light.hard_range();
    let fits = |unit: &&'static str| {
        let highest = Quantity::Light.to_base(seen.quantile(0.999).unwrap_or(seen.high), unit);
        highest.is_some_and(|highest| highest <= most_w)
    };
    let units = ["W/m2", "MJ/m2/h", "J/cm2/h", "ly/h"];
    let is_hourly = step_s == Some(3600);
    let mut possible: Vec<&'static str> =
        units.into_iter().filter(|unit| is_hourly || *unit == "W/m2").filter(fits).collect();
    // The likeliest makes a bright hour out of the highest number.
    possible.sort_by_key(|unit| {
        let highest = Quantity::Light.to_base(seen.high, unit).unwrap_or(0.0);
        ((highest - 900.0).abs() / 10.0) as i64
    });
    match possible.as_slice() {
        [] => ByValues::None(format!("numbers up to {} are no radiation in a unit that is read here", seen.high)),
        ["W/m2"] if seen.high >= BRIGHT_W_M2 => ByValues::Only(
            "W/m2",
            format!(
                "numbers up to {} can only be W/m2: in the other units that are read here it would be more than the sun gives",
                plain(seen.high)
            ),
        ),
        _ => ByValues::Several(possible),
    }
}

fn pressure(seen: &Seen) -> ByValues {
    let (low, high) = Quantity::AirPressure.hard_range();
    let middle = seen.quantile(0.5);
    let unit = ["Pa", "hPa", "kPa"].into_iter().find(|unit| {
        let base = middle.and_then(|middle| Quantity::AirPressure.to_base(middle, unit));
        base.is_some_and(|base| (low..=high).contains(&base))
    });
    match unit {
        Some(unit) => {
            ByValues::Only(unit, format!("numbers around {:.0} can only be {unit}", middle.unwrap_or_default()))
        }
        None => ByValues::None(format!(
            "numbers around {:.1} are no pressure of the air in a unit that is read here",
            middle.unwrap_or_default()
        )),
    }
}

fn rain(seen: &Seen, days: f64) -> ByValues {
    let mean = seen.mean().unwrap_or(0.0);
    let in_a_year = mean * seen.numbers as f64 * 365.25 / days.max(1.0);
    let mut possible = vec!["mm"];
    let is_long = days >= 30.0 && seen.numbers >= LEAST;
    if !(is_long && in_a_year * 25.4 > WETTEST_YEAR_MM) && seen.high * 25.4 <= 500.0 {
        possible.push("in");
    }
    if seen.high < 0.5 && !(is_long && in_a_year * 1000.0 > WETTEST_YEAR_MM) {
        possible.push("m");
    }
    if possible.len() > 1 {
        return ByValues::Several(possible);
    }
    let why = format!(
        "{} in {days:.0} days: as inches that would be {} mm, more than falls anywhere",
        grouped((mean * seen.numbers as f64).round() as u64),
        grouped((mean * seen.numbers as f64 * 25.4).round() as u64)
    );
    ByValues::Only("mm", why)
}

fn battery(seen: &Seen) -> ByValues {
    let middle = seen.quantile(0.5).unwrap_or(0.0);
    if middle >= 1000.0 && seen.high <= 60_000.0 {
        ByValues::Only("mV", format!("numbers around {middle:.0} can only be mV"))
    } else if seen.whole < seen.numbers && seen.high <= 30.0 {
        ByValues::Only("V", format!("numbers up to {} with decimals are V", seen.high))
    } else {
        ByValues::Several(vec!["V", "mV"])
    }
}

/// The numbers of a column in words: evidence for a question.
pub(super) fn range(seen: &Seen) -> String {
    match seen.quantile(0.5) {
        Some(_) if seen.low == seen.high => format!("it is {} in every row", plain(seen.low)),
        Some(middle) => {
            format!("numbers from {} to {}, half of them up to {}", plain(seen.low), plain(seen.high), plain(middle))
        }
        None => "it has no numbers".to_owned(),
    }
}

/// What a high number would be in each unit.
pub(super) fn highest_in(quantity: Quantity, seen: &Seen, units: &[&'static str]) -> String {
    // Not the highest of all where there are many: that may be a fault.
    let (high, which) = match seen.quantile(0.99).filter(|_| seen.numbers >= 200) {
        Some(high) => (high, "99 of 100 are up to"),
        None => (seen.high, "the highest is"),
    };
    let each: Vec<String> = units
        .iter()
        .filter_map(|unit| quantity.to_base(high, unit).map(|base| (unit, base)))
        .map(|(unit, base)| {
            let so = if *unit == quantity.unit() {
                "as it is".to_owned()
            } else {
                format!("{base:.1} {}", spoken(quantity.unit()))
            };
            format!("in {} {so}", spoken(unit))
        })
        .collect();
    format!("{which} {}: {}", plain(high), each.join(", "))
}

/// A number with at most two decimals.
pub(super) fn plain(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
