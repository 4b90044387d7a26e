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

/// Seven noon-days from an instant 0 that is noon: 20454.5 days after 1970 is 2026-01-01T12:00Z.
fn week(of: impl Fn(i64) -> WetHour) -> Vec<WetHour> {
    (0..7 * 24 + 4).map(of).map(|h| WetHour { from_ms: h.from_ms + BEGIN.0, ..h }).collect()
}
const BEGIN: Millis = Millis(1_767_268_800_000);

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
