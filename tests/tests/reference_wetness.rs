//! Leaf wetness and damp spells against measured data: a wetness sensor in a beet field, three Irish stations, a glasshouse with two sensors, a tunnel
//! whose sensor sits at the top. Expected figures are those of the data's READMEs, or were had by a separate calculation (said at each).
#![allow(clippy::expect_used, clippy::unwrap_used)]

use propstick_agronomy::psychrometrics::dew_point_c;
use propstick_agronomy::runs::Runs;
use propstick_agronomy::wetness::gauge::{GaugeReading, GaugeRefused, Rises, learn_scale};
use propstick_agronomy::wetness::hours::{Leaf, WetFold, WetHour};
use propstick_agronomy::wetness::samples::{AirSample, wet_hours};
use propstick_agronomy::wetness::spell::{DampSpell, SpellFold, SpellHour};
use propstick_agronomy::wetness::state::{Air, WetRules};
use propstick_tests::data::{csv_rows, reference_file};
use propstick_tests::weather::{
    HOUR_MS, IRELAND, StationHour, YEAR_2017_MS, beet_field_2022, beet_field_good_period, ireland_2017,
};

/// One flag for each hour of the station, from our machine with `rules`; water on the leaves in each hour with rain, where `rain` says so.
fn machine(hours: &[StationHour], rules: &WetRules, error_pct: f64, rain: bool) -> Vec<Runs<bool>> {
    let samples: Vec<AirSample> = hours
        .iter()
        .map(|h| AirSample { t_ms: h.from_ms, t_c: h.t_c.unwrap(), rh_pct: h.rh_pct, error_pct, leaf: None })
        .collect();
    let wettings: Vec<i64> = hours.iter().filter(|h| rain && h.rain_mm.unwrap() > 0.0).map(|h| h.from_ms).collect();
    let span = hours[0].from_ms..hours[hours.len() - 1].from_ms + HOUR_MS;
    let (mut fold, mut wet) = (WetFold::default(), Vec::new());
    let take = |hour: &WetHour| wet.push(hour.leaf().map(|leaf| leaf == Leaf::Wet));
    wet_hours(&mut fold, rules, &samples, &wettings, span, |_| HOUR_MS, take);
    assert_eq!(wet.len(), hours.len(), "every hour is there");
    wet
}

fn measured_wet(hours: &[StationHour]) -> Vec<bool> {
    hours.iter().map(|h| h.leaf_pct.unwrap() >= 50.0).collect()
}

/// Mean absolute error and bias of wet hours a day, over the whole noon-days of a record that begins at midnight.
fn error_of_days(called: &[bool], measured: &[bool]) -> (f64, f64) {
    let day = |flags: &[bool]| flags.iter().filter(|f| **f).count() as f64;
    let pairs: Vec<(f64, f64)> =
        called[12..].chunks_exact(24).map(day).zip(measured[12..].chunks_exact(24).map(day)).collect();
    assert_eq!(pairs.len(), 175, "noon-days");
    let n = pairs.len() as f64;
    (pairs.iter().map(|(c, m)| (c - m).abs()).sum::<f64>() / n, pairs.iter().map(|(c, m)| c - m).sum::<f64>() / n)
}

/// README of canopy-leafwetness-2022, "What it can check": 4,224 h, 1,285 of them at least half wet; one threshold without hysteresis.
#[test]
fn table_of_single_thresholds_is_reproduced() {
    let Some(hours) = beet_field_good_period() else { return };
    let measured = measured_wet(&hours);
    assert_eq!((hours.len(), measured.iter().filter(|m| **m).count()), (4_224, 1_285));
    for (threshold, called, hits_pct, false_pct, right_pct) in [
        (80.0, 1_784, 96.1, 30.8, 85.8),
        (85.0, 1_470, 90.6, 20.8, 89.9),
        (87.0, 1_349, 86.9, 17.2, 90.5),
        (90.0, 1_104, 76.7, 10.8, 90.1),
        (92.0, 913, 66.5, 6.5, 88.4),
        (95.0, 645, 49.0, 2.3, 84.1),
    ] {
        // No guttation: 97 % for 3 h is above each of them anyway.
        let rules = WetRules { on_pct: threshold, off_pct: threshold, ..WetRules::UNDER_COVER };
        let wet: Vec<bool> = machine(&hours, &rules, 0.0, false).iter().map(|w| w.read).collect();
        let n = wet.iter().filter(|w| **w).count();
        let hits = wet.iter().zip(&measured).filter(|(w, m)| **w && **m).count();
        let right = wet.iter().zip(&measured).filter(|(w, m)| w == m).count();
        let pct = |part: usize, of: usize| (1_000.0 * part as f64 / of as f64).round() / 10.0;
        assert_eq!(n, called, "{threshold}");
        assert_eq!(
            (pct(hits, 1_285), pct(n - hits, n), pct(right, 4_224)),
            (hits_pct, false_pct, right_pct),
            "{threshold}"
        );
    }
    // "A sensor that reads 3 % high turns 1,104 damp hours into 1,349; 3 % low into 823."
    let rules = WetRules { on_pct: 90.0, off_pct: 90.0, ..WetRules::UNDER_COVER };
    let triple = machine(&hours, &rules, 3.0, false);
    let count = |of: fn(&Runs<bool>) -> bool| triple.iter().filter(|w| of(w)).count();
    assert_eq!((count(|w| w.low), count(|w| w.read), count(|w| w.high)), (823, 1_104, 1_349));
}

