//! The steps of a solution and what each must wait for.

use crate::case::Case;
use crate::caution::{self, Caution, sorted};
use crate::flame::Flaming;
use crate::heat;
use crate::level::{Level, Matters, matters};
use crate::model::Model;
use crate::order::Task;
use crate::price;
use crate::step::{Step, StepKind};
use crate::tools;
use choice::Chosen;
use instrument::{ConditionKind, Dent, DentId, FitKind, FitState, JointId, RunId};
use reach::{Method, Opened, ToolToMake};
use std::collections::BTreeMap;
use units::ThreePoint;

pub mod choice {
    //! A solution in plain words, independent of the problem's numbers.
    use crate::model::{Model, Subject, Take};
    use crate::price::Work;
    use instrument::{DentId, RunId};
    use reach::{Opened, ToolToMake, Way};

    /// A dent that is worked.
    #[derive(Clone, Debug)]
    pub struct Worked<'a> {
        /// The dent.
        pub dent: DentId,
        /// The way.
        pub way: &'a Way,
        /// The tools to make, where any are needed.
        pub tools: Vec<ToolToMake>,
        /// Number of the stretch annealed before.
        pub anneal: Option<usize>,
        /// Minutes and risk.
        pub work: Work,
    }

    /// A solution.
    #[derive(Clone, Debug, Default)]
    pub struct Chosen<'a> {
        /// Dents worked.
        pub worked: Vec<Worked<'a>>,
        /// Dents patched over.
        pub patched: Vec<DentId>,
        /// Dents left.
        pub left: Vec<DentId>,
        /// Dents gone with their run.
        pub gone: Vec<DentId>,
        /// Runs replaced.
        pub replaced: Vec<RunId>,
        /// What is opened.
        pub opened: Vec<Opened>,
    }

    impl<'a> Chosen<'a> {
        /// Reads a solution.
        pub fn read(model: &Model<'a>, s: &crate::choose::Solution) -> Self {
            let mut c = Self { opened: model.opened(s), ..Self::default() };
            for (d, w) in s.ways.iter().enumerate() {
                match (&model.dents[d], w.map(|w| &model.takes[d][w])) {
                    (Subject::Dent(id), Some(Take::Work { way, tools, anneal, work })) => c.worked.push(Worked {
                        dent: id.clone(),
                        way,
                        tools: tools.iter().map(|t| model.tools[*t].clone()).collect(),
                        anneal: *anneal,
                        work: work.clone(),
                    }),
                    (Subject::Dent(id), Some(Take::PatchOnly)) => c.patched.push(id.clone()),
                    (Subject::Dent(id), Some(Take::Replaced)) => c.gone.push(id.clone()),
                    (Subject::Run(id), _) => c.replaced.push(id.clone()),
                    (Subject::Dent(id), _) => c.left.push(id.clone()),
                }
            }
            c
        }
    }
}

mod again;
mod fill;

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

/// Steps with what they wait for, before they are ordered.
pub struct Draft {
    /// The steps; numbers and `after` are not yet set.
    pub steps: Vec<Step>,
    /// What each waits for.
    pub after: Vec<Vec<usize>>,
    ranks: Vec<(u32, u32)>,
    setups: Vec<Setup>,
}

impl Draft {
    /// The tasks to order and what each set-up costs, minutes.
    pub fn tasks(&self, case: &Case) -> (Vec<Task>, Vec<f64>, Vec<bool>) {
        let mut numbers: BTreeMap<&Setup, usize> = BTreeMap::new();
        let (mut costs, mut hot) = (Vec::new(), Vec::new());
        let tasks = (0..self.steps.len())
            .map(|i| {
                let setup = *numbers.entry(&self.setups[i]).or_insert_with(|| {
                    let (cost, heat) = match &self.setups[i] {
                        Setup::Hand => (0.0, false),
                        Setup::Bench | Setup::Finish | Setup::Fixture(..) => (case.standards.fixture.mean(), false),
                        Setup::OpenHeat(_) | Setup::CloseHeat(_) | Setup::Heat(_) => (case.standards.heat_setup.mean(), true),
                    };
                    costs.push(cost.max(0.0));
                    hot.push(heat);
                    costs.len() - 1
                });
                Task { setup, after: self.after[i].clone(), rank: self.ranks[i] }
            })
            .collect();
        (tasks, costs, hot)
    }

    fn add(&mut self, step: Step, rank: (u32, u32), setup: Setup) -> usize {
        self.steps.push(step);
        self.after.push(Vec::new());
        self.ranks.push(rank);
        self.setups.push(setup);
        self.steps.len() - 1
    }

    fn wait(&mut self, step: usize, for_: usize) {
        if step != for_ && !self.after[step].contains(&for_) {
            self.after[step].push(for_);
        }
    }

