use super::*;

const ZONE: Tz = Tz::UTC;

fn hour(k: i64, t_c: f64, rh: f64, wet: bool) -> WetHour {
    let wet_ms = Runs::all(if wet { HOUR_MS } else { 0 });
    WetHour {
        covered_ms: HOUR_MS,
        wet_ms,
        t_c: Some(t_c),
        rh_pct: Some(Runs::all(rh)),
        ..WetHour::unknown(k * HOUR_MS)
    }
}

/// Seven noon-days and eight hours from an instant 0 that is noon: 20454.5 days after 1970 is 2026-01-01T12:00Z.
fn week(of: impl Fn(i64) -> WetHour) -> Vec<WetHour> {
    (0..7 * 24 + 8).map(of).map(|h| WetHour { from_ms: h.from_ms + BEGIN.0, ..h }).collect()
}
const BEGIN: Millis = Millis(1_767_268_800_000);
/// 2026-06-15T12:00Z lies 165 days later.
const TO_JUNE: i64 = 165 * NOON_DAY_MS;
/// The hour of the last noon-day that begins at 00:00.
const MIDNIGHT: i64 = 6 * 24 + 12;

fn flags(hours: &[WetHour], soil_moist: Option<bool>) -> Flags {
    Flags::of_day(hours, BEGIN.plus(6 * NOON_DAY_MS), ZONE, (51.0, -8.0), soil_moist)
}

#[test]
fn grey_mould_week_needs_eight_wet_hours_and_mild_nights() {
    // Wetness sheet 2.6: 8 h wet and 10 h and more in the band is outbreak weather; 6.5 h wet is not.
    let of = |wet_h: i64| flags(&week(|k| hour(k, 12.0, 85.0, k % 24 < wet_h)), None).grey_mould_week.read;
    assert_eq!((of(8), of(6)), (Verdict::Yes, Verdict::No));
}

#[test]
fn stem_rot_is_flagged_only_where_the_soil_is_known_to_be_moist() {
    let hours = week(|k| hour(k, 14.0, 85.0, false));
    assert_eq!(flags(&hours, Some(true)).stem_rot, Verdict::Yes);
    assert_eq!((flags(&hours, Some(false)).stem_rot, flags(&hours, None).stem_rot), (Verdict::No, Verdict::Unknown));
}

#[test]
fn lettuce_morning_in_winter_is_known_from_the_hours_after_noon() {
    // Sunrise near 08:40 UTC at 51 N 8 W in January: wet until 13:00 is over four hours.
    let hours = week(|k| hour(k, 9.0, 95.0, k % 24 >= 6 || k >= 168));
    let wet = flags(&hours, None);
    assert_eq!(wet.lettuce_morning.read, Verdict::Yes);
    assert!(wet.lettuce_suits.unwrap() > 0.5);
    let cut = flags(&hours[..7 * 24], None);
    assert_eq!(cut.lettuce_morning.read, Verdict::Unknown, "the hours after noon are not known yet");
    assert_eq!(flags(&week(|k| hour(k, 9.0, 80.0, false)), None).lettuce_morning.read, Verdict::No);
}

#[test]
fn onion_mildew_makes_spores_in_a_damp_night_and_infects_in_the_wet_morning() {
    // Wetness sheet 2.3: 92 % and more for four hours between midnight and dawn, then three wet hours.
    let damp = week(|k| hour(k, 10.0, if (12..18).contains(&(k % 24)) { 95.0 } else { 80.0 }, k % 24 >= 18));
    assert_eq!((flags(&damp, None).onion_spores.read, flags(&damp, None).onion_infects.read), (Verdict::Yes, true));
    let dry = week(|k| hour(k, 10.0, 80.0, k % 24 >= 18));
    assert_eq!((flags(&dry, None).onion_spores.read, flags(&dry, None).onion_infects.read), (Verdict::No, false));
}

#[test]
fn onion_mildew_is_stopped_by_the_heat_of_the_afternoon_right_before_the_night() {
    // Wetness sheet 2.3: "previous day max < 27", that is from midnight to midnight.
    let spores = |hot_at: i64| {
        let of = |k: i64| hour(k, if k == hot_at { 30.0 } else { 12.0 }, 96.0, false);
        flags(&week(of), None).onion_spores.read
    };
    assert_eq!(
        (spores(MIDNIGHT - 9), spores(MIDNIGHT - 24), spores(MIDNIGHT - 1)),
        (Verdict::No, Verdict::No, Verdict::No)
    );
    assert_eq!(
        (spores(MIDNIGHT - 33), spores(MIDNIGHT - 25), spores(MIDNIGHT + 10)),
        (Verdict::Yes, Verdict::Yes, Verdict::Yes)
    );
    // A day before of which too little is known leaves a yes open.
    let mut hours = week(|k| hour(k, 12.0, 96.0, false));
    hours.retain(|h| !(MIDNIGHT - 12..MIDNIGHT - 5).contains(&((h.from_ms - BEGIN.0) / HOUR_MS)));
    assert_eq!(flags(&hours, None).onion_spores.read, Verdict::Unknown);
}

