//! The unit that a header names, and what the program calls it.

use propstick_wire::Quantity;

use super::words::{any, words};

/// A unit that a header names: the program's word for it, or the unit as written where no quantity of ours has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Told {
    /// The unit, such as `Cel`; see [`told`].
    pub unit: &'static str,
    /// As it stands in the header.
    pub written: String,
}

/// Every unit that is known by name: the program's word for it, and how it is written, in small letters without blanks, dots and accents.
const NAMES: &[(&str, &[&str])] = &[
    (
        "Cel",
        &[
            "°c",
            "ºc",
            "˚c",
            "degc",
            "degreesc",
            "celsius",
            "degcelsius",
            "degreescelsius",
            "cel",
            "c",
            "gradc",
            "grc",
            "oc",
        ],
    ),
    ("degF", &["°f", "ºf", "˚f", "degf", "degreesf", "fahrenheit", "degfahrenheit", "degreesfahrenheit", "f"]),
    ("K", &["k", "kelvin"]),
    (
        "%",
        &["%", "%rh", "rh%", "pct", "percent", "prozent", "%rf", "%hr", "%ur", "%rv", "/100", "%vwc", "vol%", "%vol"],
    ),
    ("/", &["m3/m3", "m^3/m^3", "m3m-3", "cm3/cm3", "0-1", "m3m3"]),
    ("W/m2", &["w/m2", "wm2", "w/m^2", "wm-2", "watt/m2", "w/sqm"]),
    ("MJ/m2", &["mj/m2", "mjm2", "mj/m^2", "mjm-2"]),
    ("MJ/m2/h", &["mj/m2/h", "mj/m2h", "mj/(m2h)", "mjm-2h-1"]),
    ("J/cm2", &["j/cm2", "jcm2", "j/cm^2", "jcm-2"]),
    ("J/cm2/h", &["j/cm2/h", "j/cm2h"]),
    ("ly", &["ly", "langley", "langleys"]),
    ("ly/h", &["ly/h", "ly/hr", "ly/hour", "langley/h", "langleys/hour"]),
    ("lx", &["lx", "lux"]),
    ("klx", &["klx", "klux"]),
    ("PAR", &["umol/m2/s", "umolm2s", "umol/m2s", "umolm-2s-1", "umol/s/m2", "ue", "umol/(m2s)", "umol/m^2/s"]),
    ("hPa", &["hpa", "mbar", "mb"]),
    ("kPa", &["kpa"]),
    ("Pa", &["pa"]),
    ("inHg", &["inhg"]),
    ("mmHg", &["mmhg", "torr"]),
    ("m/s", &["m/s", "ms-1", "ms", "mps", "m/sec"]),
    ("km/h", &["km/h", "kmh", "kph", "kmph"]),
    ("mph", &["mph", "mi/h", "miles/h"]),
    ("kn", &["kn", "kt", "kts", "knots", "knot", "knoten"]),
    ("mm", &["mm", "l/m2", "lm2", "kg/m2"]),
    ("mm/h", &["mm/h", "mm/hr", "mmh"]),
    ("m", &["m"]),
    ("in", &["in", "inch", "inches", "\""]),
    ("V", &["v", "volt", "volts"]),
    ("mV", &["mv"]),
    ("deg", &["°", "deg", "degrees"]),
    ("g/m3", &["g/m3", "gm3", "g/m^3"]),
];

/// The unit of that name, if it is one.
pub(super) fn named(text: &str) -> Option<&'static str> {
    let mut small = String::with_capacity(text.len());
    for letter in text.trim().chars().filter(|letter| !letter.is_whitespace() && !matches!(letter, '.' | '·' | '*')) {
        match letter {
            '²' => small.push('2'),
            '³' => small.push('3'),
            '⁻' => small.push('-'),
            '¹' => small.push('1'),
            'µ' | 'μ' => small.push('u'),
            other => small.extend(other.to_lowercase()),
        }
    }
    NAMES.iter().find(|(_, names)| names.contains(&small.as_str())).map(|(unit, _)| *unit)
}

