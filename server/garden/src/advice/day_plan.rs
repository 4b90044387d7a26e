//! The day's plan: the settings that do the least harm over the spread of the day to come, by hands that are there to make them.
//!
//! What the rules of safety say of now stands first. Two things can change it: heat that is to come before somebody can act again, and a move that
//! falls where nobody is there. Then every plan that can be carried out is weighed: to do nothing, one setting now or later, one setting and another.

use propstick_agronomy::cover::constants as c;
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use super::case::Case;
use super::limits as l;
use super::openings::Which;
use super::outlook::loss_w_m2_k;
use super::{Caution, Further, Move, Outlook, OutlookHour, Rule, VentVerdict, Verdict};
use crate::model::{Crops, Notch, Vent};

/// A verdict that fits the day to come and who is there.
pub fn fitted(case: &Case, verdict: Verdict) -> Verdict {
    let verdict = match Ahead::of(case, &verdict) {
        Some(ahead) => ahead.planned(verdict),
        None => verdict,
    };
    within_presence(case, verdict)
}

/// Heat to come if everything stayed shut.
struct Ahead<'a> {
    case: &'a Case<'a>,
    outlook: Outlook,
    peak: OutlookHour,
    passes: Millis,
    soft: Option<Millis>,
    wets: bool,
    closing: Millis,
}

/// One plan: settings in order of time, each until the next, the last until `until`.
#[derive(Clone, Debug)]
struct Plan {
    settings: Vec<(Millis, Which, Notch)>,
    until: Option<Millis>,
}

