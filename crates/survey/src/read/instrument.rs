//! The instrument: its pattern, and what the file says of the whole.

use super::reader::Reader;
use crate::file::InstrumentEntry;
use crate::words::{Word, nearest, plain};
use instrument::{Finish, Instrument, Kind};

impl Reader<'_> {
    pub(super) fn instrument(&mut self, entry: &InstrumentEntry) -> Instrument {
        let mut instrument = Instrument::new(Kind::Other);
        if let Some(kind) = &entry.kind
            && let Some(kind) = self.word(kind, "instrument: kind")
        {
            instrument.kind = kind;
        }
        if let Some(pattern) = &entry.pattern {
            match pattern_named(&pattern.value) {
                Some(found) => instrument = found,
                None => {
                    let known: Vec<&str> = instrument::patterns::names().collect();
                    let hint = nearest(&plain(&pattern.value), known.iter().copied())
                        .map_or_else(|| format!("name one of {}", known.join(", ")), |near| format!("did you mean \"{near}\"?"));
                    self.problem(Some(&pattern.span), "instrument: pattern", format!("there is no pattern “{}”", pattern.value), hint);
                }
            }
        }
        instrument.maker.clone_from(&entry.maker);
        instrument.model.clone_from(&entry.model);
        instrument.serial.clone_from(&entry.serial);
        if let Some(value) = &entry.value {
            match units::money::parse_money(&value.value) {
                Ok(amount) => instrument.value_money = amount.to_string().parse().ok(),
                Err(e) => self.problem(Some(&value.span), "instrument: value", e.what(), e.hint()),
            }
        }
        if let Some(finish) = &entry.finish
            && let Some(finish) = self.word::<Finish>(finish, "instrument: finish")
        {
            instrument.coat(finish, |_| true);
        }
        instrument
    }
}

/// A pattern by its own name or by another word for its kind.
pub(crate) fn pattern_named(text: &str) -> Option<Instrument> {
    instrument::patterns::named(&plain(text)).or_else(|| Kind::read(text).and_then(instrument::patterns::pattern))
}
