//! An overlay: new, or over the pattern's.

use super::reader::Reader;
use crate::file::{CoverEntry, OverlayEntry};
use crate::words::{part_label, plain};
use instrument::{Cover, Instrument, Overlay, OverlayKind};
use metal::Filler;
use std::ops::Range;
use units::measured::Gauge;

impl Reader<'_> {
    pub(crate) fn overlay(&mut self, instrument: &mut Instrument, e: &OverlayEntry) {
        let id = &e.id.value;
        let label = |field: &str| format!("{}: {field}", part_label(id));
        self.place(format!("overlays.{id}"), &e.id.span);
        let kind = e.kind.as_ref().and_then(|k| self.word::<OverlayKind>(k, &label("kind")));
        if let Some(covers) = &e.covers {
            self.place(format!("overlays.{id}.covers"), &covers.span);
        }
        let covers = e
            .covers
            .as_ref()
            .map(|c| c.value.iter().filter_map(|cover| self.cover(cover, &c.span, instrument, &label("covers"))).collect::<Vec<_>>());
        let filler = match &e.filler {
            Some(f) if plain(&f.value) == "none" => Some(None),
            Some(f) => self.filler(f, true, &label("filler")).map(Some),
            None => None,
        };
        let slides = e.slides_off_at.as_ref().map(|j| j.value.as_str().into());
        let (off, back) = (self.minutes(e.off.as_ref(), &label("off")), self.minutes(e.back.as_ref(), &label("back")));
        if let Some(o) = instrument.overlays.iter_mut().find(|o| o.id.0 == *id) {
            o.name = e.name.clone().unwrap_or_else(|| o.name.clone());
            o.kind = kind.unwrap_or(o.kind);
            o.covers = covers.unwrap_or_else(|| o.covers.clone());
            o.filler = filler.unwrap_or(o.filler);
            o.slides_off_at = slides.or_else(|| o.slides_off_at.clone());
            o.off_minutes = off.or(o.off_minutes);
            o.back_minutes = back.or(o.back_minutes);
            return;
        }
        let (Some(kind), Some(covers)) = (kind, covers) else {
            if e.kind.is_none() || e.covers.is_none() {
                self.problem(
                    Some(&e.id.span),
                    part_label(id),
                    "a new brace, ferrule, guard or patch needs `kind` and `covers`",
                    "write covers = [{ run = \"first-branch\", from = \"0 mm\", to = \"20 mm\" }]",
                );
            }
            return;
        };
        instrument.overlays.push(Overlay {
            id: id.as_str().into(),
            name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
            filler: filler.unwrap_or(if kind == OverlayKind::RimWire { None } else { Some(Filler::UnknownSoft) }),
            kind,
            covers,
            slides_off_at: slides,
            off_minutes: off,
            back_minutes: back,
        });
    }

    fn cover(&mut self, c: &CoverEntry, span: &Range<usize>, instrument: &Instrument, field: &str) -> Option<Cover> {
        let from_mm = self.measured(&c.from, span, field, Gauge::LENGTH)?.value;
        let to_mm = self.measured(&c.to, span, field, Gauge::LENGTH)?.value;
        let clock_deg = match &c.clock {
            Some(range) => Some(self.clock_range(range, span, field)?),
            None => None,
        };
        Some(Cover { run: self.run_named(&c.run, instrument, span, field)?, from_mm, to_mm, clock_deg })
    }
}
