//! The wall of a run unrolled: stations to the right, clock upwards from 6 o'clock over 3, 12 and 9 back to 6; lengths
//! round the tube to scale at every station. Dents as contour lines of equal depth.

use crate::balloon::{self, balloon};
use crate::canvas::{BRASS, COVER, Canvas, Drawing, GREY, HURT, HURT_PALE, INK, P, Pen, Type};
use crate::marks::Mark;
use crate::scale;
use dent::Assessment;
use instrument::{Run, RunId, Survey};
use std::f64::consts::PI;
use units::LengthUnit;
use units::angle::show_clock;
use units::length::show_length;

const LEFT_MM: f64 = 16.0;
/// The clock on the middle line of the unrolled wall, degrees.
const MIDDLE_DEG: f64 = 0.0;

/// The unrolled wall of a run on paper at most `width_mm` wide; none where there is no such run.
pub fn unrolled(
    survey: &Survey,
    assessments: &[Assessment],
    run: &RunId,
    marks: &[Mark],
    unit: LengthUnit,
    width_mm: f64,
) -> Option<Drawing> {
    let run = survey.instrument.run(run)?;
    let length = run.length_mm();
    let (_, bore) = run.bore_mm.range_between(0.0, length);
    if !(length > 0.0 && bore > 0.0 && bore.is_finite()) {
        return None;
    }
    let round = PI * (bore + 2.0 * run.wall_mm.range_between(0.0, length).1);
    let scale = scale::fitting((length, round), (width_mm - LEFT_MM - 6.0, 130.0), 1.0);
    let head = format!("{}: wall unrolled, depths of the dents", run.name);
    let width = (LEFT_MM + length / scale + 6.0).max(Type::HEAD.width_mm(&head)).min(width_mm);
    let axis_y = 10.0 + round / scale / 2.0;
    let mut canvas = Canvas::new(width, axis_y + round / scale / 2.0 + 9.0);
    canvas.text((0.0, 4.0), &head, Type::HEAD);
    let place = |at_mm: f64, clock_deg: f64| -> P {
        (LEFT_MM + at_mm / scale, axis_y - from_middle(clock_deg) / 360.0 * around(run, at_mm) / scale)
    };

    let edge = |clock: f64| -> Vec<P> { (0..=60).map(|i| place(length * f64::from(i) / 60.0, clock)).collect() };
    let mut outline = edge(179.999);
    outline.extend(edge(-179.999).into_iter().rev());
    canvas.polygon(&outline, BRASS, Some(Pen::OUTLINE));
    for clock in [0.0, 90.0, -90.0] {
        canvas.polyline(&edge(clock), if clock == 0.0 { Pen::CENTRE.wide(0.25) } else { Pen::CENTRE });
    }
    for clock in [179.999, 90.0, 0.0, -90.0, -179.999] {
        let p = place(0.0, clock);
        canvas.text((p.0 - 1.2, p.1 + 0.8), &show_clock(clock), Type::SMALL.end());
    }
    covers(&mut canvas, survey, run, &place);
    let mut labels = Vec::new();
    let mut taken: Vec<(P, P)> = Vec::new();
    for dent in survey.dents.iter().filter(|d| d.run == run.id) {
        let Some(site) = survey.site(dent) else { continue };
        let Some(a) = assessments.iter().find(|a| a.dent == dent.id) else { continue };
        let clock = site.clock_deg.as_ref().map(|c| c.value);
        let middle = place(site.at_mm.value.clamp(0.0, length), clock.unwrap_or(0.0));
        let half = (a.width_along_mm.value / 2.0 / scale, a.width_across_mm.value / 2.0 / scale);
        contours(&mut canvas, middle, half, a.depth_mm.value);
        taken.push(((middle.0 - half.0, middle.1 - half.1), (middle.0 + half.0, middle.1 + half.1)));
        labels.push((dent, middle, half, clock, show_length(a.depth_mm.value, unit)));
    }
    for (dent, middle, half, clock, depth) in labels {
        let wide = 2.0 * RING_MM + Type::SMALL.width_mm(&depth) + 1.6;
        let corner = free_place(middle, half, (wide, 2.0 * RING_MM), (canvas.width_mm, canvas.height_mm - 7.0), &taken);
        taken.push((corner, (corner.0 + wide, corner.1 + 2.0 * RING_MM)));
        let ring = (corner.0 + RING_MM, corner.1 + RING_MM);
        canvas.line(middle, ring, Pen::new(0.15, INK));
        canvas.rect((ring.0, ring.1 - 1.6), (wide - RING_MM, 3.2), "#ffffff", Pen::new(0.1, GREY));
        let mark = marks.iter().find(|m| m.dent == dent.id);
        balloon(&mut canvas, ring, mark.map_or(dent.id.0.as_str(), |m| m.label.as_str()), clock, mark.is_some_and(|m| m.worked));
        canvas.text((ring.0 + RING_MM + 0.6, ring.1 + 0.8), &depth, Type { colour: INK, ..Type::SMALL });
    }
    let y = canvas.height_mm - 1.5;
    scale::bar(&mut canvas, (LEFT_MM, y), scale, 25.0, unit);
    Some(canvas.finish(&head))
}