impl<'a> Ahead<'a> {
    fn of(case: &'a Case<'a>, verdict: &Verdict) -> Option<Ahead<'a>> {
        let closing = case.day.closing();
        let settled = matches!(verdict.rule, Rule::Gale | Rule::Heat) || case.q.now >= closing;
        if settled || case.seen.fog(case.q).0 {
            return None;
        }
        let back = case.q.presence.as_ref().and_then(|there| there.first_from(closing));
        let outlook = Outlook::of(case.q, back.unwrap_or(closing).max(closing));
        let peak = outlook.peak().filter(|peak| peak.t < closing && peak.value > case.limits.hot_c)?;
        let passes = outlook.passes(case.limits.hot_c)?;
        let wets = matches!(verdict.rule, Rule::Wetting);
        let soft = case.is_frozen().then(|| case.day.thaw());
        Some(Ahead { case, outlook, peak, passes, soft, wets, closing })
    }

    /// The verdict with the plan of least harm, where that beats what the rules alone would do.
    fn planned(&self, verdict: Verdict) -> Verdict {
        let mut verdict = verdict;
        verdict.day.peak = Some(self.peak);
        verdict.day.passes = Some(self.passes);
        let own_harm = self.harm_of(&verdict.moves);
        // Where the rule airs what has thawed, the plan does so too.
        let airs = verdict.rule == Rule::Frozen && !verdict.moves.is_empty() && !self.is_absent();
        let best = |many: usize| {
            let plans = self
                .plans()
                .into_iter()
                .filter(|plan| plan.settings.len() <= many && (!airs || self.airs_thawed(plan)));
            plans.map(|plan| (self.harm(&plan), plan)).min_by(|a, b| a.0.total_cmp(&b.0))
        };
        let absent = self.is_absent();
        // Whoever goes out sets it once; whoever stays may set it twice.
        let Some((harm, plan)) = best(if absent { 1 } else { 2 }) else { return verdict };
        if harm >= own_harm {
            return verdict;
        }
        let moves = self.moves(&plan);
        if moves.is_empty() {
            return verdict;
        }
        if absent {
            let further = best(2).filter(|(other, _)| harm - other >= l::WORTH_A_MOVE);
            verdict.day.further = further.map(|(_, other)| Further {
                moves: self.moves(&other),
                spares_hot_h: (self.hot_h(&plan) - self.hot_h(&other)).max(0.0),
            });
        }
        let soft_first = self.soft.is_some_and(|soft| plan.settings.first().is_some_and(|(from, ..)| *from >= soft));
        if !(verdict.rule == Rule::Frozen && soft_first) {
            verdict.verdict = VentVerdict::Cool;
            verdict.rule = Rule::HeatAhead;
            verdict.aim = super::Aim::MoveAir;
            verdict.look_again = None;
            verdict.cautions.retain(|caution| *caution == Caution::LeaveFrozenAlone);
        }
        if verdict.rule == Rule::HeatAhead {
            verdict.figures.limit_c = Some(self.case.limits.hot_c);
            verdict.figures.against_c = Some(self.peak.value);
        }
        verdict.day.on_leaving =
            self.case.leaving().is_some_and(|leave| moves.first().is_some_and(|m| m.from == leave));
        if self.case.q.structure.crops != Crops::Hardy {
            verdict.cautions.push(Caution::NoThroughDraught);
        }
        if self.case.q.structure.crops == Crops::Both {
            verdict.cautions.push(Caution::MoveTrays);
        }
        verdict.moves = moves;
        verdict
    }

    /// Whether nobody is there for some of the time between now and closing.
    fn is_absent(&self) -> bool {
        let now = self.case.q.now;
        self.case
            .q
            .presence
            .as_ref()
            .is_some_and(|there| there.leaves_after(now).is_none_or(|leaves| leaves < self.closing))
    }

    /// Whether a plan begins with a crack at the thaw.
    fn airs_thawed(&self, plan: &Plan) -> bool {
        plan.settings.first().is_some_and(|(from, which, notch)| {
            Some(*from) == self.soft && (*which, *notch) == (Which::Sheltered, Notch::Crack)
        })
    }

    fn is_there(&self, at: Millis) -> bool {
        self.case.q.presence.as_ref().is_none_or(|there| there.holds(at))
    }

    /// All plans that can be carried out.
    fn plans(&self) -> Vec<Plan> {
        let q = self.case.q;
        let earliest = if self.case.day.is_dark() { q.sunrise.unwrap_or(q.now).max(q.now) } else { q.now };
        let half = |at: Millis| q.clock.nearest_half_hour(at);
        let mut times = vec![earliest, half(self.passes.plus(-HOUR)), half(self.passes.plus(-HOUR / 2)), self.passes];
        times.extend(self.soft.iter().flat_map(|soft| [*soft, soft.plus(HOUR)]));
        times.extend(self.case.leaving());
        times.extend(q.presence.as_ref().and_then(|there| there.first_from(earliest)));
        times.extend(q.presence.iter().flat_map(|there| &there.0).map(|(comes, _)| *comes));
        if let Some(leave) = self.case.leaving().filter(|leave| leave.since(q.now) <= 2 * HOUR) {
            // Whoever goes out soon does it on going.
            times.retain(|at| *at >= leave);
        }
        times.retain(|at| *at >= earliest && *at < self.closing && self.is_there(*at));
        times.sort_unstable();
        times.dedup();
        let until = if self.is_there(self.closing) {
            Some(self.closing)
        } else {
            q.presence.as_ref().and_then(|there| there.first_from(self.closing))
        };
        let soft = self.case.q.structure.crops != Crops::Hardy;
        let mild = self.case.outside_c().is_some_and(|t| t >= l::STEPS_C);
        let mut settings = vec![(Which::Sheltered, Notch::Crack), (Which::Sheltered, Notch::Half)];
        if !soft || mild {
            settings.extend([(Which::All, Notch::Half), (Which::All, Notch::Full)]);
        }
        let mut plans = Vec::new();
        for (k, at) in times.iter().enumerate() {
            for (which, notch) in &settings {
                plans.push(Plan { settings: vec![(*at, *which, *notch)], until });
            }
            for later in times.iter().skip(k + 1) {
                for (which, notch) in settings.iter().skip(1) {
                    let both = vec![(*at, Which::Sheltered, Notch::Crack), (*later, *which, *notch)];
                    plans.push(Plan { settings: both, until });
                }
            }
        }
        plans
    }

    fn moves(&self, plan: &Plan) -> Vec<Move> {
        let mut all = Vec::new();
        for (k, (from, which, notch)) in plan.settings.iter().enumerate() {
            let next = plan.settings.get(k + 1).map(|(at, ..)| *at);
            all.extend(self.case.moves(*which, *notch, *from, next.or(plan.until)));
        }
        // What has no such position stands at another one: then two settings may be one and the same.
        all.dedup_by(|b, a| {
            let same = a.vent == b.vent && a.notch == b.notch && a.until == Some(b.from);
            if same {
                a.until = b.until;
            }
            same
        });
        all
    }

    fn harm(&self, plan: &Plan) -> f64 {
        self.harm_of(&self.moves(plan)) + plan.settings.len() as f64 * (l::SETTING_H + l::WORK_SHARE * self.work_h())
    }

    /// How long it takes to work the openings once, h, as far as that was told.
    fn work_h(&self) -> f64 {
        let minutes = self.case.q.structure.vents.iter().filter_map(|vent| vent.minutes);
        minutes.filter(|minutes| minutes.is_finite() && *minutes >= 0.0).sum::<f64>() / 60.0
    }

    /// Harm in hours, weighed over the spread: heat and frost by their degrees, opening over frozen leaves or against wetter air by its width.
    fn harm_of(&self, moves: &[Move]) -> f64 {
        let limits = self.case.limits;
        let soft_leaves = self.case.has_soft();
        let mut harm = 0.0;
        for (outside, shut) in self.hours() {
            let (flow, width) = open_at(moves, shut.t, &self.case.q.structure.vents);
            for ((out_c, shut_c), weight) in outside.runs().into_iter().zip(shut.runs()).zip(l::HARM_OF_RUNS) {
                let inside_c = aired_c(out_c, shut_c, flow);
                let over = (inside_c - limits.hot_c).max(0.0);
                let mut step = over + l::HARM_FAR_OVER * (over - l::FAR_OVER_C).max(0.0);
                if width > 0.0 {
                    step += (limits.chill_c - inside_c).max(0.0)
                        + width * l::HARM_BELOW_OUTSIDE * (limits.outside_c - out_c).max(0.0);
                    step += width * l::HARM_COLD_DRAUGHT * (l::MOVING_AIR_C - out_c).max(0.0);
                    let draught = soft_leaves && out_c < l::COLD_DAY_C;
                    step += width * if draught { l::HARM_SOFT_DRAUGHT } else { l::HARM_OPEN };
                }
                harm += l::OUTLOOK_STEP_H * weight * step;
            }
            if width > 0.0 && self.soft.is_some_and(|soft| shut.t < soft) {
                harm += l::HARM_OVER_FROZEN * width;
            }
            if width > 1.0 && self.soft.is_some_and(|soft| (soft..soft.plus(HOUR)).contains(&shut.t)) {
                // Leaves just thawed are let down gently.
                harm += l::HARM_OVER_THAWED * (width - 1.0);
            }
            if width > 0.0 && self.wets && shut.t < self.passes.plus(-HOUR) {
                harm += l::HARM_WETTING * width;
            }
        }
        harm
    }

    fn hours(&self) -> impl Iterator<Item = (OutlookHour, OutlookHour)> + '_ {
        self.outlook.shut.iter().filter_map(|shut| Some((self.outlook.outside_at(shut.t)?, *shut)))
    }

    fn hot_h(&self, plan: &Plan) -> f64 {
        let moves = self.moves(plan);
        let hot = self.hours().filter(|(outside, shut)| {
            let (flow, _) = open_at(&moves, shut.t, &self.case.q.structure.vents);
            aired_c(outside.value, shut.value, flow) > self.case.limits.hot_c
        });
        l::OUTLOOK_STEP_H * hot.count() as f64
    }
}

