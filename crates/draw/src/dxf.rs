//! A plate as DXF, release 12 (AC1009), ASCII: what every CAD and CAM program reads. Written by hand: the drawing needs
//! lines, circles, arcs and texts on three layers, forty lines of group codes. Source of the codes: the DXF reference,
//! release 12 (from memory); checked by readers that are not ours (see the tests).

use crate::plate::{Entity, Layer, Plate, V};
use std::fmt::Write as _;

/// The DXF text; one drawing unit is one millimetre.
pub fn dxf(plate: &Plate) -> String {
    let mut out = String::new();
    let (low, high) = plate.bounds();
    for (code, value) in [("0", "SECTION"), ("2", "HEADER"), ("9", "$ACADVER"), ("1", "AC1009"), ("9", "$MEASUREMENT"), ("70", "1")] {
        put(&mut out, code, value);
    }
    for (name, p) in [("$EXTMIN", low), ("$EXTMAX", high)] {
        put(&mut out, "9", name);
        point(&mut out, 10, p);
    }
    put(&mut out, "0", "ENDSEC");

    put(&mut out, "0", "SECTION");
    put(&mut out, "2", "TABLES");
    for (code, value) in [
        ("0", "TABLE"),
        ("2", "LTYPE"),
        ("70", "2"),
        ("0", "LTYPE"),
        ("2", "CONTINUOUS"),
        ("70", "0"),
        ("3", "Solid line"),
        ("72", "65"),
        ("73", "0"),
        ("40", "0.0"),
        ("0", "LTYPE"),
        ("2", "CENTER"),
        ("70", "0"),
        ("3", "Center ____ _ ____ _"),
        ("72", "65"),
        ("73", "4"),
        ("40", "14.0"),
        ("49", "8.0"),
        ("49", "-2.0"),
        ("49", "2.0"),
        ("49", "-2.0"),
        ("0", "ENDTAB"),
        ("0", "TABLE"),
        ("2", "LAYER"),
        ("70", "3"),
    ] {
        put(&mut out, code, value);
    }
    for layer in Layer::ALL {
        let (colour, kind) = match layer {
            Layer::Outline => ("7", "CONTINUOUS"),
            Layer::Centre => ("8", "CENTER"),
            Layer::Dimension => ("5", "CONTINUOUS"),
        };
        for (code, value) in [("0", "LAYER"), ("2", layer.name()), ("70", "0"), ("62", colour), ("6", kind)] {
            put(&mut out, code, value);
        }
    }
    put(&mut out, "0", "ENDTAB");
    put(&mut out, "0", "ENDSEC");

    put(&mut out, "0", "SECTION");
    put(&mut out, "2", "ENTITIES");
    for e in &plate.entities {
        entity(&mut out, plate, e);
    }
    let mut y = low.1 - 2.5 * plate.text_mm;
    for note in std::iter::once(&plate.title).chain(&plate.notes) {
        text(&mut out, (low.0, y), plate.text_mm, note, false);
        y -= 1.7 * plate.text_mm;
    }
    put(&mut out, "0", "ENDSEC");
    put(&mut out, "0", "EOF");
    out
}

fn entity(out: &mut String, plate: &Plate, e: &Entity) {
    match e {
        Entity::Line { layer, a, b } => line(out, *layer, *a, *b),
        Entity::Circle { layer, centre, radius_mm } => {
            put(out, "0", "CIRCLE");
            put(out, "8", layer.name());
            point(out, 10, *centre);
            real(out, 40, *radius_mm);
        }
        Entity::Arc { layer, centre, radius_mm, from_deg, to_deg } => {
            put(out, "0", "ARC");
            put(out, "8", layer.name());
            point(out, 10, *centre);
            real(out, 40, *radius_mm);
            real(out, 50, from_deg.rem_euclid(360.0));
            real(out, 51, to_deg.rem_euclid(360.0));
        }
        Entity::Arrow { tip, towards } => {
            let size = plate.arrow_mm();
            let n = towards.0.hypot(towards.1).max(1e-9);
            let (dx, dy) = (towards.0 / n, towards.1 / n);
            for side in [1.0, -1.0] {
                let back = (tip.0 - dx * size - side * dy * size * 0.25, tip.1 - dy * size + side * dx * size * 0.25);
                line(out, Layer::Dimension, *tip, back);
            }
        }
        Entity::Text { at, words } => text(out, *at, plate.text_mm, words, true),
    }
}

fn line(out: &mut String, layer: Layer, a: V, b: V) {
    put(out, "0", "LINE");
    put(out, "8", layer.name());
    point(out, 10, a);
    point(out, 11, b);
}

fn text(out: &mut String, at: V, height: f64, words: &str, centred: bool) {
    put(out, "0", "TEXT");
    put(out, "8", Layer::Dimension.name());
    point(out, 10, at);
    real(out, 40, height);
    put(out, "1", &ascii(words));
    if centred {
        // Middle in both directions; the second point carries the place.
        put(out, "72", "1");
        put(out, "73", "2");
        point(out, 11, at);
    }
}

fn point(out: &mut String, code: u32, p: V) {
    real(out, code, p.0);
    real(out, code + 10, p.1);
    real(out, code + 20, 0.0);
}

fn real(out: &mut String, code: u32, x: f64) {
    let x = if x.is_finite() { x } else { 0.0 };
    put(out, &code.to_string(), &format!("{x:.4}"));
}

fn put(out: &mut String, code: &str, value: &str) {
    let _ = writeln!(out, "{code}\n{value}");
}

/// Release 12 has no encoding: its own codes for the diameter sign, the degree sign and ±; what else is not ASCII is
/// written in plain letters or as a question mark.
fn ascii(words: &str) -> String {
    let mut out = String::new();
    for c in words.chars() {
        match c {
            '⌀' | 'Ø' => out.push_str("%%c"),
            '°' => out.push_str("%%d"),
            '±' => out.push_str("%%p"),
            '–' | '—' | '−' => out.push('-'),
            '×' => out.push('x'),
            ' '..='~' => out.push(c),
            _ => out.push('?'),
        }
    }
    out
}
