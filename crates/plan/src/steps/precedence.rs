//! What must wait for what. All edges are added here, when all steps stand, from what each of them does.
//!
//! Needs come first; then what is only good order, each edge kept where it closes no cycle; then what a flame or another dent
//! wants of a bend that is filled for a while. What follows from other edges is left out in the end.

use super::draft::{Does, Draft, phase};
use super::{chosen::Chosen, reduction};
use crate::case::Case;
use crate::step_kind::StepKind;
use instrument::{DentId, RunId};
use reach::Opened;

mod late;

/// Dents whose edges lie within this of each other move each other's metal, mm. Common practice, no source.
const NEIGHBOURS_MM: f64 = 30.0;

/// Sets what each step of a draft waits for; what an urgent step waits for becomes as urgent.
pub(super) fn set(case: &Case, chosen: &Chosen, draft: &mut Draft) {
    let mut g = Graph { case, chosen, draft, after: vec![Vec::new(); draft.steps.len()] };
    g.ready();
    g.openings();
    g.tools();
    g.dents();
    g.cracks();
    g.mends();
    g.patches();
    g.fills();
    g.closing();
    g.fits();
    g.fits_work();
    g.end();
    g.good_order();
    g.resoldered();
    g.while_filled();
    let after = g.after;
    hurry(draft, &after);
    draft.after = reduction::without_what_follows(after);
}

struct Graph<'g, 'a> {
    case: &'g Case<'a>,
    chosen: &'g Chosen<'a>,
    draft: &'g Draft,
    after: Vec<Vec<usize>>,
}

impl Graph<'_, '_> {
    fn wait(&mut self, step: usize, for_: usize) {
        if step != for_ && !self.after[step].contains(&for_) {
            self.after[step].push(for_);
        }
    }

    fn wait_all(&mut self, step: usize, for_: &[usize]) {
        for f in for_ {
            self.wait(step, *f);
        }
    }

    /// Whether a step already waits, directly or through others, for another.
    fn waits(&self, step: usize, for_: usize) -> bool {
        let mut seen = vec![false; self.after.len()];
        let mut stack = vec![step];
        while let Some(s) = stack.pop() {
            if s == for_ {
                return true;
            }
            if !std::mem::replace(&mut seen[s], true) {
                stack.extend(&self.after[s]);
            }
        }
        false
    }

    /// Good order, not need: kept only where it closes no cycle.
    fn rather_wait(&mut self, step: usize, for_: usize) {
        if !self.waits(for_, step) {
            self.wait(step, for_);
        }
    }

    /// The steps that do something, with what they do.
    fn all(&self, is: impl Fn(&Does) -> bool) -> Vec<usize> {
        (0..self.after.len()).filter(|i| is(&self.draft.steps[*i].does)).collect()
    }

    fn does(&self, step: usize) -> &Does {
        &self.draft.steps[step].does
    }

    fn run(&self, step: usize) -> Option<&RunId> {
        self.draft.steps[step].step.run.as_ref()
    }

    /// Everything that moves the metal of a dent.
    fn on_dent(&self, dent: &DentId) -> Vec<usize> {
        self.all(|does| matches!(does, Does::Eases(d) | Does::Works(d) | Does::LaysRidges(d) if d == dent))
    }

    fn works(&self, dent: &DentId) -> Option<usize> {
        self.draft.position(|does| matches!(does, Does::Works(d) if d == dent))
    }

    /// Everything on the metal of a run, with the check of its bore.
    fn on_run(&self, run: &RunId) -> Vec<usize> {
        let metal = |does: &Does| {
            matches!(
                does,
                Does::StopsCrack { .. }
                    | Does::Anneals(_)
                    | Does::Eases(_)
                    | Does::Works(_)
                    | Does::Fills(_)
                    | Does::LaysRidges(_)
                    | Does::MeltsOut
                    | Does::Patches { .. }
                    | Does::Replaces(_)
                    | Does::Straightens(_)
            )
        };
        (0..self.after.len())
            .filter(|i| match self.does(*i) {
                Does::ChecksBores(runs) | Does::Straightens(runs) => runs.contains(run),
                does => metal(does) && self.run(*i) == Some(run),
            })
            .collect()
    }

    fn touches(&self, what: &Opened, run: &RunId) -> bool {
        self.case.touches(what).iter().any(|t| t.run == *run)
    }

    /// Whether two things that are opened touch one run.
    fn meet(&self, a: &Opened, b: &Opened) -> bool {
        self.case.touches(a).iter().any(|t| self.touches(b, &t.run))
    }

