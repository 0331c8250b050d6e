//! All that the plan looks at, in one place, with what is asked of it again and again.

use crate::aftermath::Aftermaths;
use crate::overrule::{Decision, Overrules};
use crate::{Heats, Level, Standards};
use dent::Assessment;
use instrument::{Condition, Dent, DentId, End, Finish, Instrument, JointKind, Run, RunEnd, RunId, Survey};
use metal::Filler;
use reach::{Constraints, DentMethods, Method, Opened};
use std::collections::HashMap;
use std::sync::OnceLock;

/// What the plan is made from.
pub struct Case<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// The shop's standards.
    pub standards: &'a Standards,
    /// What a person decided.
    pub overrules: &'a Overrules,
    /// What that and the customer's wishes rule out.
    pub constraints: Constraints,
    /// How far the work goes.
    pub level: Level,
    /// What flames do to it.
    pub heats: &'a Heats<'a>,
    assessments: HashMap<&'a str, &'a Assessment>,
    methods: HashMap<&'a str, &'a DentMethods>,
    /// What follows where a run cracks or is spoiled: of those with dents, reckoned when first asked for.
    consequences: HashMap<&'a str, OnceLock<Aftermaths>>,
}

/// A stretch of a run that a thing touches.
#[derive(Clone, Debug, PartialEq)]
pub struct Touch {
    /// The run.
    pub run: RunId,
    /// First station, mm.
    pub from_mm: f64,
    /// Last station, mm.
    pub to_mm: f64,
}

/// Whether a flame may be lit; a later one weighs more.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flame {
    /// It may.
    Free,
    /// Only where nothing else is possible; why.
    Unwanted(String),
    /// Never; why.
    Never(String),
}

impl<'a> Case<'a> {
    /// Puts it together.
    pub fn new(
        survey: &'a Survey,
        assessments: &'a [Assessment],
        methods: &'a [DentMethods],
        heats: &'a Heats<'a>,
        standards: &'a Standards,
        overrules: &'a Overrules,
        level: Level,
    ) -> Self {
        let dented = survey.instrument.runs.iter().filter(|r| survey.dents.iter().any(|d| d.run == r.id));
        Self {
            survey,
            heats,
            standards,
            overrules,
            constraints: overrules.constraints(survey),
            level,
            assessments: assessments.iter().map(|a| (a.dent.0.as_str(), a)).collect(),
            methods: methods.iter().map(|w| (w.dent.0.as_str(), w)).collect(),
            consequences: dented.map(|r| (r.id.0.as_str(), OnceLock::new())).collect(),
        }
    }

