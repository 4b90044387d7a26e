use super::*;
use proptest::prelude::*;
use std::format;
use std::string::{String, ToString};
use std::vec::Vec;

fn found<'a>(document: &'a str, path: &str) -> Option<Value<'a>> {
    pointer(document, path).unwrap()
}

fn error(document: &str) -> (usize, &'static str) {
    let error = Value::parse(document).unwrap_err();
    (error.at, error.expected)
}

#[test]
fn parse_ordinary_document_gives_its_parts() {
    let document = r#" {"t":7.4, "ok":true,"none":null,"list":[1,[2,{}],"x"],"e":{} } "#;
    assert_eq!(found(document, "/t").and_then(|v| v.to_f64()), Some(7.4));
    assert_eq!(found(document, "/ok"), Some(Value::Bool(true)));
    assert_eq!(found(document, "/none"), Some(Value::Null));
    assert_eq!(found(document, "/list/1/0").and_then(|v| v.to_u64()), Some(2));
    assert_eq!(found(document, "/list/2").and_then(|v| v.to_text()).unwrap(), "x");
    assert_eq!(found(document, "/e").unwrap().raw(), "{}");
    assert_eq!(found(document, "/nothing"), None);
    assert_eq!(found(document, "/t/deeper"), None);
    assert_eq!(found(document, "").unwrap().raw(), document.trim());
}

#[test]
fn parse_nan_in_an_object_keeps_the_other_fields() {
    // Troubles page 4.
    let document = r#"{"t":7.4,"rh":nan,"batt":3.9}"#;
    assert_eq!(found(document, "/t").unwrap().to_f64(), Some(7.4));
    assert_eq!(found(document, "/rh"), Some(Value::NotANumber("nan")));
    assert_eq!(found(document, "/batt").unwrap().to_f64(), Some(3.9));
}

#[test]
fn parse_every_word_for_no_number_in_any_case() {
    for word in ["nan", "NaN", "-nan", "inf", "-inf", "Infinity", "-Infinity", "NAN", "-INFINITY", "iNf"] {
        assert_eq!(Value::parse(word), Ok(Value::NotANumber(word)));
        let inside = format!("[1,{word} , 2]");
        let Ok(Value::Array(array)) = Value::parse(&inside) else { panic!("{inside}") };
        assert_eq!(array.elements().nth(1), Some(Value::NotANumber(word)));
        assert_eq!(array.elements().nth(2).and_then(|v| v.to_f64()), Some(2.0));
    }
    for word in ["nano", "nan1", "nan-", "--nan", "+inf", "None", "True", "undefined", "N/A", "infinit"] {
        assert!(Value::parse(word).is_err(), "{word}");
        assert!(Value::parse(&format!("[{word}]")).is_err(), "{word}");
    }
}

#[test]
fn parse_lone_number_is_a_document() {
    assert_eq!(found("21.5", "").unwrap().to_f64(), Some(21.5));
    assert_eq!(found(" -4\n", "").unwrap().to_f64(), Some(-4.0));
    assert_eq!(found("\u{feff}7", "").unwrap().to_f64(), Some(7.0));
}

#[test]
fn parse_malformed_says_where_and_what_was_expected() {
    assert_eq!(error(""), (0, "a value"));
    assert_eq!(error("{"), (1, "a name in quotation marks"));
    assert_eq!(error("{\"a\""), (4, "':'"));
    assert_eq!(error("{\"a\":}"), (5, "a value"));
    assert_eq!(error("{\"a\":1"), (6, "',' or '}'"));
    assert_eq!(error("{\"a\":1]"), (6, "',' or '}'"));
    assert_eq!(error("{\"a\":1,}"), (7, "a name in quotation marks"));
    assert_eq!(error("[1,]"), (3, "a value"));
    assert_eq!(error("[1 2]"), (3, "',' or ']'"));
    assert_eq!(error("[1}"), (2, "',' or ']'"));
    assert_eq!(error("1 x"), (2, "the end"));
    assert_eq!(error("{} {}"), (3, "the end"));
    assert_eq!(error("\"abc"), (4, "'\"' at the end of the string"));
    assert_eq!(error("\"a\u{1}\""), (2, "no control character inside a string"));
    assert_eq!(error("\"\\x\""), (2, "one of \" \\ / b f n r t u"));
    assert_eq!(error("\"\\u12g4\""), (5, "four hexadecimal digits"));
    assert_eq!(error("-"), (1, "a digit"));
    assert_eq!(error("1."), (2, "a digit"));
    assert_eq!(error("1e"), (2, "a digit"));
    assert_eq!(error("01"), (1, "the end of the number"));
    assert_eq!(error("1.5.2"), (3, "the end of the number"));
    assert_eq!(error("4,5"), (1, "the end"));
    assert_eq!(error("12abc"), (2, "the end of the number"));
    assert_eq!(error("+1"), (0, "a value"));
    assert_eq!(error(".5"), (0, "a value"));
}