    /// Cleaned, then freed, then taken apart by hand, then all the rest. (Tools are made at any time.)
    fn ready(&mut self) {
        let cleaned = self.all(|d| *d == Does::Cleans);
        let freed = self.all(|d| *d == Does::Frees);
        let stripped = self.all(|d| *d == Does::Strips);
        for i in &freed {
            self.wait_all(*i, &cleaned);
        }
        for i in &stripped {
            self.wait_all(*i, &cleaned);
            self.wait_all(*i, &freed);
        }
        for i in self.all(|d| !matches!(d, Does::Cleans | Does::Frees | Does::Strips | Does::MakesTool(_))) {
            self.wait_all(i, &stripped);
            // Where nothing is taken apart it still waits for what comes first.
            if stripped.is_empty() {
                self.wait_all(i, &cleaned);
                self.wait_all(i, &freed);
            }
        }
    }

    /// Each step after what it needs open; a ferrule slides off over its open joint.
    fn openings(&mut self) {
        let opening = self.all(|d| matches!(d, Does::Opens(_)));
        for j in &opening {
            let Does::Opens(what) = self.does(*j).clone() else { continue };
            for i in 0..self.after.len() {
                if self.draft.steps[i].needs_open.contains(&what) {
                    self.wait(i, *j);
                }
            }
            if let Some(joint) = self.slides_off_at(&what)
                && let Some(first) = opening.iter().find(|k| *self.does(**k) == Does::Opens(joint.clone()))
            {
                self.wait(*j, *first);
            }
        }
    }

    /// The joint over which an overlay slides off.
    fn slides_off_at(&self, what: &Opened) -> Option<Opened> {
        let Opened::Overlay(id) = what else { return None };
        self.case.instrument().overlay(id).and_then(|o| o.slides_off_at.clone()).map(Opened::Joint)
    }

    fn tools(&mut self) {
        for tool in self.all(|d| matches!(d, Does::MakesTool(_))) {
            let Does::MakesTool(dents) = self.does(tool).clone() else { continue };
            for i in dents.iter().flat_map(|d| self.on_dent(d)).collect::<Vec<_>>() {
                self.wait(i, tool);
            }
        }
    }

    /// The anneal, then the crease, then the field; what stands in the way first, whether it is worked or goes with its run.
    fn dents(&mut self) {
        for i in 0..self.after.len() {
            match self.does(i).clone() {
                Does::Anneals(dents) => {
                    for j in dents.iter().flat_map(|d| self.on_dent(d)).collect::<Vec<_>>() {
                        self.wait(j, i);
                    }
                }
                Does::Eases(dent) => {
                    if let Some(j) = self.works(&dent) {
                        self.wait(j, i);
                    }
                }
                _ => {}
            }
        }
        let chosen = self.chosen;
        for w in &chosen.worked {
            for first in &w.method.after {
                let worked = self.works(first);
                let replaced = self.draft.position(|d| matches!(d, Does::Replaces(gone) if gone.contains(first)));
                for i in self.on_dent(&w.dent) {
                    for j in worked.into_iter().chain(replaced) {
                        self.wait(i, j);
                    }
                }
            }
        }
    }

    /// A crack is stopped before any metal of its run moves or is heated, whoever wrote it down. (A stop waits for openings
    /// only, so this closes no cycle.)
    fn cracks(&mut self) {
        for stop in self.all(|d| matches!(d, Does::StopsCrack { .. })) {
            for i in self.all(|d| matches!(d, Does::Eases(_) | Does::Works(_) | Does::Anneals(_) | Does::Straightens(_))) {
                let straightened = matches!((self.does(i), self.run(stop)), (Does::Straightens(runs), Some(run)) if runs.contains(run));
                if straightened || self.run(i) == self.run(stop) {
                    self.wait(i, stop);
                }
            }
        }
    }

    /// A tube is straightened and rounded before its dents are worked and before it is patched; a joint is lined up before it
    /// is closed and when its tubes are true, a brace mended before it is soldered.
    fn mends(&mut self) {
        for i in self.all(|d| matches!(d, Does::Straightens(_))) {
            let Does::Straightens(runs) = self.does(i).clone() else { continue };
            for j in self.all(|d| matches!(d, Does::Eases(_) | Does::Works(_) | Does::Fills(_) | Does::Patches { .. })) {
                if self.run(j).is_some_and(|run| runs.contains(run)) {
                    self.wait(j, i);
                }
            }
        }
        for i in self.all(|d| matches!(d, Does::Aligns(_))) {
            let Does::Aligns(what) = self.does(i).clone() else { continue };
            let before: Vec<usize> = self.case.touches(&what).iter().flat_map(|t| self.on_run(&t.run)).collect();
            self.wait_all(i, &before);
        }
        let again = |d: &Does, what: &Opened| matches!(d, Does::Closes(o) | Does::Resolders(o) if o == what);
        for i in self.all(|d| matches!(d, Does::MendsBrace(_) | Does::Aligns(_))) {
            let (Does::MendsBrace(what) | Does::Aligns(what)) = self.does(i).clone() else { continue };
            for j in self.all(|d| again(d, &what)) {
                self.wait(j, i);
            }
        }
    }