/// The default's error against the sensor: promised at most 2.0 h a day, aim 1.5. Measured 1.91 (1.82 where rain is counted as
/// water on the leaves): with temperature and humidity at 2 m alone the aim is not reached by any rule tried here, the best published one makes 1.79. Figures to a hundredth were had by a separate calculation in
/// Python, so that a change of any rule shows.
#[test]
fn default_and_published_estimators_against_the_sensor() {
    let Some(hours) = beet_field_good_period() else { return };
    let measured = measured_wet(&hours);
    let triple = machine(&hours, &WetRules::UNDER_COVER, 3.0, false);
    let run = |of: fn(&Runs<bool>) -> bool| -> Vec<bool> { triple.iter().map(of).collect() };
    let air: Vec<(f64, f64, f64)> =
        hours.iter().map(|h| (h.t_c.unwrap(), h.rh_pct.unwrap(), h.wind_m_s.unwrap())).collect();
    let depression = |&(t_c, rh, _): &(f64, f64, f64)| t_c - dew_point_c(t_c, rh).unwrap();
    let read = |triple: Vec<Runs<bool>>| -> Vec<bool> { triple.iter().map(|w| w.read).collect() };
    let while_it_falls = WetRules { watered_ms: HOUR_MS, ..WetRules::UNDER_COVER };
    let estimators: [(&str, Vec<bool>, f64, f64); 13] = [
        ("default", run(|w| w.read), 1.91, -0.53),
        ("default, sensor 3 % low", run(|w| w.low), 2.55, -2.11),
        ("default, sensor 3 % high", run(|w| w.high), 1.95, 0.81),
        ("default, rain counted as watering", read(machine(&hours, &WetRules::UNDER_COVER, 3.0, true)), 1.82, 0.10),
        ("default, rain counted while it falls", read(machine(&hours, &while_it_falls, 3.0, true)), 1.79, -0.21),
        ("90 % (Sentelhas 2008)", air.iter().map(|a| a.1 >= 90.0).collect(), 1.99, -1.03),
        ("94 % (Gil 2011, a plastic house)", air.iter().map(|a| a.1 >= 94.0).collect(), 3.25, -3.11),
        ("87 %", air.iter().map(|a| a.1 >= 87.0).collect(), 1.86, 0.37),
        ("depression on 2.0, off 3.8 (Gillespie 1993)", with_hysteresis(&air, depression, 2.0, 3.8), 2.29, 1.43),
        ("depression on 1.8, off 2.2 (Rao 1998)", with_hysteresis(&air, depression, 1.8, 2.2), 1.89, -0.10),
        ("depression 2.0 (Wang 2019)", air.iter().map(|a| depression(a) <= 2.0).collect(), 1.79, 0.00),
        ("tree of Kim 2002", air.iter().map(|a| tree_kim_2002(*a)).collect(), 2.63, 1.82),
        ("extended threshold (Wichink Kruit 2008)", extended_wichink_kruit_2008(&air), 3.41, 3.13),
    ];
    for (name, wet, error_h, bias_h) in &estimators {
        let (error, bias) = error_of_days(wet, &measured);
        println!("{name}: {error:.2} h a day, bias {bias:+.2}");
        assert!((error - error_h).abs() <= 0.005 && (bias - bias_h).abs() <= 0.005, "{name}: {error} {bias}");
    }
    assert!(estimators[0].2 <= 2.0 && estimators[3].2 <= 2.0, "the promise");
    let right = run(|w| w.read).iter().zip(&measured).filter(|(w, m)| w == m).count() as f64 / 4_224.0;
    assert!((right - 0.899).abs() <= 0.000_5, "share of hours right: {right}");
    // How often the range from the sensor's error holds what was measured: its bounds are narrower than the method's own error.
    let days = |flags: Vec<bool>| -> Vec<usize> {
        flags[12..].chunks_exact(24).map(|d| d.iter().filter(|f| **f).count()).collect()
    };
    let (low, high, truth) = (days(run(|w| w.low)), days(run(|w| w.high)), days(measured.clone()));
    let within = (0..175).filter(|d| (low[*d]..=high[*d]).contains(&truth[*d])).count();
    let within_two = (0..175).filter(|d| (low[*d].saturating_sub(2)..=high[*d] + 2).contains(&truth[*d])).count();
    println!("measured within low..high on {within} of 175 days, within two hours of it on {within_two}");
    assert_eq!((within, within_two), (100, 160));
}

