use super::*;
use alloc::vec::Vec;
use proptest::prelude::*;

fn levels(risks: &[f64]) -> Vec<Level> {
    let mut state = LevelState::default();
    risks
        .iter()
        .map(|risk| {
            state.judge(*risk);
            state.level
        })
        .collect()
}

#[test]
fn levels_are_entered_at_once_at_their_edges() {
    // Wetness sheet 3.2.
    assert_eq!(levels(&[0.199]), [Level::Low]);
    assert_eq!(levels(&[0.2, 0.4, 0.6]), [Level::Some, Level::Raised, Level::High]);
    assert_eq!(levels(&[0.7]), [Level::High]);
}

#[test]
fn some_is_left_at_once_raised_and_high_on_the_second_day() {
    assert_eq!(levels(&[0.2, 0.15, 0.149]), [Level::Some, Level::Some, Level::Low]);
    assert_eq!(levels(&[0.4, 0.3, 0.29, 0.31, 0.29, 0.29]), {
        use Level::*;
        [Raised, Raised, Raised, Raised, Raised, Some]
    });
    assert_eq!(levels(&[0.6, 0.49, 0.49]), [Level::High, Level::High, Level::Raised]);
    // Two days far below: as far down as they go.
    assert_eq!(levels(&[0.6, 0.1, 0.1]), [Level::High, Level::High, Level::Low]);
    assert_eq!(levels(&[0.6, 0.1, 0.6, 0.1]), [Level::High; 4]);
}

#[test]
fn a_range_of_three_levels_shows_the_middle_one_and_alerts_no_more_than_some() {
    let held = |level| LevelState { level, ..LevelState::default() };
    let look = |level, low, high| shown(&held(level), Runs { low, read: 0.5, high }, 0, 5);
    assert_eq!(look(Level::High, 0.25, 0.7).level, Some(Level::Raised));
    assert!(!look(Level::High, 0.25, 0.7).may_alert);
    // All four levels: the lower of the middle two.
    assert_eq!(look(Level::High, 0.1, 0.7).level, Some(Level::Some));
    assert!(look(Level::High, 0.1, 0.7).may_alert);
    // Doubt alone raises nothing.
    assert_eq!(look(Level::Low, 0.1, 0.5).level, Some(Level::Low));
    // Two levels are no such doubt.
    assert_eq!(look(Level::High, 0.45, 0.7).level, Some(Level::High));
    assert!(look(Level::High, 0.45, 0.7).may_alert);
}

#[test]
fn uncertainty_is_said_above_35_hundredths() {
    let look = |high| shown(&LevelState::default(), Runs { low: 0.0, read: 0.1, high }, 0, 5).uncertain;
    assert!(!look(0.35) && look(0.351));
}

#[test]
fn a_level_goes_stale_after_a_day_and_unknown_after_three() {
    let look = |missing, scored| shown(&LevelState::default(), Runs::all(0.1), missing, scored);
    assert_eq!([0, 1, 2, 3].map(|d| look(d, 5).freshness), {
        use Freshness::*;
        [Fresh, Stale, Stale, Unknown]
    });
    assert_eq!((look(3, 0).level, look(2, 5).level), (None, Some(Level::Low)));
    assert_eq!(look(0, 0).freshness, Freshness::Unknown);
    // No alert before three scored days, and none on a stale level.
    assert_eq!([2, 3].map(|d| look(0, d).may_alert), [false, true]);
    assert!(!look(1, 9).may_alert);
}

#[test]
fn a_disease_that_was_found_shows_one_level_higher() {
    assert_eq!(Level::ALL.map(Level::one_higher), [Level::Some, Level::Raised, Level::High, Level::High]);
}

proptest! {
    #[test]
    fn prop_more_risk_never_gives_a_lower_level(risks in prop::collection::vec((0.0..1.0_f64, 0.0..0.4_f64), 1..60)) {
        let lower: Vec<f64> = risks.iter().map(|r| r.0).collect();
        let higher: Vec<f64> = risks.iter().map(|r| (r.0 + r.1).min(1.0)).collect();
        for (a, b) in levels(&lower).into_iter().zip(levels(&higher)) {
            prop_assert!(a <= b);
        }
    }

    #[test]
    fn prop_doubt_never_shows_more_than_was_read(low in 0.0..1.0_f64, read in 0.0..1.0_f64, high in 0.0..1.0_f64, level in 0_usize..4) {
        let held = LevelState { level: Level::ALL[level], ..LevelState::default() };
        let look = shown(&held, Runs { low: low.min(read), read, high: high.max(read) }, 0, 9);
        prop_assert!(look.level.unwrap() <= held.level);
    }
}
