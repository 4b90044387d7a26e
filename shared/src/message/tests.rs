use super::*;
use crate::{Decimal, QueueId};
use proptest::prelude::*;
use std::format;
use std::string::{String, ToString};
use std::vec::Vec;

// The messages of the contract, letter for letter (design, MQTT contract).
const RECEIPT: &str = r#"{"v":1,"queue":"3f9c21a7","upto":1051,"at":1772971205}"#;
const STATE: &str = concat!(
    r#"{"v":1,"online":true,"sleeps":true,"next_report_s":900,"queue":"3f9c21a7","queued":12,"dropped":0,"boot":18,"reset":"power-on","clock":"sntp","#,
    r#""fw":"0.3.1","settings":7,"battery_v":3.91,"signal_dbw":-97,"faults":["soil-temperature-2:no-answer"]}"#
);
const SETTINGS: &str = r#"{"v":1,"revision":7,"sample_s":300,"report_s":900,"heater":"auto","off":["light"]}"#;

#[test]
fn receipt_of_the_contract_is_written_and_read() {
    let receipt = Receipt { queue: QueueId(0x3f9c_21a7), upto: 1051, at_s: 1_772_971_205 };
    let mut buffer = [0; 96];
    assert_eq!(receipt.write(&mut buffer), Ok(RECEIPT));
    assert_eq!(Receipt::parse(RECEIPT), Ok(receipt));
    assert_eq!(receipt.write(&mut [0; 20]), Err(crate::Full));
    let longest = Receipt { queue: QueueId(u32::MAX), upto: u64::MAX, at_s: i64::MIN };
    assert!(longest.write(&mut buffer).is_ok());
}

