use super::*;
use crate::disease::rows::Disease::{self, *};
use crate::wetness::hours::WetFold;
use crate::wetness::state::{Air, WetRules};
use alloc::vec::Vec;
use proptest::prelude::*;

/// Wetness sheet 3.3: Tm, a, RHm, b.
fn spell(name: char) -> (f64, f64, f64, f64) {
    match name {
        'A' => (9.0, 2.0, 92.0, 7.0),
        'B' => (8.0, 2.0, 86.0, 8.0),
        'C' => (0.0, 6.0, 82.0, 15.0),
        'D' => (3.0, 2.0, 92.0, 7.0),
        'E' => (11.0, 6.0, 72.0, 18.0),
        _ => (16.0, 4.0, 92.0, 7.0),
    }
}

/// The sheet's generator: eight days of hours from midnight on, humidity moved by `shift_pct`, the warmest hour at `peak`.
fn weather((t_mean, a, rh_mean, b): (f64, f64, f64, f64), shift_pct: f64, peak: f64) -> Vec<(f64, f64)> {
    (0..192)
        .map(|h| {
            let c = libm::cos(2.0 * core::f64::consts::PI * (f64::from(h % 24) - peak) / 24.0);
            (t_mean + a * c, (rh_mean - b * c + shift_pct).clamp(0.0, 100.0))
        })
        .collect()
}

/// Noon-days of hourly weather that begins at midnight; `error_pct` for the low and the high run. Hours without a value are unknown.
fn days_of(rules: &WetRules, hours: &[Option<(f64, f64)>], error_pct: f64) -> Vec<RiskDay> {
    let (mut wet, mut risk, mut days) = (WetFold::default(), RiskFold::starting(12 * HOUR_MS), Vec::new());
    let mut take = |hour: &WetHour| risk.push(hour, |day| days.push(*day));
    for (k, hour) in (0..).zip(hours) {
        if let Some((t_c, rh_pct)) = hour {
            let air = Air::measured(k * HOUR_MS, (k + 1) * HOUR_MS, *t_c, *rh_pct, error_pct).unwrap();
            wet.push(rules, &air, &mut take);
        }
    }
    take(&wet.so_far());
    days
}

fn spell_days(name: char, shift_pct: f64, error_pct: f64) -> Vec<RiskDay> {
    let hours: Vec<_> = weather(spell(name), shift_pct, 15.0).into_iter().map(Some).collect();
    let days = days_of(&WetRules::WITHOUT_THAW, &hours, error_pct);
    assert_eq!(days.iter().filter(|d| d.is_final && d.scored).count(), 7, "{name}");
    days
}

/// Wetness sheet 3.3, "Expected [derived]": wet hours, I and S of the second noon-day, R after seven, R at -3 and +3 %RH.
#[rustfmt::skip]
const EXPECTED: [(char, Disease, u32, [f64; 5]); 19] = [
    ('A', LettuceDownyMildew,  17, [2.8347, 0.8740, 0.7221, 0.6671, 0.7844]),
    ('A', GreyMould,           17, [0.8490, 0.3875, 0.3201, 0.2330, 0.4999]),
    ('A', SpinachDownyMildew,  17, [2.5250, 0.8485, 0.7011, 0.6446, 0.7693]),
    ('A', BrassicaDownyMildew, 17, [2.9538, 0.8827, 0.7293, 0.6764, 0.7877]),
    ('A', OnionDownyMildew,    17, [4.6775, 0.9503, 0.7851, 0.7622, 0.8093]),
    ('A', LateBlight,          17, [2.1149, 0.7957, 0.6574, 0.5839, 0.7510]),
    ('B', LettuceDownyMildew,  10, [1.2572, 0.6125, 0.5061, 0.2844, 0.5872]),
    ('B', GreyMould,           10, [0.2838, 0.0745, 0.0616, 0.0177, 0.1068]),
    ('B', SpinachDownyMildew,  10, [1.2844, 0.6226, 0.5144, 0.2990, 0.5884]),
    ('B', LateBlight,          10, [1.0110, 0.5054, 0.4176, 0.2127, 0.5029]),
    ('B', OnionDownyMildew,    10, [2.2331, 0.8330, 0.6882, 0.5179, 0.7303]),
    ('D', LettuceDownyMildew,  17, [0.7281, 0.2880, 0.2380, 0.1031, 0.5544]),
    ('D', SpinachDownyMildew,  17, [0.2934, 0.0516, 0.0427, 0.0077, 0.3660]),
    ('D', GreyMould,           17, [0.0,    0.0,    0.0,    0.0,    0.0]),
    ('E', LettuceDownyMildew,   3, [0.3073, 0.0863, 0.0713, 0.0000, 0.2434]),
    ('F', LettuceDownyMildew,  17, [4.0793, 0.9374, 0.7745, 0.7503, 0.7999]),
    ('F', GreyMould,           17, [1.1171, 0.5123, 0.4233, 0.3113, 0.6348]),
    ('F', LateBlight,          17, [2.7572, 0.8719, 0.7204, 0.6756, 0.7725]),
    ('C', LettuceDownyMildew,   0, [0.0,    0.0,    0.0,    0.0,    0.0]),
];

