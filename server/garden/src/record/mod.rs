//! What people tell: what was done, and what was seen or heard.

mod event;
mod observation;

pub use event::{Event, EventKind, EventSource};
pub use observation::{Feel, Forecast, ForecastFor, LOOK_HOLDS, Observation, Seen, Sky, Wet, Wind, WindowLook};