#[test]
fn receipt_half_readable_is_refused() {
    for (text, error) in [
        (r#"{"v":1,"upto":1051,"at":1}"#, MessageError::Field("queue")),
        (r#"{"v":1,"queue":"3F9C21A7","upto":1051,"at":1}"#, MessageError::Field("queue")),
        (r#"{"v":1,"queue":"3f9c21a7","at":1}"#, MessageError::Field("upto")),
        (r#"{"v":1,"queue":"3f9c21a7","upto":-1,"at":1}"#, MessageError::Field("upto")),
        (r#"{"v":1,"queue":"3f9c21a7","upto":nan,"at":1}"#, MessageError::Field("upto")),
        (r#"{"v":1,"queue":"3f9c21a7","upto":1}"#, MessageError::Field("at")),
        (r#"{"v":2,"queue":"3f9c21a7","upto":1,"at":1}"#, MessageError::Version),
        (r#"{"queue":"3f9c21a7","upto":1,"at":1}"#, MessageError::Version),
        ("[]", MessageError::NotAnObject),
    ] {
        assert_eq!(Receipt::parse(text), Err(error), "{text}");
    }
    assert!(matches!(Receipt::parse(&RECEIPT[1..]), Err(MessageError::Json(_))));
    assert!(Receipt::parse(r#"{"v":1,"queue":"3f9c21a7","upto":1,"at":1,"new":{}}"#).is_ok());
}

#[test]
fn state_of_the_contract_is_written_and_read() {
    let report = StateReport {
        online: true,
        sleeps: true,
        next_report_s: 900,
        queue: QueueId(0x3f9c_21a7),
        queued: 12,
        dropped: 0,
        boot: 18,
        reset: "power-on",
        clock: "sntp",
        fw: "0.3.1",
        settings: 7,
        battery_v: Some(Decimal::new(391, 2)),
        signal_dbw: Some(-97),
        faults: &["soil-temperature-2:no-answer"],
    };
    let mut buffer = [0; 512];
    assert_eq!(report.write(&mut buffer), Ok(STATE));
    let state = State::parse(STATE).unwrap();
    assert_eq!((state.online, state.sleeps, state.next_report_s), (Some(true), Some(true), Some(900)));
    assert_eq!((state.queue, state.queued, state.dropped), (Some(QueueId(0x3f9c_21a7)), Some(12), Some(0)));
    assert_eq!((state.boot, state.settings), (Some(18), Some(7)));
    assert_eq!((state.battery_v, state.signal_dbw), (Some(3.91), Some(-97.0)));
    assert!(state.reset.unwrap() == "power-on" && state.clock.unwrap() == "sntp" && state.fw.unwrap() == "0.3.1");
    assert_eq!(state.faults().map(|f| f.to_string()).collect::<Vec<_>>(), ["soil-temperature-2:no-answer"]);
}

#[test]
fn state_without_figures_leaves_them_out_and_reads_as_none() {
    let report = StateReport {
        online: true,
        sleeps: false,
        next_report_s: 60,
        queue: QueueId(1),
        queued: 0,
        dropped: 0,
        boot: 1,
        reset: "a\"b\\\n",
        clock: "none",
        fw: "1",
        settings: 0,
        battery_v: None,
        signal_dbw: None,
        faults: &[],
    };
    let mut buffer = [0; 512];
    let text = report.write(&mut buffer).unwrap();
    let state = State::parse(text).unwrap();
    assert_eq!((state.battery_v, state.signal_dbw), (None, None));
    assert!(state.reset.unwrap() == "a\"b\\\n");
    assert_eq!(state.faults().count(), 0);
}

#[test]
fn state_will_says_offline_and_nothing_else() {
    let state = State::parse(WILL).unwrap();
    assert_eq!((state.online, state.queue, state.battery_v), (Some(false), None, None));
    assert_eq!(state.faults().count(), 0);
}

#[test]
fn state_with_a_bad_field_keeps_the_others() {
    let state =
        State::parse(r#"{"v":1,"battery_v":nan,"boot":-1,"queued":"x","fw":3,"settings":7,"faults":["a:b",4,"c:d"]}"#)
            .unwrap();
    assert_eq!((state.battery_v, state.boot, state.queued, state.fw), (None, None, None, None));
    assert_eq!(state.settings, Some(7));
    assert_eq!(state.faults().map(|f| f.to_string()).collect::<Vec<_>>(), ["a:b", "c:d"]);
    assert_eq!(State::parse("5"), Err(MessageError::NotAnObject));
    assert_eq!(State::parse(r#"{"v":"1"}"#), Err(MessageError::Version));
}

#[test]
fn settings_of_the_contract_are_written_and_applied() {
    let settings = Settings { revision: 7, sample_s: 300, report_s: 900, heater: Heater::Auto, off: &["light"] };
    let mut buffer = [0; 128];
    assert_eq!(settings.write(&mut buffer), Ok(SETTINGS));
    let mut board = BoardSettings { sample_s: 60, heater: Heater::Off, ..BoardSettings::default() };
    assert!(board.apply(SETTINGS).unwrap().is_empty());
    assert_eq!((board.revision, board.sample_s, board.report_s, board.heater), (7, 300, 900, Heater::Auto));
    assert!(board.off.has("light") && board.off.has("light-2"));
    assert!(!board.off.has("air-temperature") && !board.off.has("nonsense"));
}

#[test]
fn settings_out_of_range_keep_the_old_value_and_are_named() {
    let mut board = BoardSettings::default();
    let text = r#"{"v":1,"revision":8,"sample_s":9,"report_s":86401,"heater":"on","off":["nonsense"],"new":1}"#;
    let refused: Vec<&str> = board.apply(text).unwrap().iter().map(SettingsKey::name).collect();
    assert_eq!(refused, ["sample_s", "report_s", "heater", "off"]);
    assert_eq!(board, BoardSettings { revision: 8, ..BoardSettings::default() });
    let text = r#"{"v":1,"revision":9,"sample_s":10,"report_s":86400,"heater":"off","off":"light"}"#;
    let refused = board.apply(text).unwrap();
    assert_eq!(refused.iter().map(SettingsKey::fault).collect::<Vec<_>>(), ["settings-off:refused"]);
    assert!(!refused.is_empty());
    assert_eq!((board.sample_s, board.report_s, board.heater), (10, 86_400, Heater::Off));
    for bad in ["nan", "300.5", "\"300\"", "-300", "null"] {
        let text = format!(r#"{{"v":1,"revision":9,"sample_s":{bad}}}"#);
        assert_eq!(board.apply(&text).unwrap().iter().collect::<Vec<_>>(), [SettingsKey::SampleS], "{bad}");
        assert_eq!(board.sample_s, 10);
    }
}

#[test]
fn settings_not_to_be_read_change_nothing() {
    let mut board = BoardSettings::default();
    for text in [
        "",
        "{}",
        r#"{"v":1,"sample_s":10}"#,
        r#"{"v":1,"revision":-1,"sample_s":10}"#,
        r#"{"v":2,"revision":1,"sample_s":10}"#,
    ] {
        assert!(board.apply(text).is_err(), "{text}");
        assert_eq!(board, BoardSettings::default());
    }
}

#[test]
fn settings_off_names_one_channel_or_all_of_a_quantity() {
    let mut board = BoardSettings::default();
    board.apply(r#"{"v":1,"revision":1,"off":["soil-temperature-2","leaf-wetness"]}"#).unwrap();
    assert!(
        board.off.has("soil-temperature-2")
            && !board.off.has("soil-temperature")
            && !board.off.has("soil-temperature-1")
    );
    assert!(board.off.has("leaf-wetness") && board.off.has("leaf-wetness-3"));
    assert!(!board.off.is_empty());
    board.apply(r#"{"v":1,"revision":2,"off":[]}"#).unwrap();
    assert!(board.off.is_empty() && !board.off.has("leaf-wetness"));
    let names = |n: usize| (1..=n).map(|n| format!("\"rain-{n}\"")).collect::<Vec<_>>().join(",");
    let full = format!(r#"{{"v":1,"revision":3,"off":[{}]}}"#, names(OffChannels::CAPACITY));
    assert!(board.apply(&full).unwrap().is_empty());
    let over = format!(r#"{{"v":1,"revision":4,"off":[{}]}}"#, names(OffChannels::CAPACITY + 1));
    assert_eq!(board.apply(&over).unwrap().iter().count(), 1);
    assert!(board.off.has("rain-16") && !board.off.has("rain-17"));
}

proptest! {
    #[test]
    fn prop_receipt_reads_back(queue in any::<u32>(), upto in any::<u64>(), at_s in 0_i64..) {
        let receipt = Receipt { queue: QueueId(queue), upto, at_s };
        prop_assert_eq!(Receipt::parse(receipt.write(&mut [0; 96]).unwrap()), Ok(receipt));
    }

    #[test]
    fn prop_any_text_in_a_state_reads_back(reset in any::<String>(), fault in any::<String>()) {
        let report = StateReport {
            online: true, sleeps: true, next_report_s: 1, queue: QueueId(1), queued: 1, dropped: 1, boot: 1, reset: &reset, clock: "none",
            fw: "1", settings: 1, battery_v: None, signal_dbw: None, faults: &[&fault],
        };
        let mut buffer = std::vec![0; 8192];
        let state = State::parse(report.write(&mut buffer).unwrap()).unwrap();
        prop_assert_eq!(state.reset.unwrap().to_string(), reset);
        prop_assert_eq!(state.faults().next().unwrap().to_string(), fault);
    }

    #[test]
    fn prop_any_text_never_panics(text in any::<String>(), at in any::<prop::sample::Index>()) {
        let _ = Receipt::parse(&text);
        let _ = State::parse(&text);
        let _ = BoardSettings::default().apply(&text);
        let _ = BoardSettings::default().apply(&SETTINGS[..at.index(SETTINGS.len())]);
    }
}
