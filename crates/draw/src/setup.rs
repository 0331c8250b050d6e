//! The drawing of a setup: its run straightened, to scale, with all its dents, a section plane through each, and the sections with the
//! tool in place. Seen from the run's 3 o'clock side, 12 o'clock up, mouthpiece end left; sections from mouthpiece to bell.

use crate::callouts;
use crate::canvas::{Canvas, Drawing, INK, P, Pen, Type, depth_colour};
use crate::labels::spread;
use crate::laid::Laid;
use crate::marks::Mark;
use crate::scale;
use crate::strip::{self, LEFT_MM, Layout};
use crate::tool_in_tube::{SideView, ToolView};
use crate::tube_section::{self, Round};
use dent::Assessment;
use instrument::{End, Run, Survey};
use reach::{Method, Rack};
use units::LengthUnit;

/// The most height that the tube's side view takes, mm, and the most that a section does.
const SIDE_MM: f64 = 24.0;
const SECTION_MM: f64 = 18.0;
/// Height of a dent's tag; its type is 3 mm high, 8.5 point.
const TAG_MM: f64 = 4.2;
const NUMBER: Type = Type { size: 3.0, bold: true, ..Type::TEXT.middle() };

/// What to draw.
#[derive(Clone, Copy, Debug)]
pub struct SetupView<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// Assessments of its dents.
    pub assessments: &'a [Assessment],
    /// The shop's tools, for the sizes of those that a method names.
    pub rack: &'a Rack,
    /// The dents' labels.
    pub marks: &'a [Mark],
    /// The run.
    pub run: &'a Run,
    /// The methods of its dents, each dent once.
    pub methods: &'a [&'a Method],
    /// Unit of the dimensions.
    pub unit: LengthUnit,
}

/// A dent with its place on paper and its section.
struct Cut<'a> {
    label: &'a str,
    at: P,
    far: bool,
    section: Option<(Laid<'a>, Option<Round>)>,
}

/// The letters of section planes: I, O and Q look like figures and are left out (ISO 128, from memory).
pub fn letter(i: usize) -> String {
    const LETTERS: [char; 23] =
        ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'K', 'L', 'M', 'N', 'P', 'R', 'S', 'T', 'U', 'V', 'W', 'X', 'Y', 'Z'];
    let again = i / LETTERS.len();
    if again == 0 { LETTERS[i].to_string() } else { format!("{}{again}", LETTERS[i % LETTERS.len()]) }
}

/// The drawing, at most `width_mm` wide; none where the run has no length. With the dents' letters, in the order of the methods; none for
/// a dent that nobody has placed.
pub fn setup(view: &SetupView, width_mm: f64) -> Option<(Drawing, Vec<Option<String>>)> {
    let run = view.run;
    let length_mm = run.length_mm();
    let (_, widest) = run.bore_mm.range_between(0.0, length_mm);
    if !(length_mm > 0.0 && widest.is_finite() && widest > 0.0) {
        return None;
    }
    let outside = widest + 2.0 * run.wall_mm.range_between(0.0, length_mm).1;
    // The largest scale with the sections below; smaller ones with the sections beside. The least high is taken, a larger one before a
    // smaller one that saves little.
    let largest = scale::fitting((length_mm, outside), (width_mm - 2.0 * LEFT_MM, SIDE_MM), 1.0);
    let mut found: Option<(Canvas, Vec<Option<String>>)> = None;
    for k in [1.0, 1.3, 1.7, 2.2] {
        let room = (length_mm / largest / k, outside / largest);
        let scale = scale::fitting((length_mm, outside), room, 1.0);
        if k > 1.0 && length_mm / scale < LEAST_MM {
            continue;
        }
        let drawn = at_scale(view, width_mm, scale, outside);
        if found.as_ref().is_none_or(|(best, _)| drawn.0.height_mm < best.height_mm - SAVES_MM) {
            found = Some(drawn);
        }
    }
    let (sheet, letters) = found?;
    Some((sheet.finish(&format!("{}, straightened, with its dents and sections", run.name)), letters))
}

/// A tube is drawn no shorter than this to make room, mm.
const LEAST_MM: f64 = 62.0;
/// A smaller scale must save so much height, mm.
const SAVES_MM: f64 = 4.0;