    /// A patch lies on true metal and stands no anneal: after the work on its dent, after its crack is stopped.
    fn patches(&mut self) {
        for i in self.all(|d| matches!(d, Does::Patches { .. })) {
            let Does::Patches { dent, condition, .. } = self.does(i).clone() else { continue };
            let worked = dent.iter().flat_map(|d| self.on_dent(d)).collect::<Vec<_>>();
            self.wait_all(i, &worked);
            let stops = self.all(|d| match d {
                Does::StopsCrack { dent: d, condition: c } => (d.is_some() && *d == dent) || (c.is_some() && *c == condition),
                _ => false,
            });
            self.wait_all(i, &stops);
        }
    }

    /// Poured when the last dent in the bend is raised; melted out when its ridges lie.
    fn fills(&mut self) {
        for fill in self.all(|d| matches!(d, Does::Fills(_))) {
            let Does::Fills(dents) = self.does(fill).clone() else { continue };
            let raised = self.all(|d| matches!(d, Does::Eases(x) | Does::Works(x) if dents.contains(x)));
            self.wait_all(fill, &raised);
            let ridges = self.all(|d| matches!(d, Does::LaysRidges(x) if dents.contains(x)));
            let out = self.melting_out(fill);
            for r in &ridges {
                self.wait(*r, fill);
            }
            if let Some(out) = out {
                self.wait(out, fill);
                self.wait_all(out, &ridges);
            }
        }
    }

    fn melting_out(&self, fill: usize) -> Option<usize> {
        self.all(|d| *d == Does::MeltsOut).into_iter().find(|i| self.run(*i) == self.run(fill))
    }

    /// Bores are checked when their runs are done; closed up when what it touches is done and checked, and all that went in
    /// that method; an overlay after its joint, or after the joints beside it.
    fn closing(&mut self) {
        for i in self.all(|d| matches!(d, Does::ChecksBores(_))) {
            let Does::ChecksBores(runs) = self.does(i).clone() else { continue };
            let before = runs.iter().flat_map(|r| self.on_run(r)).collect::<Vec<_>>();
            self.wait_all(i, &before);
        }
        let closing = self.all(|d| matches!(d, Does::Closes(_)));
        let chosen = self.chosen;
        for i in &closing {
            let Does::Closes(what) = self.does(*i).clone() else { continue };
            let opened = self.all(|d| *d == Does::Opens(what.clone()));
            self.wait_all(*i, &opened);
            let mut before: Vec<usize> = self.case.touches(&what).iter().flat_map(|t| self.on_run(&t.run)).collect();
            before.extend(chosen.worked.iter().filter(|w| w.method.opens.contains(&what)).flat_map(|w| self.on_dent(&w.dent)));
            self.wait_all(*i, &before);
            if matches!(what, Opened::Overlay(_)) {
                let own = self.slides_off_at(&what);
                let first: Vec<usize> = closing
                    .iter()
                    .copied()
                    .filter(|j| match self.does(*j) {
                        Does::Closes(joint @ Opened::Joint(_)) => own.as_ref().map_or_else(|| self.meet(joint, &what), |own| own == joint),
                        _ => false,
                    })
                    .collect();
                self.wait_all(*i, &first);
            }
        }
    }

    /// What is only good order.
    fn good_order(&mut self) {
        // A brace comes off before the joints beside it, so that nothing is strained.
        let opening = self.all(|d| matches!(d, Does::Opens(_)));
        for j in &opening {
            for i in &opening {
                if let (Does::Opens(joint @ Opened::Joint(_)), Does::Opens(brace @ Opened::Overlay(_))) = (self.does(*j), self.does(*i))
                    && self.slides_off_at(brace).is_none()
                    && self.meet(joint, brace)
                {
                    self.rather_wait(*j, *i);
                }
            }
        }
        // A crease before its smooth neighbours.
        let dents: Vec<_> = self.chosen.worked.iter().filter_map(|w| self.case.dent(&w.dent)).collect();
        for x in dents.iter().filter(|d| d.crease.is_some()) {
            for y in dents.iter().filter(|d| d.crease.is_none()) {
                if near(self.case, x, y)
                    && let (Some(i), Some(j)) = (self.works(&y.id), self.works(&x.id))
                {
                    self.rather_wait(i, j);
                }
            }
        }
        // What lies under an overlay that comes off is stopped and patched when it is off. A patch waits for the dents that move
        // its metal, and for every anneal on its run, which would melt it.
        for i in self.all(|d| matches!(d, Does::StopsCrack { .. } | Does::Patches { .. })) {
            let Some(run) = self.run(i).cloned() else { continue };
            let at = self.at_mm(i);
            for j in &opening {
                let Does::Opens(what @ Opened::Overlay(_)) = self.does(*j) else { continue };
                let over = |from: f64, to: f64| at.is_none_or(|at| from <= at && at <= to);
                if self.case.touches(what).iter().any(|t| t.run == run && over(t.from_mm, t.to_mm)) {
                    self.rather_wait(i, *j);
                }
            }
            if !matches!(self.does(i), Does::Patches { .. }) {
                continue;
            }
            for j in self.all(|d| matches!(d, Does::Anneals(_) | Does::Eases(_) | Does::Works(_))) {
                let moves = match self.does(j) {
                    Does::Anneals(_) => true,
                    Does::Eases(d) | Does::Works(d) => {
                        let half = |a: &dent::Assessment| 0.5 * a.width_along_mm.value;
                        let reach = self.case.assessment(d).map_or(0.0, half) + 0.5 * crate::price::PATCH_MM + NEIGHBOURS_MM;
                        self.case.dent(d).zip(at).is_none_or(|(d, at)| (self.case.station_mm(d) - at).abs() <= reach)
                    }
                    _ => false,
                };
                if moves && self.run(j) == Some(&run) {
                    self.rather_wait(i, j);
                }
            }
        }
    }

