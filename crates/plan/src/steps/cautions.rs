//! The facts of each step that decide its cautions, gathered in one place when all steps stand; the table that reads them is
//! [`crate::caution::facts`].

use super::Builder;
use super::draft::{Does, Drafted};
use crate::caution::{Act, Caution, Facts};
use crate::step::{Check, Heat, Step};
use crate::step_kind::StepKind;
use crate::steps::chosen::Worked;
use instrument::{FitState, Run, RunId};
use metal::Filler;
use reach::{MethodKind, Opened, ToolBody, ToolForce};

/// What is brazed new: free of cadmium, as the step says.
const NEW_BRAZE: Filler = Filler::Bag5;
/// How far beside a soldered place its old solder lies on the tubes, mm. Common practice, no source: it is wiped about as far.
const OLD_SOLDER_MM: f64 = 15.0;

impl Builder<'_, '_> {
    /// Sets the cautions of all steps.
    pub(super) fn cautions(&mut self) {
        let lights: Vec<bool> = self.draft.steps.iter().map(|d| self.lights(d)).collect();
        for (d, flame) in self.draft.steps.iter_mut().zip(&lights) {
            d.step.flame = *flame;
        }
        let any_flame = lights.contains(&true);
        let all: Vec<Vec<Caution>> = self.draft.steps.iter().map(|d| self.all_cautions(d, any_flame)).collect();
        for (d, cautions) in self.draft.steps.iter_mut().zip(all) {
            d.step.cautions = cautions;
        }
    }

    /// What its facts raise, and what the shop's list says besides.
    fn all_cautions(&self, d: &Drafted, any_flame: bool) -> Vec<Caution> {
        let mut all = Caution::of(&self.facts(d, any_flame));
        all.extend(&d.known.hazards);
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Whether a flame is lit in a step: with a heat that was worked out, at the bench for a brace, or between the passes of a dent.
    fn lights(&self, d: &Drafted) -> bool {
        let of_kind = match d.step.kind {
            StepKind::Anneal | StepKind::Patch | StepKind::BrazeBrace | StepKind::MakeBrace => true,
            StepKind::OpenJoint | StepKind::OverlayOff | StepKind::CloseJoint | StepKind::OverlayBack => d.known.melts.is_some(),
            StepKind::Dent => d.step.relit > 0,
            _ => false,
        };
        of_kind || d.step.heat.is_some() || d.known.hazards.contains(&Caution::Flame)
    }

    /// The choice that a step works.
    fn works(&self, does: &Does) -> Option<&Worked<'_>> {
        let (Does::Works(dent) | Does::Eases(dent) | Does::LaysRidges(dent)) = does else { return None };
        self.chosen.worked.iter().find(|w| w.dent == *dent)
    }

    fn facts(&self, d: &Drafted, any_flame: bool) -> Facts {
        let s = &d.step;
        let mut f = Facts { acts: self.acts(d), fill: d.known.fill, flame_in_plan: any_flame, ..Facts::default() };
        let worked = self.worked_on(d);
        f.abraded = worked.iter().map(|r| r.finish).collect();
        f.renewed.clone_from(&d.known.renewed);
        f.may_be_beryllium = worked.iter().any(|r| r.may_be_beryllium);
        f.brittle = self.brittle(d);
        f.residue = f.does(Act::Plays) && self.leaves_residue(s) || f.does(Act::BlowsAir) && self.draft.steps.iter().any(|x| x.step.flame);
        // What is scraped off cold is as old as what is melted.
        if matches!(s.kind, StepKind::Align | StepKind::BrazeBrace) {
            f.fillers.extend(s.opened.as_ref().and_then(|o| self.case.filler(o)));
        }
        if s.flame {
            self.flame(d, &mut f);
        }
        f
    }

