use super::*;
use alloc::vec;
use alloc::vec::Vec;
use proptest::prelude::*;

const MIN: i64 = 60_000;

#[test]
fn every_mark_stands_in_the_table_at_its_own_bit() {
    for (n, (mark, name, missing, reach)) in TABLE.into_iter().enumerate() {
        assert_eq!(mark as usize, n);
        assert_eq!(Marks::NONE.with(mark).0, 1 << n);
        assert_eq!((mark.name(), mark.counts_as_missing(), mark.reach_ms()), (name, missing, reach));
        assert!(reach[0] <= LOOK_BACK_MS && reach[1] <= LOOK_AHEAD_MS);
    }
}

#[test]
fn names_are_those_of_the_design() {
    let names: Vec<_> = Mark::all().map(Mark::name).collect();
    let design = "over, range, step, spike, stuck, saturated, neighbour, sunlit, dead, power_on, excluded";
    assert_eq!(names, design.split(", ").collect::<Vec<_>>());
}

#[test]
fn a_set_counts_as_missing_when_one_of_its_marks_does() {
    let doubts = Marks::NONE.with(Mark::Over).with(Mark::Saturated).with(Mark::Step);
    assert!(!doubts.counts_as_missing());
    assert!(doubts.with(Mark::Stuck).counts_as_missing());
    assert!(!Marks::NONE.counts_as_missing());
    assert_eq!(doubts.iter().collect::<Vec<_>>(), [Mark::Over, Mark::Step, Mark::Saturated]);
    assert_eq!(doubts.and(Marks::NONE.with(Mark::Dead)), doubts.with(Mark::Dead));
}

#[test]
fn humidity_over_100_is_used_as_100_and_marked() {
    assert_eq!(humidity_for_physics(100.0), Some((100.0, Marks::NONE)));
    assert_eq!(humidity_for_physics(100.1), Some((100.0, Marks::NONE.with(Mark::Over))));
    assert_eq!(humidity_for_physics(0.0), Some((0.0, Marks::NONE)));
    for bad in [-0.1, 105.1, 340.0, f64::NAN, f64::INFINITY] {
        assert_eq!(humidity_for_physics(bad), None);
    }
}

fn series_of(values: &[f64], step_ms: i64) -> Vec<Sample> {
    values.iter().zip(0..).map(|(v, k)| Sample { t_ms: k * step_ms, v: *v }).collect()
}

/// Marks of a series under cover; nothing stands beside it where `beside` is empty.
fn marks_of(kind: Kind, samples: &[Sample], beside: &[Sample], cadence_ms: i64) -> Vec<Marks> {
    marks_beside(kind, samples, (!beside.is_empty()).then_some(beside), cadence_ms)
}

fn marks_beside(kind: Kind, samples: &[Sample], beside: Option<&[Sample]>, cadence_ms: i64) -> Vec<Marks> {
    let mut marks = vec![Marks::NONE; samples.len()];
    let series = Series { kind, place: Place::Inside, cadence_ms, samples, beside };
    mark_series(&series, &mut marks, &mut Scratch::default());
    marks
}

/// Which readings carry the mark.
fn with(marks: &[Marks], mark: Mark) -> Vec<usize> {
    (0..marks.len()).filter(|i| marks[*i].has(mark)).collect()
}

#[test]
fn spike_of_7_is_found_and_a_fall_that_stays_is_none() {
    // Climate sheet 7 (rule tests): 10.0, 10.1, 16.0, 10.2, 10.1 with s 0.1 -> 5.9 + 5.8 = 11.7 > 0.4.
    assert!(is_spike(10.1, 16.0, 10.2, 0.1));
    // It must come back by more than half: a door opened and pulled to again is none.
    assert!(is_spike(95.0, 51.0, 83.0, 8.0) && !is_spike(95.0, 51.0, 78.0, 8.0) && !is_spike(95.0, 51.0, 51.0, 1.0));
    // The same after two quiet hours, every ten minutes: the least deviation under cover holds, 1.0 °C, 4 s = 4.
    let mut values = vec![10.0; 14];
    values.extend([10.0, 10.1, 16.0, 10.2, 10.1]);
    let marks = marks_of(Kind::Air, &series_of(&values, 10 * MIN), &[], 10 * MIN);
    assert_eq!(with(&marks, Mark::Spike), [16]);
    // Without them nothing is known of its deviation: 11.7 is not above four times the greatest, 20.
    let marks = marks_of(Kind::Air, &series_of(&values[14..], 10 * MIN), &[], 10 * MIN);
    assert_eq!(with(&marks, Mark::Spike), [0_usize; 0]);
    // A door: 16.0 and it stays.
    let mut door = vec![16.0; 15];
    door.extend([10.0, 10.1, 10.0]);
    let marks = marks_of(Kind::Air, &series_of(&door, 10 * MIN), &[], 10 * MIN);
    assert!(marks.iter().all(|m| !m.has(Mark::Spike)), "{marks:?}");
}