    /// Whether a step already waits, directly or through others, for another.
    fn waits(&self, step: usize, for_: usize) -> bool {
        let mut seen = vec![false; self.steps.len()];
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

    /// Good order, not need: kept only where it closes no ring.
    fn rather_wait(&mut self, step: usize, for_: usize) {
        if !self.waits(for_, step) {
            self.wait(step, for_);
        }
    }

    fn of(&self, kind: StepKind) -> Vec<usize> {
        (0..self.steps.len()).filter(|i| self.steps[*i].kind == kind).collect()
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
        cautions: caution::of_kind(kind),
        after: vec![],
        because,
    }
}

/// A reason that another may follow: with its full stop.
fn sentence(text: &str) -> String {
    if text.is_empty() || text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}

/// A size for the bench: hundredths where there are any.
pub fn mm(size: f64) -> String {
    let text = format!("{size:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// How a method is said on the bench.
pub fn method_words(method: Method) -> &'static str {
    match method {
        Method::StraightRod => "straight rod from inside",
        Method::CurvedRod => "curved rod from inside",
        Method::Mandrel => "drawn on a mandrel and rubbed down",
        Method::BallTrain => "balls driven through",
        Method::Rolling => "rolled from outside over a support",
        Method::Hammering => "hammered from outside over a support",
        Method::Magnet => "steel ball and magnet",
        Method::PullOutside => "pulled from outside by a soldered stud",
        Method::Burnishing => "burnished from inside",
        Method::Expander => "expanding plug turned out inside",
        Method::DrawRing => "drawn through a ring over a mandrel",
        Method::FilledBend => "raised, then filled and worked from outside over the fill",
        Method::Raising => "raised on a stake from inside",
    }
}

struct Builder<'c, 'a> {
    case: &'c Case<'a>,
    model: &'c Model<'a>,
    chosen: &'c Chosen<'a>,
    draft: Draft,
    open: BTreeMap<Opened, usize>,
    dent: BTreeMap<DentId, usize>,
    ready: Vec<usize>,
    /// The proof of the bores, and the runs that it proves.
    proved: Option<(usize, Vec<RunId>)>,
    /// Runs that are filled, and the step that empties each.
    filled: Vec<(RunId, usize)>,
}

/// Makes the steps of a solution.
pub fn draft<'a>(case: &Case<'a>, model: &Model<'a>, chosen: &Chosen<'a>) -> Draft {
    let mut b = Builder {
        case,
        model,
        chosen,
        draft: Draft { steps: vec![], after: vec![], ranks: vec![], setups: vec![] },
        open: BTreeMap::new(),
        dent: BTreeMap::new(),
        ready: vec![],
        proved: None,
        filled: vec![],
    };
    b.begin();
    b.make_tools();
    b.open_up();
    b.work();
    b.conditions();
    b.replace();
    b.close_up();
    b.solder_again();
    b.no_flame_on_fill();
    b.fits();
    b.finish();
    b.draft
}

impl Builder<'_, '_> {
    fn minutes(&self, kind: StepKind) -> ThreePoint {
        self.case.standards.minutes_of(kind)
    }

