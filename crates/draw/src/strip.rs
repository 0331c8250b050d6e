//! A run straightened as a strip, to scale: seen from its 3 o'clock side, 12 o'clock up, mouthpiece end left. Dents at
//! their stations and clocks, overlays, joints, bends, a ruler.

use crate::balloon::{self, balloon};
use crate::callouts::{self, Callout};
use crate::canvas::{BRASS, COVER, Canvas, Drawing, GREY, HURT, HURT_PALE, INK, P, Pen, Type};
use crate::labels::spread;
use crate::marks::Mark;
use crate::scale;
use instrument::{ConditionKind, Dent, Direction, End, FitState, Joint, JointKind, OverlayKind, Run, RunEnd, Segment, Survey};
use units::LengthUnit;
use units::length::{MM_PER_INCH, show_length};

pub(crate) const LEFT_MM: f64 = 9.0;
const LEAST_WIDTH_MM: f64 = 58.0;

/// One run as a strip on paper at most `width_mm` wide; none where the instrument has no such run or the run no length.
pub fn strip(survey: &Survey, run: &instrument::RunId, marks: &[Mark], unit: LengthUnit, width_mm: f64) -> Option<Drawing> {
    let run = survey.instrument.run(run)?;
    Some(strip_canvas(survey, run, marks, unit, width_mm)?.finish(&format!("{} straightened, with its dents", run.name)))
}

/// All runs that have dents, as strips on one sheet `width_mm` wide, in the instrument's order.
pub fn strip_sheet(survey: &Survey, marks: &[Mark], unit: LengthUnit, width_mm: f64) -> Drawing {
    let mut sheet = Canvas::new(width_mm, 0.0);
    let (mut x, mut y, mut row) = (0.0, 0.0, 0.0_f64);
    for run in survey.instrument.runs.iter().filter(|r| survey.dents.iter().any(|d| d.run == r.id)) {
        let Some(canvas) = strip_canvas(survey, run, marks, unit, width_mm) else { continue };
        if x > 0.0 && x + canvas.width_mm > width_mm {
            (x, y, row) = (0.0, y + row + 5.0, 0.0);
        }
        sheet.place(&canvas, (x, y));
        x += canvas.width_mm + 6.0;
        row = row.max(canvas.height_mm);
    }
    sheet.height_mm = y + row;
    let legend = legend(width_mm);
    sheet.place(&legend, (0.0, sheet.height_mm + 4.0));
    sheet.height_mm += 4.0 + legend.height_mm;
    sheet.finish(&format!("{}: runs straightened, with their dents", survey.title))
}

/// What the signs mean.
pub fn legend(width_mm: f64) -> Canvas {
    type Sign = fn(&mut Canvas, f64, f64);
    let signs: [(Sign, &str); 8] = [
        (
            |c, x, y| balloon(c, (x + 2.6, y), "d7", Some(90.0), true),
            "dent that is worked; its hand shows the clock, seen from mouthpiece to bell",
        ),
        (|c, x, y| balloon(c, (x + 2.6, y), "d8", None, false), "not worked; without a hand: clock not known"),
        (|c, x, y| c.ellipse((x + 2.6, y), (2.4, 1.4), HURT_PALE, Pen::new(0.25, HURT)), "dent on the near side, to scale"),
        (|c, x, y| c.ellipse((x + 2.6, y), (2.4, 1.4), "none", Pen::HIDDEN), "dent on the far side"),
        (|c, x, y| c.polygon(&[(x + 1.0, y - 1.6), (x + 4.2, y - 1.6), (x + 2.6, y + 1.4)], INK, None), "soft-soldered joint"),
        (|c, x, y| c.rect((x + 1.2, y - 1.4), (2.8, 2.8), INK, Pen::NARROW), "silver-brazed joint"),
        (|c, x, y| c.dimension((x, y), (x + 5.2, y)), "sliding fit"),
        (|c, x, y| c.rect((x, y - 1.4), (5.2, 2.8), COVER, Pen::NARROW), "ferrule, guard or foot soldered over"),
    ];
    let mut canvas = Canvas::new(width_mm, 0.0);
    let (mut x, mut y) = (0.0, 3.0);
    for (sign, words) in signs {
        let w = 7.0 + Type::SMALL.width_mm(words) + 4.0;
        if x > 0.0 && x + w > width_mm {
            (x, y) = (0.0, y + 6.0);
        }
        sign(&mut canvas, x, y);
        canvas.text((x + 7.4, y + 0.8), words, Type::SMALL);
        x += w;
    }
    canvas.height_mm = y + 3.6;
    canvas
}