#[test]
fn standing_still_of_7_is_a_fault_only_where_it_should_have_moved() {
    // Climate sheet 7 (rule tests): 60 readings of 99.9 %RH at 6 °C -> not stuck; 60 readings of 63.2 % with T moving 2 °C -> stuck. A minute apart.
    let warming: Vec<f64> = (0..60).map(|k| 6.0 + 2.0 * f64::from(k) / 59.0).collect();
    let t = series_of(&warming, MIN);
    let fog = marks_of(Kind::Humidity, &series_of(&[99.9; 60], MIN), &t, MIN);
    assert!(fog.iter().all(|m| !m.has(Mark::Stuck) && m.has(Mark::Saturated)));
    let stuck = marks_of(Kind::Humidity, &series_of(&[63.2; 60], MIN), &t, MIN);
    assert_eq!(with(&stuck, Mark::Stuck).len(), 60);
    // A steady temperature excuses it, and 59 minutes are too few.
    let steady = series_of(&[6.0; 60], MIN);
    assert!(with(&marks_of(Kind::Humidity, &series_of(&[63.2; 60], MIN), &steady, MIN), Mark::Stuck).is_empty());
    assert!(with(&marks_of(Kind::Humidity, &series_of(&[63.2; 59], MIN), &t, MIN), Mark::Stuck).is_empty());
}

#[test]
fn damp_value_that_stands_through_a_day_that_warms_is_stuck_and_fog_is_not() {
    // A day and night of 10-minute readings between 6 and 14 °C; one reading less is too short, and 99 % is saturation, right or wrong.
    let day: Vec<f64> =
        (0..145).map(|k| 10.0 - 4.0 * libm::cos(f64::from(k) / 144.0 * core::f64::consts::TAU)).collect();
    let t = series_of(&day, 10 * MIN);
    let stuck = |pct: f64, n: usize, t: &[Sample]| {
        let marks = marks_of(Kind::Humidity, &series_of(&vec![pct; n], 10 * MIN), t, 10 * MIN);
        with(&marks, Mark::Stuck).len()
    };
    assert_eq!([stuck(97.3, 145, &t), stuck(97.3, 143, &t), stuck(99.0, 145, &t)], [145, 0, 0]);
    // Twenty hours of fog, and a fog that lasts while the air moves by less than five degrees.
    let even: Vec<Sample> = t.iter().map(|s| Sample { v: 10.0 + 0.5 * (s.v - 10.0), ..*s }).collect();
    assert_eq!([stuck(97.3, 120, &t), stuck(97.3, 145, &even)], [0, 0]);
    assert_eq!(stuck(97.3, 145, &[]), 0, "without a temperature nobody can tell");
}

#[test]
fn plateau_of_saturation_over_ice_is_not_stuck() {
    // Climate sheet 1.5: 90.5 % over water at -10 °C is air in equilibrium with ice. A night at -10 to -7.9 °C with one value.
    let night: Vec<f64> = (0..49).map(|k| -10.0 + 2.1 * f64::from(k) / 48.0).collect();
    let t = series_of(&night, 10 * MIN);
    let ice = marks_of(Kind::Humidity, &series_of(&[91.2; 49], 10 * MIN), &t, 10 * MIN);
    assert!(with(&ice, Mark::Stuck).is_empty());
    // The same value at 8 to 10.1 °C would be.
    let mild: Vec<Sample> = t.iter().map(|s| Sample { v: s.v + 18.0, ..*s }).collect();
    assert_eq!(
        with(&marks_of(Kind::Humidity, &series_of(&[91.2; 49], 10 * MIN), &mild, 10 * MIN), Mark::Stuck).len(),
        49
    );
}

