//! Steps before they are ordered: what each does, where, how urgent, and what it waits for.

use super::known::Known;
use crate::case::Case;
use crate::order::Task;
use crate::step::Step;
use instrument::{ConditionId, DentId, RunId};
use reach::Opened;
use std::collections::BTreeMap;

/// A heat in which something lets go, and the step that solders it.
pub struct Resoldering {
    /// The step with the flame.
    pub heat: usize,
    /// The step that solders again, or closes what is open by then.
    pub by: usize,
}

/// Phases, in the order of the bench where nothing else decides.
pub(super) mod phase {
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
    pub const CHECK: u32 = 10;
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
    Resolders(Opened),
    /// Mends or makes a brace on the bench.
    MendsBrace(Opened),
    /// Lines up the tubes of a joint that is open.
    Aligns(Opened),
    /// Straightens or rounds some runs.
    Straightens(Vec<RunId>),
    /// Checks what was mended apart from dents.
    ChecksMends,
    /// Trues a fit, or the legs of one slide, by their places in the instrument.
    TruesFits(Vec<usize>),
    /// Checks them.
    ChecksFits(Vec<usize>),
    /// Checks that it is tight.
    ChecksTight,
    /// Takes the tool marks out.
    Finishes,
    /// Other work on slides and valves, when all is soldered; on a run, or on no one in particular.
    WorksFits(Option<RunId>),
    /// Other work on the finish, when all metal is done.
    WorksFinish,
    /// Other work as it is put together.
    WorksAtAssembly,
    /// Puts it together.
    Assembles,
    /// Checks the whole.
    ChecksWhole,
}

/// Where a step is done.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Setup {
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
    pub(super) does: Does,
    /// What must be open for it.
    pub(super) needs_open: Vec<Opened>,
    pub(super) rank: (u32, u32),
    pub(super) setup: Setup,
    /// What its cautions hang on besides.
    pub(super) known: Known,
}

/// Steps with what they wait for, before they are ordered.
#[derive(Default)]
pub struct Draft {
    /// The steps.
    pub steps: Vec<Drafted>,
    /// What each waits for.
    pub after: Vec<Vec<usize>>,
    /// Heats with the steps that solder again what lets go in them.
    pub(super) resoldering: Vec<Resoldering>,
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

    pub(super) fn add(&mut self, step: Step, does: Does, rank: (u32, u32), setup: Setup) -> &mut Drafted {
        let at = self.steps.len();
        self.steps.push(Drafted { step, does, needs_open: vec![], rank, setup, known: Known::default() });
        &mut self.steps[at]
    }

    pub(super) fn position(&self, is: impl Fn(&Does) -> bool) -> Option<usize> {
        self.steps.iter().position(|d| is(&d.does))
    }
}