/// A header without its unit, and the unit: in brackets, behind a comma, or as its last words (`Temp degF`, `rain_mm`, `RH %`).
pub(super) fn split(header: &str) -> (String, Option<Told>) {
    if let Some((name, told)) = bracketed(header).or_else(|| behind_comma(header)).or_else(|| last_words(header)) {
        return (name, Some(told));
    }
    (header.to_owned(), None)
}

fn bracketed(header: &str) -> Option<(String, Told)> {
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}'), ('<', '>')] {
        let Some(start) = header.find(open) else { continue };
        // The outermost pair: `(umol/(m2 s))`.
        let Some(end) = header.rfind(close).filter(|end| *end > start) else { continue };
        let (Some(inner), Some(before), Some(after)) =
            (header.get(start + open.len_utf8()..end), header.get(..start), header.get(end + close.len_utf8()..))
        else {
            continue;
        };
        if let Some(unit) = named(inner) {
            return Some((format!("{before} {after}"), Told { unit, written: inner.trim().to_owned() }));
        }
    }
    None
}

fn behind_comma(header: &str) -> Option<(String, Told)> {
    let (name, behind) = header.split_once(',')?;
    let first = behind.trim().split([',', '(', ';']).next()?.trim();
    let unit = named(first)?;
    Some((name.to_owned(), Told { unit, written: first.to_owned() }))
}

/// The unit as the last words. A unit of one letter counts there only behind an underscore or for °C and °F: `wind_ms`, `battery_v`, `temp_c`.
fn last_words(header: &str) -> Option<(String, Told)> {
    let header = header.trim();
    let cuts = header.char_indices().filter(|(_, letter)| matches!(letter, ' ' | '_' | '-')).map(|(at, _)| at);
    for at in cuts {
        let (Some(name), Some(tail)) = (header.get(..at), header.get(at + 1..)) else { continue };
        let tail = tail.trim();
        let joined = tail.replace('_', "/");
        let Some(unit) = named(tail).or_else(|| named(&joined)) else { continue };
        // "temp_in" is the temperature inside, and "Sensor V" the fifth of them.
        let is_letter = tail.len() == 1 && tail.bytes().all(|byte| byte.is_ascii_alphabetic());
        let is_stuck = header.as_bytes().get(at) == Some(&b'_');
        let name_says = |list: &[&str]| any(&words(name), list);
        if (unit == "in" && !name_says(&["rain*", "precip*"]))
            || (is_letter && !is_stuck && !(matches!(tail, "C" | "F") && name_says(&["t", "temp*", "*temperat*"])))
        {
            continue;
        }
        return Some((name.to_owned(), Told { unit, written: tail.to_owned() }));
    }
    // "tempf", "Temperatur°C": stuck to the name.
    for sign in ["°C", "°F", "ºC", "ºF", "%"] {
        if let Some(name) = header.strip_suffix(sign) {
            return named(sign).map(|unit| (name.to_owned(), Told { unit, written: sign.to_owned() }));
        }
    }
    let split = words(header);
    match split.as_slice() {
        [first, last] if first == "temp" && (last == "c" || last == "f") => {
            named(last).map(|unit| (first.clone(), Told { unit, written: last.clone() }))
        }
        _ => None,
    }
}

/// Whether a unit is one of radiation.
pub(super) fn is_power(unit: &str) -> bool {
    matches!(unit, "W/m2" | "MJ/m2" | "MJ/m2/h" | "J/cm2" | "J/cm2/h" | "ly" | "ly/h")
}