    /// What the flame of a step meets.
    fn flame(&self, d: &Drafted, f: &mut Facts) {
        let (s, case) = (&d.step, self.case);
        match s.kind {
            StepKind::BrazeBrace => {
                // Nobody knows what the old braze at its break is.
                f.fillers.push(Filler::UnknownSilver);
                f.fluxed.push(NEW_BRAZE);
            }
            StepKind::MakeBrace => f.fluxed.push(NEW_BRAZE),
            _ => {
                f.fillers.extend(d.known.melts);
                f.fluxed.extend(d.known.melts);
            }
        }
        // A dent that is annealed between its passes has the flame of its anneal.
        let heat = s.heat.as_ref().or_else(|| self.anneal_heat(s));
        if let Some(h) = heat {
            f.fillers.extend(self.nearly_melts(h));
            f.fillers.extend(self.left_on_metal(s, h));
            f.lets_go = s.heat.is_some() && h.neighbours.iter().any(|n| n.too_close);
            f.too_weak = s.heat.is_some() && h.too_weak.is_some();
        }
        let mut lit: Vec<RunId> = s.run.iter().cloned().chain(heat.map(|h| h.run.clone())).collect();
        lit.extend(s.opened.iter().flat_map(|o| self.touched(o)));
        if let Some(h) = heat {
            f.spoils_wanted =
                s.heat.is_some() && lit.iter().any(|r| case.constraints.spoils(case.instrument(), r, h.target_degc).is_some());
            lit.extend(h.burnt_mm().map(|(run, _)| run.clone()));
        }
        let runs: Vec<&Run> = lit.iter().filter_map(|r| case.run(r)).collect();
        f.heated = runs.iter().map(|r| r.finish).collect();
        f.may_be_beryllium |= runs.iter().any(|r| r.may_be_beryllium);
        f.oiled = self.oiled_runs().any(|r| lit.contains(r));
    }

    /// The flame of the anneal that comes before a dent.
    fn anneal_heat(&self, s: &Step) -> Option<&Heat> {
        let dent = s.dents.first()?;
        let anneal = |d: &&Drafted| matches!(&d.does, Does::Anneals(dents) if dents.contains(dent));
        self.draft.steps.iter().find(anneal)?.step.heat.as_ref()
    }

    /// Fillers of soldered places beside a flame that melt, or come so near to it that they are kept cold with a wet cloth.
    fn nearly_melts<'s>(&'s self, h: &'s Heat) -> impl Iterator<Item = Filler> + 's {
        h.neighbours.iter().filter(|n| n.sink || n.too_close).filter_map(|n| self.case.filler(&n.what))
    }

    /// Fillers of what was taken off or apart where a flame is lit: its old solder still lies there.
    fn left_on_metal(&self, s: &Step, h: &Heat) -> Vec<Filler> {
        let region = s.dents.iter().find_map(|d| self.chosen.worked.iter().find(|w| w.dent == *d)?.anneal);
        let (from, to) = match region.and_then(|r| self.model.regions.get(r)) {
            Some(r) if r.run == h.run => (r.from_mm, r.to_mm),
            _ => (h.at_mm, h.at_mm),
        };
        let there = |o: &&Opened| {
            self.case
                .touches(o)
                .iter()
                .any(|t| t.run == h.run && t.from_mm.min(t.to_mm) - OLD_SOLDER_MM <= to && t.from_mm.max(t.to_mm) + OLD_SOLDER_MM >= from)
        };
        self.chosen.opened.iter().filter(there).filter_map(|o| self.case.filler(o)).collect()
    }

    /// Runs on which penetrating oil was put: of fits that are stuck, and where other work takes it; where nobody said where, all.
    fn oiled_runs(&self) -> impl Iterator<Item = &RunId> {
        let stuck = self.case.instrument().fits.iter().filter(|f| f.state == Some(FitState::Stuck));
        let oiled = self.draft.steps.iter().filter(|d| d.known.hazards.contains(&Caution::PenetratingOil));
        let all = |d: &Drafted| d.step.run.is_none();
        let anywhere = oiled.clone().any(all).then(|| self.case.instrument().runs.iter().map(|r| &r.id));
        stuck.flat_map(|f| [&f.inner, &f.outer]).chain(oiled.filter_map(|d| d.step.run.as_ref())).chain(anywhere.into_iter().flatten())
    }

