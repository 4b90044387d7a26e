//! The three forms of readings: exact text, and what comes back.

use core::ops::ControlFlow;

use propstick_wire::Millis;

use super::*;
use crate::took::{SeriesKey, SeriesKind};

/// What is written into an outlet.
pub(super) fn written(write: impl FnOnce(&mut Outlet<'_>) -> ControlFlow<()>) -> String {
    let mut all = Vec::new();
    let mut give = |piece: &[u8]| {
        all.extend_from_slice(piece);
        ControlFlow::Continue(())
    };
    let mut out = Outlet::new(&mut give);
    assert!(write(&mut out).is_continue() && out.flush().is_continue());
    String::from_utf8(all).unwrap()
}

mod back;

type Runs = Vec<Vec<(Millis, f64)>>;

fn text_of(form: Form, series: &[SeriesKey], stretches: &[Runs]) -> String {
    let writer = ReadingsWriter::new(form, series.to_vec());
    written(|out| {
        writer.begin(out)?;
        stretches.iter().try_for_each(|runs| writer.stretch(runs, out))
    })
}

/// A board with two channels, and another maker's roof with rain by the hour; 2026-03-08T12:00:00Z and later.
fn small() -> (Vec<SeriesKey>, Vec<Runs>) {
    let board = "urn:dev:mac:02005efffe10a2b3";
    let series = vec![
        series_key(board, "air-temperature", "Cel").unwrap(),
        series_key(board, "air-humidity", "%RH").unwrap(),
        SeriesKey {
            kind: SeriesKind::Sum,
            span_s: 3600,
            stamp_end: true,
            ..series_key("urn:propstick:roof:a%20b", "rain", "mm").unwrap()
        },
    ];
    let t = |s: i64| Millis(1_772_971_200_000 + s * 1_000);
    let first = vec![vec![(t(0), 6.12), (t(300), -6.0)], vec![(t(0), 95.41)], vec![(t(0), 0.2)]];
    let second = vec![vec![], vec![(t(3600).plus(250), 95.0)], vec![(t(3600), 0.0)]];
    (series, vec![first, second])
}

#[test]
fn wide_table_has_units_in_its_heads_and_empty_cells_where_nothing_was_measured() {
    let (series, stretches) = small();
    assert_eq!(
        text_of(Form::Csv, &series, &stretches),
        "time_utc,urn:dev:mac:02005efffe10a2b3 air-temperature [Cel],urn:dev:mac:02005efffe10a2b3 air-humidity [%RH],\
         \"urn:propstick:roof:a%20b rain [mm; sum 3600 s, end]\"\n\
         2026-03-08T12:00:00Z,6.12,95.41,0.2\n\
         2026-03-08T12:05:00Z,-6,,\n\
         2026-03-08T13:00:00Z,,,0\n\
         2026-03-08T13:00:00.250Z,,95,\n"
    );
}

#[test]
fn senml_has_one_device_a_line_and_intervals_with_their_meaning() {
    let (series, stretches) = small();
    assert_eq!(
        text_of(Form::Senml, &series, &stretches),
        "[{\"bn\":\"urn:dev:mac:02005efffe10a2b3_\",\"bt\":1772971200,\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":6.12},\
         {\"n\":\"air-humidity\",\"u\":\"%RH\",\"v\":95.41},{\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":-6,\"t\":300}]\n\
         [{\"bn\":\"urn:propstick:roof:a/2520b_\",\"bt\":1772971200,\"n\":\"rain\",\"u\":\"mm\",\"v\":0.2,\
         \"kind\":\"sum\",\"span_s\":3600,\"stamp\":\"end\"}]\n\
         [{\"bn\":\"urn:dev:mac:02005efffe10a2b3_\",\"bt\":1772974800.25,\"n\":\"air-humidity\",\"u\":\"%RH\",\"v\":95}]\n\
         [{\"bn\":\"urn:propstick:roof:a/2520b_\",\"bt\":1772974800,\"n\":\"rain\",\"u\":\"mm\",\"v\":0,\
         \"kind\":\"sum\",\"span_s\":3600,\"stamp\":\"end\"}]\n"
    );
}

#[test]
fn line_protocol_has_tags_in_order_and_nanoseconds() {
    let (mut series, mut stretches) = small();
    // Nothing of ours has such a name; the reference's rules hold all the same ("Special characters", "Escaping backslashes").
    series[2].device = "urn:propstick:roof:a b,c=d\\".into();
    stretches.truncate(1);
    stretches[0][0][1].0 = Millis(-1);
    stretches[0][0].swap(0, 1);
    stretches[0][1][0].0 = Millis(0);
    assert_eq!(
        text_of(Form::Lines, &series, &stretches),
        "air-temperature,device=urn:dev:mac:02005efffe10a2b3,unit=Cel value=-6 -1000000\n\
         air-temperature,device=urn:dev:mac:02005efffe10a2b3,unit=Cel value=6.12 1772971200000000000\n\
         air-humidity,device=urn:dev:mac:02005efffe10a2b3,unit=%RH value=95.41 0\n\
         rain,device=urn:propstick:roof:a\\ b\\,c\\=d\\\\,kind=sum,span_s=3600,stamp=end,unit=mm value=0.2 1772971200000000000\n"
    );
}

#[test]
fn senml_pack_keeps_the_contracts_limits_and_old_instants_stand_in_a_label_that_nobody_may_pass_over() {
    use propstick_wire::senml::{MAX_PACK_BYTES, Pack, SenmlFault};
    let (series, _) = small();
    let run: Vec<(Millis, f64)> =
        (0..250).map(|k| (Millis(1_772_971_200_000 + k * 1_000), 1.0 / (k + 3) as f64)).collect();
    let text = text_of(Form::Senml, &series[..2], &[vec![run.clone(), run.clone()]]);
    let mut records = 0;
    for line in text.lines() {
        assert!(line.len() <= MAX_PACK_BYTES, "{}", line.len());
        let n = Pack::parse(line).unwrap().records().count();
        records += n;
    }
    assert_eq!(records, 500);
    assert!(text.lines().count() <= 9, "packs are filled: {}", text.lines().count());
    // 1955-06-01T00:00:00Z, then 1978-07-04T21:24:15Z, the last second that would read as relative (RFC 8428, section 4.5.3), then the next.
    let old =
        vec![vec![(Millis(-460_339_200_000), 1.0), (Millis(268_435_455_000), 2.0), (Millis(268_435_456_000), 3.0)]];
    let text = text_of(Form::Senml, &series[..1], &[old]);
    let (first, second) = text.split_once('\n').unwrap();
    assert_eq!(
        first,
        "[{\"bn\":\"urn:dev:mac:02005efffe10a2b3_\",\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":1,\"utc_\":\"1955-06-01T00:00:00Z\"},\
         {\"n\":\"air-temperature\",\"u\":\"Cel\",\"v\":2,\"utc_\":\"1978-07-04T21:24:15Z\"}]"
    );
    assert_eq!(Pack::parse(first).unwrap_err().fault, SenmlFault::MustUnderstand);
    assert!(Pack::parse(second.trim_end()).is_ok(), "{second}");
}