/// Where shut air settles once it is aired at that flow.
fn aired_c(outside_c: f64, shut_c: f64, flow_m_s: f64) -> f64 {
    let shut_m_s = c::FLOW_SHUT_M_S.value;
    outside_c + (shut_c - outside_c) * loss_w_m2_k(shut_m_s) / loss_w_m2_k(shut_m_s + flow_m_s)
}

/// The flow through what stands open at `t`, and how wide that is: 1 for a crack of one opening.
fn open_at(moves: &[Move], t: Millis, vents: &[Vent]) -> (f64, f64) {
    let open = moves.iter().filter(|m| m.from <= t && m.until.is_none_or(|until| t < until));
    let flows = open.map(|m| {
        let meshed = vents.iter().any(|vent| vent.mesh && m.vent.as_ref().is_none_or(|slug| *slug == vent.slug));
        door_flow_m_s(m.notch) * if meshed { c::MESH_SHARE.value } else { 1.0 }
    });
    // Several openings share the structure's floor; two doors let through twice what one does.
    let flow: f64 = flows.sum::<f64>() * if vents.len() > 2 { 2.0 / vents.len() as f64 } else { 1.0 };
    (flow, flow / c::FLOW_CRACK_M_S.value)
}

/// Flow through one of two doors, m³ a second and m² of floor.
const fn door_flow_m_s(notch: Notch) -> f64 {
    match notch {
        Notch::Closed => 0.0,
        Notch::Crack => c::FLOW_CRACK_M_S.value,
        Notch::Half => c::FLOW_HALF_M_S.value,
        Notch::Full => c::FLOW_FULL_M_S.value,
    }
}

