use propstick_agronomy::frost::critical::Hardiness;
use propstick_agronomy::frost::{Night, NightCover, NightLow};
use propstick_agronomy::quality::{Mark, Marks};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::*;
use crate::record::{Forecast, ForecastFor, Sky, Wet, Wind, WindowLook};

/// A sunset at 20:00 of some day by its own clock, and sunrise eleven hours later.
pub(crate) const NIGHT: NightSpan =
    NightSpan { sunset: Millis(20_000 * 24 * HOUR + 20 * HOUR), sunrise: Millis(20_001 * 24 * HOUR + 7 * HOUR) };

/// An instant so many hours after sunset.
pub(crate) fn after(h: f64) -> Millis {
    NIGHT.sunset.plus((h * HOUR as f64) as i64)
}

/// Air that falls in a straight line between the points given (hours after sunset, °C), read every ten minutes, at one humidity.
pub(crate) fn evening(points: &[(f64, f64)], rh_pct: Option<f64>) -> Vec<FrostReading> {
    let mut readings = Vec::new();
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let steps = ((to.0 - from.0) * 6.0).round() as i32;
        for k in 0..steps {
            let share = f64::from(k) / f64::from(steps);
            let t_c = from.1 + share * (to.1 - from.1);
            readings.push(FrostReading::plain(after(from.0 + share * (to.0 - from.0)), t_c, rh_pct));
        }
    }
    let (h, t_c) = points[points.len() - 1];
    readings.push(FrostReading::plain(after(h), t_c, rh_pct));
    readings
}

pub(crate) fn question(h: f64, readings: Vec<FrostReading>) -> FrostQuestion {
    FrostQuestion { readings, ..FrostQuestion::new(after(h), Some(NIGHT), FrostPlace::default()) }
}

pub(crate) fn looked(h: f64, sky: Sky, wind: Wind) -> Option<WindowLook> {
    Some(WindowLook { at: after(h), sky, wind, wet: Wet::Dry, wind_from_deg: None })
}

pub(crate) fn heard(low_c: f64) -> Option<Forecast> {
    Some(Forecast {
        at: after(-8.0),
        of: ForecastFor::Tonight,
        low_c: Some(low_c),
        high_c: None,
        wind: None,
        gust_m_s: None,
        sky: None,
        wet: None,
    })
}

pub(crate) fn outlook(q: &FrostQuestion) -> FrostOutlook {
    match frost(q) {
        FrostAnswer::Outlook(outlook) => outlook,
        other => panic!("{other:?}"),
    }
}

fn crop(name: &str, hardiness: Hardiness, trays: bool) -> FrostCrop {
    FrostCrop { name: name.to_string(), hardiness, trays }
}

/// Scenario 9 of the advice page: April 18:30, outside 8/55 (dew point -0.5), falling calm, clear, sunset about 20:15 summer time.
pub(crate) fn scenario_9() -> FrostQuestion {
    let sunset = NIGHT.sunset.plus(15 * MINUTE);
    let mut q = question(-1.5, evening(&[(-6.5, 11.0), (-3.5, 12.0), (-1.5, 8.0)], Some(55.0)));
    q.night = Some(NightSpan { sunset, sunrise: sunset.plus(10 * HOUR) });
    q.look = looked(-1.5, Sky::Clear, Wind::Calm);
    q.place.crops = vec![
        crop("potatoes", Hardiness::Tender, false),
        crop("lettuce", Hardiness::Hardy, false),
        crop("tomatoes", Hardiness::Chilled, true),
    ];
    q.place.week_mean_c = Some(12.0);
    q
}

#[test]
fn clear_still_april_evening_expects_what_the_advice_page_expects() {
    // "Expect 0, perhaps -3, at leaf level"; crops not hardened after 12 °C days.
    let outlook = outlook(&scenario_9());
    assert_eq!(outlook.low_c, (-3, 0));
    assert_eq!(outlook.by, FrostBy::Rule);
    assert!(outlook.speak >= Speak::May && outlook.is_warning() && outlook.clear);
    // Winter lettuce begins at -4, a class up at -2: warned from -1.
    assert_eq!(outlook.danger.len(), 3);
}

