//! Topics and filters: which message belongs to which of our contracts.

use propstick_wire::filter;

/// Reports of all boards.
pub const REPORTS: &str = "propstick/v1/+/report/#";
/// States of all boards.
pub const STATES: &str = "propstick/v1/+/state";

/// What this program listens to: the reports and states of its own boards, and the topics of other makers' devices.
#[derive(Clone, Debug)]
pub struct Interest {
    mappings: Vec<String>,
}

/// A topic filter that cannot be subscribed to.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is no topic filter: it needs 1 to 256 bytes, `+` and `#` alone in their level, `#` only at the end, and no `$` at the start"
)]
pub struct BadFilter(pub String);

impl Interest {
    /// Our contract and these filters of mappings.
    ///
    /// # Errors
    /// The first filter that cannot be subscribed to.
    pub fn new(mappings: Vec<String>) -> Result<Interest, BadFilter> {
        match mappings.iter().find(|mapping| filter::fault(mapping).is_some()) {
            Some(bad) => Err(BadFilter(bad.clone())),
            None => Ok(Interest { mappings }),
        }
    }

    /// The filters of mappings alone.
    pub fn mappings(&self) -> &[String] {
        &self.mappings
    }

    /// Every filter to subscribe to, each once.
    pub fn filters(&self) -> Vec<String> {
        let mut filters = vec![REPORTS.to_owned(), STATES.to_owned()];
        for mapping in &self.mappings {
            if !filters.contains(mapping) {
                filters.push(mapping.clone());
            }
        }
        filters
    }

    /// Whether a message on `topic` is to be stored. What this program publishes itself never is, however wide a mapping.
    pub fn wants(&self, topic: &str) -> bool {
        match board_topic(topic) {
            Some((_, Branch::Report | Branch::State)) => true,
            Some((_, Branch::Receipt | Branch::Settings)) => false,
            None => self.mappings.iter().any(|mapping| filter::matches(mapping, topic)),
        }
    }
}

/// The branches of a board's own topics.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// `report` and everything below it, from the board.
    Report,
    /// `state`, from the board.
    State,
    /// `receipt`, to the board.
    Receipt,
    /// `settings`, to the board.
    Settings,
}

/// The board's part and the branch, where `topic` is one of a board's topics in the contract.
pub fn board_topic(topic: &str) -> Option<(&str, Branch)> {
    let (part, rest) = topic.strip_prefix("propstick/v1/")?.split_once('/')?;
    if !part_is_sound(part) {
        return None;
    }
    let branch = match rest {
        "state" => Branch::State,
        "receipt" => Branch::Receipt,
        "settings" => Branch::Settings,
        "report" => Branch::Report,
        _ => rest.starts_with("report/").then_some(Branch::Report)?,
    };
    Some((part, branch))
}

/// Whether `part` can stand for a board in a topic: not empty, one level, no wildcard, no control character.
pub fn part_is_sound(part: &str) -> bool {
    !part.is_empty() && !part.chars().any(|c| matches!(c, '/' | '+' | '#') || c.is_control())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn interest_takes_reports_states_and_mapped_topics_only() {
        let interest = Interest::new(vec!["site/+/air".into()]).unwrap();
        for (topic, expected) in [
            ("propstick/v1/mac-02/report/3f9c21a7/1-2", true),
            ("propstick/v1/mac-02/state", true),
            ("site/east/air", true),
            ("site/east/air/more", false),
            ("propstick/v1/mac-02/receipt", false),
            ("propstick/v1/mac-02/settings", false),
            ("propstick/v1//state", false),
            ("propstick/v2/mac-02/state", false),
            ("elsewhere", false),
        ] {
            assert_eq!(interest.wants(topic), expected, "{topic}");
        }
    }

    #[test]
    fn interest_with_a_mapping_for_everything_still_leaves_our_own_messages_out() {
        let interest = Interest::new(vec!["#".into()]).unwrap();
        assert!(interest.wants("elsewhere"));
        assert!(!interest.wants("propstick/v1/mac-02/receipt"));
        assert!(!interest.wants("propstick/v1/mac-02/settings"));
        assert!(!interest.wants("$SYS/uptime"));
    }

    #[test]
    fn interest_with_an_unsound_filter_names_it() {
        for bad in ["", "a/#/b", "a/b#", "a+/b", "$SYS/#", "$share/g/a", "a\u{0}b"] {
            assert_eq!(Interest::new(vec!["good/+".into(), bad.into()]).unwrap_err(), BadFilter(bad.into()));
        }
    }

    #[test]
    fn interest_with_a_mapping_named_twice_subscribes_once() {
        let interest = Interest::new(vec!["a/+".into(), "a/+".into(), STATES.into()]).unwrap();
        assert_eq!(interest.filters(), [REPORTS, STATES, "a/+"]);
    }
}