/// A strip in the making: where things lie on paper.
pub(crate) struct Layout<'a> {
    pub(crate) run: &'a Run,
    pub(crate) scale: f64,
    pub(crate) length_mm: f64,
    pub(crate) axis_y: f64,
    pub(crate) unit: LengthUnit,
}

impl Layout<'_> {
    pub(crate) fn x(&self, at_mm: f64) -> f64 {
        LEFT_MM + at_mm.clamp(0.0, self.length_mm) / self.scale
    }
    pub(crate) fn half(&self, at_mm: f64) -> f64 {
        self.run.outside_diameter_at(at_mm) / 2.0 / self.scale
    }
    fn place(&self, at_mm: f64, clock_deg: f64) -> P {
        (self.x(at_mm), self.axis_y - self.half(at_mm) * clock_deg.to_radians().cos())
    }
    /// Stations at which the outline is drawn.
    fn stations(&self) -> Vec<f64> {
        let mut at: Vec<f64> = (0..=60).map(|i| self.length_mm * f64::from(i) / 60.0).collect();
        at.extend(self.run.bore_mm.points.iter().map(|p| p.at_mm).filter(|s| *s > 0.0 && *s < self.length_mm));
        at.sort_by(f64::total_cmp);
        at
    }
}

fn strip_canvas(survey: &Survey, run: &Run, marks: &[Mark], unit: LengthUnit, width_mm: f64) -> Option<Canvas> {
    let length_mm = run.length_mm();
    let (_, widest) = run.bore_mm.range_between(0.0, length_mm);
    if !(length_mm > 0.0 && widest.is_finite() && widest > 0.0) {
        return None;
    }
    let outside = widest + 2.0 * run.wall_mm.range_between(0.0, length_mm).1;
    let scale = scale::fitting((length_mm, outside), (width_mm - 2.0 * LEFT_MM, 48.0), 1.0);
    let dents: Vec<&Dent> = survey.dents.iter().filter(|d| d.run == run.id).collect();

    let mut layout = Layout { run, scale, length_mm, axis_y: 0.0, unit };
    let heading = heading(run, unit);
    let width = (length_mm / scale + 2.0 * LEFT_MM)
        .max(LEAST_WIDTH_MM)
        .max(Type::HEAD.width_mm(&run.name))
        .max(Type::SMALL.width_mm(&heading))
        .min(width_mm);
    let mut canvas = Canvas::new(width, 0.0);
    canvas.text((0.0, 4.0), &run.name, Type::HEAD);
    canvas.text((0.0, 8.0), &heading, Type::SMALL);

    let rows = balloon_rows(dents.len(), width);
    #[expect(clippy::cast_precision_loss, reason = "a handful of rows")]
    let balloons_mm = if dents.is_empty() { 0.0 } else { 1.5 + rows as f64 * (2.0 * balloon::RADIUS_MM + 2.6) + 4.0 };
    layout.axis_y = 9.5 + balloons_mm + outside / 2.0 / scale + 1.0;
    body(&mut canvas, &layout);
    conditions(&mut canvas, &layout, survey);
    let mut below = overlays(&mut canvas, &layout, survey);
    below.extend(fits(&mut canvas, &layout, survey));
    joints(&mut canvas, &layout, survey);
    place_dents(&mut canvas, &layout, survey, &dents, marks, rows);

    let mut y = layout.axis_y + outside / 2.0 / scale + 1.5;
    y = callouts::below(&mut canvas, &below, y);
    y = bends(&mut canvas, &layout, y);
    y = ruler(&mut canvas, &layout, y);
    scale::bar(&mut canvas, (LEFT_MM, y + 3.4), scale, 22.0, unit);
    canvas.height_mm = y + 4.4;
    Some(canvas)
}

fn heading(run: &Run, unit: LengthUnit) -> String {
    let length = run.length_mm();
    let (low, high) = run.bore_mm.range_between(0.0, length);
    let (start, finish) = (run.bore_mm.at(0.0).value, run.bore_mm.at(length).value);
    let bore = if high - low < 0.05 {
        format!("bore {}", show_length(low, unit))
    } else {
        format!("bore {} to {}", show_length(start, unit), show_length(finish, unit))
    };
    format!("{} long, {bore}, wall {}", show_length(length, unit), show_length(run.wall_mm.at(length / 2.0).value, unit))
}

