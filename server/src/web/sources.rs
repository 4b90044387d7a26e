//! The constants and tables that the figures rest on, each with its source and how far it can be trusted.

use std::sync::LazyLock;

use axum::Json;
use propstick_agronomy::sourced::{self, Entry, Provenance, Sourced};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::asked::Asked;
use super::problem::Problem;

/// How far numbers can be trusted, the best first.
const MARKS: [Provenance; 4] = [Provenance::Published, Provenance::Secondary, Provenance::Memory, Provenance::Proposal];

/// They never change while the program runs.
static SOURCES: LazyLock<SourcesAnswer> = LazyLock::new(|| SourcesAnswer {
    version: sourced::VERSION,
    fingerprint: format!("{:016x}", sourced::fingerprint()),
    constants: sourced::all().map(ConstantPart::from).collect(),
    tables: sourced::tables().into_iter().map(EntryPart::from).collect(),
});

/// Which sources.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(super) struct SourcesAsked {
    /// Those alone that can be trusted so far: `published`, `secondary`, `memory` or `our proposal`.
    mark: Option<String>,
    /// Those alone with this in their name, table, row or column.
    name: Option<String>,
}

/// Everything that the figures rest on.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SourcesAnswer {
    /// Version of all constants and tables together.
    version: u32,
    /// Changes with any name or value of them, asked for or not: 16 hexadecimal digits.
    fingerprint: String,
    /// Single numbers.
    constants: Vec<ConstantPart>,
    /// Numbers of tables, row by row.
    tables: Vec<EntryPart>,
}

/// A number with what stands behind it.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({"name": "wet-on", "value": 90.0, "unit": "%RH", "lowest": 80.0, "highest": 96.0, "mark": "published", "source": "a paper, its table"}))]
pub struct ConstantPart {
    /// Its name; `/api/sources?name=` finds it.
    name: &'static str,
    /// In `unit`.
    value: f64,
    /// The unit of value, lowest and highest.
    unit: &'static str,
    /// Least value that would still mean the same thing.
    lowest: f64,
    /// Greatest value that would still mean the same thing.
    highest: f64,
    /// How far it can be trusted: `published`, `secondary`, `memory` (recalled and not read again) or `our proposal`.
    mark: &'static str,
    /// Where it comes from.
    source: &'static str,
}

/// A number of a table.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct EntryPart {
    /// The table.
    table: &'static str,
    /// Its row, such as a disease or a soil.
    row: String,
    /// Its column.
    column: &'static str,
    /// In `unit`.
    value: f64,
    /// The unit; `1` stands for a bare number.
    unit: &'static str,
    /// As for a constant.
    mark: &'static str,
    /// Where it comes from.
    source: &'static str,
}

/// The constants and tables that the figures rest on, with unit, validity, source, and how far each can be trusted.
#[utoipa::path(get, path = "/api/sources", params(SourcesAsked),
    responses((status = 200, body = SourcesAnswer), (status = 400, body = Problem)))]
pub(super) async fn sources(Asked(asked): Asked<SourcesAsked>) -> Result<Json<SourcesAnswer>, Problem> {
    if let Some(mark) = asked.mark.as_deref().filter(|mark| !MARKS.iter().any(|m| m.word() == *mark)) {
        return Err(Problem::bad("mark", mark, &MARKS.map(Provenance::word).join(", ")));
    }
    let fits = |mark: &str, names: &[&str]| {
        asked.mark.as_deref().is_none_or(|wanted| wanted == mark)
            && asked.name.as_deref().is_none_or(|wanted| names.iter().any(|name| name.contains(wanted)))
    };
    let constants = SOURCES.constants.iter().filter(|c| fits(c.mark, &[c.name]));
    let tables = SOURCES.tables.iter().filter(|e| fits(e.mark, &[e.table, &e.row, e.column]));
    Ok(Json(SourcesAnswer {
        version: SOURCES.version,
        fingerprint: SOURCES.fingerprint.clone(),
        constants: constants.cloned().collect(),
        tables: tables.cloned().collect(),
    }))
}

