//! Rows of the choice for what is wrong apart from dents: each way to mend it, with what it needs open; or it stays.

use super::{Ask, Item, Model, STAYS, Subject, Take, flame_penalty};
use crate::case::Case;
use crate::choose::MethodCost;
use crate::heats::Moved;
use crate::level::Matters;
use crate::mend::{self, Way};
use crate::overrule::Decision;
use crate::price;
use instrument::{Condition, Dent, RunId};
use reach::Opened;

impl<'a> Model<'a> {
    /// What the mending asked for needs open.
    pub(super) fn mends_open(case: &Case, ask: &Ask) -> Vec<Opened> {
        let wanted = mend::conditions(case).filter(|c| (ask.conditions)(c));
        wanted.flat_map(|c| mend::ways(case, c)).filter(|w| w.mend.kind().is_some()).flat_map(|w| w.opens).collect()
    }

    /// Soldering something where it lies: the same item as what a heat beside it would let go, so that it counts once.
    pub(super) fn mends_solder(&mut self, case: &Case<'a>, ask: &Ask) {
        for c in mend::conditions(case).filter(|c| (ask.conditions)(c)) {
            for way in mend::ways(case, c) {
                let patched = way.patch.iter().flat_map(|(run, at)| patch_lets_go(case, run, *at));
                for what in way.solders.into_iter().chain(patched) {
                    self.resoldering_of(case, &what);
                }
            }
        }
    }

    /// What the patches of dents let go.
    pub(super) fn patches_solder(&mut self, case: &Case<'a>, dents: &[&Dent]) {
        for d in dents {
            let Some(a) = case.assessment(&d.id) else { continue };
            if price::crack_and_patch(d, a).1 {
                for what in patch_lets_go(case, &d.run, case.station_mm(d)) {
                    self.resoldering_of(case, &what);
                }
            }
        }
    }

    /// What a patch's heat lets go, as what is soldered again.
    pub(super) fn patch_needs(&self, case: &Case, run: &RunId, at_mm: f64) -> Vec<usize> {
        let lets_go = patch_lets_go(case, run, at_mm);
        lets_go.into_iter().filter_map(|what| self.items.iter().position(|i| *i == Item::Resoldering(what.clone()))).collect()
    }

    fn resoldering_of(&mut self, case: &Case<'a>, what: &Opened) {
        if !self.items.contains(&Item::Resoldering(what.clone())) {
            self.resoldered(case, what);
        }
    }

    pub(super) fn mends(&mut self, case: &Case<'a>, ask: &Ask) {
        let closed = ask.may_stay.then(|| self.problem.closures());
        for c in mend::conditions(case).filter(|c| (ask.conditions)(c)) {
            let mut all = if ask.replaced.iter().any(|run| c.is_on(run)) {
                vec![(Take::Replaced, MethodCost { cost: 0.0, opens: vec![], after: vec![], works: true }, 0.0, 0.0)]
            } else {
                mend::ways(case, c).into_iter().filter_map(|w| self.mending(case, w)).collect()
            };
            // With a new run it is gone.
            if let Some(item) = self.items.iter().position(|i| matches!(i, Item::Replace(run) if c.is_on(run))) {
                all.push((Take::Replaced, MethodCost { cost: 0.0, opens: vec![item], after: vec![], works: true }, 0.0, 0.0));
            }
            let stays = stays(case, c, ask.may_stay);
            // It stays for want of time, never to save what its mending costs: its mending alone is put on top.
            let cheapest = closed
                .as_ref()
                .filter(|_| stays < STAYS)
                .map_or(0.0, |closed| all.iter().map(|(_, w, _, _)| self.problem.with_needs(closed, w, &[])).fold(f64::INFINITY, f64::min));
            let stays = stays + if cheapest.is_finite() { cheapest } else { 0.0 };
            all.push((Take::Leave, MethodCost { cost: stays, opens: vec![], after: vec![], works: false }, 0.0, stays));
            self.dents.push(Subject::Condition(c.id.clone()));
            self.add_row(all);
        }
    }

    /// A way as a method of the problem; none where it can never be taken.
    fn mending(&self, case: &Case<'a>, way: Way) -> Option<(Take<'a>, MethodCost, f64, f64)> {
        let mut opens = Vec::new();
        for what in &way.opens {
            opens.push(*self.by_opened.get(what)?);
        }
        let (mut minutes, mut money, mut penalty) = (way.minutes.mean(), way.parts + way.risk_money, 0.0);
        if let Some(what) = &way.solders {
            opens.push(self.items.iter().position(|i| *i == Item::Resoldering(what.clone()))?);
            let (own_min, own_money) = own_heat(case, what);
            minutes += own_min;
            money += own_money;
            penalty = flame_penalty(&case.flame_to_open(what));
        }
        if let Some((run, at_mm)) = &way.patch {
            opens.extend(self.patch_needs(case, run, *at_mm));
            let (own_min, own_money) = price::patch_heat(case, run, *at_mm);
            minutes += own_min;
            money += own_money;
            penalty = flame_penalty(&case.flame(run, price::PATCH_FILLER.worked_at_degc()));
        }
        let cost = minutes * case.per_minute() + money + penalty;
        cost.is_finite().then(|| (Take::Mend(way), MethodCost { cost, opens, after: vec![], works: true }, minutes, penalty))
    }
}

/// What the flame of a patch lets go.
fn patch_lets_go(case: &Case, run: &RunId, at_mm: f64) -> Vec<Opened> {
    price::lets_go(case, price::patch_flame(case, run, at_mm))
}

/// What a heat of its own asks beyond the soldering: minutes of setting it up and of its flame, and money for finish burnt and
/// the risk of the heat.
fn own_heat(case: &Case, what: &Opened) -> (f64, f64) {
    let Some(f) = case.heats.solder_flame(what) else { return (0.0, 0.0) };
    let warm = case.heats.warm(&f, Moved::None);
    let risk: f64 = case.touches(what).iter().map(|t| case.standards.heat_risk.clamp(0.0, 1.0) * case.part_price(&t.run)).sum();
    let minutes = case.standards.heat_setup.mean() + price::flame_min(warm.burned_s);
    (minutes, warm.spoiled_all_mm() * case.standards.finish_per_mm.max(0.0) + risk)
}

fn stays(case: &Case, c: &Condition, may_stay: bool) -> f64 {
    let asked = matches!(case.overrules.of_condition(&c.id).map(|o| &o.decision), Some(Decision::MendCondition { .. }));
    if asked || !may_stay {
        return STAYS;
    }
    let worth = &case.standards.worth;
    let worth = match mend::matters(case, c) {
        Matters::Function => worth.function,
        Matters::Strength => worth.structural,
        Matters::Looks => worth.cosmetic,
    };
    worth.max(0.0)
}