    /// The instrument.
    pub fn instrument(&self) -> &'a Instrument {
        &self.survey.instrument
    }

    /// The assessment of a dent.
    pub fn assessment(&self, dent: &DentId) -> Option<&'a Assessment> {
        self.assessments.get(dent.0.as_str()).copied()
    }

    /// The methods to a dent that may be taken, cold and after an anneal.
    pub fn methods(&self, dent: &DentId) -> Vec<&'a Method> {
        let all = self.reach(dent).into_iter().flat_map(|w| w.methods.iter().chain(&w.after_anneal));
        all.filter(|w| touches_metal(w)).collect()
    }

    /// Whether the forces of a dent's methods after an anneal were worked out. Where not (a record of before), those of the hard metal
    /// stand for them.
    pub fn anneal_reckoned(&self, dent: &DentId) -> bool {
        self.reach(dent).is_some_and(|w| !(w.after_anneal.is_empty() && w.rejected_after_anneal.is_empty()))
    }

    /// Whether a dent is to be worked: by the level, or because a person said so.
    pub fn wants_dent(&self, id: &DentId) -> bool {
        let Some(a) = self.assessment(id) else { return false };
        match self.overrules.of_dent(id).map(|o| &o.decision) {
            Some(Decision::LeaveDent { .. }) => false,
            Some(_) => true,
            None => self.overrules.anneal(id).is_some() || self.level.wants(a),
        }
    }

    /// All that reach says of a dent.
    pub fn reach(&self, dent: &DentId) -> Option<&'a DentMethods> {
        self.methods.get(dent.0.as_str()).copied()
    }

    /// A dent of the survey.
    pub fn dent(&self, id: &DentId) -> Option<&'a Dent> {
        self.survey.dent(id)
    }

    /// A run of the instrument.
    pub fn run(&self, id: &RunId) -> Option<&'a Run> {
        self.instrument().run(id)
    }

    /// What the bench calls a run.
    pub fn run_name(&self, id: &RunId) -> String {
        self.run(id).map_or_else(|| id.0.clone(), |r| r.name.clone())
    }

    /// What the bench calls something that is opened.
    pub fn opened_name(&self, what: &Opened) -> String {
        match what {
            Opened::Joint(id) => self.instrument().joint(id).map_or_else(|| id.0.clone(), |j| j.name.clone()),
            Opened::Overlay(id) => self.instrument().overlay(id).map_or_else(|| id.0.clone(), |o| o.name.clone()),
        }
    }

    /// Station of a dent's middle, mm.
    pub fn station_mm(&self, dent: &Dent) -> f64 {
        match &dent.at_mm {
            Some(at) => at.value,
            None => self.run(&dent.run).map_or(0.0, Run::length_mm) / 2.0,
        }
    }

    /// Station of a condition's middle, mm; the run's middle where nobody said.
    pub fn condition_mm(&self, c: &Condition) -> f64 {
        match (c.from_mm, c.to_mm) {
            (Some(a), Some(b)) => 0.5 * (a + b),
            (Some(a), None) | (None, Some(a)) => a,
            (None, None) => c.run.as_ref().and_then(|r| self.run(r)).map_or(0.0, Run::length_mm) / 2.0,
        }
    }

    /// Station of a run's end, mm.
    pub fn end_mm(&self, end: &RunEnd) -> f64 {
        match end.end {
            End::Start => 0.0,
            End::Finish => self.run(&end.run).map_or(0.0, Run::length_mm),
        }
    }

    /// The filler that a flame melts to open something; none where it comes apart cold.
    pub fn filler(&self, what: &Opened) -> Option<Filler> {
        reach::filler_of(self.instrument(), what)
    }

    /// Whether something is opened by hand, in no time.
    pub fn by_hand(&self, what: &Opened) -> bool {
        crate::holds::by_hand(self.instrument(), what)
    }

    /// Where something that is opened lies on the runs. A joint lies on the last of its overlap on either run.
    pub fn touches(&self, what: &Opened) -> Vec<Touch> {
        match what {
            Opened::Joint(id) => self.instrument().joint(id).map_or_else(Vec::new, |j| {
                [&j.a, &j.b]
                    .into_iter()
                    .map(|end| {
                        let at = self.end_mm(end);
                        Touch { run: end.run.clone(), from_mm: at, to_mm: at }
                    })
                    .collect()
            }),
            Opened::Overlay(id) => self.instrument().overlay(id).map_or_else(Vec::new, |o| {
                o.covers.iter().map(|c| Touch { run: c.run.clone(), from_mm: c.from_mm, to_mm: c.to_mm }).collect()
            }),
        }
    }

    /// Why something must stay as it is; none where it may be opened.
    pub fn barred(&self, what: &Opened) -> Option<String> {
        if let Some(said) = self.constraints.barred(self.instrument(), what) {
            return Some(said.words());
        }
        let fixed = matches!(what, Opened::Joint(id) if self.instrument().joint(id).is_some_and(|j| j.kind == JointKind::Fixed));
        fixed.then(|| "it is made of one piece".to_owned())
    }

    /// Whether a flame of so many °C may be lit on a run.
    pub fn flame(&self, run: &RunId, degc: f64) -> Flame {
        if let Some(said) = self.constraints.no_flame.get(run) {
            return Flame::Never(said.words());
        }
        self.constraints.spoils(self.instrument(), run, degc).map_or(Flame::Free, |said| Flame::Unwanted(said.words()))
    }

    /// Whether the flame that opens something may be lit.
    pub fn flame_to_open(&self, what: &Opened) -> Flame {
        let Some(filler) = self.filler(what) else { return Flame::Free };
        self.touches(what).iter().map(|t| self.flame(&t.run, filler.worked_at_degc())).max().unwrap_or(Flame::Free)
    }

    /// Whether a run may be annealed.
    pub fn flame_to_anneal(&self, run: &RunId) -> Flame {
        self.flame(run, self.run(run).map_or(f64::INFINITY, |r| crate::flame::anneal_degc(r.alloy)))
    }

    /// What a run costs where it is spoiled, money: the price of a new one by its role, or the shop's figure.
    pub fn part_price(&self, run: &RunId) -> f64 {
        self.run(run).map_or(self.standards.spoiled_part.max(0.0), |r| self.standards.part_price(r.role))
    }

    /// What a new run costs besides fitting it and what is opened for it, money: the part, finding and ordering it, the wait for it,
    /// its finish.
    pub fn new_part_money(&self, run: &RunId) -> f64 {
        self.part_price(run)
            + ORDERING_MIN * self.per_minute()
            + self.standards.wait_for_part.max(0.0)
            + self.run(run).map_or(0.0, |r| self.new_finish_money(r))
    }

    /// What it costs to finish a new run like its neighbors, money: it comes raw.
    fn new_finish_money(&self, run: &Run) -> f64 {
        if run.finish == Finish::Raw { 0.0 } else { run.length_mm() * self.standards.finish_per_mm.max(0.0) }
    }

    /// What follows where a run cracks or is spoiled, kept once it is reckoned ([`crate::consequence`]).
    pub fn kept_consequence(&self, run: &RunId, reckon: impl Fn() -> Aftermaths) -> Aftermaths {
        self.consequences.get(run.0.as_str()).map_or_else(&reckon, |kept| *kept.get_or_init(&reckon))
    }

    /// Labour per minute, money.
    pub fn per_minute(&self) -> f64 {
        self.standards.labour_per_hour.max(0.0) / 60.0
    }

    /// Dents of a run that are in the survey.
    pub fn dents_on<'s>(&'s self, run: &'s RunId) -> impl Iterator<Item = &'a Dent> + 's {
        self.survey.dents.iter().filter(move |d| d.run == *run)
    }
}

/// Minutes of finding, ordering and receiving a part. Common practice, no source.
const ORDERING_MIN: f64 = 30.0;

/// A tool from inside that asks no force passes under the dent without touching it.
fn touches_metal(method: &Method) -> bool {
    method.passage.is_none() || method.force_hand_n.value > 0.0
}