fn at_scale(view: &SetupView, width_mm: f64, scale: f64, outside: f64) -> (Canvas, Vec<Option<String>>) {
    let run = view.run;
    let length_mm = run.length_mm();
    let tag = tag_mm(view);
    // Where the tags need more room than the tube is long.
    #[expect(clippy::cast_precision_loss, reason = "a handful of dents")]
    let tags_mm = view.methods.len() as f64 * (tag + 1.0) + 2.0;
    let side_mm = (length_mm / scale + 2.0 * LEFT_MM).max(tags_mm).max(70.0).min(width_mm);
    let mut side = Canvas::new(side_mm, 0.0);
    let layout = Layout { run, scale, length_mm, axis_y: TAG_MM + 5.6 + outside / 2.0 / scale, unit: view.unit };
    strip::body(&mut side, &layout);
    strip::conditions(&mut side, &layout, view.survey);
    let mut under = strip::overlays(&mut side, &layout, view.survey);
    under.extend(strip::fits(&mut side, &layout, view.survey));
    strip::joints(&mut side, &layout, view.survey);
    let (cuts, letters) = cuts(&mut side, view, &layout);
    planes(&mut side, view, &layout, &cuts, tag);
    let mut y = layout.axis_y + outside / 2.0 / scale + 6.6;
    y = callouts::below(&mut side, &under, y);
    y = strip::ruler(&mut side, &layout, y);
    // The ruler is the scale's bar.
    let words = scale::words(scale);
    side.text(((layout.x(length_mm) + 3.0).min(side_mm - Type::SMALL.width_mm(&words)), y - 3.0), &words, Type::SMALL);
    side.height_mm = y + 0.8;

    let sections = sections(&cuts, width_mm, width_mm - side.width_mm - 5.0);
    let mut sheet = Canvas::new(width_mm, side.height_mm);
    sheet.place(&side, (0.0, 0.0));
    if let Some(s) = sections {
        let beside = s.width_mm <= width_mm - side.width_mm - 5.0;
        let at = if beside { (width_mm - s.width_mm, 0.0) } else { (0.0, side.height_mm + 1.5) };
        sheet.place(&s, at);
        sheet.height_mm = sheet.height_mm.max(at.1 + s.height_mm);
    }
    (sheet, letters)
}

fn tag_mm(view: &SetupView) -> f64 {
    view.methods.iter().map(|m| NUMBER.width_mm(label(view, m))).fold(4.0, f64::max) + 1.4
}

fn label<'a>(view: &SetupView<'a>, method: &'a Method) -> &'a str {
    view.marks.iter().find(|m| m.dent == method.dent).map_or(method.dent.0.as_str(), |m| m.label.as_str())
}

