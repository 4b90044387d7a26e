//! Whether a number can be meant.

use propstick_wire::Quantity;

use super::refusal::shortened;
use crate::took::Reason;

/// What stands where a number belongs.
#[derive(Clone, Copy)]
pub(super) enum Given<'a> {
    Number(f64),
    Truth(bool),
    /// Anything else, as written.
    Other(&'a str),
}

/// A refusal without its place: the reason, and value and allowed in words.
pub(super) type Objection = (Reason, String);

/// The number of a channel in its unit, as sent. `unit` is the unit sent, if any; a truth value needs none.
pub(super) fn meant(channel: &str, given: Given<'_>, unit: Option<&str>) -> Result<(f64, String), Objection> {
    let name = shortened(channel);
    let Some((quantity, _)) = Quantity::from_channel(channel) else {
        let known: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.name()).collect();
        let detail =
            format!("{name}: {}; allowed {}, also with -1 to -99 behind", written(given, unit), known.join(", "));
        return Err((Reason::UnknownQuantity, detail));
    };
    if let (Quantity::VentOpen, Given::Truth(truth), None) = (quantity, given, unit) {
        return Ok((f64::from(u8::from(truth)), quantity.unit().to_owned()));
    }
    let Some(unit) = unit.filter(|unit| quantity.accepts_unit(unit)) else {
        let allowed: Vec<&str> = quantity.units().collect();
        let sent = match unit {
            Some(_) => written(given, unit),
            None => format!("{} without a unit", written(given, None)),
        };
        return Err((Reason::WrongUnit, format!("{name}: {sent}; allowed {}", allowed.join(", "))));
    };
    let (low, high) = quantity.hard_range();
    let allowed = format!("allowed {low} to {high} {}", quantity.unit());
    let number = match given {
        Given::Number(number) => number,
        Given::Truth(truth) if quantity == Quantity::VentOpen => f64::from(u8::from(truth)),
        _ => return Err((Reason::NotANumber, format!("{name}: {}; {allowed}", written(given, None)))),
    };
    if can_be_meant(quantity, number, unit) {
        Ok((number, unit.to_owned()))
    } else {
        Err((Reason::OutOfRange, format!("{name}: {}; {allowed}", written(given, Some(unit)))))
    }
}

/// Whether a number in `unit` lies within the hard range of its quantity.
pub(crate) fn can_be_meant(quantity: Quantity, number: f64, unit: &str) -> bool {
    let (low, high) = quantity.hard_range();
    quantity.to_base(number, unit).is_some_and(|base| (low..=high).contains(&base))
}

fn written(given: Given<'_>, unit: Option<&str>) -> String {
    let value = match given {
        Given::Number(number) => shortened(&number.to_string()),
        Given::Truth(truth) => truth.to_string(),
        // A text of digits must not look like the number it is not.
        Given::Other(raw) if raw.parse::<f64>().is_ok_and(f64::is_finite) => format!("\"{}\"", shortened(raw)),
        Given::Other(raw) => shortened(raw),
    };
    match unit {
        Some(unit) => format!("{value} {}", shortened(unit)),
        None => value,
    }
}