impl From<&'static Sourced> for ConstantPart {
    fn from(c: &'static Sourced) -> ConstantPart {
        let (name, value, unit, source) = (c.name, c.value, c.unit, c.source);
        ConstantPart { name, value, unit, lowest: c.lowest, highest: c.highest, mark: c.provenance.word(), source }
    }
}

impl From<Entry> for EntryPart {
    fn from(e: Entry) -> EntryPart {
        let (table, row, column) = (e.table, e.row, e.column);
        EntryPart { table, row, column, value: e.value, unit: e.unit, mark: e.provenance.word(), source: e.source }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    async fn asked(mark: Option<&str>, name: Option<&str>) -> Result<Value, Problem> {
        let asked = SourcesAsked { mark: mark.map(str::to_owned), name: name.map(str::to_owned) };
        sources(Asked(asked)).await.map(|Json(answer)| serde_json::to_value(answer).unwrap())
    }

    fn all<'a>(answer: &'a Value, what: &str) -> &'a Vec<Value> {
        answer[what].as_array().unwrap()
    }

    #[tokio::test]
    async fn every_constant_and_every_row_stands_there_with_its_source() {
        let answer = asked(None, None).await.unwrap();
        assert_eq!(all(&answer, "constants").len(), sourced::all().count());
        assert_eq!(all(&answer, "tables").len(), sourced::tables().len());
        assert_eq!(answer["version"], sourced::VERSION);
        let digits = answer["fingerprint"].as_str().unwrap();
        assert_eq!((digits.len(), u64::from_str_radix(digits, 16).unwrap()), (16, sourced::fingerprint()));
        // Wetness sheet 1.5: wet from 90 %RH on.
        let wet_on = all(&answer, "constants").iter().find(|c| c["name"] == "wet-on").unwrap();
        assert_eq!((&wet_on["value"], &wet_on["unit"]), (&json!(90.0), &json!("%RH")));
        // FAO-56 Table 12: lettuce in full leaf 1.00, published.
        let is = |e: &&Value| e["table"] == "crop-water" && e["row"] == "lettuce" && e["column"] == "Kc full";
        let kc = all(&answer, "tables").iter().find(is).unwrap();
        assert_eq!((&kc["value"], &kc["unit"], &kc["mark"]), (&json!(1.0), &json!("1"), &json!("published")));
        for part in all(&answer, "constants").iter().chain(all(&answer, "tables")) {
            assert!(part["source"].as_str().is_some_and(|s| s.len() > 8), "{part}");
        }
    }

    #[tokio::test]
    async fn marks_part_them_all_and_none_twice() {
        let mut seen = 0;
        for mark in MARKS {
            let answer = asked(Some(mark.word()), None).await.unwrap();
            for part in all(&answer, "constants").iter().chain(all(&answer, "tables")) {
                assert_eq!(part["mark"], mark.word());
                seen += 1;
            }
        }
        assert_eq!(seen, sourced::all().count() + sourced::tables().len());
    }

    #[tokio::test]
    async fn a_name_narrows_to_those_that_have_it_and_the_fingerprint_stays_that_of_all() {
        let answer = asked(None, Some("lettuce")).await.unwrap();
        assert!(!all(&answer, "tables").is_empty());
        assert!(all(&answer, "tables").iter().all(|e| e.to_string().contains("lettuce")));
        assert_eq!(answer["fingerprint"], asked(None, None).await.unwrap()["fingerprint"]);
    }

    #[tokio::test]
    async fn a_mark_that_there_is_not_is_refused_with_those_there_are() {
        let problem = asked(Some("guess"), None).await.unwrap_err();
        assert_eq!((problem.status, problem.value.as_deref()), (400, Some("guess")));
        assert_eq!(problem.allowed.as_deref(), Some("published, secondary, memory, our proposal"));
    }
}
