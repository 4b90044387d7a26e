//! Rows of the generic infection model beside other published equations for the same diseases. The equations are for comparison only and live here; their values
//! are those of the project's sheet on wetness and disease, and what they say of our rows is what is tested.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use propstick_agronomy::disease::cucurbit::least_wet_hours_cohen_1977;
use propstick_agronomy::disease::dry_mildew::{DryMildewDay, dry_mildew_score};
use propstick_agronomy::disease::rows::Disease;
use propstick_agronomy::risk::fold::severity;
use propstick_tests::data::{csv_rows, reference_file};

#[track_caller]
fn close(got: f64, expected: f64) {
    assert!((got - expected).abs() <= 0.000_051, "{got} against {expected}");
}

/// Logit of infected grapes, Broome et al. 1995 (sheet 2.6).
fn grape_logit_broome_1995(wet_h: f64, t_c: f64) -> f64 {
    let t = t_c.clamp(12.0, 32.0);
    -2.647_866 - 0.374_927 * wet_h + 0.061_601 * wet_h * t - 0.001_511 * wet_h * t * t
}

/// Share of infected strawberry flowers, Bulger et al. 1987, in a form from memory (sheet 2.6).
fn strawberry_share_bulger_1987(wet_h: f64, t_c: f64) -> f64 {
    let logit = -4.268 - 0.0901 * wet_h + 0.0294 * wet_h * t_c - 0.000_023_5 * wet_h * t_c.powi(3);
    1.0 / (1.0 + (-logit).exp())
}

/// Severity of onion downy mildew, 10 to 25 °C and 6 to 48 h (sheet 2.3).
fn onion_severity(t_c: f64, wet_h: f64) -> f64 {
    let shape = (t_c - 8.0).powf(0.0614) * (30.0 - t_c).powf(0.1419);
    0.1506 * shape * 0.71642 / (1.0 + 0.56954 * (-0.04460 * wet_h).exp())
}

/// Sheet 2.6, CHECK [derived], then our row: at every temperature of the table its hours are enough for a grape equation to leave "none", and twice as many are enough
/// for at least "moderate".
#[test]
fn grey_mould_row_asks_for_about_what_the_grape_equation_does() {
    for (wet_h, t_c, logit, share) in [
        (4.0, 20.0, -1.6371, 0.1629),
        (8.0, 15.0, -0.9750, 0.2739),
        (12.0, 15.0, -0.1385, 0.4654),
        (12.0, 20.0, 0.3845, 0.5949),
        (16.0, 20.0, 1.3952, 0.8014),
        (24.0, 12.0, 0.8730, 0.7054),
    ] {
        let ours = grape_logit_broome_1995(wet_h, t_c);
        close(ours, logit);
        close(1.0 / (1.0 + (-ours).exp()), share);
    }
    let row = Disease::GreyMould.row();
    for t_c in [12.0, 15.0, 18.0, 20.0] {
        let needed = row.wet_hours_needed(t_c).unwrap();
        let (at, twice) = (grape_logit_broome_1995(needed, t_c), grape_logit_broome_1995(2.0 * needed, t_c));
        println!("{t_c} °C: {needed:.1} h, logit {at:.2}, twice {twice:.2}");
        assert!(at > -0.5 && twice > 0.5, "{t_c}: {needed} h, {at}, {twice}");
    }
}

/// Sheet 2.1, "do not drop the cap": at 10 °C about half of the flowers are infected after 24 h, so that the uncapped 51 h cannot be right; the cap's 18 h can.
#[test]
fn cap_of_the_grey_mould_row_agrees_with_strawberry_flowers() {
    for (wet_h, t_c, share) in [
        (24.0, 20.0, 0.9597),
        (12.0, 20.0, 0.3661),
        (24.0, 10.0, 0.5154),
        (24.0, 15.0, 0.9047),
        (24.0, 25.0, 0.9166),
        (8.0, 15.0, 0.1096),
    ] {
        close(strawberry_share_bulger_1987(wet_h, t_c), share);
    }
    let row = Disease::GreyMould.row();
    let capped = row.wet_hours_needed(10.0).unwrap();
    let uncapped = row.wet_min_h / row.response(10.0).unwrap();
    // The paper's measure: 20 % incidence. At the cap's hours the flowers have that; at the uncapped ones nearly all would be infected.
    assert!(strawberry_share_bulger_1987(capped, 10.0) > 0.2, "{capped}");
    assert!(strawberry_share_bulger_1987(uncapped, 10.0) > 0.9, "{uncapped}");
}

