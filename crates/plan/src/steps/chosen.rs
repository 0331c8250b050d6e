//! The solution of the choice: which method for which dent, what is opened, patched, replaced, left; independent of the problem's
//! numbers.

use crate::mend::Way;
use crate::model::{Item, Model, Subject, Take};
use crate::price::Work;
use instrument::{ConditionId, DentId, RunId, WorkId};
use reach::{Method, Opened, ToolPiece};

/// A dent that is worked.
#[derive(Clone, Debug)]
pub struct Worked<'a> {
    /// The dent.
    pub dent: DentId,
    /// The method.
    pub method: &'a Method,
    /// The pieces to make, where any are needed.
    pub tools: Vec<ToolPiece>,
    /// Number of the stretch annealed before.
    pub anneal: Option<usize>,
    /// Minutes and risk.
    pub work: Work,
}

/// Something apart from dents that is mended.
#[derive(Clone, Debug)]
pub struct Mended {
    /// What is wrong.
    pub condition: ConditionId,
    /// How it is mended.
    pub way: Way,
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
    /// What is mended apart from dents.
    pub mended: Vec<Mended>,
    /// Other work that cannot be done.
    pub work_left: Vec<WorkId>,
    /// What is opened.
    pub opened: Vec<Opened>,
}

impl<'a> Chosen<'a> {
    /// Reads a solution.
    pub fn read(model: &Model<'a>, s: &crate::choose::Solution) -> Self {
        let mut c = Self { opened: model.opened(s), ..Self::default() };
        for o in &s.opened {
            if let Item::Replace(run) = &model.items[*o] {
                c.replaced.push(run.clone());
            }
        }
        for (d, w) in s.methods.iter().enumerate() {
            match (&model.dents[d], w.map(|w| &model.takes[d][w])) {
                (Subject::Dent(id), Some(Take::Work { method, tools, anneal, work })) => c.worked.push(Worked {
                    dent: id.clone(),
                    method,
                    tools: tools.iter().map(|t| model.tools[*t].clone()).collect(),
                    anneal: *anneal,
                    work: work.clone(),
                }),
                (Subject::Dent(id), Some(Take::PatchOnly)) => c.patched.push(id.clone()),
                (Subject::Dent(id), Some(Take::Replaced)) => c.gone.push(id.clone()),
                (Subject::Run(id), _) => c.replaced.push(id.clone()),
                (Subject::Condition(id), Some(Take::Mend(way))) => c.mended.push(Mended { condition: id.clone(), way: way.clone() }),
                (Subject::Condition(_), _) | (Subject::Work(_), Some(Take::Other)) => {}
                (Subject::Work(id), _) => c.work_left.push(id.clone()),
                (Subject::Dent(id), _) => c.left.push(id.clone()),
            }
        }
        c
    }

    /// What is made for the job, a piece once, each with the dents that it is made for.
    pub fn tools_to_make(&self) -> Vec<(ToolPiece, Vec<DentId>)> {
        let mut all: Vec<(ToolPiece, Vec<DentId>)> = Vec::new();
        for w in &self.worked {
            for tool in &w.tools {
                match all.iter_mut().find(|(t, _)| t.body == tool.body) {
                    Some((_, dents)) => dents.push(w.dent.clone()),
                    None => all.push((tool.clone(), vec![w.dent.clone()])),
                }
            }
        }
        all
    }
}
