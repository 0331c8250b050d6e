//! Where the dents are, for the person who owns the instrument: its tubes laid out straight, end after end, in rows,
//! with a labelled dot for each dent. To scale along and across.

use crate::canvas::{BRASS, Canvas, Drawing, GREY, HURT, INK, P, Pen, Type};
use crate::labels::spread;
use crate::marks::Mark;
use crate::scale;
use instrument::{Run, Survey};
use units::LengthUnit;

const GAP_MM: f64 = 2.5;
/// Radius of a dent's ring: its label of three letters goes in.
const DOT_MM: f64 = 2.8;
/// No tube is given more room than this for the rings over it, mm.
const MOST_DOTS_MM: f64 = 60.0;
/// Room between two rings, mm.
const APART_MM: f64 = 0.4;
/// Room for the outline's own stroke at the sheet's edge.
const EDGE_MM: f64 = 0.4;
/// Runs shorter than this on paper and without dents are left out.
const LEAST_MM: f64 = 2.5;

/// The picture, `width_mm` wide.
pub fn overview(survey: &Survey, marks: &[Mark], unit: LengthUnit, width_mm: f64) -> Drawing {
    let runs: Vec<&Run> = survey.instrument.runs.iter().filter(|r| r.length_mm() > 0.0).collect();
    let total: f64 = runs.iter().map(|r| r.length_mm()).sum();
    let longest = runs.iter().map(|r| r.length_mm()).fold(1.0, f64::max);
    let widest = runs.iter().map(|r| r.bore_mm.range_between(0.0, r.length_mm()).1).filter(|w| w.is_finite()).fold(1.0, f64::max);
    // About four rows, every run whole on its row, the widest bell no higher than 34 mm.
    let scale = scale::fitting((longest.max(total / 4.0), widest), (width_mm - 2.0 * EDGE_MM, 34.0), 1.0);
    let dented = |r: &Run| survey.dents.iter().filter(|d| d.run == r.id).count();
    let paper = |r: &Run| r.length_mm() / scale;

    let mut rows: Vec<Vec<&Run>> = vec![Vec::new()];
    let mut used = 0.0;
    for run in runs.into_iter().filter(|r| dented(r) > 0 || paper(r) >= LEAST_MM) {
        // A run needs room for its name too.
        let w = slot(run, paper(run), dented(run));
        if used > 0.0 && used + w > width_mm - 2.0 * EDGE_MM {
            rows.push(Vec::new());
            used = 0.0;
        }
        used += w + GAP_MM;
        if let Some(row) = rows.last_mut() {
            row.push(run);
        }
    }
    let mut canvas = Canvas::new(width_mm, 0.0);
    let mut y = 0.0;
    for row in &rows {
        y = draw_row(&mut canvas, survey, marks, row, scale, y);
    }
    scale::bar(&mut canvas, (0.0, y + 3.0), scale, 30.0, unit);
    canvas.height_mm = y + 4.5;
    canvas.finish(&format!("{}: where the dents are", survey.title))
}

fn slot(run: &Run, paper: f64, dents: usize) -> f64 {
    let name = if dents > 0 { Type::SMALL.width_mm(&run.name) } else { 0.0 };
    #[expect(clippy::cast_precision_loss, reason = "a count of dents")]
    let dots = dents as f64 * 2.0 * DOT_MM;
    paper.max(name).max(dots.min(MOST_DOTS_MM))
}

fn draw_row(canvas: &mut Canvas, survey: &Survey, marks: &[Mark], row: &[&Run], scale: f64, top: f64) -> f64 {
    let half =
        row.iter().map(|r| r.bore_mm.range_between(0.0, r.length_mm()).1 / 2.0 / scale).filter(|h| h.is_finite()).fold(1.0, f64::max);
    // As many rows of rings as keep them apart.
    let pitch = 2.0 * DOT_MM + APART_MM;
    #[expect(clippy::cast_precision_loss, reason = "a count of dents")]
    let dots = survey.dents.iter().filter(|d| row.iter().any(|r| r.id == d.run)).count() as f64;
    let rings = (dots * pitch / (canvas.width_mm - pitch)).ceil();
    let fan = top + rings * pitch + 0.6;
    let axis = if rings > 0.0 { fan + 3.5 } else { top + 1.0 } + half;
    let mut x = EDGE_MM;
    let mut placed: Vec<(P, &str, bool)> = Vec::new();
    for run in row {
        let length = run.length_mm();
        let count = survey.dents.iter().filter(|d| d.run == run.id).count();
        let wide = slot(run, length / scale, count);
        let x0 = x + (wide - length / scale) / 2.0;
        let edge = |sign: f64| -> Vec<P> {
            (0..=40)
                .map(|i| length * f64::from(i) / 40.0)
                .map(|s| (x0 + s / scale, axis + sign * run.outside_diameter_at(s) / 2.0 / scale))
                .collect()
        };
        let mut outline = edge(-1.0);
        outline.extend(edge(1.0).into_iter().rev());
        canvas.polygon(&outline, if count > 0 { BRASS } else { "#ffffff" }, Some(Pen::new(0.25, if count > 0 { INK } else { GREY })));
        if count > 0 {
            canvas.text((x + wide / 2.0, axis + half + 3.2), &run.name, Type::SMALL.middle());
        }
        for dent in survey.dents.iter().filter(|d| d.run == run.id) {
            let Some(site) = survey.site(dent) else { continue };
            let at = site.at_mm.value.clamp(0.0, length);
            let clock = site.clock_deg.as_ref().map_or(90.0, |c| c.value).to_radians();
            let p = (x0 + at / scale, axis - run.outside_diameter_at(at) / 2.0 / scale * clock.cos() * 0.9);
            let mark = marks.iter().find(|m| m.dent == dent.id);
            placed.push((p, mark.map_or(dent.id.0.as_str(), |m| m.label.as_str()), mark.is_some_and(|m| m.worked)));
        }
        x += wide + GAP_MM;
    }
    placed.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
    let wanted: Vec<f64> = placed.iter().map(|p| p.0.0).collect();
    let xs = spread(&wanted, pitch / rings.max(1.0), DOT_MM + 0.3, canvas.width_mm - DOT_MM - 0.3);
    let mut ring = 0.0;
    for ((p, label, worked), x) in placed.iter().zip(xs) {
        let y = top + DOT_MM + 0.6 + ring * pitch;
        ring = if ring + 1.5 > rings { 0.0 } else { ring + 1.0 };
        canvas.polyline(&[(x, y), (x, fan), (p.0, fan + 2.2), *p], Pen::new(0.25, GREY));
        canvas.circle(*p, 0.7, HURT, Pen::NARROW);
        let pen = Pen::NARROW;
        canvas.circle((x, y), DOT_MM, "#ffffff", if *worked { pen } else { pen.dashed("0.6 0.4") });
        canvas.text((x, y + 1.05), label, Type { bold: true, ..Type::SMALL.middle() });
    }
    axis + half + 6.0
}
