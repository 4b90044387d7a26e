//! The small messages of the contract beside reports: receipt, state and settings. Each is one JSON object with `"v":1`.
//!
//! Unknown names are ignored, so that an older board and a newer server get along.

mod receipt;
mod settings;
mod state;

pub use receipt::Receipt;
pub use settings::{BoardSettings, Heater, OffChannels, RefusedKeys, SECONDS_ALLOWED, Settings, SettingsKey};
pub use state::{Faults, State, StateReport, WILL};

use crate::json::{JsonError, Object, Value};
use core::fmt;

/// The version of these messages.
pub const VERSION: u64 = 1;

/// Why a message is not to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MessageError {
    /// Not JSON.
    Json(JsonError),
    /// JSON, but not an object.
    NotAnObject,
    /// `v` is not 1.
    Version,
    /// A field that must be there is missing or of the wrong type.
    Field(&'static str),
}

impl fmt::Display for MessageError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MessageError::Json(error) => write!(f, "{error}"),
            MessageError::NotAnObject => f.write_str("expected an object"),
            MessageError::Version => write!(f, "'v': expected {VERSION}"),
            MessageError::Field(name) => write!(f, "'{name}': missing, or not what belongs there"),
        }
    }
}

impl core::error::Error for MessageError {}

/// The object of a message, if it is one of this version.
fn object(text: &str) -> Result<Object<'_>, MessageError> {
    let Value::Object(object) = Value::parse(text).map_err(MessageError::Json)? else {
        return Err(MessageError::NotAnObject);
    };
    match object.member("v").and_then(|v| v.to_u64()) {
        Some(VERSION) => Ok(object),
        _ => Err(MessageError::Version),
    }
}

#[cfg(test)]
mod tests;
