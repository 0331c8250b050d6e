//! A moving fit: new, or over the pattern's.

use super::reader::Reader;
use crate::file::FitEntry;
use crate::located::Located;
use instrument::fields::fit::CLEARANCE;
use instrument::{Instrument, MovingFit};

impl Reader<'_> {
    pub(crate) fn fit(&mut self, instrument: &mut Instrument, e: &FitEntry) {
        let id = &e.id.value;
        let label = |field: &str| format!("fit {id}: {field}");
        self.place(format!("fits.{id}"), &e.id.span);
        let kind = e.kind.as_ref().and_then(|k| self.word(k, &label("kind")));
        let state = e.moves.as_ref().and_then(|m| self.word(m, &label("moves")));
        let clearance = self
            .located(e.clearance.as_ref(), format!("fits.{id}.clearance"), &label("clearance"), CLEARANCE.gauge())
            .map(|k| k.named("clearance"));
        let mut run = |r: &Located<String>, field: &str| self.run_named(&r.value, instrument, &r.span, &label(field));
        let inner = e.inner.as_ref().and_then(|r| run(r, "inner"));
        let outer = e.outer.as_ref().and_then(|r| run(r, "outer"));
        if let Some(f) = instrument.fits.iter_mut().find(|f| f.id.0 == *id) {
            f.name = e.name.clone().unwrap_or_else(|| f.name.clone());
            f.kind = kind.unwrap_or(f.kind);
            f.inner = inner.unwrap_or_else(|| f.inner.clone());
            f.outer = outer.unwrap_or_else(|| f.outer.clone());
            f.clearance_mm = clearance.or_else(|| f.clearance_mm.clone());
            f.state = state.or(f.state);
            return;
        }
        let (Some(kind), Some(inner), Some(outer)) = (kind, inner, outer) else {
            if e.kind.is_none() || e.inner.is_none() || e.outer.is_none() {
                self.problem(Some(&e.id.span), format!("fit {id}"), "a new fit needs `kind`, `inner` and `outer`", "name both runs");
            }
            return;
        };
        instrument.fits.push(MovingFit {
            id: id.as_str().into(),
            name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
            kind,
            inner,
            outer,
            clearance_mm: clearance,
            state,
        });
    }
}