#[test]
fn temperature_that_stands_still_for_half_a_day_is_stuck() {
    let still = series_of(&[12.06; 74], 10 * MIN);
    assert_eq!(with(&marks_of(Kind::Air, &still, &[], 10 * MIN), Mark::Stuck).len(), 74);
    assert!(with(&marks_of(Kind::Air, &still[..71], &[], 10 * MIN), Mark::Stuck).is_empty());
    assert!(with(&marks_of(Kind::Soil, &still, &[], 10 * MIN), Mark::Stuck).is_empty());
}

#[test]
fn temperature_that_stands_still_beside_a_living_humidity_is_stuck_after_a_day_and_not_before() {
    let stuck = |n: usize, rh: &dyn Fn(usize) -> f64| {
        let rh: Vec<f64> = (0..n).map(rh).collect();
        let marks = marks_of(Kind::Air, &series_of(&vec![12.5; n], 10 * MIN), &series_of(&rh, 10 * MIN), 10 * MIN);
        with(&marks, Mark::Stuck).len()
    };
    // Air outside has kept one whole degree Fahrenheit for 14 h while its humidity went on.
    let lives = |k: usize| 84.0 + 10.0 * (k as f64 / 40.0).sin();
    assert_eq!((stuck(84, &lives), stuck(144, &lives), stuck(400, &lives)), (0, 144, 400));
    // Fog, on a thermometer of half degrees: nothing moves, and nothing is wrong.
    assert_eq!((stuck(84, &|_| 100.0), stuck(144, &|_| 100.0)), (0, 144));
    // A humidity that stands still, falls out, or says one odd thing, shows nothing.
    assert_eq!(stuck(84, &|_| 93.0), 84);
    assert_eq!(stuck(84, &|k| if k < 40 { 90.0 } else { 0.0 }), 84);
    assert_eq!(stuck(84, &|k| if k == 40 { 50.0 } else { 90.0 }), 84);
}

#[test]
fn temperature_of_hundredths_that_says_one_number_for_an_hour_is_stuck() {
    // 4.00 to the last digit from 16:00 on, after an afternoon of hundredths; every ten minutes, so a dozen readings are two hours.
    let after = |step_c: f64, n: usize| {
        let mut values: Vec<f64> = (0..20).map(|k| 4.6 - step_c * f64::from(k % 7)).collect();
        values.extend(vec![4.0; n]);
        with(&marks_of(Kind::Air, &series_of(&values, 10 * MIN), &[], 10 * MIN), Mark::Stuck)
    };
    assert_eq!(after(0.02, 12), (20..32).collect::<Vec<_>>());
    assert!(after(0.02, 11).is_empty());
    // Steps of a tenth and of a sixteenth may well repeat themselves.
    assert!(after(0.1, 20).is_empty() && after(0.0625, 20).is_empty());
}

#[test]
fn hung_bus_is_dead_after_a_dozen_readings_and_a_frost_that_flickers_is_none() {
    // Troubles page 3: "-0.06 for ever"; beside it a humidity that lives.
    let rh: Vec<f64> = (0..60).map(|k| 84.0 + 14.0 * (f64::from(k) / 10.0).sin()).collect();
    let dead = |values: &[f64]| {
        let (t, rh) = (series_of(values, 10 * MIN), series_of(&rh[..values.len()], 10 * MIN));
        with(&marks_of(Kind::Air, &t, &rh, 10 * MIN), Mark::Dead).len()
    };
    assert_eq!((dead(&[-0.06; 60]), dead(&[-0.0625; 12]), dead(&[-0.0625; 11]), dead(&[0.0; 60])), (60, 12, 0, 0));
    let flickers: Vec<f64> = (0..60).map(|k| if k % 3 == 0 { 0.0 } else { -0.0625 }).collect();
    assert_eq!(dead(&flickers), 0);
    // Soil that freezes stands there for days.
    assert!(with(&marks_of(Kind::Soil, &series_of(&[-0.06; 60], 10 * MIN), &[], 10 * MIN), Mark::Dead).is_empty());
}

