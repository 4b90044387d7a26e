//! What people tell: what was done, and what was seen or heard.

mod did;
mod event;
mod observation;
mod saw;
mod telling;

pub use did::{AT_ROOT, Did, NOTHING, OVERHEAD, SOMETHING, UNSCORED};
pub use event::{Event, EventKind, EventSource};
pub use observation::{Feel, Forecast, ForecastFor, LOOK_HOLDS, Observation, Seen, Sky, Wet, Wind, WindowLook};
pub use saw::{FingerSaid, HeardSaid, LeavesSaid, LookSaid, SEEN_KINDS, Saw};
pub use telling::{NOT_BEFORE, Untold};
