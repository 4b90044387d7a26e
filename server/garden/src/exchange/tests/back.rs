//! What was written is read back the same, and what is no longer so is set aside and counted.

use std::collections::{BTreeMap, BTreeSet};

use propstick_wire::Quantity;
use proptest::collection::{btree_set, vec};
use proptest::prelude::*;
use proptest::sample::select;

use super::*;
use crate::decode::mapping::device_urn;
use crate::table::{AsideWhy, Piece, Report, Trouble};

/// 2100-01-01T00:00:00Z.
const NOW: Millis = Millis(4_102_444_800_000);
const FORMS: [Form; 3] = [Form::Csv, Form::Senml, Form::Lines];

type Series = BTreeMap<SeriesKey, BTreeMap<Millis, u64>>;

/// All readings with their values bit by bit, and the report; a reading that comes twice fails.
fn read_all(text: &[u8], form: Form) -> (Series, Report) {
    let mut keys: Vec<SeriesKey> = Vec::new();
    let mut all = Series::new();
    let report = read_form(text, form, NOW, &mut |piece| {
        match piece {
            Piece::Series(key) => {
                keys.push(key.clone());
                assert!(all.insert(key.clone(), BTreeMap::new()).is_none(), "a series given twice: {key:?}");
            }
            Piece::Readings(readings) => {
                for r in readings {
                    let of = all.get_mut(&keys[r.series as usize]).unwrap();
                    assert!(of.insert(r.t, r.v.to_bits()).is_none(), "a reading given twice: {r:?}");
                }
            }
        }
        ControlFlow::Continue(())
    });
    (all, report.unwrap())
}

/// The number in `unit` that is `base` in the quantity's own, if it can be meant.
fn in_unit(quantity: Quantity, base: f64, unit: &str) -> Option<f64> {
    let zero = quantity.to_base(0.0, unit)?;
    let v = (base - zero) / (quantity.to_base(1.0, unit)? - zero);
    let (low, high) = quantity.hard_range();
    quantity.to_base(v, unit).filter(|b| (low..=high).contains(b)).map(|_| v)
}

fn urn() -> impl Strategy<Value = String> {
    prop_oneof![
        "urn:dev:mac:[0-9a-f]{16}",
        "urn:dev:org:[1-9][0-9]{0,4}-[A-Za-z0-9.-]{1,9}",
        "[a-z0-9-]{1,32}".prop_map(|mapping| format!("urn:propstick:{mapping}")),
        ("[a-z0-9-]{1,9}", any::<String>()).prop_filter_map("a name", |(mapping, own)| device_urn(&mapping, &own)),
    ]
}

fn key() -> impl Strategy<Value = (SeriesKey, Quantity)> {
    let quantity = select(Quantity::ALL.to_vec());
    (
        urn(),
        quantity,
        0..=99_u8,
        any::<prop::sample::Index>(),
        select(SeriesKind::ALL.to_vec()),
        0..=86_400_i64,
        any::<bool>(),
    )
        .prop_map(|(urn, quantity, number, unit, kind, span_s, stamp_end)| {
            let units: Vec<&str> = quantity.units().collect();
            let channel =
                if number == 0 { quantity.name().to_owned() } else { format!("{}-{number}", quantity.name()) };
            let key = series_key(&urn, &channel, units[unit.index(units.len())]).unwrap();
            let is_instant = kind == SeriesKind::Instant;
            let (span_s, stamp_end) = if is_instant { (0, false) } else { (span_s, stamp_end) };
            (SeriesKey { kind, span_s, stamp_end, ..key }, quantity)
        })
}

/// Instants from 1900 to 2100, many of them shared between series.
fn instants() -> impl Strategy<Value = BTreeSet<i64>> {
    let near = (0..40_i64).prop_map(|k| 1_772_971_200_000 + k * 300_000);
    btree_set(prop_oneof![near, -2_208_988_800_000..4_102_444_800_000_i64], 0..30)
}

