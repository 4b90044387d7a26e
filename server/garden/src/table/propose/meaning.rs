//! What the words of a column's header measure, and what is left out for its name, in the languages of [`super::words`].

use propstick_wire::Quantity;

use super::words::any;

/// What the words of a header say of its column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Meaning {
    /// A measured quantity.
    Measures(Quantity),
    /// Something that is not kept, with the reason.
    LeftOut(&'static str),
    /// Nothing that is known here.
    Unknown,
}

const TEMPERATURE: &[&str] = &["temp", "temper*", "*temperat*", "tmp", "t", "ta"];
const HUMIDITY: &[&str] = &[
    "humid*",
    "rh",
    "rhum",
    "hum",
    "rf",
    "hr",
    "ur",
    "rv",
    "umid*",
    "humed*",
    "*feucht*",
    "*vochtig*",
    "relhum",
    "hygro*",
];
const SOIL: &[&str] = &[
    "soil*",
    "ground",
    "boden*",
    "erde",
    "erd",
    "terreno",
    "suolo",
    "suelo",
    "tierra",
    "bodem*",
    "grond*",
    "substrat*",
    "root*",
    "wurzel*",
    "compost*",
    "bed",
    "sol",
];
const MOISTURE: &[&str] =
    &["moist*", "vwc", "theta", "vocht", "*feucht*", "humid*", "umid*", "humed*", "*vochtig*", "*vocht"];
const LEAF: &[&str] = &[
    "leaf", "leaves", "plant", "foliage", "blatt*", "feuille*", "foliaire", "foglia*", "fogliare", "hoja*", "foliar",
    "blad*", "pflanze*", "plante", "pianta", "planta",
];
const WET: &[&str] =
    &["wet*", "*nasse", "*naesse", "*nass", "mouill*", "humect*", "bagnat*", "mojad*", "*nat", "natheid", "*feucht*"];
const RAIN: &[&str] =
    &["rain*", "precip*", "regen*", "niederschlag*", "pluie*", "pioggia", "lluvia*", "neerslag", "pluvio*", "pluviom*"];
const WIND: &[&str] = &["wind*", "wdsp", "wspd", "wsp", "vento", "viento", "anemo*"];
const SPEED: &[&str] = &["sp", "spd", "speed", "vel", "velocit*", "velocid*", "vitesse", "*geschwind*", "*snelheid"];
const DIRECTION: &[&str] =
    &["dir", "direct*", "direz*", "direcc*", "wddir", "wdir", "winddir", "*richtung", "*richting", "bearing"];
const GUST: &[&str] = &["gust*", "boe", "boen", "*boe", "*boen", "rafale*", "raffic*", "racha*", "*stoot*", "peak"];
const RADIATION: &[&str] = &[
    "radiat*",
    "irradian*",
    "solar",
    "rad",
    "srad",
    "glob",
    "iglob",
    "global*",
    "*strahlung*",
    "rayonn*",
    "radiaz*",
    "radiac*",
    "*straling*",
    "pyranom*",
    "ghi",
    "insol*",
];
const ILLUMINANCE: &[&str] = &[
    "lux",
    "illum*",
    "helligkeit",
    "beleucht*",
    "eclair*",
    "iluminan*",
    "verlicht*",
    "light",
    "licht",
    "lumiere",
    "luce",
    "luz",
    "brightness",
];
const PRESSURE: &[&str] = &[
    "press",
    "pressure",
    "luftdruck",
    "druck",
    "pression*",
    "pressione",
    "presion*",
    "luchtdruk",
    "druk",
    "baro*",
    "qfe",
];
const BATTERY: &[&str] = &["batt*", "vbat", "akku*", "accu*", "bater*", "bat"];
const DOOR: &[&str] = &["door*", "tur", "porte", "porta", "puerta", "deur"];

