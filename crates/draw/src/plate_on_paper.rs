//! A plate on paper: its title, the thing at its scale, its notes, the scale's bar.

use crate::canvas::{Canvas, Drawing, INK, P, Pen, Type, wrapped};
use crate::plate::{Entity, Layer, Plate, V};
use crate::scale;
use units::LengthUnit;

/// Room on paper, mm.
#[derive(Clone, Copy)]
pub(crate) struct Room {
    /// For the thing alone.
    pub(crate) thing: P,
    /// With its dimensions.
    pub(crate) whole: P,
    /// Width of the sheet.
    pub(crate) sheet: f64,
    /// Whether the notes stand beside the thing.
    pub(crate) beside: bool,
}

/// The plate on paper at a scale.
pub(crate) fn paper(plate: &Plate, s: f64, unit: LengthUnit, room: Room) -> Drawing {
    let sheet_mm = room.sheet;
    let part_mm = if room.beside { sheet_mm / 2.0 } else { sheet_mm };
    let (low, high) = plate.bounds();
    let (w, h) = ((high.0 - low.0) / s, (high.1 - low.1) / s);
    let notes_width = plate.notes.iter().map(|n| Type::SMALL.width_mm(n)).fold(0.0, f64::max);
    let head = Type { bold: true, ..Type::TEXT };
    let mut canvas = Canvas::new((w + 8.0).max(head.width_mm(&plate.title)).max(notes_width).clamp(70.0, sheet_mm), 0.0);
    let title = wrapped(&plate.title, if room.beside { part_mm } else { canvas.width_mm }, head);
    let mut top = 4.0;
    for line in &title {
        canvas.text((0.0, top), line, head);
        top += 4.0;
    }
    if room.beside {
        canvas.width_mm = sheet_mm;
    }
    let x0 = if room.beside { (part_mm - w) / 2.0 } else { (canvas.width_mm - w) / 2.0 };
    let to = |v: V| -> P { (x0 + (v.0 - low.0) / s, top + (high.1 - v.1) / s) };
    for e in &plate.entities {
        match e {
            Entity::Line { layer, a, b } => canvas.line(to(*a), to(*b), pen(*layer)),
            Entity::Circle { layer, centre, radius_mm } => canvas.circle(to(*centre), radius_mm / s, "none", pen(*layer)),
            Entity::Arc { layer, centre, radius_mm, from_deg, to_deg } => {
                let span = (to_deg - from_deg).rem_euclid(360.0);
                let points: Vec<P> = (0..=96)
                    .map(|i| (from_deg + span * f64::from(i) / 96.0).to_radians())
                    .map(|a| to((centre.0 + radius_mm * a.cos(), centre.1 + radius_mm * a.sin())))
                    .collect();
                canvas.polyline(&points, pen(*layer));
            }
            Entity::Arrow { tip, towards } => canvas.arrow(to(*tip), (towards.0, -towards.1), INK),
            Entity::Text { at, words } => {
                let p = to(*at);
                canvas.text((p.0, p.1 + 1.0), words, Type::TEXT.middle());
            }
        }
    }
    let below = top + h + 3.0;
    let (x, mut y) = if room.beside { (part_mm + 3.0, 0.1) } else { (0.0, below) };
    for note in plate.notes.iter().flat_map(|n| wrapped(n, sheet_mm - x, Type::SMALL)) {
        y += 3.9;
        canvas.text((x, y), &note, Type::SMALL);
    }
    let y = if room.beside { y.max(below) } else { y };
    scale::bar(&mut canvas, (0.0, y + 5.0), s, 20.0, unit);
    canvas.height_mm = y + 6.5;
    canvas.finish(&plate.title)
}

fn pen(layer: Layer) -> Pen {
    match layer {
        Layer::Outline => Pen::WIDE,
        Layer::Centre => Pen::CENTRE,
        Layer::Dimension => Pen::NARROW,
    }
}
