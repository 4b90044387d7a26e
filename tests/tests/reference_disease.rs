//! Disease rules and the risk index against published tables and three Irish stations. Expected figures are those of the tables and READMEs, or were had by a
//! separate calculation in Python (said at each).
#![allow(clippy::expect_used, clippy::unwrap_used)]

use propstick_agronomy::coverage::Sample;
use propstick_agronomy::disease::Verdict;
use propstick_agronomy::disease::blight::{BlightDay, BlightRule, completes_period, spell_severity_wallin_1962};
use propstick_agronomy::disease::constants as c;
use propstick_agronomy::disease::lettuce::lettuce_morning_wu_2002;
use propstick_agronomy::quality::Place;
use propstick_agronomy::risk::fold::{RiskDay, RiskFold};
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::risk::level::{Freshness, Level, LevelState, shown};
use propstick_agronomy::runs::Runs;
use propstick_agronomy::wetness::hours::{WetFold, WetHour};
use propstick_agronomy::wetness::samples::{AirSample, wet_hours};
use propstick_agronomy::wetness::state::WetRules;
use propstick_garden::season::{Doubts, Flags, LEAVES_LOOK_BACK_MS, Marker, SpotAir, join_air, marks_at};
use propstick_tests::data::reference_file;
use propstick_tests::weather::{HOUR_MS, IRELAND, StationHour, YEAR_2017_MS, beet_field_good_period, ireland_2017};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

/// Wet hours of a station whose air is warmed by `warmer_c` and damped by `damper_pct` under the cover.
fn under_cover(hours: &[StationHour], warmer_c: f64, damper_pct: f64) -> Vec<WetHour> {
    under_rules(&WetRules::WITHOUT_THAW, hours, warmer_c, damper_pct, &[])
}

fn under_rules(
    rules: &WetRules,
    hours: &[StationHour],
    warmer_c: f64,
    damper_pct: f64,
    wettings: &[i64],
) -> Vec<WetHour> {
    let samples: Vec<AirSample> = hours
        .iter()
        .map(|h| AirSample {
            t_ms: h.from_ms,
            t_c: h.t_c.unwrap() + warmer_c,
            rh_pct: h.rh_pct.map(|rh| (rh + damper_pct).min(100.0)),
            error_pct: 3.0,
            leaf: None,
        })
        .collect();
    let span = hours[0].from_ms..hours[hours.len() - 1].from_ms + HOUR_MS;
    let mut wet = Vec::new();
    wet_hours(&mut WetFold::default(), rules, &samples, wettings, span, |_| HOUR_MS, |h| wet.push(*h));
    wet
}

fn risk_days(wet: &[WetHour], noon_ms: i64) -> Vec<RiskDay> {
    let (mut fold, mut days) = (RiskFold::starting(noon_ms), Vec::new());
    wet.iter().for_each(|h| fold.push(h, |day| days.push(*day)));
    days
}

/// All numbers that stand in the condition of a rule of day-rules.csv, in their order.
fn numbers_of_rule(rule: &str) -> Option<Vec<f64>> {
    let text = std::fs::read_to_string(reference_file("published-rules/day-rules.csv")?).unwrap();
    let line = text.lines().find(|l| l.starts_with(rule)).expect("the rule");
    // rule,crop_disease,"condition",...: the condition is the first quoted cell.
    let condition = line.split('"').nth(1).expect("a quoted condition");
    let is_number = |c: char| c.is_ascii_digit() || c == '.';
    Some(condition.split(|c| !is_number(c)).filter_map(|n| n.parse().ok()).collect())
}

