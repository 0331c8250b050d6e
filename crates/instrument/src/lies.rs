//! Where a condition lies on an instrument, and of what it is.

use crate::{Condition, End, Instrument, Run, RunEnd, RunId};

/// A stretch of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Lies {
    /// The run.
    pub run: RunId,
    /// First station, mm; none: nobody said where.
    pub from_mm: Option<f64>,
    /// Last station, mm.
    pub to_mm: Option<f64>,
}

impl Condition {
    /// Where it lies on the runs: where it was said to, or where its brace, joint or slide lies.
    pub fn lies(&self, instrument: &Instrument) -> Vec<Lies> {
        let on = |run: &RunId, from_mm, to_mm| Lies { run: run.clone(), from_mm, to_mm };
        let mut all: Vec<Lies> = self.run.iter().map(|run| on(run, self.from_mm, self.to_mm)).collect();
        if let Some(o) = self.overlay.as_ref().and_then(|id| instrument.overlay(id)) {
            all.extend(o.covers.iter().map(|c| on(&c.run, Some(c.from_mm), Some(c.to_mm))));
        }
        if let Some(j) = self.joint.as_ref().and_then(|id| instrument.joint(id)) {
            let end_mm = |end: &RunEnd| match end.end {
                End::Start => 0.0,
                End::Finish => instrument.run(&end.run).map_or(0.0, Run::length_mm),
            };
            all.extend([&j.a, &j.b].map(|end| on(&end.run, Some(end_mm(end)), Some(end_mm(end)))));
        }
        if let Some(f) = self.fit.as_ref().and_then(|id| instrument.fit(id)) {
            all.extend([&f.inner, &f.outer].map(|run| on(run, self.from_mm, self.to_mm)));
        }
        all
    }

    /// What the bench calls the brace, the joint, the slide or the tube; its id where the instrument has none such.
    pub fn of_what(&self, instrument: &Instrument) -> String {
        let overlay = self.overlay.as_ref().map(|id| instrument.overlay(id).map_or_else(|| id.0.clone(), |o| o.name.clone()));
        let joint = || self.joint.as_ref().map(|id| instrument.joint(id).map_or_else(|| id.0.clone(), |j| j.name.clone()));
        let fit = || self.fit.as_ref().map(|id| instrument.fit(id).map_or_else(|| id.0.clone(), |f| f.name.clone()));
        let run = || self.run.as_ref().map(|id| instrument.run(id).map_or_else(|| id.0.clone(), |r| r.name.clone()));
        overlay.or_else(joint).or_else(fit).or_else(run).unwrap_or_default()
    }
}
