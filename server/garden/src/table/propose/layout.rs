//! How the lines of a file are to be cut up: separator and decimal sign together, by all lines, and the line with the columns' names.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use super::units;
use crate::table::cells::{Cells, Row};
use crate::table::text::{Line, for_each_line};
use crate::table::{Decimal, Encoding, Source};

/// Separators that are tried, in this order.
pub(super) const SEPARATORS: [char; 4] = [',', ';', '\t', '|'];

/// At most so many different counts of cells are kept for a separator; rows with yet another count are strays.
const MOST_COUNTS: usize = 64;

/// Lines before the first row that may be titles, header and units.
const MOST_HEAD: u64 = 200;

/// What one cell looks like, whatever its column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    Empty,
    /// Digits alone, with or without a sign.
    Whole,
    /// A number with a point.
    Point,
    /// A number with a comma.
    Comma,
    /// Begins like a date.
    Date,
    /// A time of day such as 9:15.
    Clock,
    Text,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Layout {
    pub separator: char,
    pub decimal: Decimal,
    /// How many cells most rows have.
    pub cells: usize,
    /// Rows that fit, and all lines that are not blank.
    pub fitting: u64,
    pub filled: u64,
    /// Line of the first row.
    pub first_row: u64,
    /// Rows that would fit the other decimal sign alone: evidence.
    pub with_comma: u64,
    pub with_point: u64,
}

/// No separator cuts a line into a row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NoLayout {
    pub filled: u64,
}

#[derive(Default)]
struct Count {
    point: u64,
    comma: u64,
    first_point: u64,
    first_comma: u64,
    dotted: u64,
    with_comma: u64,
}

/// Tries every separator and both decimal signs on every line.
///
/// # Errors
/// What the source says.
pub(super) fn find<S: Source + ?Sized>(source: &S, encoding: Encoding) -> Result<Result<Layout, NoLayout>, S::Error> {
    let mut splitters = SEPARATORS.map(|separator| Cells::new(separator as u8));
    let mut counts: [BTreeMap<usize, Count>; 4] = Default::default();
    let mut filled = 0;
    for_each_line(source, encoding, &mut |line: Line<'_>| {
        if line.text.trim().is_empty() {
            return ControlFlow::Continue(());
        }
        filled += 1;
        for ((separator, cells), counts) in SEPARATORS.iter().zip(&mut splitters).zip(&mut counts) {
            if line.text.as_bytes().contains(&(*separator as u8)) {
                weigh(&line, cells.split(line.text), counts);
            }
        }
        ControlFlow::Continue(())
    })?;
    let mut best: Option<(u64, u64, Layout)> = None;
    for (separator, counts) in SEPARATORS.into_iter().zip(&counts) {
        for (cells, count) in counts {
            for decimal in [Decimal::Point, Decimal::Comma] {
                let (fitting, first_row, numbers) = match decimal {
                    Decimal::Point => (count.point, count.first_point, count.dotted),
                    Decimal::Comma => (count.comma, count.first_comma, count.with_comma),
                };
                // One sign for both is possible where cells stand in quotes.
                let is_better = best.as_ref().is_none_or(|(most, with, _)| (fitting, numbers) > (*most, *with));
                if fitting > 0 && is_better {
                    let layout = Layout {
                        separator,
                        decimal,
                        cells: *cells,
                        fitting,
                        filled,
                        first_row,
                        with_comma: count.with_comma,
                        with_point: count.dotted,
                    };
                    best = Some((fitting, numbers, layout));
                }
            }
        }
    }
    Ok(best.map(|(_, _, layout)| layout).ok_or(NoLayout { filled }))
}

/// Counts a line as a row of its number of cells, for both decimal signs.
fn weigh(line: &Line<'_>, row: Row<'_>, counts: &mut BTreeMap<usize, Count>) {
    if row.len() < 2 || (counts.len() >= MOST_COUNTS && !counts.contains_key(&row.len())) {
        return;
    }
    let (mut whole, mut point, mut comma, mut times) = (0_u32, 0_u32, 0_u32, 0_u32);
    for cell in row.cells() {
        match look(cell.trim()) {
            Look::Whole => whole += 1,
            Look::Point => point += 1,
            Look::Comma => comma += 1,
            Look::Date | Look::Clock => times += 1,
            Look::Empty | Look::Text => {}
        }
    }
    let count = counts.entry(row.len()).or_default();
    count.dotted += u64::from(point > 0);
    count.with_comma += u64::from(comma > 0);
    let fits = |numbers: u32, strange: u32| strange == 0 && (numbers >= 2 || (numbers >= 1 && times >= 1));
    // A row with a time and no value belongs to the table too, but does not speak for a decimal sign.
    if fits(whole + point, comma) {
        count.point += 1;
        first(&mut count.first_point, line.number);
    }
    if fits(whole + comma, point) {
        count.comma += 1;
        first(&mut count.first_comma, line.number);
    }
}

