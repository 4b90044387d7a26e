//! The words of a column's header, and those that name times, devices and intervals, in the languages that loggers commonly write: English, German,
//! French, Italian, Spanish and Dutch.

/// Which number of its interval a column's words name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stat {
    Min,
    Max,
    Mean,
    Sum,
}

/// The words of a header: in small letters without accents, split where letters meet digits and where a capital follows a small letter.
/// Short names that are written together (`Tair`, `Rhout`, `tmax`) are taken apart.
pub(super) fn words(header: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut word = String::new();
    let mut before = ' ';
    for letter in header.chars() {
        let ends = !letter.is_alphanumeric()
            || (letter.is_numeric() != before.is_numeric())
            || (letter.is_uppercase() && before.is_lowercase());
        if ends && !word.is_empty() {
            take_apart(std::mem::take(&mut word), &mut words);
        }
        if letter.is_alphanumeric() {
            plain(letter, &mut word);
        }
        before = letter;
    }
    if !word.is_empty() {
        take_apart(word, &mut words);
    }
    words
}

/// A letter in its small form without an accent.
fn plain(letter: char, to: &mut String) {
    for small in letter.to_lowercase() {
        match small {
            'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => to.push('a'),
            'è' | 'é' | 'ê' | 'ë' => to.push('e'),
            'ì' | 'í' | 'î' | 'ï' => to.push('i'),
            'ò' | 'ó' | 'ô' | 'õ' | 'ö' => to.push('o'),
            'ù' | 'ú' | 'û' | 'ü' => to.push('u'),
            'ç' => to.push('c'),
            'ñ' => to.push('n'),
            'ß' => to.push_str("ss"),
            'µ' | 'μ' => to.push('u'),
            '²' => to.push('2'),
            '³' => to.push('3'),
            other => to.push(other),
        }
    }
}

const SHORT: &[&str] = &["temp", "rh", "par", "hum", "rel", "abs", "t"];
const BEHIND_SHORT: &[&str] = &[
    "air", "in", "out", "inside", "outside", "soil", "leaf", "min", "max", "avg", "mean", "pipe", "ground", "canopy",
    "crop", "luft", "boden", "innen", "aussen", "hum", "f", "c",
];

/// Takes a short name written together apart, so that `tair` is `t` and `air`.
fn take_apart(word: String, to: &mut Vec<String>) {
    // A word of its own, although it could be taken apart.
    if !matches!(word.as_str(), "tin" | "tc" | "tf") {
        for short in SHORT {
            if let Some(rest) = word.strip_prefix(short).filter(|rest| BEHIND_SHORT.contains(rest)) {
                let rest = rest.to_owned();
                to.push((*short).to_owned());
                to.push(rest);
                return;
            }
        }
    }
    to.push(word);
}

/// Whether one of the words is on the list: `word` itself, `stem*` at its beginning, `*part*` within it.
pub(super) fn any(words: &[String], list: &[&str]) -> bool {
    words.iter().any(|word| {
        list.iter().any(|pattern| match (pattern.strip_prefix('*'), pattern.strip_suffix('*')) {
            (Some(_), Some(_)) => word.contains(pattern.trim_matches('*')),
            (None, Some(stem)) => word.starts_with(stem),
            _ => word == pattern,
        })
    })
}

/// Which number of its interval the words name.
pub(super) fn stat(words: &[String]) -> Option<Stat> {
    let has = |list: &[&str]| any(words, list);
    if has(&["min", "mini", "minim*", "tiefst*"]) {
        Some(Stat::Min)
    } else if has(&["max", "maxi", "maxim*", "hochst*"]) {
        Some(Stat::Max)
    } else if has(&["avg", "average*", "mean", "mittel*", "moyen*", "media", "medio", "gemiddeld*"]) {
        Some(Stat::Mean)
    } else if has(&["sum", "total*", "summe", "somme", "cumul*", "suma", "totaal", "accum*"]) {
        Some(Stat::Sum)
    } else {
        None
    }
}

