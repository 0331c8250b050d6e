//! What dents may ask for before they are worked: tools to make, stretches to anneal, bends to fill.

use super::{Item, Model, flame_penalty};
use crate::case::Case;
use crate::openings::Region;
use crate::softening::anneals;
use crate::{price, tools};
use instrument::RunId;
use reach::{MethodKind, ToolPiece};

/// Dents nearer than this are annealed in one heat, mm. Common practice, no source.
const ONE_ANNEAL_MM: f64 = 80.0;

impl<'a> Model<'a> {
    pub(super) fn collect_tools(&mut self, case: &Case<'a>, dents: &[&instrument::Dent]) {
        for method in dents.iter().flat_map(|d| case.methods(&d.id)) {
            let worth = |t: &ToolPiece| case.dent(&method.dent).is_some_and(|d| price::worth_making(case, &t.body, &d.run));
            for tool in tools::pieces(method) {
                if worth(tool) && !self.tools.iter().any(|t| t.body == tool.body) {
                    self.tools.push(tool.clone());
                }
            }
        }
        for (t, tool) in self.tools.clone().iter().enumerate() {
            self.add_item(Item::Tool(t), price::tool_share(case, &tool.body), vec![], price::tool_minutes(case, &tool.body).mean(), 0.0);
        }
    }

    pub(super) fn collect_regions(&mut self, case: &Case<'a>, dents: &[&instrument::Dent]) {
        let mut softened: Vec<(&instrument::Dent, f64, f64)> = dents
            .iter()
            .filter_map(|d| {
                let a = case.assessment(&d.id)?;
                let half = 0.5 * a.width_along_mm.value.clamp(1.0, 400.0);
                anneals(case, a).then(|| (*d, case.station_mm(d) - half, case.station_mm(d) + half))
            })
            .collect();
        softened.sort_by(|a, b| a.0.run.cmp(&b.0.run).then(a.1.total_cmp(&b.1)));
        for (d, from, to) in softened {
            match self.regions.last_mut() {
                Some(r) if r.run == d.run && from - r.to_mm < 0.5 * ONE_ANNEAL_MM && to - r.from_mm < 2.0 * ONE_ANNEAL_MM => {
                    r.to_mm = r.to_mm.max(to);
                    r.dents.push(d.id.clone());
                }
                _ => self.regions.push(Region { run: d.run.clone(), from_mm: from, to_mm: to, dents: vec![d.id.clone()] }),
            }
        }
        for (i, r) in self.regions.clone().iter().enumerate() {
            let cost = case.run(&r.run).map_or(0.0, |run| price::anneal_money(case, run, r.from_mm, r.to_mm));
            let penalty = flame_penalty(&case.flame_to_anneal(&r.run));
            self.add_item(Item::Anneal(i), cost, vec![], price::anneal_min(case), penalty);
        }
    }

    /// Dents of one bend share its fill.
    pub(super) fn collect_fills(&mut self, case: &Case<'a>, dents: &[&instrument::Dent]) {
        let filled = |d: &&&instrument::Dent| case.methods(&d.id).iter().any(|w| w.kind == MethodKind::FilledBend);
        let mut runs: Vec<RunId> = dents.iter().filter(filled).map(|d| d.run.clone()).collect();
        runs.sort();
        runs.dedup();
        for run in runs {
            let minutes = price::fill_min(case);
            self.add_item(Item::Fill(run), minutes * case.per_minute(), vec![], minutes, 0.0);
        }
    }
}