#[test]
fn spells_of_3_3_are_reproduced() {
    let near = |got: f64, expected: f64| (got - expected).abs() <= 0.000_051;
    for (name, disease, wet_h, [progress, severity, after, lower, higher]) in EXPECTED {
        let days = spell_days(name, 0.0, 3.0);
        let second = days[1].disease(disease);
        assert_eq!(days[1].wet_h.read, wet_h, "{name} {disease:?}");
        // The sheet's I is that of both events of the noon-day together; its S is not that of their sum.
        assert!(near(second.progress.read, progress), "{name} {disease:?}: I {}", second.progress.read);
        assert!(near(second.severity.unwrap().read, severity), "{name} {disease:?}: S {:?}", second.severity);
        let risk = days[6].disease(disease).risk;
        assert!(
            near(risk.read, after) && near(risk.low, lower) && near(risk.high, higher),
            "{name} {disease:?}: {risk:?}"
        );
    }
    // "C | all | 0".
    assert!(spell_days('C', 0.0, 3.0)[6].diseases.iter().all(|d| d.risk == Runs::all(0.0)));
}

#[test]
fn memory_of_3_3_is_reproduced() {
    // "7 noon-days at S = 1 from R = 0 -> 0.8262, then 4 at S = 0 -> 0.3040".
    let memory = c::MEMORY.value;
    assert!((memory - libm::exp(-0.25)).abs() < 1e-15);
    let after_seven = (0..7).fold(0.0, |r, _| memory * r + (1.0 - memory));
    let after_four = (0..4).fold(after_seven, |r, _| memory * r);
    assert!((after_seven - 0.8262).abs() < 0.000_05 && (after_four - 0.3040).abs() < 0.000_05);
}

#[test]
fn tuning_keeps_the_order_of_the_spells() {
    // Wetness sheet 3.3, properties to assert whatever the tuning.
    let risk = |name: char| spell_days(name, 0.0, 3.0)[6].disease(LettuceDownyMildew).risk.read;
    let [a, b, c, d, e] = ['A', 'B', 'C', 'D', 'E'].map(risk);
    assert!(a > 2.5 * d && d > c && c == 0.0 && a > b && b > e);
    for name in ['A', 'B', 'C', 'D', 'E', 'F'] {
        for disease in Disease::ALL {
            let shifted: Vec<f64> =
                (-8..=8).map(|s| spell_days(name, f64::from(s), 0.0)[6].disease(disease).risk.read).collect();
            assert!(shifted.windows(2).all(|w| w[0] <= w[1]), "{name} {disease:?}: {shifted:?}");
        }
    }
}

#[test]
fn phase_of_the_day_changes_little() {
    // Wetness sheet 3.3: 15 to 14 or 16 changes R7 by < 0.06, the largest found 0.048.
    let mut largest = 0.0_f64;
    for (name, disease, ..) in EXPECTED {
        let risk = |peak: f64| {
            let hours: Vec<_> = weather(spell(name), 0.0, peak).into_iter().map(Some).collect();
            days_of(&WetRules::WITHOUT_THAW, &hours, 3.0)[6].disease(disease).risk.read
        };
        largest = largest.max((risk(14.0) - risk(15.0)).abs()).max((risk(16.0) - risk(15.0)).abs());
    }
    assert!(largest < 0.06 && (largest - 0.048).abs() < 0.000_5, "{largest}");
}

