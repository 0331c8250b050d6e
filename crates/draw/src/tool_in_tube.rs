//! The tube with the tool in place, to scale: side view along the way in, and the section at the dent.
//!
//! The tool stands where the last stroke leaves it, the wall true; the dent as found is dashed, the metal that has to
//! move pale. A solved pose is drawn as solved; else the tool lies on the axis or against the dent, and the drawing
//! says so.

use crate::callouts::{self, Callout};
use crate::canvas::{BRASS, Canvas, Drawing, HURT_PALE, P, Pen, STEEL, Type, wrapped};
use crate::laid::Laid;
use crate::method_parts::At;
use crate::plane_view::{Plane, extent_mm};
use crate::scale;
use crate::size::{fine_words, size_words};
use crate::tube_section::{self, section};
use dent::Assessment;
use glam::DVec3;
use instrument::Survey;
use reach::{Method, MethodKind, Rack, ToolBody, ToolChoice};
use units::LengthUnit;
use units::length::show_length;

mod lines;
mod words;

use lines::{break_line, shown};

/// Width of the whole drawing, mm.
pub const WIDTH_MM: f64 = 176.0;
const SIDE_MM: P = (118.0, 58.0);
/// How much of a tool that hangs out of the mouth is shown, mm.
const SHOWN_OUTSIDE_MM: f64 = 45.0;

/// A fill in section.
const FILL: &str = "#dfe3e6";

/// What to draw.
#[derive(Clone, Copy, Debug)]
pub struct ToolView<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// Assessments of its dents.
    pub assessments: &'a [Assessment],
    /// The method.
    pub method: &'a Method,
    /// The shop's tools, for the sizes of those that the method names; none: sizes not drawn.
    pub rack: Option<&'a Rack>,
    /// Unit of the dimensions.
    pub unit: LengthUnit,
}

/// The drawing; none where the method speaks of runs or dents that the survey or the assessments do not have.
pub fn tool_in_tube(view: &ToolView) -> Option<Drawing> {
    let laid = Laid::of(view.survey, view.assessments, view.method)?;
    let side = SideView::new(view, &laid);
    let side_canvas = side.draw();
    let section_canvas = section(&laid, side.round(), view.unit);
    let mut sheet = Canvas::new(WIDTH_MM, side_canvas.height_mm.max(section_canvas.height_mm));
    sheet.place(&side_canvas, (0.0, 0.0));
    sheet.line((SIDE_MM.0 + 3.0, 2.0), (SIDE_MM.0 + 3.0, sheet.height_mm - 1.0), Pen::new(0.25, crate::canvas::GREY));
    sheet.place(&section_canvas, (WIDTH_MM - tube_section::WIDTH_MM, 0.0));
    Some(sheet.finish(&format!("Dent {} in the {}: the tool in the tube", view.method.dent, laid.run.name)))
}

pub(crate) struct SideView<'a> {
    view: &'a ToolView<'a>,
    laid: &'a Laid<'a>,
    plane: Plane,
    from_mm: f64,
    to_mm: f64,
    bodies: Vec<ToolBody>,
}

/// A tool's part in the plane: an outline, mm, y upwards.
struct Part {
    outline: Vec<P>,
    /// Whether the end at the start of the outline is cut by the drawing's edge.
    cut: Option<(P, P)>,
}

impl<'a> SideView<'a> {
    pub(crate) fn new(view: &'a ToolView<'a>, laid: &'a Laid<'a>) -> Self {
        let tube = &laid.path.tube;
        let outside = 2.0 * (laid.radius_mm() + laid.wall_mm(laid.at_mm));
        let beyond = (0.9 * outside).max(0.8 * laid.assessment.width_along_mm.value).clamp(15.0, 160.0);
        let to_mm = (laid.at_mm + beyond).min(tube.length_mm());
        // A solved pose shows the whole method from the mouth; else the neighbourhood, and the mouth where it is near.
        let before = 2.0 * beyond;
        let from_mm = if view.method.pose.is_some() || laid.at_mm < 1.6 * before { 0.0 } else { laid.at_mm - before };
        let plane = Plane::of(tube, from_mm, to_mm, laid.at_mm, laid.side());
        let bodies = bodies(view);
        Self { view, laid, plane, from_mm, to_mm, bodies }
    }

