//! Whole files: what is proposed for each layout, what is asked, and what is lost.

mod layouts;
mod lost;
mod moments;
mod rivals;
mod troubles;

use chrono_tz::Tz;
use propstick_wire::Millis;

use super::*;
use crate::instant::from_rfc3339;
use crate::table::{Column, Decimal, FileDevice, Piece, SampleRow, TimeForm, read};
use std::ops::ControlFlow;

/// The present of these tests.
fn now() -> Millis {
    from_rfc3339("2026-03-10T00:00:00Z").unwrap()
}

fn in_zone(zone: Tz) -> Hints {
    Hints { garden_zone: Some(zone), file_name: "logs/Tunnel probe 1.csv".to_owned(), ..Hints::default() }
}

fn of(file: impl AsRef<[u8]>, hints: &Hints) -> Outcome {
    let Ok(outcome) = propose(file.as_ref(), hints, now());
    outcome
}

/// The proposal of a file that is understood, having checked that its text reads back to the same mapping.
fn understood(file: impl AsRef<[u8]>, hints: &Hints) -> Proposal {
    let proposal = match of(file, hints) {
        Outcome::Understood(proposal) => proposal,
        other => panic!("{other:#?}"),
    };
    assert_eq!(FileMapping::from_toml(&proposal.text).unwrap(), proposal.mapping);
    proposal
}

fn open(file: impl AsRef<[u8]>, hints: &Hints) -> Proposal {
    match of(file, hints) {
        Outcome::Open(proposal) => proposal,
        other => panic!("{other:#?}"),
    }
}

fn lost(file: impl AsRef<[u8]>) -> Lost {
    match of(file, &in_zone(Tz::Europe__Dublin)) {
        Outcome::Lost(lost) => lost,
        other => panic!("{other:#?}"),
    }
}

impl Proposal {
    /// Column, channel, unit and interval of every field, one text each.
    fn fields(&self) -> Vec<String> {
        let each = |field: &crate::table::MappingField| {
            let column = field.column.as_ref().map(ToString::to_string).unwrap_or_default();
            let mut text = format!("{column} = {} {}", field.channel(), field.unit);
            if let (Some(kind), Some(span_s), Some(stamp)) = (field.kind, field.span_s, field.stamp) {
                text.push_str(&format!(" {} {span_s} {}", kind.word(), stamp.word()));
            }
            text
        };
        self.mapping.fields.iter().map(each).collect()
    }

    fn asked(&self) -> Vec<&str> {
        self.questions.iter().map(|question| question.key.as_str()).collect()
    }

    fn question(&self, key: &str) -> &Question {
        self.questions.iter().find(|question| question.key == key).unwrap()
    }

    fn left(&self) -> Vec<&str> {
        self.left_out.iter().map(|(column, _)| column.as_str()).collect()
    }

    fn why_left(&self, column: &str) -> &str {
        self.left_out.iter().find(|(left, _)| left == column).map(|(_, why)| why.as_str()).unwrap()
    }

    fn why(&self, key: &str) -> &str {
        self.because.iter().find(|because| because.key == key).map(|because| because.why.as_str()).unwrap()
    }

    fn zone(&self) -> String {
        self.mapping.time.zone.map(|zone| zone.to_string()).unwrap_or_default()
    }
}

/// The first rows of a file as its proposed mapping reads them.
fn sample(file: &[u8], proposal: &Proposal) -> Vec<SampleRow> {
    read(file, &proposal.mapping, now(), &mut |_: Piece<'_>| ControlFlow::Continue(())).unwrap().sample
}

/// A wave of invented numbers around a middle.
fn wave(middle: f64, swing: f64, row: usize) -> f64 {
    middle + swing * (row as f64 * 0.37).sin()
}

/// Times on the wall from one to another, so many minutes apart.
fn wall(from: &str, until: &str, minutes: i64) -> Vec<chrono::NaiveDateTime> {
    let parse = |text: &str| chrono::NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap();
    let (mut at, until) = (parse(from), parse(until));
    let mut times = Vec::new();
    while at < until {
        times.push(at);
        at += chrono::TimeDelta::minutes(minutes);
    }
    times
}