/// published-rules/day-rules.csv: the numbers of each condition are our constants.
#[test]
fn constants_are_those_of_the_published_day_rules() {
    let Some(smith) = numbers_of_rule("smith-period") else { return };
    assert_eq!(smith, [c::BLIGHT_MIN_C.value, c::SMITH_H.value, c::BLIGHT_PCT.value]);
    let hutton = numbers_of_rule("hutton-criteria").unwrap();
    assert_eq!(hutton, [c::BLIGHT_MIN_C.value, c::HUTTON_H.value, c::BLIGHT_PCT.value]);
    // ">= 4 h counted from 06:00 ... still wet at 10:00".
    let morning = numbers_of_rule("lettuce-dm-morning-wetness").unwrap();
    assert_eq!(morning[0], c::LETTUCE_MORNING_H.value);
    assert_eq!(morning[3] - morning[1], c::LETTUCE_MORNING_H.value);
    // "over the 3 h wet period ... exceeds 20 C, or over the following 4 h exceeds 22 C".
    let gates = numbers_of_rule("lettuce-dm-with-temperature").unwrap();
    let ours = [&c::LETTUCE_FIRST_H, &c::LETTUCE_FIRST_MAX_C, &c::LETTUCE_NEXT_H, &c::LETTUCE_NEXT_MAX_C];
    assert_eq!(gates, ours.map(|constant| constant.value));
}

/// published-rules/wallin-severity.csv: every whole hour of every row, at both ends of its temperatures.
#[test]
fn severity_of_damp_spells_is_that_of_the_table() {
    let Some(file) = reference_file("published-rules/wallin-severity.csv") else { return };
    let text = std::fs::read_to_string(file).unwrap();
    let mut hours = 0;
    for line in text.lines().skip(1) {
        let n: Vec<f64> = line.split(',').map(|f| f.parse().unwrap()).collect();
        for t_c in [n[0], (n[0] + n[1]) / 2.0, n[1]] {
            for h in n[2] as u32..=n[3] as u32 {
                assert_eq!(spell_severity_wallin_1962(f64::from(h), t_c), Some(n[4] as u8), "{h} h at {t_c} °C");
                hours += 1;
            }
        }
    }
    assert_eq!(hours, 3 * 3 * 25, "three classes of 0 to 24 h, three temperatures each");
}

/// README of ireland-hourly: Smith and Hutton days, and days that complete a period, by UTC days. Its counts take a blank humidity for a dry hour; ours leave a
/// day open where the blanks could turn it: that is so on two days at Sherkin (a separate calculation), which count as no in both.
#[test]
fn blight_days_of_three_stations_are_counted() {
    for (station, smith, hutton, open) in [
        (IRELAND[0], (70, 27), (112, 63), 0),
        (IRELAND[1], (67, 35), (94, 56), 0),
        (IRELAND[2], (97, 55), (134, 94), 2),
    ] {
        let Some(hours) = ireland_2017(station) else { return };
        for (rule, expected) in [(BlightRule::Smith1956, smith), (BlightRule::Hutton2017, hutton)] {
            let verdicts: Vec<Verdict> = hours
                .chunks_exact(24)
                .map(|day| {
                    let mut of_day = BlightDay::default();
                    day.iter().for_each(|h| of_day.hour(h.t_c, h.rh_pct));
                    of_day.meets(rule, 24)
                })
                .collect();
            let days = verdicts.iter().filter(|v| v.is_yes()).count();
            let completed = verdicts.windows(2).filter(|w| completes_period(w[0], w[1]).is_yes()).count();
            assert_eq!((days, completed), expected, "{station} {rule:?}");
            assert_eq!(verdicts.iter().filter(|v| **v == Verdict::Unknown).count(), open, "{station} {rule:?}");
        }
    }
}

/// The rule of day-rules.csv, "as usually restated": comparison only. None where an hour is missing.
fn spore_night_jesperson_sutton_1987(hours: &[StationHour], midnight: usize) -> Option<bool> {
    let at = |h: i64| hours[(midnight as i64 + h) as usize];
    let day: Vec<f64> = (-16..=-4).map(|h| at(h).t_c).collect::<Option<_>>()?;
    let night: Vec<f64> = (-4..=7).map(|h| at(h).t_c).collect::<Option<_>>()?;
    let rain: Vec<f64> = (1..=7).map(|h| at(h).rain_mm).collect::<Option<_>>()?;
    let damp: Vec<f64> = (2..=6).map(|h| at(h).rh_pct).collect::<Option<_>>()?;
    Some(
        day.iter().sum::<f64>() / (day.len() as f64) < 24.0
            && night.iter().all(|t| (4.0..=24.0).contains(t))
            && rain.iter().all(|mm| *mm == 0.0)
            && damp.iter().all(|rh| *rh >= 95.0),
    )
}