    /// Puts a flame on a step: its heat, the time it takes beyond the usual, what there is to take care of.
    fn heat(&mut self, s: &mut Step, flame: Option<Flaming>) {
        let Some(heat) = flame.and_then(|f| heat::heat(self.case, &f)) else { return };
        if let Some(flame_s) = &heat.flame_s {
            s.minutes = s.minutes.plus(price::flame_minutes(flame_s));
        }
        if heat.too_weak.is_some() {
            s.cautions.push(Caution::WeakTorch);
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

    /// Clean, free, strip.
    fn begin(&mut self) {
        let case = self.case;
        let mut last = None;
        if case.survey.cleaned != Some(true) {
            let s = step(
                StepKind::Clean,
                "Flush and degrease inside and out".to_owned(),
                self.minutes(StepKind::Clean),
                "dirt hides creases and holds a ball; grease burns under the torch".to_owned(),
            );
            last = Some(self.draft.add(s, (phase::CLEAN, 0), Setup::Hand));
        }
        let mut ready = Vec::new();
        for f in case.instrument().fits.iter().filter(|f| f.state == Some(FitState::Stuck)) {
            let mut s = step(
                StepKind::Free,
                format!("Free {}", f.name),
                self.minutes(StepKind::Free),
                "what is stuck keeps tools out; dents behind it were measured without taking it apart".to_owned(),
            );
            s.run = Some(f.inner.clone());
            s.joint = self.joint_of_fit(&f.inner, &f.outer);
            let i = self.draft.add(s, (phase::FREE, 0), Setup::Hand);
            if let Some(l) = last {
                self.draft.wait(i, l);
            }
            ready.push(i);
        }
        let s = step(
            StepKind::Strip,
            "Take apart by hand: mouthpiece, slides, caps, valves".to_owned(),
            self.minutes(StepKind::Strip),
            "slides and valves out of the way of tools, flame and force".to_owned(),
        );
        let strip = self.draft.add(s, (phase::STRIP, 0), Setup::Hand);
        for r in ready.into_iter().chain(last) {
            self.draft.wait(strip, r);
        }
        self.ready = vec![strip];
    }

    fn joint_of_fit(&self, inner: &RunId, outer: &RunId) -> Option<JointId> {
        let joins = |j: &&instrument::Joint| (j.a.run == *inner && j.b.run == *outer) || (j.a.run == *outer && j.b.run == *inner);
        self.case.instrument().joints.iter().find(joins).map(|j| j.id.clone())
    }

    fn make_tools(&mut self) {
        let mut made: Vec<(ToolToMake, Vec<DentId>)> = Vec::new();
        for w in &self.chosen.worked {
            for t in &w.tools {
                match made.iter_mut().find(|(m, _)| m.words == t.words) {
                    Some((_, dents)) => dents.push(w.dent.clone()),
                    None => made.push((t.clone(), vec![w.dent.clone()])),
                }
            }
        }
        for (tool, dents) in made {
            let mut s =
                step(StepKind::MakeTool, format!("Make: {}", tool.words), price::tool_minutes(self.case, &tool), tool.because.clone());
            s.dents = dents;
            self.draft.add(s, (phase::TOOL, 0), Setup::Bench);
        }
    }

    fn wait_ready(&mut self, i: usize) {
        for r in self.ready.clone() {
            self.draft.wait(i, r);
        }
    }

    fn open_up(&mut self) {
        let case = self.case;
        for what in self.chosen.opened.clone() {
            let oc = case.standards.open_close(case.instrument(), &what);
            let name = case.opened_name(&what);
            let runs: Vec<RunId> = case.touches(&what).into_iter().map(|t| t.run).collect();
            let for_dents: Vec<DentId> =
                self.chosen.worked.iter().filter(|w| w.way.opens.contains(&what)).map(|w| w.dent.clone()).collect();
            let because = self.opens_because(&what, &for_dents);
            let (kind, words) = match &what {
                Opened::Joint(_) => (StepKind::OpenJoint, format!("Open {name}")),
                Opened::Overlay(_) => (StepKind::OverlayOff, format!("Take off {name}")),
            };
            let mut s = step(kind, words, oc.open, because);
            s.run = runs.first().cloned();
            s.joint = if let Opened::Joint(id) = &what { Some(id.clone()) } else { None };
            s.dents = for_dents;
            let setup = match (case.filler(&what), self.model.heat_of(&what)) {
                (Some(filler), Some(h)) => {
                    let flame = self.solder_flame(&what, h);
                    self.heat(&mut s, flame);
                    s.cautions = sorted([s.cautions, caution::of_flame(case, Some(filler), &runs)].concat());
                    Setup::OpenHeat(h)
                }
                _ => Setup::Hand,
            };
            s.opened = Some(what.clone());
            let i = self.draft.add(s, (phase::OPEN, 0), setup);
            self.wait_ready(i);
            self.open.insert(what, i);
        }
        // A ferrule slides off over its open joint; a brace comes off before the joints beside it, so that nothing is strained.
        let all: Vec<(Opened, usize)> = self.open.iter().map(|(o, i)| (o.clone(), *i)).collect();
        for (what, i) in &all {
            let Opened::Overlay(id) = what else { continue };
            let slides = case.instrument().overlay(id).and_then(|o| o.slides_off_at.clone());
            match slides.map(Opened::Joint) {
                Some(joint) => {
                    if let Some(j) = self.open.get(&joint) {
                        self.draft.wait(*i, *j);
                    }
                }
                None => {
                    let runs: Vec<RunId> = case.touches(what).into_iter().map(|t| t.run).collect();
                    for (other, j) in &all {
                        if matches!(other, Opened::Joint(_)) && case.touches(other).iter().any(|t| runs.contains(&t.run)) {
                            self.draft.rather_wait(*j, *i);
                        }
                    }
                }
            }
        }
    }

    fn opens_because(&self, what: &Opened, dents: &[DentId]) -> String {
        let named: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
        if let Opened::Overlay(id) = what {
            let under: Vec<&str> = dents
                .iter()
                .filter(|d| self.case.dent(d).and_then(|x| self.case.survey.site(x)).is_some_and(|s| s.under.contains(id)))
                .map(|d| d.0.as_str())
                .collect();
            if !under.is_empty() {
                return format!("it lies over {}", dents_words(&under));
            }
        }
        if named.is_empty() {
            "it would let go in the heat beside it, or goes with what is opened here".to_owned()
        } else {
            format!("opened once, it lets the tool in to {}", dents_words(&named))
        }
    }

    /// Openings that a step on some run must wait for.
    fn wait_open(&mut self, i: usize, opens: &[Opened]) {
        for o in opens {
            if let Some(j) = self.open.get(o).copied() {
                self.draft.wait(i, j);
            }
        }
    }

    fn work(&mut self) {
        let case = self.case;
        let worked = self.chosen.worked.clone();
        // Anneals, each for all dents of its stretch that want it.
        let mut anneals: BTreeMap<usize, usize> = BTreeMap::new();
        for (r, region) in self.model.regions.iter().enumerate() {
            let mine: Vec<_> = worked.iter().filter(|w| w.anneal == Some(r)).collect();
            let (Some(first), Some(run)) = (mine.first(), case.run(&region.run)) else { continue };
            let advised = case.assessment(&first.dent).map(|a| a.advice_because.clone()).unwrap_or_default();
            let said = mine.iter().find_map(|w| case.overrules.anneal(&w.dent));
            let why = match (said, run.role.why_hard()) {
                (Some(o), Some(hard)) => {
                    format!("{}: annealed all the same, and soft afterwards, although {hard}. Without the overrule: {advised}", o.words())
                }
                (Some(o), None) => format!("{}: annealed. Without the overrule: {advised}", o.words()),
                (None, _) => advised,
            };
            let mut s = step(
                StepKind::Anneal,
                format!("Anneal {} from {:.0} to {:.0} mm, let it cool", run.name, region.from_mm.max(0.0), region.to_mm),
                self.minutes(StepKind::Anneal),
                why,
            );
            s.dents = mine.iter().map(|w| w.dent.clone()).collect();
            s.run = Some(region.run.clone());
            s.cautions = caution::of_flame(case, None, std::slice::from_ref(&region.run));
            let flame = case.heats.anneal_flame(&region.run, region.from_mm, region.to_mm);
            let flame = self.with_off(flame);
            self.heat(&mut s, flame);
            let mut opens: Vec<Opened> = mine.iter().flat_map(|w| w.way.opens.clone()).collect();
            opens.extend(crate::model::melts_with(case, region));
            let i = self.draft.add(s, (phase::ANNEAL, 0), Setup::Heat(format!("anneal {r}")));
            self.wait_ready(i);
            self.wait_open(i, &opens);
            anneals.insert(r, i);
        }
        for w in &worked {
            let (Some(dent), Some(a)) = (case.dent(&w.dent), case.assessment(&w.dent)) else { continue };
            let entry = w.way.passage.as_ref().map_or_else(String::new, |p| format!("{:?}", p.opening.at));
            let fixture = Setup::Fixture(dent.run.clone(), entry);
            let mut before: Vec<usize> = Vec::new();
            if w.work.stabilise.most > 0.0 {
                before.push(self.stabilise(dent, w.work.stabilise));
            }
            if let Some(anneal) = w.anneal.and_then(|r| anneals.get(&r).copied()) {
                for b in before.clone() {
                    self.draft.wait(anneal, b);
                }
                before.push(anneal);
            }
            let brittle = dent.crack.is_some() || a.crack_likelihood.value > 0.2;
            let place = place_words(case, dent);
            if dent.crease.is_some() {
                let mut s = step(
                    StepKind::Crease,
                    format!("Ease the crease of {} ({place}) from its ends inwards, over a support", w.dent),
                    w.work.crease,
                    "the fold holds the field in; forced out with it, it cracks or stays as a ridge".to_owned(),
                );
                s.dents = vec![w.dent.clone()];
                s.run = Some(dent.run.clone());
                s.cautions = caution::of_method(w.way.method, brittle);
                let i = self.draft.add(s, (phase::WORK, looks_last(a)), fixture.clone());
                for b in &before {
                    self.draft.wait(i, *b);
                }
                self.wait_ready(i);
                self.wait_open(i, &w.way.opens);
                before.push(i);
            }
            let i = self.dent_step(w, dent, a, &place, brittle, fixture);
            for b in before {
                self.draft.wait(i, b);
            }
            self.wait_ready(i);
            self.wait_open(i, &w.way.opens);
            self.dent.insert(w.dent.clone(), i);
        }
        self.dents_wait(&worked);
        self.fills(&worked);
        self.hurry();
        for tool in self.draft.of(StepKind::MakeTool) {
            for d in self.draft.steps[tool].dents.clone() {
                for i in self.on_dent(&d) {
                    self.draft.wait(i, tool);
                }
            }
        }
    }

    fn on_dent(&self, d: &DentId) -> Vec<usize> {
        let works = |k: StepKind| matches!(k, StepKind::Crease | StepKind::Dent | StepKind::OverFill);
        (0..self.draft.steps.len()).filter(|i| works(self.draft.steps[*i].kind) && self.draft.steps[*i].dents.contains(d)).collect()
    }

    fn stabilise(&mut self, dent: &Dent, minutes: ThreePoint) -> usize {
        let mut s = step(
            StepKind::StabiliseCrack,
            format!("Stop the crack of {}: a small hole at each of its ends", dent.id),
            minutes,
            "a crack runs on as soon as the metal moves".to_owned(),
        );
        s.dents = vec![dent.id.clone()];
        s.run = Some(dent.run.clone());
        let i = self.draft.add(s, (phase::CRACK, 0), Setup::Hand);
        self.wait_ready(i);
        if let Some(site) = self.case.survey.site(dent) {
            let over: Vec<Opened> = site.under.into_iter().map(Opened::Overlay).collect();
            self.wait_open(i, &over);
        }
        i
    }

    fn dent_step(&mut self, w: &choice::Worked, dent: &Dent, a: &dent::Assessment, place: &str, brittle: bool, fixture: Setup) -> usize {
        let filled = w.way.method == Method::FilledBend;
        let mut what = if filled {
            format!("Raise {} ({place}) from inside until nothing is low: {} mm", w.dent, mm(w.way.size_mm))
        } else {
            format!("Bring back {} ({place}): {}, {} mm", w.dent, method_words(w.way.method), mm(w.way.size_mm))
        };
        if let Some(p) = &w.way.passage {
            what.push_str(&format!(", in by {}", p.opening.name));
        }
        if a.advice == dent::Advice::AnnealBetweenPasses && w.anneal.is_some() {
            what.push_str("; anneal between passes");
        }
        if dent.crease.is_some() {
            what.push_str("; the field only now, from its rim inwards");
        }
        let hard = self.case.run(&dent.run).is_some_and(|r| r.role.must_stay_hard());
        if w.anneal.is_none() && (hard || crate::model::anneals(self.case, a)) {
            what.push_str("; cold, in short passes, looked at between");
        }
        let mut way = tools::with_tools(w.way, &w.tools).because;
        // What must stay hard is not annealed: what is done instead, and why.
        if w.anneal.is_none() && hard && a.advice == dent::Advice::WorkCold {
            way = format!("{} {}", sentence(&way), a.advice_because);
        }
        let minutes = if filled { w.work.dent.times(fill::RAISED_IN) } else { w.work.dent };
        let mut s = step(StepKind::Dent, what, minutes.plus(w.work.between), way);
        s.dents = vec![w.dent.clone()];
        s.run = Some(dent.run.clone());
        s.cautions = caution::of_method(w.way.method, brittle);
        if w.way.method == Method::PullOutside {
            let stud = caution::of_flame(self.case, Some(price::STUD_FILLER), std::slice::from_ref(&dent.run));
            s.cautions = sorted([s.cautions, stud].concat());
            let flame = self.with_off(price::stud_flame(self.case, dent));
            self.heat(&mut s, flame);
        }
        // Sharp before smooth.
        let sharp = 10 * (3 - a.form.min(dent::Form::VShaped) as u32);
        self.draft.add(s, (phase::WORK, looks_last(a) + 1 + sharp), fixture)
    }

    /// What a dent waits for is as urgent as the dent itself.
    fn hurry(&mut self) {
        let mut moved = true;
        while std::mem::take(&mut moved) {
            for i in 0..self.draft.steps.len() {
                for j in self.draft.after[i].clone() {
                    let (mine, theirs) = (self.draft.ranks[i], self.draft.ranks[j]);
                    if mine.0 == phase::WORK && theirs.0 == phase::WORK && theirs.1 > mine.1 {
                        self.draft.ranks[j] = mine;
                        moved = true;
                    }
                }
            }
        }
    }

    /// Dents that wait for dents: what stands in the way first; creased before their smooth neighbours; cracks on a run
    /// stopped before anything on it moves.
    fn dents_wait(&mut self, worked: &[choice::Worked]) {
        let case = self.case;
        for w in worked {
            for first in &w.way.after {
                for i in self.on_dent(&w.dent) {
                    if let Some(j) = self.dent.get(first).copied() {
                        self.draft.wait(i, j);
                    }
                }
            }
        }
        let place: Vec<Option<(&Dent, f64, f64)>> = worked
            .iter()
            .map(|w| {
                let d = case.dent(&w.dent)?;
                let a = case.assessment(&w.dent)?;
                Some((d, case.station_mm(d), 0.5 * a.width_along_mm.value))
            })
            .collect();
        for x in place.iter().flatten().filter(|x| x.0.crease.is_some()) {
            for y in place.iter().flatten().filter(|y| y.0.crease.is_none() && y.0.run == x.0.run) {
                // Neighbours whose edges lie within 30 mm of each other move each other's metal (common practice).
                if (x.1 - y.1).abs() <= x.2 + y.2 + 30.0
                    && let (Some(i), Some(j)) = (self.dent.get(&y.0.id).copied(), self.dent.get(&x.0.id).copied())
                {
                    self.draft.rather_wait(i, j);
                }
            }
        }
        for stop in self.draft.of(StepKind::StabiliseCrack) {
            let run = self.draft.steps[stop].run.clone();
            for i in (0..self.draft.steps.len())
                .filter(|i| {
                    matches!(self.draft.steps[*i].kind, StepKind::Crease | StepKind::Dent | StepKind::Anneal)
                        && self.draft.steps[*i].run == run
                })
                .collect::<Vec<_>>()
            {
                self.draft.rather_wait(i, stop);
            }
        }
    }

    fn patch(&mut self, run: &RunId, dents: Vec<DentId>, what: String, because: String, at_mm: f64) -> usize {
        let case = self.case;
        let mut s = step(StepKind::Patch, what, self.minutes(StepKind::Patch), because);
        s.dents = dents;
        s.run = Some(run.clone());
        let filler = metal::Filler::Sn96Ag4;
        s.cautions = caution::of_flame(case, Some(filler), std::slice::from_ref(run));
        let flame = self.with_off(case.heats.spot_flame(run, at_mm, PATCH_MM, filler));
        self.heat(&mut s, flame);
        let i = self.draft.add(s, (phase::PATCH, 0), Setup::Heat(format!("patch {run} {at_mm:.0}")));
        self.wait_ready(i);
        i
    }

    /// Patches over dents, and unsound metal apart from dents.
    fn conditions(&mut self) {
        let case = self.case;
        for w in self.chosen.worked.clone() {
            if w.work.patch.most > 0.0
                && let Some(dent) = case.dent(&w.dent)
            {
                let what = format!("Close {}: thin patch or silver over the crack, feathered", w.dent);
                let i = self.patch(
                    &dent.run,
                    vec![w.dent.clone()],
                    what,
                    "a crack or hole that goes through leaks and runs on".to_owned(),
                    case.station_mm(dent),
                );
                for j in self.on_dent(&w.dent) {
                    self.draft.wait(i, j);
                }
                self.wait_open(i, &w.way.opens);
            }
        }
        for id in self.chosen.patched.clone() {
            if let Some(dent) = case.dent(&id) {
                let why = case.assessment(&id).map(|a| a.advice_because.clone()).unwrap_or_default();
                self.patch(&dent.run, vec![id.clone()], format!("Patch over {id}"), why, case.station_mm(dent));
            }
        }
        for c in &case.survey.conditions {
            if self.chosen.replaced.contains(&c.run) || case.run(&c.run).is_none() {
                continue;
            }
            let at = match (c.from_mm, c.to_mm) {
                (Some(a), Some(b)) => 0.5 * (a + b),
                (Some(a), None) | (None, Some(a)) => a,
                (None, None) => case.run(&c.run).map_or(0.0, instrument::Run::length_mm) / 2.0,
            };
            let name = case.run_name(&c.run);
            let rot = c.kind == ConditionKind::RedRot;
            let leaks = matches!(c.kind, ConditionKind::Crack | ConditionKind::Hole) || (rot && c.through == Some(true));
            if !leaks || matches!(case.flame(&c.run), crate::case::Flame::Never(_)) {
                continue;
            }
            let mut before = None;
            if c.kind == ConditionKind::Crack {
                let mut s = step(
                    StepKind::StabiliseCrack,
                    format!("Stop the crack of {name} at {at:.0} mm: a small hole at each end"),
                    self.minutes(StepKind::StabiliseCrack),
                    "a crack runs on as soon as the metal moves".to_owned(),
                );
                s.run = Some(c.run.clone());
                let i = self.draft.add(s, (phase::CRACK, 0), Setup::Hand);
                self.wait_ready(i);
                before = Some(i);
            }
            let i = self.patch(&c.run, vec![], format!("Patch {name} at {at:.0} mm"), format!("{}: it leaks", condition_words(c.kind)), at);
            if let Some(b) = before {
                self.draft.wait(i, b);
            }
        }
    }

    fn replace(&mut self) {
        let case = self.case;
        for run in self.chosen.replaced.clone() {
            let name = case.run_name(&run);
            let mut s = step(
                StepKind::ReplaceRun,
                format!("Replace {name}: fit a new one to length and bore"),
                self.minutes(StepKind::ReplaceRun),
                "see the two prices: its metal, or its price, does not repay straightening".to_owned(),
            );
            s.dents = self.chosen.gone.iter().filter(|d| case.dent(d).is_some_and(|x| x.run == run)).cloned().collect();
            s.run = Some(run.clone());
            let i = self.draft.add(s, (phase::REPLACE, 0), Setup::Fixture(run.clone(), "new".to_owned()));
            self.wait_ready(i);
            let opens = crate::model::replacing_opens(case, &run);
            self.wait_open(i, &opens);
            // What stood in a tool's way and goes with its run is out of the way only then.
            let gone = self.draft.steps[i].dents.clone();
            for w in self.chosen.worked.iter().filter(|w| w.way.after.iter().any(|d| gone.contains(d))) {
                for j in self.on_dent(&w.dent) {
                    self.draft.wait(j, i);
                }
            }
        }
    }

    /// Everything on the metal of a run.
    fn on_run(&self, run: &RunId) -> Vec<usize> {
        let proof = self.proved.iter().filter(|(_, runs)| runs.contains(run)).map(|(i, _)| *i);
        let on = |k: StepKind| {
            matches!(
                k,
                StepKind::StabiliseCrack
                    | StepKind::Anneal
                    | StepKind::Crease
                    | StepKind::Dent
                    | StepKind::Fill
                    | StepKind::OverFill
                    | StepKind::MeltOut
                    | StepKind::Patch
                    | StepKind::ReplaceRun
                    | StepKind::Prove
            )
        };
        let on = (0..self.draft.steps.len()).filter(|i| on(self.draft.steps[*i].kind) && self.draft.steps[*i].run.as_ref() == Some(run));
        let mut all: Vec<usize> = on.collect();
        for i in proof {
            if !all.contains(&i) {
                all.push(i);
            }
        }
        all
    }

    fn close_up(&mut self) {
        let case = self.case;
        self.prove_passages();
        for what in self.chosen.opened.clone() {
            let oc = case.standards.open_close(case.instrument(), &what);
            let name = case.opened_name(&what);
            let runs: Vec<RunId> = case.touches(&what).into_iter().map(|t| t.run).collect();
            let (kind, words, because, rank) = match &what {
                Opened::Joint(id) => {
                    let slip: Vec<String> = self
                        .chosen
                        .opened
                        .iter()
                        .filter_map(|o| if let Opened::Overlay(x) = o { case.instrument().overlay(x) } else { None })
                        .filter(|o| o.slides_off_at.as_ref() == Some(id))
                        .map(|o| o.name.clone())
                        .collect();
                    let slip = if slip.is_empty() { String::new() } else { format!("; slip {} on first", slip.join(", ")) };
                    (
                        StepKind::CloseJoint,
                        format!("Close {name}, cleaned and fitted without strain{slip}"),
                        "after both tubes are true and proved".to_owned(),
                        phase::CLOSE,
                    )
                }
                Opened::Overlay(id) => {
                    let kind = case.instrument().overlay(id).map_or("overlay", |o| crate::case::overlay_kind_name(o.kind));
                    (
                        StepKind::OverlayBack,
                        format!("Put back {name}, bent to the tube so that it lies on without strain"),
                        format!("a {kind} soldered on a tube that is not true pulls it out of true again"),
                        phase::BRACE,
                    )
                }
            };
            let mut s = step(kind, words, oc.close, because);
            s.run = runs.first().cloned();
            s.joint = if let Opened::Joint(id) = &what { Some(id.clone()) } else { None };
            let setup = match (case.filler(&what), self.model.heat_of(&what)) {
                (Some(filler), Some(h)) => {
                    let flame = self.solder_flame(&what, h);
                    self.heat(&mut s, flame);
                    s.cautions = sorted([s.cautions, caution::of_flame(case, Some(filler), &runs)].concat());
                    Setup::CloseHeat(h)
                }
                _ => Setup::Hand,
            };
            s.opened = Some(what.clone());
            let i = self.draft.add(s, (rank, 0), setup);
            if let Some(open) = self.open.get(&what).copied() {
                self.draft.wait(i, open);
            }
            for run in &runs {
                for j in self.on_run(run) {
                    self.draft.wait(i, j);
                }
            }
            // Whatever was worked through this opening.
            for w in self.chosen.worked.iter().filter(|w| w.way.opens.contains(&what)) {
                for j in self.on_dent(&w.dent) {
                    self.draft.wait(i, j);
                }
            }
        }
        self.overlays_last();
    }

    /// A ferrule goes on with its joint, a brace when the joints beside it are closed.
    fn overlays_last(&mut self) {
        let case = self.case;
        let closes = self.draft.of(StepKind::CloseJoint);
        for i in self.draft.of(StepKind::OverlayBack) {
            let Some(what) = self.draft.steps[i].opened.clone() else { continue };
            let runs: Vec<RunId> = case.touches(&what).into_iter().map(|t| t.run).collect();
            let over = match &what {
                Opened::Overlay(id) => case.instrument().overlay(id).and_then(|o| o.slides_off_at.clone()).map(Opened::Joint),
                Opened::Joint(_) => None,
            };
            for j in &closes {
                let Some(joint) = self.draft.steps[*j].opened.clone() else { continue };
                let waits = match &over {
                    Some(own) => *own == joint,
                    None => case.touches(&joint).iter().any(|t| runs.contains(&t.run)),
                };
                if waits {
                    self.draft.wait(i, *j);
                }
            }
        }
    }

    /// The bores that were worked are proved together, the balls in hand, before anything is closed up.
    fn prove_passages(&mut self) {
        let case = self.case;
        let mut runs: Vec<RunId> = Vec::new();
        for w in &self.chosen.worked {
            if let Some(d) = case.dent(&w.dent)
                && proved_by_ball(case.instrument(), &d.run)
                && !runs.contains(&d.run)
            {
                runs.push(d.run.clone());
            }
        }
        if runs.is_empty() {
            return;
        }
        let names: Vec<String> = runs.iter().map(|r| case.run_name(r)).collect();
        let mut s = step(
            StepKind::Prove,
            match &names[..] {
                [one] => format!("Prove {one}: the largest ball that passes, against its true bore"),
                all => format!("Prove the bores, each by the largest ball that passes against its true bore: {}", all.join(", ")),
            },
            self.minutes(StepKind::Prove).times(each_further(runs.len())),
            "a dent that was missed is cheap now and dear after soldering".to_owned(),
        );
        s.run = if let [one] = &runs[..] { Some(one.clone()) } else { None };
        let before: Vec<usize> = runs.iter().flat_map(|r| self.on_run(r)).collect();
        let i = self.draft.add(s, (phase::PROVE, 0), Setup::Hand);
        for j in before {
            self.draft.wait(i, j);
        }
        self.proved = Some((i, runs));
    }

    fn fits(&mut self) {
        let case = self.case;
        for f in &case.instrument().fits {
            let complained = matches!(f.state, Some(FitState::Stiff | FitState::Binds | FitState::Stuck));
            let touched: Vec<DentId> = self
                .chosen
                .worked
                .iter()
                .filter(|w| case.dent(&w.dent).is_some_and(|d| d.run == f.inner || d.run == f.outer))
                .map(|w| w.dent.clone())
                .collect();
            let new = self.chosen.replaced.contains(&f.inner) || self.chosen.replaced.contains(&f.outer);
            if !complained && touched.is_empty() && !new {
                continue;
            }
            let mut s = step(
                StepKind::TrueFit,
                format!("True {}", f.name),
                self.minutes(StepKind::TrueFit),
                match f.kind {
                    FitKind::PistonInCasing => "the piston must fall by its own weight; clearance 0.04–0.08 mm (common practice)",
                    FitKind::RotorInCasing => "the rotor must turn without a catch",
                    FitKind::TuningSlide => "both legs parallel and round; clearance 0.05–0.10 mm (common practice)",
                    FitKind::HandSlide => "round, straight, parallel; clearance 0.08–0.15 mm (common practice)",
                }
                .to_owned(),
            );
            s.dents = touched;
            s.run = Some(f.outer.clone());
            s.joint = self.joint_of_fit(&f.inner, &f.outer);
            let i = self.draft.add(s, (phase::FIT, 0), Setup::Fixture(f.outer.clone(), "fit".to_owned()));
            self.wait_ready(i);
            self.after_runs(i, &[f.inner.clone(), f.outer.clone()]);
            let mut p = step(
                StepKind::Prove,
                format!("Prove {}: dry, then oiled, over its whole way", f.name),
                self.minutes(StepKind::Prove),
                "a moving fit is proved before anything is assembled on it".to_owned(),
            );
            p.run = Some(f.outer.clone());
            p.joint = self.draft.steps[i].joint.clone();
            let j = self.draft.add(p, (phase::FIT, 1), Setup::Fixture(f.outer.clone(), "fit".to_owned()));
            self.draft.wait(j, i);
        }
    }

    /// After all work on some runs and all that closes on them.
    fn after_runs(&mut self, i: usize, runs: &[RunId]) {
        let closes = |k: StepKind| matches!(k, StepKind::CloseJoint | StepKind::OverlayBack);
        let mut before: Vec<usize> = runs.iter().flat_map(|r| self.on_run(r)).collect();
        for j in (0..self.draft.steps.len()).filter(|j| closes(self.draft.steps[*j].kind)) {
            if let Some(what) = &self.draft.steps[j].opened
                && self.case.touches(what).iter().any(|t| runs.contains(&t.run))
            {
                before.push(j);
            }
        }
        for j in before.into_iter().filter(|j| *j != i) {
            self.draft.wait(i, j);
        }
    }

    fn finish(&mut self) {
        let case = self.case;
        let everything: Vec<usize> = (0..self.draft.steps.len()).collect();
        let closed = self.draft.steps.iter().any(|s| matches!(s.kind, StepKind::CloseJoint | StepKind::Patch | StepKind::ReplaceRun));
        let mut last: Vec<usize> = everything.clone();
        if closed {
            let s = step(
                StepKind::Prove,
                "Prove tightness: bell stopped, every joint that was opened watched".to_owned(),
                self.minutes(StepKind::Prove),
                "a leak is found before the finish is made good over it".to_owned(),
            );
            let i = self.draft.add(s, (phase::TIGHT, 0), Setup::Hand);
            for j in &everything {
                self.draft.wait(i, *j);
            }
            last = vec![i];
        }
        if case.level > Level::Play {
            last = self.finish_runs(&last);
        }
        let s = step(
            StepKind::Assemble,
            "Assemble, grease and oil".to_owned(),
            self.minutes(StepKind::Assemble),
            "all fits are proved, all heat is done".to_owned(),
        );
        let assemble = self.draft.add(s, (phase::ASSEMBLE, 0), Setup::Hand);
        let s = step(
            StepKind::Prove,
            "Prove the whole: slides and valves, tightness, played over its range".to_owned(),
            self.minutes(StepKind::Prove),
            "the job closes when each proof has a figure or a reason".to_owned(),
        );
        let prove = self.draft.add(s, (phase::LAST, 0), Setup::Hand);
        for j in last.into_iter().chain(everything) {
            self.draft.wait(assemble, j);
        }
        self.draft.wait(prove, assemble);
    }

    /// Tool marks and burnt finish of all runs that were worked or heated, in one go.
    fn finish_runs(&mut self, before: &[usize]) -> Vec<usize> {
        let case = self.case;
        let mut runs: BTreeMap<RunId, (Vec<DentId>, f64)> = BTreeMap::new();
        for s in &self.draft.steps {
            let Some(run) = &s.run else { continue };
            let burnt = s.heat.as_ref().map_or(0.0, |h| 2.0 * h.finish_burns_mm.value);
            if matches!(s.kind, StepKind::Dent | StepKind::Patch) || burnt > 0.0 {
                let entry = runs.entry(run.clone()).or_default();
                entry.1 = entry.1.max(burnt);
                if s.kind == StepKind::Dent {
                    entry.0.extend(s.dents.iter().cloned());
                }
            }
        }
        if runs.is_empty() {
            return before.to_vec();
        }
        let best = case.level == Level::Beautiful;
        let (mut minutes, mut names, mut burnt_words, mut dents, mut chrome) = (ThreePoint::ZERO, vec![], vec![], vec![], false);
        for (run, (of_run, burnt)) in &runs {
            let factor = match (best, *burnt > 0.0) {
                (true, true) => 2.5,
                (true, false) => 2.0,
                _ => 1.0,
            };
            minutes = minutes.plus(self.minutes(StepKind::Finish).times(each_further(of_run.len()) * factor));
            let name = case.run_name(run);
            if *burnt > 0.0 {
                burnt_words.push(format!("{burnt:.0} mm of {name}"));
            }
            names.push(name);
            dents.extend(of_run.iter().cloned());
            chrome |= case.run(run).is_some_and(|r| r.finish == instrument::Finish::ChromePlate);
        }
        let names = names.join(", ");
        let what = match (best, burnt_words.is_empty()) {
            (true, false) => format!("Finish: tool marks out, buff {names}; make good the finish over about {}", burnt_words.join(", ")),
            (true, true) => format!("Finish: tool marks out, buff and colour {names}"),
            _ => format!("Ease the tool marks and wipe over: {names}"),
        };
        let mut s = step(StepKind::Finish, what, minutes, "last, so that nothing scratches or burns it again".to_owned());
        s.dents = dents;
        s.run = if runs.len() == 1 { runs.into_keys().next() } else { None };
        if chrome {
            s.cautions.push(Caution::Chromium);
        }
        let i = self.draft.add(s, (phase::FINISH, 0), Setup::Finish);
        for j in before {
            self.draft.wait(i, *j);
        }
        vec![i]
    }
}

/// Whether the bore of a run is proved by the largest ball that passes: a bell is proved by the eye and a straight edge, and
/// a tube that something slides in by its fit.
pub fn proved_by_ball(instrument: &instrument::Instrument, run: &RunId) -> bool {
    use instrument::Role;
    let bell = |r: Role| matches!(r, Role::BellFlare | Role::BellStem | Role::Rim);
    instrument.run(run).is_some_and(|r| !bell(r.role)) && !instrument.fits.iter().any(|f| f.inner == *run || f.outer == *run)
}

/// One of a kind takes the standard's time; each further one in the same go adds a third. Common practice, no source.
fn each_further(count: usize) -> f64 {
    1.0 + count.saturating_sub(1) as f64 / 3.0
}

/// What is in the way of playing comes before what weakens, and that before what is only seen: should the time run out, the
/// instrument plays.
fn looks_last(a: &dent::Assessment) -> u32 {
    match matters(a) {
        Matters::Function => 0,
        Matters::Strength => 100,
        Matters::Looks => 200,
    }
}

fn condition_words(kind: ConditionKind) -> &'static str {
    match kind {
        ConditionKind::RedRot => "red rot",
        ConditionKind::SeasonCracking => "season cracking",
        ConditionKind::Crack => "a crack",
        ConditionKind::Hole => "a hole",
        ConditionKind::Thin => "thin wall",
    }
}

/// "dent a", "dents a, b and c".
pub fn dents_words(dents: &[&str]) -> String {
    match dents {
        [] => "no dent".to_owned(),
        [one] => format!("dent {one}"),
        [all @ .., last] => format!("dents {} and {last}", all.join(", ")),
    }
}

fn place_words(case: &Case, dent: &Dent) -> String {
    let name = case.run_name(&dent.run);
    match &dent.at_mm {
        Some(at) => format!("{name}, {:.0} mm", at.value),
        None => name,
    }
}