#[test]
fn silence_lasts_till_mid_afternoon_and_each_hour_has_its_word() {
    // Advice page: mid-afternoon "may", an hour before sunset "lay it now", with figures two hours after sunset.
    let readings = |h: f64| evening(&[(-6.5, 9.0), (-4.0, 8.0), (h, 3.0)], Some(70.0));
    let early = frost(&question(-3.1, readings(-3.1)));
    assert!(matches!(early, FrostAnswer::Early { heard: None, tells_at } if tells_at == after(-3.0)), "{early:?}");
    for (h, speak) in [
        (-2.9, Speak::May),
        (-1.1, Speak::May),
        (-0.9, Speak::LayNow),
        (1.9, Speak::LayNow),
        (2.0, Speak::Figures),
        (8.0, Speak::Figures),
    ] {
        assert_eq!(outlook(&question(h, readings(h))).speak, speak, "{h}");
    }
    let mild = |h: f64| evening(&[(-6.5, 15.0), (h, 13.0)], Some(90.0));
    assert_eq!(outlook(&question(-0.5, mild(-0.5))).speak, Speak::Nothing);
}

#[test]
fn air_falling_towards_frost_is_timed() {
    // Troubles page 21: 20:00 6.0, 21:00 4.6, 22:00 3.2, falling 1.4 an hour, dew point -2, sunrise 07:00: "could reach 0 by about 00:15".
    let night = NightSpan { sunset: NIGHT.sunset.plus(-HOUR / 2), sunrise: NIGHT.sunrise };
    let readings = |last: f64| {
        let mut hourly: Vec<FrostReading> = (-6..0)
            .map(|h| FrostReading::plain(after(f64::from(h)), 9.0 - 0.4 * f64::from(h + 6), Some(60.0)))
            .collect();
        hourly
            .extend([(0.0, 6.0, 56.6), (1.0, 4.6, 62.4)].map(|(h, t, rh)| FrostReading::plain(after(h), t, Some(rh))));
        hourly.push(FrostReading::plain(after(2.0), last, Some(68.9)));
        hourly
    };
    let mut q = question(2.0, readings(3.2));
    q.night = Some(night);
    let outlook = outlook(&q);
    assert_eq!(outlook.zero_at, Some(after(4.25)));
    assert!(
        (outlook.figures.cooling_c_h.unwrap() - 1.4).abs() < 1e-9 && (outlook.figures.dew_c.unwrap() + 2.0).abs() < 0.1
    );
    assert!(outlook.may_freeze() && outlook.speak == Speak::Figures);
    // A mild low that was heard does not silence it.
    let mild = FrostQuestion { forecast: heard(7.0), ..q.clone() };
    let contradicted = self::outlook(&mild);
    assert!(contradicted.is_warning() && contradicted.figures.gauge_over_heard, "{contradicted:?}");
    // "hours to spare": it was warned of at 20:00.
    let mut early = question(0.0, readings(3.2));
    early.night = Some(night);
    assert!(self::outlook(&early).is_warning());
}

