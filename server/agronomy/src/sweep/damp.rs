//! Wetness, disease, risk: folds are pushed wild values in a row, and all that they say is looked at.

use super::{Answers, Refuses, Row, Wild};
use crate::coverage::HOUR_MS;
use crate::disease::blight::{BlightDay, BlightRule, spell_severity_wallin_1962};
use crate::disease::cucurbit::least_wet_hours_cohen_1977;
use crate::disease::dry_mildew::{DryMildewDay, dry_mildew_score};
use crate::disease::grey_mould::{GreyMouldDay, GreyMouldFold};
use crate::disease::infection::{InfectionEvents, temperature_response_magarey_2005};
use crate::disease::latent::{latent_window, onion_latent_rate};
use crate::disease::lettuce::lettuce_morning_wu_2002;
use crate::disease::onion::{OnionInfection, onion_spore_night};
use crate::disease::rows::Disease;
use crate::disease::stem_rot::{StemRotDay, StemRotFold, damping_off_day};
use crate::risk::fold::{RiskDay, RiskFold, severity};
use crate::risk::groups::CropGroup;
use crate::risk::level::{Level, LevelState, shown};
use crate::risk::standing::standing;
use crate::runs::Runs;
use crate::wetness::drip::{Film, condenses, single_film_c};
use crate::wetness::gauge::{GaugeMedian, GaugeReading, GaugeScale, Rises, learn_scale};
use crate::wetness::hours::{WetFold, WetHour};
use crate::wetness::samples::{AirSample, wet_hours};
use crate::wetness::spell::{DampDays, SpellFold, SpellHour};
use crate::wetness::state::{Air, WetRules, WetState};
use crate::wetness::trust::{Watched, is_contradicted, is_stuck_wet};
use alloc::format;
use alloc::vec::Vec;

const RULES: WetRules = WetRules::UNDER_COVER;

fn runs(w: &mut Wild) -> Runs<f64> {
    Runs { low: w.n(), read: w.n(), high: w.n() }
}

fn row(w: &mut Wild) -> &'static crate::disease::rows::InfectionRow {
    w.one_of(&Disease::ALL).row()
}

/// Hours as they would be if the air in them could be anything.
fn hours(w: &mut Wild, from_ms: i64, n: i64) -> Vec<WetHour> {
    (0..n)
        .map(|k| {
            let covered_ms = w.one_of(&[0, 1_000_000, HOUR_MS]);
            let wet_ms = Runs { low: 0, read: covered_ms / 2, high: covered_ms };
            let rh_pct = if w.flag() { Some(runs(w)) } else { None };
            WetHour { covered_ms, wet_ms, t_c: w.option(), rh_pct, ..WetHour::unknown(from_ms + k * HOUR_MS) }
        })
        .collect()
}

fn readings(w: &mut Wild) -> Vec<GaugeReading> {
    let wild = w.flag();
    (0..200)
        .map(|k| {
            let wet = k % 2 == 0;
            let raw = if wild { w.n() } else { w.between(0.0, 3.0) + if wet { 400.0 } else { 100.0 } };
            GaugeReading { t_c: 9.0, rh_pct: if wet { 99.0 } else { 60.0 }, raw }
        })
        .collect()
}

fn air(w: &mut Wild, k: i64) -> Option<Air> {
    Air::measured(k * 600_000, (k + 1) * 600_000, w.n(), w.n(), 3.0)
}

fn risk_days(w: &mut Wild) -> Vec<RiskDay> {
    let (mut fold, mut days) = (RiskFold::starting(0), Vec::new());
    hours(w, 0, 50).iter().for_each(|hour| fold.push(hour, |day| days.push(*day)));
    days.push(fold.so_far());
    days
}