/// What a unit named in a header is called for a quantity, where each number stands for `step_s` seconds.
///
/// # Errors
/// Why the column cannot be read in it.
pub(super) fn wire(quantity: Quantity, unit: &str, step_s: Option<i64>) -> Result<&'static str, String> {
    let hourly = step_s == Some(3600);
    let called = match (quantity, unit) {
        (Quantity::AirHumidity, "%") => "%RH",
        (Quantity::Light, "MJ/m2") if hourly => "MJ/m2/h",
        (Quantity::Light, "J/cm2") if hourly => "J/cm2/h",
        (Quantity::Light, "ly") if hourly => "ly/h",
        (Quantity::Rain, "mm/h") if hourly => "mm",
        (_, other) => other,
    };
    if let Some(known) = quantity.units().find(|known| *known == called) {
        return Ok(known);
    }
    let allowed: Vec<&str> = quantity.units().collect();
    Err(format!("{} cannot be read as {}; it can be read in {}", spoken(unit), quantity.name(), allowed.join(", ")))
}

/// A unit as a grower writes it.
pub(super) fn spoken(unit: &str) -> &str {
    match unit {
        "Cel" => "°C",
        "degF" => "°F",
        "%RH" | "/100" => "%",
        "/" => "a ratio from 0 to 1",
        "kn" => "knots",
        "in" => "inches",
        "MJ/m2/h" => "MJ/m2 in the hour",
        "J/cm2/h" => "J/cm2 in the hour",
        "ly/h" => "langleys in the hour",
        "PAR" => "µmol/m2/s",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn split_finds_the_unit_wherever_it_stands() {
        for (header, name, unit) in [
            ("Temperature (°C)", "Temperature", Some("Cel")),
            ("Temp degF", "Temp", Some("degF")),
            ("RH %", "RH", Some("%")),
            ("[%]", "", Some("%")),
            ("Humidity [%]", "Humidity", Some("%")),
            ("Temp, °C (LGR S/N: 1, SEN S/N: 2)", "Temp", Some("Cel")),
            ("Water Content 1 (m³/m³)", "Water Content 1", Some("/")),
            (" PAR (µmol/m²/s)", "PAR", Some("PAR")),
            ("global_rad_wm2", "global_rad", Some("W/m2")),
            ("rain_mm", "rain", Some("mm")),
            ("wind_ms", "wind", Some("m/s")),
            ("wind_dir_deg", "wind_dir", Some("deg")),
            ("battery_v", "battery", Some("V")),
            ("tmax_c", "tmax", Some("Cel")),
            ("rs_mj_m2", "rs", Some("MJ/m2")),
            ("eto_mm_h", "eto", Some("mm/h")),
            ("tempf", "temp", Some("degF")),
            ("Temperatur°C", "Temperatur", Some("Cel")),
            ("rain_in", "rain", Some("in")),
            ("temp_in", "temp_in", None),
            ("Temp F", "Temp", Some("degF")),
            ("Sensor V", "Sensor V", None),
            ("Sensor C", "Sensor C", None),
            ("Temperature", "Temperature", None),
            ("temp_soil_5cm", "temp_soil_5cm", None),
            ("Date Time GMT+01:00", "Date Time GMT+01:00", None),
            ("Temp (soil)", "Temp (soil)", None),
            ("", "", None),
            ("(", "(", None),
            (")(", ")(", None),
        ] {
            let (left, told) = split(header);
            assert_eq!((left.trim(), told.map(|told| told.unit)), (name, unit), "{header}");
        }
    }

    #[test]
    fn wire_says_what_the_program_calls_it_or_why_not() {
        use Quantity as Q;
        assert_eq!(wire(Q::AirTemperature, "Cel", None), Ok("Cel"));
        assert_eq!(wire(Q::AirHumidity, "%", None), Ok("%RH"));
        assert_eq!(wire(Q::SoilMoisture, "%", None), Ok("%"));
        assert_eq!(wire(Q::Rain, "mm/h", Some(3600)), Ok("mm"));
        assert!(wire(Q::Rain, "mm/h", Some(600)).unwrap_err().starts_with("mm/h cannot be read as rain"));
        assert!(wire(Q::Light, "MJ/m2", Some(86_400)).is_err());
        assert!(wire(Q::AirTemperature, "%", None).is_err());
    }
}