#[test]
fn single_jump_warns_of_nothing_and_a_borne_out_one_does() {
    // Troubles page 21: "no warning from a single jump".
    let mut readings = evening(&[(-6.5, 14.0), (0.0, 13.0), (1.0, 12.8)], Some(90.0));
    let quiet = outlook(&question(1.0, readings.clone()));
    assert!(!quiet.is_warning());
    readings.push(FrostReading::plain(after(1.17), -1.0, Some(90.0)));
    let jumped = outlook(&question(1.2, readings.clone()));
    assert!(!jumped.is_warning() && jumped.doubts.contains(&FrostDoubt::Jump));
    assert_eq!(jumped.figures.t_c, Some(12.8));
    // Back again: it was a spike, and is neither in the low so far nor anywhere else.
    let mut back = readings.clone();
    back.push(FrostReading::plain(after(1.33), 12.7, Some(90.0)));
    let back = outlook(&question(1.4, back));
    assert!(!back.is_warning() && back.doubts == quiet.doubts);
    // The next reading near it bears it out; the same to the last digit is a dead bus.
    let mut dead = readings.clone();
    for k in 0..8 {
        dead.push(FrostReading::plain(after(1.33 + f64::from(k) / 6.0), -1.0, Some(90.0)));
    }
    assert!(matches!(frost(&question(2.5, dead)), FrostAnswer::Unknown { why: FrostUnknown::Doubtful { .. }, .. }));
    readings.push(FrostReading::plain(after(1.33), -1.2, Some(90.0)));
    assert!(outlook(&question(1.4, readings)).is_warning());
}

#[test]
fn dead_bus_at_minus_127_is_no_frost() {
    // Troubles page 3: "A frost alarm from -127 is a failure."
    let mut readings = evening(&[(-6.5, 12.0), (1.0, 11.0)], Some(95.0));
    let before = outlook(&question(1.0, readings.clone()));
    for k in 1..=4 {
        readings.push(FrostReading::plain(after(1.0 + f64::from(k) / 6.0), -127.0, Some(95.0)));
    }
    let after_it = outlook(&question(1.7, readings.clone()));
    assert!(!after_it.is_warning() && after_it.figures.t_c == before.figures.t_c);
    for k in 5..=9 {
        readings.push(FrostReading::plain(after(1.0 + f64::from(k) / 6.0), -127.0, Some(95.0)));
    }
    let lost = frost(&question(2.5, readings));
    assert!(
        matches!(lost, FrostAnswer::Unknown { why: FrostUnknown::Doubtful { near_frost: false, .. }, .. }),
        "{lost:?}"
    );
    assert_eq!(lost.word(), "unknown");
    // Nor when it flickers from the afternoon on.
    let flicker =
        (0..50).map(|k| FrostReading::plain(after(f64::from(k) / 6.0 - 6.0), -127.0 + f64::from(k % 2) / 16.0, None));
    assert!(matches!(
        frost(&question(2.2, flicker.collect())),
        FrostAnswer::Unknown { why: FrostUnknown::Doubtful { .. }, .. }
    ));
}

#[test]
fn low_is_no_higher_than_the_night_has_been_already() {
    let o = outlook(&question(9.0, evening(&[(-6.5, 6.0), (6.0, -3.0), (9.0, 4.0)], Some(90.0))));
    assert!(o.gauge_c.1 <= -2.9 && o.likely_c <= -2.9, "{:?}", o.gauge_c);
}

#[test]
fn gauge_that_fell_silent_near_frost_is_unknown_and_says_so_louder() {
    // Troubles page 22: readings until 23:00, then none.
    let until = |t_c: f64| evening(&[(-6.5, 10.0), (0.0, 6.0), (3.0, t_c)], Some(80.0));
    let answer = |t_c, h| frost(&question(h, until(t_c)));
    assert!(matches!(answer(2.0, 3.9), FrostAnswer::Outlook(_)), "short gaps make no noise");
    let FrostAnswer::Unknown { why, .. } = answer(2.0, 4.1) else { panic!() };
    assert_eq!(why, FrostUnknown::Silent { at: after(3.0), t_c: 2.0, near_frost: true });
    let FrostAnswer::Unknown { why, .. } = answer(8.0, 4.1) else { panic!() };
    assert!(!why.near_frost());
    assert_eq!(frost(&question(1.0, Vec::new())), FrostAnswer::Unknown { why: FrostUnknown::NoReading, heard: None });
    let one = frost(&question(1.0, vec![FrostReading::plain(after(0.9), -2.0, Some(90.0))]));
    assert_eq!(one, FrostAnswer::Unknown { why: FrostUnknown::One { at: after(0.9) }, heard: None });
    let mut none = question(1.0, until(2.0));
    none.night = None;
    assert_eq!(frost(&none), FrostAnswer::Unknown { why: FrostUnknown::NoNight, heard: None });
}

