//! From the survey to the abstract choice ([`crate::choose::Problem`]) and back.

use crate::asked;
use crate::case::{Case, Flame};
use crate::choose::{MethodCost, Openable, Problem, Solution};
use crate::holds::holds;
use crate::level::matters;
use crate::mend::Way;
use crate::openings::{Region, heats, melts_with};
use crate::overrule::Decision;
use crate::price::{self, Work};
use crate::replaceable;
use crate::softening::spent;
use crate::step_kind::StepKind;
use crate::tools;
use dent::Advice;
use instrument::{Condition, ConditionId, DentId, RunId, WorkId};
use reach::{Method, MethodKind, Opened, ToolPiece};
use std::collections::BTreeMap;

mod collect;
mod mends;
mod work;

/// What an openable of the problem stands for.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A joint or an overlay.
    Opened(Opened),
    /// The heats (opening and closing) that neighbouring joints share, by number.
    Heat(usize),
    /// A tool to make, by number.
    Tool(usize),
    /// A stretch to anneal, by number.
    Anneal(usize),
    /// A run to fill and to melt out again.
    Fill(RunId),
    /// Something that lets go in a heat beside it and is soldered again.
    Resoldering(Opened),
    /// A new run in the place of the old one.
    Replace(RunId),
}

/// What a way of the problem stands for.
#[derive(Clone, Debug)]
pub enum Take<'a> {
    /// Work it by a way, with one of the tools to make where it needs one, after an anneal or cold.
    Work {
        /// The method.
        method: &'a Method,
        /// The tools to make.
        tools: Vec<usize>,
        /// The stretch that is annealed.
        anneal: Option<usize>,
        /// Minutes and risk.
        work: Work,
    },
    /// A patch over it as it is.
    PatchOnly,
    /// Leave it.
    Leave,
    /// Its run is replaced.
    Replaced,
    /// Not a dent but a run to replace.
    ReplaceRun,
    /// Not a dent but something that is mended.
    Mend(Way),
    /// Not a dent but other work that is done.
    Other,
}

/// The abstract choice with what its numbers stand for.
pub struct Model<'a> {
    /// The choice.
    pub problem: Problem,
    /// Expected minutes of each openable.
    pub item_min: Vec<f64>,
    /// Expected minutes of each method.
    pub method_min: Vec<Vec<f64>>,
    /// Money in each openable's cost that is no money (a flame that is unwanted).
    pub item_penalty: Vec<f64>,
    /// The same for methods (a dent that stays although it should go).
    pub method_penalty: Vec<Vec<f64>>,
    /// What the openables are.
    pub items: Vec<Item>,
    /// The dents, in the survey's order, then runs to replace, then what else is mended.
    pub dents: Vec<Subject>,
    /// What the methods are.
    pub takes: Vec<Vec<Take<'a>>>,
    /// Tools to make.
    pub tools: Vec<ToolPiece>,
    /// Stretches to anneal.
    pub regions: Vec<Region>,
    by_opened: BTreeMap<Opened, usize>,
    heats: Vec<Vec<Opened>>,
}

/// What a row of the problem is about.
#[derive(Clone, Debug, PartialEq)]
pub enum Subject {
    /// A dent.
    Dent(DentId),
    /// A run to replace.
    Run(RunId),
    /// Something else that is wrong.
    Condition(ConditionId),
    /// Work asked for by name that needs a joint apart.
    Work(WorkId),
}

/// A dent that stays although it should go weighs more than any work on it.
pub const STAYS: f64 = 1e5;
/// A flame that the customer does not want weighs more than any other way, and less than a dent that stays.
const UNWANTED_FLAME: f64 = 2e3;
/// Cold work against the advice to anneal weighs more than any anneal, and less than an unwanted flame.
const AGAINST_ADVICE: f64 = 1e3;
/// A run that could be made good is replaced only where that saves this part of the new one's cost: it never matches quite, and has to
/// be waited for. Common practice, no source.
const KEEPS_THE_OLD: f64 = 0.1;
/// Another method than the one that a person asked for weighs more than whatever that one may need, and less than a dent that stays.
const NOT_ASKED_FOR: f64 = 2e4;

/// What is to be solved.
pub struct Ask<'s> {
    /// Which dents are looked at.
    pub dents: &'s dyn Fn(&DentId) -> bool,
    /// What else is looked at.
    pub conditions: &'s dyn Fn(&Condition) -> bool,
    /// Runs that are replaced.
    pub replaced: &'s [RunId],
    /// Whether others may be replaced where that costs less than working their dents.
    pub may_replace: bool,
    /// What a dent that should be worked costs where it stays: its worth to the customer and what its work alone would cost,
    /// where time is short; else so much that it never stays if anything can be done.
    pub may_stay: bool,
}

