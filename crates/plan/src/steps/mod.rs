//! The steps of a solution. One file a phase, in the order of the bench: `open`, `work` (with `fill`), `patch`, `close` (with
//! `again`), `accept`, `finish`. A phase only says what its steps do ([`Does`]); what must wait for what is worked out in one
//! place, `precedence`, when all steps stand.

use crate::case::Case;
use crate::caution::Caution;
use crate::flame::Flaming;
use crate::heat;
use crate::model::Model;
use crate::order::Task;
use crate::price;
use crate::step::{Step, StepKind};
use chosen::Chosen;
use instrument::{ConditionId, Dent, DentId, JointId, RunId};
use reach::Opened;
use std::collections::BTreeMap;
use units::ThreePoint;

pub mod accept;
mod again;
mod cautions;
pub mod chosen;
mod close;
mod fill;
mod finish;
mod open;
mod patch;
mod precedence;
mod reduction;
pub mod words;
mod work;

pub use words::{dents_words, method_words, mm};

/// A patch's flame covers this, mm. Common practice, no source.
pub(crate) const PATCH_MM: f64 = 20.0;

/// Phases, in the order of the bench where nothing else decides.
mod phase {
    pub const CLEAN: u32 = 0;
    pub const FREE: u32 = 1;
    pub const STRIP: u32 = 2;
    pub const TOOL: u32 = 3;
    pub const OPEN: u32 = 4;
    pub const CRACK: u32 = 5;
    pub const ANNEAL: u32 = 6;
    pub const WORK: u32 = 7;
    pub const PATCH: u32 = 8;
    pub const REPLACE: u32 = 9;
    pub const PROVE: u32 = 10;
    pub const CLOSE: u32 = 11;
    pub const BRACE: u32 = 12;
    pub const FIT: u32 = 13;
    pub const TIGHT: u32 = 14;
    pub const FINISH: u32 = 15;
    pub const ASSEMBLE: u32 = 16;
    pub const LAST: u32 = 17;
}

/// What a step does to what: the facts that the precedences are made from.
#[derive(Clone, Debug, PartialEq)]
pub enum Does {
    /// Flushes and degreases.
    Cleans,
    /// Frees something stuck.
    Frees,
    /// Takes apart by hand.
    Strips,
    /// Makes a tool for some dents.
    MakesTool(Vec<DentId>),
    /// Opens a joint or takes an overlay off.
    Opens(Opened),
    /// Stops a crack: of a dent, or of a condition.
    StopsCrack {
        /// The dent.
        dent: Option<DentId>,
        /// The condition.
        condition: Option<ConditionId>,
    },
    /// Anneals a stretch for some dents.
    Anneals(Vec<DentId>),
    /// Eases the crease of a dent.
    Eases(DentId),
    /// Works a dent's field.
    Works(DentId),
    /// Fills a bend for some dents.
    Fills(Vec<DentId>),
    /// Lays down the ridges of a dent over the fill.
    LaysRidges(DentId),
    /// Melts the fill out of a bend.
    MeltsOut,
    /// Patches: over a dent, or a condition.
    Patches {
        /// The dent.
        dent: Option<DentId>,
        /// The condition.
        condition: Option<ConditionId>,
        /// Station, mm.
        at_mm: f64,
    },
    /// Replaces a run, and some dents with it.
    Replaces(Vec<DentId>),
    /// Checks the bores of some runs.
    ChecksBores(Vec<RunId>),
    /// Closes a joint or puts an overlay back.
    Closes(Opened),
    /// Solders again what let go in the heat of another step.
    SoldersAgain(Opened),
    /// Trues a fit, by its place in the instrument.
    TruesFit(usize),
    /// Checks a fit.
    ChecksFit(usize),
    /// Checks that it is tight.
    ChecksTight,
    /// Takes the tool marks out.
    Finishes,
    /// Puts it together.
    Assembles,
    /// Checks the whole.
    ChecksWhole,
}

/// Where a step is done.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Setup {
    Hand,
    Bench,
    OpenHeat(usize),
    CloseHeat(usize),
    Heat(String),
    Fixture(RunId, String),
    Finish,
}

/// A step that is not yet in its place.
pub struct Drafted {
    /// The step; its number and `after` are not yet set.
    pub step: Step,
    /// What it does.
    does: Does,
    /// What must be open for it.
    needs_open: Vec<Opened>,
    rank: (u32, u32),
    setup: Setup,
}

/// Steps with what they wait for, before they are ordered.
#[derive(Default)]
pub struct Draft {
    /// The steps.
    pub steps: Vec<Drafted>,
    /// What each waits for.
    pub after: Vec<Vec<usize>>,
    /// Heats with the steps that solder again what lets go in them.
    again: Vec<again::Again>,
}