#[test]
fn forecast_heard_stands_in_for_a_gauge_that_says_nothing() {
    let mut q = question(1.0, Vec::new());
    q.forecast = heard(-1.0);
    let answer = frost(&q);
    let outlook = answer.outlook().unwrap();
    assert_eq!((answer.word(), outlook.by), ("unknown", FrostBy::Heard));
    assert!(outlook.is_warning() && outlook.low_c.0 < -1 && outlook.low_c.1 >= -1);
    q.forecast = heard(11.0);
    assert!(!frost(&q).outlook().unwrap().is_warning());
    q.now = after(-6.0);
    assert!(matches!(frost(&q), FrostAnswer::Early { heard: Some(_), .. }));
    q.forecast = heard(f64::NAN);
    assert!(matches!(frost(&q), FrostAnswer::Early { heard: None, .. }));
}

#[test]
fn broken_humidity_or_a_sunlit_or_stuck_gauge_builds_no_frost_of_itself() {
    let air = &[(-6.5, 12.0), (-3.0, 11.0), (0.5, 9.5)];
    let good = question(0.5, evening(air, Some(85.0)));
    assert!(!outlook(&good).is_warning());
    // Dead: 1 % while temperature goes on (troubles page 1); and a gauge that slid to 25 %.
    for rh in [1.0, 25.0, 3.0, f64::NAN] {
        assert!(!outlook(&question(0.5, evening(air, Some(rh)))).is_warning(), "{rh}");
    }
    assert!(outlook(&question(0.5, evening(air, Some(1.0)))).doubts.contains(&FrostDoubt::NoDewPoint));
    // Saturated.
    let mark = |t: Marks, rh: Marks| -> Vec<FrostReading> {
        let marked = |r: &FrostReading| FrostReading::marked(r.at, r.t_c.map(|t_c| (t_c, t)), Some((100.0, rh)));
        evening(air, Some(100.0)).iter().map(marked).collect()
    };
    let none = Marks::NONE;
    let saturated = outlook(&question(0.5, mark(none, none.with(Mark::Saturated))));
    assert!(!saturated.is_warning() && saturated.doubts.contains(&FrostDoubt::Saturated));
    // Sun on the gauge until sunset: forty degrees in the afternoon show no clear night.
    let sunny = evening(&[(-6.5, 40.0), (-1.0, 38.0), (0.2, 9.8), (0.5, 9.5)], Some(90.0));
    let lit = |r: &FrostReading| FrostReading { sunlit: r.at < NIGHT.sunset, ..*r };
    let lit = outlook(&question(0.5, sunny.iter().map(lit).collect()));
    assert!(!lit.is_warning() && lit.doubts.contains(&FrostDoubt::NoAfternoon), "{lit:?}");
    // Stuck: the marks take it out, and it is unknown.
    let stuck = frost(&question(0.5, mark(none.with(Mark::Stuck), none)));
    assert!(matches!(stuck, FrostAnswer::Unknown { why: FrostUnknown::Doubtful { .. }, .. }));
}

