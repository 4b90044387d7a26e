//! The water decision. The rules are common practice, no source (advice page, Water), with the delay of climate sheet 4.5.

use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};

use super::limits as l;
use super::standing::dose;
use super::{
    Missing, Plot, ProbeSays, Shelter, WaterAdvice, WaterCaution, WaterDoubt, WaterQuestion, WaterRule, WaterVerdict,
};
use crate::advice::Limits;
use crate::record::{Feel, Sky, Wet};
use propstick_agronomy::water::balance::Given;

/// What to do about water: the first rule that applies decides, from what is safe to what is due.
pub fn decide_water(q: &WaterQuestion) -> WaterAdvice {
    let (verdict, rule) = decided(q);
    let mut advice = bare(q, verdict, rule);
    advice.when = when(q, verdict, rule);
    if matches!(verdict, WaterVerdict::Feel | WaterVerdict::Water | WaterVerdict::Lift) && advice.when.is_none() {
        advice.doubts.push(WaterDoubt::NobodyThere);
    }
    advice.dose = dose_of(q, verdict, rule);
    advice.asks_finger = matches!(verdict, WaterVerdict::Feel | WaterVerdict::Water | WaterVerdict::Wait)
        && rule != WaterRule::FeltMoist
        || (rule == WaterRule::Damp && q.finger_is_due());
    advice.edges = q.plot == Plot::Bed && advice.asks_finger && q.is_winter() && q.bed.shelter == Shelter::Film;
    if verdict == WaterVerdict::Lift {
        advice.again = q.second_lift();
    }
    advice.look_again = look_again(q, &advice);
    note_missing(q, &mut advice);
    note_cautions(q, &mut advice);
    advice
}

fn decided(q: &WaterQuestion) -> (WaterVerdict, WaterRule) {
    use WaterRule as R;
    use WaterVerdict as V;
    if q.gust_m_s.is_some_and(|gust| gust > l::GALE_M_S) {
        return (V::Leave, R::Gale);
    }
    if q.leaves_frozen() {
        return (V::Leave, R::Frozen);
    }
    if q.plot == Plot::Trays {
        return (V::Lift, R::Trays);
    }
    if q.wilted {
        return if q.is_wet() { (V::Leave, R::WiltedInWet) } else { (V::Feel, R::Wilted) };
    }
    if q.is_shut && q.inside.is_some_and(|air| air.t_c > Limits::of(q.crops).hot_c) && !q.is_wet_by_finger() {
        return (V::Feel, R::HotShut);
    }
    if q.lowest_heard_c.is_some_and(|low| low <= l::HARD_FROST_C) && matches!(q.month(), 10..=12 | 1..=4) {
        return (V::Leave, R::HardFrost);
    }
    if q.bed.shelter.lets_rain_in() && q.wet == Some(Wet::Rain) {
        return (V::Leave, R::Raining);
    }
    if q.felt_dry() {
        return (V::Water, R::FeltDry);
    }
    if q.is_wet_by_finger() {
        return (V::Wait, R::FeltMoist);
    }
    let by_sum = by_sum(q);
    // A probe is a check: it may send a finger in, it orders nothing and excuses nothing.
    match (by_sum.0, q.probe_says()) {
        (V::Water, Some(ProbeSays::WetEnough)) | (V::Wait, Some(ProbeSays::Dry)) => (V::Feel, by_sum.1),
        _ => by_sum,
    }
}

fn by_sum(q: &WaterQuestion) -> (WaterVerdict, WaterRule) {
    use WaterRule as R;
    use WaterVerdict as V;
    let days = q.standing.and_then(|standing| standing.days_in_hand());
    if q.is_winter() {
        return match (q.finger_is_due(), q.is_damp()) {
            (false, _) => (V::Wait, R::Winter),
            (true, true) => (V::Leave, R::Damp),
            (true, false) => (V::Feel, if q.standing.is_none() { R::NoSoil } else { R::Winter }),
        };
    }
    let Some(standing) = q.standing else { return (V::Feel, R::NoSoil) };
    let Some((least, _)) = days else { return (V::Feel, R::SumUnknown) };
    let frost_heard = q.lowest_heard_c.is_some_and(|low| low <= l::FROST_HEARD_C) && matches!(q.month(), 3..=5 | 10);
    if least >= 1.0 {
        (V::Wait, R::Sum)
    } else if frost_heard || q.month() == 4 {
        (V::Feel, R::DrySoilOnly)
    } else if standing.is_short() {
        (V::Water, R::Sum)
    } else {
        (V::Feel, R::Sum)
    }
}