fn first(place: &mut u64, line: u64) {
    if *place == 0 {
        *place = line;
    }
}

/// What a trimmed cell looks like.
pub(super) fn look(cell: &str) -> Look {
    let bytes = cell.as_bytes();
    let Some(first) = bytes.first() else { return Look::Empty };
    if !first.is_ascii_digit() && !matches!(first, b'+' | b'-' | b'.' | b',') {
        return Look::Text;
    }
    let signed = usize::from(matches!(first, b'+' | b'-'));
    let body = &bytes[signed..];
    let (mut digits, mut points, mut commas) = (0, 0, 0);
    for (place, byte) in body.iter().enumerate() {
        match byte {
            b'0'..=b'9' => digits += 1,
            b'.' => points += 1,
            b',' => commas += 1,
            b'e' | b'E' if digits > 0 => {
                let rest = &body[place + 1..];
                let rest = rest.strip_prefix(b"-").or_else(|| rest.strip_prefix(b"+")).unwrap_or(rest);
                if rest.is_empty() || !rest.iter().all(u8::is_ascii_digit) {
                    return Look::Text;
                }
                break;
            }
            _ => return if signed == 0 { date_or_clock(body) } else { Look::Text },
        }
    }
    match (digits, points, commas) {
        (0, _, _) => Look::Text,
        (_, 0, 0) => Look::Whole,
        (_, 1, 0) => Look::Point,
        (_, 0, 1) => Look::Comma,
        (_, 2, 0) if signed == 0 => date_or_clock(body),
        _ => Look::Text,
    }
}

/// A date (`5.2.2026 9:15`, `2026-02-05T...`, `5 Feb 2026`) or a time of day (`9:15`).
fn date_or_clock(body: &[u8]) -> Look {
    let lead = body.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let rest = &body[lead..];
    match rest.first() {
        Some(b':') if lead <= 2 && rest.get(1).is_some_and(u8::is_ascii_digit) => Look::Clock,
        Some(sign @ (b'-' | b'/' | b'.' | b' ')) if (1..=4).contains(&lead) => {
            let rest = &rest[1..];
            let middle = rest.iter().take_while(|byte| byte.is_ascii_alphanumeric()).count();
            let is_middle = (1..=9).contains(&middle);
            let is_end = rest.get(middle) == Some(sign) && rest.get(middle + 1).is_some_and(u8::is_ascii_digit);
            // Two cells of another separator do not make a date together.
            if is_middle && is_end && !rest.iter().any(|byte| matches!(byte, b',' | b';' | b'\t' | b'|')) {
                Look::Date
            } else {
                Look::Text
            }
        }
        _ => Look::Text,
    }
}

/// The lines before the first row.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Head {
    /// Line of the header, 0 where there is none.
    pub header: u64,
    /// The cells of the header, as written.
    pub names: Vec<String>,
    /// The units that stand in a line of their own under it.
    pub units: Vec<String>,
    /// Everything above it.
    pub titles: Vec<String>,
    /// Why a line above the first row was not taken as header.
    pub doubt: Option<String>,
}

/// Finds the header among the lines before the first row.
///
/// # Errors
/// What the source says.
pub(super) fn head<S: Source + ?Sized>(source: &S, encoding: Encoding, layout: &Layout) -> Result<Head, S::Error> {
    let mut lines: Vec<(u64, String)> = Vec::new();
    for_each_line(source, encoding, &mut |line: Line<'_>| {
        if line.number >= layout.first_row {
            return ControlFlow::Break(());
        }
        if layout.first_row - line.number <= MOST_HEAD {
            lines.push((line.number, line.text.to_owned()));
        }
        ControlFlow::Continue(())
    })?;
    let mut splitter = Cells::new(layout.separator as u8);
    let split: Vec<Vec<String>> = lines
        .iter()
        .map(|(_, text)| splitter.split(text).cells().map(|cell| cell.trim().to_owned()).collect())
        .collect();
    let is_names = |cells: &Vec<String>| {
        cells.len() == layout.cells && cells.iter().filter(|cell| look(cell) == Look::Text).count() * 2 >= cells.len()
    };
    let mut found = Head::default();
    let Some(last) = split.iter().rposition(is_names) else {
        let near = split.iter().rposition(|cells| cells.len() >= 2 && cells.len().abs_diff(layout.cells) == 1);
        if let Some(place) = near {
            found.doubt = Some(format!(
                "line {} could be the header, but it has {} cells where the rows have {}: the columns are numbered instead",
                lines[place].0,
                split[place].len(),
                layout.cells
            ));
        }
        found.titles = lines.into_iter().map(|(_, text)| text).collect();
        return Ok(found);
    };
    let is_units = |cells: &Vec<String>| {
        let known = cells.iter().filter(|cell| unit_cell(cell).is_some()).count();
        let plain = cells.iter().filter(|cell| !cell.is_empty()).count();
        known > 0 && known * 2 >= plain
    };
    let header = match last.checked_sub(1) {
        Some(above) if is_units(&split[last]) && is_names(&split[above]) => {
            found.units = split[last].clone();
            above
        }
        _ => last,
    };
    found.header = lines[header].0;
    found.names = split[header].clone();
    found.titles = lines.drain(..header).map(|(_, text)| text).collect();
    Ok(found)
}