#[test]
fn cover_counts_only_as_far_as_the_gauge_is_not_under_it() {
    // Advice page: "A cover's gain is added only if the board is not under that cover." Gains: climate sheet 5.2.
    let gain = |gauge_under, crop_under| FrostPlace { gauge_under, crop_under, ..FrostPlace::default() }.gain_c();
    use NightCover::{Fleece17, Tunnel, TunnelAndFleece};
    assert_eq!(gain(None, Some(Fleece17)), 1.5);
    assert_eq!(gain(Some(Fleece17), Some(Fleece17)), 0.0);
    assert_eq!(gain(Some(Tunnel), Some(TunnelAndFleece)), 2.5);
    assert_eq!(gain(Some(TunnelAndFleece), Some(Tunnel)), 0.0);
    assert_eq!(gain(None, None), 0.0);
    // Climate sheet 5.3, check: -3.3 outside, fleece +1.5 and a tunnel's 1.3 there: about -0.5, safe for winter lettuce (-4), unsafe for tomato (0).
    let mut q = question(2.0, evening(&[(-6.5, 4.0), (0.0, 1.0), (2.0, -1.0)], Some(85.0)));
    q.place.on_leaf = true;
    let bare = outlook(&q);
    q.place.crop_under = Some(Tunnel);
    let under = outlook(&q);
    assert!((under.leaf_c.0 - bare.leaf_c.0 - 1.5).abs() < 1e-9 && (under.leaf_c.1 - bare.leaf_c.1 - 1.5).abs() < 1e-9);
    assert_eq!(bare.under_another(1.5), under.low_c);
    assert_eq!(bare.under_another(f64::NAN), bare.low_c);
}

#[test]
fn limit_is_the_tenderest_crops_and_a_warm_or_unknown_week_takes_hardening_away() {
    // Wetness sheet 4.6: alert a degree above the upper end; the class one up after a week above 10 °C.
    let place = |week_mean_c, crops: Vec<FrostCrop>| FrostPlace { week_mean_c, crops, ..FrostPlace::default() };
    let lettuce = || crop("winter lettuce", Hardiness::Hardy, false);
    assert_eq!(place(Some(6.0), vec![lettuce()]).limit_c(), -3.0);
    assert_eq!(place(Some(10.0), vec![lettuce()]).limit_c(), -3.0);
    assert_eq!(place(Some(10.1), vec![lettuce()]).limit_c(), -1.0);
    assert_eq!(place(None, vec![lettuce()]).limit_c(), -1.0);
    assert_eq!(place(Some(6.0), vec![lettuce(), crop("potatoes", Hardiness::Tender, false)]).limit_c(), 1.0);
    assert_eq!(place(Some(6.0), Vec::new()).limit_c(), 0.0);
    let mut q = question(0.0, evening(&[(-6.5, 8.0), (0.0, 4.0)], Some(75.0)));
    q.place = place(None, vec![lettuce()]);
    assert!(outlook(&q).doubts.contains(&FrostDoubt::NoWeek));
}

/// Twelve clear nights of a gauge that hardly cools, whose lows were the warmer the drier it was.
fn contrary() -> NightLow {
    let dew = |k: i32| f64::from(k * 7 % 5);
    let night = |k: i32| Night { dusk_c: f64::from(k), dusk_dew_c: Some(dew(k)), low_c: f64::from(k) - 0.5 - dew(k) };
    NightLow::learn(&(0..12).map(night).collect::<Vec<_>>()).unwrap()
}

#[test]
fn nights_that_taught_against_the_sense_of_moisture_are_heard_without_it() {
    assert!(contrary().per_dew < -0.5);
}

/// Twelve clear nights of a gauge in a frost hollow: seven degrees down from dusk whatever the dew point.
fn hollow() -> NightLow {
    let night = |k: i32| Night {
        dusk_c: f64::from(k),
        dusk_dew_c: None,
        low_c: f64::from(k) - 7.0 + if k % 2 == 0 { 0.2 } else { -0.2 },
    };
    NightLow::learn(&(0..12).map(night).collect::<Vec<_>>()).unwrap()
}

