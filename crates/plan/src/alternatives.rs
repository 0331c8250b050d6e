//! The next best plans that are truly different: each leaves shut (or unmade, or unheated) something that every better one
//! does not.

use crate::case::Case;
use crate::choose::{Component, Problem, Solution, Solved};
use crate::model::{Item, Model, STAYS, Subject, Take};
use crate::outcome::Alternative;
use crate::steps::{method_words, some_of};
use instrument::DentId;
use reach::MethodKind;
use std::collections::{BTreeMap, BTreeSet};
use units::duration::show_minutes_more;
use units::{Text, text};

/// Pieces solved again at most; with more the list may miss a plan, and is then shorter than it could be.
const MOST_SOLVES: usize = 40;
/// Choices looked at for each.
const NODES: u64 = 5_000;
/// Plans listed.
const LISTED: usize = 3;

type Shut = BTreeSet<usize>;

struct Pieces<'m> {
    components: Vec<Component>,
    /// Each piece without the methods that others beat.
    small: Vec<Problem>,
    known: BTreeMap<(usize, Vec<usize>), Option<Solution>>,
    model: &'m Model<'m>,
    solved: &'m Solved,
    solves: usize,
}

impl Pieces<'_> {
    /// The best with some things shut, put together from its components.
    fn solve(&mut self, shut: &Shut) -> Option<Solution> {
        let mut whole = Solution { methods: vec![None; self.model.problem.dents.len()], opened: vec![], cost: 0.0, bound: 0.0, nodes: 0 };
        for p in 0..self.components.len() {
            let piece = &self.components[p];
            let local: Vec<usize> = shut.iter().filter_map(|o| piece.openables.binary_search(o).ok()).collect();
            let key = (p, local);
            if !self.known.contains_key(&key) {
                self.solves += 1;
                // A plan that gives up a dent which the best brings back is no alternative: not worth finishing.
                let most = self.known.get(&(p, vec![])).and_then(Option::as_ref).map_or(f64::INFINITY, |s| s.cost + 0.5 * STAYS);
                let found = self.small[p].with_shut(&key.1).solve_knowing(NODES, most, self.solved);
                self.known.insert(key.clone(), found);
            }
            let found = self.known.get(&key).and_then(Option::as_ref)?;
            let piece = &self.components[p];
            for (d, w) in piece.dents.iter().zip(&found.methods) {
                whole.methods[*d] = *w;
            }
            whole.opened.extend(found.opened.iter().map(|o| piece.openables[*o]));
            whole.cost += found.cost;
        }
        whole.opened.sort_unstable();
        Some(whole)
    }

    /// Plans that work one dent by another method, cheapest first.
    fn by_method(&self, best: &Solution) -> Vec<Solution> {
        let model = self.model;
        let mut found: Vec<Solution> = Vec::new();
        for (d, w) in best.methods.iter().enumerate() {
            let Some(Take::Work { method, .. }) = w.map(|w| &model.takes[d][w]) else { continue };
            let Some((p, local)) = self.components.iter().enumerate().find_map(|(p, x)| Some((p, x.dents.binary_search(&d).ok()?))) else {
                continue;
            };
            let piece = &self.components[p];
            let most = self.known.get(&(p, vec![])).and_then(Option::as_ref).map_or(f64::INFINITY, |s| s.cost + 0.5 * STAYS);
            let mut problem = piece.problem.clone();
            for (v, take) in model.takes[d].iter().enumerate() {
                if matches!(take, Take::Work { method: other, .. } if other.kind == method.kind) {
                    problem.dents[local][v].cost = f64::INFINITY;
                }
            }
            let Some(s) = problem.solve_knowing(NODES, most, self.solved) else { continue };
            let mut methods = best.methods.clone();
            for (d, w) in piece.dents.iter().zip(&s.methods) {
                methods[*d] = *w;
            }
            let opened = model.problem.opened_by(&methods);
            let cost = model.problem.cost(&methods, &opened);
            let whole = Solution { methods, opened, cost, bound: cost, nodes: s.nodes };
            if model.penalty(&whole) <= model.penalty(best) + 1e-9 {
                found.push(whole);
            }
            if found.len() >= 12 {
                break;
            }
        }
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found
    }

    /// An openable with all that only differ from it in size: two lengths of a shaft make no two plans.
    fn alike(&self, o: usize) -> Vec<usize> {
        let Item::Tool(t) = self.model.items[o] else { return vec![o] };
        let same = |x: &reach::ToolBody| std::mem::discriminant(x) == std::mem::discriminant(&self.model.tools[t].body);
        (0..self.model.items.len())
            .filter(|i| matches!(&self.model.items[*i], Item::Tool(u) if *u == t || same(&self.model.tools[*u].body)))
            .collect()
    }

    /// What counts as a difference: not a shared heat, which only follows.
    fn marks(&self, s: &Solution) -> Shut {
        s.opened.iter().copied().filter(|o| !matches!(self.model.items[*o], Item::Heat(_))).collect()
    }
}