#[test]
fn mild_damp_scores_far_above_hard_frost_also_where_the_thaw_counts() {
    // Common practice, no source: "a hard frost week checks growth but dries the air and checks disease" (wetness sheet 6).
    let risk = |name: char| {
        let hours: Vec<_> = weather(spell(name), 0.0, 15.0).into_iter().map(Some).collect();
        days_of(&WetRules::UNDER_COVER, &hours, 3.0)[6]
    };
    let (damp, frosty) = (risk('A'), risk('C'));
    assert!(frosty.wet_h.read > 0, "the thaw wets leaves");
    for disease in [LettuceDownyMildew, SpinachDownyMildew, BrassicaDownyMildew, OnionDownyMildew] {
        assert!(damp.disease(disease).risk.read > 10.0 * frosty.disease(disease).risk.read, "{disease:?}");
    }
    assert!(frosty.disease(LettuceDownyMildew).risk.high < 0.2);
}

#[test]
fn splitting_one_wet_night_by_five_dry_hours_lowers_it() {
    let night = |wet: &dyn Fn(i64) -> bool| {
        let (mut fold, mut days) = (RiskFold::starting(0), Vec::new());
        for k in 0..25 {
            let wet_ms = Runs::all(if wet(k) { HOUR_MS } else { 0 });
            let hour = WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(9.0), ..WetHour::unknown(k * HOUR_MS) };
            fold.push(&hour, |day| days.push(*day));
        }
        days[0].disease(LettuceDownyMildew).severity.unwrap().read
    };
    let (whole, split, joined) =
        (night(&|k| k < 12), night(&|k| k < 6 || (11..17).contains(&k)), night(&|k| k < 6 || (10..16).contains(&k)));
    assert!(split < whole && joined == whole, "{split} {joined} {whole}");
}

#[test]
fn events_are_closed_at_noon() {
    let mut fold = RiskFold::starting(0);
    let mut days = Vec::new();
    for k in 0..48 {
        let wet_ms = Runs::all(if (22..26).contains(&k) { HOUR_MS } else { 0 });
        let hour = WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(15.0), ..WetHour::unknown(k * HOUR_MS) };
        fold.push(&hour, |day| days.push(*day));
    }
    // Two hours of four on either side: half an infection each.
    assert_eq!([0, 1].map(|d| days[d].disease(LettuceDownyMildew).severity.unwrap().read), [0.2, 0.2]);
}

#[test]
fn frozen_hours_neither_count_nor_split() {
    let (mut fold, mut days) = (RiskFold::starting(0), Vec::new());
    for k in 0..24 {
        let (wet_ms, t_c) = if (2..10).contains(&k) { (0, -2.0) } else { (if k < 12 { HOUR_MS } else { 0 }, 15.0) };
        let hour =
            WetHour { covered_ms: HOUR_MS, wet_ms: Runs::all(wet_ms), t_c: Some(t_c), ..WetHour::unknown(k * HOUR_MS) };
        fold.push(&hour, |day| days.push(*day));
    }
    assert_eq!((days[0].wet_h.read, days[0].disease(LettuceDownyMildew).severity.unwrap().read), (4, 0.5));
}

#[test]
fn less_than_eighteen_hours_give_no_score_and_hold_the_risk() {
    let mut hours: Vec<_> = weather(spell('A'), 0.0, 15.0).into_iter().map(Some).collect();
    let whole = days_of(&WetRules::UNDER_COVER, &hours, 3.0);
    // The third noon-day begins with hour 60. Six hours lost of it: still scored; seven: not.
    hours[60..66].fill(None);
    assert!(days_of(&WetRules::UNDER_COVER, &hours, 3.0)[2].scored);
    hours[66] = None;
    let days = days_of(&WetRules::UNDER_COVER, &hours, 3.0);
    let (before, at) = (days[1].disease(LettuceDownyMildew), days[2].disease(LettuceDownyMildew));
    assert!(!days[2].scored && days[2].missing_d == 1 && at.severity.is_none());
    assert_eq!(at.risk.read, before.risk.read);
    assert!(at.risk.low < before.risk.low && at.risk.high > before.risk.high);
    assert_eq!((days[3].missing_d, days[3].scored_d, whole[3].scored_d), (0, 3, 4));
}