    /// The runs whose metal a step works on.
    fn worked_on(&self, d: &Drafted) -> Vec<&Run> {
        let own = d.step.run.iter().chain(&d.known.on);
        own.filter_map(|r| self.case.run(r)).collect()
    }

    fn brittle(&self, d: &Drafted) -> bool {
        let at_risk = |w: &Worked| {
            let cracked = self.case.dent(&w.dent).is_some_and(|x| x.crack.is_some());
            cracked || self.case.assessment(&w.dent).is_some_and(|a| a.crack_likelihood.value > 0.2)
        };
        match d.step.kind {
            StepKind::StabiliseCrack => true,
            StepKind::Dent | StepKind::Crease => self.works(&d.does).is_some_and(at_risk),
            _ => false,
        }
    }

    /// Whether the steps of the plan leave something in the tubes that nobody should blow into.
    fn leaves_residue(&self, of: &Step) -> bool {
        let kind = |s: &Step| s.flame || matches!(s.kind, StepKind::Free | StepKind::MeltOut | StepKind::TrueFit | StepKind::Finish);
        let wet = [Caution::PenetratingOil, Caution::Solvent, Caution::Acid, Caution::Dust, Caution::SolderFlux, Caution::BrazeFlux];
        let leaves = |d: &Drafted| kind(&d.step) || d.known.hazards.iter().any(|h| wet.contains(h));
        self.draft.steps.iter().any(|d| d.step != *of && leaves(d))
    }

    /// What is done in a step.
    fn acts(&self, d: &Drafted) -> Vec<Act> {
        let s = &d.step;
        let mut acts = d.known.acts.clone();
        acts.extend(d.known.hazards.iter().filter_map(|h| act_of_hazard(*h)));
        if s.flame {
            acts.push(Act::LightsFlame);
        }
        acts.extend_from_slice(match s.kind {
            StepKind::Free => &[Act::Oils, Act::Levers],
            StepKind::StabiliseCrack => &[Act::Drills],
            StepKind::OverFill => &[Act::Strikes, Act::HoldsInVise],
            StepKind::Patch => &[Act::Files],
            StepKind::ReplaceRun | StepKind::NewBrace | StepKind::MakeBrace => &[Act::Files, Act::HoldsInVise],
            StepKind::Straighten | StepKind::StraightenSlide | StepKind::RoundOut => &[Act::Levers, Act::HoldsInVise],
            StepKind::Assemble => &[Act::Plays],
            _ => &[],
        });
        if s.checks.contains(&Check::Tight) {
            acts.push(Act::BlowsAir);
        }
        if s.checks.contains(&Check::Plays) {
            acts.push(Act::Plays);
        }
        if matches!(s.kind, StepKind::Dent | StepKind::Crease)
            && let Some(w) = self.works(&d.does)
        {
            acts.extend_from_slice(acts_of_method(w.method.kind));
            // A bend that is filled is struck over the fill, in a step of its own.
            let now = |x: &&ToolForce| !(w.method.kind == MethodKind::FilledBend && **x == ToolForce::Hammer);
            acts.extend(w.method.tool_forces.iter().filter(now).map(|x| act_of_force(*x)));
        }
        acts.sort_unstable();
        acts.dedup();
        acts
    }
}