/// What a header's words mean. `says_power` tells that its unit is one of radiation, which a short name alone would not say.
pub(super) fn meaning(words: &[String], says_power: bool) -> Meaning {
    let has = |list: &[&str]| any(words, list);
    if let Some(why) = derived(words).or_else(|| not_kept(words)) {
        return Meaning::LeftOut(why);
    }
    let quantity = if has(BATTERY) && !has(TEMPERATURE) {
        Quantity::BatteryVoltage
    } else if (has(LEAF) && has(WET)) || has(&["leafwet*", "lws", "*blattnass*", "*blattnaess*", "*bladnat*"]) {
        Quantity::LeafWetness
    } else if (has(RADIATION) || (has(&["rs", "sr"]) && says_power)) && !has(TEMPERATURE) {
        Quantity::Light
    } else if has(RAIN) {
        Quantity::Rain
    } else if has(WIND) || (has(&["vent"]) && has(SPEED)) {
        Quantity::WindSpeed
    } else if has(TEMPERATURE) && has(LEAF) {
        Quantity::LeafTemperature
    } else if has(TEMPERATURE) && (has(SOIL) || has(&["*bodentemp*", "*bodemtemp*", "*erdtemp*"])) {
        Quantity::SoilTemperature
    } else if has(TEMPERATURE) {
        Quantity::AirTemperature
    } else if has(&["vwc", "bodemvocht*", "bodenfeucht*"])
        || water_content(words)
        || (has(SOIL) && (has(MOISTURE) || has(&["water"])))
    {
        Quantity::SoilMoisture
    } else if has(&["moisture"]) {
        // Moisture without a word for the soil: wood, grain and air have it too.
        return Meaning::Unknown;
    } else if has(HUMIDITY) {
        Quantity::AirHumidity
    } else if has(PRESSURE) {
        Quantity::AirPressure
    } else if has(ILLUMINANCE) {
        if says_power { Quantity::Light } else { Quantity::Illuminance }
    } else if has(DOOR) {
        Quantity::VentOpen
    } else {
        return Meaning::Unknown;
    };
    Meaning::Measures(quantity)
}

fn water_content(words: &[String]) -> bool {
    let both = |one: &[&str], other: &[&str]| any(words, one) && any(words, other);
    both(&["water"], &["content", "volumetric"])
        || both(&["wassergehalt"], &["wassergehalt"])
        || both(&["teneur", "contenu"], &["eau"])
        || both(&["contenuto"], &["acqua"])
        || both(&["contenido"], &["agua"])
        || any(words, &["watergehalte"])
}

/// Why a column is left out that follows from others.
fn derived(words: &[String]) -> Option<&'static str> {
    let has = |list: &[&str]| any(words, list);
    let both = |one: &[&str], other: &[&str]| has(one) && has(other);
    if has(&["dew*", "dewp", "taupunkt*", "rosee", "rugiada", "rocio", "dauwpunt*"]) {
        Some("the dew point follows from temperature and humidity; Propstick works it out itself")
    } else if both(&["abs", "absol*"], &["hum", "humid*", "umid*", "humed*", "*feucht*", "*vochtig*"]) {
        Some("the water in the air follows from temperature and humidity; Propstick works it out itself")
    } else if has(&["vpd", "*deficit*", "*defizit*", "humdef"]) || both(&["hum", "humid*"], &["def"]) {
        Some("the deficit follows from temperature and humidity; Propstick works it out itself")
    } else if both(&["wet"], &["bulb"]) || has(&["wetbulb", "feuchtkugel*", "*kugeltemp*"]) {
        Some("the wet-bulb temperature follows from temperature and humidity")
    } else if both(
        &["vapour", "vapor", "dampf*", "mixing", "specific"],
        &["pressure", "press", "ratio", "humid*", "*druck*"],
    ) {
        Some("it follows from temperature and humidity")
    } else if both(&["heat", "comfort"], &["index"])
        || both(&["wind"], &["chill*"])
        || has(&["windchill", "feels", "apparent", "gefuhlte", "humidex", "thsw", "thw"])
    {
        Some("it is a figure of how the air feels, worked out from others")
    } else if has(&["evapo*", "eto", "etr", "etos", "etrs", "etc"]) || (has(&["et"]) && words.len() <= 3) {
        Some("evaporation follows from the weather; it is no measurement of this kind of logger")
    } else if has(&["dd", "gdd", "hdd", "cdd"])
        || both(&["degree"], &["day", "days"])
        || both(&["growing", "heating", "cooling"], &["degree*", "day*"])
    {
        Some("degree-days follow from temperature; Propstick works them out itself")
    } else if has(&["msl", "mslp", "slp", "qnh", "qff"])
        || both(&["sea"], &["level"])
        || both(&["reduced", "relative", "rel", "reduziert*", "relativer"], PRESSURE)
    {
        Some("pressure reduced to sea level; Propstick keeps the pressure at the place itself")
    } else {
        None
    }
}

