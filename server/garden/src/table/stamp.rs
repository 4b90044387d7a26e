//! Dates and times as files write them.

use chrono::NaiveDate;
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE, SECOND};
use serde::{Deserialize, Serialize};

/// Milliseconds of a day on paper, which no clock change touches.
pub const DAY_MS: i64 = 24 * HOUR;

/// In which order day, month and year stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Order {
    /// Year, month, day.
    #[default]
    Ymd,
    /// Day, month, year.
    Dmy,
    /// Month, day, year.
    Mdy,
}

impl Order {
    /// All orders.
    pub const ALL: [Order; 3] = [Order::Ymd, Order::Dmy, Order::Mdy];

    /// The word in a mapping.
    pub const fn word(self) -> &'static str {
        match self {
            Order::Ymd => "ymd",
            Order::Dmy => "dmy",
            Order::Mdy => "mdy",
        }
    }

    /// The order with day and month in each other's place; none where the year comes first.
    pub const fn swapped(self) -> Option<Order> {
        match self {
            Order::Ymd => None,
            Order::Dmy => Some(Order::Mdy),
            Order::Mdy => Some(Order::Dmy),
        }
    }
}

/// What a row says of its time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// A time on the wall: milliseconds from 1970-01-01 00:00 on the same wall.
    Local(i64),
    /// An instant: the text carries its offset.
    Instant(Millis),
}

/// A text taken apart into its date, time and offset, before the order of the date is decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Written {
    /// The three numbers of the date as they stand.
    numbers: [Number; 3],
    /// Time of day in milliseconds, 0 to a whole day; none where a date stands alone.
    pub time_ms: Option<i64>,
    /// How far ahead of UTC its clock is, in milliseconds, where it says so.
    pub offset_ms: Option<i64>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Number {
    value: u16,
    digits: u8,
    /// It is the name of a month.
    is_name: bool,
}

impl Written {
    /// Takes apart a date, perhaps with a time of day behind it and its offset behind that: `2017-01-01T00:00:00Z`, `18/08/2021 11:45:00`,
    /// `02/03/26 01:00:00 PM`, `5. Mai 2026`, `20260201T0930`. None where it is no such text.
    pub fn parse(text: &str) -> Option<Written> {
        let mut left = Left(text.trim().as_bytes());
        let numbers = left.date()?;
        let (time_ms, offset_ms) = match left.0 {
            [] => (None, None),
            [b'T' | b't', ..] => left.skip(1).clock(Bare::Hours)?,
            [b' ' | b',' | b'\t', ..] => {
                left.skip_while(|byte| matches!(byte, b' ' | b',' | b'\t')).clock(Bare::Hours)?
            }
            _ => return None,
        };
        Some(Written { numbers, time_ms, offset_ms })
    }

    /// Days from 1970-01-01 to its date with its numbers in this order; none where there is no such day. Years of two digits are 20yy.
    pub fn days(&self, order: Order) -> Option<i64> {
        let [a, b, c] = self.numbers;
        let (year, month, day) = match (self.numbers.iter().position(|number| number.is_name), order) {
            (Some(place), _) => {
                let [first, second] = match place {
                    0 => [b, c],
                    1 => [a, c],
                    _ => [a, b],
                };
                let (year, day) = if order == Order::Ymd { (first, second) } else { (second, first) };
                (year, self.numbers[place], day)
            }
            (None, Order::Ymd) => (a, b, c),
            (None, Order::Dmy) => (c, b, a),
            (None, Order::Mdy) => (c, a, b),
        };
        let year = match year.digits {
            4 => i32::from(year.value),
            2 => 2000 + i32::from(year.value),
            _ => return None,
        };
        if day.digits > 2 || month.digits > 2 {
            return None;
        }
        days(year, u32::from(month.value), u32::from(day.value))
    }

    /// What it says with its numbers in this order; a date alone is its midnight.
    pub fn moment(&self, order: Order) -> Option<Moment> {
        let local = self.days(order)? * DAY_MS + self.time_ms.unwrap_or(0);
        Some(match self.offset_ms {
            Some(ahead) => Moment::Instant(Millis(local - ahead)),
            None => Moment::Local(local),
        })
    }
}

/// Days from 1970-01-01; none where the calendar has no such day.
pub fn days(year: i32, month: u32, day: u32) -> Option<i64> {
    /// Days from 0001-01-01, counted as 1, to 1970-01-01.
    const TO_1970: i32 = 719_163;
    use chrono::Datelike;
    NaiveDate::from_ymd_opt(year, month, day).map(|date| i64::from(date.num_days_from_ce() - TO_1970))
}