/// Sheet 2.3, CHECK [derived]: "once wet for 6 h at 10-20 °C, more wetness adds little". Our stand-in has its infection within those six hours.
#[test]
fn onion_stand_in_is_complete_where_the_published_surface_is_flat() {
    for (t_c, wet_h, severity) in [
        (10.0, 6.0, 0.1199),
        (15.0, 6.0, 0.1244),
        (15.0, 24.0, 0.1494),
        (15.0, 48.0, 0.1673),
        (20.0, 24.0, 0.1458),
        (25.0, 24.0, 0.1350),
    ] {
        close(onion_severity(t_c, wet_h), severity);
    }
    let row = Disease::OnionDownyMildew.row();
    for t_c in [10.0, 15.0, 20.0] {
        assert!(onion_severity(t_c, 48.0) < 1.4 * onion_severity(t_c, 6.0));
        assert!(row.wet_hours_needed(t_c).unwrap() <= 6.0, "{t_c}");
    }
}

/// Sheet 2.8: the abstract's points and the generic row say the same to about an hour.
#[test]
fn cucurbit_row_agrees_with_the_least_hours_of_cohen_1977() {
    let row = Disease::CucurbitDownyMildew.row();
    for t_c in [5.0, 10.0, 20.0] {
        let (generic, cohen) = (row.wet_hours_needed(t_c).unwrap(), least_wet_hours_cohen_1977(t_c).unwrap());
        assert!((generic - cohen).abs() <= 1.0, "{t_c}: {generic} {cohen}");
    }
}

/// Rate terms of grey mould, Gonzalez-Dominguez et al. 2015 (sheet 2.6): sporulation by humidity and by temperature, wetness of young tissue, spread by touch.
mod gonzalez_dominguez_2015 {
    pub fn spores_by_humidity(rh_pct: f64) -> f64 {
        (-3.595 + 0.097 * rh_pct - 0.0005 * rh_pct * rh_pct).clamp(0.0, 1.0)
    }

    pub fn spores_by_temperature(t_c: f64) -> f64 {
        let t = t_c / 35.0;
        (3.7 * t.powf(0.9) * (1.0 - t)).powf(10.49)
    }

    pub fn young_tissue(wet_h: f64) -> f64 {
        1.0 / (1.0 + (1.85 - 0.19 * wet_h).exp())
    }

    pub fn touch(rh_pct: f64) -> f64 {
        1.0 / (1.0 + (35.36 - 40.26 * rh_pct / 100.0).exp())
    }
}

/// Sheet 2.6, CHECK [derived]. What it says of ours: at 15 °C our severity of a night runs with its wetness factor, hour by hour.
#[test]
fn wetness_factor_of_young_tissue_rises_with_our_severity_of_the_night() {
    use gonzalez_dominguez_2015 as g;
    for (rh, value) in [(50.0, 0.005), (60.0, 0.425), (65.0, 0.5975), (70.0, 0.745), (80.0, 0.965), (83.0, 1.0)] {
        close(g::spores_by_humidity(rh), value);
    }
    for (t_c, value) in [(5.0, 0.0019), (10.0, 0.1954), (15.0, 0.8648), (20.0, 0.6395), (25.0, 0.0747)] {
        close(g::spores_by_temperature(t_c), value);
    }
    for (h, value) in [(0.0, 0.1359), (4.0, 0.2516), (8.0, 0.4182), (12.0, 0.6059), (24.0, 0.9376)] {
        close(g::young_tissue(h), value);
    }
    for (rh, value) in [(80.0, 0.0410), (85.0, 0.2425), (90.0, 0.7056), (95.0, 0.9472)] {
        close(g::touch(rh), value);
    }
    let progress = Disease::GreyMould.row().hourly_progress(15.0);
    let (mut ours_before, mut theirs_before, mut worst) = (0.0, 0.0, 0.0_f64);
    for hour in 1..=24 {
        let (ours, theirs) = (severity((f64::from(hour) * progress).powi(2)), g::young_tissue(f64::from(hour)));
        assert!(ours > ours_before && theirs > theirs_before);
        worst = worst.max((ours - theirs).abs());
        (ours_before, theirs_before) = (ours, theirs);
    }
    println!("severity and wetness factor at 15 °C differ by at most {worst:.2}");
    assert!(worst < 0.3);
}

