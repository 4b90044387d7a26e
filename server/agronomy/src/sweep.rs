//! Every public function of the crate under numbers that cannot be meant: no NaN and no infinity leaves, what has a range refuses, nothing panics.
//!
//! A public function that is neither in [`rows`] nor in [`WITHOUT_NUMBERS`] fails the build of tests: add a row for it.

extern crate std;

mod air;
mod damp;
mod series;
mod sky;

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

/// What is promised of an answer.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Promise {
    /// `None` or an error where any number given is not finite or beyond 1e200.
    Refuses,
    /// Some answer, without NaN or infinity.
    Answers,
}
use Promise::{Answers, Refuses};

/// A public function: `file.rs: name`, what it promises, and a call with wild numbers whose answers are written out.
struct Row(&'static str, Promise, fn(&mut Wild) -> String);

fn rows() -> impl Iterator<Item = &'static Row> {
    [air::ROWS, sky::ROWS, damp::ROWS, series::ROWS].into_iter().flatten()
}

/// Public functions that take no number, or only whole ones of a fixed range.
const WITHOUT_NUMBERS: &[&str] = &[
    "degree_days.rs: name",
    "degree_days.rs: of_name",
    "degree_days.rs: base_c",
    "degree_days.rs: upper",
    "disease.rs: from_bool",
    "disease.rs: is_yes",
    "disease.rs: and",
    "disease/blight.rs: completes_period",
    "disease/infection.rs: dry",
    "disease/latent.rs: merge_windows",
    "disease/names.rs: must_not_be_shown",
    "disease/rows.rs: row",
    "frost/covers.rs: gain_c",
    "frost/covers.rs: least_gain_c",
    "frost/critical.rs: range_c",
    "frost/critical.rs: alert_c",
    "growth.rs: name",
    "growth.rs: season_mean_c",
    "light.rs: transmission",
    "quality.rs: all",
    "quality.rs: name",
    "quality.rs: counts_as_missing",
    "quality.rs: reach_ms",
    "quality.rs: with",
    "quality.rs: and",
    "quality.rs: has",
    "quality.rs: is_empty",
    "quality.rs: iter",
    "risk/fold.rs: disease",
    "risk/groups.rs: word",
    "risk/groups.rs: from_word",
    "risk/groups.rs: diseases",
    "risk/groups.rs: flags",
    "risk/level.rs: word",
    "risk/level.rs: one_higher",
    "risk/standing.rs: weeks",
    "risk/standing.rs: place",
    "runs.rs: all",
    "runs.rs: map",
    "runs.rs: with",
    "runs.rs: as_refs",
    "sourced.rs: word",
    "sourced.rs: all",
    "sourced.rs: tables",
    "sourced.rs: fingerprint",
    "sun/day_length.rs: name",
    "water/balance.rs: efficiency",
    "water/crops.rs: crop",
    "water/soils.rs: of_name",
    "water/tension.rs: tension_of",
    "water/soils.rs: middle",
];

/// Numbers, half of them such as no thermometer sends, in a fixed order.
struct Wild {
    seed: u64,
    absurd: bool,
}

const NEVER_MEANT: [f64; 9] =
    [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN, 1e300, -1e300, -f64::NAN, 1e201];
const ODD: [f64; 16] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    100.0,
    105.0,
    105.1,
    340.0,
    -127.0,
    85.0,
    -273.15,
    1e-300,
    f64::MIN_POSITIVE,
    1e9,
    -1e9,
    65_535.0,
];

impl Wild {
    fn next(&mut self) -> u64 {
        // Splitmix64.
        self.seed = self.seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.seed;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn even(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Any number: one time in eight one that is never meant, one in four an odd one, else one of a believable size.
    fn n(&mut self) -> f64 {
        match self.below(8) {
            0 => {
                self.absurd = true;
                NEVER_MEANT[self.below(NEVER_MEANT.len())]
            }
            1 | 2 => ODD[self.below(ODD.len())],
            3 => self.even(),
            4 => -60.0 + 180.0 * self.even(),
            5 => 100.0 * self.even(),
            _ => 25.0 * self.even(),
        }
    }

    fn option(&mut self) -> Option<f64> {
        (self.below(4) > 0).then(|| self.n())
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    fn flag(&mut self) -> bool {
        self.below(2) == 0
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }

    /// An instant of the years about 2026, ms.
    fn t_ms(&mut self) -> i64 {
        1_767_225_600_000 + (self.next() % 400_000_000_000) as i64
    }

    /// A number of a day, far beyond any calendar at times.
    fn day(&mut self) -> i64 {
        match self.below(4) {
            0 => [i64::MIN, i64::MAX, 0, -1, 1_000_000_000_000][self.below(5)],
            _ => self.next() as i64 % 40_000,
        }
    }

    fn day_of_year(&mut self) -> u32 {
        self.one_of(&[0, 1, 50, 180, 355, 365, 366, 367, 4_000, u32::MAX])
    }
}

/// Whether a written-out answer holds a number that is none.
fn holds_no_number(answer: &str) -> bool {
    answer.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| word == "NaN" || word == "inf")
}

/// How often each function is called.
const CALLS: usize = 6_000;

#[test]
fn no_nan_leaves_the_core_and_what_cannot_be_meant_is_refused() {
    let mut wrong = Vec::new();
    for (n, Row(name, promise, call)) in rows().enumerate() {
        let mut wild = Wild { seed: n as u64, absurd: false };
        let (mut refused, mut answered) = (0, 0);
        for _ in 0..CALLS {
            wild.absurd = false;
            let answer = call(&mut wild);
            let none = answer == "None" || answer.starts_with("Err(");
            if none {
                refused += 1;
            } else {
                answered += 1;
            }
            let absurd = wild.absurd;
            let bad = holds_no_number(&answer) || (*promise == Refuses && absurd && !none);
            if bad {
                wrong.push(format!("{name} gave {answer}"));
                break;
            }
        }
        // A row whose calls are all refused, or none of them, tests nothing of what it promises.
        if *promise == Refuses && (refused == 0 || answered == 0) {
            wrong.push(format!("{name}: {answered} calls answered, {refused} refused: the row tests nothing"));
        }
    }
    assert!(wrong.is_empty(), "{} functions:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_public_function_is_in_the_sweep() {
    let mut public = BTreeSet::new();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = alloc::vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/");
            if path.is_dir() {
                folders.push(path);
            } else if !name.ends_with("tests.rs") && !name.ends_with("faults.rs") && !name.starts_with("sweep") {
                let text = std::fs::read_to_string(&path).unwrap();
                public.extend(public_functions(&text).map(|function| format!("{name}: {function}")));
            }
        }
    }
    let listed = || rows().map(|row| row.0).chain(WITHOUT_NUMBERS.iter().copied());
    let known: BTreeSet<String> = listed().map(str::to_string).collect();
    let missing: Vec<&String> = public.difference(&known).collect();
    let gone: Vec<&String> = known.difference(&public).collect();
    assert!(missing.is_empty(), "add a row in src/sweep for: {missing:#?}");
    assert!(gone.is_empty(), "no longer there: {gone:#?}");
    assert_eq!(listed().count(), known.len(), "a function is listed twice");
    assert!(public.len() > 150);
}

/// Names of the public functions before a file's tests.
fn public_functions(text: &str) -> impl Iterator<Item = String> {
    let code = text.split("\nmod tests").next().unwrap_or(text);
    code.lines().filter_map(|line| {
        let rest = line.trim_start().strip_prefix("pub ")?;
        let rest = rest.strip_prefix("const ").unwrap_or(rest).strip_prefix("fn ")?;
        Some(rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect())
    })
}