pub(super) const ROWS: &[Row] = &[
    Row("disease/blight.rs: hour", Answers, |w| {
        let mut day = BlightDay::default();
        (0..24).for_each(|_| day.hour(w.option(), w.option()));
        format!("{day:?}")
    }),
    Row("disease/blight.rs: meets", Answers, |w| {
        let mut day = BlightDay::default();
        (0..24).for_each(|_| day.hour(w.option(), w.option()));
        format!("{:?}", day.meets(BlightRule::Hutton2017, w.one_of(&[0, 23, 24, 25, u32::MAX / 2])))
    }),
    Row("disease/blight.rs: spell_severity_wallin_1962", Answers, |w| {
        format!("{:?}", spell_severity_wallin_1962(w.n(), w.n()))
    }),
    Row("disease/cucurbit.rs: least_wet_hours_cohen_1977", Refuses, |w| {
        format!("{:?}", least_wet_hours_cohen_1977(w.n()))
    }),
    Row("disease/dry_mildew.rs: dry_mildew_score", Refuses, |w| {
        let day = DryMildewDay {
            light_mean_c: w.n(),
            mean_rh_pct: w.n(),
            hot_h: w.n(),
            wet_h: w.n(),
            month: w.below(14) as u8,
        };
        format!("{:?}", dry_mildew_score(&day))
    }),
    Row("disease/grey_mould.rs: band_h", Answers, |w| format!("{:?}", GreyMouldDay::band_h(&hours(w, 0, 24), 0))),
    Row("disease/grey_mould.rs: push", Answers, |w| {
        let mut fold = GreyMouldFold::default();
        let weeks: Vec<_> = (0..8)
            .map(|_| {
                let day = w.flag().then(|| GreyMouldDay { wet_h: runs(w), band_h: runs(w), unknown_h: w.n() });
                fold.push(day)
            })
            .collect();
        format!("{weeks:?}")
    }),
    Row("disease/infection.rs: temperature_response_magarey_2005", Refuses, |w| {
        format!("{:?}", temperature_response_magarey_2005(w.n(), w.n(), w.n(), w.n()))
    }),
    Row("disease/infection.rs: response", Refuses, |w| format!("{:?}", row(w).response(w.n()))),
    Row("disease/infection.rs: wet_hours_needed", Refuses, |w| format!("{:?}", row(w).wet_hours_needed(w.n()))),
    Row("disease/infection.rs: hourly_progress", Answers, |w| format!("{:?}", row(w).hourly_progress(w.n()))),
    Row("disease/infection.rs: wet", Answers, |w| {
        let mut events = InfectionEvents::default();
        (0..4).for_each(|_| events.wet(w.n()));
        format!("{events:?}")
    }),
    Row("disease/infection.rs: greatest", Answers, |w| {
        let mut events = InfectionEvents::default();
        events.wet(w.n());
        (0..5).for_each(|_| events.dry());
        events.wet(w.n());
        format!("{:?}", events.greatest())
    }),
    Row("disease/infection.rs: sum_of_squares", Answers, |w| {
        let mut events = InfectionEvents::default();
        (0..2).for_each(|_| events.wet(w.n()));
        format!("{:?}", events.sum_of_squares())
    }),
    Row("disease/latent.rs: latent_window", Answers, |w| {
        let (disease, days) = (w.one_of(&Disease::ALL), [w.option(), w.option(), w.option()]);
        format!("{:?}", latent_window(disease, 20_000, days, w.n()))
    }),
    Row("disease/latent.rs: onion_latent_rate", Answers, |w| format!("{:?}", onion_latent_rate(w.n()))),
    Row("disease/lettuce.rs: lettuce_morning_wu_2002", Answers, |w| {
        format!("{:?}", lettuce_morning_wu_2002(&hours(w, 0, 12), (w.below(12 * HOUR_MS as usize)) as i64))
    }),
    Row("disease/onion.rs: onion_spore_night", Answers, |w| {
        let hours = hours(w, 0, 9);
        format!("{:?}", onion_spore_night(&hours, 0, w.one_of(&[-HOUR_MS, 0, 6 * HOUR_MS, 20 * HOUR_MS]), w.option()))
    }),
    Row("disease/onion.rs: night", Answers, |w| {
        let mut onions = OnionInfection::default();
        onions.night(onion_spore_night(&hours(w, 0, 9), 0, 6 * HOUR_MS, w.option()));
        format!("{onions:?}")
    }),
    Row("disease/onion.rs: hour", Answers, |w| {
        let mut onions = OnionInfection { left_h: Runs::all(5), wet_h: Runs::all(0) };
        let said: Vec<_> = hours(w, 0, 9).iter().map(|hour| onions.hour(hour)).collect();
        format!("{said:?} {onions:?}")
    }),
    Row("disease/rows.rs: entries", Answers, |_| format!("{:?}", crate::sourced::tables().len())),
    Row("disease/stem_rot.rs: push", Answers, |w| {
        let mut fold = StemRotFold::default();
        let said: Vec<_> = (0..6)
            .map(|_| {
                let day = w.flag().then(|| StemRotDay { mean_c: w.n(), damp_h: w.n(), soil_moist: true });
                fold.push(day)
            })
            .collect();
        format!("{said:?}")
    }),
    Row("disease/stem_rot.rs: damping_off_day", Answers, |w| format!("{:?}", damping_off_day(w.n(), w.n(), w.n()))),
    Row("risk/fold.rs: opens_window", Answers, |w| {
        format!(
            "{:?}",
            risk_days(w).iter().map(|day| day.disease(Disease::WhiteBlister).opens_window()).collect::<Vec<_>>()
        )
    }),
    Row("risk/fold.rs: group", Answers, |w| {
        format!("{:?}", risk_days(w).iter().map(|day| CropGroup::ALL.map(|group| day.group(group))).collect::<Vec<_>>())
    }),
    Row("risk/fold.rs: starting", Answers, |w| format!("{:?}", RiskFold::starting(w.t_ms()))),
    Row("risk/fold.rs: push", Answers, |w| format!("{:?}", risk_days(w))),
    Row("risk/fold.rs: so_far", Answers, |w| {
        let mut fold = RiskFold::starting(0);
        hours(w, 0, 20).iter().for_each(|hour| fold.push(hour, |_| {}));
        format!("{:?} {fold:?}", fold.so_far())
    }),
    Row("risk/fold.rs: severity", Answers, |w| format!("{:?}", severity(w.n()))),
    Row("risk/level.rs: entered", Answers, |w| format!("{:?}", Level::entered(w.n()))),
    Row("risk/level.rs: judge", Answers, |w| {
        let mut state = LevelState::default();
        (0..6).for_each(|_| state.judge(w.n()));
        format!("{state:?}")
    }),
    Row("risk/level.rs: shown", Answers, |w| {
        let (missing, scored) = (w.below(5) as u32, w.below(9) as u32);
        format!("{:?}", shown(&LevelState::default(), runs(w), missing, scored))
    }),
    Row("risk/standing.rs: standing", Answers, |w| {
        let past: Vec<Runs<f64>> = (0..9).map(|_| runs(w)).collect();
        format!("{:?}", standing(runs(w), past))
    }),
    Row("wetness/drip.rs: single_film_c", Refuses, |w| format!("{:?}", single_film_c(w.n(), w.n()))),
    Row("wetness/drip.rs: condenses", Refuses, |w| format!("{:?}", condenses(w.n(), w.n(), w.n()))),
    Row("wetness/drip.rs: step", Answers, |w| {
        let mut film = Film::default();
        let said: Vec<_> = (0..4).map(|_| film.step(w.n() * 60.0, w.n(), w.n(), w.n(), w.flag())).collect();
        format!("{said:?} {film:?}")
    }),
    Row("wetness/gauge.rs: wetness", Answers, |w| {
        format!("{:?}", GaugeScale { dry: w.n(), wet: w.n() }.wetness(w.n()))
    }),
    Row("wetness/gauge.rs: drift_since", Answers, |w| {
        let (now, then) = (GaugeScale { dry: w.n(), wet: w.n() }, GaugeScale { dry: w.n(), wet: w.n() });
        format!("{:?}", now.drift_since(&then))
    }),
    Row("wetness/gauge.rs: dirty_since", Answers, |w| {
        let (now, then) = (GaugeScale { dry: w.n(), wet: w.n() }, GaugeScale { dry: w.n(), wet: w.n() });
        format!("{:?}", now.dirty_since(&then))
    }),
    Row("wetness/gauge.rs: learn_scale", Answers, |w| {
        // Slow: two hundred readings a call.
        if w.below(8) > 0 {
            return format!("{:?}", learn_scale(&[], Rises::WhenWet, w.option()));
        }
        let readings = readings(w);
        format!("{:?}", learn_scale(&readings, w.one_of(&[Rises::WhenWet, Rises::WhenDry]), w.option()))
    }),
    Row("wetness/gauge.rs: push", Answers, |w| {
        let mut median = GaugeMedian::default();
        let said: Vec<_> = (0..20).map(|k| median.push(k * 60_000, w.n())).collect();
        format!("{said:?} {median:?}")
    }),
    Row("wetness/trust.rs: is_stuck_wet", Answers, |w| {
        let day: Vec<_> = (0..48).map(|k| watched(w, k * 1_800_000)).collect();
        format!("{:?}", is_stuck_wet(&GaugeScale { dry: w.n(), wet: w.n() }, day))
    }),
    Row("wetness/trust.rs: is_contradicted", Answers, |w| {
        let hours: Vec<_> = (0..18).map(|k| watched(w, k * 600_000)).collect();
        format!("{:?}", is_contradicted(&GaugeScale { dry: w.n(), wet: w.n() }, hours))
    }),
    Row("wetness/hours.rs: unknown", Answers, |w| format!("{:?}", WetHour::unknown(w.t_ms()))),
    Row("wetness/hours.rs: known", Answers, |w| {
        format!("{:?}", hours(w, 0, 3).iter().map(WetHour::known).collect::<Vec<_>>())
    }),
    Row("wetness/hours.rs: leaf", Answers, |w| {
        format!("{:?}", hours(w, 0, 3).iter().map(WetHour::leaf).collect::<Vec<_>>())
    }),
    Row("wetness/hours.rs: with_hours_from", Answers, |w| format!("{:?}", WetFold::with_hours_from(w.t_ms()))),
    Row("wetness/hours.rs: push", Answers, |w| {
        let (mut fold, mut hours) = (WetFold::default(), Vec::new());
        (0..20).filter_map(|k| air(w, k)).for_each(|air| fold.push(&RULES, &air, |hour| hours.push(*hour)));
        format!("{hours:?} {fold:?}")
    }),
    Row("wetness/hours.rs: wetted", Answers, |w| {
        let mut fold = WetFold::default();
        if let Some(air) = air(w, 0) {
            fold.push(&RULES, &air, |_| {});
        }
        fold.wetted(&RULES, w.t_ms());
        format!("{fold:?}")
    }),
    Row("wetness/hours.rs: so_far", Answers, |w| {
        let mut fold = WetFold::default();
        (0..3).filter_map(|k| air(w, k)).for_each(|air| fold.push(&RULES, &air, |_| {}));
        format!("{:?}", fold.so_far())
    }),
    Row("wetness/hours.rs: close_hour", Answers, |w| {
        let (mut fold, mut hours) = (WetFold::default(), Vec::new());
        (0..3).filter_map(|k| air(w, k)).for_each(|air| fold.push(&RULES, &air, |_| {}));
        fold.close_hour(|hour| hours.push(*hour));
        format!("{hours:?} {fold:?}")
    }),
    Row("wetness/samples.rs: wet_hours", Answers, |w| {
        let samples: Vec<AirSample> = (0..20)
            .map(|k| AirSample {
                t_ms: k * 600_000,
                t_c: w.n(),
                rh_pct: w.option(),
                error_pct: w.n(),
                leaf: w.option(),
            })
            .collect();
        let mut hours = Vec::new();
        wet_hours(
            &mut WetFold::default(),
            &RULES,
            &samples,
            &[5],
            0..4 * HOUR_MS,
            |_| 600_000,
            |hour| hours.push(*hour),
        );
        format!("{hours:?}")
    }),
    Row("wetness/spell.rs: mean_c", Answers, |w| {
        let mut fold = SpellFold::default();
        let hour = |k: i64, rh, t_c| SpellHour { from_ms: k * HOUR_MS, rh_pct: rh, t_c, doubtful: false };
        let ended: Vec<_> = (0..9).filter_map(|k| fold.push(&hour(k, w.option(), w.option()))).collect();
        format!("{:?}", ended.iter().map(|spell| (spell.mean_c(), *spell)).collect::<Vec<_>>())
    }),
    Row("wetness/spell.rs: until_ms", Answers, |w| {
        let mut fold = SpellFold::default();
        fold.push(&SpellHour { from_ms: 0, rh_pct: w.option(), t_c: w.option(), doubtful: true });
        format!("{:?}", fold.finish().map(|spell| spell.until_ms()))
    }),
    Row("wetness/spell.rs: push", Answers, |w| {
        let mut days = DampDays::default();
        (0..5).for_each(|_| {
            let wet_h = w.flag().then(|| runs(w));
            days.push(wet_h);
        });
        format!("{days:?}")
    }),
    Row("wetness/spell.rs: finish", Answers, |w| {
        let mut fold = SpellFold::default();
        (0..5).for_each(|k| {
            fold.push(&SpellHour { from_ms: k * HOUR_MS, rh_pct: w.option(), t_c: w.option(), doubtful: w.flag() });
        });
        format!("{fold:?} {:?}", fold.finish())
    }),
    Row("wetness/state.rs: measured", Refuses, |w| {
        format!("{:?}", Air::measured(0, w.one_of(&[-1, 0, 1, HOUR_MS]), w.n(), w.n(), w.n()))
    }),
    Row("wetness/state.rs: beside_gauge", Refuses, |w| format!("{:?}", Air::beside_gauge(0, 600_000, w.n(), w.n()))),
    Row("wetness/state.rs: with_leaf", Refuses, |w| {
        format!("{:?}", Air::measured(0, 600_000, 8.0, 90.0, 3.0).and_then(|air| air.with_leaf(w.n())))
    }),
    Row("wetness/state.rs: of_cadence", Answers, |w| format!("{:?}", air(w, 0).map(|air| air.of_cadence(600_000)))),
    Row("wetness/state.rs: moved", Refuses, |w| format!("{:?}", RULES.moved(w.n()))),
    Row("wetness/state.rs: step", Answers, |w| {
        let mut state = WetState::default();
        let said: Vec<_> = (0..20).filter_map(|k| air(w, k)).map(|air| state.step(&RULES, &air)).collect();
        format!("{said:?} {state:?}")
    }),
    Row("wetness/state.rs: wetted", Answers, |w| {
        let mut state = WetState::default();
        if let Some(air) = air(w, 0) {
            state.step(&RULES, &air);
        }
        state.wetted(&RULES);
        format!("{state:?}")
    }),
    Row("wetness/state.rs: after_gap", Answers, |w| {
        let mut state = WetState::default();
        if let Some(air) = air(w, 0) {
            state.step(&RULES, &air);
        }
        state.after_gap(&RULES, w.one_of(&[0, 1, HOUR_MS, 400 * 24 * HOUR_MS]));
        format!("{state:?}")
    }),
];

fn watched(w: &mut Wild, t_ms: i64) -> Watched {
    Watched { t_ms, t_c: w.n(), rh_pct: w.option(), raw: w.n() }
}
