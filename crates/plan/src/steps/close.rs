//! What was opened is closed, and overlays go back.

use super::draft::{Does, Setup, phase};
use super::{Builder, step};
use crate::step_kind::StepKind;
use reach::Opened;

impl Builder<'_, '_> {
    pub(super) fn close(&mut self) {
        let case = self.case;
        for what in &self.chosen.opened {
            let oc = case.standards.open_close(case.instrument(), what);
            let name = case.opened_name(what);
            let runs = self.touched(what);
            let (kind, words, because, rank) = match what {
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
                        "after both tubes are true and checked".to_owned(),
                        phase::CLOSE,
                    )
                }
                Opened::Overlay(id) => {
                    let kind = case.instrument().overlay(id).map_or("overlay", |o| o.kind.words());
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
            s.joint = if let Opened::Joint(id) = what { Some(id.clone()) } else { None };
            let setup = match (case.filler(what), self.model.heat_of(what)) {
                (Some(_), Some(h)) => {
                    self.heat(&mut s, self.solder_flame(what, h));
                    Setup::CloseHeat(h)
                }
                _ => Setup::Hand,
            };
            s.opened = Some(what.clone());
            self.draft.add(s, Does::Closes(what.clone()), (rank, 0), setup).known.melts = case.filler(what);
        }
    }
}