/// A day of the grape index of Gubler et al. 1999 (sheet 2.9): six hours and more in a row at 21.1 to 29.4 °C, and a quarter of an hour at 35 °C.
fn grape_index_after(index: f64, days: &mut u32, suits: bool, hot: bool) -> f64 {
    *days = if suits { *days + 1 } else { 0 };
    if index == 0.0 && *days < 3 {
        return 0.0;
    }
    let change = match (suits, hot) {
        _ if index == 0.0 => 60.0,
        (true, true) => 10.0,
        (true, false) => 20.0,
        _ => -10.0,
    };
    (index + change).clamp(0.0, 100.0)
}

/// Sheet 2.9, CHECK [derived]: good, good, good -> 60; good 80; short 70; hot and good 80; good, good 100, 100; short x3 -> 70. Our dry-mildew score has the same sign: a
/// day that raises the grape index scores more than one that lowers it.
#[test]
fn dry_mildew_score_goes_with_the_grape_index() {
    let (mut index, mut run) = (0.0, 0);
    let days = [(true, false); 4].into_iter().chain([(false, false), (true, true), (true, false), (true, false)]);
    let days = days.chain([(false, false); 3]);
    let course: Vec<f64> = days
        .map(|(suits, hot)| {
            index = grape_index_after(index, &mut run, suits, hot);
            index
        })
        .collect();
    assert_eq!(course, [0.0, 0.0, 60.0, 80.0, 70.0, 80.0, 100.0, 100.0, 90.0, 80.0, 70.0]);
    let day = |light_mean_c, hot_h| DryMildewDay { light_mean_c, mean_rh_pct: 70.0, hot_h, wet_h: 2.0, month: 7 };
    let score = |light_mean_c, hot_h| dry_mildew_score(&day(light_mean_c, hot_h)).unwrap();
    for good in [21.2, 23.0, 25.0] {
        for bad in [score(12.0, 0.0), score(14.0, 0.0), score(33.0, 0.0), score(good, 2.0)] {
            assert!(score(good, 0.0) > bad, "{good}: {} against {bad}", score(good, 0.0));
        }
    }
}

/// published-rules/wetness-severity-tomato.csv (Madden et al. 1978, from memory of the printed table there: test input, nothing for a grower): every row, its two ends and
/// middle of temperature. The table is whole from 13 to 29 °C and 0 to 24 h; our blight row, another disease of the same leaves, goes with it where both have a say: at
/// one temperature more severity is more of ours, and what the table calls nothing is no more than one infection of ours.
#[test]
fn tomato_table_goes_with_our_rule_for_tomatoes() {
    let Some(file) = reference_file("published-rules/wetness-severity-tomato.csv") else { return };
    let columns = ["mean_temp_c_low", "mean_temp_c_high", "wet_hours_min", "wet_hours_max", "severity"];
    let rows = csv_rows(&file, &columns).unwrap();
    assert_eq!(rows.len(), 19);
    let number = |field: &String| field.parse::<f64>().unwrap();
    let table = |t_c: f64, h: u32| {
        let holds = |row: &&Vec<String>| {
            (number(&row[0])..=number(&row[1])).contains(&t_c)
                && (number(&row[2])..=number(&row[3])).contains(&f64::from(h))
        };
        let found: Vec<f64> = rows.iter().filter(holds).map(|row| number(&row[4])).collect();
        assert_eq!(found.len(), 1, "{t_c} °C, {h} h");
        found[0]
    };
    let row = Disease::LateBlight.row();
    let ours = |t_c: f64, h: u32| severity((f64::from(h) * row.hourly_progress(t_c)).powi(2));
    let mut none_at_most = 0.0_f64;
    for t_c in (13..=27).map(f64::from) {
        for h in 1..=24 {
            let (before, now) = (table(t_c, h - 1), table(t_c, h));
            assert!(now == before || now == before + 1.0, "{t_c} °C, {h} h: {before} to {now}");
            assert!(now == before || ours(t_c, h) > ours(t_c, h - 1));
            if now == 0.0 {
                none_at_most = none_at_most.max(ours(t_c, h));
            }
        }
        assert!(table(t_c, 0) == 0.0 && table(t_c, 24) >= 3.0 && ours(t_c, 24) > 0.75, "{t_c}: {}", ours(t_c, 24));
    }
    println!("our severity where the table has none: at most {none_at_most:.2}");
    assert!(none_at_most <= 0.5 + 1e-9);
    for t_c in [28.0, 29.0] {
        assert_eq!((0..=24).map(|h| table(t_c, h)).fold(0.0, f64::max), 4.0);
        assert_eq!(ours(t_c, 24), 0.0, "blight ends at 28 °C, the table's disease does not");
    }
}
