//! What a person says of a file beforehand, and whether it could be followed.

use std::collections::BTreeMap;
use std::path::Path;

use propstick_garden::table::propose::{Hints, Proposal};

use super::super::Failed;
use super::{ImportArgs, folder};

/// What the options say of a file.
pub(super) fn given(args: &ImportArgs, path: &Path) -> Hints {
    Hints {
        name: args.name.clone(),
        time: args.time.clone(),
        zone: args.zone,
        order: args.order,
        stamp: args.stamp,
        units: args.units.iter().cloned().collect(),
        quantities: args.quantities.iter().cloned().collect(),
        garden_zone: folder::garden_zone(&args.at.data),
        file_name: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
    }
}

/// What is said of a column that the file does not have was meant for another, and what could not be followed was meant otherwise.
pub(super) fn were_taken(hints: &Hints, proposal: &Proposal) -> Result<(), Failed> {
    let columns = proposal.mapping.columns();
    let mut known: Vec<String> = columns.iter().map(|(_, column)| column.to_string()).collect();
    known.extend(proposal.left_out.iter().map(|(column, _)| column.clone()));
    known.extend(proposal.questions.iter().filter_map(|q| q.key.split_once(':').map(|(_, column)| column.to_owned())));
    known.sort();
    known.dedup();
    let is_there = |option: &str, column: &String| match known.contains(column) {
        true => Ok(()),
        false => {
            Err(Failed::given(format!("{option}: there is no column {column:?}; the file has {}", known.join(", "))))
        }
    };
    if let Some(told) = &hints.time {
        is_there("--time", told)?;
        if !columns.iter().any(|(key, column)| key.starts_with("time.") && column.to_string() == *told) {
            return Err(Failed::given(format!(
                "--time {told:?} cannot be followed: no whole times stand in that column"
            )));
        }
    }
    for (option, said) in [("--unit", &hints.units), ("--quantity", &hints.quantities)] {
        followed(option, said, proposal, &is_there)?;
    }
    Ok(())
}

fn followed(
    option: &str,
    said: &BTreeMap<String, String>,
    proposal: &Proposal,
    is_there: &impl Fn(&str, &String) -> Result<(), Failed>,
) -> Result<(), Failed> {
    for (column, word) in said {
        is_there(option, column)?;
        let left = proposal.left_out.iter().find(|(left, _)| left == column).map(|(_, why)| why.clone());
        let used = proposal
            .mapping
            .columns()
            .into_iter()
            .find(|(key, used)| !key.starts_with("field") && used.to_string() == *column);
        let why = left.or_else(|| {
            used.map(|(key, _)| format!("it is read as the {}", key.split('.').next().unwrap_or_default()))
        });
        if let Some(why) = why.filter(|_| word != "-") {
            return Err(Failed::given(format!("{option} \"{column}={word}\" cannot be followed: {why}")));
        }
    }
    Ok(())
}