/// Any readings that can stand in the store.
fn any_readings() -> impl Strategy<Value = Series> {
    let one = (key(), instants()).prop_flat_map(|((key, quantity), instants)| {
        let (low, high) = quantity.hard_range();
        let unit = key.unit_sent.clone();
        let v = prop_oneof![4 => low..=high, 1 => Just(0.0), 1 => Just(-0.0), 1 => Just(5e-324), 1 => Just(1e-300)]
            .prop_filter_map("to be meant", move |base| in_unit(quantity, base, &unit));
        vec(v, instants.len()).prop_map(move |vs| {
            let run = instants.iter().map(|t| Millis(*t)).zip(vs.iter().map(|v| v.to_bits())).collect();
            (key.clone(), run)
        })
    });
    vec(one, 0..6).prop_map(|all| all.into_iter().collect())
}

proptest! {
    #[test]
    fn prop_any_readings_written_in_any_form_are_read_back_the_same(
        all in any_readings(), cuts in btree_set(-2_208_988_800_000..4_102_444_800_000_i64, 0..4)
    ) {
        let keys: Vec<SeriesKey> = all.keys().cloned().collect();
        let mut ends: Vec<i64> = cuts.into_iter().collect();
        ends.push(i64::MAX);
        let mut from = i64::MIN;
        let mut stretches = Vec::new();
        for end in ends {
            let cut = |run: &BTreeMap<Millis, u64>| run.range(Millis(from)..Millis(end)).map(|(t, v)| (*t, f64::from_bits(*v))).collect();
            stretches.push(all.values().map(cut).collect::<Runs>());
            from = end;
        }
        // A series without a reading stands in the head of a table alone.
        let filled: Series = all.iter().filter(|(_, run)| !run.is_empty()).map(|(k, r)| (k.clone(), r.clone())).collect();
        for form in FORMS {
            let text = text_of(form, &keys, &stretches);
            let (found, report) = read_all(text.as_bytes(), form);
            let wanted = if form == Form::Csv { &all } else { &filled };
            prop_assert_eq!(&found, wanted, "{:?}\n{}", form, text);
            prop_assert_eq!(report.readings, filled.values().map(|run| run.len() as u64).sum::<u64>());
            prop_assert_eq!(&report.aside, &Vec::new(), "{:?}\n{}", form, text);
            if form == Form::Csv || !filled.is_empty() {
                prop_assert_eq!(recognise(text.as_bytes()), Some(form), "{}", text);
            }
        }
    }

    #[test]
    fn prop_a_file_with_bytes_changed_or_cut_never_panics(
        all in any_readings(), changes in vec((any::<prop::sample::Index>(), any::<u8>()), 1..20), form in select(FORMS.to_vec())
    ) {
        let keys: Vec<SeriesKey> = all.keys().cloned().collect();
        let runs: Runs = all.values().map(|run| run.iter().map(|(t, v)| (*t, f64::from_bits(*v))).collect()).collect();
        let mut text = text_of(form, &keys, &[runs]).into_bytes();
        for (at, byte) in changes {
            if !text.is_empty() {
                let at = at.index(text.len());
                text[at] = byte;
            }
        }
        let _ = recognise(&text);
        let _ = read_form(&text, form, NOW, &mut |_| ControlFlow::Continue(()));
    }
}

#[test]
fn table_of_somebody_elses_is_recognised_as_none_of_the_forms() {
    for text in [
        "",
        "Timestamp,Temp (°C)\n2026-03-08 12:00,6.1\n",
        "time_utc,Tunnel / tunnel-air / air-temperature [°C]\n2026-03-08T12:00:00Z,6.1\n",
        "[1, 2, 3]\n",
        "{\"t\": 6.1}\n",
        "weather,location=here temperature=82 1465839830100400200\n",
        "# only a comment\n",
    ] {
        assert_eq!(recognise(text.as_bytes()), None, "{text}");
    }
    let (series, stretches) = small();
    for form in FORMS {
        let text = text_of(form, &series, &stretches);
        assert_eq!(recognise(format!("\u{feff}{text}").as_bytes()), Some(form), "with a byte-order mark");
        assert_eq!(recognise(&text.as_bytes()[..90]), Some(form), "cut short");
    }
}