/// The next best plans, cheapest first.
pub fn alternatives<'m>(case: &Case<'m>, model: &'m Model<'m>, best: &Solution) -> Vec<Alternative> {
    let components = model.problem.components();
    let small = components.iter().map(|p| p.problem.without_dominated()).collect();
    let mut components = Pieces { components, small, known: BTreeMap::new(), model, solved: case.heats.solved(), solves: 0 };
    // What each piece costs at its best.
    let _ = components.solve(&Shut::new());
    let mut listed: Vec<(Shut, Solution)> = vec![(components.marks(best), best.clone())];
    let mut open: Vec<(Shut, Solution)> = vec![(Shut::new(), best.clone())];
    let mut seen: BTreeSet<Shut> = BTreeSet::from([Shut::new()]);
    while listed.len() <= LISTED {
        let Some(cheapest) = (0..open.len()).min_by(|a, b| open[*a].1.cost.total_cmp(&open[*b].1.cost)) else { break };
        let (shut, s) = open.swap_remove(cheapest);
        let marks = components.marks(&s);
        let Some((same, _)) = listed.iter().find(|(m, _)| m.is_subset(&marks)).cloned() else {
            // Against a wish, or with a dent given up, a plan is no alternative.
            if model.penalty(&s) <= model.penalty(best) + 1e-9 {
                listed.push((marks.clone(), s.clone()));
                open.push((shut, s));
            }
            continue;
        };
        for o in same {
            let mut less = shut.clone();
            let more = components.alike(o).into_iter().filter(|x| less.insert(*x)).count() > 0;
            if more
                && seen.insert(less.clone())
                && components.solves < MOST_SOLVES
                && let Some(found) = components.solve(&less)
            {
                open.push((less, found));
            }
        }
    }
    let mut found: Vec<Solution> = listed.drain(1..).map(|(_, s)| s).collect();
    // Where few things can be left shut, plans differ by the method of a dent.
    if found.len() < LISTED {
        for s in components.by_method(best) {
            if found.len() < LISTED && found.iter().all(|f| f.opened != s.opened || methods(model, f) != methods(model, &s)) {
                found.push(s);
            }
        }
    }
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    found.iter().map(|s| describe(case, model, best, s)).collect()
}

/// How each dent is worked.
pub fn methods(model: &Model, s: &Solution) -> BTreeMap<DentId, MethodKind> {
    s.methods
        .iter()
        .enumerate()
        .filter_map(|(d, w)| match (&model.dents[d], w.map(|w| &model.takes[d][w])) {
            (Subject::Dent(id), Some(Take::Work { method, .. })) => Some((id.clone(), method.kind)),
            _ => None,
        })
        .collect()
}

fn item_words(case: &Case, model: &Model, item: usize) -> Option<String> {
    match &model.items[item] {
        Item::Opened(o) => Some(case.opened_name(o)),
        Item::Anneal(r) => Some(format!("the anneal of {}", case.run_name(&model.regions[*r].run))),
        Item::Fill(run) => Some(format!("filling {}", case.run_name(run))),
        Item::Replace(run) => Some(format!("a new {}", case.run_name(run))),
        // A heat and what it lets go only follow; tools are named by themselves.
        Item::Heat(_) | Item::Tool(_) | Item::Resoldering(_) => None,
    }
}

fn describe(case: &Case, model: &Model, best: &Solution, s: &Solution) -> Alternative {
    let only = |a: &Solution, b: &Solution| -> Vec<String> {
        a.opened.iter().filter(|o| !b.opened.contains(o)).filter_map(|o| item_words(case, model, *o)).collect()
    };
    let (without, with) = (only(best, s), only(s, best));
    let made = |a: &Solution, b: &Solution| -> Vec<Text> {
        let tools = a.opened.iter().filter(|o| !b.opened.contains(o));
        tools.filter_map(|o| if let Item::Tool(t) = model.items[*o] { Some(model.tools[t].words()) } else { None }).collect()
    };
    let (not_made, made) = (made(best, s), made(s, best));
    let (mine, theirs) = (methods(model, s), methods(model, best));
    let moved: Vec<String> =
        mine.iter().filter(|(d, m)| theirs.get(*d).is_some_and(|t| t != *m)).map(|(d, m)| format!("{d} {}", method_words(*m))).collect();
    let mut parts = Vec::new();
    if !without.is_empty() {
        parts.push(text!("without {}", some_of(&without)));
    }
    if !with.is_empty() {
        parts.push(text!("with {}", some_of(&with)));
    }
    for (tools, verb) in [(not_made, "not made"), (made, "to make")] {
        match tools.len() {
            0 => {}
            1 => parts.push(text!("one tool {}: {}", verb, tools[0])),
            n => parts.push(text!("{} tools {}: {}", n, verb, Text::join(&tools, ", "))),
        }
    }
    if !moved.is_empty() {
        parts.push(moved.join(", ").into());
    }
    let minutes = model.minutes(s);
    parts.push(show_minutes_more(minutes - model.minutes(best)).into());
    Alternative {
        cost_money: model.money(s),
        minutes,
        opened: model.opened(s),
        methods: mine.into_iter().collect(),
        differs: Text::join(&parts, " · "),
    }
}