/// What a sensor can teach here (wetness sheet 7: an offset of both thresholds for each structure): that which suits May to July best, two points lower, makes August to
/// October worse. So no offset is learned from one season; with it, too, the aim of 1.5 h is out of reach. Figures by a separate calculation in Python.
#[test]
fn offset_learned_from_early_summer_does_not_help_autumn() {
    let Some(hours) = beet_field_good_period() else { return };
    let measured = measured_wet(&hours);
    let halves = |offset_pct: f64| {
        let rules = WetRules::UNDER_COVER.moved(offset_pct).expect("within what thresholds can be");
        let called: Vec<bool> = machine(&hours, &rules, 0.0, false).iter().map(|w| w.read).collect();
        let day = |flags: &[bool]| flags.iter().filter(|f| **f).count() as f64;
        let off: Vec<f64> = called[12..]
            .chunks_exact(24)
            .zip(measured[12..].chunks_exact(24))
            .map(|(called, measured)| (day(called) - day(measured)).abs())
            .collect();
        [&off[..88], &off[88..]].map(|half| half.iter().sum::<f64>() / half.len() as f64)
    };
    let all: Vec<(f64, [f64; 2])> = (-3..=3).map(f64::from).map(|offset| (offset, halves(offset))).collect();
    let best = all.iter().min_by(|a, b| a.1[0].total_cmp(&b.1[0])).unwrap();
    let default = halves(0.0);
    println!("best in May to July: {best:.2?}; the default {default:.2?}");
    assert_eq!(best.0, -2.0);
    assert!((best.1[0] - 1.716).abs() < 0.02 && (best.1[1] - 2.057).abs() < 0.02, "{best:?}");
    assert!(best.1[0] < default[0] && best.1[1] > default[1], "{best:?} {default:?}");
}

/// A depression rule with hysteresis; comparison only (wetness sheet 1.1 b).
fn with_hysteresis(
    air: &[(f64, f64, f64)],
    depression_c: impl Fn(&(f64, f64, f64)) -> f64,
    on_c: f64,
    off_c: f64,
) -> Vec<bool> {
    let mut wet = false;
    air.iter()
        .map(|a| {
            let d = depression_c(a);
            wet = d <= on_c || (wet && d < off_c);
            wet
        })
        .collect()
}

/// The classification tree and discriminants of Kim et al. 2002, comparison only: not a default under cover (wetness sheet 1.1 d).
fn tree_kim_2002((t_c, rh_pct, wind_m_s): (f64, f64, f64)) -> bool {
    let d = t_c - dew_point_c(t_c, rh_pct).unwrap();
    discriminant_kim_2002(t_c, rh_pct, wind_m_s, d).is_some_and(|c| c > if wind_m_s < 2.5 { 14.4674 } else { 37.0 })
}

fn discriminant_kim_2002(t_c: f64, rh_pct: f64, w: f64, d: f64) -> Option<f64> {
    let root = t_c.max(0.0).sqrt();
    if d >= 3.7 {
        None
    } else if w < 2.5 {
        Some(1.6064 * root + 0.0036 * t_c * t_c + 0.1531 * rh_pct - 0.4599 * w * d - 0.0035 * t_c * rh_pct)
    } else if rh_pct < 87.8 {
        None
    } else {
        Some(0.7921 * root + 0.0046 * rh_pct - 2.3889 * w - 0.0390 * t_c * w + 1.0613 * w * d)
    }
}