impl Draft {
    /// The tasks to order, what each set-up costs, minutes, and whether it is a heat.
    pub fn tasks(&self, case: &Case) -> (Vec<Task>, Vec<f64>, Vec<bool>) {
        let mut numbers: BTreeMap<&Setup, usize> = BTreeMap::new();
        let (mut costs, mut hot) = (Vec::new(), Vec::new());
        let tasks = self
            .steps
            .iter()
            .zip(&self.after)
            .map(|(d, after)| {
                let setup = *numbers.entry(&d.setup).or_insert_with(|| {
                    let (cost, heat) = match &d.setup {
                        Setup::Hand => (0.0, false),
                        Setup::Bench | Setup::Finish | Setup::Fixture(..) => (case.standards.fixture.mean(), false),
                        Setup::OpenHeat(_) | Setup::CloseHeat(_) | Setup::Heat(_) => (case.standards.heat_setup.mean(), true),
                    };
                    costs.push(cost.max(0.0));
                    hot.push(heat);
                    costs.len() - 1
                });
                Task { setup, after: after.clone(), rank: d.rank }
            })
            .collect();
        (tasks, costs, hot)
    }

    fn add(&mut self, step: Step, does: Does, rank: (u32, u32), setup: Setup) -> &mut Drafted {
        let at = self.steps.len();
        self.steps.push(Drafted { step, does, needs_open: vec![], rank, setup });
        &mut self.steps[at]
    }

    fn position(&self, is: impl Fn(&Does) -> bool) -> Option<usize> {
        self.steps.iter().position(|d| is(&d.does))
    }
}

fn step(kind: StepKind, what: String, minutes: ThreePoint, because: String) -> Step {
    Step {
        number: 0,
        setting: 0,
        kind,
        what,
        dents: vec![],
        run: None,
        opened: None,
        joint: None,
        minutes,
        heat: None,
        cautions: cautions::of_kind(kind),
        checks: vec![],
        after: vec![],
        because,
    }
}

struct Builder<'c, 'a> {
    case: &'c Case<'a>,
    model: &'c Model<'a>,
    chosen: &'c Chosen<'a>,
    draft: Draft,
}

/// Makes the steps of a solution.
pub fn draft<'a>(case: &Case<'a>, model: &Model<'a>, chosen: &Chosen<'a>) -> Draft {
    let mut b = Builder { case, model, chosen, draft: Draft::default() };
    b.begin();
    b.make_tools();
    b.open();
    b.anneals();
    b.work();
    b.fills();
    b.patches();
    b.replace();
    b.check_bores();
    b.close();
    b.solder_again();
    b.fits();
    b.check_tight();
    b.finish();
    b.assemble();
    precedence::set(case, chosen, &mut b.draft);
    b.draft
}

impl Builder<'_, '_> {
    fn minutes(&self, kind: StepKind) -> ThreePoint {
        self.case.standards.minutes_of(kind)
    }

    /// Puts a flame on a step: its heat, the time it takes beyond the usual, what there is to take care of.
    fn heat(&self, s: &mut Step, flame: Option<Flaming>) {
        let Some(heat) = flame.and_then(|f| heat::heat(self.case, &f)) else { return };
        if let Some(flame_s) = &heat.flame_s {
            s.minutes = s.minutes.plus(price::flame_minutes(flame_s));
        }
        if heat.too_weak.is_some() {
            s.cautions.push(Caution::WeakTorch);
        }
        let heated = std::iter::once(&heat.run).chain(s.run.as_ref());
        let runs: Vec<RunId> = heated.cloned().chain(s.opened.iter().flat_map(|o| self.touched(o))).collect();
        if runs.iter().any(|r| self.case.constraints.spoils(self.case.instrument(), r, heat.target_degc).is_some()) {
            s.cautions.push(Caution::FinishWanted);
        }
        s.heat = Some(heat);
    }

    /// A flame that is lit when all that is opened is apart.
    fn with_off(&self, flame: Option<Flaming>) -> Option<Flaming> {
        let mut flame = flame?;
        flame.off = self.chosen.opened.clone();
        Some(flame)
    }

    /// The flame that opens or closes something, with all that is opened in the same heat.
    fn solder_flame(&self, what: &Opened, heat: usize) -> Option<Flaming> {
        let mut flame = self.case.heats.solder_flame(what)?;
        let along = self.chosen.opened.iter().filter(|o| self.model.heat_of(o) == Some(heat));
        for o in along {
            if !flame.aims.contains(o) {
                flame.aims.push(o.clone());
            }
        }
        Some(flame)
    }

    fn joint_of_fit(&self, inner: &RunId, outer: &RunId) -> Option<JointId> {
        let joins = |j: &&instrument::Joint| (j.a.run == *inner && j.b.run == *outer) || (j.a.run == *outer && j.b.run == *inner);
        self.case.instrument().joints.iter().find(joins).map(|j| j.id.clone())
    }

    /// The runs that something to be opened touches.
    fn touched(&self, what: &Opened) -> Vec<RunId> {
        self.case.touches(what).into_iter().map(|t| t.run).collect()
    }
}

/// One of a kind takes the standard's time; each further one in the same go adds a third. Common practice, no source.
fn each_further(count: usize) -> f64 {
    1.0 + count.saturating_sub(1) as f64 / 3.0
}

fn place_words(case: &Case, dent: &Dent) -> String {
    let name = case.run_name(&dent.run);
    match &dent.at_mm {
        Some(at) => format!("{name}, {:.0} mm", at.value),
        None => name,
    }
}
