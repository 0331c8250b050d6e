//! The way of the air from the receiver to the bell's rim with all valves at rest.

use crate::{End, Instrument, Joint, JointKind, Role, Run, RunEnd};
use std::collections::HashMap;

/// A run on the way of the air.
#[derive(Clone, Debug, PartialEq)]
pub struct AirPart<'a> {
    /// The run.
    pub run: &'a Run,
    /// The end by which the air enters it.
    pub enters: End,
    /// What it adds to the length of the way, mm: its axis less what a slide that is pushed in covers; for a valve the
    /// casing's bore, which a straight port crosses.
    pub adds_mm: f64,
}

impl Instrument {
    /// The runs from the receiver (or the first open end) to the bell's rim, valves at rest, slides pushed in; none where
    /// the survey's runs do not lead there.
    ///
    /// It is the shortest way through the joints: a valve's loop leaves its casing and comes back to it, so the shortest
    /// way never takes it. On a double horn it is the shorter of the two sides.
    pub fn air_path(&self) -> Option<Vec<AirPart<'_>>> {
        let by_run: HashMap<&str, usize> = self.runs.iter().enumerate().map(|(i, r)| (r.id.0.as_str(), i)).collect();
        let open = |i: usize, end: End| self.joints_at(&RunEnd { run: self.runs[i].id.clone(), end }).is_empty();
        let all = || 0..self.runs.len();
        let first = all()
            .find(|i| self.runs[*i].role == Role::Receiver)
            .or_else(|| all().find(|i| !matches!(self.runs[*i].role, Role::Casing | Role::Piston) && open(*i, End::Start)))?;
        let last = all().find(|i| matches!(self.runs[*i].role, Role::Rim | Role::BellFlare) && open(*i, End::Finish))?;

        // Dijkstra over the runs; a few dozen of them, so the plain form will do.
        let mut best: Vec<Option<(f64, End, Option<usize>)>> = vec![None; self.runs.len()];
        let mut done = vec![false; self.runs.len()];
        best[first] = Some((across_mm(&self.runs[first]), End::Start, None));
        loop {
            let (here, (so_far, enters, _)) =
                all().filter(|i| !done[*i]).filter_map(|i| best[i].map(|b| (i, b))).min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
            done[here] = true;
            if here == last {
                break;
            }
            for (there, by, overlap) in self.joints.iter().filter_map(|j| beyond(j, &self.runs[here], enters)) {
                let Some(&next) = by_run.get(there.0.as_str()) else { continue };
                let length = so_far + (across_mm(&self.runs[next]) - overlap).max(0.0);
                if best[next].is_none_or(|(known, ..)| length < known) && !done[next] {
                    best[next] = Some((length, by, Some(here)));
                }
            }
        }
        let mut path = Vec::new();
        let mut at = Some(last);
        while let Some(i) = at {
            let (length, enters, before) = best[i]?;
            let so_far = before.and_then(|b| best[b]).map_or(0.0, |b| b.0);
            path.push(AirPart { run: &self.runs[i], enters, adds_mm: length - so_far });
            at = before;
        }
        path.reverse();
        Some(path)
    }
}

/// Length of a run on the way of the air, mm.
fn across_mm(run: &Run) -> f64 {
    if run.role == Role::Casing { run.bore_mm.at(0.0).value } else { run.length_mm() }
}

/// Through a joint of a run: the run beyond, the end by which it is entered, what a slide covers. A tube is left by its
/// other end, a casing by any of its ports.
fn beyond<'a>(joint: &'a Joint, run: &Run, entered: End) -> Option<(&'a crate::RunId, End, f64)> {
    let (from, to) = if joint.a.run == run.id {
        (&joint.a, &joint.b)
    } else if joint.b.run == run.id {
        (&joint.b, &joint.a)
    } else {
        return None;
    };
    let leaves = run.role == Role::Casing || from.end != entered;
    let overlap = if joint.kind == JointKind::SlidingFit { joint.overlap_mm } else { 0.0 };
    leaves.then_some((&to.run, to.end, overlap))
}
