//! Who may say and hear what, as pure functions.

use std::future::Future;
use std::net::SocketAddr;
use std::pin::Pin;

use propstick_wire::filter;

use super::topic::{Branch, board_topic, part_is_sound};

/// Somebody who has been let in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Who {
    /// One of our boards.
    Board {
        /// Its part of the topic, which is its login name too.
        part: String,
    },
    /// Another maker's device, or a bridge for such devices.
    Foreign {
        /// Its login name.
        name: String,
    },
    /// Somebody without a login on this machine itself, while there are no logins at all.
    AnyoneOnLoopback,
}

/// The answer of [`Access::authenticate`].
pub type Admission<'a> = Pin<Box<dyn Future<Output = Option<Who>> + Send + 'a>>;

/// The doorkeeper, as the broker asks it. The rights below are meant to be its answers.
pub trait Access: Send + Sync + 'static {
    /// Who this is, or `None` to refuse. A login without a password comes with an empty one. Slow work (a password hash) belongs on a
    /// blocking thread; the broker asks two at a time.
    fn authenticate<'a>(&'a self, login: Option<(&'a str, &'a [u8])>, from: SocketAddr) -> Admission<'a>;

    /// Whether `who` may publish on `topic`. Asked for each message.
    fn may_publish(&self, who: &Who, topic: &str) -> bool;

    /// Whether `who` may subscribe to `filter`. Asked for each filter.
    fn may_subscribe(&self, who: &Who, filter: &str) -> bool;
}

/// Whether somebody without a login is let in: only from this machine itself, and only while no login exists.
pub fn anyone_admitted(logins_exist: bool, from: SocketAddr) -> bool {
    !logins_exist && from.ip().to_canonical().is_loopback()
}

/// Whether `who` may publish on `topic`; `mappings` are the filters of foreign devices.
///
/// A board may publish its own reports and state. A foreign login may publish what a mapping reads, but nothing of our contract,
/// however wide the mapping. Anyone on loopback may publish anything but what this program itself publishes. Nobody may publish on
/// topics that start with `$`.
pub fn may_publish(who: &Who, topic: &str, mappings: &[String]) -> bool {
    if topic.starts_with('$') {
        return false;
    }
    let own = board_topic(topic);
    match who {
        Who::Board { part } => matches!(own, Some((of, Branch::Report | Branch::State)) if of == part),
        Who::Foreign { .. } => {
            !in_our_contract(topic) && mappings.iter().any(|mapping| filter::matches(mapping, topic))
        }
        Who::AnyoneOnLoopback => !matches!(own, Some((_, Branch::Receipt | Branch::Settings))),
    }
}

/// Whether `who` may subscribe to `filter`.
///
/// A board may hear its own receipt and settings, by their exact topics: a filter that is wider than that is refused whole. A foreign
/// login hears nothing. Anyone on loopback may hear all but filters that start with `$`, which include shared subscriptions.
pub fn may_subscribe(who: &Who, filter: &str) -> bool {
    match who {
        Who::Board { part } => {
            part_is_sound(part)
                && matches!(board_topic(filter), Some((of, Branch::Receipt | Branch::Settings)) if of == part)
        }
        Who::Foreign { .. } => false,
        Who::AnyoneOnLoopback => !filter.starts_with('$'),
    }
}