#[test]
fn parse_at_and_beyond_the_depth_limit() {
    let nest = |depth: usize| "[".repeat(depth) + &"]".repeat(depth);
    assert!(Value::parse(&nest(MAX_DEPTH as usize)).is_ok());
    assert_eq!(error(&nest(MAX_DEPTH as usize + 1)), (MAX_DEPTH as usize, "no more levels of arrays and objects"));
    let mixed = "{\"a\":[".repeat(16) + &"]}".repeat(16);
    assert!(Value::parse(&mixed).is_ok());
    assert!(Value::parse(&"[".repeat(1_000_000)).is_err());
}

#[test]
fn number_too_large_for_a_double_is_none() {
    assert_eq!(Value::parse("1e999").unwrap().to_f64(), None);
    assert_eq!(Value::parse("-1e999").unwrap().to_f64(), None);
    assert_eq!(Value::parse("1e-999").unwrap().to_f64(), Some(0.0));
}

#[test]
fn to_u64_takes_whole_numbers_only() {
    let whole = |text| Value::parse(text).unwrap().to_u64();
    assert_eq!(whole("18446744073709551615"), Some(u64::MAX));
    assert_eq!(whole("18446744073709551616"), None);
    assert_eq!(whole("1.276e3"), Some(1276));
    assert_eq!(whole("5.0"), Some(5));
    assert_eq!(whole("5.5"), None);
    assert_eq!(whole("-1"), None);
    assert_eq!(whole("nan"), None);
    assert_eq!(whole("\"5\""), None);
}