fn balloon_rows(dents: usize, width: f64) -> usize {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few balloons on a few rows"
    )]
    let rows = ((dents as f64) * balloon::PITCH_MM / (width - 2.0 * balloon::RADIUS_MM).max(1.0)).ceil() as usize;
    rows.max(1)
}

pub(crate) fn body(canvas: &mut Canvas, l: &Layout) {
    let stations = l.stations();
    let top: Vec<P> = stations.iter().map(|s| l.place(*s, 0.0)).collect();
    let bottom: Vec<P> = stations.iter().rev().map(|s| l.place(*s, 180.0)).collect();
    let outline: Vec<P> = top.iter().chain(&bottom).copied().collect();
    canvas.polygon(&outline, BRASS, Some(Pen::WIDE));
    // The bore, where the wall is thick enough on paper to be seen.
    if l.run.wall_at(l.length_mm / 2.0).value / l.scale > 0.25 {
        for sign in [-1.0, 1.0] {
            let bore: Vec<P> = stations.iter().map(|s| (l.x(*s), l.axis_y + sign * l.run.bore_at(*s).value / 2.0 / l.scale)).collect();
            canvas.polyline(&bore, Pen::new(0.25, GREY));
        }
    }
    canvas.line((l.x(0.0) - 3.0, l.axis_y), (l.x(l.length_mm) + 3.0, l.axis_y), Pen::CENTRE);
}

pub(crate) fn conditions(canvas: &mut Canvas, l: &Layout, survey: &Survey) {
    let here = |c: &'_ instrument::Condition| c.lies(&survey.instrument).into_iter().filter(|x| x.run == l.run.id).collect::<Vec<_>>();
    for (c, lies) in survey.conditions.iter().flat_map(|c| here(c).into_iter().map(move |x| (c, x))) {
        let (from, to) = match (lies.from_mm, lies.to_mm) {
            (Some(from), Some(to)) => (from, to),
            (Some(one), None) | (None, Some(one)) => (one - 4.0, one + 4.0),
            (None, None) => (0.0, l.length_mm),
        };
        let (x0, x1) = (l.x(from), l.x(to));
        let step = 1.6;
        let mut x = x0;
        while x <= x1 {
            let s = (x - LEFT_MM) * l.scale;
            canvas.line((x, l.axis_y - l.half(s)), (x, l.axis_y + l.half(s)), Pen::new(0.25, HURT).dashed("0.6 0.6"));
            x += step;
        }
        let name = match c.kind {
            ConditionKind::RedRot => "red rot",
            ConditionKind::SeasonCracking => "season cracking",
            ConditionKind::Crack => "crack",
            ConditionKind::Hole => "hole",
            ConditionKind::Thin => "thin",
            ConditionKind::LooseBrace => "loose brace",
            ConditionKind::BrokenBrace => "broken brace",
            ConditionKind::MissingBrace => "missing brace",
            ConditionKind::PulledJoint => "pulled joint",
            ConditionKind::OutOfLine => "out of line",
            ConditionKind::BentBell => "bent bell",
            ConditionKind::BentHandSlide => "bent hand slide",
            ConditionKind::Oval => "oval",
        };
        let w = Type::SMALL.width_mm(name) + 1.0;
        let at = ((x0 + x1) / 2.0).clamp(w / 2.0, (canvas.width_mm - w / 2.0).max(w / 2.0));
        canvas.rect((at - w / 2.0, l.axis_y - 1.6), (w, 3.0), "#ffffff", Pen::new(0.25, HURT));
        canvas.text((at, l.axis_y + 0.7), name, Type { colour: HURT, ..Type::SMALL.middle() });
    }
}

