//! A run of tube: new, or measured over the pattern's.

use super::reader::Reader;
use crate::file::{Along, AxisPiece, RunEntry};
use crate::located::Located;
use crate::problem::{Problem, line_of};
use crate::quantity;
use crate::quantity::Quantity;
use crate::words::Word;
use crate::words::nearest;
use instrument::fields::run as fields;
use instrument::{Axis, Finish, Instrument, Interpolation, Point, Profile, Role, Run, Segment};
use metal::Alloy;
use std::ops::Range;
use units::measured::Gauge;
use units::{Known, Origin, Unit};

/// Wall of a run that nobody measured and no pattern has, mm, and its spread. Common practice, no source.
const ASSUMED_WALL: (f64, f64) = (0.5, 0.12);
/// Temper of such a run, numbers hard, and its spread. Common practice, no source.
const ASSUMED_TEMPER: (f64, f64) = (2.0, 1.3);

impl Reader<'_> {
    pub(crate) fn run(&mut self, instrument: &mut Instrument, e: &RunEntry, finish: Option<&Located<String>>) {
        let id = &e.id.value;
        let label = |field: &str| format!("run {id}: {field}");
        let path = |field: &str| format!("runs.{id}.{field}");
        self.place(format!("runs.{id}"), &e.id.span);
        let known = instrument.runs.iter().position(|r| r.id.0 == *id);
        let axis = match (&e.axis, &e.length) {
            (Some(axis), _) => {
                self.place(path("axis"), &axis.span);
                self.axis(&axis.value, &axis.span, &label("axis"))
            }
            (None, Some(length)) => {
                self.located(Some(length), path("axis"), &label("length"), Gauge::LENGTH).map(|k| Axis::straight(k.value))
            }
            (None, None) => None,
        };
        let bore = e.bore.as_ref().and_then(|b| self.profile(b, &path("bore"), &label("bore"), fields::BORE.gauge()));
        let wall = e.wall.as_ref().and_then(|w| self.profile(w, &path("wall"), &label("wall"), fields::WALL.gauge()));
        let alloy = e.alloy.as_ref().and_then(|a| self.word::<Alloy>(a, &label("alloy")));
        let role = e.role.as_ref().and_then(|r| self.word::<Role>(r, &label("role")));
        let own_finish = e.finish.as_ref().and_then(|f| self.word::<Finish>(f, &label("finish")));
        let at = match known {
            Some(i) => i,
            None => {
                // A run of its own: what decides the shape must be there; the rest is assumed, wide, and said by its origin.
                if axis.is_none() && e.axis.is_none() && e.length.is_none() {
                    self.problem(
                        Some(&e.id.span),
                        label("axis"),
                        "this run has no length, and the pattern has no run of this id",
                        self.run_hint(instrument, id),
                    );
                }
                if bore.is_none() && e.bore.is_none() {
                    self.problem(
                        Some(&e.id.span),
                        label("bore"),
                        "this run has no bore, and the pattern has no run of this id",
                        "measure the inside diameter at both ends",
                    );
                }
                let finish = own_finish.or_else(|| finish.and_then(|f| Finish::read(&f.value))).unwrap_or(Finish::Raw);
                instrument.runs.push(Run {
                    id: id.as_str().into(),
                    name: e.name.clone().unwrap_or_else(|| id.replace(['-', '_'], " ")),
                    role: role.unwrap_or(Role::Tube),
                    axis: Axis { segments: vec![] },
                    bore_mm: Profile { points: vec![], between: Interpolation::Linear },
                    wall_mm: Profile::constant(ASSUMED_WALL.0, ASSUMED_WALL.1, Origin::Assumed),
                    alloy: Alloy::YellowBrass,
                    temper: Profile::constant(ASSUMED_TEMPER.0, ASSUMED_TEMPER.1, Origin::Assumed),
                    finish,
                    may_be_beryllium: false,
                });
                if e.alloy.is_none() {
                    let line = Some(line_of(self.text, e.id.span.start));
                    self.problems.push(Problem {
                        line,
                        field: label("alloy"),
                        what: "nobody said the alloy; yellow brass is assumed".to_owned().into(),
                        hint: "add `alloy = …`: nickel silver is harder, rose brass softer".to_owned().into(),
                        warning: true,
                    });
                }
                instrument.runs.len() - 1
            }
        };
        let run = &mut instrument.runs[at];
        if let Some(name) = &e.name {
            run.name.clone_from(name);
        }
        if let Some(role) = role {
            run.role = role;
        }
        if let Some(axis) = axis {
            // A pattern's profiles are stretched to the measured length.
            let (old, new) = (run.axis.length_mm(), axis.length_mm());
            if old > 0.0 && new > 0.0 {
                for p in run.bore_mm.points.iter_mut().chain(&mut run.wall_mm.points).chain(&mut run.temper.points) {
                    p.at_mm *= new / old;
                }
            }
            run.axis = axis;
        }
        if let Some(mut bore) = bore {
            bore.between = if e.flare.unwrap_or(run.bore_mm.between == Interpolation::Monotone) {
                Interpolation::Monotone
            } else {
                Interpolation::Linear
            };
            run.bore_mm = bore;
        } else if let Some(flare) = e.flare {
            run.bore_mm.between = if flare { Interpolation::Monotone } else { Interpolation::Linear };
        }
        if let Some(wall) = wall {
            run.wall_mm = wall;
        }
        if let Some(flare) = e.wall_flare {
            run.wall_mm.between = if flare { Interpolation::Monotone } else { Interpolation::Linear };
        }
        if let Some(alloy) = alloy {
            run.alloy = alloy;
        }
        if let Some(finish) = own_finish {
            run.finish = finish;
        }
        if let Some(may_be) = e.may_be_beryllium {
            run.may_be_beryllium = may_be;
        }
        let alloy = run.alloy;
        if let Some(temper) = e.temper.as_ref().and_then(|t| self.temper(t, alloy, &path("temper"), &label("temper"))) {
            instrument.runs[at].temper = temper;
        }
        if let Some(flare) = e.temper_flare {
            instrument.runs[at].temper.between = if flare { Interpolation::Monotone } else { Interpolation::Linear };
        }
    }

    fn run_hint(&self, instrument: &Instrument, id: &str) -> String {
        match nearest(id, instrument.runs.iter().map(|r| r.id.0.as_str())) {
            Some(near) => format!("did you mean `{near}`? Else give its `axis` or `length`"),
            None => "give its `axis` or `length`".to_owned(),
        }
    }

    fn axis(&mut self, pieces: &[AxisPiece], span: &Range<usize>, field: &str) -> Option<Axis> {
        let mut segments = Vec::new();
        for piece in pieces {
            let segment = match (&piece.straight, &piece.bend) {
                (Some(length), None) => Segment::Straight { length_mm: self.measured(length, span, field, Gauge::LENGTH)?.value },
                (None, Some(radius)) => {
                    let radius_mm = self.measured(radius, span, field, Gauge::LENGTH)?.value;
                    let Some(angle) = &piece.angle else {
                        self.problem(
                            Some(span),
                            field,
                            "a bend has no angle",
                            "write { bend = \"60 mm\", angle = \"180°\", plane = \"12 o'clock\" }",
                        );
                        return None;
                    };
                    let angle_deg = self.angle(angle, span, field)?;
                    let plane_deg = match &piece.plane {
                        Some(plane) => self.angle(plane, span, field)?,
                        None => 0.0,
                    };
                    Segment::Bend { radius_mm, angle_deg, plane_deg }
                }
                _ => {
                    self.problem(
                        Some(span),
                        field,
                        "a piece of the axis is neither a straight nor a bend",
                        "write { straight = \"120 mm\" } or { bend = \"60 mm\", angle = \"180°\" }",
                    );
                    return None;
                }
            };
            segments.push(segment);
        }
        Some(Axis { segments })
    }

    fn profile(&mut self, along: &Located<Along>, path: &str, field: &str, gauge: Gauge) -> Option<Profile> {
        self.place(path, &along.span);
        let point = |at_mm: f64, k: Known| Point { at_mm, value: k.value, sd: k.sd, origin: k.origin };
        let points = match &along.value {
            Along::One(q) => vec![point(0.0, self.measured(q, &along.span, field, gauge)?)],
            Along::Many(list) => {
                let mut points = Vec::new();
                for p in list {
                    let at = self.measured(&p.at, &along.span, field, Gauge::LENGTH)?;
                    points.push(point(at.value, self.measured(&p.is, &along.span, field, gauge)?));
                }
                points
            }
        };
        Some(Profile { points, between: Interpolation::Linear })
    }

    fn temper(&mut self, along: &Located<Along>, alloy: Alloy, path: &str, field: &str) -> Option<Profile> {
        self.place(path, &along.span);
        let mut points = Vec::new();
        let list: Vec<(f64, Quantity)> = match &along.value {
            Along::One(q) => vec![(0.0, q.clone())],
            Along::Many(list) => {
                let mut out = Vec::new();
                for p in list {
                    out.push((self.measured(&p.at, &along.span, field, Gauge::LENGTH)?.value, p.is.clone()));
                }
                out
            }
        };
        for (at_mm, q) in list {
            let text = match &q {
                Quantity::Text(t) => t.clone(),
                Quantity::Number(n) => n.to_string(),
                Quantity::Exact(exact) => {
                    let k = self.exact(exact, &along.span, field, Unit::NumbersHard)?;
                    points.push(Point { at_mm, value: k.value, sd: k.sd, origin: k.origin });
                    continue;
                }
            };
            let Some((value, sd, origin)) = quantity::temper(&text, alloy) else {
                let hint = "write a temper like \"half hard\", \"H04\" or \"2.5 numbers\", or a hardness like \"110 HV\"";
                self.problem(Some(&along.span), field, format!("“{text}” is no temper"), hint);
                return None;
            };
            points.push(Point { at_mm, value, sd, origin });
        }
        Some(Profile { points, between: Interpolation::Linear })
    }
}