/// A time of day by itself, in milliseconds from midnight, and its offset where it has one: `9:15`, `09:15:30.5`, `1:15 PM`, `9.15`, and by one to six
/// digits `915`, `0915`, `91530`. `24:00` is the midnight that ends the day. None where it is no such text.
pub fn clock(text: &str) -> Option<(i64, Option<i64>)> {
    let mut left = Left(text.trim().as_bytes());
    left.clock(Bare::Minutes).map(|(time_ms, offset_ms)| (time_ms.unwrap_or(0), offset_ms))
}

/// What one or two digits alone are as a time of day.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Bare {
    /// The hour: behind a date (`2026-01-05 10`).
    Hours,
    /// The minutes of the hour from midnight: in a column of clock times without a sign (`0`, `30`, `100`).
    Minutes,
}

/// What is left of a text.
struct Left<'a>(&'a [u8]);

impl Left<'_> {
    fn skip(&mut self, bytes: usize) -> &mut Self {
        self.0 = self.0.get(bytes..).unwrap_or_default();
        self
    }

    fn skip_while(&mut self, which: impl Fn(u8) -> bool) -> &mut Self {
        let many = self.0.iter().take_while(|byte| which(**byte)).count();
        self.skip(many)
    }

    /// The next run of at most eight digits, and how many they are; no digit is none, and so are more than eight.
    fn digits(&mut self) -> Option<(u32, u8)> {
        let (mut value, mut many) = (0, 0);
        while let Some(digit) = self.0.get(usize::from(many)).filter(|byte| byte.is_ascii_digit()) {
            if many == 8 {
                return None;
            }
            value = value * 10 + u32::from(digit - b'0');
            many += 1;
        }
        self.skip(usize::from(many));
        (many > 0).then_some((value, many))
    }

    fn date(&mut self) -> Option<[Number; 3]> {
        let first = match self.0.first()? {
            b'0'..=b'9' => {
                let (value, digits) = self.digits()?;
                if digits == 8 {
                    let part = |value: u32, digits| Number { value: value as u16, digits, is_name: false };
                    return Some([part(value / 10_000, 4), part(value / 100 % 100, 2), part(value % 100, 2)]);
                }
                number(value, digits)?
            }
            _ => self.month_name()?,
        };
        let one = self.between()?;
        let second = match self.0.first()? {
            b'0'..=b'9' => self.digits().and_then(|(value, digits)| number(value, digits))?,
            _ if first.is_name => return None,
            _ => self.month_name()?,
        };
        let two = self.between()?;
        let third = self.digits().and_then(|(value, digits)| number(value, digits))?;
        let has_name = first.is_name || second.is_name;
        let is_well = has_name || (one == two && one.is_some());
        is_well.then_some([first, second, third])
    }

    /// What stands between two parts of a date: one of `-`, `/` and `.`, or, around the name of a month, also blanks and commas (then none is given).
    fn between(&mut self) -> Option<Option<u8>> {
        let many = self.0.iter().take_while(|byte| matches!(byte, b'-' | b'/' | b'.' | b' ' | b',')).count();
        let between = match self.0.get(..many)? {
            [] => return None,
            [one @ (b'-' | b'/' | b'.')] => Some(*one),
            _ => None,
        };
        self.skip(many);
        Some(between)
    }

    /// The name of a month, or its beginning, in the languages that the proposals know.
    fn month_name(&mut self) -> Option<Number> {
        let many = self.0.iter().take_while(|byte| byte.is_ascii_alphabetic() || !byte.is_ascii()).count();
        let word = std::str::from_utf8(self.0.get(..many)?).ok()?.to_lowercase();
        self.skip(many);
        let value = month_named(&word)?;
        Some(Number { value, digits: 2, is_name: true })
    }

    /// A time of day to the end of the text.
    fn clock(&mut self, bare: Bare) -> Option<(Option<i64>, Option<i64>)> {
        let (value, digits) = self.digits()?;
        let next = self.0.iter().find(|byte| **byte != b' ');
        let has_half = next.is_some_and(|byte| matches!(byte, b'a' | b'A' | b'p' | b'P'));
        let (mut hours, minutes, seconds, mut milliseconds) = match (digits, self.0.first()) {
            (1 | 2, Some(sign @ (b':' | b'.' | b'h' | b'H'))) => {
                let sign = *sign;
                let (minutes, 2) = self.skip(1).digits()? else { return None };
                let seconds = match self.0.first() {
                    Some(again) if *again == sign && matches!(sign, b':' | b'.') => match self.skip(1).digits()? {
                        (seconds, 2) => seconds,
                        _ => return None,
                    },
                    _ => 0,
                };
                (value, minutes, seconds, 0)
            }
            (1 | 2, _) if bare == Bare::Hours || has_half => (value, 0, 0, 0),
            (1..=4, _) => (value / 100, value % 100, 0, 0),
            (5 | 6, _) => (value / 10_000, value / 100 % 100, value % 100, 0),
            _ => return None,
        };
        if let Some(b'.' | b',') = self.0.first() {
            let fraction = self.skip(1).0;
            self.skip_while(|byte| byte.is_ascii_digit());
            let many = fraction.len() - self.0.len();
            if many == 0 {
                return None;
            }
            for place in 0..3 {
                milliseconds = milliseconds * 10 + fraction[..many].get(place).map_or(0, |d| i64::from(d - b'0'));
            }
        }
        self.skip_while(|byte| byte == b' ');
        if let Some(is_afternoon) = self.half_day() {
            if hours > 12 {
                return None;
            }
            hours = hours % 12 + if is_afternoon { 12 } else { 0 };
            self.skip_while(|byte| byte == b' ');
        }
        let time_ms =
            i64::from(hours) * HOUR + i64::from(minutes) * MINUTE + i64::from(seconds) * SECOND + milliseconds;
        if minutes > 59 || seconds > 59 || time_ms > DAY_MS {
            return None;
        }
        let offset_ms = if self.0.is_empty() { None } else { Some(self.offset()?) };
        self.0.is_empty().then_some((Some(time_ms), offset_ms))
    }

    /// `AM`, `p.m.` and the like.
    fn half_day(&mut self) -> Option<bool> {
        let is_afternoon = match self.0.first()? {
            b'a' | b'A' => false,
            b'p' | b'P' => true,
            _ => return None,
        };
        let dot = usize::from(self.0.get(1) == Some(&b'.'));
        if !matches!(self.0.get(1 + dot), Some(b'm' | b'M')) {
            return None;
        }
        let end = usize::from(dot == 1 && self.0.get(3) == Some(&b'.'));
        self.skip(2 + dot + end);
        Some(is_afternoon)
    }

    /// `Z`, `UTC`, `+01:00`, `-0330`, `UTC+1`, in milliseconds ahead of UTC.
    fn offset(&mut self) -> Option<i64> {
        let named = match self.0 {
            [b'Z' | b'z', ..] => 1,
            [a, b, c, ..] if [a, b, c].map(u8::to_ascii_uppercase) == *b"UTC" => 3,
            [a, b, c, ..] if [a, b, c].map(u8::to_ascii_uppercase) == *b"GMT" => 3,
            _ => 0,
        };
        self.skip(named);
        let sign = match self.0.first() {
            None if named > 0 => return Some(0),
            Some(b'+') if named != 1 => 1,
            Some(b'-') if named != 1 => -1,
            _ => return None,
        };
        let (value, digits) = self.skip(1).digits()?;
        let (hours, minutes) = match (digits, self.0.first()) {
            (1 | 2, Some(b':')) => match self.skip(1).digits()? {
                (minutes, 2) => (value, minutes),
                _ => return None,
            },
            (1 | 2, _) => (value, 0),
            (4, _) => (value / 100, value % 100),
            _ => return None,
        };
        (hours <= 14 && minutes <= 59).then(|| sign * (i64::from(hours) * HOUR + i64::from(minutes) * MINUTE))
    }
}