/// Draws the dents, from the mouthpiece end to the bell end; with the letter of each method's dent.
fn cuts<'a>(canvas: &mut Canvas, view: &SetupView<'a>, layout: &Layout) -> (Vec<Cut<'a>>, Vec<Option<String>>) {
    let mut found: Vec<(usize, Cut<'a>)> = Vec::new();
    for (i, method) in view.methods.iter().enumerate() {
        let Some(dent) = view.survey.dent(&method.dent) else { continue };
        let depth = view.assessments.iter().find(|a| a.dent == dent.id).map_or(0.0, |a| a.depth_mm.value);
        let Some((at, _, far)) = strip::dent_field(canvas, layout, view.survey, dent, depth_colour(depth)) else { continue };
        let section = Laid::of(view.survey, view.assessments, method).map(|laid| {
            let tool = ToolView { survey: view.survey, assessments: view.assessments, method, rack: Some(view.rack), unit: view.unit };
            let round = SideView::new(&tool, &laid).round();
            (laid, round)
        });
        found.push((i, Cut { label: label(view, method), at, far, section }));
    }
    found.sort_by(|a, b| a.1.at.0.total_cmp(&b.1.at.0));
    let mut letters = vec![None; view.methods.len()];
    for (k, (i, _)) in found.iter().enumerate() {
        letters[*i] = Some(letter(k));
    }
    (found.into_iter().map(|f| f.1).collect(), letters)
}

/// A plane through each dent: from its tag down through the tube to its letter, arrows the way that one looks.
fn planes(canvas: &mut Canvas, view: &SetupView, l: &Layout, cuts: &[Cut], tag: f64) {
    let wanted: Vec<f64> = cuts.iter().map(|c| c.at.0).collect();
    let end = canvas.width_mm;
    let tops = spread(&wanted, tag + 1.0, tag / 2.0 + 0.3, end - tag / 2.0 - 0.3);
    let feet = spread(&wanted, 4.6, 2.4, end - 4.0);
    for (i, ((cut, top), foot)) in cuts.iter().zip(tops).zip(feet).enumerate() {
        let x = cut.at.0;
        let half = l.half((x - LEFT_MM) * l.scale) + 1.6;
        let (high, low) = (l.axis_y - half, l.axis_y + half);
        // Above and below all of the tube, so that planes beside a flare do not cut it.
        let (lid, floor) = (TAG_MM + 2.6, l.axis_y + widest_half(l) + 2.6);
        canvas.polyline(&[(top, TAG_MM + 0.4), (x, lid.min(high)), (x, low.max(floor - 2.0)), (foot, floor + 0.8)], Pen::PLANE);
        for y in [lid + 1.2, floor - 1.6] {
            canvas.line((x, y), (x + 2.4, y), Pen::NARROW);
            canvas.arrow((x + 3.4, y), (1.0, 0.0), INK);
        }
        let words = letter(i);
        canvas.text((foot, floor + 4.2), &words, NUMBER);
        let pen = if cut.far { Pen::NARROW.dashed("0.8 0.6") } else { Pen::NARROW };
        canvas.rect((top - tag / 2.0, 0.2), (tag, TAG_MM), "#ffffff", pen);
        canvas.text((top, 0.2 + TAG_MM / 2.0 + 1.05), cut.label, NUMBER);
    }
    entry(canvas, view, l);
}

fn widest_half(l: &Layout) -> f64 {
    (0..=20).map(|i| l.half(l.length_mm * f64::from(i) / 20.0)).fold(0.0, f64::max)
}

/// An arrow at the end by which the tool enters.
fn entry(canvas: &mut Canvas, view: &SetupView, l: &Layout) {
    let enters = view.methods.iter().find_map(|m| m.passage.as_ref().and_then(|p| p.parts.last())).map(|p| p.enters);
    match enters {
        Some(End::Start) => {
            canvas.line((0.3, l.axis_y), (3.2, l.axis_y), Pen::WIDE);
            canvas.arrow((4.6, l.axis_y), (1.0, 0.0), INK);
        }
        Some(End::Finish) => {
            let x = l.x(l.length_mm) + LEFT_MM;
            canvas.line((x - 0.3, l.axis_y), (x - 3.2, l.axis_y), Pen::WIDE);
            canvas.arrow((x - 4.6, l.axis_y), (-1.0, 0.0), INK);
        }
        None => {}
    }
}

/// The sections in a row each as wide as the paper, or beside the side view where there is room; none where no dent has one.
fn sections(cuts: &[Cut], width_mm: f64, beside_mm: f64) -> Option<Canvas> {
    let shown: Vec<(usize, &Cut, &Laid, Option<Round>)> =
        cuts.iter().enumerate().filter_map(|(i, c)| c.section.as_ref().map(|(l, r)| (i, c, l, *r))).collect();
    let outside = |l: &Laid| 2.0 * (l.radius_mm() + l.wall_mm(l.at_mm));
    let widest = shown.iter().map(|s| outside(s.2)).fold(0.0, f64::max);
    if shown.is_empty() || !(widest > 0.0 && widest.is_finite()) {
        return None;
    }
    let cell = |laid: &Laid, scale: f64| (outside(laid) / scale + 4.0).max(15.0);
    let row = |scale: f64| shown.iter().map(|s| cell(s.2, scale)).sum::<f64>();
    // As large as goes into one row, but never so small that nothing is seen.
    let mut scale = scale::fitting((widest, widest), (SECTION_MM, SECTION_MM), 1.0);
    while row(scale) > width_mm && widest / scale > 11.0 {
        scale = scale::fitting((widest, widest), (widest / scale * 0.95, widest / scale * 0.95), 1.0);
    }
    // Beside the side view where two rows have room there, else below it.
    let cells = |scale: f64| shown.iter().map(|s| cell(s.2, scale)).fold(0.0, f64::max);
    let wide = if beside_mm >= (row(scale) / 2.0 + cells(scale) / 2.0).max(20.0) { beside_mm } else { width_mm };
    let high = widest / scale;
    let mut canvas = Canvas::new(0.0, 0.0);
    let (mut x, mut y) = (0.0, 0.0);
    // A clock that nobody knows is asked for under its section.
    let unknown = shown.iter().any(|s| s.2.clock_deg.is_none());
    let under = if unknown { 7.6 } else { 4.2 };
    for (i, cut, laid, tool) in shown {
        let w = cell(laid, scale);
        if x > 0.0 && x + w > wide {
            (x, y) = (0.0, y + high + 3.8 + under);
        }
        let name = letter(i);
        canvas.text((x + w / 2.0, y + 3.2), &format!("{name}–{name}  {}", cut.label), NUMBER);
        let centre = (x + w / 2.0, y + 6.4 + high / 2.0);
        tube_section::ring(&mut canvas, laid, tool, centre, scale);
        let r = outside(laid) / scale / 2.0;
        canvas.line((centre.0, centre.1 - r - 1.4), (centre.0, centre.1 - r + 0.2), Pen::NARROW);
        if laid.clock_deg.is_none() {
            canvas.text((centre.0, y + 6.4 + high + 3.6), "clock?", Type::SMALL.middle());
        }
        x += w;
        canvas.width_mm = canvas.width_mm.max(x);
    }
    let words = format!("sections {}", scale::words(scale));
    let bottom = y + 6.4 + high + under;
    canvas.text((0.0, bottom), &words, Type::SMALL);
    canvas.width_mm = canvas.width_mm.max(Type::SMALL.width_mm(&words));
    canvas.height_mm = bottom + 1.0;
    Some(canvas)
}
