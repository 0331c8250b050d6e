//! What waits for what when the metal is done: fits, other work on them, the finish, assembling, the whole.

use super::Graph;
use crate::steps::draft::Does;
use instrument::RunId;

impl Graph<'_, '_> {
    /// A fit is trued when both its runs are done and what holds them is closed, then checked.
    pub(super) fn fits(&mut self) {
        let case = self.case;
        for i in self.all(|d| matches!(d, Does::TruesFits(_))) {
            let Does::TruesFits(legs) = self.does(i).clone() else { continue };
            for fit in legs.iter().filter_map(|number| case.instrument().fits.get(*number)) {
                let mut before: Vec<usize> = [&fit.inner, &fit.outer].into_iter().flat_map(|r| self.on_run(r)).collect();
                before.extend(self.all(|d| match d {
                    Does::Closes(what) | Does::Resolders(what) => self.touches(what, &fit.inner) || self.touches(what, &fit.outer),
                    _ => false,
                }));
                self.wait_all(i, &before);
            }
            for check in self.all(|d| matches!(d, Does::ChecksFits(of) if *of == legs)) {
                self.wait(check, i);
            }
        }
    }

    /// Other work on a slide or valve, when all is soldered and its run is done, and before that fit is trued and checked; anywhere, when
    /// all metal is done.
    pub(super) fn fits_work(&mut self) {
        for i in self.all(|d| matches!(d, Does::WorksFits(_))) {
            let Does::WorksFits(run) = self.does(i).clone() else { continue };
            let at = |other: &RunId| run.as_ref().is_none_or(|r| r == other);
            let runs: Vec<RunId> = self.case.instrument().runs.iter().map(|r| r.id.clone()).filter(at).collect();
            let mut before: Vec<usize> = runs.iter().flat_map(|r| self.on_run(r)).collect();
            before.extend(self.all(|d| match d {
                Does::Closes(what) | Does::Resolders(what) => runs.iter().any(|r| self.touches(what, r)),
                _ => false,
            }));
            self.wait_all(i, &before);
            for check in self.all(|d| matches!(d, Does::ChecksFits(_))) {
                if self.run(check).is_none_or(|r| run.is_none() || run.as_ref() == Some(r)) {
                    self.rather_wait(check, i);
                }
            }
        }
    }

    /// Tightness when all is closed and trued, then the finish, then assembling, then the whole.
    pub(super) fn end(&mut self) {
        let last = |d: &Does| match d {
            Does::ChecksTight | Does::ChecksMends => 1,
            Does::Finishes => 2,
            Does::WorksFinish => 3,
            Does::WorksAtAssembly => 4,
            Does::Assembles => 5,
            Does::ChecksWhole => 6,
            _ => 0,
        };
        for stage in 1..=6 {
            let before = self.all(|d| last(d) < stage);
            for i in self.all(|d| last(d) == stage) {
                self.wait_all(i, &before);
            }
        }
    }
}