fn number(value: u32, digits: u8) -> Option<Number> {
    (digits <= 4).then_some(Number { value: value as u16, digits, is_name: false })
}

/// The month whose name begins a word, in English, German, French, Italian, Spanish and Dutch, in small letters.
fn month_named(word: &str) -> Option<u16> {
    const BEGINNINGS: [(&str, u16); 39] = [
        ("jan", 1),
        ("jän", 1),
        ("gen", 1),
        ("ene", 1),
        ("feb", 2),
        ("fév", 2),
        ("fev", 2),
        ("mar", 3),
        ("mär", 3),
        ("mrz", 3),
        ("mrt", 3),
        ("maa", 3),
        ("apr", 4),
        ("avr", 4),
        ("abr", 4),
        ("may", 5),
        ("mai", 5),
        ("mei", 5),
        ("mag", 5),
        ("jun", 6),
        ("juin", 6),
        ("giu", 6),
        ("jul", 7),
        ("juil", 7),
        ("lug", 7),
        ("aug", 8),
        ("aoû", 8),
        ("aou", 8),
        ("ago", 8),
        ("sep", 9),
        ("set", 9),
        ("oct", 10),
        ("okt", 10),
        ("ott", 10),
        ("nov", 11),
        ("dec", 12),
        ("dez", 12),
        ("déc", 12),
        ("dic", 12),
    ];
    BEGINNINGS.iter().find(|(beginning, _)| word.starts_with(beginning)).map(|(_, month)| *month)
}

#[cfg(test)]
mod tests;