#[test]
fn table_with_faults_gives_the_rest_and_one_line_of_report_for_each_kind_of_fault() {
    let text = "time_utc,urn:propstick:a air-temperature [Cel],urn:propstick:a air-humidity [%RH]\n\
        2026-03-08T12:00:00Z,6.1,95\n\
        2026-03-08T12:05:00Z,6.2\n\
        ,,\n\
        yesterday,6.2,95\n\
        2026-03-08T12:10:00Z,127.0,warm\n\
        2101-03-08T12:10:00Z,6,95\n\
        2026-03-08T12:15:00Z,inf,,1\n\
        2026-03-08T12:20:00Z,,94\n\
        2026-03-08T12:10:00Z,6.4,93\n";
    let (found, report) = read_all(text.as_bytes(), Form::Csv);
    let n: Vec<usize> = found.values().map(BTreeMap::len).collect();
    assert_eq!((report.lines, report.rows, report.rows_read, report.readings, report.no_value), (10, 9, 5, 6, 1));
    assert_eq!(n, [3, 3]);
    let aside: Vec<(AsideWhy, &str, u64, u64)> =
        report.aside.iter().map(|a| (a.why, a.what.as_str(), a.times, a.first_line)).collect();
    let (air, rh) = ("air-temperature", "urn:propstick:a air-humidity [%RH]");
    assert_eq!(
        aside,
        [
            (AsideWhy::Short, rh, 1, 3),
            (AsideWhy::Blank, "", 1, 4),
            (AsideWhy::NoTime, "", 1, 5),
            (AsideWhy::OutOfRange, air, 1, 6),
            (AsideWhy::NotANumber, rh, 1, 6),
            (AsideWhy::Future, "", 1, 7),
            (AsideWhy::Long, "", 1, 8),
        ]
    );
    let cautions: Vec<(&str, u64, u64)> =
        report.cautions.iter().map(|c| (c.says.as_str(), c.times, c.first_line)).collect();
    assert_eq!(cautions, [("the time goes back, first by 10 min", 1, 10)]);
    assert_eq!(report.sample.len(), 4);
    assert_eq!(
        report.sample[0].values,
        [("air-temperature".to_owned(), 6.1, "Cel".to_owned()), ("air-humidity".to_owned(), 95.0, "%RH".to_owned())]
    );
}

#[test]
fn header_that_is_none_of_ours_is_a_misfit_that_names_its_place_and_nothing_is_given() {
    for (header, place) in [
        ("time,urn:propstick:a rain [mm; sum 60 s, end]", "line 1, column 1"),
        ("time_utc,Temp (°C)", "line 1, column 2"),
        ("time_utc,urn:propstick:a warmth [Cel]", "line 1, column 2"),
        ("time_utc,urn:propstick:a air-temperature [Cel],urn:propstick:a air-temperature [m/s]", "line 1, column 3"),
        ("time_utc,urn:propstick:a air-temperature [Cel],urn:propstick:a air-temperature [Cel]", "line 1, column 3"),
    ] {
        let text = format!("{header}\n2026-03-08T12:00:00Z,6.1,6.1\n");
        let mut pieces = 0;
        let read = read_form(text.as_bytes(), Form::Csv, NOW, &mut |_| {
            pieces += 1;
            ControlFlow::Continue(())
        });
        let Err(Trouble::Misfit(misfit)) = read else { panic!("{header}: {read:?}") };
        assert_eq!((misfit.key.as_str(), pieces), (place, 0), "{misfit}");
    }
}

