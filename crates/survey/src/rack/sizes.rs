//! The sizes of a tool: which its kind has, each read with its unit.

use super::reader::Reader;
use crate::located::Located;
use crate::problem::{Problem, line_of};
use crate::quantity::Quantity;
use crate::rack_file::ToolEntry;
use crate::words::plain;
use metal::Fill;
use reach::ToolBody;
use std::collections::BTreeSet;
use std::ops::Range;
use units::Text;
use units::force::parse_force_n;
use units::length::parse_length_mm;
use units::power::parse_power_w;

/// Columns of a CSV rack besides `id`, `name`, `place` and `kind`.
pub(crate) const SIZES: [&str; 19] = [
    "wear",
    "diameter",
    "length",
    "head",
    "radius",
    "small",
    "large",
    "smallest",
    "largest",
    "step",
    "limit",
    "least_radius",
    "pull",
    "half_distance",
    "face_radius",
    "foot",
    "jaws",
    "fill",
    "power",
];

/// The sizes of one tool as they are read; `fine` falls at the first that cannot be.
pub(super) struct Sizes<'r, 't> {
    pub(super) reader: &'r mut Reader<'t>,
    pub(super) tool: &'r str,
    pub(super) span: Range<usize>,
    pub(super) fine: bool,
    pub(super) used: BTreeSet<&'static str>,
}

impl Sizes<'_, '_> {
    pub(super) fn body(&mut self, kind: &str, e: &ToolEntry) -> Option<ToolBody> {
        Some(match kind {
            "straight rod" | "rod" => {
                let diameter_mm = self.length("diameter", e.diameter.as_ref());
                let head_mm = self.or("head", e.head.as_ref(), diameter_mm);
                ToolBody::StraightRod { diameter_mm, length_mm: self.length("length", e.length.as_ref()), head_mm }
            }
            "curved rod" => {
                let diameter_mm = self.length("diameter", e.diameter.as_ref());
                let head_mm = self.or("head", e.head.as_ref(), diameter_mm);
                let radius_mm = self.length("radius", e.radius.as_ref());
                ToolBody::CurvedRod { diameter_mm, length_mm: self.length("length", e.length.as_ref()), radius_mm, head_mm }
            }
            "mandrel" => {
                let small_mm = self.length("small", e.small.as_ref());
                let large_mm = self.or("large", e.large.as_ref(), small_mm);
                ToolBody::Mandrel { small_mm, large_mm, length_mm: self.length("length", e.length.as_ref()) }
            }
            "ball set" | "balls" => ToolBody::BallSet {
                smallest_mm: self.length("smallest", e.smallest.as_ref()),
                largest_mm: self.length("largest", e.largest.as_ref()),
                step_mm: self.length("step", e.step.as_ref()),
            },
            "ball" => ToolBody::Ball { diameter_mm: self.length("diameter", e.diameter.as_ref()) },
            "cable" => {
                ToolBody::Cable { length_mm: self.length("length", e.length.as_ref()), limit_n: self.force("limit", e.limit.as_ref()) }
            }
            "flexible shaft" => ToolBody::FlexibleShaft {
                diameter_mm: self.length("diameter", e.diameter.as_ref()),
                length_mm: self.length("length", e.length.as_ref()),
                least_radius_mm: self.length("least_radius", e.least_radius.as_ref()),
                limit_n: self.force("limit", e.limit.as_ref()),
            },
            "magnet" => ToolBody::Magnet {
                pull_n: self.force("pull", e.pull.as_ref()),
                half_distance_mm: self.length("half_distance", e.half_distance.as_ref()),
            },
            "hammer" => ToolBody::Hammer { face_radius_mm: self.length("face_radius", e.face_radius.as_ref()) },
            "roller" | "burnisher" => ToolBody::Roller { diameter_mm: self.length("diameter", e.diameter.as_ref()) },
            "stake" | "bell stake" => ToolBody::Stake {
                crown_radius_mm: self.length("face_radius", e.face_radius.as_ref()),
                face_mm: self.length("head", e.head.as_ref()),
                diameter_mm: self.length("diameter", e.diameter.as_ref()),
                length_mm: self.length("length", e.length.as_ref()),
            },
            "dolly" => ToolBody::Dolly {
                crown_radius_mm: self.length("face_radius", e.face_radius.as_ref()),
                face_mm: self.length("head", e.head.as_ref()),
            },
            "pull stud" | "stud" => ToolBody::PullStud { foot_mm: self.length("foot", e.foot.as_ref()) },
            "press" => ToolBody::Press {
                limit_n: self.force("limit", e.limit.as_ref()),
                travel_mm: e.length.as_ref().map(|length| self.length("length", Some(length))),
            },
            "inside burnisher" => {
                let diameter_mm = self.length("diameter", e.diameter.as_ref());
                let head_mm = self.or("head", e.head.as_ref(), diameter_mm);
                ToolBody::Burnisher { diameter_mm, length_mm: self.length("length", e.length.as_ref()), head_mm }
            }
            "expander" | "expanding plug" => ToolBody::Expander {
                smallest_mm: self.length("smallest", e.smallest.as_ref()),
                largest_mm: self.length("largest", e.largest.as_ref()),
                jaws_mm: self.length("jaws", e.jaws.as_ref()),
                length_mm: self.length("length", e.length.as_ref()),
                limit_n: self.force("limit", e.limit.as_ref()),
            },
            "draw ring" => ToolBody::DrawRing { bore_mm: self.length("diameter", e.diameter.as_ref()) },
            "draw bench" => {
                ToolBody::DrawBench { length_mm: self.length("length", e.length.as_ref()), limit_n: self.force("limit", e.limit.as_ref()) }
            }
            "fill" => ToolBody::Fill { fill: self.fill(e.fill.as_ref()) },
            "torch" => {
                self.used.insert("power");
                ToolBody::Torch { watts: e.power.as_ref().map(|p| self.power("power", p)) }
            }
            _ => return None,
        })
    }

