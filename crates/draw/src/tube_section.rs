//! The cross-section at the dent, seen from the mouthpiece end, with the tool in it.

use crate::canvas::{BRASS, Canvas, GREY, HURT_PALE, INK, P, Pen, STEEL, Type};
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
    canvas.text((WIDTH_MM / 2.0, 3.0), "Section at the dent", Type { bold: true, ..Type::TEXT.middle() });
    canvas.text((WIDTH_MM / 2.0, 6.2), "seen from mouthpiece to bell", Type::SMALL.middle());
    let centre = (WIDTH_MM / 2.0, 11.5 + paper);
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
    canvas.circle(centre, paper, BRASS, Pen::OUTLINE);
    canvas.circle(centre, radius / scale, "#ffffff", Pen::new(0.25, INK));
    // The metal that stands inside the true bore.
    let (from, to) = (clock - half / radius, clock + half / radius);
    let arc =
        |r: &dyn Fn(f64) -> f64| -> Vec<P> { (0..=48).map(|i| from + (to - from) * f64::from(i) / 48.0).map(|c| at(c, r(c))).collect() };
    let mut field = arc(&|_| radius);
    field.extend(arc(&|c| radius - sunk(c)).into_iter().rev());
    canvas.polygon(&field, HURT_PALE, None);
    if let Some((place, diameter)) = tool {
        let middle = (centre.0 + place.0 / scale, centre.1 - place.1 / scale);
        canvas.circle(middle, diameter / 2.0 / scale, STEEL, Pen::OUTLINE);
        for (dx, dy) in [(1.2, 0.0), (0.0, 1.2)] {
            canvas.line((middle.0 - dx, middle.1 - dy), (middle.0 + dx, middle.1 + dy), Pen::THIN);
        }
    }
    canvas.polyline(&arc(&|c| radius - sunk(c)), Pen::HIDDEN);
    for (hour, name) in [(0.0, "12"), (90.0_f64, "3"), (180.0, "6"), (270.0, "9")] {
        let r = hour.to_radians();
        canvas.line(at(r, outside), (centre.0 + (paper + 1.0) * r.sin(), centre.1 - (paper + 1.0) * r.cos()), Pen::THIN);
        let p = (centre.0 + (paper + 2.9) * r.sin(), centre.1 - (paper + 2.9) * r.cos() + 0.9);
        canvas.text(p, name, Type { colour: INK, ..Type::SMALL.middle() });
    }
    let mut y = centre.1 + paper + 8.0;
    let mut say = |words: &str, colour| {
        canvas.text((WIDTH_MM / 2.0, y), words, Type { colour, ..Type::SMALL.middle() });
        y += 3.2;
    };
    say(&format!("true bore {}, wall {}", size_words(2.0 * radius, unit), show_length(wall, unit)), INK);
    if laid.clock_deg.is_none() {
        say("clock not known: drawn at 12", GREY);
    }
    scale::bar(&mut canvas, (6.0, y + 1.2), scale, 12.0, unit);
    canvas.height_mm = y + 2.2;
    canvas
}
