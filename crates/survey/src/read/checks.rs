//! What only shows once the parts are put together, brought back to its line.

use super::reader::Reader;
use crate::problem::{Problem, line_of};
use crate::words::part_label;
use instrument::check::{self, Severity};
use instrument::{RunId, Survey};
use std::collections::BTreeSet;
use std::ops::Range;

impl Reader<'_> {
    /// A pattern's joint or overlay that no longer agrees does so because of a run that the file changed.
    fn cause(&self, survey: &Survey, part: &str) -> Option<&Range<usize>> {
        let (list, id) = part.split_once('.')?;
        let i = &survey.instrument;
        let runs: Vec<&RunId> = match list {
            "joints" => i.joints.iter().find(|j| j.id.0 == id).map(|j| vec![&j.a.run, &j.b.run])?,
            "overlays" => i.overlays.iter().find(|o| o.id.0 == id).map(|o| o.covers.iter().map(|c| &c.run).collect())?,
            "fits" => i.fits.iter().find(|f| f.id.0 == id).map(|f| vec![&f.inner, &f.outer])?,
            _ => return None,
        };
        let fields = ["bore", "axis", "wall"];
        let field = runs.iter().find_map(|r| fields.iter().find_map(|f| self.places.get(&format!("runs.{r}.{f}"))));
        field.or_else(|| runs.iter().find_map(|r| self.places.get(&format!("runs.{r}"))))
    }

    /// That nothing is damaged: such a survey is looked after on the tablet, and there is nothing to plan.
    pub(super) fn nothing_to_plan(&mut self, survey: &Survey) {
        // Beside a mistake it would only be in the way: the dents may be what could not be read.
        if survey.has_work() || self.problems.iter().any(|p| !p.warning) {
            return;
        }
        self.problems.push(Problem {
            line: None,
            field: "dent".to_owned(),
            what: "the survey names no dent, no other damage and no work: there is nothing to plan".into(),
            hint: "add the first with a line [[dent]], and under it run = \"…\"".into(),
            warning: true,
        });
    }

    /// The problems of the plain data, brought back to their lines.
    pub(super) fn plain_data(&mut self, survey: &Survey, found: Vec<check::Problem>) {
        let refusals: BTreeSet<String> = self.problems.iter().filter(|p| !p.warning).map(|p| p.field.clone()).collect();
        for p in found {
            let part = p.path.splitn(3, '.').take(2).collect::<Vec<_>>().join(".");
            let place = self.places.get(&p.path).or_else(|| self.places.get(&part)).or_else(|| self.cause(survey, &part));
            // What a pattern brought needs no warning that its user cannot hint.
            if place.is_none() && p.severity == Severity::Warning {
                continue;
            }
            let mut words = p.path.splitn(3, '.');
            let list = words.next().unwrap_or_default().trim_end_matches('s').to_owned();
            let field = match (words.next(), words.next()) {
                (Some(wish), None) if list == "wishe" => format!("wishes: {wish}"),
                (Some(id), Some(field)) if list == "overlay" => format!("{}: {field}", part_label(id)),
                (Some(id), None) if list == "overlay" => part_label(id),
                (Some(id), Some(field)) => format!("{list} {id}: {field}"),
                (None | Some(""), None) => list,
                (Some(id), None) => format!("{list} {id}"),
                (None, Some(_)) => list,
            };
            // A field that could not be read is not told to be missing as well.
            if refusals.contains(&field) {
                continue;
            }
            let line = place.map(|s| line_of(self.text, s.start));
            self.problems.push(Problem { line, field, what: p.what, hint: p.hint, warning: p.severity == Severity::Warning });
        }
    }
}
