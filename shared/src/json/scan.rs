//! The scanner: one pass that checks, and iterators over what was checked.

use super::{Array, JsonError, JsonText, MAX_DEPTH, Number, Object, Value};

/// Checks a whole document and gives its value.
pub(super) fn document(text: &str) -> Result<Value<'_>, JsonError> {
    let mut cursor = Cursor { text, at: if text.starts_with('\u{feff}') { 3 } else { 0 } };
    let value = cursor.value()?;
    cursor.skip_space();
    if cursor.peek().is_some() { Err(cursor.fail("the end")) } else { Ok(value) }
}

/// The elements of an array.
#[derive(Clone, Debug)]
pub struct Elements<'a> {
    inside: Inside<'a>,
}

impl<'a> Elements<'a> {
    pub(super) fn of(raw: &'a str) -> Elements<'a> {
        Elements { inside: Inside::of(raw) }
    }
}

impl<'a> Iterator for Elements<'a> {
    type Item = Value<'a>;

    fn next(&mut self) -> Option<Value<'a>> {
        self.inside.step()?.value().ok()
    }
}

/// The names and values of an object.
#[derive(Clone, Debug)]
pub struct Members<'a> {
    inside: Inside<'a>,
}

impl<'a> Members<'a> {
    pub(super) fn of(raw: &'a str) -> Members<'a> {
        Members { inside: Inside::of(raw) }
    }
}

impl<'a> Iterator for Members<'a> {
    type Item = (JsonText<'a>, Value<'a>);

    fn next(&mut self) -> Option<(JsonText<'a>, Value<'a>)> {
        let cursor = self.inside.step()?;
        Some((cursor.name().ok()?, cursor.value().ok()?))
    }
}

/// Walks the inside of a checked array or object.
#[derive(Clone, Debug)]
struct Inside<'a> {
    cursor: Cursor<'a>,
    begun: bool,
}

impl<'a> Inside<'a> {
    fn of(raw: &'a str) -> Inside<'a> {
        Inside { cursor: Cursor { text: raw, at: 1 }, begun: false }
    }

    /// Goes to the next item, or tells the end.
    fn step(&mut self) -> Option<&mut Cursor<'a>> {
        self.cursor.skip_space();
        match self.cursor.peek() {
            None | Some(b']' | b'}') => return None,
            Some(b',') if self.begun => self.cursor.at += 1,
            Some(_) => {}
        }
        self.begun = true;
        Some(&mut self.cursor)
    }
}