#[test]
fn one_lost_temperature_does_not_make_a_sound_humidity_stuck() {
    // 93.0 % within 0.05 for 65 minutes in air of a steady 6 °C, one -127, 85 or spike in it.
    let rh: Vec<f64> = (0..14).map(|k| 93.0 + 0.05 * f64::from(k % 2)).collect();
    for odd in [-127.0, 85.0, 16.0, f64::NAN] {
        let mut t = [6.0; 14];
        t[6] = odd;
        let marks = marks_of(Kind::Humidity, &series_of(&rh, 5 * MIN), &series_of(&t, 5 * MIN), 5 * MIN);
        assert!(with(&marks, Mark::Stuck).is_empty(), "{odd}");
    }
    // A real move of two degrees still tells.
    let warms: Vec<f64> = (0..14).map(|k| 6.0 + 0.2 * f64::from(k)).collect();
    let marks = marks_of(Kind::Humidity, &series_of(&rh, 5 * MIN), &series_of(&warms, 5 * MIN), 5 * MIN);
    assert_eq!(with(&marks, Mark::Stuck).len(), 14);
}

#[test]
fn humidity_that_fell_to_one_is_out_of_range_at_once() {
    // Troubles page 1: twelve readings of 6.0 °C and 1.0 % after 6.1 °C and 96 %.
    let mut values = vec![96.0];
    values.extend([1.0; 12]);
    let marks = marks_of(Kind::Humidity, &series_of(&values, 10 * MIN), &series_of(&[6.0; 13], 10 * MIN), 10 * MIN);
    assert_eq!(with(&marks, Mark::Range), (1..13).collect::<Vec<_>>());
    assert!(marks[1].has(Mark::Step) && marks[1..].iter().all(|m| m.counts_as_missing()));
    assert!(!marks[0].counts_as_missing());
}

#[test]
fn eighty_five_is_refused_alone_and_kept_in_a_rise() {
    // Troubles page 2: 21.4, 21.5, 85.0, 21.4 a minute apart; 84, 85.0, 85.5 in a smooth rise is kept.
    let lone = marks_of(Kind::Soil, &series_of(&[21.4, 21.5, 85.0, 21.4], MIN), &[], MIN);
    assert_eq!(with(&lone, Mark::PowerOn), [2]);
    // A heap: what is beyond 80 °C is out of range, and no power-on value.
    let heap = marks_of(Kind::Soil, &series_of(&[83.0, 84.0, 85.0, 85.5, 86.0], MIN), &[], MIN);
    assert!(with(&heap, Mark::PowerOn).is_empty());
    // First after a silence, or last so far: still told by the one neighbour it has.
    assert_eq!(with(&marks_of(Kind::Air, &series_of(&[85.0, 21.4], MIN), &[], MIN), Mark::PowerOn), [0]);
    assert_eq!(with(&marks_of(Kind::Air, &series_of(&[21.4, 85.0], MIN), &[], MIN), Mark::PowerOn), [1]);
    assert!(with(&marks_of(Kind::Air, &series_of(&[85.0], MIN), &[], MIN), Mark::PowerOn).is_empty());
}

#[test]
fn lost_probe_and_dead_bus_are_dead() {
    // Troubles page 3: -127. Climate sheet 7: RH 0 with T 0.0 exactly.
    let probe = marks_of(Kind::Soil, &series_of(&[8.2, -127.0, 8.2], 10 * MIN), &[], 10 * MIN);
    assert_eq!(with(&probe, Mark::Dead), [1]);
    let t = series_of(&[6.0, 0.0, 0.0], 10 * MIN);
    let bus = marks_of(Kind::Humidity, &series_of(&[90.0, 0.0, 90.0], 10 * MIN), &t, 10 * MIN);
    assert_eq!(with(&bus, Mark::Dead), [1]);
    assert!(bus[1].has(Mark::Range));
    // The temperature of the pair is none either; a true 0.0 beside a humidity that lives is one.
    let rh = series_of(&[90.0, 0.0, 90.0], 10 * MIN);
    let air = marks_of(Kind::Air, &t, &rh, 10 * MIN);
    assert_eq!(with(&air, Mark::Dead), [1]);
}

#[test]
fn first_reading_after_sleep_is_a_spike_and_an_opened_door_is_not() {
    // Troubles page 5: 95, 51, 95 every ten minutes.
    let marks = marks_of(Kind::Humidity, &series_of(&[95.0, 51.0, 95.0], 10 * MIN), &[], 10 * MIN);
    assert_eq!(with(&marks, Mark::Spike), [1]);
    let door = marks_of(Kind::Humidity, &series_of(&[95.0, 51.0, 52.0, 54.0], 10 * MIN), &[], 10 * MIN);
    assert!(with(&door, Mark::Spike).is_empty());
}

