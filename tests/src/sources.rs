//! Reading the project's own source text, for the tests that guard the floor plan.
//!
//! It is a small tokeniser, no parser: enough that a word in a comment or in a text does not count, and that
//! `use crate::{a::b, c}` yields the paths it names.

use std::path::{Path, PathBuf};

/// The folder that holds the workspace's `Cargo.toml`.
pub fn workspace_root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// Every `.rs` file at or below `place`, in a fixed order; none where `place` does not exist.
pub fn rust_files(place: &Path) -> Vec<PathBuf> {
    if place.is_file() {
        return vec![place.to_path_buf()];
    }
    let mut found = Vec::new();
    let Ok(entries) = std::fs::read_dir(place) else { return found };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// A piece of source text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: Kind,
    /// Line in its file, from 1.
    pub line: usize,
}

/// The kinds of pieces that are told apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A name or keyword.
    Word(String),
    /// `::`
    PathSep,
    /// Any other mark.
    Mark(char),
    /// The inside of a string literal, as written.
    Text(String),
}

impl Token {
    /// Whether it is the name or keyword `word`.
    pub fn is_word(&self, word: &str) -> bool {
        matches!(&self.kind, Kind::Word(w) if w == word)
    }

    /// Whether it is the mark `mark`.
    pub fn is_mark(&self, mark: char) -> bool {
        self.kind == Kind::Mark(mark)
    }
}

/// The tokens of `source`; comments, characters and numbers are left out.
pub fn tokens(source: &str) -> Vec<Token> {
    let chars: Vec<char> = source.chars().collect();
    let mut out = Vec::new();
    let (mut i, mut line) = (0, 1);
    while i < chars.len() {
        let c = chars[i];
        let next = chars.get(i + 1).copied().unwrap_or('\0');
        let start_line = line;
        let end = match c {
            '/' if next == '/' => (i..chars.len()).find(|&k| chars[k] == '\n').unwrap_or(chars.len()),
            '/' if next == '*' => end_of_block_comment(&chars, i),
            '"' => {
                let end = end_of_text(&chars, i);
                out.push(Token { kind: Kind::Text(inside(&chars, i + 1, end - 1)), line: start_line });
                end
            }
            '\'' => end_of_character(&chars, i),
            _ if c.is_alphabetic() || c == '_' => {
                let end = end_of_word(&chars, i);
                let word: String = chars[i..end].iter().collect();
                match raw_text(&chars, &word, end) {
                    Some((from, to, after)) => {
                        out.push(Token { kind: Kind::Text(inside(&chars, from, to)), line: start_line });
                        after
                    }
                    None => {
                        // A raw name `r#type` is the name behind the mark.
                        let raw_name = word == "r" && chars.get(end) == Some(&'#');
                        if raw_name {
                            end + 1
                        } else {
                            out.push(Token { kind: Kind::Word(word), line: start_line });
                            end
                        }
                    }
                }
            }
            _ if c.is_ascii_digit() => end_of_word(&chars, i),
            ':' if next == ':' => {
                out.push(Token { kind: Kind::PathSep, line: start_line });
                i + 2
            }
            _ => {
                if !c.is_whitespace() {
                    out.push(Token { kind: Kind::Mark(c), line: start_line });
                }
                i + 1
            }
        };
        let end = end.clamp(i + 1, chars.len());
        line += chars[i..end].iter().filter(|&&k| k == '\n').count();
        i = end;
    }
    out
}

fn inside(chars: &[char], from: usize, to: usize) -> String {
    chars.get(from..to.max(from)).unwrap_or_default().iter().collect()
}

fn end_of_word(chars: &[char], from: usize) -> usize {
    (from..chars.len()).find(|&k| !(chars[k].is_alphanumeric() || chars[k] == '_')).unwrap_or(chars.len())
}

fn end_of_block_comment(chars: &[char], from: usize) -> usize {
    let (mut depth, mut k) = (0usize, from);
    while k + 1 < chars.len() {
        match (chars[k], chars[k + 1]) {
            ('/', '*') => {
                depth += 1;
                k += 2;
            }
            ('*', '/') => {
                depth -= 1;
                k += 2;
                if depth == 0 {
                    return k;
                }
            }
            _ => k += 1,
        }
    }
    chars.len()
}

/// Index after the closing quote of the string that opens at `from`.
fn end_of_text(chars: &[char], from: usize) -> usize {
    let mut k = from + 1;
    while k < chars.len() {
        match chars[k] {
            '\\' => k += 2,
            '"' => return k + 1,
            _ => k += 1,
        }
    }
    chars.len()
}

/// A character literal is skipped whole; of a lifetime only the mark, so that its name stays a word.
fn end_of_character(chars: &[char], from: usize) -> usize {
    if chars.get(from + 1) == Some(&'\\') {
        return (from + 3..chars.len()).find(|&k| chars[k] == '\'').map_or(chars.len(), |k| k + 1);
    }
    if chars.get(from + 2) == Some(&'\'') { from + 3 } else { from + 1 }
}

/// Start, end and index after it of a raw string (`r"…"`, `r#"…"#`, `br#"…"#`) whose prefix `word` ends at `at`.
fn raw_text(chars: &[char], word: &str, at: usize) -> Option<(usize, usize, usize)> {
    if !matches!(word, "r" | "br" | "cr") {
        return None;
    }
    let hashes = chars[at..].iter().take_while(|&&c| c == '#').count();
    if chars.get(at + hashes) != Some(&'"') {
        return None;
    }
    let from = at + hashes + 1;
    let to = (from..chars.len())
        .find(|&k| chars[k] == '"' && chars[k + 1..].iter().take_while(|&&c| c == '#').count() >= hashes)
        .unwrap_or(chars.len());
    Some((from, to, to + 1 + hashes))
}