/// Draws the overlays; returns their labels.
pub(crate) fn overlays(canvas: &mut Canvas, l: &Layout, survey: &Survey) -> Vec<Callout> {
    let mut labels = Vec::new();
    for overlay in &survey.instrument.overlays {
        for cover in overlay.covers.iter().filter(|c| c.run == l.run.id) {
            let (from, to) = (cover.from_mm.min(cover.to_mm), cover.from_mm.max(cover.to_mm));
            let mut mid = (from + to) / 2.0;
            let (x0, x1) = (l.x(from), l.x(to).max(l.x(from) + 0.8));
            let (low, high) = match cover.clock_deg {
                None => (-1.0, 1.0),
                Some((a, b)) => {
                    let span = (b - a).rem_euclid(360.0);
                    let heights = (0..=16).map(|i| (a + span * f64::from(i) / 16.0).to_radians().cos());
                    heights.fold((1.0_f64, -1.0_f64), |(lo, hi), h| (lo.min(h), hi.max(h)))
                }
            };
            let thick = if matches!(overlay.kind, OverlayKind::Brace) { 1.2 } else { 0.6 };
            mid = mid.clamp(0.0, l.length_mm);
            let half = l.half(mid) + thick;
            // The outline follows a taper.
            let top = |s: f64| l.axis_y - high * (l.half(s) + thick);
            let bottom = |s: f64| l.axis_y - low * (l.half(s) + thick);
            let (s0, s1) = (from.clamp(0.0, l.length_mm), to.clamp(0.0, l.length_mm));
            let spread = (high - low) * half < 1.2;
            let grow = if spread { 0.6 } else { 0.0 };
            let corners = [(x0, top(s0) - grow), (x1, top(s1) - grow), (x1, bottom(s1) + grow), (x0, bottom(s0) + grow)];
            canvas.polygon(&corners, COVER, Some(Pen::NARROW));
            if overlay.kind == OverlayKind::Brace {
                canvas.line((x0, top(s0) - grow), (x1, bottom(s1) + grow), Pen::NARROW);
                canvas.line((x1, top(s1) - grow), (x0, bottom(s0) + grow), Pen::NARROW);
            }
            labels.push((((x0 + x1) / 2.0, bottom(mid) + grow), overlay.name.clone()));
        }
    }
    labels
}

/// Moving fits of the run: a double line along both edges, and a label with the state.
pub(crate) fn fits(canvas: &mut Canvas, l: &Layout, survey: &Survey) -> Vec<Callout> {
    let mut labels = Vec::new();
    for fit in survey.instrument.fits_of(&l.run.id) {
        for (sign, gap) in [(-1.0, 0.7), (-1.0, 1.1), (1.0, 0.7), (1.0, 1.1)] {
            let y = |s: f64| l.axis_y + sign * (l.half(s) + gap);
            canvas.line((l.x(0.0), y(0.0)), (l.x(l.length_mm), y(l.length_mm)), Pen::NARROW);
        }
        let state = match fit.state {
            None => "",
            Some(FitState::Free) => ", moves freely",
            Some(FitState::Stiff) => ", stiff",
            Some(FitState::Binds) => ", binds",
            Some(FitState::Stuck) => ", stuck",
        };
        labels.push(((l.x(0.0) + 1.0, l.axis_y + l.half(0.0) + 1.1), format!("moving fit: {}{state}", fit.name)));
    }
    labels
}

pub(crate) fn joints(canvas: &mut Canvas, l: &Layout, survey: &Survey) {
    for (end, station, outward) in [(End::Start, 0.0, -1.0), (End::Finish, l.length_mm, 1.0)] {
        let here = RunEnd { run: l.run.id.clone(), end };
        let Some(joint) = survey.instrument.joints_at(&here).into_iter().next() else { continue };
        joint_sign(canvas, joint, (l.x(station), l.axis_y), l.half(station), outward);
    }
}

fn joint_sign(canvas: &mut Canvas, joint: &Joint, at: P, half: f64, outward: f64) {
    let x = at.0 + outward * 3.4;
    let y = at.1;
    match joint.kind {
        JointKind::SoftSoldered { .. } => canvas.polygon(&[(x - 1.6, y - 1.5), (x + 1.6, y - 1.5), (x, y + 1.5)], INK, None),
        JointKind::SilverBrazed { .. } => canvas.rect((x - 1.4, y - 1.4), (2.8, 2.8), INK, Pen::NARROW),
        JointKind::SlidingFit => canvas.dimension((x - 2.6, y), (x + 2.6, y)),
        JointKind::Threaded => {
            canvas.polyline(&[(x - 1.6, y + 1.0), (x - 0.8, y - 1.0), (x, y + 1.0), (x + 0.8, y - 1.0), (x + 1.6, y + 1.0)], Pen::NARROW)
        }
        JointKind::Pressed => canvas.circle((x, y), 1.4, "#ffffff", Pen::NARROW),
        JointKind::Fixed => {}
    }
    canvas.line((at.0, y - half - 0.8), (at.0, y + half + 0.8), Pen::WIDE);
}