#[test]
fn onion_nights_of_midsummer_need_two_damp_hours_of_the_dark() {
    // Civil dawn near 02:55 UTC at 52° N 1° W; none at 61° N, where the sun rises near 02:25; no night at 70° N.
    let spores = |lat: f64, from: i64, to: i64| {
        let of = |k: i64| hour(k, 12.0, if (from..to).contains(&(k % 24 - 12)) { 95.0 } else { 80.0 }, false);
        let hours: Vec<WetHour> = week(of).iter().map(|h| WetHour { from_ms: h.from_ms + TO_JUNE, ..*h }).collect();
        Flags::of_day(&hours, BEGIN.plus(TO_JUNE + 6 * NOON_DAY_MS), ZONE, (lat, -1.0), None).onion_spores.read
    };
    assert_eq!((spores(52.0, 0, 2), spores(52.0, 1, 6), spores(52.0, 0, 1)), (Verdict::Yes, Verdict::No, Verdict::No));
    assert_eq!((spores(61.0, 0, 2), spores(61.0, 2, 6), spores(70.0, 0, 6)), (Verdict::Yes, Verdict::No, Verdict::No));
    // Where the night is longer than four hours four are enough.
    assert_eq!((spores(38.0, 0, 4), spores(38.0, 0, 3)), (Verdict::Yes, Verdict::No));
}

#[test]
fn lettuce_morning_is_known_where_the_sun_rises_after_nine() {
    // 58° N 6° W in early January: sunrise near 09:15 UTC; wet to 14:00, or dry by 11:00.
    let morning = |dry_from: i64| {
        let hours = week(|k| hour(k, 9.0, 95.0, k < MIDNIGHT + dry_from));
        let flags = Flags::of_day(&hours, BEGIN.plus(6 * NOON_DAY_MS), ZONE, (58.0, -6.0), None);
        flags.lettuce_morning.read
    };
    assert_eq!((morning(14), morning(11)), (Verdict::Yes, Verdict::No));
}

#[test]
fn frost_at_sunrise_does_not_end_the_lettuce_morning() {
    // Wetness sheet 1.3: frozen to 10:00, then wet at 3 °C to 15:00.
    let of = |k: i64| {
        let frozen = (MIDNIGHT..MIDNIGHT + 10).contains(&k);
        hour(k, if frozen { -0.3 } else { 3.0 }, 95.0, (MIDNIGHT + 10..MIDNIGHT + 15).contains(&k))
    };
    assert_eq!(flags(&week(of), None).lettuce_morning.read, Verdict::Yes);
}

#[test]
fn nights_half_unseen_leave_the_grey_mould_week_open() {
    // 12 °C, eight wet hours a day, silent from 00:00 to 05:00 each night: nine of fourteen hours are seen in the band.
    let mut hours = week(|k| hour(k, 12.0, 85.0, k % 24 < 8));
    hours.retain(|h| !(12..17).contains(&((h.from_ms - BEGIN.0) / HOUR_MS % 24)));
    let week = flags(&hours, None).grey_mould_week;
    assert_eq!((week.low, week.read, week.high), (Verdict::No, Verdict::Unknown, Verdict::Yes));
}

#[test]
fn day_counts_for_a_rule_of_days_by_what_was_measured_as_it_does_for_a_score() {
    // 24 hours known, 70 % of each measured: 16.8 h are no day.
    let mut hours = week(|k| hour(k, 14.0, 85.0, k % 24 < 8));
    hours.iter_mut().for_each(|h| h.covered_ms = HOUR_MS * 7 / 10);
    let weather = day_weather(&hours, BEGIN, BEGIN.plus(NOON_DAY_MS));
    assert_eq!((weather.known_h, weather.is_scored()), (24, false));
    assert_eq!(flags(&hours, Some(true)).stem_rot, Verdict::Unknown);
}

#[test]
fn dawn_is_that_of_the_day_where_a_zone_keeps_the_other_side_s_date() {
    // Apia, 13.8° S 171.8° W, keeps UTC+13 (standard time; none else since 2021): 2026-01-01 12:00 there is 2025-12-31T23:00Z.
    let begin = BEGIN.plus(-13 * HOUR_MS);
    let of = |k: i64| hour(k, 20.0, if (12..16).contains(&(k % 24)) { 95.0 } else { 80.0 }, false);
    let hours: Vec<WetHour> = week(of).iter().map(|h| WetHour { from_ms: h.from_ms - 13 * HOUR_MS, ..*h }).collect();
    let flags = Flags::of_day(&hours, begin.plus(6 * NOON_DAY_MS), Tz::Pacific__Apia, (-13.8, -171.8), None);
    assert_eq!(flags.onion_spores.read, Verdict::Yes);
    assert_eq!(flags.lettuce_morning.read, Verdict::No);
}

#[test]
fn leaves_thawed_after_frost_are_counted_until_they_dry() {
    let hours: Vec<WetHour> =
        (0..24).map(|k| hour(k, if k < 4 { -1.0 } else { 3.0 }, 95.0, (4..7).contains(&k))).collect();
    let day = day_weather(&hours, Millis(0), Millis(NOON_DAY_MS));
    assert_eq!((day.frozen_h, day.thaw_h, day.wet_h), (4, 3, Runs::all(3)));
    let known = day_weather(&hours[..20], Millis(0), Millis(NOON_DAY_MS));
    assert_eq!(known.wet_h, Runs { low: 3, read: 3, high: 7 });
}

#[test]
fn blight_weather_needs_two_mild_damp_days_running() {
    // Wetness sheet 2.7: minimum 10 °C and six hours of 90 % and more on both days.
    let of = |second_damp_h: i64| {
        let hours: Vec<WetHour> = (0..48)
            .map(|k| hour(k, 10.4, if k % 24 < if k < 24 { 6 } else { second_damp_h } { 90.0 } else { 89.0 }, false))
            .collect();
        blight_outdoors(&hours, &[(Millis(0), Millis(NOON_DAY_MS)), (Millis(NOON_DAY_MS), Millis(2 * NOON_DAY_MS))])
    };
    assert_eq!(of(7).iter().map(|d| d.period).collect::<Vec<_>>(), [Verdict::Unknown, Verdict::Yes]);
    assert_eq!(of(5)[1], BlightOutdoors { day: Verdict::No, period: Verdict::No });
}