#[test]
fn own_clear_nights_stand_in_the_rules_place_once_there_are_ten() {
    let mut q = question(2.5, evening(&[(-6.5, 13.0), (-2.0, 12.0), (2.5, 6.0)], Some(95.0)));
    q.look = looked(1.0, Sky::Clear, Wind::Calm);
    let by_rule = outlook(&q);
    assert_eq!(by_rule.by, FrostBy::Rule);
    q.learned = Some(hollow());
    let learned = outlook(&q);
    assert_eq!(learned.by, FrostBy::Learned { nights: 12 });
    // Dusk at 6.7: about -0.3 at the gauge, and 1.5 less to warn by; no further below the rule than two degrees.
    assert!(learned.gauge_c.0 < by_rule.gauge_c.0 && learned.likely_c < by_rule.likely_c);
    assert!(!by_rule.is_warning() || by_rule.low_c.0 > learned.low_c.0);
    // Overcast: what clear nights taught says little.
    q.look = looked(1.0, Sky::Overcast, Wind::Fresh);
    let overcast = outlook(&q);
    assert_eq!(overcast.by, FrostBy::Rule);
    assert!(overcast.low_c.0 > learned.low_c.0);
    // Beyond all that it has seen.
    q.look = looked(1.0, Sky::Clear, Wind::Calm);
    q.readings = evening(&[(-6.5, 25.0), (2.5, 19.0)], Some(60.0));
    assert!(outlook(&q).doubts.contains(&FrostDoubt::BeyondLearned));
}

#[test]
fn nights_with_vents_opened_or_wind_or_cloud_teach_nothing() {
    let readings = evening(&[(-6.5, 12.0), (0.0, 9.0), (2.0, 6.0), (11.0, -1.0)], Some(85.0));
    let place = FrostPlace::default();
    let night = |beside| NightPast::of(NIGHT, &place, &readings, beside);
    let plain = night(NightBeside::default());
    assert!(plain.teaches && plain.measured > 0.99);
    assert_eq!((plain.dusk_c, plain.low_c), (Some(6.0), Some(-1.0)));
    // At 2 °C by its gauge: 6 + 9 h * 4/7.
    assert!((plain.frost_from.unwrap().since(NIGHT.sunset) as f64 / HOUR as f64 - 7.2).abs() < 0.2);
    let beside = NightBeside::default();
    for other in [
        NightBeside { opened: true, ..beside },
        NightBeside { wind_m_s: Some(2.5), ..beside },
        NightBeside { sky: Some(Sky::Overcast), ..beside },
        NightBeside { sky: Some(Sky::Clear), wind: Some(Wind::Gale), ..beside },
    ] {
        assert!(!night(other).teaches, "{other:?}");
    }
    // A night that did not fall teaches only if somebody saw it clear and still.
    let flat = evening(&[(-6.5, 7.0), (2.0, 6.0), (11.0, 1.0)], Some(85.0));
    assert!(!NightPast::of(NIGHT, &place, &flat, beside).teaches);
    let seen = NightBeside { sky: Some(Sky::Clear), wind: Some(Wind::Calm), ..beside };
    assert!(NightPast::of(NIGHT, &place, &flat, seen).teaches);
    // Less than four fifths measured: no low, and nothing to score.
    let half: Vec<FrostReading> = readings.iter().filter(|r| r.at < after(6.0)).copied().collect();
    let half = NightPast::of(NIGHT, &place, &half, beside);
    assert!(half.low_c.is_none() && half.measured < 0.6);
    assert_eq!(FrostScore::of(1, &NightCalls::default(), &half, None, after(12.0)), None);
    let nights: Vec<NightPast> = (0..9).map(|_| plain).collect();
    assert_eq!(learn(&nights), None);
}

