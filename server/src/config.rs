//! The configuration file: where the program listens, which broker it uses, and how it reads other makers' devices.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use propstick_garden::decode::mapping::Mapping;
use serde::Deserialize;

/// Where the broker in the program listens unless told otherwise.
pub const MQTT_LISTEN: &str = "127.0.0.1:1883";
/// Where the pages are served unless told otherwise.
pub const WEB_LISTEN: &str = "127.0.0.1:8737";

/// What is wrong with a configuration: which file, which key, and what was expected.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {key}: {what}")]
pub struct ConfigError {
    /// The file.
    pub file: String,
    /// The key in it.
    pub key: String,
    /// What is wrong and what is expected.
    pub what: String,
}

/// The configuration of the program.
#[derive(Clone, Debug)]
pub struct Config {
    /// Which road messages take.
    pub road: Road,
    /// Where the pages are served: this machine only, for now.
    pub web_listen: SocketAddr,
    /// How other makers' devices are read.
    pub mappings: Vec<Mapping>,
}

/// Which road messages take.
#[derive(Clone, Debug)]
pub enum Road {
    /// The broker in this program.
    Embedded {
        /// Where it listens.
        listen: SocketAddr,
    },
    /// A broker outside.
    Outside(OutsideRoad),
}

/// How to reach a broker outside.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutsideRoad {
    /// Its host.
    pub host: String,
    /// Its port.
    #[serde(default = "mqtt_port")]
    pub port: u16,
    /// Our name with it; must be ours alone and stay the same.
    #[serde(default = "client_id")]
    pub client_id: String,
    /// User name, if it wants one.
    pub user: Option<String>,
    /// A file whose first line is the password.
    pub password_file: Option<PathBuf>,
}

fn mqtt_port() -> u16 {
    1883
}

fn client_id() -> String {
    "propstick".to_owned()
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct Text {
    #[serde(default)]
    mqtt: MqttText,
    #[serde(default)]
    web: WebText,
    #[serde(default)]
    mapping: Vec<Mapping>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct MqttText {
    listen: Option<String>,
    outside: Option<OutsideRoad>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct WebText {
    listen: Option<String>,
}

impl Config {
    /// Reads a configuration file; without one, the configuration is the usual one.
    ///
    /// # Errors
    /// File, key and what was expected.
    pub fn read(path: Option<&Path>) -> Result<Config, ConfigError> {
        let Some(path) = path else { return Config::from_text("propstick.toml", "") };
        let file = path.display().to_string();
        let text = std::fs::read_to_string(path).map_err(|e| ConfigError {
            file: file.clone(),
            key: "file".to_owned(),
            what: format!("cannot be read: {e}"),
        })?;
        Config::from_text(&file, &text)
    }

    /// Reads a configuration from text; `file` names it in errors.
    ///
    /// # Errors
    /// File, key and what was expected.
    pub fn from_text(file: &str, text: &str) -> Result<Config, ConfigError> {
        let wrong = |key: &str, what: String| ConfigError { file: file.to_owned(), key: key.to_owned(), what };
        let text: Text =
            toml::from_str(text).map_err(|e| wrong(&key_of(text, e.span()), e.message().trim().to_owned()))?;
        let web_listen =
            address(text.web.listen.as_deref().unwrap_or(WEB_LISTEN)).map_err(|w| wrong("web.listen", w))?;
        if !web_listen.ip().is_loopback() {
            return Err(wrong(
                "web.listen",
                format!(
                    "{web_listen} is not on this machine; until sign-in exists only loopback is allowed, such as {WEB_LISTEN}"
                ),
            ));
        }
        let road = match (text.mqtt.listen, text.mqtt.outside) {
            (Some(_), Some(_)) => {
                return Err(wrong(
                    "mqtt",
                    "give either listen (the broker in this program) or outside, not both".to_owned(),
                ));
            }
            (None, Some(outside)) => Road::Outside(outside),
            (listen, None) => {
                let listen = address(listen.as_deref().unwrap_or(MQTT_LISTEN)).map_err(|w| wrong("mqtt.listen", w))?;
                Road::Embedded { listen }
            }
        };
        for (i, mapping) in text.mapping.iter().enumerate() {
            mapping.check().map_err(|e| wrong(&format!("mapping[{i}]"), e.to_string()))?;
            if text.mapping[..i].iter().any(|m| m.name == mapping.name) {
                return Err(wrong(&format!("mapping[{i}].name"), format!("{:?} is taken already", mapping.name)));
            }
        }
        Ok(Config { road, web_listen, mappings: text.mapping })
    }
}

fn address(text: &str) -> Result<SocketAddr, String> {
    text.parse().map_err(|_| format!("{text:?} is no address; expected one like \"{WEB_LISTEN}\""))
}

/// The line an error points at, as the nearest thing to a key the parser tells.
fn key_of(text: &str, span: Option<std::ops::Range<usize>>) -> String {
    let Some(span) = span else { return "file".to_owned() };
    let before = &text[..span.start.min(text.len())];
    let line = before.matches('\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let whole = text[start..].lines().next().unwrap_or("").trim();
    let key = whole.split('=').next().unwrap_or("").trim();
    if key.is_empty() { format!("line {line}") } else { format!("line {line}, {key}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_file_means_loopback_and_the_broker_in_the_program() {
        let c = Config::read(None).unwrap();
        assert!(matches!(c.road, Road::Embedded { listen } if listen.ip().is_loopback()));
        assert!(c.web_listen.ip().is_loopback());
    }

    #[test]
    fn unknown_key_is_named_with_its_line() {
        let e = Config::from_text("x.toml", "[web]\nport = 3\n").unwrap_err();
        assert!(e.to_string().starts_with("x.toml: line 2, port: "), "{e}");
    }

    #[test]
    fn pages_for_the_whole_house_are_refused_until_sign_in_exists() {
        let e = Config::from_text("x.toml", "[web]\nlisten = \"0.0.0.0:80\"\n").unwrap_err();
        assert_eq!(e.key, "web.listen");
    }

    #[test]
    fn two_roads_at_once_are_refused() {
        let e = Config::from_text("x.toml", "[mqtt]\nlisten = \"127.0.0.1:1\"\n[mqtt.outside]\nhost = \"h\"\n")
            .unwrap_err();
        assert_eq!(e.key, "mqtt");
    }
}
