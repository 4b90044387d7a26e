//! Files in: looked at, understood or asked about, and taken in as an origin that can be taken back whole.

mod source;
mod suggest;
mod take;
mod uploads;

pub use source::{Identity, OnDisk, Told, unpack};
pub use suggest::{Suggestion, known, mapping_from, order_from, stamp_from, suggest};
pub use take::{How, ImportTrouble, TakenIn, form_name, new_origin, press, rehearse, take_in};
pub use uploads::{Upload, Uploads};