    /// Stations of the tube that are drawn.
    fn stations(&self) -> Vec<f64> {
        let mut at: Vec<f64> = (0..=200).map(|i| self.from_mm + (self.to_mm - self.from_mm) * f64::from(i) / 200.0).collect();
        for d in &self.laid.path.tube.dents {
            at.extend((-6..=6).map(|i| d.at_mm + d.half_width_mm * f64::from(i) / 6.0));
        }
        at.retain(|u| *u >= self.from_mm && *u <= self.to_mm);
        at.sort_by(f64::total_cmp);
        at
    }

    /// A point of the wall's silhouette: `sign` 1 the upper edge, −1 the lower.
    fn wall(&self, u: f64, sign: f64, outside: bool, ignore: Option<usize>) -> P {
        let tube = &self.laid.path.tube;
        let side = self.plane.edge(tube, u) * sign;
        let extent = extent_mm(tube, u, side, ignore) + if outside { self.laid.wall_mm(u) } else { 0.0 };
        self.plane.point(tube.frame(u).at + side * extent)
    }

    fn axis(&self, u: f64) -> DVec3 {
        self.laid.path.tube.frame(u).at
    }

    /// Where a round tool stands at the dent: where it was solved to touch; without that against the dent's side.
    fn ball_centre(&self) -> DVec3 {
        if let Some(c) = &self.view.method.contact {
            return DVec3::from_array(c.end.centre_mm);
        }
        let clearance = (self.laid.radius_mm() - self.view.method.size_mm / 2.0).max(0.0);
        self.axis(self.laid.at_mm) + self.laid.side() * clearance
    }

    fn has_tool_inside(&self) -> bool {
        self.view.method.kind != MethodKind::PullOutside && self.view.method.size_mm > 0.0
    }

    /// Whether the tool fills the bore all round: a fill, or an expanding plug.
    fn fills_bore(&self) -> bool {
        self.view.method.fill.is_some() || self.bodies.iter().any(|b| matches!(b, ToolBody::Expander { .. }))
    }

    /// The frame at the dent for parts that lie round the axis.
    fn at_dent(&self, point: impl Fn(&dyn Fn(f64, f64) -> P) -> Vec<Vec<P>>) -> Vec<Part> {
        let tube = &self.laid.path.tube;
        let frame = tube.frame(self.laid.at_mm);
        let up = self.plane.edge(tube, self.laid.at_mm);
        let to = |along: f64, rise: f64| self.plane.point(frame.at + frame.along * along + up * rise);
        point(&to).into_iter().map(|outline| Part { outline, cut: None }).collect()
    }

    /// The tool in the section: its place across the tube and its diameter.
    pub(crate) fn round(&self) -> Option<tube_section::Round> {
        if !self.has_tool_inside() {
            return None;
        }
        if self.fills_bore() {
            return Some((self.laid.across(self.axis(self.laid.at_mm)), 2.0 * self.laid.radius_mm()));
        }
        let solved = self.view.method.contact.as_ref().map(|c| &c.end);
        if let Some(t) = solved.filter(|t| t.face_mm >= t.round_mm - 1e-6) {
            return Some((self.laid.across(DVec3::from_array(t.centre_mm)), t.round_mm));
        }
        if let Some(pose) = &self.view.method.pose {
            let tip = pose.centre_line_mm.first().map(|p| DVec3::from_array(*p))?;
            // Where the centre line crosses the dent's section: the tip of a rod stands there, a mandrel passes it.
            let frame = self.laid.path.tube.frame(self.laid.at_mm);
            let crossing = pose.centre_line_mm.windows(2).find_map(|w| {
                let (a, b) = (DVec3::from_array(w[0]), DVec3::from_array(w[1]));
                let (da, db) = ((a - frame.at).dot(frame.along), (b - frame.at).dot(frame.along));
                (da * db <= 0.0 && da != db).then(|| a.lerp(b, da / (da - db)))
            });
            let diameter = if pose.head_mm > pose.diameter_mm { pose.head_mm } else { self.view.method.size_mm.max(pose.diameter_mm) };
            return Some((self.laid.across(crossing.unwrap_or(tip)), diameter));
        }
        Some((self.laid.across(self.ball_centre()), self.view.method.size_mm))
    }