#[test]
fn senml_of_another_hand_is_read_by_the_rfcs_rules_and_relative_times_are_set_aside() {
    // RFC 8428, section 5.1.3 (several base fields in force), with our names; section 4.5.3: -5 is relative to now.
    let text = "[{\"bn\":\"urn:dev:ow:10e2073a01080063_\",\"bt\":1.276020076e9,\"bu\":\"Cel\",\"bver\":5,\"n\":\"air-temperature\",\"v\":20.5},\
        {\"n\":\"air-temperature\",\"t\":-5,\"v\":20.25,\"x\":[1]}]\n\
        [{\"bn\":\"urn:dev:ow:10e2073a01080063_\",\"n\":\"air-temperature\",\"u\":\"Cel\",\"t\":-5,\"v\":1}]\n\
        [{\"bn\":\"urn:dev:ow:10e2073a01080063_\",\"bt\":1276020076,\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":1,\"must_\":1}]\n\
        [{\"bn\":\"lamp_\",\"bt\":1276020076,\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":1}]\n\
        [{\"bn\":\"urn:dev:ow:10e2073a01080063_\"\n";
    let (found, report) = read_all(text.as_bytes(), Form::Senml);
    let key = series_key("urn:dev:ow:10e2073a01080063", "air-temperature", "Cel").unwrap();
    let run: BTreeMap<Millis, u64> =
        [(Millis(1_276_020_071_000), 20.25_f64.to_bits()), (Millis(1_276_020_076_000), 20.5_f64.to_bits())].into();
    assert_eq!(found, Series::from([(key, run)]));
    let why: Vec<(AsideWhy, u64)> = report.aside.iter().map(|a| (a.why, a.first_line)).collect();
    assert_eq!(
        why,
        [(AsideWhy::NoTime, 2), (AsideWhy::Unbalanced, 3), (AsideWhy::NoDevice, 4), (AsideWhy::Unbalanced, 5)]
    );
}

#[test]
fn escapes_of_the_line_protocol_lead_back_and_lines_of_another_hand_are_set_aside() {
    // Nothing of ours has such a name; the reference's rules hold all the same ("Special characters", "Escaping backslashes").
    let device = "urn:propstick:roof:a b,c=d\\e\\\\";
    let key = series_key(device, "rain", "mm").unwrap();
    let mut text = text_of(Form::Lines, std::slice::from_ref(&key), &[vec![vec![(Millis(1_772_971_200_000), 0.2)]]]);
    text += "# a comment\n\
        rain,device=urn:propstick:roof,unit=mm value=0.2\n\
        rain,device=urn:propstick:roof,unit=mm value=\"wet\" 1772971200000000000\n\
        rain,device=urn:propstick:roof,unit=mm depth=0.2 1772971200000000000\n\
        rain,device=urn:propstick:roof,room=kitchen,unit=mm value=0.2 1772971200000000000\n\
        rain,device=urn:propstick:roof,kind=sum,unit=mm value=0.2 1772971200000000000\n\
        rain,device=urn:propstick:roof,unit=inch value=0.2 1772971200000000000\n";
    let (found, report) = read_all(text.as_bytes(), Form::Lines);
    let run = BTreeMap::from([(Millis(1_772_971_200_000), 0.2_f64.to_bits())]);
    assert_eq!(found.get(&key), Some(&run), "{text}");
    assert_eq!((report.lines, report.rows, report.readings), (8, 7, 1));
    let why: Vec<(AsideWhy, u64, u64)> = report.aside.iter().map(|a| (a.why, a.times, a.first_line)).collect();
    assert_eq!(
        why,
        [
            (AsideWhy::NoTime, 1, 3),
            (AsideWhy::NotANumber, 1, 4),
            (AsideWhy::Unbalanced, 1, 5),
            (AsideWhy::NoDevice, 2, 6),
            (AsideWhy::NoDevice, 1, 8),
        ]
    );
}

#[test]
fn taker_that_breaks_off_ends_the_reading() {
    let (series, stretches) = small();
    for form in FORMS {
        let text = text_of(form, &series, &stretches);
        let read = read_form(text.as_bytes(), form, NOW, &mut |_| ControlFlow::Break(()));
        assert_eq!(read, Err(Trouble::Stopped));
    }
}