/// Half the room that a balloon takes, its hand included, mm.
const RING_MM: f64 = balloon::RADIUS_MM + 1.0;

/// The upper left corner of a label's place near a dent where it covers nothing that stands already: right, left, above,
/// below, then further out. Where all is full, the last place tried.
fn free_place(middle: P, half: P, size: P, sheet: P, taken: &[(P, P)]) -> P {
    let free = |c: P| {
        let inside = c.0 >= 0.0 && c.1 >= 5.0 && c.0 + size.0 <= sheet.0 && c.1 + size.1 <= sheet.1;
        inside && taken.iter().all(|(a, b)| c.0 >= b.0 || c.0 + size.0 <= a.0 || c.1 >= b.1 || c.1 + size.1 <= a.1)
    };
    let mut last = (middle.0 + half.0, middle.1 - size.1 / 2.0);
    for out in 0..12 {
        let gap = 0.5 + 4.0 * f64::from(out);
        let (right, left) = (middle.0 + half.0 + gap, middle.0 - half.0 - gap - size.0);
        let (over, under) = (middle.1 - half.1 - gap - size.1, middle.1 + half.1 + gap);
        let level = middle.1 - size.1 / 2.0;
        for place in
            [(right, level), (left, level), (right, over), (right, under), (left, over), (left, under), (middle.0, over), (middle.0, under)]
        {
            if free(place) {
                return place;
            }
            last = place;
        }
    }
    last
}

/// Degrees from the middle line, −180 to 180.
fn from_middle(clock_deg: f64) -> f64 {
    (clock_deg - MIDDLE_DEG + 180.0).rem_euclid(360.0) - 180.0
}

fn around(run: &Run, at_mm: f64) -> f64 {
    PI * run.outside_diameter_at(at_mm)
}

fn covers(canvas: &mut Canvas, survey: &Survey, run: &Run, place: &impl Fn(f64, f64) -> P) {
    for overlay in &survey.instrument.overlays {
        for c in overlay.covers.iter().filter(|c| c.run == run.id) {
            let (a, b) = c.clock_deg.unwrap_or((-179.999, 179.999));
            let (a, b) = (from_middle(a), from_middle(b));
            // Over the seam: two patches.
            let patches = if b < a { vec![(a, 179.999), (-179.999, b)] } else { vec![(a, b)] };
            for (low, high) in patches {
                let corners = [place(c.from_mm, high), place(c.to_mm, high), place(c.to_mm, low), place(c.from_mm, low)];
                canvas.polygon(&corners, COVER, Some(Pen::new(0.25, GREY).dashed("1 0.6")));
            }
        }
    }
}

/// Lines of equal depth of a raised cosine of the dent's depth and widths (own model, for the eye only).
fn contours(canvas: &mut Canvas, middle: P, half: P, depth_mm: f64) {
    canvas.ellipse(middle, half, HURT_PALE, Pen::new(0.25, HURT).dashed("1 0.6"));
    let step = if depth_mm > 6.0 {
        2.0
    } else if depth_mm > 2.0 {
        1.0
    } else {
        0.5
    };
    let mut level = step;
    while level < depth_mm {
        // depth·½(1 + cos πρ) = level
        let rho = (2.0 * level / depth_mm - 1.0).clamp(-1.0, 1.0).acos() / PI;
        canvas.ellipse(middle, (half.0 * rho, half.1 * rho), "none", Pen::new(0.2, HURT));
        level += step;
    }
    canvas.line((middle.0 - 0.8, middle.1), (middle.0 + 0.8, middle.1), Pen::THIN);
    canvas.line((middle.0, middle.1 - 0.8), (middle.0, middle.1 + 0.8), Pen::THIN);
}