    /// Where a stop or a patch lies on its run, mm; none where nobody said.
    fn at_mm(&self, step: usize) -> Option<f64> {
        match self.does(step) {
            Does::Patches { at_mm, .. } => Some(*at_mm),
            Does::StopsCrack { dent: Some(d), .. } => self.case.dent(d).map(|d| self.case.station_mm(d)),
            Does::StopsCrack { condition: Some(c), .. } => {
                self.case.survey.conditions.iter().find(|x| x.id == *c).map(|c| self.case.condition_mm(c))
            }
            _ => None,
        }
    }

    /// What lets go in a heat is soldered after it where the order can have it so, and rather when the metal about it is done.
    fn resoldered(&mut self) {
        for resoldering in &self.draft.resoldering {
            self.rather_wait(resoldering.by, resoldering.heat);
        }
        for i in self.all(|d| matches!(d, Does::Resolders(_))) {
            let Does::Resolders(what) = self.does(i).clone() else { continue };
            for j in self.case.touches(&what).iter().flat_map(|t| self.on_run(&t.run)).collect::<Vec<_>>() {
                self.rather_wait(i, j);
            }
        }
    }

    /// Heat, and whatever else is led through a bend, before it is full; what cannot, when it is empty again. No flame on a
    /// filled bend.
    fn while_filled(&mut self) {
        let chosen = self.chosen;
        for fill in self.all(|d| matches!(d, Does::Fills(_))) {
            let (Does::Fills(mine), Some(run), Some(out)) = (self.does(fill).clone(), self.run(fill).cloned(), self.melting_out(fill))
            else {
                continue;
            };
            let mut others = self.all(|d| matches!(d, Does::Anneals(_)));
            others.retain(|i| self.run(*i) == Some(&run));
            for w in chosen.worked.iter().filter(|w| !mine.contains(&w.dent)) {
                let through = w.method.passage.iter().flat_map(|p| &p.parts).any(|p| p.run == run);
                if through || self.case.dent(&w.dent).is_some_and(|d| d.run == run) {
                    others.extend(self.on_dent(&w.dent));
                }
            }
            for i in others {
                if self.waits(i, fill) {
                    self.rather_wait(i, out);
                } else {
                    self.wait(fill, i);
                }
            }
            for i in 0..self.after.len() {
                let s = &self.draft.steps[i].step;
                let hot = s.heat.is_some() || matches!(s.kind, StepKind::Patch | StepKind::ReplaceRun);
                if hot && s.run.as_ref() == Some(&run) && !self.waits(out, i) {
                    self.rather_wait(i, out);
                }
            }
        }
    }
}

/// Whether two dents of one run move each other's metal.
fn near(case: &Case, a: &instrument::Dent, b: &instrument::Dent) -> bool {
    let half = |d: &instrument::Dent| case.assessment(&d.id).map_or(0.0, |a| 0.5 * a.width_along_mm.value);
    a.run == b.run && (case.station_mm(a) - case.station_mm(b)).abs() <= half(a) + half(b) + NEIGHBOURS_MM
}

/// What a dent waits for is as urgent as the dent itself.
fn hurry(draft: &mut Draft, after: &[Vec<usize>]) {
    let mut moved = true;
    while std::mem::take(&mut moved) {
        for (i, before) in after.iter().enumerate() {
            for j in before {
                let (mine, theirs) = (draft.steps[i].rank, draft.steps[*j].rank);
                if mine.0 == phase::WORK && theirs.0 == phase::WORK && theirs.1 > mine.1 {
                    draft.steps[*j].rank = mine;
                    moved = true;
                }
            }
        }
    }
}
