//! How the house is, in a light and in sentences.

use std::sync::Mutex;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering::Relaxed};

use propstick_wire::Millis;

/// Green: all is well. Amber: something wants a look. Red: readings are not being kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Light {
    /// All is well.
    Green,
    /// Something wants a look.
    Amber,
    /// Readings are not being kept.
    Red,
}

impl Light {
    /// Its word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            Light::Green => "green",
            Light::Amber => "amber",
            Light::Red => "red",
        }
    }
}

/// History being laid down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Building {
    /// How much is done.
    pub done: u64,
    /// Of how much.
    pub total: u64,
    /// What it is.
    pub what: String,
}

/// How the house is at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// The worst of all.
    pub light: Light,
    /// What there is to say, the worst first.
    pub says: Vec<String>,
    /// Readings committed since the start.
    pub readings: u64,
    /// Messages settled since the start.
    pub messages: u64,
    /// Generations of the ledger that are not worked out yet.
    pub not_worked_out: i64,
    /// History being laid down.
    pub building: Option<Building>,
}

/// How the house is; shared by all rooms.
#[derive(Debug, Default)]
pub struct Health {
    readings: AtomicU64,
    messages: AtomicU64,
    committed: AtomicI64,
    worked_out: AtomicI64,
    troubles: Mutex<Vec<(&'static str, Light, String)>>,
    building: Mutex<Option<Building>>,
    started: AtomicI64,
}

impl Health {
    /// A house that was started at `at`.
    pub fn new(at: Millis) -> Health {
        let health = Health::default();
        health.started.store(at.0, Relaxed);
        health
    }

    /// When the house was started.
    pub fn started(&self) -> Millis {
        Millis(self.started.load(Relaxed))
    }

    /// Counts what a commit brought.
    pub fn committed(&self, generation: i64, messages: usize, readings: usize) {
        self.readings.fetch_add(readings as u64, Relaxed);
        self.messages.fetch_add(messages as u64, Relaxed);
        self.committed.fetch_max(generation, Relaxed);
    }

    /// Notes up to which generation everything is worked out.
    pub fn worked_out(&self, generation: i64) {
        self.worked_out.fetch_max(generation, Relaxed);
    }

    /// Notes a trouble under a name; another word under the same name replaces it.
    pub fn trouble(&self, name: &'static str, light: Light, says: impl Into<String>) {
        let mut troubles = lock(&self.troubles);
        troubles.retain(|t| t.0 != name);
        troubles.push((name, light, says.into()));
    }

    /// Notes that the trouble of that name is over.
    pub fn well(&self, name: &'static str) {
        lock(&self.troubles).retain(|t| t.0 != name);
    }

    /// Notes how far history has been laid down.
    pub fn building(&self, building: Option<Building>) {
        *lock(&self.building) = building;
    }

    /// How the house is now.
    pub fn report(&self) -> Report {
        let mut troubles = lock(&self.troubles).clone();
        troubles.sort_by_key(|t| std::cmp::Reverse(t.1));
        Report {
            light: troubles.iter().map(|t| t.1).max().unwrap_or(Light::Green),
            says: troubles.into_iter().map(|t| t.2).collect(),
            readings: self.readings.load(Relaxed),
            messages: self.messages.load(Relaxed),
            not_worked_out: (self.committed.load(Relaxed) - self.worked_out.load(Relaxed)).max(0),
            building: lock(&self.building).clone(),
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    match mutex.lock() {
        Ok(guard) => guard,
        // A note is whole or not there: a thread that died while holding one has left nothing half done.
        Err(poisoned) => poisoned.into_inner(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worst_trouble_decides_the_light_and_goes_away_by_name() {
        let health = Health::new(Millis(5));
        health.trouble("road", Light::Amber, "No word from the broker.");
        health.trouble("store", Light::Red, "The disk is full.");
        assert_eq!((health.report().light, health.report().says[0].as_str()), (Light::Red, "The disk is full."));
        health.well("store");
        assert_eq!(health.report().light, Light::Amber);
    }
}
