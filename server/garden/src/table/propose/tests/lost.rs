//! Files that cannot be understood, and any bytes at all.

use proptest::prelude::*;

use super::*;

#[test]
fn picture_is_lost_as_no_text() {
    let mut picture = b"\xFF\xD8\xFF\xE0\x00\x10JFIF\x00\x01\x01\x00\x00\x48\x00\x48\x00\x00\xFF\xDB".to_vec();
    picture.extend((0..4000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8));
    let lost = lost(picture);
    assert!(lost.missing[0].contains("stand for no letter: it is no text"), "{lost:?}");
    assert!(lost.tried[0].starts_with("read as text"), "{lost:?}");
}

#[test]
fn prose_is_lost_with_what_was_tried() {
    let prose = "Dear neighbour,\nin March, as every year, the tunnel was damp; we opened the doors at 9, or later.\nYours, the grower\n";
    let lost = lost(prose);
    assert_eq!(lost.missing, ["rows with cells between separators: a date and time, and numbers"]);
    assert!(lost.tried.contains(
        &"cut at semicolons: no line of 3 has two cells or more with a time and a number, or with numbers".to_owned()
    ));
}

#[test]
fn empty_file_one_line_and_a_header_alone_are_lost() {
    assert_eq!(lost("").missing, ["it is empty"]);
    assert_eq!(lost("\n \n\n").missing, ["nothing but blanks stands in it"]);
    assert!(lost("hello").missing[1].starts_with("more than one line"));
    let header = lost("Time,Temp (°C),RH (%)\n");
    assert_eq!(header.missing.len(), 2, "{header:?}");
}

#[test]
fn numbers_without_a_time_are_lost_and_say_what_is_missing() {
    let lost = lost("temp,rh\n1,20\n1,35\n2,50\n");
    assert!(lost.missing[0].starts_with("a column with the date and time of each row"), "{lost:?}");
    assert!(lost.tried.iter().any(|tried| tried == "header in line 1: temp, rh"), "{lost:?}");
}

#[test]
fn days_of_a_spreadsheet_and_times_without_a_date_are_named() {
    let serial = lost("Time,Temp (°C)\n45717.5,4.5\n45717.6,4.6\n");
    assert!(serial.missing[1].contains("the days of a spreadsheet"), "{serial:?}");
    let clock = lost("Clock,Temp (°C),RH\n09:00,4.5,90\n09:10,4.6,91\n");
    assert!(clock.missing[1].contains("the date to it is nowhere"), "{clock:?}");
}

#[test]
fn plants_by_day_of_harvest_are_no_series() {
    let mut file = String::from("compartment,harvest_date,Plant,Fresh Weight\n");
    for plant in 1..=60 {
        file.push_str(&format!("A,2022-03-15,{plant},{}\n", 200 + plant));
    }
    let lost = lost(file);
    assert_eq!(
        lost.missing,
        ["a time for each row: 59 of 60 rows have the time of the row before, and no column measures a climate"]
    );
}

#[test]
fn table_of_words_with_a_time_is_lost_and_says_why_each_column_is_left_out() {
    let lost = lost("time_utc,state,n\n2026-03-02 13:00,on,1\n2026-03-02 13:10,off,2\n2026-03-02 13:20,on,3\n");
    assert!(lost.missing[0].contains("state: words such as \"off\", not numbers"), "{lost:?}");
}

fn rubbish() -> impl Strategy<Value = Vec<u8>> {
    let line = prop_oneof![
        "[ -~]{0,40}",
        "[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4} [0-9:]{3,8}[,;\t][0-9.,-]{0,6}[,;\t]?[0-9.,\"a-z]{0,6}",
        "[a-zA-Z°%() ]{0,12}[,;\t][a-zA-Z°%() /]{0,12}[,;\t]?[\"a-z]{0,4}",
        "\\PC{0,20}",
    ];
    let text = proptest::collection::vec(line, 0..30).prop_map(|lines| lines.join("\n").into_bytes());
    // Well-formed tables with odd names, so that mappings come out as well.
    let name = "[a-zA-Z\"#=\\\\\u{1}\u{7F} ]{0,6}";
    let unit = prop_oneof![Just(" (°C)"), Just(" degF"), Just(" [%]"), Just("")];
    let table = (proptest::collection::vec((name, unit), 1..4), 1_usize..6).prop_map(|(names, rows)| {
        let heads: Vec<String> =
            names.iter().map(|(name, unit)| format!("temp {}{unit}", name.replace('"', ""))).collect();
        let mut table = format!("time_utc;{}\n", heads.join(";"));
        for row in 0..rows {
            table.push_str(&format!("2026-01-0{} 00:00{}\n", row + 1, ";4,5".repeat(names.len())));
        }
        table.into_bytes()
    });
    prop_oneof![text, table, proptest::collection::vec(any::<u8>(), 0..400)]
}

proptest! {
    #[test]
    fn prop_any_bytes_give_an_outcome_and_a_mapping_that_reads_back(
        bytes in rubbish(),
        zone in prop_oneof![Just(None), Just(Some(Tz::Europe__Rome)), Just(Some(Tz::Australia__Lord_Howe))],
    ) {
        let hints = Hints { garden_zone: zone, ..Hints::default() };
        let Ok(outcome) = propose(&bytes, &hints, now());
        match outcome {
            Outcome::Understood(proposal) => {
                prop_assert!(proposal.questions.is_empty());
                let again = FileMapping::from_toml(&proposal.text);
                prop_assert_eq!(again.map_err(|error| error.to_string()), Ok(proposal.mapping));
            }
            Outcome::Open(proposal) => prop_assert!(!proposal.questions.is_empty()),
            Outcome::Lost(lost) => prop_assert!(!lost.tried.is_empty() && !lost.missing.is_empty()),
        }
    }

    #[test]
    fn prop_the_proposal_does_not_depend_on_how_the_bytes_are_cut(bytes in rubbish(), size in 1_usize..9) {
        struct Cut<'a>(&'a [u8], usize);
        impl Source for Cut<'_> {
            type Error = std::convert::Infallible;
            fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> Result<(), Self::Error> {
                for piece in self.0.chunks(self.1) {
                    if take(piece).is_break() {
                        break;
                    }
                }
                Ok(())
            }
        }
        let (Ok(whole), Ok(cut)) =
            (propose(&bytes, &Hints::default(), now()), propose(&Cut(&bytes, size), &Hints::default(), now()));
        prop_assert_eq!(whole, cut);
    }
}
