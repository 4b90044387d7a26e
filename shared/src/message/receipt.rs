//! The receipt: what the server has for good.

use super::{MessageError, VERSION, object};
use crate::QueueId;
use crate::sink::{Full, Sink};
use core::fmt::Write;

/// All samples of `queue` up to and with `upto` have been dealt with; the board may forget them. 0: none yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The queue that is meant; a receipt for another one is ignored.
    pub queue: QueueId,
    /// The last sample of the unbroken row.
    pub upto: u64,
    /// The server's clock, in seconds since 1970-01-01 UTC.
    pub at_s: i64,
}

impl Receipt {
    /// Writes the message.
    ///
    /// # Errors
    /// The buffer is too short; 96 bytes are always enough.
    pub fn write<'b>(&self, buffer: &'b mut [u8]) -> Result<&'b str, Full> {
        let mut sink = Sink::new(buffer);
        let Receipt { queue, upto, at_s } = self;
        write!(sink, r#"{{"v":{VERSION},"queue":"{queue}","upto":{upto},"at":{at_s}}}"#)?;
        Ok(sink.into_str())
    }

    /// Reads the message.
    ///
    /// # Errors
    /// [`MessageError`]; every field is needed, for a receipt that is half read must not make a board forget.
    pub fn parse(text: &str) -> Result<Receipt, MessageError> {
        let object = object(text)?;
        let queue = object.member("queue").and_then(|v| v.to_text()).and_then(|text| text.as_plain());
        let upto = object.member("upto").and_then(|v| v.to_u64());
        let at = object.member("at").and_then(|v| v.to_u64()).and_then(|at| i64::try_from(at).ok());
        Ok(Receipt {
            queue: queue.and_then(QueueId::parse).ok_or(MessageError::Field("queue"))?,
            upto: upto.ok_or(MessageError::Field("upto"))?,
            at_s: at.ok_or(MessageError::Field("at"))?,
        })
    }
}