    /// The tool's inside parts, back to front.
    fn parts(&self) -> Vec<Part> {
        let method = self.view.method;
        if !self.has_tool_inside() {
            return Vec::new();
        }
        // What raised it is gone when the bend is full.
        if method.fill.is_some() {
            return Vec::new();
        }
        let plug = self.bodies.iter().find_map(|b| match *b {
            ToolBody::Expander { jaws_mm, .. } => Some(jaws_mm),
            _ => None,
        });
        if let Some(jaws) = plug {
            let tail = self.laid.at_mm - self.from_mm + if self.from_mm == 0.0 { 0.5 * SHOWN_OUTSIDE_MM } else { 0.0 };
            return self.at_dent(|to| At { to }.expander(2.0 * self.laid.radius_mm(), jaws, tail.max(jaws)));
        }
        let mandrel = self.bodies.iter().find_map(|b| match *b {
            ToolBody::Mandrel { small_mm, large_mm, length_mm } => Some((small_mm, large_mm, length_mm)),
            _ => None,
        });
        if let Some(pose) = &method.pose {
            let line: Vec<DVec3> = pose.centre_line_mm.iter().map(|p| DVec3::from_array(*p)).collect();
            let (line, cut) = shown(&line, self.laid.at_mm + SHOWN_OUTSIDE_MM);
            let ends = mandrel.map_or((pose.diameter_mm, pose.diameter_mm, 1.0), |m| m);
            let mut parts = vec![self.shaft(&line, ends, cut)];
            if mandrel.is_none()
                && let Some(tip) = line.first()
            {
                parts.push(self.ball(*tip, pose.head_mm.max(pose.diameter_mm)));
            }
            return parts;
        }
        let back = |until: f64| -> Vec<DVec3> {
            let tube = &self.laid.path.tube;
            let mut line: Vec<DVec3> = Vec::new();
            let mut u = self.laid.at_mm;
            while u > until {
                line.push(tube.frame(u).at);
                u -= 2.0;
            }
            line.push(tube.frame(until).at);
            line
        };
        let mut parts = Vec::new();
        if let Some((small, large, length)) = mandrel {
            // Seated under the dent on the axis; its thin end reaches past the dent by half the dent's width.
            let frame = self.laid.path.tube.frame(self.laid.at_mm);
            let ahead = (self.laid.assessment.width_along_mm.value / 2.0).min(length / 2.0);
            let line = [frame.at + frame.along * ahead, frame.at + frame.along * (ahead - length)];
            let (line, cut) = shown(&line, ahead + self.laid.at_mm - self.from_mm + SHOWN_OUTSIDE_MM);
            parts.push(self.shaft(&line, (small, large, length), cut));
            return parts;
        }
        for body in &self.bodies {
            let thick = match *body {
                ToolBody::Cable { .. } => 1.5,
                ToolBody::FlexibleShaft { diameter_mm, .. }
                | ToolBody::StraightRod { diameter_mm, .. }
                | ToolBody::Burnisher { diameter_mm, .. }
                | ToolBody::Stake { diameter_mm, .. }
                | ToolBody::CurvedRod { diameter_mm, .. } => diameter_mm,
                _ => continue,
            };
            parts.push(self.shaft(&back(self.from_mm), (thick, thick, 1.0), self.from_mm > 0.0));
        }
        parts.push(self.ball(self.ball_centre(), method.size_mm));
        parts
    }