fn bare(q: &WaterQuestion, verdict: WaterVerdict, rule: WaterRule) -> WaterAdvice {
    let standing = q.standing.filter(|_| q.plot == Plot::Bed);
    let days = standing.and_then(|standing| standing.days_in_hand()).map(|(least, most)| {
        let whole = |days: f64| (days.max(0.0) as u32).min(l::DAYS_MOST);
        (whole(least.floor()), whole(most.ceil()))
    });
    WaterAdvice {
        verdict,
        rule,
        days,
        dose: None,
        when: None,
        asks_finger: false,
        edges: false,
        again: None,
        look_again: q.now,
        missing: Vec::new(),
        probe: q.probe_says(),
        doubts: Vec::new(),
        cautions: Vec::new(),
        missing_mm: standing.map(|standing| standing.missing_mm),
        readily_mm: standing.map(|standing| standing.holds.readily_mm()),
        use_mm_d: standing.map(|standing| standing.use_mm_d),
        finger: q.last_finger(),
    }
}

/// What to give where a finger finds it dry: then at least what the crop can take is missing. In winter, and where a finger found it so, the least
/// that can be missing, so that nothing is overfilled.
fn dose_of(q: &WaterQuestion, verdict: WaterVerdict, rule: WaterRule) -> Option<super::Dose> {
    let standing = q.standing.filter(|_| q.plot == Plot::Bed)?;
    if matches!(verdict, WaterVerdict::Leave | WaterVerdict::Lift) || rule == WaterRule::FeltMoist {
        return None;
    }
    let missing = standing.missing_mm;
    let readily_mm = standing.holds.readily_mm();
    // A sum that hardly knows anything orders no more than what a bed felt dry has surely lost.
    let unsure = missing.spread() > l::UNKNOWN_SPREAD * readily_mm;
    let mm = match (q.is_winter(), unsure) {
        (true, _) => missing.low.max(readily_mm),
        (false, true) => missing.low.max(l::FIRST_SHARE * readily_mm),
        (false, false) => missing.likely.max(readily_mm),
    };
    let first = mm < readily_mm - 1e-9;
    dose(&q.bed, mm, q.is_winter()).map(|dose| super::Dose { first, ..dose })
}

/// The time to act: a morning, by noon with an hour's grace, within the times somebody is there; a hot shut cover, and from April to September what
/// wilts, at once until eight in the evening. From May to September, where nobody is there of a morning, between five and seven.
fn when(q: &WaterQuestion, verdict: WaterVerdict, rule: WaterRule) -> Option<(Millis, Millis)> {
    if matches!(verdict, WaterVerdict::Wait | WaterVerdict::Leave) {
        return None;
    }
    let (midnight, sunrise) = (q.midnight(), q.sunrise());
    let dusk = midnight.plus(l::AT_ONCE_UNTIL_MIN * MINUTE);
    let at_once = rule == WaterRule::HotShut || (rule == WaterRule::Wilted && matches!(q.month(), 4..=9));
    if at_once && sunrise <= q.now && q.now < dusk {
        return q.first_there(&[(q.now, dusk)]);
    }
    let morning = |days: i64| {
        let from = q.morning(days).max(q.now);
        let midnight = midnight.plus(24 * days * HOUR);
        let noon = midnight.plus(l::NOON_MIN * MINUTE);
        let latest = if matches!(q.month(), 5..=9) { noon } else { midnight.plus(l::LATEST_MIN * MINUTE) };
        // Begun before noon it is done by noon; in the hour of grace by its end.
        (from < latest).then(|| (from, if from < noon { noon } else { latest }))
    };
    let waits = rule == WaterRule::FeltDry && q.is_winter() && q.is_dull();
    let mornings: Vec<_> = (if waits { 1 } else { 0 }..=1).filter_map(morning).collect();
    let late: Vec<_> = (0..=1)
        .filter(|_| matches!(q.month(), 5..=9))
        .map(|days: i64| {
            let at = |hour: i64| midnight.plus((24 * days + hour) * HOUR);
            (at(l::EVENING_H.0).max(q.now), at(l::EVENING_H.1))
        })
        .filter(|(from, until)| from < until)
        .collect();
    q.first_there(&mornings).or_else(|| q.first_there(&late))
}