impl<'a> Model<'a> {
    /// Builds it.
    pub fn new(case: &Case<'a>, ask: &Ask) -> Self {
        let mut m = Self {
            problem: Problem::default(),
            item_min: Vec::new(),
            method_min: Vec::new(),
            item_penalty: Vec::new(),
            method_penalty: Vec::new(),
            items: Vec::new(),
            dents: Vec::new(),
            takes: Vec::new(),
            tools: Vec::new(),
            regions: Vec::new(),
            by_opened: BTreeMap::new(),
            heats: Vec::new(),
        };
        let wanted: Vec<&instrument::Dent> = case.survey.dents.iter().filter(|d| (ask.dents)(&d.id)).collect();
        // A dent that stands in the way of another is looked at too, although it may stay.
        let mut all = wanted.clone();
        let mut next = 0;
        while let Some(d) = all.get(next).copied() {
            next += 1;
            for after in case.methods(&d.id).iter().flat_map(|w| &w.after) {
                if let Some(other) = case.dent(after)
                    && !all.iter().any(|x| x.id == other.id)
                {
                    all.push(other);
                }
            }
        }
        m.collect_tools(case, &all);
        m.collect_regions(case, &all);
        m.collect_fills(case, &all);
        let candidates = if ask.may_replace { replaceable::candidates(case, &all, ask.conditions, ask.replaced) } else { vec![] };
        m.collect_openables(case, &all, &[ask.replaced, &candidates[..]].concat(), ask);
        m.regions_require(case);
        m.resoldering(case);
        m.mends_solder(case, ask);
        m.patches_solder(case, &all);
        m.collect_replaceable(case, candidates);
        m.dents = all.iter().map(|d| Subject::Dent(d.id.clone())).collect();
        let row: BTreeMap<&str, usize> = all.iter().enumerate().map(|(i, d)| (d.id.0.as_str(), i)).collect();
        let closed = m.problem.closures();
        for d in &all {
            let must = wanted.iter().any(|w| w.id == d.id);
            if ask.replaced.contains(&d.run) {
                m.add_row(vec![(Take::Replaced, MethodCost { cost: 0.0, opens: vec![], after: vec![], works: true }, 0.0, 0.0)]);
            } else {
                let methods = m.methods_of(case, d, must, ask.may_stay.then_some(&closed[..]), &row);
                m.add_row(methods);
            }
        }
        for run in ask.replaced {
            m.dents.push(Subject::Run(run.clone()));
            let opens = holds(case.survey, run).iter().filter_map(|o| m.by_opened.get(o).copied()).collect();
            let (minutes, cost) = replacing(case, run);
            m.add_row(vec![(Take::ReplaceRun, MethodCost { cost, opens, after: vec![], works: true }, minutes, 0.0)]);
        }
        m.mends(case, ask);
        m.other_work(case);
        m
    }