#[derive(Clone, Debug)]
struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn fail(&self, expected: &'static str) -> JsonError {
        JsonError { at: self.at, expected }
    }

    fn skip_space(&mut self) {
        while let Some(b' ' | b'\t' | b'\n' | b'\r') = self.peek() {
            self.at += 1;
        }
    }

    /// The next value, checked to its last bracket.
    fn value(&mut self) -> Result<Value<'a>, JsonError> {
        self.skip_space();
        match self.peek() {
            Some(b'[') => Ok(Value::Array(Array { raw: self.container()? })),
            Some(b'{') => Ok(Value::Object(Object { raw: self.container()? })),
            _ => self.scalar(),
        }
    }

    /// An array or object with everything in it. It keeps the open brackets as bits instead of calling itself, so that no document
    /// can use up a board's stack.
    fn container(&mut self) -> Result<&'a str, JsonError> {
        let from = self.at;
        let mut open = Open::default();
        loop {
            // Here a value is due.
            self.skip_space();
            match self.peek() {
                Some(bracket @ (b'[' | b'{')) => {
                    if !open.push(bracket == b'{') {
                        return Err(self.fail("no more levels of arrays and objects"));
                    }
                    self.at += 1;
                    self.skip_space();
                    if self.peek() == open.closing() {
                        self.at += 1;
                        open.pop();
                    } else {
                        if open.in_object() {
                            self.name()?;
                        }
                        continue;
                    }
                }
                _ => {
                    self.scalar()?;
                }
            }
            // Here a value has ended.
            loop {
                let Some(closing) = open.closing() else { return Ok(&self.text[from..self.at]) };
                self.skip_space();
                match self.peek() {
                    Some(b',') => {
                        self.at += 1;
                        if open.in_object() {
                            self.name()?;
                        }
                        break;
                    }
                    Some(bracket) if bracket == closing => {
                        self.at += 1;
                        open.pop();
                    }
                    _ => return Err(self.fail(if open.in_object() { "',' or '}'" } else { "',' or ']'" })),
                }
            }
        }
    }

    /// The name of a member and the colon behind it.
    fn name(&mut self) -> Result<JsonText<'a>, JsonError> {
        self.skip_space();
        if self.peek() != Some(b'"') {
            return Err(self.fail("a name in quotation marks"));
        }
        let name = self.string()?;
        self.skip_space();
        if self.peek() != Some(b':') {
            return Err(self.fail("':'"));
        }
        self.at += 1;
        Ok(name)
    }

    fn scalar(&mut self) -> Result<Value<'a>, JsonError> {
        match self.peek() {
            Some(b'"') => Ok(Value::Text(self.string()?)),
            Some(b'0'..=b'9') => Ok(Value::Number(self.number()?)),
            Some(b'-') => match self.text.as_bytes().get(self.at + 1) {
                Some(letter) if letter.is_ascii_alphabetic() => self.word(),
                _ => Ok(Value::Number(self.number()?)),
            },
            Some(letter) if letter.is_ascii_alphabetic() => self.word(),
            _ => Err(self.fail("a value")),
        }
    }

    /// A string whose first quotation mark lies under the cursor.
    fn string(&mut self) -> Result<JsonText<'a>, JsonError> {
        self.at += 1;
        let from = self.at;
        loop {
            match self.peek() {
                Some(b'"') => break,
                Some(b'\\') => self.escape()?,
                Some(0..=0x1f) => return Err(self.fail("no control character inside a string")),
                Some(_) => self.at += 1,
                None => return Err(self.fail("'\"' at the end of the string")),
            }
        }
        let text = JsonText::from_raw(&self.text[from..self.at]);
        self.at += 1;
        Ok(text)
    }

    fn escape(&mut self) -> Result<(), JsonError> {
        self.at += 1;
        match self.peek() {
            Some(b'"' | b'\\' | b'/' | b'b' | b'f' | b'n' | b'r' | b't') => self.at += 1,
            Some(b'u') => {
                self.at += 1;
                for _ in 0..4 {
                    if !self.peek().is_some_and(|digit| digit.is_ascii_hexdigit()) {
                        return Err(self.fail("four hexadecimal digits"));
                    }
                    self.at += 1;
                }
            }
            _ => return Err(self.fail("one of \" \\ / b f n r t u")),
        }
        Ok(())
    }

    fn number(&mut self) -> Result<Number<'a>, JsonError> {
        let from = self.at;
        if self.peek() == Some(b'-') {
            self.at += 1;
        }
        if self.peek() == Some(b'0') {
            self.at += 1;
        } else {
            self.digits()?;
        }
        if self.peek() == Some(b'.') {
            self.at += 1;
            self.digits()?;
        }
        if let Some(b'e' | b'E') = self.peek() {
            self.at += 1;
            if let Some(b'+' | b'-') = self.peek() {
                self.at += 1;
            }
            self.digits()?;
        }
        match self.peek() {
            Some(b'0'..=b'9' | b'.' | b'a'..=b'z' | b'A'..=b'Z' | b'_' | b'+' | b'-') => {
                Err(self.fail("the end of the number"))
            }
            _ => Ok(Number { raw: &self.text[from..self.at] }),
        }
    }

    fn digits(&mut self) -> Result<(), JsonError> {
        if !self.peek().is_some_and(|digit| digit.is_ascii_digit()) {
            return Err(self.fail("a digit"));
        }
        while self.peek().is_some_and(|digit| digit.is_ascii_digit()) {
            self.at += 1;
        }
        Ok(())
    }

    /// A bare word: `true`, `false`, `null`, or one of the words for a value that is no number.
    fn word(&mut self) -> Result<Value<'a>, JsonError> {
        let from = self.at;
        let len = self.text.as_bytes()[from..]
            .iter()
            .take_while(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'))
            .count();
        let word = &self.text[from..from + len];
        let value = match word {
            "true" => Value::Bool(true),
            "false" => Value::Bool(false),
            "null" => Value::Null,
            _ => {
                let bare = word.strip_prefix('-').unwrap_or(word);
                if !["nan", "inf", "infinity"].iter().any(|known| bare.eq_ignore_ascii_case(known)) {
                    return Err(self.fail("a value"));
                }
                Value::NotANumber(word)
            }
        };
        self.at += len;
        Ok(value)
    }
}

/// The brackets that are open, innermost in the lowest bit: 1 for an object, 0 for an array.
#[derive(Default)]
struct Open {
    kinds: u32,
    depth: u32,
}

impl Open {
    fn push(&mut self, object: bool) -> bool {
        if self.depth == MAX_DEPTH {
            return false;
        }
        self.kinds = self.kinds << 1 | u32::from(object);
        self.depth += 1;
        true
    }

    fn pop(&mut self) {
        self.kinds >>= 1;
        self.depth -= 1;
    }

    fn in_object(&self) -> bool {
        self.depth > 0 && self.kinds & 1 == 1
    }

    fn closing(&self) -> Option<u8> {
        (self.depth > 0).then_some(if self.kinds & 1 == 1 { b'}' } else { b']' })
    }
}