/// When to look again: at the end of the time to act; after days in hand on a morning, in winter when the next finger is due; two hours on where
/// leaves are frozen; else the next morning.
fn look_again(q: &WaterQuestion, advice: &WaterAdvice) -> Millis {
    let next_morning = if q.morning(0) > q.now { q.morning(0) } else { q.morning(1) };
    match (advice.verdict, advice.when) {
        (WaterVerdict::Lift, _) => advice.again.unwrap_or(next_morning),
        (_, Some((_, until))) => until,
        (WaterVerdict::Wait, None) => {
            let in_hand = i64::from(advice.days.map_or(0, |(least, _)| least));
            let to_finger = q.is_winter().then(|| l::FINGER_WINTER_D - q.last_told_d().unwrap_or(l::FINGER_WINTER_D));
            q.morning(to_finger.unwrap_or(in_hand).clamp(1, l::FINGER_WINTER_D))
        }
        _ if advice.rule == WaterRule::Frozen => q.clock.nearest_half_hour(q.now.plus(2 * HOUR)),
        _ => next_morning,
    }
}

fn note_missing(q: &WaterQuestion, advice: &mut WaterAdvice) {
    if q.plot == Plot::Trays {
        return;
    }
    let drip = q.bed.given == Some(Given::Drip);
    let lacks = [
        (q.bed.soil.is_none(), Missing::Soil),
        (q.bed.area_m2.is_none(), Missing::Area),
        (drip && q.bed.drip_l_min.is_none(), Missing::DripFlow),
    ];
    advice.missing.extend(lacks.into_iter().filter(|(lacks, _)| *lacks).map(|(_, what)| what));
    if let Some(standing) = q.standing {
        if standing.unknown_d > 0 {
            advice.doubts.push(WaterDoubt::UnknownDays(standing.unknown_d));
        }
        if standing.finger.is_none() && standing.watered.is_none() {
            advice.doubts.push(WaterDoubt::NeverTold);
        }
    }
    let told_in_cans = advice.dose.is_some_and(|dose| dose.cans.is_some() || dose.m2_a_can.is_some());
    if told_in_cans && q.bed.can_l.is_none() {
        advice.doubts.push(WaterDoubt::CanAssumed);
    }
    let against = matches!(
        (advice.verdict, advice.probe),
        (WaterVerdict::Wait, Some(ProbeSays::Dry)) | (WaterVerdict::Water, Some(ProbeSays::WetEnough))
    );
    let sent = advice.verdict == WaterVerdict::Feel && advice.probe.is_some_and(|says| says != ProbeSays::CannotTell);
    if against || sent {
        advice.doubts.push(WaterDoubt::ProbeDisagrees);
    }
}

fn note_cautions(q: &WaterQuestion, advice: &mut WaterAdvice) {
    let frost_heard = q.lowest_heard_c.is_some_and(|low| low <= l::FROST_HEARD_C);
    let acts = matches!(advice.verdict, WaterVerdict::Water | WaterVerdict::Feel);
    let cautions = [
        (advice.rule == WaterRule::Gale, WaterCaution::StayIn),
        (advice.rule == WaterRule::Frozen, WaterCaution::LeaveFrozenAlone),
        (
            matches!(advice.rule, WaterRule::HotShut | WaterRule::WiltedInWet | WaterRule::Wilted),
            WaterCaution::WiltedInWet,
        ),
        (acts && q.is_winter(), WaterCaution::BrightMorning),
        (frost_heard && q.is_cold_half(), WaterCaution::NotAgainstFrost),
        (advice.verdict == WaterVerdict::Lift && q.is_cold_half(), WaterCaution::StoodWater),
    ];
    advice.cautions.extend(cautions.into_iter().filter(|(holds, _)| *holds).map(|(_, caution)| caution));
}

impl WaterQuestion {
    fn month(&self) -> u32 {
        self.clock.month(self.now)
    }

    /// November to February.
    fn is_winter(&self) -> bool {
        matches!(self.month(), 11 | 12 | 1 | 2)
    }

    /// October to April: nights that can freeze.
    fn is_cold_half(&self) -> bool {
        matches!(self.month(), 10..=12 | 1..=4)
    }

