//! What holds for any message.

use super::*;
use proptest::prelude::*;

/// A field of a foreign message: its name and what stands there, good or bad.
fn any_field() -> impl Strategy<Value = (String, &'static str)> {
    let value = prop::sample::select(vec!["7.4", "nan", "-127", "\"7\"", "null", "1e999", "true", "50", "3.9", "[]"]);
    (0..4_usize, value).prop_map(|(i, value)| (["t", "rh", "batt", "soil"][i].to_owned(), value))
}

fn object(fields: &[(String, &str)]) -> String {
    let members: Vec<String> = fields.iter().map(|(name, value)| format!("\"{name}\":{value}")).collect();
    format!("{{\"ts\":1772971620,{}}}", members.join(","))
}

proptest! {
    #[test]
    fn prop_order_of_fields_does_not_matter(fields in prop::collection::vec(any_field(), 1..4), seed in any::<u64>()) {
        let mut other = fields.clone();
        let len = other.len();
        other.rotate_left(seed as usize % len);
        if seed % 3 == 0 {
            other.reverse();
        }
        let place = |payload: String| {
            let mut took = read(&message("tunnel/air", payload), &air());
            for took in &mut took {
                if let Took::Reject(reject) = took {
                    reject.payload.clear();
                    // Where a name stands twice the offset is told, and that moves with the order.
                    if reject.reason == Reason::Malformed { reject.detail.clear(); }
                }
            }
            took
        };
        prop_assert_eq!(place(object(&fields)), place(object(&other)));
    }

    #[test]
    fn prop_refused_foreign_field_removes_no_other(values in prop::collection::vec(any_field(), 4)) {
        let fields: Vec<(String, &str)> = ["t", "rh", "batt", "soil"].iter().zip(&values).map(|(n, v)| ((*n).to_owned(), v.1)).collect();
        let all = read(&message("tunnel/air", object(&fields)), &air());
        let mut alone = Vec::new();
        for field in &fields {
            alone.extend(read(&message("tunnel/air", object(std::slice::from_ref(field))), &air()));
        }
        prop_assert_eq!(readings(&all), readings(&alone));
        prop_assert_eq!(rejects(&all).len(), rejects(&alone).len());
    }

    #[test]
    fn prop_refused_record_removes_no_other(bad in prop::collection::vec(any::<bool>(), 1..20), raw in prop::sample::select(vec!["nan", "1e999", "-127", "\"7\"", "null"])) {
        let records: Vec<String> = bad.iter().enumerate()
            .map(|(i, bad)| format!(r#"{{"n":"air-temperature-{}","u":"Cel","v":{}}}"#, i + 1, if *bad { raw } else { "7.5" }))
            .collect();
        let took = read(&one_sample(&records.join(",")), &Book::default());
        let good: Vec<String> = bad.iter().enumerate().filter(|(_, bad)| !**bad).map(|(i, _)| format!("air-temperature-{}", i + 1)).collect();
        let kept: Vec<String> = readings(&took).iter().map(|reading| reading.series.channel.clone()).collect();
        prop_assert_eq!(kept, good);
        prop_assert_eq!(rejects(&took).len(), bad.iter().filter(|bad| **bad).count());
        prop_assert_eq!(took.last(), Some(&settled(7, 7)));
    }

    #[test]
    fn prop_any_message_never_panics_and_numbers_stay_finite(
        topic in prop_oneof![any::<String>(), "tunnel/[a-z/]{0,5}", Just(TOPIC.to_owned()), "propstick/v1/mac-02005efffe10a2b3/(report|state|receipt|x)/?[0-9a-f/-]{0,14}"],
        payload in prop_oneof![
            prop::collection::vec(any::<u8>(), 0..300),
            any::<String>().prop_map(String::into_bytes),
            r#"[\[\]{}:,"\\a-z0-9_+.-]{0,60}"#.prop_map(String::into_bytes),
        ],
        arrived in any::<i64>(),
        retain in any::<bool>(),
    ) {
        let envelope = Envelope { arrived: Millis(arrived), retain, ..message(&topic, payload) };
        let took = read(&envelope, &air());
        prop_assert!(readings(&took).iter().all(|reading| reading.v.is_finite()));
        let is_report = matches!(Topic::parse(&topic), Some(Topic::Report { .. }));
        prop_assert_eq!(is_report, matches!(took.last(), Some(Took::Settled(_))));
        prop_assert_eq!(read(&envelope, &air()), took);
    }

    #[test]
    fn prop_changed_report_never_panics_and_settles(
        at in any::<prop::sample::Index>(), cut in 0_usize..12, put in r#"[\[\]{}:,"\\a-z0-9_+.-]{0,8}"#, retain in any::<bool>(),
    ) {
        let from = at.index(REPORT.len());
        let to = (from + cut).min(REPORT.len());
        let payload = format!("{}{put}{}", &REPORT[..from], &REPORT[to..]);
        let took = read(&Envelope { retain, ..message(TOPIC, payload) }, &Book::default());
        prop_assert_eq!(took.last(), Some(&settled(1050, 1051)));
        for reading in readings(&took) {
            prop_assert!(reading.v.is_finite());
            prop_assert!(reading.t >= EARLIEST && reading.t <= NOW.plus(AHEAD_ALLOWED_MS));
            prop_assert!(reading.sample.is_some_and(|sample| (1050..=1051).contains(&sample.n)));
        }
    }
}