/// Whether the words name the device that a row came from, and nothing else.
pub(super) fn names_device(words: &[String]) -> bool {
    const DEVICE: &[&str] = &[
        "station",
        "device",
        "logger",
        "sensor",
        "node",
        "probe",
        "mac",
        "deveui",
        "stationsname",
        "gerat",
        "appareil",
        "capteur",
        "dispositivo",
        "sensore",
        "estacion",
        "stazione",
        "sonde",
        "fuhler",
    ];
    const BESIDE: &[&str] = &["id", "name", "no", "nr", "number", "serial", "sn", "code", "eui"];
    any(words, DEVICE)
        && words.iter().all(|word| any(std::slice::from_ref(word), DEVICE) || BESIDE.contains(&word.as_str()))
        || words.len() <= 2
            && !words.is_empty()
            && words.iter().all(|word| matches!(word.as_str(), "serial" | "sn" | "id"))
}

/// Whether a row's running number is named.
pub(super) fn names_counter(words: &[String]) -> bool {
    !words.is_empty()
        && words.iter().all(|word| {
            matches!(
                word.as_str(),
                "read"
                    | "reading"
                    | "record"
                    | "row"
                    | "no"
                    | "nr"
                    | "num"
                    | "number"
                    | "index"
                    | "idx"
                    | "line"
                    | "seq"
                    | "sample"
                    | "lfd"
                    | "n"
            )
        })
}

/// A part of the time that a header's words name, and nothing else.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum TimeWord {
    Year,
    Month,
    Day,
    Hour,
    Minute,
    Clock,
    Any,
}

/// The part of the time that the words name.
pub(super) fn time_word(words: &[String]) -> Option<TimeWord> {
    let [only] = words else {
        let all = !words.is_empty()
            && any(
                words,
                &[
                    "date*",
                    "datum",
                    "time*",
                    "zeit*",
                    "timestamp",
                    "heure",
                    "fecha",
                    "tijd*",
                    "data",
                    "ora",
                    "hora",
                    "uhrzeit",
                    "horodat*",
                ],
            );
        return all.then_some(TimeWord::Any);
    };
    Some(match only.as_str() {
        "year" | "yr" | "yyyy" | "jahr" | "annee" | "anno" | "ano" | "jaar" => TimeWord::Year,
        "month" | "mon" | "mo" | "monat" | "mois" | "mese" | "mes" | "maand" => TimeWord::Month,
        "day" | "dd" | "tag" | "jour" | "giorno" | "dia" | "dag" => TimeWord::Day,
        "hour" | "hr" | "hh" | "std" | "stunde" | "heure" | "ora" | "hora" | "uur" => TimeWord::Hour,
        "minute" | "min" | "mn" | "minuto" | "minuut" => TimeWord::Minute,
        "hhmm" | "clock" | "uhrzeit" | "tijd" => TimeWord::Clock,
        "time" | "zeit" | "timestamp" | "date" | "datum" | "fecha" | "data" | "datetime" | "ts" | "epoch" | "unix"
        | "unixtime" | "temps" | "tempo" | "tiempo" | "horodatage" | "zeitstempel" | "zeitpunkt" | "tijdstip"
        | "moment" => TimeWord::Any,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_split_and_folded() {
        for (header, expected) in [
            ("Temperature 1", "temperature 1"),
            ("WindSpeed_ms", "wind speed ms"),
            ("temp_soil_5cm", "temp soil 5 cm"),
            ("Tout ", "t out"),
            ("Tair_crop", "t air crop"),
            ("Rhair", "rh air"),
            ("PARin", "par in"),
            ("tmax", "t max"),
            ("tempf", "temp f"),
            ("Bodenfeuchte", "bodenfeuchte"),
            ("Blattnässe", "blattnasse"),
            ("Température de l'air", "temperature de l air"),
            ("  ", ""),
        ] {
            assert_eq!(words(header).join(" "), expected, "{header}");
        }
    }

    #[test]
    fn stat_of_the_interval() {
        for (header, expected) in [
            ("Temp min", Some(Stat::Min)),
            ("tmax", Some(Stat::Max)),
            ("Temperatura media", Some(Stat::Mean)),
            ("RadSum", Some(Stat::Sum)),
            ("Temperature", None),
        ] {
            assert_eq!(stat(&words(header)), expected, "{header}");
        }
    }

    #[test]
    fn device_and_counter_by_name_alone() {
        for (header, device, counter) in [
            ("station", true, false),
            ("Device ID", true, false),
            ("Logger", true, false),
            ("Sensor 1 Temperature", false, false),
            ("Serial", true, false),
            ("Read_NO", false, true),
            ("#", false, false),
            ("No.", false, true),
        ] {
            assert_eq!((names_device(&words(header)), names_counter(&words(header))), (device, counter), "{header}");
        }
    }
}