/// Nights of onion mildew spores: the published rule in the open, where rain stops it, against our default under cover, where it does not. Every published one must be
/// one of ours; counts by a separate calculation, with civil dawn by a short form of Meeus and an hour after a blank one half known. Asked as the program asks, with the dawn of the place. The default speaks
/// of nine to twenty times as many nights: it is a rule for a place without rain.
#[test]
fn published_onion_nights_are_among_ours() {
    for (station, (lat, lon), published, ours, open) in [
        (IRELAND[0], (51.938, -10.241), 7, 106, 0),
        (IRELAND[1], (52.298, -6.497), 16, 140, 0),
        (IRELAND[2], (51.476, -9.428), 6, 122, 2),
    ] {
        let Some(hours) = ireland_2017(station) else { return };
        let wet = under_cover(&hours, 0.0, 0.0);
        let mut counted = (0, 0, 0);
        for day in 1..365 {
            let midnight = day * 24;
            let noon = Millis(YEAR_2017_MS + (midnight as i64 - 12) * HOUR_MS);
            let of = |at_ms: i64| wet.partition_point(|h| h.from_ms < at_ms);
            let known = &wet[of(noon.0 - LEAVES_LOOK_BACK_MS)..of(noon.0 + 24 * HOUR_MS)];
            let verdict = Flags::of_day(known, noon, chrono_tz::UTC, (lat, lon), None).onion_spores.read;
            let published = spore_night_jesperson_sutton_1987(&hours, midnight) == Some(true);
            assert!(!published || verdict.is_yes(), "{station} day {day}");
            counted.0 += usize::from(published);
            counted.1 += usize::from(verdict.is_yes());
            counted.2 += usize::from(verdict == Verdict::Unknown);
        }
        assert_eq!((counted.0, counted.1), (published, ours), "{station}");
        assert!(counted.2 <= open, "{station}: open where the calculation had a blank: {}", counted.2);
    }
}

/// The morning rule on the beet field: what the default makes of leaves against what the sensor said, from 06:00 (the file is UTC from May to October; sunrise there
/// is between 03:00 and 06:00, so this is the published form). The default calls every morning that the sensor does, and as many again that it does not: good for
/// "perhaps", no more. (Never calling any would be right on as many days.)
#[test]
fn morning_rule_from_estimated_wetness_misses_no_morning_and_doubles_them() {
    let Some(hours) = beet_field_good_period() else { return };
    let estimated = under_cover(&hours, 0.0, 0.0);
    let measured: Vec<WetHour> = hours
        .iter()
        .map(|h| {
            let wet_ms = Runs::all((h.leaf_pct.unwrap() / 100.0 * HOUR_MS as f64) as i64);
            WetHour { covered_ms: HOUR_MS, wet_ms, t_c: h.t_c, ..WetHour::unknown(h.from_ms) }
        })
        .collect();
    let (mut caught, mut missed, mut falsely) = (0, 0, 0);
    for day in 0..176 {
        let six_ms = hours[0].from_ms + (24 * day + 6) * HOUR_MS;
        let [estimate, sensor] = [&estimated, &measured].map(|of| {
            let from = 24 * day as usize + 6;
            lettuce_morning_wu_2002(&of[from..from + 8], six_ms).infects.read.is_yes()
        });
        caught += usize::from(estimate && sensor);
        missed += usize::from(sensor && !estimate);
        falsely += usize::from(estimate && !sensor);
    }
    println!("morning rule: {caught} caught, {missed} missed, {falsely} false");
    assert_eq!((caught, missed, falsely), (10, 0, 11));
}