fn in_our_contract(topic: &str) -> bool {
    topic == "propstick" || topic.starts_with("propstick/")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn board() -> Who {
        Who::Board { part: "mac-02".into() }
    }

    fn foreign() -> Who {
        Who::Foreign { name: "shed".into() }
    }

    #[test]
    fn board_may_publish_its_own_reports_and_state_only() {
        let mappings = ["#".to_owned()];
        for (topic, expected) in [
            ("propstick/v1/mac-02/report/3f9c21a7/1-2", true),
            ("propstick/v1/mac-02/state", true),
            ("propstick/v1/mac-02/receipt", false),
            ("propstick/v1/mac-02/settings", false),
            ("propstick/v1/mac-02/reports", false),
            ("propstick/v1/mac-03/report/3f9c21a7/1-2", false),
            ("propstick/v1/mac-03/state", false),
            ("propstick/v1/mac-02", false),
            ("site/east/air", false),
            ("$refused", false),
        ] {
            assert_eq!(may_publish(&board(), topic, &mappings), expected, "{topic}");
        }
    }

    #[test]
    fn board_subscribing_to_a_filter_wider_than_its_own_topics_is_refused() {
        for (filter, expected) in [
            ("propstick/v1/mac-02/receipt", true),
            ("propstick/v1/mac-02/settings", true),
            ("propstick/v1/mac-02/state", false),
            ("propstick/v1/mac-02/#", false),
            ("propstick/v1/mac-02/+", false),
            ("propstick/v1/+/receipt", false),
            ("propstick/+/mac-02/receipt", false),
            ("+/v1/mac-02/receipt", false),
            ("propstick/v1/mac-02/receipt/#", false),
            ("propstick/v1/mac-03/receipt", false),
            ("#", false),
            ("+", false),
            ("+/+/+/+", false),
            ("$share/g/propstick/v1/mac-02/receipt", false),
            ("$refused", false),
        ] {
            assert_eq!(may_subscribe(&board(), filter), expected, "{filter}");
        }
    }

    #[test]
    fn board_named_as_a_wildcard_gains_nothing() {
        for part in ["+", "#", "", "a/b"] {
            let who = Who::Board { part: part.into() };
            assert!(!may_subscribe(&who, &format!("propstick/v1/{part}/receipt")), "{part}");
            assert!(!may_publish(&who, &format!("propstick/v1/{part}/state"), &[]), "{part}");
        }
    }

    #[test]
    fn foreign_login_may_publish_on_mappings_but_never_in_our_contract() {
        let mappings = ["site/+/air".to_owned(), "+/+/+/+".to_owned(), "#".to_owned()];
        for (topic, expected) in [
            ("site/east/air", true),
            ("propstick/v1/mac-02/state", false),
            ("propstick/v1/mac-02/report/3f9c21a7/1-2", false),
            ("propstick/v1/mac-02/receipt", false),
            ("$SYS/x", false),
        ] {
            assert_eq!(may_publish(&foreign(), topic, &mappings), expected, "{topic}");
        }
        assert!(!may_publish(&foreign(), "site/east/air", &[]));
        assert!(!may_subscribe(&foreign(), "site/east/air"));
        assert!(!may_subscribe(&foreign(), "#"));
    }

    #[test]
    fn anyone_on_loopback_may_not_speak_for_this_program_or_touch_dollar_topics() {
        let who = Who::AnyoneOnLoopback;
        for (topic, expected) in [
            ("propstick/v1/mac-02/report/3f9c21a7/1-2", true),
            ("elsewhere", true),
            ("propstick/v1/mac-02/receipt", false),
            ("propstick/v1/mac-02/settings", false),
            ("$refused", false),
            ("$SYS/x", false),
        ] {
            assert_eq!(may_publish(&who, topic, &[]), expected, "{topic}");
        }
        assert!(may_subscribe(&who, "#"));
        assert!(may_subscribe(&who, "propstick/v1/+/receipt"));
        assert!(!may_subscribe(&who, "$refused"));
        assert!(!may_subscribe(&who, "$share/g/#"));
    }

    #[test]
    fn anyone_is_admitted_from_loopback_while_no_login_exists() {
        let at = |ip: &str| SocketAddr::new(ip.parse().unwrap(), 1);
        for ip in ["127.0.0.1", "127.8.8.8", "::1", "::ffff:127.0.0.1"] {
            assert!(anyone_admitted(false, at(ip)), "{ip}");
            assert!(!anyone_admitted(true, at(ip)), "{ip}");
        }
        for ip in ["192.0.2.7", "::ffff:192.0.2.7", "2001:db8::1", "0.0.0.0"] {
            assert!(!anyone_admitted(false, at(ip)), "{ip}");
        }
    }
}