/// Wetness sheet 1.1 d, CHECK [derived]: the comparison is the sheet's, and in still air it calls far too much wet.
#[test]
fn tree_of_kim_2002_gives_the_sheets_values() {
    for (t_c, rh, depression) in
        [(15.0, 95.0, 0.794), (15.0, 85.0, 2.499), (15.0, 75.0, 4.391), (5.0, 82.0, 2.810), (5.0, 78.0, 3.508)]
    {
        assert!((t_c - dew_point_c(t_c, rh).unwrap() - depression).abs() <= 0.000_51, "{t_c} {rh}");
    }
    for (t_c, rh, w, c) in [
        (15.0, 95.0, 1.0, 16.2233),
        (15.0, 85.0, 1.0, 14.4331),
        (5.0, 82.0, 0.1, 14.6720),
        (5.0, 78.0, 0.1, 14.0975),
        (0.0, 95.0, 0.1, 14.5122),
        (0.0, 92.0, 0.1, 14.0328),
        (15.0, 95.0, 3.0, -2.8882),
    ] {
        let d = t_c - dew_point_c(t_c, rh).unwrap();
        let got = discriminant_kim_2002(t_c, rh, w, d).unwrap();
        assert!((got - c).abs() <= 0.000_051, "{t_c} {rh} {w}: {got}");
    }
    assert!(!tree_kim_2002((15.0, 75.0, 1.0)));
    // "At W = 0.1 the tree calls wet at RH >= 80.6 at 5 °C."
    assert!(tree_kim_2002((5.0, 80.7, 0.1)) && !tree_kim_2002((5.0, 80.5, 0.1)));
}

/// The extended threshold, comparison only (wetness sheet 1.1 c); hourly steps are halved to its half hours.
fn extended_wichink_kruit_2008(air: &[(f64, f64, f64)]) -> Vec<bool> {
    let mut wet = false;
    (0..air.len())
        .map(|k| {
            let (rh, before) = (air[k].1, air[k.saturating_sub(1)].1);
            let half_hour = (rh - before) / 2.0;
            wet = match rh {
                rh if rh >= 87.0 => true,
                rh if rh < 70.0 => false,
                _ if half_hour > 3.0 => true,
                _ if half_hour < -2.0 => false,
                _ => wet,
            };
            wet
        })
        .collect()
}

/// The learner on a real sensor (README: good from 1 May to 23 October, a dead input at 24.10-24.19 before), each day from the fortnight before it.
#[test]
fn learner_takes_the_good_sensor_and_refuses_the_dead_input() {
    let Some(hours) = beet_field_2022() else { return };
    let learned = |day: usize| {
        let from = day * 24;
        let readings: Vec<GaugeReading> = hours[from - 14 * 24..from]
            .iter()
            .filter_map(|h| Some(GaugeReading { t_c: h.t_c?, rh_pct: h.rh_pct?, raw: h.leaf_pct? }))
            .collect();
        learn_scale(&readings, Rises::WhenWet, None)
    };
    let mut good = (0, 0);
    for day in 134..=296 {
        match learned(day) {
            Ok(scale) => {
                assert!(scale.dry == 0.0 && scale.wet >= 95.0, "day {day}: {scale:?}");
                good.0 += 1;
            }
            // A dry fortnight has too few hours above 97 %.
            Err(GaugeRefused::FewWet(_)) => good.1 += 1,
            other => panic!("day {day}: {other:?}"),
        }
    }
    println!("learned on {} days, too little damp air on {}", good.0, good.1);
    assert!(good.0 >= 100, "{good:?}");
    for day in 14..120 {
        assert!(learned(day).is_err(), "dead on day {day}: {:?}", learned(day));
    }
}

/// Unbroken hours of RH >= 90 in 2017.
fn spells_of(hours: &[StationHour], doubtful: impl Fn(&StationHour) -> bool) -> Vec<DampSpell> {
    let mut fold = SpellFold::default();
    let mut found: Vec<DampSpell> = hours
        .iter()
        .filter_map(|h| {
            fold.push(&SpellHour { from_ms: h.from_ms, rh_pct: h.rh_pct, t_c: h.t_c, doubtful: doubtful(h) })
        })
        .collect();
    found.extend(fold.finish());
    found
}