/// The verdict with every move where somebody is there to make it, and with nobody sent where nobody is.
fn within_presence(case: &Case, verdict: Verdict) -> Verdict {
    let Some(there) = &case.q.presence else { return verdict };
    let now = case.q.now;
    let mut verdict = verdict;
    if !there.holds(now) {
        verdict.day.away = true;
        verdict.day.away_until = there.first_from(now);
        // Into a gale that blows already nobody is sent.
        let harm = verdict.rule == Rule::Heat || (verdict.rule == Rule::Gale && verdict.figures.gale_heard);
        verdict.day.anyone = harm && !case.day.is_dark();
    }
    let wanted = std::mem::take(&mut verdict.moves);
    let all_openings = wanted.clone();
    let mut kept: Vec<Move> = Vec::new();
    for m in wanted {
        kept.extend(fit_move(case, &verdict, m));
    }
    if verdict.rule == Rule::Heat && kept.iter().all(|m| m.from > now) {
        // On coming back it is opened as far as it was wanted in the end: steps are for whoever stands beside it.
        let last = kept.last().map(|m| m.notch);
        kept.retain(|m| Some(m.notch) == last);
        verdict.cautions.retain(|caution| *caution != Caution::InSteps);
    }
    let opened = all_openings.iter().any(|m| m.notch != Notch::Closed);
    let opens = kept.iter().any(|m| m.notch != Notch::Closed);
    if opened && !opens {
        kept.clear();
        if verdict.verdict != VentVerdict::Unknown {
            verdict.verdict = VentVerdict::Shut;
        }
        verdict.expect = super::Expect::default();
    }
    if !opened && verdict.verdict != VentVerdict::Unknown {
        verdict.verdict = VentVerdict::Shut;
    }
    verdict.day.on_leaving |=
        opens && case.leaving().is_some_and(|leave| kept.first().is_some_and(|m| m.from == leave && m.from > now));
    verdict.moves = kept;
    verdict
}

/// A move at its own hour if somebody is there; else on leaving before it, or on coming back while it is still of use; else none.
fn fit_move(case: &Case, verdict: &Verdict, m: Move) -> Option<Move> {
    let there = case.q.presence.as_ref()?;
    let mut m = m;
    if !there.holds(m.from) {
        let dark_after = case.q.sunset;
        let opens = m.notch != Notch::Closed;
        let leave = case
            .leaving()
            .filter(|leave| opens && *leave < m.from && verdict.rule != Rule::Frozen && *leave >= case.day.earliest());
        let back = there.first_from(m.from).filter(|at| m.until.is_none_or(|until| *at < until));
        let in_time = |at: &Millis| match verdict.rule {
            // Nobody goes out in the dark wind; a door is not opened for drying after closing time.
            Rule::Gale => dark_after.is_none_or(|set| *at < set),
            Rule::Heat => true,
            _ if opens => *at < case.day.closing(),
            _ => not_too_dark(case, *at),
        };
        m.from = leave.or(back.filter(in_time))?;
    }
    if let Some(until) = m.until.filter(|until| !there.holds(*until)) {
        // Shut on leaving where the night is cold and there is time to air before; else on coming back, soon after; else it stays.
        let leave = case.last_there_before(until).filter(|at| at.since(m.from) >= HOUR);
        let back = there.first_from(until).filter(|at| at.since(until) <= 4 * HOUR && not_too_dark(case, *at));
        let stands_day = verdict.rule == Rule::HeatAhead || verdict.day.on_leaving;
        let cold = case.frost_by_dew().unwrap_or(true) && !stands_day;
        let first = if cold { leave.or(back) } else { back.or(leave) };
        m.until = first.filter(|at| *at > m.from);
        let waits = !matches!(verdict.rule, Rule::Heat | Rule::HeatAhead);
        if m.until.is_none() && cold && waits && case.night_freezes() {
            // Nobody is there to shut it before a frost: then it is not opened.
            return None;
        }
    }
    Some(m)
}

/// Whether somebody who comes then still shuts an opening: no later than an hour after sunset, as with covers.
fn not_too_dark(case: &Case, at: Millis) -> bool {
    case.q.sunset.is_none_or(|set| at < set.plus(l::AFTER_SUNSET_H * HOUR))
}
