//! Lines that fit a terminal.

/// Least room for words beside an indent; on a narrower terminal lines run over.
const LEAST: usize = 20;

/// `text` after `first`, in lines of at most `width` characters; further lines stand under the beginning of the text. A word is never cut.
/// Without a width it is one line.
pub(super) fn wrapped(first: &str, text: &str, width: Option<usize>) -> Vec<String> {
    let Some(width) = width else { return vec![format!("{first}{text}")] };
    let indent = first.chars().count();
    let room = width.saturating_sub(indent).max(LEAST);
    let mut lines = Vec::new();
    let mut line = String::new();
    // Only plain spaces part words: a number stays with its unit where the space between does not break.
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > room {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    let lead = |k: usize| if k == 0 { first.to_owned() } else { " ".repeat(indent) };
    lines.iter().enumerate().map(|(k, line)| format!("{}{line}", lead(k))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn further_lines_hang_under_the_first() {
        let lines = wrapped("Tunnel  ", "Open both doors a crack from about 10:30, to dry.", Some(40));
        assert_eq!(lines, ["Tunnel  Open both doors a crack from", "        about 10:30, to dry."]);
        assert_eq!(wrapped("A ", "b c", None), ["A b c"]);
    }

    #[test]
    fn no_text_is_the_lead_alone() {
        assert_eq!(wrapped("A", "", Some(80)), ["A"]);
    }

    proptest! {
        #[test]
        fn prop_words_are_kept_in_order_and_lines_fit(words in prop::collection::vec("[a-z°−]{1,12}", 0..60), width in 30_usize..110) {
            let lines = wrapped("Name  ", &words.join(" "), Some(width));
            prop_assert!(lines.iter().all(|line| line.chars().count() <= width));
            let back: Vec<String> = lines.join(" ").split_whitespace().skip(1).map(str::to_owned).collect();
            prop_assert_eq!(back, words);
        }
    }
}
