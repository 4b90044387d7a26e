//! From a line to its cells, and from the cells of a header to the names of columns.

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

/// At most so many cells of a line are told apart; what is behind them makes the line one that is too long.
pub const MAX_CELLS: usize = 4096;

/// Splits lines into cells, quote-aware: `"a;b"` is one cell, `""` in quotes is a quote.
pub struct Cells {
    separator: u8,
    reader: Reader,
    ends: Vec<usize>,
    unquoted: Vec<u8>,
    /// Room for the ends of a line with quotes, always of full length.
    unquoted_ends: Vec<usize>,
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
        Cells { separator, reader, ends: Vec::new(), unquoted: Vec::new(), unquoted_ends: vec![0; MAX_CELLS + 1] }
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
        let (mut written, mut cells) = (0, 0);
        let mut is_balanced = true;
        // The line end closes the record, unless a quote is still open: then the end of all input does.
        for input in [line.as_bytes(), b"\n", b""] {
            let (outcome, _, more, ends) =
                self.reader.read_record(input, &mut self.unquoted[written..], &mut self.unquoted_ends[cells..]);
            written += more;
            cells += ends;
            match outcome {
                ReadRecordResult::InputEmpty => is_balanced = is_balanced && input != b"\n",
                _ => break,
            }
        }
        let text = std::str::from_utf8(&self.unquoted[..written]).unwrap_or_default();
        Row { text, ends: &self.unquoted_ends[..cells], between: 0, is_balanced }
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn split(line: &str, separator: u8) -> (Vec<String>, bool) {
        let mut cells = Cells::new(separator);
        let row = cells.split(line);
        assert_eq!((row.len(), row.is_empty()), (row.cells().count(), false));
        (row.cells().map(str::to_owned).collect(), row.is_balanced)
    }

    #[test]
    fn cells_are_split_at_the_separator_but_not_in_quotes() {
        for (line, separator, expected) in [
            ("a;b;;c", b';', vec!["a", "b", "", "c"]),
            ("", b',', vec![""]),
            (";", b';', vec!["", ""]),
            ("a,b", b';', vec!["a,b"]),
            (r#""a;b";"say ""so""";c"#, b';', vec!["a;b", r#"say "so""#, "c"]),
            (r#""2016-04-30",0"#, b',', vec!["2016-04-30", "0"]),
            ("pot 5\" wide\t2", b'\t', vec!["pot 5\" wide", "2"]),
            ("\"°C\"|µ", b'|', vec!["°C", "µ"]),
        ] {
            assert_eq!(split(line, separator), (expected.into_iter().map(str::to_owned).collect(), true), "{line}");
        }
    }

    #[test]
    fn quote_that_does_not_close_is_told() {
        assert_eq!(split("1;\"a;b", b';'), (vec!["1".to_owned(), "a;b\n".to_owned()], false));
        assert!(!split("\"", b';').1);
        // The next line is not touched by it.
        let mut cells = Cells::new(b';');
        assert!(!cells.split("\"a").is_balanced);
        assert!(cells.split("\"a\"").is_balanced);
    }

    #[test]
    fn row_of_separators_and_white_space_is_blank() {
        let mut cells = Cells::new(b';');
        for (line, is_blank) in [("", true), (";;;", true), (" ;\t; ", true), ("\" \";", true), (";;0;", false)] {
            assert_eq!(cells.split(line).is_blank(), is_blank, "{line}");
        }
    }

    #[test]
    fn names_of_columns_are_trimmed_and_kept_apart() {
        // Troubles pages 13 and 14; the two soil columns of the tunnel exports have one name.
        let header =
            ["\u{FEFF}Zeit", "  Water  Content 1\t(m³/m³)", " Water Content 1 (m³/m³)", "", "Tout ", "", "Tout"];
        let expected = ["Zeit", "Water Content 1 (m³/m³)", "Water Content 1 (m³/m³)#2", "", "Tout", "", "Tout#2"];
        assert_eq!(column_names(header), expected);
        assert_eq!(column_names(["a", "a#2", "a", "a"]), ["a", "a#2", "a#3", "a#4"]);
    }

    proptest! {
        #[test]
        fn prop_cells_written_with_quotes_are_read_back(
            written in proptest::collection::vec("[a-z0-9;,\"° ]{0,8}", 1..8),
        ) {
            let line: Vec<String> = written.iter().map(|cell| format!("\"{}\"", cell.replace('"', "\"\""))).collect();
            prop_assert_eq!(split(&line.join(";"), b';'), (written, true));
        }

        #[test]
        fn prop_any_line_is_split_without_panic(line in any::<String>()) {
            let line = line.replace(['\n', '\r'], "");
            let (cells, is_balanced) = split(&line, b',');
            if !line.contains('"') {
                prop_assert_eq!((cells.join(","), is_balanced), (line, true));
            }
        }
    }
}