/// The unit in a cell that holds nothing else, perhaps in brackets.
pub(super) fn unit_cell(cell: &str) -> Option<&'static str> {
    units::named(cell).or_else(|| units::named(cell.trim_matches(|c| matches!(c, '(' | ')' | '[' | ']'))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn look_of_cells() {
        for (cell, expected) in [
            ("", Look::Empty),
            ("12", Look::Whole),
            ("-12", Look::Whole),
            ("4.5", Look::Point),
            (".5", Look::Point),
            ("4,5", Look::Comma),
            ("1e-3", Look::Whole),
            ("1.5e3", Look::Point),
            ("1.234,5", Look::Text),
            ("05.02.2026 09:00", Look::Date),
            ("5.2.2026", Look::Date),
            ("2026-02-05T09:00:00Z", Look::Date),
            ("2/1/2022 0:04", Look::Date),
            ("5 Feb 2026 09:00", Look::Date),
            ("09:15", Look::Clock),
            ("9:15:00 PM", Look::Clock),
            ("0712/2021 00:00:00", Look::Text),
            ("NA", Look::Text),
            ("-", Look::Text),
            ("--", Look::Text),
            ("End of data", Look::Text),
            ("3 rows", Look::Text),
        ] {
            assert_eq!(look(cell), expected, "{cell}");
        }
    }

    fn found(text: &str) -> Layout {
        let Ok(found) = find(text.as_bytes(), Encoding::Utf8);
        found.unwrap()
    }

    #[test]
    fn find_separator_and_decimal_sign_together() {
        // Troubles page 13.
        let layout = found("Zeit;Temp\r\n05.02.2026 09:00;4,5\r\n");
        assert_eq!((layout.separator, layout.decimal, layout.cells, layout.first_row), (';', Decimal::Comma, 2, 2));
        let layout = found("t,a\n2026-02-05 09:00,4.5\n2026-02-05 09:10,4\n");
        assert_eq!((layout.separator, layout.decimal), (',', Decimal::Point));
        let layout = found("t\ta\tb\n2026-02-05 09:00\t4,5\t1\n2026-02-05 09:10\t4\t2\n");
        assert_eq!((layout.separator, layout.decimal), ('\t', Decimal::Comma));
    }

    #[test]
    fn decimal_commas_in_quotes_between_commas_are_numbers() {
        let layout = found("time,t\n2026-02-01 10:00,\"4,5\"\n2026-02-01 10:10,\"-0,5\"\n");
        assert_eq!((layout.separator, layout.decimal, layout.cells), (',', Decimal::Comma, 2));
    }

    #[test]
    fn find_by_all_rows_not_by_the_first() {
        // The first rows have whole numbers only; the sign is found further on.
        let mut text = String::from("Zeit;A;B\n");
        for hour in 0..20 {
            text.push_str(&format!("05.02.2026 {hour:02}:00;{hour};7\n"));
        }
        text.push_str("06.02.2026 00:00;4,5;7\n");
        assert_eq!(found(&text).decimal, Decimal::Comma);
    }

    fn headed(text: &str) -> Head {
        let layout = found(text);
        let Ok(head) = head(text.as_bytes(), Encoding::Utf8, &layout);
        head
    }

    #[test]
    fn head_under_title_lines_and_above_units() {
        // Troubles page 14.
        let head = headed("Plot Title: bed 3\n#,Date Time GMT+01:00,Temp degF,RH %\n1,02/03/26 01:00:00 PM,50.0,91\n");
        assert_eq!((head.header, head.names.len(), head.titles.len()), (2, 4, 1));
        let head = headed("Zeit;Temp;Feuchte\n;[°C];[%]\n05.02.2026 09:00;4,5;91\n");
        assert_eq!((head.header, head.units), (1, vec![String::new(), "[°C]".to_owned(), "[%]".to_owned()]));
        let head = headed("05.02.2026 09:00;4,5;91\n05.02.2026 10:00;4,5;91\n");
        assert_eq!((head.header, head.names.len()), (0, 0));
    }

    #[test]
    fn head_with_a_cell_too_few_is_not_shifted_onto_other_columns() {
        let head = headed("time,temp\n1,2026-02-05 09:00,4.5\n2,2026-02-05 10:00,4.6\n");
        assert_eq!(head.header, 0);
        assert!(head.doubt.unwrap().starts_with("line 1 could be the header, but it has 2 cells"));
    }
}