/// README of ireland-hourly: longest unbroken RH >= 90, and hours of it in the year.
#[test]
fn longest_damp_spells_of_three_stations_are_found() {
    // Hours since 2017-01-01 00:00 UTC: 17 December is day 350.
    for (station, hours_long, from_h, year_h) in [
        (IRELAND[0], 95, 350 * 24 + 3, 2_894),
        (IRELAND[1], 152, 351 * 24 + 16, 3_364),
        (IRELAND[2], 127, 350 * 24 + 6, 3_311),
    ] {
        let Some(hours) = ireland_2017(station) else { return };
        let spells = spells_of(&hours, |_| false);
        let longest = spells.iter().max_by_key(|s| s.hours).unwrap();
        assert_eq!((longest.hours, (longest.from_ms - YEAR_2017_MS) / HOUR_MS), (hours_long, from_h), "{station}");
        assert!(!longest.begun_unseen && !longest.ended_unseen && !longest.doubtful, "{station}");
        assert_eq!(spells.iter().map(|s| s.hours).sum::<u32>(), year_h, "{station}");
    }
}

/// README of ireland-hourly, fault: Sherkin Island reads 20 to 39 % from 18 to 28 November, with 56 h blank. Nothing there is a damp spell, nothing bridges the
/// blanks, and the same span stuck at 100 % is one that is doubtful.
#[test]
fn broken_humidity_of_sherkin_builds_no_damp_spell() {
    let Some(hours) = ireland_2017(IRELAND[2]) else { return };
    // 18 November is day 321, 29 November day 332.
    let fault = YEAR_2017_MS + 321 * 24 * HOUR_MS..YEAR_2017_MS + 332 * 24 * HOUR_MS;
    let blank = hours.iter().filter(|h| fault.contains(&h.from_ms) && h.rh_pct.is_none()).count();
    let within = |spell: &DampSpell, inset_ms: i64| {
        spell.from_ms < fault.end - inset_ms && spell.until_ms() > fault.start + inset_ms
    };
    let spells = spells_of(&hours, |_| false);
    assert_eq!(blank, 56);
    // The file has two lone high readings in it, 98 % on the 20th at 11:00 and 99 % on the 21st at 09:00.
    let inside: Vec<(i64, u32)> = spells
        .iter()
        .filter(|s| within(s, 12 * HOUR_MS))
        .map(|s| ((s.from_ms - YEAR_2017_MS) / HOUR_MS, s.hours))
        .collect();
    assert_eq!(inside, [(323 * 24 + 11, 1), (324 * 24 + 9, 1)]);
    for spell in &spells {
        let whole = spell.from_ms..spell.until_ms();
        assert!(hours.iter().filter(|h| whole.contains(&h.from_ms)).all(|h| h.rh_pct.unwrap() >= 90.0));
    }
    // The same days from a sensor stuck at the top: the wetness machine suspects it, and the spell is no spell by itself.
    let stuck: Vec<StationHour> = hours
        .iter()
        .map(|h| StationHour { rh_pct: if fault.contains(&h.from_ms) { Some(100.0) } else { h.rh_pct }, ..*h })
        .collect();
    let suspects = suspect_hours(stuck.iter().map(|h| (h.from_ms, HOUR_MS, h.t_c.unwrap(), h.rh_pct)));
    // A separate calculation: of the eleven days 148 h, once 48 h had gone and temperature had moved by more than 5 °C.
    assert_eq!(suspects.len(), 148);
    let spells = spells_of(&stuck, |h| suspects.contains(&h.from_ms));
    let longest = spells.iter().max_by_key(|s| s.hours).unwrap();
    assert!(longest.hours >= 264 && longest.doubtful, "{longest:?}");
}

/// First instants of the hours in which the machine suspects the humidity sensor.
fn suspect_hours(samples: impl Iterator<Item = (i64, i64, f64, Option<f64>)>) -> Vec<i64> {
    let (mut fold, mut suspects) = (WetFold::default(), Vec::new());
    let mut take = |hour: &WetHour| {
        if hour.suspect {
            assert_eq!(hour.wet_ms.low, 0, "a suspect hour is dry in the low run, but for the part before suspicion");
            suspects.push(hour.from_ms);
        }
    };
    for (t_ms, span_ms, t_c, rh_pct) in samples {
        if let Some(air) = rh_pct.and_then(|rh| Air::measured(t_ms, t_ms + span_ms, t_c, rh, 3.0)) {
            fold.push(&WetRules::UNDER_COVER, &air, &mut take);
        }
    }
    fold.close_hour(&mut take);
    suspects
}