    fn fail(&mut self, span: Option<&Range<usize>>, field: &str, what: Text, hint: Text) -> f64 {
        let span = span.cloned().unwrap_or_else(|| self.span.clone());
        self.reader.problem(Some(&span), format!("tool {}: {field}", self.tool), what, hint);
        self.fine = false;
        0.0
    }

    /// A day as ISO 8601 writes it.
    pub(super) fn day(&mut self, field: &'static str, day: Option<&Located<String>>) -> Option<String> {
        let day = day?;
        let found: Result<jiff::civil::Date, _> = day.value.trim().parse();
        if found.is_err() {
            let what = format!("“{}” is no day", day.value);
            let hint = format!("write year, month and day, like {field} = \"2026-11-27\", or leave it out");
            self.fail(Some(&day.span), field, what.into(), hint.into());
        }
        found.ok().map(|d| d.to_string())
    }

    pub(super) fn length(&mut self, field: &'static str, q: Option<&Located<Quantity>>) -> f64 {
        self.used.insert(field);
        let Some(q) = q else {
            return self.fail(
                None,
                field,
                format!("the tool has no {field}").into(),
                format!("measure it and add {field} = \"… mm\"").into(),
            );
        };
        let read = match (&q.value, self.reader.default) {
            (Quantity::Text(text), default) => parse_length_mm(text, default).map_err(|e| (e.what(), e.hint())),
            (Quantity::Exact(exact), _) => Ok(exact.value),
            (Quantity::Number(n), Some(unit)) => Ok(n * unit.in_mm()),
            (Quantity::Number(n), None) => {
                Err((format!("{n} has no unit"), format!("write \"{n} mm\" or \"{n} in\"; or set `units` at the top of the file")))
            }
        };
        match read {
            Ok(mm) => mm,
            Err((what, hint)) => self.fail(Some(&q.span), field, what.into(), hint.into()),
        }
    }

    fn or(&mut self, field: &'static str, q: Option<&Located<Quantity>>, usual: f64) -> f64 {
        self.used.insert(field);
        if q.is_some() { self.length(field, q) } else { usual }
    }

    fn force(&mut self, field: &'static str, text: Option<&Located<String>>) -> f64 {
        self.used.insert(field);
        let Some(text) = text else {
            return self.fail(None, field, format!("the tool has no {field}").into(), format!("add {field} = \"… N\"").into());
        };
        match parse_force_n(&text.value) {
            Ok(n) => n,
            Err(e) => self.fail(Some(&text.span), field, e.what().into(), e.hint().into()),
        }
    }

    fn fill(&mut self, text: Option<&Located<String>>) -> Fill {
        self.used.insert("fill");
        let known = || Fill::ALL.map(Fill::name).join(", ");
        let Some(text) = text else {
            self.fail(None, "fill", "what it is is missing".to_owned().into(), format!("add fill = \"…\", one of {}", known()).into());
            return Fill::Pitch;
        };
        let wanted = plain(&text.value);
        Fill::ALL.into_iter().find(|f| [f.name(), f.earlier_name()].iter().any(|n| plain(n) == wanted)).unwrap_or_else(|| {
            self.fail(Some(&text.span), "fill", format!("“{}” is no fill", text.value).into(), format!("write one of {}", known()).into());
            Fill::Pitch
        })
    }

    fn power(&mut self, field: &'static str, text: &Located<String>) -> f64 {
        match parse_power_w(&text.value) {
            Ok(w) => w,
            Err(e) => self.fail(Some(&text.span), field, e.what().into(), e.hint().into()),
        }
    }

    /// A size that such a tool does not have is told, and does no harm.
    pub(super) fn unused(&mut self, e: &ToolEntry, kind: &str) {
        for field in SIZES {
            if let Some(span) = located(e, field).filter(|_| !self.used.contains(field)) {
                let line = Some(line_of(self.reader.text, span.start));
                let (field, what) = (format!("tool {}: {field}", self.tool), format!("a {kind} has no `{field}`"));
                self.reader.problems.push(Problem {
                    line,
                    field,
                    what: what.into(),
                    hint: "take it out, or look whether the kind is right".to_owned().into(),
                    warning: true,
                });
            }
        }
    }
}

/// Where a size of a tool stands.
pub(super) fn located(e: &ToolEntry, field: &str) -> Option<Range<usize>> {
    let size = |q: &Option<Located<Quantity>>| q.as_ref().map(|q| q.span.clone());
    match field {
        "wear" => size(&e.wear),
        "diameter" => size(&e.diameter),
        "length" => size(&e.length),
        "head" => size(&e.head),
        "radius" => size(&e.radius),
        "small" => size(&e.small),
        "large" => size(&e.large),
        "smallest" => size(&e.smallest),
        "largest" => size(&e.largest),
        "step" => size(&e.step),
        "limit" => e.limit.as_ref().map(|q| q.span.clone()),
        "least_radius" => size(&e.least_radius),
        "pull" => e.pull.as_ref().map(|q| q.span.clone()),
        "half_distance" => size(&e.half_distance),
        "face_radius" => size(&e.face_radius),
        "foot" => size(&e.foot),
        "jaws" => size(&e.jaws),
        "fill" => e.fill.as_ref().map(|q| q.span.clone()),
        "power" => e.power.as_ref().map(|p| p.span.clone()),
        _ => None,
    }
}