#[test]
fn scores_count_a_late_warning_as_a_miss() {
    let past = |low_c: f64, frost_h: Option<f64>| NightPast {
        falls_c: [None; nights::FALLS_H],
        span: NIGHT,
        dusk_c: Some(4.0),
        dusk_dew_c: None,
        low_c: Some(low_c),
        frost_from: frost_h.map(after),
        measured: 1.0,
        teaches: true,
    };
    let calls = |h: Option<f64>| NightCalls {
        warned_at: h.map(after),
        forecast: Some(ForecastLow { ends_c: (-2.0, 2.0), likely_c: 0.5 }),
    };
    let score = |night: &NightPast, warned| {
        FrostScore::of(7, &calls(warned), night, Some(&past(4.0, None)), after(12.0)).unwrap()
    };
    let frosty = past(-1.0, Some(5.0));
    assert_eq!(score(&frosty, Some(3.0)).call, FrostCall::Hit);
    assert_eq!(score(&frosty, Some(3.1)).call, FrostCall::Miss);
    assert_eq!(score(&frosty, None).call, FrostCall::Miss);
    assert_eq!(score(&past(5.0, None), Some(0.0)).call, FrostCall::FalseAlarm);
    assert_eq!(score(&past(5.0, None), None).call, FrostCall::Quiet);
    let all = [
        score(&frosty, Some(0.0)),
        score(&frosty, None),
        score(&past(5.0, None), Some(0.0)),
        score(&past(1.5, None), None),
    ];
    let tally: FrostTally = all.iter().collect();
    assert_eq!(
        (tally.nights, tally.frosts(), tally.hits, tally.misses, tally.false_alarms, tally.within),
        (4, 2, 1, 1, 1, 3)
    );
    // |0.5 + 1|, twice, |0.5 - 5|, |0.5 - 1.5|; and 5, 5, 1, 2.5 for the 4.0 of the night before.
    let (off_c, baseline_c) = tally.mean_off_c().unwrap();
    assert!((off_c - 8.5 / 4.0).abs() < 1e-9 && (baseline_c - 13.5 / 4.0).abs() < 1e-9);
    for call in FrostCall::ALL {
        assert_eq!(FrostCall::from_word(call.word()), Some(call));
    }
}

#[test]
fn calls_of_an_evening_keep_the_first_warning_and_the_last_range_before_night() {
    let mut calls = NightCalls::default();
    for (h, t_c) in [(-2.0, 10.0), (0.0, 5.0), (2.0, 3.0), (5.0, 1.0)] {
        let q = question(h, evening(&[(-6.5, 11.0), (h, t_c)], Some(75.0)));
        calls.hear(q.now, NIGHT.sunset, &frost(&q));
    }
    assert_eq!(calls.warned_at, Some(after(0.0)));
    let at_two = outlook(&question(2.0, evening(&[(-6.5, 11.0), (2.0, 3.0)], Some(75.0))));
    assert_eq!(calls.forecast, Some(ForecastLow { ends_c: at_two.gauge_c, likely_c: at_two.likely_c }));
}

#[test]
fn dry_air_freezes_black_and_moist_air_white() {
    let ice = |rh| outlook(&question(2.0, evening(&[(-6.5, 8.0), (2.0, 2.0)], Some(rh)))).ice;
    assert_eq!(ice(95.0), Some(Ice::Hoar));
    assert_eq!(ice(35.0), Some(Ice::Black));
    assert_eq!(outlook(&question(2.0, evening(&[(-6.5, 16.0), (2.0, 15.0)], Some(80.0)))).ice, None);
}

mod properties;

/// Scenario 9 as the gauges have it: 12 °C and 70 % under the film, 8 °C and 55 % outside, dusk clear and calm.
fn under_film(h: f64, inside_c: f64, outside_c: f64) -> FrostQuestion {
    let mut q = question(h, evening(&[(-6.5, 20.0), (-4.0, 20.0), (h, inside_c)], Some(70.0)));
    q.outside = evening(&[(-6.5, 13.0), (-4.0, 13.0), (h, outside_c)], Some(55.0));
    q.place = FrostPlace {
        gauge_under: Some(NightCover::Tunnel),
        crop_under: Some(NightCover::Tunnel),
        ..FrostPlace::default()
    };
    q.look = looked(h, Sky::Clear, Wind::Calm);
    q
}

#[test]
fn night_under_a_film_goes_by_the_air_outside_where_that_is_measured() {
    // The advice page, scenario 9: "Expect 0, perhaps -3, at leaf level", from the dew point outside. Outside -1.0 to 1.7 by rule; the film adds from -1
    // to 1.5 (climate sheet 5.2), and leaves under it are up to a degree colder than the air.
    let got = outlook(&under_film(-1.5, 12.0, 8.0));
    assert_eq!(got.low_c.0, -3, "{got:?}");
    assert!((0..=2).contains(&got.low_c.1), "{got:?}");
    assert_eq!(got.figures.outside_c.map(|(t_c, _)| t_c), Some(8.0));
    // Without the gauge outside the sun's warmth and the soil's water are all there is to go by.
    let alone = outlook(&FrostQuestion { outside: Vec::new(), ..under_film(-1.5, 12.0, 8.0) });
    assert!(alone.low_c.0 > got.low_c.0 && alone.figures.outside_c.is_none(), "{alone:?}");
}