#[test]
fn steps_are_measured_by_the_minute_and_by_the_reading() {
    // Climate sheet 7: under cover 5 °C/min and 20 %RH/min, hourly-class data 10 °C and 60 %RH; outside 3 and 10.
    let step = |kind, place, from: f64, to: f64, step_ms| {
        let samples = series_of(&[from, to], step_ms);
        let mut marks = [Marks::NONE; 2];
        let series = Series { kind, place, cadence_ms: step_ms, samples: &samples, beside: None };
        mark_series(&series, &mut marks, &mut Scratch::default());
        marks[1].has(Mark::Step)
    };
    use Kind::{Air, Humidity};
    use Place::{Inside, Outside};
    assert!(step(Air, Inside, 10.0, 15.1, MIN) && !step(Air, Inside, 10.0, 14.9, MIN));
    assert!(step(Air, Outside, 10.0, 13.1, MIN) && !step(Air, Outside, 10.0, 12.9, MIN));
    assert!(step(Humidity, Inside, 90.0, 69.0, MIN) && !step(Humidity, Inside, 90.0, 71.0, MIN));
    assert!(step(Humidity, Outside, 90.0, 79.0, MIN) && !step(Humidity, Outside, 90.0, 81.0, MIN));
    for cadence in [10 * MIN, 60 * MIN] {
        assert!(step(Air, Inside, 10.0, 20.1, cadence) && !step(Air, Inside, 10.0, 19.9, cadence));
        assert!(step(Humidity, Inside, 95.0, 34.0, cadence) && !step(Humidity, Inside, 95.0, 36.0, cadence));
    }
    // Ten seconds are reckoned as a minute.
    assert!(!step(Air, Inside, 10.0, 14.9, MIN / 6));
}

#[test]
fn over_and_saturated_are_doubts_that_keep_the_reading() {
    // Climate sheet 7: RH 103.1 -> stored 103.1, used 100, flag `over`.
    let marks = marks_of(Kind::Humidity, &series_of(&[99.4, 99.5, 103.1, 105.1], 10 * MIN), &[], 10 * MIN);
    assert_eq!(with(&marks, Mark::Over), [2, 3]);
    assert_eq!(with(&marks, Mark::Saturated), [1, 2, 3]);
    assert_eq!(marks.iter().map(|m| m.counts_as_missing()).collect::<Vec<_>>(), [false, false, false, true]);
}

#[test]
fn neighbours_of_7_agree_within_two_percent_and_disagree_with_a_sunlit_one_only_in_temperature() {
    // Climate sheet 7: T 5 °C, e at 97 % against 95 %: inside tolerance, no flag.
    let apart = |a: (f64, f64), b: (f64, f64)| {
        let [a, b] = [a, b].map(|(t_c, rh_pct)| Vapour::of(0, t_c, rh_pct, 3.0).unwrap());
        let mut is = false;
        beside_each(&[a], &[b], 15 * MIN, |_, b| is = (a.kpa - b.kpa).abs() > a.allowed_kpa(b));
        is
    };
    let flagged = |a: &[Sample], b: &[Sample], allowed: f64| {
        let mut marks = [Marks::NONE];
        mark_apart(a, b, 15 * MIN, |_| allowed, &mut marks);
        marks[0].has(Mark::Neighbour)
    };
    assert!(!apart((5.0, 97.0), (5.0, 95.0)));
    // Cold: 0.192 kPa at 5 °C are 22 %RH, far beyond both errors; warm: 0.212 kPa at 30 °C are 5 %RH, within them.
    assert!(apart((5.0, 100.0), (5.0, 78.0)) && !apart((30.0, 50.0), (30.0, 55.0)));
    // Three dead bands of two 3 % sensors are 12.7 %RH, at any temperature.
    for t_c in [0.0, 5.0, 10.0, 20.0, 30.0] {
        assert!(!apart((t_c, 80.0), (t_c, 92.6)) && apart((t_c, 80.0), (t_c, 92.8)), "{t_c}");
    }
    // Troubles page 7: 24.0/48 % in the sun beside 15.5/80 % in the shade: the same vapour, another temperature.
    assert!(!apart((24.0, 48.0), (15.5, 80.0)));
    let t = |v| [Sample { t_ms: 0, v }];
    assert!(flagged(&t(24.0), &t(15.5), constants::APART_DAY_C.value));
    assert!(!flagged(&t(15.5), &t(12.6), constants::APART_NIGHT_C.value));
    // Nobody near in time, nothing said.
    let mut marks = [Marks::NONE];
    mark_apart(&t(24.0), &[Sample { t_ms: 16 * MIN, v: 5.0 }], 15 * MIN, |_| 3.0, &mut marks);
    assert_eq!(marks, [Marks::NONE]);
    // The nearer of the one before and the one after counts.
    let both = [Sample { t_ms: -9 * MIN, v: 5.0 }, Sample { t_ms: 2 * MIN, v: 23.0 }];
    mark_apart(&t(24.0), &both, 15 * MIN, |_| 3.0, &mut marks);
    assert_eq!(marks, [Marks::NONE]);
}

