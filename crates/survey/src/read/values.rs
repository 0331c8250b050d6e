//! Values of a survey file: [`crate::quantity`] reads them, here what is wrong gets its field and its line.

use super::reader::Reader;
use crate::damage::read::resolve;
use crate::located::Located;
use crate::problem::Wrong;
use crate::quantity;
use crate::quantity::{ExactQuantity, Quantity};
use crate::words::{Word, plain};
use instrument::{Instrument, RunId, check};
use metal::Filler;
use std::ops::Range;
use units::measured::Gauge;
use units::{Known, ThreePoint, Unit};

impl Reader<'_> {
    /// What was read; nothing, and told, where it could not be.
    fn refusals<T>(&mut self, read: Result<T, Wrong>, span: &Range<usize>, field: &str) -> Option<T> {
        match read {
            Ok(read) => Some(read),
            Err(wrong) => {
                self.problem(Some(span), field, wrong.what, wrong.hint);
                None
            }
        }
    }

    pub(super) fn measured(&mut self, q: &Quantity, span: &Range<usize>, field: &str, gauge: Gauge) -> Option<Known> {
        self.refusals(quantity::length(q, gauge, self.default), span, field)
    }

    pub(super) fn exact(&mut self, exact: &ExactQuantity, span: &Range<usize>, field: &str, unit: Unit) -> Option<Known> {
        self.refusals(quantity::exact(exact, unit), span, field)
    }

    pub(super) fn located(&mut self, q: Option<&Located<Quantity>>, path: String, field: &str, gauge: Gauge) -> Option<Known> {
        let q = q?;
        self.place(path, &q.span);
        self.measured(&q.value, &q.span, field, gauge)
    }

    pub(super) fn angle(&mut self, text: &str, span: &Range<usize>, field: &str) -> Option<f64> {
        self.refusals(quantity::angle(text), span, field)
    }

    pub(super) fn clock_range(&mut self, range: &[String; 2], span: &Range<usize>, field: &str) -> Option<(f64, f64)> {
        Some((self.angle(&range[0], span, field)?, self.angle(&range[1], span, field)?))
    }

    pub(super) fn minutes(&mut self, three: Option<&Located<[String; 3]>>, field: &str) -> Option<ThreePoint> {
        let three = three?;
        let mut read = [0.0; 3];
        for (text, minutes) in three.value.iter().zip(&mut read) {
            match units::duration::parse_minutes(text) {
                Ok(m) => *minutes = m,
                Err(e) => return self.refusals(Err(e.into()), &three.span, field),
            }
        }
        Some(ThreePoint::new(read[0], read[1], read[2]))
    }

    /// A run of the instrument, by its id or the bench's name.
    pub(super) fn run_named(&mut self, text: &str, instrument: &Instrument, span: &Range<usize>, field: &str) -> Option<RunId> {
        let id = resolve(instrument, text);
        if instrument.run(&id).is_some() {
            return Some(id);
        }
        self.problem(Some(span), field, format!("there is no run “{}”", text.trim()), check::run_hint(instrument, &id));
        None
    }

    pub(crate) fn word<T: Word>(&mut self, text: &Located<String>, field: &str) -> Option<T> {
        let found = T::read(&text.value);
        if found.is_none() {
            self.problem(Some(&text.span), field, format!("“{}” is not known here", text.value), T::hint(&text.value));
        }
        found
    }

    pub(super) fn filler(&mut self, text: &Located<String>, soft: bool, field: &str) -> Option<Filler> {
        if plain(&text.value) == "unknown" {
            return Some(if soft { Filler::UnknownSoft } else { Filler::UnknownSilver });
        }
        let found: Filler = self.word(text, field)?;
        if found.is_soft() != soft {
            let (is, asks) = if soft { ("a silver braze", "soft solder") } else { ("a soft solder", "silver braze") };
            self.problem(
                Some(&text.span),
                field,
                format!("{} is {is}, and this is held by {asks}", found.word()),
                "say the other kind, or \"unknown\"",
            );
            return None;
        }
        Some(found)
    }
}
