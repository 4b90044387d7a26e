//! From a line to its cells, and from the cells of a header to the names of columns.

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

/// At most so many cells of a line are told apart; what is behind them makes the line one that is too long.
pub const MAX_CELLS: usize = 4096;

/// Splits lines into cells, quote-aware: `"a;b"` is one cell, `""` in quotes is a quote.
pub struct Cells {
    separator: u8,
    reader: Reader,
    unquoted: Vec<u8>,
    ends: Vec<usize>,
}

/// The cells of one line.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    text: &'a str,
    /// The place behind each cell.
    ends: &'a [usize],
    /// How much stands between two cells: 1 for a line as written, 0 for one whose quotes are taken off.
    between: usize,
    /// Whether every quote that opens also closes. If not, what is behind it is one cell.
    pub is_balanced: bool,
}

impl Cells {
    /// For lines with this separator: an ASCII byte.
    pub fn new(separator: u8) -> Cells {
        let reader = ReaderBuilder::new().delimiter(separator).build();
        Cells { separator, reader, unquoted: Vec::new(), ends: Vec::new() }
    }

    /// The cells of a line. An empty line has one, which is empty.
    pub fn split<'a>(&'a mut self, line: &'a str) -> Row<'a> {
        if line.as_bytes().contains(&b'"') { self.split_quoted(line) } else { self.split_plain(line) }
    }

    fn split_plain<'a>(&'a mut self, line: &'a str) -> Row<'a> {
        self.ends.clear();
        for (place, byte) in line.bytes().enumerate() {
            if byte == self.separator && self.ends.len() < MAX_CELLS {
                self.ends.push(place);
            }
        }
        self.ends.push(line.len());
        Row { text: line, ends: &self.ends, between: 1, is_balanced: true }
    }

    fn split_quoted<'a>(&'a mut self, line: &str) -> Row<'a> {
        self.reader.reset();
        self.unquoted.resize(line.len() + 2, 0);
        self.ends.resize(MAX_CELLS + 1, 0);
        let (mut written, mut cells) = (0, 0);
        let mut is_balanced = true;
        // The line end closes the record, unless a quote is still open: then the end of all input does.
        for input in [line.as_bytes(), b"\n", b""] {
            let (outcome, _, more, ends) =
                self.reader.read_record(input, &mut self.unquoted[written..], &mut self.ends[cells..]);
            written += more;
            cells += ends;
            match outcome {
                ReadRecordResult::InputEmpty => is_balanced = is_balanced && input != b"\n",
                _ => break,
            }
        }
        let text = std::str::from_utf8(&self.unquoted[..written]).unwrap_or_default();
        Row { text, ends: &self.ends[..cells], between: 0, is_balanced }
    }
}

impl<'a> Row<'a> {
    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// The cell at a place counted from 0, as written but for its quotes.
    pub fn cell(&self, place: usize) -> Option<&'a str> {
        let end = *self.ends.get(place)?;
        let start = match place {
            0 => 0,
            _ => self.ends[place - 1] + self.between,
        };
        self.text.get(start..end)
    }

    /// All cells.
    pub fn cells(&self) -> impl Iterator<Item = &'a str> {
        let row = *self;
        (0..row.len()).map(move |place| row.cell(place).unwrap_or_default())
    }

    /// Whether nothing stands in it but white space.
    pub fn is_blank(&self) -> bool {
        self.cells().all(|cell| cell.trim().is_empty())
    }
}

/// A column's name as mappings write it: without a byte-order mark, trimmed, inner runs of white space as one blank.
pub fn column_name(cell: &str) -> String {
    let mut name = String::with_capacity(cell.len());
    for word in cell.split(|c: char| c.is_whitespace() || c == '\u{FEFF}').filter(|word| !word.is_empty()) {
        if !name.is_empty() {
            name.push(' ');
        }
        name.push_str(word);
    }
    name
}

/// The names of all columns of a header, each different: the second of one name has `#2` behind it, the third `#3`. A column without a name has none.
pub fn column_names<'a>(header: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for cell in header {
        let name = column_name(cell);
        let mut unique = name.clone();
        let mut times = 1;
        while !name.is_empty() && names.contains(&unique) {
            times += 1;
            unique = format!("{name}#{times}");
        }
        names.push(unique);
    }
    names
}