#[test]
fn humidity_far_drier_than_outside_for_three_hours_is_out_of_range_and_mild_air_over_cold_soil_is_not() {
    // Every ten minutes; inside `rh` (%) at `t_c`, outside 8 °C and 92 %: 0.987 kPa.
    let marked = |t_c: f64, rh: &dyn Fn(usize) -> f64, n: usize| -> Vec<usize> {
        let at = |k: usize, t_c, rh_pct| Vapour::of(k as i64 * 10 * MIN, t_c, rh_pct, 3.0).unwrap();
        let own: Vec<Vapour> = (0..n).map(|k| at(k, t_c, rh(k))).collect();
        let dry: Vec<bool> = (0..n).map(|k| rh(k) < constants::DRIER_BELOW_PCT.value).collect();
        let outside: Vec<Vapour> = (0..n).map(|k| at(k, 8.0, 92.0)).collect();
        let mut marks = vec![Marks::NONE; n];
        mark_drier_than_outside(&own, &dry, &outside, 15 * MIN, &mut marks);
        with(&marks, Mark::Range)
    };
    // 10 °C and 25 %: 0.307 kPa. All of it, from its first reading on, once three hours are full.
    assert_eq!(marked(10.0, &|_| 25.0, 19), (0..19).collect::<Vec<_>>());
    assert!(marked(10.0, &|_| 25.0, 18).is_empty());
    // It ends with the first reading that agrees: 80 % are 0.982 kPa.
    assert_eq!(marked(10.0, &|k| if (5..40).contains(&k) { 25.0 } else { 80.0 }, 60), (5..40).collect::<Vec<_>>());
    // Advice page, scenario 2: 4 °C and 97 %, 0.79 kPa, with milder air outside: it dews, and is damp.
    assert!(marked(4.0, &|_| 97.0, 60).is_empty());
    // A cover that is a little drier than outside: 10 °C and 65 %, 0.798 kPa.
    assert!(marked(10.0, &|_| 65.0, 60).is_empty());
}

#[test]
fn sunlit_begins_beyond_150_watts() {
    let noon = [Sample { t_ms: 0, v: 20.0 }, Sample { t_ms: 1, v: 20.0 }, Sample { t_ms: 2, v: 20.0 }];
    let mut marks = [Marks::NONE; 3];
    mark_sunlit(&noon, |t| [Some(150.0), Some(151.0), None][t as usize], &mut marks);
    assert_eq!(with(&marks, Mark::Sunlit), [1]);
    assert_eq!(
        (radiation_error_c(600.0), radiation_error_c(-1.0), radiation_error_c(f64::NAN)),
        (Some(3.0), None, None)
    );
}

#[test]
fn what_is_no_number_is_out_of_range_and_spoils_nothing_else() {
    let mut values = vec![10.0; 20];
    values[10] = f64::NAN;
    let marks = marks_of(Kind::Air, &series_of(&values, 10 * MIN), &[], 10 * MIN);
    assert_eq!(with(&marks, Mark::Range), [10]);
    assert!(marks.iter().enumerate().all(|(i, m)| i == 10 || m.is_empty()));
    // Lengths that differ and a cadence of nought mark nothing.
    let samples = series_of(&[500.0; 3], MIN);
    let mut marks = [Marks::NONE; 2];
    let series = Series { kind: Kind::Air, place: Place::Inside, cadence_ms: MIN, samples: &samples, beside: None };
    mark_series(&series, &mut marks, &mut Scratch::default());
    let mut three = [Marks::NONE; 3];
    mark_series(&Series { cadence_ms: 0, ..series }, &mut three, &mut Scratch::default());
    assert_eq!((marks, three), ([Marks::NONE; 2], [Marks::NONE; 3]));
}