#[test]
fn three_days_without_a_score_begin_the_count_anew() {
    let mut hours: Vec<_> = weather(spell('A'), 0.0, 15.0).into_iter().map(Some).collect();
    hours[36..108].fill(None);
    let counted: Vec<_> =
        days_of(&WetRules::UNDER_COVER, &hours, 3.0).iter().map(|d| (d.missing_d, d.scored_d)).collect();
    assert_eq!(counted, [(0, 1), (1, 1), (2, 1), (3, 0), (0, 1), (0, 2), (0, 3)]);
}

#[test]
fn a_gap_of_forty_hours_never_raises_a_level() {
    use crate::risk::level::LevelState;
    // Wetness sheet 3.3, last property: at whatever hour it begins, in every spell.
    for name in ['A', 'B', 'C', 'D', 'E', 'F'] {
        for start in 0..150 {
            let mut hours: Vec<_> = weather(spell(name), 0.0, 15.0).into_iter().map(Some).collect();
            hours[start..start + 40].fill(None);
            for group in CropGroup::ALL {
                let mut held = LevelState::default();
                for day in days_of(&WetRules::UNDER_COVER, &hours, 3.0) {
                    let before = held.level;
                    if day.scored
                        && let Some(of) = day.group(group)
                    {
                        held.judge(of.risk.read);
                    }
                    assert!(day.scored || held.level == before, "{name} {start} {group:?}");
                }
            }
        }
    }
}

#[test]
fn group_is_its_worst_disease_and_says_which() {
    let day = spell_days('A', 0.0, 3.0)[6];
    let lettuce = day.group(CropGroup::Lettuce).unwrap();
    assert_eq!((lettuce.by, lettuce.risk), (LettuceDownyMildew, day.disease(LettuceDownyMildew).risk));
    let onion = day.group(CropGroup::Onion).unwrap();
    assert_eq!(onion.by, OnionDownyMildew);
    assert_eq!(day.group(CropGroup::Seedling), None);
    // At 26 °C blight hardly moves (f 0.3 and less) and grey mould is at its best: the second of the group is its worst.
    let (mut fold, mut hot) = (RiskFold::starting(0), None);
    for k in 0..24 {
        let wet_ms = Runs::all(if k < 9 { HOUR_MS } else { 0 });
        let hour = WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(26.0), ..WetHour::unknown(k * HOUR_MS) };
        fold.push(&hour, |day| hot = Some(*day));
    }
    let (hot, tomato) = (hot.unwrap(), hot.unwrap().group(CropGroup::Tomato).unwrap());
    assert_eq!((tomato.by, tomato.severity), (GreyMould, hot.disease(GreyMould).severity));
    assert!(hot.disease(GreyMould).opens_window() && !hot.disease(LateBlight).opens_window());
}

#[test]
fn white_rust_counts_from_april_to_october() {
    let risk_in = |first_noon_day: i64| {
        let (mut fold, mut last) = (RiskFold::starting(first_noon_day * NOON_DAY_MS), 0.0);
        for k in 0..24 {
            let hour = WetHour {
                covered_ms: HOUR_MS,
                wet_ms: Runs::all(HOUR_MS),
                t_c: Some(12.0),
                ..WetHour::unknown(fold.day_from_ms + k * HOUR_MS)
            };
            fold.push(&hour, |day| last = day.disease(SpinachWhiteRust).risk.read);
        }
        last
    };
    // 2017-03-31 is day 17,256 since 1970, 2017-10-31 day 17,470.
    assert!(risk_in(17_256) == 0.0 && risk_in(17_257) > 0.0 && risk_in(17_470) > 0.0 && risk_in(17_471) == 0.0);
}

