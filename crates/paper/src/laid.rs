//! What has been laid: ink at its places, with the part of the paper that it belongs to.

use crate::structure::PartId;
use std::sync::Arc;

/// A color of print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Color(pub u8, pub u8, pub u8);

/// A line's width and color.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Width, mm.
    pub width_mm: f64,
    /// Color.
    pub color: Color,
}

/// Letters of one type in a row on a baseline.
#[derive(Debug)]
pub(crate) struct Letters {
    pub text: String,
    pub font: usize,
    pub size_pt: f32,
    pub color: Color,
    pub glyphs: Vec<Glyph>,
    /// From the first letter's origin to the last one's end, mm.
    pub width_mm: f64,
}

/// A glyph: its number in the font, what it stands for in [`Letters::text`], its advance and shift in ems.
#[derive(Debug)]
pub(crate) struct Glyph {
    pub id: u32,
    pub text: std::ops::Range<usize>,
    pub advance: f32,
    pub x: f32,
    pub y: f32,
}

/// A shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A line to a point so far away, mm.
    Line(f64, f64, Stroke),
    /// A rectangle so wide and so high, mm: filled, edged.
    Rectangle(f64, f64, Option<Color>, Option<Stroke>),
    /// A closed line through points, mm.
    Polygon(Vec<(f64, f64)>, Stroke),
}

/// Ink.
#[derive(Clone, Debug)]
pub(crate) enum Ink {
    Letters(Arc<Letters>),
    Shape(Shape),
    /// A drawing (SVG) so wide and so high, mm.
    Picture(Arc<str>, f64, f64),
}

/// Ink at a place: letters from their baseline's left end, all else from its top left.
#[derive(Clone, Debug)]
pub(crate) struct Placed {
    pub x_mm: f64,
    pub y_mm: f64,
    pub part: Option<PartId>,
    pub ink: Ink,
}

/// Something laid: how much room it takes, and its ink.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    pub(crate) ink: Vec<Placed>,
}

impl Laid {
    /// Room without ink, mm.
    pub fn room(width_mm: f64, height_mm: f64) -> Laid {
        Laid { width_mm, height_mm, ink: Vec::new() }
    }

    /// With a shape at a place, mm from the top left. It belongs to no part: a reader who hears the paper misses nothing.
    #[must_use]
    pub fn and_shape(mut self, x_mm: f64, y_mm: f64, shape: Shape) -> Laid {
        self.ink.push(Placed { x_mm, y_mm, part: None, ink: Ink::Shape(shape) });
        self
    }

    /// Puts something into it at a place, mm. Its own room stays as it is.
    pub fn put(&mut self, x_mm: f64, y_mm: f64, other: Laid) {
        self.ink.extend(other.ink.into_iter().map(|p| Placed { x_mm: p.x_mm + x_mm, y_mm: p.y_mm + y_mm, ..p }));
    }

    /// Puts something below it, with a gap, mm, between.
    pub fn put_below(&mut self, gap_mm: f64, other: Laid) {
        let at = self.height_mm + gap_mm;
        self.height_mm = at + other.height_mm;
        self.width_mm = self.width_mm.max(other.width_mm);
        self.put(0.0, at, other);
    }

    /// The same so that nobody hears it: what stands on every page.
    pub(crate) fn unheard(mut self) -> Laid {
        self.ink.iter_mut().for_each(|p| p.part = None);
        self
    }
}