    fn is_dull(&self) -> bool {
        self.sky == Some(Sky::Overcast) || self.wet.is_some_and(|wet| wet != Wet::Dry)
    }

    fn leaves_frozen(&self) -> bool {
        let was = self.frost_memory.is_some_and(|m| m.lowest_c <= 0.0 && !m.thawed);
        let warm_since = self.inside.is_some_and(|air| air.t_c > crate::advice::limits::THAWED_C);
        (was && !warm_since) || self.inside.is_some_and(|air| air.t_c <= 0.0)
    }

    fn felt_dry(&self) -> bool {
        match self.standing {
            Some(standing) => standing.felt_dry(),
            // Without a sum a dry finger holds for as long as one would remember it.
            None => self.finger.is_some_and(|f| f.feel == Feel::Dry && self.age_d(f.at_ms) < 3),
        }
    }

    fn is_wet_by_finger(&self) -> bool {
        match self.standing {
            Some(standing) => standing.felt_moist(self.now),
            None => self.finger.is_some_and(|f| f.feel != Feel::Dry && self.age_d(f.at_ms) < 3),
        }
    }

    /// Whether the soil is known to be wet enough: by finger, by sum or by probe.
    fn is_wet(&self) -> bool {
        let by_sum = self.standing.and_then(|standing| standing.days_in_hand()).is_some_and(|(least, _)| least >= 1.0);
        let dry = self.felt_dry();
        !dry && (self.is_wet_by_finger() || by_sum || self.probe_says() == Some(ProbeSays::WetEnough))
    }

    fn probe_says(&self) -> Option<ProbeSays> {
        self.probe.and_then(|probe| probe.says(&self.bed))
    }

    /// Whether the last finger test and the last watering both lie a fortnight back.
    fn finger_is_due(&self) -> bool {
        self.last_told_d().is_none_or(|days| days >= l::FINGER_WINTER_D)
    }

    /// Whole days since the last finger test or watering.
    fn last_told_d(&self) -> Option<i64> {
        let finger = self.last_finger().map(|finger| finger.at_ms);
        let watered = self.standing.and_then(|standing| standing.watered).map(|at| at.0);
        finger.max(watered).map(|at_ms| self.age_d(at_ms))
    }

    fn midnight(&self) -> Millis {
        self.clock.midnight(self.now)
    }

    fn sunrise(&self) -> Millis {
        self.sunrise.unwrap_or(self.midnight().plus(8 * HOUR))
    }

    /// When watering begins on the morning `days` ahead.
    fn morning(&self, days: i64) -> Millis {
        self.clock.nearest_half_hour(self.sunrise().plus((24 * days + l::AFTER_SUNRISE_H) * HOUR))
    }

    /// Whether a late top-up would only feed mould: above 90 % inside and nothing that dries to follow.
    fn is_damp(&self) -> bool {
        let damp = self.inside.and_then(|air| air.rh_pct).is_some_and(|rh| rh > l::DAMP_PCT);
        damp && self.drying_follows != Some(true)
    }

    fn age_d(&self, at_ms: i64) -> i64 {
        self.now.0.saturating_sub(at_ms).div_euclid(24 * HOUR)
    }

    /// A second lift on a bright day; from October to March only where it still comes before the grace ends.
    fn second_lift(&self) -> Option<Millis> {
        let bright = matches!(self.sky, Some(Sky::Clear | Sky::Broken)) && !self.is_dull();
        let again = self.clock.nearest_half_hour(self.now.plus(l::TRAYS_AGAIN_H * HOUR));
        let minute = self.clock.minute_of_day(again);
        let latest = if matches!(self.month(), 4..=9) { 18 * 60 } else { l::LATEST_MIN };
        let same_day = self.clock.day_number(again) == self.clock.day_number(self.now);
        let there = self.first_there(&[(again, again.plus(HOUR))]).is_some();
        (bright && same_day && minute <= latest && there).then_some(again)
    }

    /// The first of `spans` that somebody is there in, cut to that time.
    fn first_there(&self, spans: &[(Millis, Millis)]) -> Option<(Millis, Millis)> {
        let Some(there) = &self.there else { return spans.first().copied() };
        spans.iter().find_map(|(from, until)| {
            there.iter().map(|(a, b)| (*from.max(a), *until.min(b))).find(|(from, until)| from < until)
        })
    }
}