    fn add_row(&mut self, methods: Vec<(Take<'a>, MethodCost, f64, f64)>) {
        let (mut takes, mut costs, mut minutes, mut penalties) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (take, cost, min, penalty) in methods {
            takes.push(take);
            costs.push(cost);
            minutes.push(min);
            penalties.push(penalty);
        }
        self.takes.push(takes);
        self.problem.dents.push(costs);
        self.method_min.push(minutes);
        self.method_penalty.push(penalties);
    }

    fn add_item(&mut self, item: Item, cost: f64, requires: Vec<usize>, minutes: f64, penalty: f64) -> usize {
        self.items.push(item);
        self.problem.openables.push(Openable { cost: cost + penalty, requires });
        self.item_min.push(minutes);
        self.item_penalty.push(if penalty.is_finite() { penalty } else { 0.0 });
        self.items.len() - 1
    }

    fn collect_openables(&mut self, case: &Case<'a>, dents: &[&instrument::Dent], replaced: &[RunId], ask: &Ask) {
        let mut all: Vec<Opened> = dents.iter().flat_map(|d| case.methods(&d.id)).flat_map(|w| w.opens.iter().cloned()).collect();
        // Braces off before a patch or an anneal are the methods' own affair; a replaced run asks for all that holds it.
        all.extend(replaced.iter().flat_map(|r| holds(case.survey, r)));
        all.extend(Self::mends_open(case, ask));
        all.extend(asked::asked(case).filter_map(|(w, job)| asked::joint_of(w, job)));
        // What an anneal would melt comes off before it.
        all.extend(self.regions.iter().flat_map(|r| melts_with(case, r)));
        // A ferrule needs its joint.
        let slides: Vec<Opened> = all
            .iter()
            .filter_map(|o| if let Opened::Overlay(id) = o { case.instrument().overlay(id)?.slides_off_at.clone() } else { None })
            .map(Opened::Joint)
            .collect();
        all.extend(slides);
        all.sort();
        all.dedup();
        for what in &all {
            let penalty = flame_penalty(&case.flame_to_open(what));
            let cost = if case.barred(what).is_some() { f64::INFINITY } else { price::opening_money(case, what) };
            let i = self.add_item(Item::Opened(what.clone()), cost, vec![], price::opening_min(case, what), penalty);
            self.by_opened.insert(what.clone(), i);
        }
        for what in &all {
            let i = self.by_opened[what];
            if let Opened::Overlay(id) = what
                && let Some(j) = case.instrument().overlay(id).and_then(|o| o.slides_off_at.clone())
                && let Some(joint) = self.by_opened.get(&Opened::Joint(j))
            {
                let joint = *joint;
                self.problem.openables[i].requires.push(joint);
            }
        }
        self.heats = heats(case, &all);
        for (h, members) in self.heats.clone().iter().enumerate() {
            let minutes = price::heat_min(case);
            let heat = self.add_item(Item::Heat(h), minutes * case.per_minute(), vec![], minutes, 0.0);
            for o in members {
                let i = self.by_opened[o];
                self.problem.openables[i].requires.push(heat);
            }
        }
    }

    /// A new run serves all its dents; it asks for all that holds it.
    fn collect_replaceable(&mut self, case: &Case<'a>, runs: Vec<RunId>) {
        for run in runs {
            let opens = holds(case.survey, &run).iter().filter_map(|o| self.by_opened.get(o).copied()).collect();
            let (minutes, cost) = replacing(case, &run);
            self.add_item(Item::Replace(run), cost, opens, minutes, KEEPS_THE_OLD * cost);
        }
    }

    fn regions_require(&mut self, case: &Case<'a>) {
        for i in 0..self.items.len() {
            if let Item::Anneal(r) = self.items[i] {
                let needs = melts_with(case, &self.regions[r]);
                self.problem.openables[i].requires.extend(needs.iter().filter_map(|o| self.by_opened.get(o)));
            }
        }
    }

    /// What a heat lets go is soldered again: that belongs to the price of the heat. What is opened for its own sake is closed
    /// in any case: it needs the same item, at so much less, so that closing counts once however it comes to be open.
    fn resoldering(&mut self, case: &Case<'a>) {
        let mut resoldering: BTreeMap<Opened, usize> = BTreeMap::new();
        for i in 0..self.items.len() {
            let flame = match &self.items[i] {
                Item::Opened(what) => case.heats.solder_flame(what),
                Item::Anneal(r) => {
                    let r = &self.regions[*r];
                    case.heats.anneal_flame(&r.run, r.from_mm, r.to_mm)
                }
                _ => None,
            };
            for what in price::lets_go(case, flame) {
                let item = match resoldering.get(&what) {
                    Some(item) => *item,
                    None => {
                        let item = self.resoldered(case, &what);
                        resoldering.insert(what, item);
                        item
                    }
                };
                if item != i && !self.problem.openables[i].requires.contains(&item) {
                    self.problem.openables[i].requires.push(item);
                }
            }
        }
    }

    fn resoldered(&mut self, case: &Case<'a>, what: &Opened) -> usize {
        let minutes = price::resoldering_minutes(case, what).mean();
        let own = self.by_opened.get(what).copied();
        // Never more than opening and closing it cost together.
        let most = own.map_or(f64::INFINITY, |o| self.problem.openables[o].cost - self.item_penalty[o]);
        let (minutes, cost) = match minutes * case.per_minute() {
            cost if cost > most => (minutes * most / cost, most.max(0.0)),
            cost => (minutes, cost),
        };
        let item = self.add_item(Item::Resoldering(what.clone()), cost, vec![], minutes, 0.0);
        if let Some(o) = own.filter(|o| self.problem.openables[*o].cost.is_finite()) {
            self.problem.openables[o].cost -= cost;
            self.item_min[o] = (self.item_min[o] - minutes).max(0.0);
            self.problem.openables[o].requires.push(item);
        }
        item
    }

    fn tool_items(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.items.iter().enumerate().filter_map(|(i, it)| if let Item::Tool(t) = it { Some((i, *t)) } else { None })
    }

    /// Sets of tools to make (items with the tools' numbers) that serve a method, each set complete; one empty set where the
    /// rack has all.
    fn tool_sets(&self, method: &Method) -> Vec<Vec<(usize, usize)>> {
        /// Sets looked at for one method: its own and the nearest others.
        const MOST_SETS: usize = 12;
        let mut sets: Vec<Vec<(usize, usize)>> = vec![vec![]];
        for wanted in tools::pieces(method) {
            let serving: Vec<(usize, usize)> =
                self.tool_items().filter(|(_, t)| tools::serves(&self.tools[*t].body, &wanted.body, method)).collect();
            sets = sets
                .iter()
                .flat_map(|set| serving.iter().map(move |s| set.iter().copied().chain([*s]).collect::<Vec<_>>()))
                .take(MOST_SETS)
                .collect();
        }
        sets
    }

    /// The methods of a dent. `may_stay`: the closures of the openables, where time is short and a dent that should be worked may
    /// stay.
    fn methods_of(
        &self,
        case: &Case<'a>,
        d: &instrument::Dent,
        must: bool,
        may_stay: Option<&[Vec<usize>]>,
        row: &BTreeMap<&str, usize>,
    ) -> Vec<(Take<'a>, MethodCost, f64, f64)> {
        let mut all = Vec::new();
        let plain = |cost: f64, works: bool| MethodCost { cost, opens: vec![], after: vec![], works };
        let decided = case.overrules.of_dent(&d.id).map(|o| &o.decision);
        let Some(a) = case.assessment(&d.id) else {
            return vec![(Take::Leave, plain(0.0, false), 0.0, 0.0)];
        };
        if matches!(decided, Some(Decision::LeaveDent { .. })) {
            return vec![(Take::Leave, plain(0.0, false), 0.0, 0.0)];
        }
        let only = if let Some(Decision::UseMethod { method, .. }) = decided { Some(*method) } else { None };
        // Rotten metal is left where it is, unless a person says so: no dent is worked out of it.
        let rotten = a.advice == Advice::Patch && decided.is_none() && case.survey.site(d).is_some_and(|s| s.red_rot);
        let region = self.regions.iter().position(|r| r.dents.contains(&d.id));
        let region_item = region.and_then(|r| self.items.iter().position(|i| *i == Item::Anneal(r)));
        let flame = case.flame(&d.run, price::STUD_FILLER.worked_at_degc());
        let patched = if price::crack_and_patch(d, a).1 { self.patch_needs(case, &d.run, case.station_mm(d)) } else { vec![] };
        for method in case.methods(&d.id).into_iter().filter(|_| !rotten) {
            // Another stands in where the one that was asked for cannot be had; the plan then says why.
            let instead = if only.is_some_and(|m| m != method.kind) { NOT_ASKED_FOR } else { 0.0 };
            let after: Vec<usize> = method.after.iter().filter_map(|x| row.get(x.0.as_str()).copied()).collect();
            let mut opens: Vec<usize> = method.opens.iter().filter_map(|o| self.by_opened.get(o).copied()).collect();
            if method.kind == MethodKind::FilledBend {
                opens.extend(self.items.iter().position(|i| matches!(i, Item::Fill(run) if *run == d.run)));
            }
            let stud = method.kind == MethodKind::PullOutside;
            let stud_penalty = match (&flame, stud) {
                (Flame::Never(_), true) => continue,
                (Flame::Unwanted(_), true) => UNWANTED_FLAME,
                _ => 0.0,
            };
            // Where the metal is used up an anneal that is advised is taken, and cold work stands only where no flame can
            // be lit. Where it is not, the cheaper holds: the anneal with what it burns and softens, or the risk of a crack.
            // A method is reckoned for the metal as it is then: hard, or soft after the anneal.
            let mut heats: Vec<(Option<usize>, f64)> = Vec::new();
            let soft = method.annealed || !case.anneal_reckoned(&d.id);
            if region_item.is_some() && soft && !matches!(case.flame_to_anneal(&d.run), Flame::Never(_)) {
                heats.push((region_item, 0.0));
            }
            let said = case.overrules.anneal(&d.id).is_some();
            if !method.annealed {
                heats.push((None, if region_item.is_some() && (said || spent(a)) { AGAINST_ADVICE } else { 0.0 }));
            }
            let tools = self.tool_sets(method);
            for (heat, against) in &heats {
                let mut work = price::work(case, d, a, method, heat.is_some());
                if let Some(r) = heat.and(region).map(|r| &self.regions[r]).filter(|_| work.relit > 0) {
                    work = work.burns_as_long(price::anneal_flame_min(case, &r.run, r.from_mm, r.to_mm));
                }
                let penalty = stud_penalty + against + instead;
                let cost = price::method_money(case, a, method, &work) + penalty;
                let minutes = work.mean_min();
                for tool in &tools {
                    let mut opens = opens.clone();
                    opens.extend(tool.iter().map(|t| t.0));
                    opens.extend(*heat);
                    opens.extend(patched.iter().filter(|_| work.patch.most > 0.0));
                    let take =
                        Take::Work { method, tools: tool.iter().map(|t| t.1).collect(), anneal: heat.and(region), work: work.clone() };
                    all.push((take, MethodCost { cost, opens, after: after.clone(), works: true }, minutes, penalty));
                }
            }
        }
        if a.advice == Advice::Patch && !matches!(flame, Flame::Never(_)) {
            let minutes = case.standards.minutes_of(StepKind::Patch).mean();
            let trace = case.standards.untrue_place * case.level.trace_counts(matters(a));
            let instead = if only.is_some() { NOT_ASKED_FOR } else { 0.0 };
            // The dent stays under its patch.
            let cost = minutes * case.per_minute() + price::patch_heat_money(case, &d.id) + trace + price::worth_of(case, a) + instead;
            all.push((Take::PatchOnly, MethodCost { opens: patched.clone(), ..plain(cost, false) }, minutes, instead));
        }
        if let Some(item) = self.items.iter().position(|i| matches!(i, Item::Replace(run) if *run == d.run))
            && only.is_none()
        {
            all.push((Take::Replaced, MethodCost { cost: 0.0, opens: vec![item], after: vec![], works: true }, 0.0, 0.0));
        }
        // The advice to leave, or the level, lets it stay; else its staying is dear.
        let asked =
            matches!(decided, Some(Decision::UseMethod { .. } | Decision::WorkDent { .. })) || case.overrules.anneal(&d.id).is_some();
        let stays = if !must && !asked {
            0.0
        } else if let Some(closed) = may_stay.filter(|_| !asked) {
            let worth = price::worth_of(case, a);
            // It stays for want of time, never to save what its work costs: its work alone is put on top.
            let cheapest = all.iter().map(|(_, w, _, _)| self.problem.with_needs(closed, w, &[])).fold(f64::INFINITY, f64::min);
            worth + if cheapest.is_finite() { cheapest } else { 0.0 }
        } else {
            STAYS
        };
        all.push((Take::Leave, plain(stays, false), 0.0, stays));
        all
    }

    /// Cost of a solution in money: without what only stands for a wish.
    pub fn money(&self, s: &Solution) -> f64 {
        s.cost - self.penalty(s)
    }

    /// What in a solution's cost only stands for a wish.
    pub fn penalty(&self, s: &Solution) -> f64 {
        let items: f64 = s.opened.iter().map(|o| self.item_penalty[*o]).sum();
        let methods: f64 = s.methods.iter().enumerate().filter_map(|(d, w)| w.map(|w| self.method_penalty[d][w])).sum();
        items + methods
    }

    /// Expected minutes of a solution.
    pub fn minutes(&self, s: &Solution) -> f64 {
        let items: f64 = s.opened.iter().map(|o| self.item_min[*o]).sum();
        let methods: f64 = s.methods.iter().enumerate().filter_map(|(d, w)| w.map(|w| self.method_min[d][w])).sum();
        items + methods
    }

    /// Joints and overlays that a solution opens.
    pub fn opened(&self, s: &Solution) -> Vec<Opened> {
        s.opened.iter().filter_map(|o| if let Item::Opened(what) = &self.items[*o] { Some(what.clone()) } else { None }).collect()
    }

    /// Number of the heat in which something is opened.
    pub fn heat_of(&self, what: &Opened) -> Option<usize> {
        self.heats.iter().position(|h| h.contains(what))
    }
}

/// Minutes and cost of a new run, fitted, without what is opened for it.
fn replacing(case: &Case, run: &RunId) -> (f64, f64) {
    let minutes = replaceable::fitting_minutes(case, run).mean();
    (minutes, minutes * case.per_minute() + case.new_part_money(run))
}

fn flame_penalty(flame: &Flame) -> f64 {
    match flame {
        Flame::Free => 0.0,
        Flame::Unwanted(_) => UNWANTED_FLAME,
        Flame::Never(_) => f64::INFINITY,
    }
}