#[test]
fn months_are_those_of_the_calendar() {
    // 1970-01-01, 2000-02-29, 2000-03-01, 2016-12-31, 2017-01-01, 1969-12-31.
    let months = [0, 11_016, 11_017, 17_166, 17_167, -1].map(|day| month_of(day * NOON_DAY_MS));
    assert_eq!(months, [1, 2, 3, 12, 1, 12]);
}

#[test]
fn day_so_far_is_not_final_and_becomes_the_final_one() {
    let hours = weather(spell('A'), 0.0, 15.0);
    let mut fold = RiskFold::starting(0);
    let mut finished = None;
    for (k, (t_c, _)) in (0..24).zip(&hours) {
        let hour = WetHour {
            covered_ms: HOUR_MS,
            wet_ms: Runs::all(HOUR_MS),
            t_c: Some(*t_c),
            ..WetHour::unknown(k * HOUR_MS)
        };
        let so_far = fold.so_far();
        assert_eq!((so_far.is_final, so_far.scored, so_far.measured_h), (false, k >= 18, k as f64));
        fold.push(&hour, |day| finished = Some(*day));
    }
    assert!(finished.unwrap().is_final && fold.day_from_ms == NOON_DAY_MS);
}

#[test]
fn running_day_is_neither_missing_nor_scored_before_eighteen_hours_of_it() {
    // Last night's risk as it was kept; two dry hours since noon, then two days lost before it.
    for missing_d in [0, 2] {
        let mut fold = RiskFold::starting(0);
        (fold.missing_d, fold.scored_d) = (missing_d, 9);
        fold.risk = [Runs { low: 0.22, read: 0.42, high: 0.50 }; COUNT];
        for k in 0..2 {
            fold.push(&WetHour { covered_ms: HOUR_MS, t_c: Some(9.0), ..WetHour::unknown(k * HOUR_MS) }, |_| {});
        }
        let so_far = fold.so_far();
        assert_eq!((so_far.missing_d, so_far.scored_d, so_far.scored), (missing_d, 9, false));
        assert!(so_far.diseases.iter().all(|d| d.severity.is_none() && d.risk == fold.risk[0]));
    }
}

#[test]
fn hours_given_again_and_long_silences_are_harmless() {
    let wet = |k: i64| WetHour {
        covered_ms: HOUR_MS,
        wet_ms: Runs::all(HOUR_MS),
        t_c: Some(9.0),
        ..WetHour::unknown(k * HOUR_MS)
    };
    let mut fold = RiskFold::starting(0);
    fold.push(&wet(5), |_| {});
    let before = fold;
    fold.push(&wet(5), |_| {});
    fold.push(&wet(2), |_| {});
    assert_eq!(fold, before);
    let mut closed = 0;
    fold.push(&wet(24 * 10 + 3), |_| closed += 1);
    assert_eq!(closed, 10);
    fold.push(&wet(24 * 100_000 + 3), |_| closed += 1);
    assert_eq!((closed, fold.day_from_ms), (10, 100_000 * NOON_DAY_MS));
}

fn hourly() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((0.5..24.0_f64, 70.0..100.0_f64), 120..180)
}

/// Weather that goes on for some hours before it turns, frost among it.
fn turning() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((-6.0..24.0_f64, 60.0..100.0_f64, 1_usize..14), 24..40).prop_map(|stretches| {
        stretches.into_iter().flat_map(|(t_c, rh, n)| core::iter::repeat_n((t_c, rh), n)).collect()
    })
}

fn all(hours: &[(f64, f64)]) -> Vec<Option<(f64, f64)>> {
    hours.iter().copied().map(Some).collect()
}