/// Days on each level from November to March of 2017 (150 noon-days), lettuce, in a closed tunnel's stead: outside air +1 °C and +4 %RH (advice page, damp risk in a
/// maritime winter: raised or high on 120 to 142 days). Counts by a separate calculation; by the levels alone 120 to 141 days, with the hysteresis of the sheet
/// 134 to 146, as it holds a level that has been reached. Either way the level has no information left, as the page says.
#[test]
fn days_on_each_level_of_three_maritime_winters() {
    for (station, plain, held) in [
        (IRELAND[0], [4, 23, 45, 78], [4, 8, 32, 106]),
        (IRELAND[1], [3, 6, 42, 99], [3, 1, 20, 126]),
        (IRELAND[2], [11, 19, 42, 78], [9, 7, 37, 97]),
    ] {
        let Some(hours) = ireland_2017(station) else { return };
        let days = risk_days(&under_cover(&hours, 1.0, 4.0), YEAR_2017_MS + 12 * HOUR_MS);
        assert_eq!(days.len(), 364);
        let (mut by_level, mut by_held, mut state) = ([0; 4], [0; 4], LevelState::default());
        let mut entered = Level::Low;
        for (day_of_year, day) in days.iter().enumerate() {
            let lettuce = day.group(CropGroup::Lettuce).unwrap();
            if day.scored {
                state.judge(lettuce.risk.read);
                entered = Level::entered(lettuce.risk.read);
            }
            // To the end of March is 90 days; November begins with day 304.
            if !(90..304).contains(&day_of_year) {
                by_level[entered as usize] += 1;
                by_held[state.level as usize] += 1;
            }
        }
        println!("{station}: by thresholds {by_level:?}, held {by_held:?}");
        assert_eq!(by_held, held, "{station}");
        assert_eq!(by_level, plain, "{station}");
    }
}

/// Days of November to March, of 150, on each level that lettuce enters, in the open (rain is water on the leaves), in a frame that is open all day (that air without the
/// rain) and in a closed tunnel's stead, as above but with the thaw counted. Advice page: in the last raised or high on 120 to 142. Common practice, no source: a ventilated
/// frame stands below a closed one; here on every single day.
#[test]
fn closed_tunnel_stands_above_the_ventilated_frame_and_the_page_has_the_right_days() {
    for (station, closed_days) in [(IRELAND[0], 123), (IRELAND[1], 141), (IRELAND[2], 120)] {
        let Some(hours) = ireland_2017(station) else { return };
        let wettings: Vec<i64> =
            hours.iter().filter(|h| h.rain_mm.is_some_and(|mm| mm > 0.0)).map(|h| h.from_ms).collect();
        let risks = |warmer_c: f64, damper_pct: f64, wettings: &[i64]| -> Vec<(bool, f64)> {
            let wet = under_rules(&WetRules::UNDER_COVER, &hours, warmer_c, damper_pct, wettings);
            let days = risk_days(&wet, YEAR_2017_MS + 12 * HOUR_MS);
            days.iter().map(|day| (day.scored, day.group(CropGroup::Lettuce).unwrap().risk.read)).collect()
        };
        let (open, frame, closed) = (risks(0.0, 0.0, &wettings), risks(0.0, 0.0, &[]), risks(1.0, 4.0, &[]));
        let winter = |day: usize| !(90..304).contains(&day);
        let by_level = |days: &[(bool, f64)]| {
            let mut counts = [0; 4];
            let mut entered = Level::Low;
            for (day, (scored, risk)) in days.iter().enumerate() {
                entered = if *scored { Level::entered(*risk) } else { entered };
                counts[entered as usize] += usize::from(winter(day));
            }
            counts
        };
        let [open_days, frame_days, closed_by_level] = [&open, &frame, &closed].map(|days| by_level(days));
        println!("{station}: open {open_days:?}, frame {frame_days:?}, closed {closed_by_level:?}");
        let high = |counts: [usize; 4]| counts[2] + counts[3];
        assert_eq!(high(closed_by_level), closed_days, "{station}");
        assert!((120..=142).contains(&high(closed_by_level)), "{station}");
        assert!(high(frame_days) < high(closed_by_level) && high(frame_days) <= high(open_days), "{station}");
        // Once the beginnings are forgotten: the first week starts from nothing in all three.
        for day in 7..frame.len() {
            assert!(frame[day].1 < closed[day].1 && frame[day].1 <= open[day].1 + 1e-12, "{station} day {day}");
        }
    }
}