fn place_dents(canvas: &mut Canvas, l: &Layout, survey: &Survey, dents: &[&Dent], marks: &[Mark], rows: usize) {
    struct Placed<'a> {
        at: P,
        clock: Option<f64>,
        label: &'a str,
        worked: bool,
        far: bool,
    }
    let mut placed: Vec<Placed> = Vec::new();
    for dent in dents {
        let Some((at, clock, far)) = dent_field(canvas, l, survey, dent, HURT_PALE) else { continue };
        let mark = marks.iter().find(|m| m.dent == dent.id);
        placed.push(Placed {
            at,
            clock,
            label: mark.map_or(dent.id.0.as_str(), |m| m.label.as_str()),
            worked: mark.is_some_and(|m| m.worked),
            far,
        });
    }
    placed.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
    #[expect(clippy::cast_precision_loss, reason = "a handful of rows")]
    let (count, top) = (rows as f64, 9.5 + 1.0);
    let row_mm = 2.0 * balloon::RADIUS_MM + 2.6;
    let wanted: Vec<f64> = placed.iter().map(|p| p.at.0).collect();
    let from = balloon::RADIUS_MM + 1.2;
    let xs = spread(&wanted, balloon::PITCH_MM / count, from, (canvas.width_mm - from).max(from));
    let fan_top = top + count * row_mm;
    for (i, (p, x)) in placed.iter().zip(xs).enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a handful of rows")]
        let y = top + (i % rows) as f64 * row_mm + row_mm / 2.0;
        let edge = fan_top + 3.4;
        let pen = if p.far { Pen::NARROW.dashed("0.7 0.6") } else { Pen::NARROW };
        canvas.polyline(&[(x, y), (x, fan_top), (p.at.0, edge), p.at], pen);
        canvas.circle(p.at, 0.45, INK, Pen::NARROW);
        balloon(canvas, (x, y), p.label, p.clock, p.worked);
    }
}

/// Draws a dent's field with its crease and crack; returns its place on paper, its clock, and whether it lies on the far side. None
/// where nobody knows where it is.
pub(crate) fn dent_field(canvas: &mut Canvas, l: &Layout, survey: &Survey, dent: &Dent, fill: &str) -> Option<(P, Option<f64>, bool)> {
    let site = survey.site(dent)?;
    let clock = site.clock_deg.as_ref().map(|c| c.value);
    let seen = clock.unwrap_or(90.0);
    let at = l.place(site.at_mm.value, seen);
    let far = clock.is_some_and(|c| c.to_radians().sin() < -1e-6);
    let along = dent.width_along_mm.as_ref().map_or(8.0, |w| w.value) / 2.0 / l.scale;
    let across = dent.width_across_mm.as_ref().map_or(8.0, |w| w.value) / 2.0 / l.scale;
    // What the side view shows of a stretch round the tube: from its highest to its lowest point.
    let (radius, clock_rad) = (l.half(site.at_mm.value).max(1e-6), seen.to_radians());
    let reach = (across / radius).min(std::f64::consts::PI);
    let heights: Vec<f64> = (-8..=8).map(|i| radius * (clock_rad + reach * f64::from(i) / 8.0).cos()).collect();
    let (low, high) = heights.iter().fold((f64::MAX, f64::MIN), |(lo, hi), h| (lo.min(*h), hi.max(*h)));
    let middle = (at.0, l.axis_y - (low + high) / 2.0);
    let half = (along.max(0.6), ((high - low) / 2.0).max(0.5));
    let pen = if far { Pen::NARROW.dashed("1.2 0.8") } else { Pen::NARROW };
    if dent.at_mm.is_none() {
        // The station is not known: the whole range in which it may lie.
        let (from, to) = (l.x(site.at_mm.value - 1.7 * site.at_mm.sd), l.x(site.at_mm.value + 1.7 * site.at_mm.sd));
        canvas.line((from, at.1), (to, at.1), Pen::NARROW.dashed("1.2 0.8"));
        for x in [from, to] {
            canvas.line((x, at.1 - 1.0), (x, at.1 + 1.0), Pen::NARROW);
        }
    }
    canvas.ellipse(middle, half, if far { "none" } else { fill }, pen);
    if let Some(crease) = &dent.crease {
        let (dx, dy) = match crease.direction {
            Direction::Along => (half.0, 0.0),
            Direction::Across => (0.0, half.1),
            Direction::Oblique => (half.0 * 0.7, half.1 * 0.7),
        };
        canvas.line((at.0 - dx, at.1 + dy), (at.0 + dx, at.1 - dy), Pen::WIDE);
    }
    if let Some(crack) = &dent.crack {
        for line in crack_lines(crack.direction) {
            let points: Vec<(f64, f64)> = line.iter().map(|(x, y)| (at.0 + x, at.1 + y)).collect();
            canvas.polyline(&points, Pen::WIDE);
        }
    }
    Some((at, clock, far))
}