proptest! {
    #[test]
    fn prop_more_humidity_never_lowers_risk(hours in hourly(), more in 0.0..5.0_f64) {
        let damper: Vec<_> = hours.iter().map(|(t, rh)| (*t, (rh + more).min(100.0))).collect();
        let (a, b) = (days_of(&WetRules::UNDER_COVER, &all(&hours), 3.0), days_of(&WetRules::UNDER_COVER, &all(&damper), 3.0));
        for (a, b) in a.iter().zip(&b) {
            for (a, b) in a.diseases.iter().zip(&b.diseases) {
                prop_assert!(a.risk.read <= b.risk.read + 1e-12 && a.risk.high <= b.risk.high + 1e-12);
            }
        }
    }

    /// What the gap hid lies within what is said of it, while the day is scored; and as read it only ever lowers the score.
    #[test]
    fn prop_truth_lies_within_the_range_of_a_day_with_unknown_hours(hours in hourly(), at in 36_usize..54, n in 1_usize..6) {
        let whole = days_of(&WetRules::UNDER_COVER, &all(&hours), 0.0);
        let mut holed = all(&hours);
        holed[at..at + n].fill(None);
        let holed = days_of(&WetRules::UNDER_COVER, &holed, 0.0);
        prop_assert!(holed[1].scored);
        for (truth, said) in whole[1].diseases.iter().zip(&holed[1].diseases) {
            let (truth, said) = (truth.severity.unwrap(), said.severity.unwrap());
            prop_assert!(said.low <= truth.read + 1e-12 && truth.read <= said.high + 1e-12);
            prop_assert!(said.read <= truth.read + 1e-12, "{} {}", said.read, truth.read);
        }
    }

    #[test]
    fn prop_more_wet_hours_never_lower_a_night(wet in prop::collection::vec(any::<bool>(), 24), more in 0_usize..24, t_c in -2.0..30.0_f64) {
        let night = |wet: &[bool]| {
            let mut fold = RiskFold::starting(0);
            let mut found = None;
            for (k, wet) in (0..).zip(wet) {
                let wet_ms = Runs::all(if *wet { HOUR_MS } else { 0 });
                fold.push(&WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(t_c), ..WetHour::unknown(k * HOUR_MS) }, |d| found = Some(*d));
            }
            found.unwrap()
        };
        let mut wetter = wet.clone();
        wetter[more] = true;
        for (a, b) in night(&wet).diseases.iter().zip(&night(&wetter).diseases) {
            prop_assert!(a.severity.unwrap().read <= b.severity.unwrap().read + 1e-12);
        }
    }

    #[test]
    fn prop_warmer_wet_hours_up_to_the_optimum_never_lower_a_night(row in 0..Disease::ALL.len(), a in 0.5..25.0_f64, b in 0.5..25.0_f64, wet_h in 1_i64..20) {
        let disease = Disease::ALL[row];
        let night = |t_c: f64| {
            let (mut fold, mut found) = (RiskFold::starting(17_300 * NOON_DAY_MS), 0.0);
            for k in 0..24 {
                let wet_ms = Runs::all(if k < wet_h { HOUR_MS } else { 0 });
                let hour = WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(t_c), ..WetHour::unknown(fold.day_from_ms + k * HOUR_MS) };
                fold.push(&hour, |d| found = d.disease(disease).severity.unwrap().read);
            }
            found
        };
        let optimum = disease.row().t_opt_c;
        prop_assert!(night(a.min(b).min(optimum)) <= night(a.max(b).min(optimum)) + 1e-12);
    }

    #[test]
    fn prop_one_point_more_never_lowers_risk_in_weather_with_frost(hours in turning(), with_thaw: bool) {
        let rules = if with_thaw { WetRules::UNDER_COVER } else { WetRules::WITHOUT_THAW };
        let damper: Vec<_> = hours.iter().map(|(t, rh)| (*t, (rh + 1.0).min(100.0))).collect();
        for (a, b) in days_of(&rules, &all(&hours), 3.0).iter().zip(&days_of(&rules, &all(&damper), 3.0)) {
            for (a, b) in a.diseases.iter().zip(&b.diseases) {
                prop_assert!(a.risk.read <= b.risk.read + 1e-12 && a.risk.high <= b.risk.high + 1e-12);
            }
        }
    }

    /// The same wet hours in one piece and in two: no disease scores higher for the break, those that a break of more than four hours parts score lower.
    #[test]
    fn prop_splitting_a_wet_night_never_raises_its_score(
        wet_c in prop::collection::vec(0.5..24.0_f64, 2..14), cut in 1_usize..13, dry_h in 1_usize..10,
    ) {
        let cut = cut.min(wet_c.len() - 1);
        let night = |dry_h: usize| {
            let dry = core::iter::repeat_n(None, dry_h);
            let (first, second) = wet_c.split_at(cut);
            let hours = first.iter().copied().map(Some).chain(dry).chain(second.iter().copied().map(Some));
            // In July, so that every disease counts.
            let (mut fold, mut found) = (RiskFold::starting(17_350 * NOON_DAY_MS), None);
            for (k, t_c) in (0..24).zip(hours.chain(core::iter::repeat(None))) {
                let wet_ms = Runs::all(if t_c.is_some() { HOUR_MS } else { 0 });
                let from_ms = 17_350 * NOON_DAY_MS + k * HOUR_MS;
                fold.push(&WetHour { covered_ms: HOUR_MS, wet_ms, t_c: t_c.or(Some(12.0)), ..WetHour::unknown(from_ms) }, |d| found = Some(*d));
            }
            found.unwrap()
        };
        for (disease, (whole, split)) in Disease::ALL.into_iter().zip(night(0).diseases.iter().zip(&night(dry_h).diseases)) {
            let (whole, split) = (whole.severity.unwrap().read, split.severity.unwrap().read);
            let part = |hours: &[f64]| hours.iter().map(|t_c| disease.row().hourly_progress(*t_c)).sum::<f64>();
            let both = part(&wet_c[..cut]) > 1e-6 && part(&wet_c[cut..]) > 1e-6;
            match dry_h {
                ..=4 => prop_assert!((split - whole).abs() < 1e-12, "{disease:?}"),
                _ if both => prop_assert!(split < whole, "{disease:?}: {split} {whole}"),
                _ => prop_assert!(split <= whole + 1e-12, "{disease:?}"),
            }
        }
    }

    /// Wherever a gap lies and however long it is: while it lasts no level rises, and the day in which it begins says at most what the whole day would have.
    #[test]
    fn prop_a_gap_never_raises_a_level(hours in turning(), at in 12_usize..120, n in 1_usize..100) {
        use crate::risk::level::LevelState;
        let mut holed = all(&hours);
        let end = (at + n).min(holed.len());
        holed[at.min(end)..end].fill(None);
        let (whole, holed) = (days_of(&WetRules::UNDER_COVER, &all(&hours), 3.0), days_of(&WetRules::UNDER_COVER, &holed, 3.0));
        let first = (at - 12) / 24;
        for group in CropGroup::ALL {
            let mut held = LevelState::default();
            for (k, (day, as_it_was)) in holed.iter().zip(&whole).enumerate() {
                let before = held.level;
                let Some((of, truth)) = day.group(group).zip(as_it_was.group(group)) else { continue };
                if day.scored {
                    held.judge(of.risk.read);
                } else {
                    prop_assert!(k == 0 || of.risk.read == holed[k - 1].group(group).unwrap().risk.read);
                }
                prop_assert!(day.scored || held.level <= before, "{group:?} on day {k}");
                prop_assert!(k > first || !day.scored || of.risk.read <= truth.risk.read + 1e-12, "{group:?} on day {k}");
            }
        }
    }

    /// A late reading restarts from a kept state: the fold kept at any hour goes on as if it had never stopped.
    #[test]
    fn prop_fold_taken_up_again_says_the_same(hours in hourly(), at in 1_usize..119) {
        let (mut wet, mut risk, mut kept) = (WetFold::default(), RiskFold::starting(12 * HOUR_MS), None);
        let (mut once, mut again) = (Vec::new(), Vec::new());
        let air = |k: usize| Air::measured(k as i64 * HOUR_MS, (k as i64 + 1) * HOUR_MS, hours[k].0, hours[k].1, 3.0).unwrap();
        for k in 0..hours.len() {
            if k == at {
                kept = Some((wet, risk, once.clone()));
            }
            wet.push(&WetRules::UNDER_COVER, &air(k), |h| risk.push(h, |d| once.push(*d)));
        }
        let (mut wet, mut risk, before) = kept.unwrap();
        again.extend(before);
        for k in at..hours.len() {
            wet.push(&WetRules::UNDER_COVER, &air(k), |h| risk.push(h, |d| again.push(*d)));
        }
        prop_assert_eq!(once, again);
    }
}