/// README of ireland-hourly, fault: Sherkin's humidity says 20 to 39 % for ten days of the dampest November. Taken for dry air the risk would fall to "little risk", fresh.
/// Valentia's air, 75 km off, stands for the air outside: with it the program leaves those hours out, for a structure of one board too, and the risk is not known.
#[test]
fn broken_humidity_says_unknown_and_not_little_risk() {
    let (Some(hours), Some(outside)) = (ireland_2017(IRELAND[2]), ireland_2017(IRELAND[0])) else { return };
    let series = |hours: &[StationHour], warmer_c: f64, damper_pct: f64| -> [Vec<Sample>; 2] {
        let of = |v: &dyn Fn(&StationHour) -> Option<f64>| {
            hours.iter().filter_map(|h| Some(Sample { t_ms: h.from_ms, v: v(h)? })).collect()
        };
        [of(&|h| Some(h.t_c? + warmer_c)), of(&|h| Some((h.rh_pct? + damper_pct).min(100.0)))]
    };
    let marks = |[t, rh]: &[Vec<Sample>; 2], place| {
        let mut marker = Marker::default();
        let t_marks = marks_at(Quantity::AirTemperature, place, t, Some(rh), &mut marker);
        (t_marks, marks_at(Quantity::AirHumidity, place, rh, Some(t), &mut marker))
    };
    let inside = series(&hours, 1.0, 4.0);
    let (t_marks, rh_marks) = marks(&inside, Place::Inside);
    let [t, rh] = &inside;
    let look = |beside: Option<&[StationHour]>| {
        let mut doubts = Doubts::default();
        doubts.take((t, &t_marks), (rh, &rh_marks));
        if let Some(beside) = beside {
            let beside = series(beside, 0.0, 0.0);
            let (bt, brh) = marks(&beside, Place::Outside);
            doubts.take_outside((&beside[0], &bt), (&beside[1], &brh));
        }
        let mut air = SpotAir::default();
        join_air((t, &t_marks), (rh, &rh_marks), &doubts.of(0, rh), &mut air);
        let span = YEAR_2017_MS..YEAR_2017_MS + 8_760 * HOUR_MS;
        let mut wet = Vec::new();
        wet_hours(
            &mut WetFold::default(),
            &WetRules::UNDER_COVER,
            &air.samples,
            &[],
            span,
            |_| HOUR_MS,
            |h| wet.push(*h),
        );
        let mut state = LevelState::default();
        let mut seen = Vec::new();
        for day in risk_days(&wet, YEAR_2017_MS + 12 * HOUR_MS) {
            let risk = day.group(CropGroup::Lettuce).unwrap().risk;
            if day.scored {
                state.judge(risk.read);
            }
            seen.push((shown(&state, risk, day.missing_d, day.scored_d), air.samples.len()));
        }
        seen
    };
    let (alone, beside) = (look(None), look(Some(&outside)));
    println!("left out beside Valentia: {} h of {}", alone[0].1 - beside[0].1, alone[0].1);
    // Nobody else knows: a single board that has fallen to 30 % is taken at its word.
    assert_eq!((alone[330].0.level, alone[330].0.freshness), (Some(Level::Low), Freshness::Fresh));
    let (before, within) = (beside[320].0, beside[330].0);
    assert!(before.level.is_some());
    assert_eq!((within.level, within.freshness, within.may_alert), (None, Freshness::Unknown, false));
    // Outside those ten days next to nothing is left out, 75 km apart.
    let broken = |from_ms: i64| (320 * 24..333 * 24).contains(&((from_ms - YEAR_2017_MS) / HOUR_MS));
    let left_out = alone[0].1 - beside[0].1;
    let of_fault = hours.iter().filter(|h| broken(h.from_ms) && h.rh_pct.is_some_and(|rh| rh < 45.0)).count();
    assert!(of_fault > 150 && left_out >= of_fault * 9 / 10 && left_out < of_fault + 100, "{left_out} of {of_fault}");
}
