//! Topic filters of MQTT: the rules of a mapping, of a login and of a subscription are the same.

/// What is wrong with a topic filter, if anything (MQTT 5, section 4.7).
pub fn fault(filter: &str) -> Option<&'static str> {
    if filter.is_empty() || filter.len() > 256 {
        return Some("expected 1 to 256 bytes");
    }
    if filter.contains(['\0', '\u{feff}']) || filter.chars().any(char::is_control) {
        return Some("expected no control character");
    }
    if filter.starts_with('$') {
        return Some("expected no '$' in front: those topics are the broker's own");
    }
    let mut levels = filter.split('/').peekable();
    while let Some(level) = levels.next() {
        if level.contains('#') && (level != "#" || levels.peek().is_some()) {
            return Some("expected '#' only as the whole of the last level");
        }
        if level.contains('+') && level != "+" {
            return Some("expected '+' only as the whole of a level");
        }
    }
    None
}

/// Whether a filter has a wildcard, and so may match more than one topic.
pub fn is_wide(filter: &str) -> bool {
    filter.contains(['+', '#'])
}

/// Whether `topic` is one that `filter` names. Topics that begin with `$` are the broker's own and match no wildcard in front.
pub fn matches(filter: &str, topic: &str) -> bool {
    if topic.is_empty() || topic.starts_with('$') && filter.starts_with(['+', '#']) {
        return false;
    }
    let mut levels = topic.split('/');
    for wanted in filter.split('/') {
        match (wanted, levels.next()) {
            ("#", _) => return true,
            ("+", Some(_)) => {}
            (wanted, Some(level)) if wanted == level => {}
            _ => return false,
        }
    }
    levels.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn matches_by_the_rules_of_mqtt() {
        // MQTT 5, section 4.7.1 and 4.7.2.
        for (filter, topic, expected) in [
            ("site/3/air", "site/3/air", true),
            ("site/3/air", "site/3/air/", false),
            ("site/3/air", "site/3", false),
            ("site/+/air", "site/3/air", true),
            ("site/+/air", "site//air", true),
            ("site/+/air", "site/3/4/air", false),
            ("site/+", "site", false),
            ("site/+", "site/", true),
            ("/+", "/site", true),
            ("site/#", "site/3/air", true),
            ("site/#", "site", true),
            ("site/#", "sites", false),
            ("#", "site/3", true),
            ("+", "site", true),
            ("+", "/site", false),
            ("+/+", "/site", true),
            ("#", "$SYS/load", false),
            ("+/load", "$SYS/load", false),
            ("$SYS/#", "$SYS/load", true),
            ("#", "", false),
        ] {
            assert_eq!(matches(filter, topic), expected, "{filter} {topic}");
        }
    }

    #[test]
    fn fault_in_a_filter_is_found() {
        for filter in ["", "a/#/b", "a#", "#a", "a/b+", "+a/b", "a\u{0}b", "a\nb", "$SYS/#"] {
            assert!(fault(filter).is_some(), "{filter}");
        }
        for filter in ["a", "#", "+", "+/+/#", "/", "a//b", "é/+"] {
            assert_eq!(fault(filter), None, "{filter}");
        }
    }
}