/// `tokens` without what stands under `#[cfg(test)]`: the item that follows it, to the end of its braces or its semicolon.
pub fn without_tests(tokens: &[Token]) -> Vec<Token> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        if starts_cfg_test(&tokens[i..]) {
            i = end_of_item(tokens, i + 7);
        } else {
            out.push(tokens[i].clone());
            i += 1;
        }
    }
    out
}

/// `#[cfg(test)]` is seven tokens.
fn starts_cfg_test(tokens: &[Token]) -> bool {
    tokens.len() > 7
        && tokens[0].is_mark('#')
        && tokens[1].is_mark('[')
        && tokens[2].is_word("cfg")
        && tokens[3].is_mark('(')
        && tokens[4].is_word("test")
        && tokens[5].is_mark(')')
        && tokens[6].is_mark(']')
}

fn end_of_item(tokens: &[Token], from: usize) -> usize {
    let mut depth = 0i32;
    for (k, token) in tokens.iter().enumerate().skip(from) {
        match token.kind {
            Kind::Mark('{' | '(' | '[') => depth += 1,
            Kind::Mark('}') if depth == 1 => return k + 1,
            Kind::Mark('}' | ')' | ']') => depth -= 1,
            Kind::Mark(';') if depth == 0 => return k + 1,
            _ => {}
        }
    }
    tokens.len()
}

/// A path as named in the source, with its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Its segments; `*` stands for a glob.
    pub path: Vec<String>,
    /// Line in its file, from 1.
    pub line: usize,
}

/// Every path of two or more segments named in `tokens`, groups spread out: `a::{b, c::d}` gives `a::b` and `a::c::d`.
pub fn named_paths(tokens: &[Token]) -> Vec<Named> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let begins = matches!(tokens[i].kind, Kind::Word(_))
            && tokens.get(i + 1).is_some_and(|t| t.kind == Kind::PathSep)
            && !(i > 0 && tokens[i - 1].kind == Kind::PathSep);
        i = if begins { read_tree(tokens, i, &[], &mut out) } else { i + 1 };
    }
    out
}

/// Reads one branch of a path from `i`, behind the segments `stem`; returns the index after it.
fn read_tree(tokens: &[Token], mut i: usize, stem: &[String], out: &mut Vec<Named>) -> usize {
    let mut path = stem.to_vec();
    let line = tokens.get(i).map_or(0, |t| t.line);
    while let Some(token) = tokens.get(i) {
        match &token.kind {
            Kind::Word(word) => {
                path.push(word.clone());
                i += 1;
            }
            Kind::Mark('*') if path.len() > stem.len() || !stem.is_empty() => {
                path.push("*".to_string());
                i += 1;
            }
            Kind::Mark('{') if !path.is_empty() => {
                i += 1;
                while i < tokens.len() && !tokens[i].is_mark('}') {
                    let before = i;
                    i = read_tree(tokens, i, &path, out);
                    // `name as other` inside a group, and the comma.
                    while i < tokens.len() && !tokens[i].is_mark(',') && !tokens[i].is_mark('}') {
                        i += 1;
                    }
                    if i < tokens.len() && tokens[i].is_mark(',') {
                        i += 1;
                    }
                    if i == before {
                        i += 1;
                    }
                }
                return i + 1;
            }
            _ => break,
        }
        if tokens.get(i).is_some_and(|t| t.kind == Kind::PathSep) {
            i += 1;
        } else {
            break;
        }
    }
    if path.len() >= 2 {
        out.push(Named { path, line });
    }
    i
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paths(source: &str) -> Vec<String> {
        named_paths(&tokens(source)).into_iter().map(|n| n.path.join("::")).collect()
    }

    #[test]
    fn path_in_comment_or_text_is_not_named() {
        let source = "// crate::a\n/* crate::b /* crate::c */ crate::d */ let x = \"crate::e\"; let y = r#\"crate::\"f\"#; '\"'; crate::g";
        assert_eq!(paths(source), ["crate::g"]);
    }

    #[test]
    fn grouped_use_is_spread_out() {
        assert_eq!(
            paths("use crate::{a::b, c, d::{e as f, *}};\nlet z = std::time::Instant::now();"),
            ["crate::a::b", "crate::c", "crate::d::e", "crate::d::*", "std::time::Instant::now"]
        );
    }

    #[test]
    fn lifetime_and_character_do_not_swallow_what_follows() {
        assert_eq!(paths("fn f<'a>(x: &'a str) { '\\''; 'x'; a::b }"), ["a::b"]);
    }

    #[test]
    fn turbofish_ends_a_path_and_a_new_one_begins_inside() {
        assert_eq!(paths("collect::<Vec<crate::x::Y>>()"), ["crate::x::Y"]);
    }

    #[test]
    fn test_module_is_left_out_and_what_follows_it_stays() {
        let source = "a::b;\n#[cfg(test)]\nmod tests { fn f() { c::d } }\n#[cfg(test)]\nuse e::f;\ng::h;";
        let kept: Vec<String> =
            named_paths(&without_tests(&tokens(source))).into_iter().map(|n| n.path.join("::")).collect();
        assert_eq!(kept, ["a::b", "g::h"]);
    }

    #[test]
    fn line_numbers_count_lines_inside_texts_and_comments() {
        let found = named_paths(&tokens("/* 1\n2 */ \"3\n\";\na::b"));
        assert_eq!(found[0].line, 4);
    }
}
