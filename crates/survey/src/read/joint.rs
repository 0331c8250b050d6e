//! A joint: new, or over the pattern's.

use super::reader::Reader;
use crate::file::JointEntry;
use crate::located::Located;
use crate::words::plain;
use instrument::{End, Instrument, Joint, JointKind, RunEnd};
use metal::Filler;
use units::measured::Gauge;

impl Reader<'_> {
    fn run_end(&mut self, text: &Located<String>, instrument: &Instrument, field: &str) -> Option<RunEnd> {
        let (run, end) = text.value.trim().rsplit_once(' ').unwrap_or((&text.value, ""));
        let end = match plain(end).as_str() {
            "start" => End::Start,
            "end" | "finish" => End::Finish,
            _ => {
                self.problem(
                    Some(&text.span),
                    field,
                    format!("“{}” is no end of a run", text.value),
                    "write it like \"first-branch start\" (mouthpiece side) or \"first-branch end\" (bell side)",
                );
                return None;
            }
        };
        Some(RunEnd { run: self.run_named(run, instrument, &text.span, field)?, end })
    }

    pub(crate) fn joint(&mut self, instrument: &mut Instrument, e: &JointEntry) {
        let id = &e.id.value;
        let label = |field: &str| format!("joint {id}: {field}");
        self.place(format!("joints.{id}"), &e.id.span);
        let from = e.from.as_ref().and_then(|t| self.run_end(t, instrument, &label("from")));
        let to = e.to.as_ref().and_then(|t| self.run_end(t, instrument, &label("to")));
        let overlap = self.located(e.overlap.as_ref(), format!("joints.{id}.overlap"), &label("overlap"), Gauge::LENGTH).map(|k| k.value);
        // A filler alone is the filler of what holds it already.
        let known = instrument.joints.iter().find(|j| j.id.0 == *id).map(|j| j.kind);
        let same = known.as_ref().and_then(JointKind::is_soft).filter(|_| e.filler.is_some());
        let held = e
            .held_by
            .as_ref()
            .map(|h| plain(&h.value))
            .or_else(|| same.map(|soft| if soft { "soft solder" } else { "silver braze" }.to_owned()));
        let filler_text = e.filler.clone();
        let kind = match held.as_deref() {
            None => None,
            Some("soft solder") => Some(JointKind::SoftSoldered {
                filler: filler_text.and_then(|f| self.filler(&f, true, &label("filler"))).unwrap_or(Filler::UnknownSoft),
            }),
            Some("silver braze" | "silver solder") => Some(JointKind::SilverBrazed {
                filler: filler_text.and_then(|f| self.filler(&f, false, &label("filler"))).unwrap_or(Filler::UnknownSilver),
            }),
            Some("slide") => Some(JointKind::SlidingFit),
            Some("thread") => Some(JointKind::Threaded),
            Some("pressed") => Some(JointKind::Pressed),
            Some("fixed") => Some(JointKind::Fixed),
            Some(other) => {
                let span = e.held_by.as_ref().map(|h| h.span.clone());
                self.problem(
                    span.as_ref(),
                    label("held_by"),
                    format!("“{other}” holds no joint"),
                    "write \"soft solder\", \"silver braze\", \"slide\", \"thread\", \"pressed\" or \"fixed\"",
                );
                None
            }
        };
        if let (Some(filler), Some(None)) = (&e.filler, kind.as_ref().or(known.as_ref()).map(JointKind::is_soft)) {
            self.problem(
                Some(&filler.span),
                label("filler"),
                "what is not soldered has no filler",
                "leave it out, or say that it is soldered",
            );
        }
        let (open, close) = (self.minutes(e.open.as_ref(), &label("open")), self.minutes(e.close.as_ref(), &label("close")));
        if let Some(j) = instrument.joints.iter_mut().find(|j| j.id.0 == *id) {
            j.name = e.name.clone().unwrap_or_else(|| j.name.clone());
            j.a = from.unwrap_or_else(|| j.a.clone());
            j.b = to.unwrap_or_else(|| j.b.clone());
            j.kind = kind.unwrap_or(j.kind);
            j.overlap_mm = overlap.unwrap_or(j.overlap_mm);
            j.open_minutes = open.or(j.open_minutes);
            j.close_minutes = close.or(j.close_minutes);
            return;
        }
        let (Some(a), Some(b), Some(kind)) = (from, to, kind) else {
            if e.from.is_none() || e.to.is_none() || e.held_by.is_none() {
                self.problem(
                    Some(&e.id.span),
                    format!("joint {id}"),
                    "a new joint needs `from`, `to` and `held_by`",
                    "write both ends like \"leadpipe end\" and what holds it",
                );
            }
            return;
        };
        instrument.joints.push(Joint {
            id: id.as_str().into(),
            name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
            a,
            b,
            kind,
            overlap_mm: overlap.unwrap_or(0.0),
            open_minutes: open,
            close_minutes: close,
        });
    }
}
