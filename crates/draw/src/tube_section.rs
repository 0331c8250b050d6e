//! The cross-section at the dent, seen from the mouthpiece end, with the tool in it.

use crate::canvas::{BRASS, Canvas, GREY, INK, P, Pen, STEEL, Type, depth_colour};
use crate::laid::Laid;
use crate::scale;
use crate::size::size_words;
use std::f64::consts::{PI, TAU};
use units::LengthUnit;
use units::length::show_length;

/// Width of the section's part of the sheet, mm.
pub const WIDTH_MM: f64 = 52.0;

/// A round body in the section: its place (3 o'clock, 12 o'clock) from the axis, and its diameter, mm.
pub type Round = ((f64, f64), f64);

/// Draws the section on a sheet of its own.
pub fn section(laid: &Laid, tool: Option<Round>, unit: LengthUnit) -> Canvas {
    let (radius, wall) = (laid.radius_mm(), laid.wall_mm(laid.at_mm));
    let outside = radius + wall;
    let scale = scale::fitting((2.0 * outside, 2.0 * outside), (36.0, 36.0), 0.2);
    let paper = outside / scale;
    let mut canvas = Canvas::new(WIDTH_MM, 0.0);
    canvas.text((WIDTH_MM / 2.0, 3.3), "Section at the dent", Type { bold: true, ..Type::TEXT.middle() });
    canvas.text((WIDTH_MM / 2.0, 7.0), "seen from mouthpiece to bell", Type::SMALL.middle());
    let centre = (WIDTH_MM / 2.0, 12.5 + paper);
    ring(&mut canvas, laid, tool, centre, scale);
    let at = |clock: f64, r: f64| -> P { (centre.0 + r * clock.sin() / scale, centre.1 - r * clock.cos() / scale) };
    for (hour, name) in [(0.0, "12"), (90.0_f64, "3"), (180.0, "6"), (270.0, "9")] {
        let r = hour.to_radians();
        canvas.line(at(r, outside), (centre.0 + (paper + 1.0) * r.sin(), centre.1 - (paper + 1.0) * r.cos()), Pen::NARROW);
        let p = (centre.0 + (paper + 2.9) * r.sin(), centre.1 - (paper + 2.9) * r.cos() + 0.9);
        canvas.text(p, name, Type::SMALL.middle());
    }
    let mut y = centre.1 + paper + 8.0;
    let mut say = |words: &str, colour| {
        canvas.text((WIDTH_MM / 2.0, y), words, Type { colour, ..Type::SMALL.middle() });
        y += 3.9;
    };
    say(&format!("true bore {}, wall {}", size_words(2.0 * radius, unit), show_length(wall, unit)), INK);
    if laid.clock_deg.is_none() {
        say("clock not known: drawn at 12", GREY);
    }
    scale::bar(&mut canvas, (6.0, y + 1.2), scale, 12.0, unit);
    canvas.height_mm = y + 2.2;
    canvas
}

/// The ring of a section: the wall cut, the dent as found, the metal that has to move, the tool.
pub(crate) fn ring(canvas: &mut Canvas, laid: &Laid, tool: Option<Round>, centre: P, scale: f64) {
    let (radius, wall) = (laid.radius_mm(), laid.wall_mm(laid.at_mm));
    let outside = radius + wall;
    let at = |clock: f64, r: f64| -> P { (centre.0 + r * clock.sin() / scale, centre.1 - r * clock.cos() / scale) };

    let a = laid.assessment;
    let clock = laid.clock_deg.unwrap_or(0.0).to_radians();
    let half = (a.width_across_mm.value / 2.0).clamp(0.1, PI * radius);
    let depth = a.depth_mm.value.clamp(0.0, 1.9 * radius);
    // The dent's bottom as a raised cosine of its measured depth and width (own model, for the eye).
    let sunk = |c: f64| {
        let x = radius * ((c - clock + PI).rem_euclid(TAU) - PI);
        if x.abs() >= half { 0.0 } else { depth * 0.5 * (1.0 + (PI * x / half).cos()) }
    };
    cut_wall(canvas, centre, radius / scale, outside / scale);
    // The metal that stands inside the true bore.
    let (from, to) = (clock - half / radius, clock + half / radius);
    let arc =
        |r: &dyn Fn(f64) -> f64| -> Vec<P> { (0..=48).map(|i| from + (to - from) * f64::from(i) / 48.0).map(|c| at(c, r(c))).collect() };
    let mut field = arc(&|_| radius);
    field.extend(arc(&|c| radius - sunk(c)).into_iter().rev());
    canvas.polygon(&field, depth_colour(a.depth_mm.value), None);
    if let Some((place, diameter)) = tool {
        let middle = (centre.0 + place.0 / scale, centre.1 - place.1 / scale);
        canvas.circle(middle, diameter / 2.0 / scale, STEEL, Pen::WIDE);
        for (dx, dy) in [(1.2, 0.0), (0.0, 1.2)] {
            canvas.line((middle.0 - dx, middle.1 - dy), (middle.0 + dx, middle.1 + dy), Pen::NARROW);
        }
    }
    canvas.polyline(&arc(&|c| radius - sunk(c)), Pen::FOUND);
}

/// A wall that is cut: solid where it is thinner than 1 mm on paper, else hatched at 45° (ISO 128, from memory).
fn cut_wall(canvas: &mut Canvas, centre: P, inside: f64, outside: f64) {
    let thick = outside - inside;
    if thick < 1.0 {
        canvas.circle(centre, outside, INK, Pen::NARROW);
        canvas.circle(centre, inside, "#ffffff", Pen::NARROW);
        return;
    }
    canvas.circle(centre, outside, BRASS, Pen::WIDE);
    let step = 1.2 * std::f64::consts::SQRT_2;
    let mut off = -std::f64::consts::SQRT_2 * outside + step;
    while off < std::f64::consts::SQRT_2 * outside {
        // The line x + y = off, from the middle: half its chord in a circle of radius r.
        let half = |r: f64| (r * r - off * off / 2.0).max(0.0).sqrt() / std::f64::consts::SQRT_2;
        let at = |k: f64| (centre.0 + off / 2.0 + k, centre.1 + off / 2.0 - k);
        let (out, hole) = (half(outside), half(inside));
        for sign in [-1.0, 1.0] {
            canvas.line(at(sign * hole), at(sign * out), Pen::NARROW);
        }
        off += step;
    }
    canvas.circle(centre, inside, "#ffffff", Pen::WIDE);
}