/// The lines of a crack about its place, mm: a zigzag the way it lies; where nobody said, a zigzag crossed by another, so
/// that the paper does not tell of a direction that nobody saw.
fn crack_lines(direction: Option<Direction>) -> Vec<[P; 5]> {
    let zigzag = |method: P| {
        let side = (-method.1, method.0);
        [(-2.0, 1.0), (-1.0, -1.0), (0.0, 1.0), (1.0, -1.0), (2.0, 1.0)]
            .map(|(i, s): P| (0.8 * i * method.0 + 0.7 * s * side.0, 0.8 * i * method.1 + 0.7 * s * side.1))
    };
    let slant = std::f64::consts::FRAC_1_SQRT_2;
    match direction {
        Some(Direction::Along) => vec![zigzag((1.0, 0.0))],
        Some(Direction::Across) => vec![zigzag((0.0, 1.0))],
        Some(Direction::Oblique) => vec![zigzag((slant, -slant))],
        None => vec![zigzag((slant, slant)), zigzag((slant, -slant))],
    }
}

fn bends(canvas: &mut Canvas, l: &Layout, top: f64) -> f64 {
    let mut start = 0.0;
    let mut labels = Vec::new();
    for segment in &l.run.axis.segments {
        let end = start + segment.length_mm();
        if let Segment::Bend { radius_mm, angle_deg, .. } = segment {
            let (x0, x1) = (l.x(start), l.x(end));
            let y = top + 1.4;
            canvas.polyline(&[(x0, y - 1.0), (x0, y), (x1, y), (x1, y - 1.0)], Pen::NARROW);
            labels.push(((x0, y), format!("bend {angle_deg:.0}°, radius {}", show_length(*radius_mm, l.unit))));
        }
        start = end;
    }
    if labels.is_empty() { top } else { callouts::below(canvas, &labels, top + 1.6) }
}

pub(crate) fn ruler(canvas: &mut Canvas, l: &Layout, top: f64) -> f64 {
    let steps: &[f64] = match l.unit {
        LengthUnit::Mm => &[5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0],
        LengthUnit::Inch => &[0.5, 1.0, 2.0, 5.0, 10.0, 20.0],
    };
    let unit_mm = match l.unit {
        LengthUnit::Mm => 1.0,
        LengthUnit::Inch => MM_PER_INCH,
    };
    let step = steps.iter().copied().find(|s| s * unit_mm / l.scale >= 9.0).unwrap_or(l.length_mm / unit_mm);
    let y = top + 1.0;
    canvas.line((l.x(0.0), y), (l.x(l.length_mm), y), Pen::NARROW);
    let mut at = 0.0;
    while at * unit_mm <= l.length_mm + 1e-6 && step > 0.0 {
        let x = l.x(at * unit_mm);
        canvas.line((x, y), (x, y + 1.2), Pen::NARROW);
        let label = if step < 1.0 { format!("{at:.1}") } else { format!("{at:.0}") };
        canvas.text((x, y + 4.2), &label, Type::SMALL.middle());
        at += step;
    }
    let words = match l.unit {
        LengthUnit::Mm => "mm",
        LengthUnit::Inch => "in",
    };
    canvas.text((l.x(0.0) - 3.0, y + 4.2), words, Type::SMALL.end());
    y + 5.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_crack_is_drawn_the_way_it_lies_and_both_ways_where_nobody_said() {
        let method = |direction| {
            let lines = crack_lines(direction);
            let (from, to) = (lines[0][0], lines[0][4]);
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            (((to.0 - from.0) / length, (to.1 - from.1) / length), lines.len())
        };
        assert_eq!(method(Some(Direction::Along)), ((1.0, 0.0), 1));
        assert_eq!(method(Some(Direction::Across)), ((0.0, 1.0), 1));
        let ((x, y), lines) = method(Some(Direction::Oblique));
        assert!((x + y).abs() < 1e-9 && x > 0.7 && lines == 1);
        assert_eq!(method(None).1, 2);
    }
}
