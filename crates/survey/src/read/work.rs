//! Work that is asked for by name. What its places are is looked at with the plain data.

use super::reader::Reader;
use crate::damage::read::resolve;
use crate::file::WorkEntry;
use instrument::{Instrument, Work};
use std::collections::BTreeSet;

impl Reader<'_> {
    pub(super) fn work(&mut self, instrument: &Instrument, entries: &[WorkEntry]) -> Vec<Work> {
        let mut taken: BTreeSet<String> = entries.iter().filter_map(|e| e.id.as_ref()).map(|id| id.value.clone()).collect();
        let (mut next, mut all) = (1, Vec::new());
        for e in entries {
            let id = match &e.id {
                Some(id) => id.value.clone(),
                None => {
                    while !taken.insert(format!("w{next}")) {
                        next += 1;
                    }
                    format!("w{next}")
                }
            };
            self.place(format!("works.{id}"), e.id.as_ref().map_or(&e.job.span, |id| &id.span));
            let fields = [("job", Some(&e.job.span)), ("count", e.count.as_ref().map(|c| &c.span))];
            let places = [("run", e.run.as_ref()), ("joint", e.joint.as_ref())].map(|(key, at)| (key, at.map(|at| &at.span)));
            for (key, span) in fields.into_iter().chain(places) {
                if let Some(span) = span {
                    self.place(format!("works.{id}.{key}"), span);
                }
            }
            all.push(Work {
                job: e.job.value.trim().to_owned(),
                count: e.count.as_ref().map_or(1, |c| c.value),
                run: e.run.as_ref().map(|r| resolve(instrument, &r.value)),
                joint: e.joint.as_ref().map(|j| j.value.as_str().into()),
                optional: e.optional,
                note: e.note.clone(),
                ..Work::new(id, "")
            });
        }
        all
    }
}