/// Why a column is left out that Propstick has no quantity for.
fn not_kept(words: &[String]) -> Option<&'static str> {
    let has = |list: &[&str]| any(words, list);
    let wind = has(WIND) || has(&["vent"]);
    if has(&["wddir", "wdir", "winddir*", "windricht*"])
        || (wind && has(DIRECTION))
        || (wind && has(&["deg", "degrees"]))
    {
        Some("the wind's direction is not kept")
    } else if has(GUST) && (wind || words.len() == 1) || has(&["windgust*", "windboe*", "windstoot*"]) {
        Some("gusts are not kept: they would pass for the speed of the wind")
    } else if has(&["par", "ppfd", "ppf", "dli", "quantum", "photosyn*"]) {
        Some("light as plants count it (PAR) is not kept: its number of photons is not a radiation in W/m2")
    } else if has(&["uv", "uva", "uvb", "uvi"]) {
        Some("ultraviolet light is not kept")
    } else if has(&["pyrgeo*", "longwave", "thermal", "net"]) && !has(TEMPERATURE) || (has(&["long"]) && has(&["wave"]))
    {
        Some("a balance of heat radiation is not the sun's radiation")
    } else if has(&["pipe", "heating", "heizung*", "rohr*", "chauffage", "boiler", "water"]) && has(TEMPERATURE) {
        Some("the temperature of a pipe or of water is neither air, soil nor leaf")
    } else if has(&[
        "vent", "vents", "ventlee", "ventwind", "window*", "fenster*", "luftung*", "screen", "scr", "curtain*",
        "shutter*",
    ]) && !has(SPEED)
    {
        Some("how far an opening or a screen stands open is not kept in per cent")
    } else if has(&["rate", "intensity", "intens*"]) && has(RAIN) {
        Some("the rate of rain follows from its depth in each interval")
    } else if has(&["doy", "julian"]) || (has(&["day"]) && has(&["year"]) && has(&["of"])) {
        Some("the day of the year says no more than the date")
    } else if has(&["lat", "latitude", "lon", "long", "longitude", "lng", "elev*", "altitude", "alt"]) {
        Some("a place, not a measurement")
    } else if has(&["rssi", "snr", "lqi", "signal*"]) {
        Some("the strength of a radio signal is not kept from files")
    } else if has(&["quality", "qc", "flag*", "status", "error*", "code", "ind"]) {
        Some("a code, not a measurement")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::super::words::words;
    use super::*;

    fn of(header: &str) -> Meaning {
        meaning(&words(header), false)
    }

    #[test]
    fn meaning_in_six_languages() {
        use Quantity as Q;
        for (header, expected) in [
            ("Temperature", Q::AirTemperature),
            ("Lufttemperatur", Q::AirTemperature),
            ("Température de l'air", Q::AirTemperature),
            ("Temperatura aria", Q::AirTemperature),
            ("Temperatura del aire", Q::AirTemperature),
            ("Luchttemperatuur", Q::AirTemperature),
            ("Tout", Q::AirTemperature),
            ("Relative Humidity", Q::AirHumidity),
            ("rhum", Q::AirHumidity),
            ("humid", Q::AirHumidity),
            ("Luftfeuchte", Q::AirHumidity),
            ("Luftfeuchtigkeit rel.", Q::AirHumidity),
            ("Humidité relative", Q::AirHumidity),
            ("Umidità relativa", Q::AirHumidity),
            ("Humedad relativa", Q::AirHumidity),
            ("Luchtvochtigheid", Q::AirHumidity),
            ("Soil Temperature", Q::SoilTemperature),
            ("Bodentemperatur", Q::SoilTemperature),
            ("Température du sol", Q::SoilTemperature),
            ("Temperatura del suolo", Q::SoilTemperature),
            ("Temperatura suelo", Q::SoilTemperature),
            ("Bodemtemperatuur", Q::SoilTemperature),
            ("Substrate temperature", Q::SoilTemperature),
            ("Plant Temperature", Q::LeafTemperature),
            ("Blatttemperatur", Q::LeafTemperature),
            ("Water Content 1", Q::SoilMoisture),
            ("Soil moisture", Q::SoilMoisture),
            ("Soil water (m3/m3)", Q::SoilMoisture),
            ("Bodenfeuchte", Q::SoilMoisture),
            ("Humidité du sol", Q::SoilMoisture),
            ("Umidità suolo", Q::SoilMoisture),
            ("Humedad del suelo", Q::SoilMoisture),
            ("Bodemvocht", Q::SoilMoisture),
            ("leaf_wetness", Q::LeafWetness),
            ("Blattnässe", Q::LeafWetness),
            ("Humectation foliaire", Q::LeafWetness),
            ("Bagnatura fogliare", Q::LeafWetness),
            ("rain", Q::Rain),
            ("Niederschlag", Q::Rain),
            ("Pluie", Q::Rain),
            ("Pioggia", Q::Rain),
            ("Lluvia", Q::Rain),
            ("Neerslag", Q::Rain),
            ("precip", Q::Rain),
            ("wdsp", Q::WindSpeed),
            ("Windsp", Q::WindSpeed),
            ("Windgeschwindigkeit", Q::WindSpeed),
            ("Vitesse du vent", Q::WindSpeed),
            ("Velocità vento", Q::WindSpeed),
            ("Windsnelheid", Q::WindSpeed),
            ("Iglob", Q::Light),
            ("global_rad", Q::Light),
            ("sol_rad", Q::Light),
            ("Globalstrahlung", Q::Light),
            ("Rayonnement global", Q::Light),
            ("Radiación solar", Q::Light),
            ("Lux", Q::Illuminance),
            ("pressure", Q::AirPressure),
            ("Luftdruck", Q::AirPressure),
            ("battery", Q::BatteryVoltage),
            ("Batterie", Q::BatteryVoltage),
            ("Door contact", Q::VentOpen),
        ] {
            assert_eq!(of(header), Meaning::Measures(expected), "{header}");
        }
    }

    #[test]
    fn meaning_of_what_is_derived_or_not_kept_is_left_out() {
        for header in [
            "dewp",
            "dewpoint_c",
            "Taupunkt",
            "Point de rosée",
            "AbsHumOut",
            "HumDef",
            "VPD",
            "msl",
            "eto_mm_h",
            "ETRS",
            "Daily DD",
            "Accumulated DD",
            "wddir",
            "wind_dir_deg",
            "Winddir",
            "wind_gust",
            "PARin",
            "PAR (µmol/m²/s)",
            "Pyrgeo ",
            "Tpipe",
            "VentLee",
            "VentWind",
            "EnScr",
            "lat",
            "long",
            "doy",
            "Heat index",
            "Wet bulb",
            "UV",
            "Relative pressure",
            "Taupunkttemperatur",
            "Windchill",
            "Vapour pressure",
        ] {
            assert!(matches!(of(header), Meaning::LeftOut(_)), "{header}: {:?}", of(header));
        }
    }

    #[test]
    fn meaning_of_cryptic_names_is_unknown() {
        for header in [
            "OB",
            "TP",
            "WS",
            "SI",
            "MN",
            "MX",
            "SR",
            "YM",
            "UA",
            "visib",
            "Fresh Weight",
            "",
            "CO2",
            "pH",
            "Moisture",
            "Height",
        ] {
            assert_eq!(of(header), Meaning::Unknown, "{header}");
        }
    }

    #[test]
    fn meaning_of_a_short_name_is_light_only_with_a_unit_of_power() {
        assert_eq!(meaning(&words("rs"), true), Meaning::Measures(Quantity::Light));
        assert_eq!(of("rs"), Meaning::Unknown);
        assert_eq!(meaning(&words("Light"), true), Meaning::Measures(Quantity::Light));
    }
}