/// README of tunnel-veneto-2021: 52 % of the readings of tunnel2-trh3 are at 99.9 % and more. Taken by row, a quarter of an hour each, because its stamps are mixed.
/// A separate calculation finds 17.75 h at 99 % and more that had lasted 48 h while temperature moved by more than 5 °C, in a longest stretch of 65.5 h.
#[test]
fn saturated_sensor_of_a_real_tunnel_is_suspected_where_the_rule_says_so() {
    let Some(file) = reference_file("tunnel-veneto-2021/tunnel2-trh3.csv") else { return };
    let text = std::fs::read_to_string(&file).unwrap();
    let rows: Vec<(f64, f64)> = text
        .lines()
        .skip(1)
        .filter_map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            Some((fields.get(2)?.parse().ok()?, fields.get(3)?.parse().ok()?))
        })
        .collect();
    assert_eq!(rows.len(), 14_694);
    let saturated = rows.iter().filter(|r| r.1 >= 99.9).count() as f64 / rows.len() as f64;
    assert!((saturated - 0.52).abs() < 0.005, "{saturated}");
    let quarter_ms = HOUR_MS / 4;
    let (mut fold, mut suspect_ms, mut wet_ms) = (WetFold::default(), 0, Runs::all(0));
    for (k, (t_c, rh)) in (0..).zip(&rows) {
        let air = Air::measured(k * quarter_ms, (k + 1) * quarter_ms, *t_c, *rh, 3.0).unwrap();
        let stepped = fold.state.step(&WetRules::UNDER_COVER, &air);
        suspect_ms += if stepped.suspect { quarter_ms } else { 0 };
        wet_ms = wet_ms.with(stepped.wet_ms, |a, b| a + b);
    }
    fold.close_hour(|_| {});
    assert_eq!(suspect_ms as f64 / HOUR_MS as f64, 17.75);
    println!("wet hours of the tunnel's autumn: {:?}", wet_ms.map(|ms| ms / HOUR_MS));
    assert!(wet_ms.low < wet_ms.read && wet_ms.read < wet_ms.high);
}

/// README of greenhouse-lettuce-2022, file A: a threshold at 90 % gives 0 h with the main sensor and 33.3 h with the one near the crop. Rows of five minutes.
#[test]
fn two_sensors_in_one_house_give_nothing_and_33_hours() {
    let Some(file) = reference_file("greenhouse-lettuce-2022/inside-A-5min.csv") else { return };
    let rows = csv_rows(&file, &["Tair", "Rhair", "Tair_crop", "Rhair_crop"]).unwrap();
    let flat = WetRules { on_pct: 90.0, off_pct: 90.0, ..WetRules::UNDER_COVER };
    let five_min_ms = 300_000;
    let wet_h = |t_column: usize, rh_column: usize, rules: &WetRules| {
        let samples: Vec<AirSample> = (0..)
            .zip(&rows)
            .filter_map(|(k, row)| {
                let (t_c, rh) = (row[t_column].parse().ok()?, row[rh_column].parse().ok()?);
                Some(AirSample { t_ms: k * five_min_ms, t_c, rh_pct: Some(rh), error_pct: 3.0, leaf: None })
            })
            .collect();
        let span = 0..(rows.len() as i64 * five_min_ms + HOUR_MS - 1) / HOUR_MS * HOUR_MS;
        let mut sum = Runs::all(0);
        wet_hours(
            &mut WetFold::default(),
            rules,
            &samples,
            &[],
            span,
            |_| five_min_ms,
            |h| {
                sum = sum.with(h.wet_ms, |a, b| a + b);
            },
        );
        sum.map(|ms| ms as f64 / HOUR_MS as f64)
    };
    let (main, crop) = (wet_h(0, 1, &flat), wet_h(2, 3, &flat));
    assert_eq!(main.read, 0.0);
    assert!((crop.read - 33.3).abs() < 0.05, "{crop:?}");
    // With the default as well, and neither range holds the other's figure: a board at head height is not the lettuce.
    let (main, crop) = (wet_h(0, 1, &WetRules::UNDER_COVER), wet_h(2, 3, &WetRules::UNDER_COVER));
    println!("wet hours with the default: main {main:?}, crop {crop:?}");
    assert!(main.read == 0.0 && crop.read > 33.0 && main.high < crop.read);
}