#[test]
fn last_reading_of_half_a_day_that_stood_still_needs_all_of_it_and_the_change_before_it_is_enough() {
    let values: Vec<f64> = (0..40).map(f64::from).chain([11.0; 74]).collect();
    let t = series_of(&values, 10 * MIN);
    let needed = |kind, at: usize| needed_from(kind, 10 * MIN, &t, t[at].t_ms);
    // 39 and 40 are 28 °C apart, and two hours before them say how fine the steps are; a spike wants two hours, of twelve readings, and two readings
    // before them.
    assert_eq!((needed(Kind::Air, 113), needed(Kind::Air, 39), needed(Kind::Soil, 113)), (28, 13, 99));
    let of = |first: usize| with(&marks_of(Kind::Air, &t[first..], &[], 10 * MIN), Mark::Stuck).last().copied();
    assert_eq!((of(40), of(43)), (Some(73), None));
}

/// A series with everything that marks look for: steady stretches, jumps, spikes, saturation, every ten minutes or so.
fn wild(humid: bool) -> impl Strategy<Value = (Vec<Sample>, Vec<Sample>)> {
    let pieces = proptest::collection::vec((0_u8..6, 1_usize..40, 0.0..1.0_f64, -0.2..0.2_f64), 1..24);
    pieces.prop_map(move |pieces| {
        let (mut own, mut beside, mut t_ms) = (Vec::new(), Vec::new(), 0_i64);
        let (mut v, mut t_c) = (if humid { 80.0 } else { 12.0 }, 10.0);
        for (what, n, share, jitter) in pieces {
            for k in 0..n {
                let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
                match what {
                    0 | 1 => {}
                    2 => v += sign * 0.3,
                    3 if k == n / 2 => v += if humid { -35.0 } else { 12.0 } * share,
                    4 => v += (share - 0.5) * 0.8,
                    5 => v += sign * share * if humid { 30.0 } else { 8.0 },
                    _ => {}
                }
                v = if humid { v.clamp(6.0, 104.0) } else { v.clamp(-20.0, 55.0) };
                t_c += (share - 0.4) * 0.2;
                own.push(Sample { t_ms, v });
                beside.push(Sample { t_ms, v: t_c });
                t_ms += ((1.0 + jitter) * 10.0 * MIN as f64) as i64;
            }
        }
        (own, beside)
    })
}

#[test]
fn wild_series_carry_what_marks_look_for() {
    // Otherwise the properties below would hold of nothing.
    use proptest::strategy::{Strategy, ValueTree};
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut found = Marks::NONE;
    for humid in [true, false] {
        for _ in 0..64 {
            let (own, beside) = wild(humid).new_tree(&mut runner).unwrap().current();
            let kind = if humid { Kind::Humidity } else { Kind::Air };
            found = marks_of(kind, &own, &beside, 10 * MIN).into_iter().fold(found, Marks::and);
        }
    }
    for mark in [Mark::Over, Mark::Saturated, Mark::Step, Mark::Spike, Mark::Stuck] {
        assert!(found.has(mark), "{mark:?}");
    }
}