#[test]
fn air_outside_that_no_cover_explains_is_not_gone_by() {
    // Warmer outside than under the film by more than 5.2 has ever: one of the gauges stands in the sun or against a wall.
    let odd = outlook(&under_film(2.0, 3.0, 4.5));
    assert_eq!(odd.figures.outside_c, None);
    assert_eq!(odd, outlook(&FrostQuestion { outside: Vec::new(), ..under_film(2.0, 3.0, 4.5) }));
    let even = outlook(&under_film(2.0, 3.0, 3.9));
    assert!(even.figures.outside_c.is_some());
}

#[test]
fn two_hours_after_sunset_the_gauge_under_the_film_is_a_witness_of_its_own() {
    let low = |inside_c: f64| outlook(&under_film(2.1, inside_c, 3.0)).gauge_c;
    let (cold, warm) = (low(3.0), low(6.0));
    assert!(cold.0 < warm.0 && cold.1 < warm.1, "{cold:?} {warm:?}");
    let early = |inside_c: f64| outlook(&under_film(-1.5, inside_c, 8.0)).gauge_c;
    assert_eq!(early(12.0), early(16.0), "the sun's warmth tells nothing");
}

/// A night so many days before, that fell to `low_c` from ten degrees at sunset.
fn night_before(days: i64, low_c: f64) -> NightPast {
    let back = |at: Millis| at.plus(-days * 24 * HOUR);
    let span = NightSpan { sunset: back(NIGHT.sunset), sunrise: back(NIGHT.sunrise) };
    let readings: Vec<FrostReading> = evening(&[(-6.5, 12.0), (0.0, 10.0), (11.0, low_c)], Some(90.0))
        .into_iter()
        .map(|r| FrostReading { at: back(r.at), ..r })
        .collect();
    NightPast::of(span, &FrostPlace::default(), &readings, NightBeside::default())
}

#[test]
fn under_a_cover_it_falls_hardly_further_than_on_the_last_nights_where_nobody_has_looked() {
    let mut q = under_film(0.0, 6.0, 8.0);
    (q.outside, q.look) = (Vec::new(), None);
    let open_c = outlook(&q).gauge_c.0;
    // Falls of 2, 3 and 2.5 °C from sunset, and one of 9 that lies too far back.
    q.lately = vec![night_before(12, 1.0), night_before(3, 8.0), night_before(2, 7.0), night_before(1, 7.5)];
    assert!((q.lately[2].falls_c[3].unwrap() - 3.0).abs() < 0.1, "{:?}", q.lately[2].falls_c);
    let bound = outlook(&q);
    assert!(open_c < 2.5 && (bound.gauge_c.0 - 2.5).abs() < 0.1, "{open_c} {:?}", bound.gauge_c);
    assert!(bound.figures.fell_c.is_some_and(|fell_c| (fell_c - 3.0).abs() < 0.1));
    let same = |q: &FrostQuestion| assert_eq!(outlook(q).gauge_c.0, open_c);
    // Two nights are too few; in the open the rule stands as it is.
    same(&FrostQuestion { lately: q.lately[2..].to_vec(), ..q.clone() });
    let told = FrostQuestion { look: looked(-0.2, Sky::Clear, Wind::Calm), ..q.clone() };
    assert!(outlook(&told).figures.fell_c.is_none(), "a look is better");
    let heard = FrostQuestion { forecast: heard(-2.0), ..q.clone() };
    assert!(outlook(&heard).figures.fell_c.is_none(), "so is a low that was heard");
}