#[test]
fn text_escapes_are_taken_out() {
    let text = Value::parse(r#""a\"\\\/\b\f\n\r\t\u00e9\ud83c\udf31""#).unwrap().to_text().unwrap();
    assert_eq!(text.to_string(), "a\"\\/\u{8}\u{c}\n\r\té🌱");
    assert_eq!(text.as_plain(), None);
    assert_eq!(text, "a\"\\/\u{8}\u{c}\n\r\té🌱");
    let plain = Value::parse("\"Cel\"").unwrap().to_text().unwrap();
    assert_eq!(plain.as_plain(), Some("Cel"));
    assert_eq!(plain, Value::parse("\"\\u0043el\"").unwrap().to_text().unwrap());
    assert_ne!(plain, "Ce");
}

#[test]
fn text_half_a_surrogate_pair_is_the_replacement_character() {
    let read = |raw| Value::parse(raw).unwrap().to_text().unwrap().to_string();
    assert_eq!(read(r#""\ud83cx""#), "\u{fffd}x");
    assert_eq!(read(r#""\udf31""#), "\u{fffd}");
    assert_eq!(read(r#""\ud83c\u0041""#), "\u{fffd}A");
    assert_eq!(read(r#""\ud83c\ud83c\udf31""#), "\u{fffd}🌱");
}

#[test]
fn pointer_examples_of_rfc_6901_section_5() {
    let document = r#"{"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"e^f":3,"g|h":4,"i\\j":5,"k\"l":6," ":7,"m~n":8}"#;
    for (path, number) in [
        ("/", 0),
        ("/a~1b", 1),
        ("/c%d", 2),
        ("/e^f", 3),
        ("/g|h", 4),
        ("/i\\j", 5),
        ("/k\"l", 6),
        ("/ ", 7),
        ("/m~0n", 8),
    ] {
        assert_eq!(found(document, path).and_then(|v| v.to_u64()), Some(number), "{path}");
    }
    assert_eq!(found(document, "").unwrap().raw(), document);
    assert_eq!(found(document, "/foo").unwrap().raw(), r#"["bar","baz"]"#);
    assert_eq!(found(document, "/foo/0").and_then(|v| v.to_text()).unwrap(), "bar");
}

#[test]
fn pointer_index_with_zero_in_front_or_sign_finds_nothing() {
    for path in ["/00", "/01", "/-", "/+1", "/2", "/a", "/", "/99999999999999999999999"] {
        assert_eq!(found("[5,6]", path), None, "{path}");
    }
    assert_eq!(found("[5,6]", "/1").and_then(|v| v.to_u64()), Some(6));
}

#[test]
fn pointer_that_is_none_is_an_error() {
    for (path, at) in [("a", 0), ("a/b", 0), ("/a~", 2), ("/~2", 1)] {
        assert_eq!(Pointer::parse(path), Err(PointerError { at }), "{path}");
        assert_eq!(pointer("{}", path).unwrap_err().at, 0);
    }
}

#[test]
fn pointer_name_that_stands_twice_is_an_error_for_that_name_alone() {
    let document = r#" {"t":1,"u":2,"\u0074":3}"#;
    assert_eq!(pointer(document, "/t"), Err(JsonError { at: 15, expected: "each name once" }));
    assert_eq!(found(document, "/u").and_then(|v| v.to_u64()), Some(2));
}

#[test]
fn pointer_with_rubbish_behind_the_value_is_an_error_even_if_found_before() {
    assert!(pointer(r#"{"t":1} x"#, "/t").is_err());
    assert!(pointer(r#"{"t":1,"u":}"#, "/t").is_err());
}

/// Any JSON value as text, with `nan` in it.
fn any_json() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just(String::from("nan")),
        Just(String::from("null")),
        any::<bool>().prop_map(|b| b.to_string()),
        any::<f64>().prop_filter("finite", |f| f.is_finite()).prop_map(|f| f.to_string()),
        "[a-z~/]{0,4}".prop_map(|s| format!("\"{s}\"")),
    ];
    leaf.prop_recursive(4, 32, 5, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..5).prop_map(|v| format!("[ {} ]", v.join(" , "))),
            prop::collection::vec(("[a-z]{0,3}", inner), 0..5).prop_map(|v| {
                let members: Vec<String> = v.into_iter().map(|(n, v)| format!("\"{n}\" :{v}")).collect();
                format!("{{{}}}", members.join(","))
            }),
        ]
    })
}

/// Walks everything that can be reached, and counts.
fn walk(value: Value<'_>) -> usize {
    1 + match value {
        Value::Array(array) => array.elements().map(walk).sum(),
        Value::Object(object) => object.members().map(|(name, value)| name.chars().count().min(1) + walk(value)).sum(),
        Value::Text(text) => text.chars().count(),
        other => other.raw().len(),
    }
}

proptest! {
    #[test]
    fn prop_any_text_never_panics(text in any::<String>(), path in any::<String>()) {
        let _ = pointer(&text, &path);
    }

    #[test]
    fn prop_text_of_json_characters_never_panics(text in r#"[\[\]{}:,"\\a-u0-9eE+.\- \u{7f}é-]{0,60}"#) {
        if let Ok(value) = Value::parse(&text) {
            walk(value);
        }
    }

    #[test]
    fn prop_written_json_is_read_and_every_part_of_it_cut_short_is_not(text in any_json(), cut in any::<prop::sample::Index>()) {
        let value = Value::parse(&text).unwrap();
        walk(value);
        prop_assert_eq!(value.raw().len() >= text.trim().trim_matches('"').len(), true);
        if text.starts_with(['[', '{', '"']) {
            let mut at = cut.index(text.len());
            while !text.is_char_boundary(at) { at -= 1; }
            prop_assert!(Value::parse(&text[..at]).is_err());
        }
    }

    #[test]
    fn prop_elements_of_an_array_are_all_there(parts in prop::collection::vec(any_json(), 0..6)) {
        let text = format!("[{}]", parts.join(","));
        let Ok(Value::Array(array)) = Value::parse(&text) else { panic!("{text}") };
        let read: Vec<Value<'_>> = array.elements().collect();
        prop_assert_eq!(read.len(), parts.len());
        for (read, part) in read.iter().zip(&parts) {
            prop_assert_eq!(Value::parse(part).unwrap().raw(), read.raw());
        }
    }
}