proptest! {
    #[test]
    fn prop_a_gap_never_creates_a_mark(
        (own, beside) in any::<bool>().prop_flat_map(wild), kept in proptest::collection::vec(0_u8..8, 1_000), humid: bool, from in 0_usize..300, gone in 0_usize..60,
    ) {
        let kind = if humid { Kind::Humidity } else { Kind::Air };
        let whole = marks_of(kind, &own, &beside, 10 * MIN);
        let is_kept = |i: usize| kept[i % kept.len()] != 0 && !(from..from + gone).contains(&i);
        let some: Vec<Sample> = (0..own.len()).filter(|i| is_kept(*i)).map(|i| own[i]).collect();
        let left = marks_of(kind, &some, &beside, 10 * MIN);
        let before = (0..own.len()).filter(|i| is_kept(*i)).map(|i| whole[i]);
        for ((marks, before), s) in left.iter().zip(before).zip(&some) {
            prop_assert_eq!(marks.0 & !before.0, 0, "{:?} at {}: {:?} was {:?}", kind, s.t_ms / MIN, marks.iter().collect::<Vec<_>>(), before.iter().collect::<Vec<_>>());
        }
        // Nor does a gap in the series beside.
        let holed: Vec<Sample> = (0..beside.len()).filter(|i| is_kept(*i)).map(|i| beside[i]).collect();
        for (marks, before) in marks_beside(kind, &own, Some(&holed), 10 * MIN).iter().zip(&whole) {
            prop_assert_eq!(marks.0 & !before.0, 0);
        }
    }

    #[test]
    fn prop_marks_do_not_depend_on_where_the_asking_starts(
        (own, beside) in any::<bool>().prop_flat_map(wild), humid: bool, from in 0_i64..4_000, length in 1_i64..600,
    ) {
        let kind = if humid { Kind::Humidity } else { Kind::Air };
        let whole = marks_of(kind, &own, &beside, 10 * MIN);
        let (from_ms, to_ms) = (from * MIN, (from + length) * MIN);
        let near = |s: &&Sample| (from_ms - LOOK_BACK_MS..to_ms + LOOK_AHEAD_MS).contains(&s.t_ms);
        let part: Vec<Sample> = own.iter().filter(near).copied().collect();
        let part_beside: Vec<Sample> = beside.iter().filter(near).copied().collect();
        let asked = marks_beside(kind, &part, Some(&part_beside), 10 * MIN);
        for (s, marks) in part.iter().zip(asked).filter(|(s, _)| (from_ms..to_ms).contains(&s.t_ms)) {
            let i = own.partition_point(|o| o.t_ms < s.t_ms);
            prop_assert_eq!(marks, whole[i], "{:?} at {}", kind, s.t_ms / MIN);
        }
    }

    #[test]
    fn prop_readings_before_the_first_needed_change_nothing(
        (own, beside) in any::<bool>().prop_flat_map(wild), humid: bool, shares in proptest::collection::vec(0.0..1.0_f64, 20),
    ) {
        let kind = if humid { Kind::Humidity } else { Kind::Air };
        let whole = marks_of(kind, &own, &beside, 10 * MIN);
        for share in shares {
            let at = (share * own.len() as f64) as usize;
            let first = needed_from(kind, 10 * MIN, &own, own[at].t_ms);
            let asked = marks_of(kind, &own[first..], &beside, 10 * MIN);
            prop_assert_eq!(&asked[at - first..], &whole[at..], "from {} of {}, needed {}", at, own.len(), first);
        }
    }

    #[test]
    fn prop_every_mark_keeps_to_its_own_reach(
        (own, beside) in any::<bool>().prop_flat_map(wild), humid: bool, at in 0_usize..500, new in 6.0..100.0_f64,
    ) {
        let kind = if humid { Kind::Humidity } else { Kind::Air };
        let before = marks_of(kind, &own, &beside, 10 * MIN);
        let mut changed = own.clone();
        let at = at % own.len();
        changed[at].v = new;
        let after = marks_of(kind, &changed, &beside, 10 * MIN);
        for (i, (a, b)) in before.iter().zip(&after).enumerate().filter(|(i, _)| *i != at) {
            // The changed reading lies this far after (or, negative, before) the one looked at.
            let away = own[at].t_ms - own[i].t_ms;
            for mark in Mark::all().filter(|m| a.has(*m) != b.has(*m)) {
                let [back, ahead] = mark.reach_ms();
                prop_assert!((-back..=ahead).contains(&away), "{mark:?} at {i}, changed {at}");
            }
        }
    }

    #[test]
    fn prop_a_scratch_used_before_changes_nothing((own, beside) in wild(true), (other, far) in wild(true)) {
        let far: Vec<Sample> = far.iter().map(|s| Sample { v: s.v - 30.0, ..*s }).collect();
        let mut scratch = Scratch::default();
        let mut marks = vec![Marks::NONE; other.len()];
        let first = Series { kind: Kind::Humidity, place: Place::Inside, cadence_ms: 10 * MIN, samples: &other, beside: Some(&far) };
        mark_series(&first, &mut marks, &mut scratch);
        let mut marks = vec![Marks::NONE; own.len()];
        let second = Series { kind: Kind::Humidity, place: Place::Inside, cadence_ms: 10 * MIN, samples: &own, beside: Some(&beside) };
        mark_series(&second, &mut marks, &mut scratch);
        prop_assert_eq!(marks, marks_of(Kind::Humidity, &own, &beside, 10 * MIN));
    }
}