fn acts_of_method(kind: MethodKind) -> &'static [Act] {
    match kind {
        MethodKind::StraightRod | MethodKind::CurvedRod | MethodKind::Mandrel | MethodKind::Burnishing => &[Act::Levers, Act::HoldsInVise],
        MethodKind::BallTrain => &[Act::DrivesBall],
        MethodKind::Rolling => &[Act::HoldsInVise],
        MethodKind::Hammering | MethodKind::Raising => &[Act::Strikes, Act::HoldsInVise],
        MethodKind::Magnet => &[Act::UsesMagnet],
        MethodKind::PullOutside | MethodKind::Expander | MethodKind::DrawRing | MethodKind::FilledBend => &[Act::Levers],
    }
}

/// What the shop's list means to do where it names a hazard of doing it.
fn act_of_hazard(hazard: Caution) -> Option<Act> {
    Some(match hazard {
        Caution::PenetratingOil => Act::Oils,
        Caution::Solvent => Act::Dissolves,
        Caution::CompressedAir => Act::BlowsAir,
        Caution::FlyingTool => Act::Levers,
        Caution::Vise => Act::HoldsInVise,
        Caution::Hearing => Act::Strikes,
        Caution::Dust => Act::Buffs,
        Caution::SmallParts => Act::Files,
        Caution::Lathe => Act::Turns,
        _ => return None,
    })
}

fn act_of_force(force: ToolForce) -> Act {
    match force {
        ToolForce::Hammer => Act::Strikes,
        ToolForce::Press | ToolForce::DrawBench => Act::Presses,
        ToolForce::Cable => Act::PullsCable,
    }
}

/// What making a tool asks for; nothing where it is bought.
pub(super) fn acts_of_making(body: &ToolBody) -> Vec<Act> {
    match body {
        body if body.is_bought() => vec![],
        // Round bodies come off the lathe, and their faces are polished.
        ToolBody::Ball { .. }
        | ToolBody::BallSet { .. }
        | ToolBody::Mandrel { .. }
        | ToolBody::StraightRod { .. }
        | ToolBody::CurvedRod { .. }
        | ToolBody::Burnisher { .. }
        | ToolBody::Expander { .. }
        | ToolBody::DrawRing { .. }
        | ToolBody::Roller { .. }
        | ToolBody::PullStud { .. } => vec![Act::Turns, Act::Buffs],
        _ => vec![Act::Files, Act::Buffs, Act::HoldsInVise],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!(OLD_SOLDER_MM == 15.0 && !NEW_BRAZE.contains_cadmium() && !NEW_BRAZE.is_soft());
    }

    /// What each method does, by what its file in `reach` says of it.
    #[test]
    fn what_each_method_does() {
        use MethodKind as M;
        for kind in <M as strum::VariantArray>::VARIANTS {
            let acts = acts_of_method(*kind);
            let in_vise =
                matches!(kind, M::StraightRod | M::CurvedRod | M::Mandrel | M::Burnishing | M::Rolling | M::Hammering | M::Raising);
            assert_eq!(acts.contains(&Act::HoldsInVise), in_vise, "{kind:?}");
            assert_eq!(acts.contains(&Act::Strikes), matches!(kind, M::Hammering | M::Raising), "{kind:?}");
            assert_eq!(acts.contains(&Act::DrivesBall), *kind == M::BallTrain, "{kind:?}");
            assert_eq!(acts.contains(&Act::UsesMagnet), *kind == M::Magnet, "{kind:?}");
            let by_hand = matches!(kind, M::BallTrain | M::Rolling | M::Hammering | M::Raising | M::Magnet);
            assert_eq!(acts.contains(&Act::Levers), !by_hand, "{kind:?}");
        }
    }

    #[test]
    fn what_is_bought_is_not_turned() {
        assert!(acts_of_making(&ToolBody::Press { limit_n: 1000.0, travel_mm: None }).is_empty());
        assert!(acts_of_making(&ToolBody::Ball { diameter_mm: 20.0 }).contains(&Act::Turns));
        let dolly = acts_of_making(&ToolBody::Dolly { crown_radius_mm: 40.0, face_mm: 20.0 });
        assert!(dolly.contains(&Act::Files) && !dolly.contains(&Act::Turns));
    }
}