    /// The outline of a shaft along a line in space: `ends` are the diameters at its start and at `length` from it.
    fn shaft(&self, line: &[DVec3], (start, end, length): (f64, f64, f64), cut: bool) -> Part {
        let points: Vec<P> = line.iter().map(|p| self.plane.point(*p)).collect();
        let (mut left, mut right) = (Vec::new(), Vec::new());
        let mut along = 0.0;
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                along += line[i].distance(line[i - 1]);
            }
            let (a, b) = (points[i.saturating_sub(1)], points[(i + 1).min(points.len() - 1)]);
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let size = dx.hypot(dy).max(1e-9);
            let r = 0.5 * (start + (end - start) * (along / length.max(1e-9)).clamp(0.0, 1.0));
            left.push((p.0 - dy / size * r, p.1 + dx / size * r));
            right.push((p.0 + dy / size * r, p.1 - dx / size * r));
        }
        let cut = cut.then(|| (left.last().copied(), right.last().copied())).and_then(|(a, b)| a.zip(b));
        left.extend(right.into_iter().rev());
        Part { outline: left, cut }
    }

    fn ball(&self, centre: DVec3, diameter: f64) -> Part {
        let c = self.plane.point(centre);
        let outline =
            (0..72).map(|i| (f64::from(i) * 5.0).to_radians()).map(|a| (c.0 + diameter / 2.0 * a.cos(), c.1 + diameter / 2.0 * a.sin()));
        Part { outline: outline.collect(), cut: None }
    }

    /// The tool that works from outside, where its size is known: a roller or a stud's foot.
    fn outside_part(&self) -> Option<Part> {
        let (u, side) = (self.laid.at_mm, self.laid.side());
        let out = self.laid.radius_mm() + self.laid.wall_mm(u);
        let visible = self.plane.upness(side) > 0.5;
        self.bodies.iter().find_map(|b| match *b {
            // Looked at from above: the foot's own ring.
            ToolBody::PullStud { foot_mm } if !visible => Some(self.ball(self.axis(u) + side * out, foot_mm)),
            ToolBody::Roller { diameter_mm } if visible => Some(self.ball(self.axis(u) + side * (out + diameter_mm / 2.0), diameter_mm)),
            ToolBody::PullStud { foot_mm } => {
                let along = self.laid.path.tube.frame(u).along;
                let base = self.axis(u) + side * out;
                let corner = |x: f64, y: f64| self.plane.point(base + along * x + side * y);
                let f = foot_mm / 2.0;
                let (neck, high) = (foot_mm / 6.0, foot_mm * 1.5);
                let t = foot_mm / 6.0;
                let outline =
                    [(-f, 0.0), (f, 0.0), (f, t), (neck, t), (neck, high), (-neck, high), (-neck, t), (-f, t)].map(|(x, y)| corner(x, y));
                Some(Part { outline: outline.to_vec(), cut: None })
            }
            _ => None,
        })
    }

    /// A draw ring in section, behind the dent that has gone through it.
    fn ring_parts(&self) -> Vec<Part> {
        let ring = self.bodies.iter().find_map(|b| if let ToolBody::DrawRing { bore_mm } = *b { Some(bore_mm) } else { None });
        let outside = 2.0 * (self.laid.radius_mm() + self.laid.wall_mm(self.laid.at_mm));
        let thick = (0.45 * outside).clamp(5.0, 25.0);
        let past = 0.5 * self.laid.assessment.width_along_mm.value + 2.0 + thick;
        // Drawn on the tube's own outside: the pinch is under a hair's breadth.
        ring.map_or_else(Vec::new, |_| {
            self.at_dent(|to| At { to: &|x, y| to(x - past, y) }.ring(outside, thick, reach::draw_ring::MOUTH_DEG))
        })
    }

    fn draw(&self) -> Canvas {
        let stations = self.stations();
        let (unit, method) = (self.view.unit, self.view.method);
        let parts = self.parts();
        let mut outside: Vec<Part> = self.outside_part().into_iter().collect();
        outside.extend(self.ring_parts());
        let edge =
            |sign: f64, out: bool, ignore: Option<usize>| -> Vec<P> { stations.iter().map(|u| self.wall(*u, sign, out, ignore)).collect() };
        // The dent under the tool is drawn true; its wall as found is laid over it. When the work begins it is as found.
        let target = self.true_dent();
        let outer: Vec<P> = edge(1.0, true, target).into_iter().chain(edge(-1.0, true, target).into_iter().rev()).collect();
        let inner: Vec<P> = edge(1.0, false, target).into_iter().chain(edge(-1.0, false, target).into_iter().rev()).collect();
        let all = outer.iter().chain(parts.iter().chain(&outside).flat_map(|p| &p.outline));
        let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
        for p in all {
            low = (low.0.min(p.0), low.1.min(p.1));
            high = (high.0.max(p.0), high.1.max(p.1));
        }
        let thing = (high.0 - low.0, high.1 - low.1);
        let scale = scale::fitting(thing, (SIDE_MM.0 - 6.0, SIDE_MM.1), 0.5);

        let mut canvas = Canvas::new(SIDE_MM.0, 0.0);
        canvas.text((0.0, 3.3), &self.title(), Type { bold: true, ..Type::TEXT });
        let x0 = 3.0 + (SIDE_MM.0 - 6.0 - thing.0 / scale) / 2.0;
        let paper_x = |x: f64| x0 + (x - low.0) / scale;
        let dent_x = paper_x(self.plane.point(self.axis(self.laid.at_mm)).0);
        let over_words = self.words_above();
        let over: Vec<Callout> = over_words.iter().map(|w| ((dent_x, 0.0), w.clone())).collect();
        let top = 5.6 + callouts::height_mm(SIDE_MM.0, &over) + 2.0;
        let to = |p: &P| -> P { (paper_x(p.0), top + (high.1 - p.1) / scale) };
        let paper = |points: &[P]| -> Vec<P> { points.iter().map(to).collect() };

        canvas.polygon(&paper(&outer), BRASS, Some(Pen::NARROW));
        canvas.polygon(&paper(&inner), if method.fill.is_some() { FILL } else { "#ffffff" }, Some(Pen::NARROW));
        let axis: Vec<P> = stations.iter().map(|u| self.plane.point(self.axis(*u))).collect();
        self.field(&mut canvas, &paper);
        for part in &parts {
            canvas.polygon(&paper(&part.outline), STEEL, Some(Pen::WIDE));
            if let Some((a, b)) = part.cut {
                break_line(&mut canvas, to(&a), to(&b));
            }
        }
        for part in &outside {
            canvas.polygon(&paper(&part.outline), STEEL, Some(Pen::WIDE));
        }
        canvas.polyline(&paper(&axis), Pen::CENTRE);
        self.dent_as_found(&mut canvas, &paper);
        self.ends(&mut canvas, &to);

        // The dent itself: on the edge where it shows in profile, else in the middle of its rim.
        let dent_at = match self.profile_sign() {
            Some(sign) => self.wall(self.laid.at_mm, sign, false, target),
            None => self.plane.point(self.axis(self.laid.at_mm) + self.laid.side() * self.laid.radius_mm()),
        };
        let dent_at = to(&dent_at);
        let bottom = top + thing.1 / scale;
        let over: Vec<Callout> = over_words.into_iter().enumerate().map(|(i, w)| ((dent_at.0 + 0.8 * offset(i), dent_at.1), w)).collect();
        callouts::above(&mut canvas, &over, top - 2.0);

        let mut under: Vec<Callout> = Vec::new();
        if let Some(pose) = method.pose.as_ref().filter(|_| method.fill.is_none()) {
            let u = pose.tightest_at_mm.clamp(0.0, self.to_mm);
            let (a, b) = (to(&self.wall(u, 1.0, false, target)), to(&self.wall(u, -1.0, false, target)));
            canvas.line(a, b, Pen::NARROW.dashed("0.8 0.5"));
            let low = if a.1 > b.1 { a } else { b };
            under.push((low, format!("tightest here: {} clear", show_length(pose.least_clearance_mm, unit))));
        }
        if let Some(opening) = method.passage.as_ref().map(|p| &p.opening.name)
            && self.from_mm == 0.0
        {
            let (a, b) = (to(&self.wall(0.0, 1.0, true, target)), to(&self.wall(0.0, -1.0, true, target)));
            under.push((if a.1 > b.1 { a } else { b }, format!("enters here: {opening}")));
        }
        let mut y = callouts::below(&mut canvas, &under, bottom + 1.5);
        for line in self.words_below() {
            for line in wrapped(&line, SIDE_MM.0, Type::SMALL) {
                y += 3.9;
                canvas.text((0.0, y), &line, Type::SMALL);
            }
        }
        scale::bar(&mut canvas, (0.0, y + 5.0), scale, 20.0, unit);
        canvas.height_mm = y + 6.5;
        canvas
    }

    /// The metal that has to move: between the true wall and the dent as found, where the view shows it in profile.
    fn field(&self, canvas: &mut Canvas, paper: &impl Fn(&[P]) -> Vec<P>) {
        let half = (self.laid.assessment.width_along_mm.value / 2.0).max(0.5);
        if self.profile_sign().is_some() {
            let mut outline = self.dent_line(half, true);
            outline.extend(self.dent_line(half, false).into_iter().rev());
            canvas.polygon(&paper(&outline), HURT_PALE, None);
        }
    }

    fn dent_as_found(&self, canvas: &mut Canvas, paper: &impl Fn(&[P]) -> Vec<P>) {
        let half = (self.laid.assessment.width_along_mm.value / 2.0).max(0.5);
        if self.profile_sign().is_some() {
            canvas.polyline(&paper(&self.dent_line(half, false)), Pen::HIDDEN);
            return;
        }
        // Seen from above or from behind: its rim on the wall.
        let tube = &self.laid.path.tube;
        let frame = tube.frame(self.laid.at_mm);
        let side = self.laid.side();
        let round = frame.along.cross(side);
        let (r, across) = (self.laid.radius_mm(), self.laid.assessment.width_across_mm.value / 2.0);
        let rim: Vec<P> = (0..=48)
            .map(|i| (f64::from(i) * 7.5).to_radians())
            .map(|a| {
                let angle = across * a.sin() / r.max(0.1);
                self.plane.point(frame.at + frame.along * (half * a.cos()) + (side * angle.cos() + round * angle.sin()) * r)
            })
            .collect();
        canvas.polyline(&paper(&rim), Pen::HIDDEN);
    }

    /// The dent that is drawn true: the one being worked, but for the beginning of the work.
    fn true_dent(&self) -> Option<usize> {
        let depth = self.laid.assessment.depth_mm.value;
        let begins = self.view.method.contact.as_ref().is_some_and(|c| c.end.depth_mm > 0.9 * depth);
        self.laid.target.filter(|_| !begins)
    }

    /// The edge on which the dent shows in profile.
    fn profile_sign(&self) -> Option<f64> {
        let up = self.laid.side().dot(self.plane.edge(&self.laid.path.tube, self.laid.at_mm));
        (up.abs() > 0.55).then_some(up.signum())
    }

    /// The wall over the dent: true, or as found.
    fn dent_line(&self, half: f64, true_wall: bool) -> Vec<P> {
        let sign = self.profile_sign().unwrap_or(1.0);
        let ignore = if true_wall { self.laid.target } else { None };
        let at = self.laid.at_mm;
        (-24..=24)
            .map(|i| at + half * f64::from(i) / 24.0)
            .filter(|u| *u >= 0.0 && *u <= self.laid.path.tube.length_mm())
            .map(|u| self.wall(u, sign, false, ignore))
            .collect()
    }

    fn ends(&self, canvas: &mut Canvas, to: &impl Fn(&P) -> P) {
        let target = self.laid.target;
        for (u, open) in [(self.from_mm, self.from_mm == 0.0), (self.to_mm, self.to_mm >= self.laid.path.tube.length_mm() - 1e-6)] {
            let (a, b) = (to(&self.wall(u, 1.0, true, target)), to(&self.wall(u, -1.0, true, target)));
            if !open {
                break_line(canvas, a, b);
            }
        }
    }
}

fn offset(i: usize) -> f64 {
    if i == 0 { 0.0 } else { 1.0 }
}

/// The bodies of a method's tools, the working one first; those that the rack does not have are left out.
fn bodies(view: &ToolView) -> Vec<ToolBody> {
    let on_rack = |ids: &[reach::ToolId]| -> Vec<ToolBody> {
        let Some(rack) = view.rack else { return Vec::new() };
        ids.iter().filter_map(|id| rack.tools.iter().find(|t| t.id == *id).map(|t| t.body.clone())).collect()
    };
    match &view.method.tool {
        ToolChoice::Rack { tools } => on_rack(tools),
        ToolChoice::ToMake { make, with } => make.pieces.iter().map(|p| p.body.clone()).chain(on_rack(with)).collect(),
    }
}
