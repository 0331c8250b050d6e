//! Text with its types, boxes within the line, and breaks.

use crate::laid::{Color, Laid};

/// How letters look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Size, points.
    pub size_pt: f32,
    /// Semibold, where it is not regular.
    pub strong: bool,
    /// The condensed cut.
    pub narrow: bool,
    /// Color.
    pub color: Color,
}

impl Type {
    /// Regular letters of a size.
    pub const fn of(size_pt: f32, color: Color) -> Type {
        Type { size_pt, strong: false, narrow: false, color }
    }

    /// The same, semibold.
    pub const fn strong(self) -> Type {
        Type { strong: true, ..self }
    }

    /// The same, condensed.
    pub const fn narrow(self) -> Type {
        Type { narrow: true, ..self }
    }

    /// The same, of another size, points.
    pub const fn sized(self, size_pt: f32) -> Type {
        Type { size_pt, ..self }
    }
}

/// A part of a text.
#[derive(Clone, Debug)]
pub enum Bit {
    /// Letters.
    Text(String, Type),
    /// A box in the line, so far below its baseline, mm: a tick, a sign.
    Boxed(Laid, f64),
    /// The line ends here.
    Break,
}

/// A text: what stands in one paragraph.
#[derive(Clone, Debug, Default)]
pub struct Words {
    /// Its parts, in order.
    pub bits: Vec<Bit>,
}

impl Words {
    /// A text of one type.
    pub fn of(text: impl Into<String>, how: Type) -> Words {
        Words::default().and(text, how)
    }

    /// With more text behind it.
    #[must_use]
    pub fn and(mut self, text: impl Into<String>, how: Type) -> Words {
        let text = text.into();
        if !text.is_empty() {
            self.bits.push(Bit::Text(text, how));
        }
        self
    }

    /// With text behind it that stays on one line.
    #[must_use]
    pub fn and_whole(self, text: &str, how: Type) -> Words {
        self.and(text.replace(' ', "\u{a0}"), how)
    }

    /// With a box behind it, so far below the baseline, mm.
    #[must_use]
    pub fn and_box(mut self, laid: Laid, below_mm: f64) -> Words {
        self.bits.push(Bit::Boxed(laid, below_mm));
        self
    }

    /// With a gap behind it, mm.
    #[must_use]
    pub fn and_gap(self, width_mm: f64) -> Words {
        self.and_box(Laid::room(width_mm, 0.0), 0.0)
    }

    /// With the line ended.
    #[must_use]
    pub fn and_break(mut self) -> Words {
        self.bits.push(Bit::Break);
        self
    }

    /// With another text behind it.
    #[must_use]
    pub fn and_words(mut self, more: Words) -> Words {
        self.bits.extend(more.bits);
        self
    }

    /// Several texts with one between them.
    pub fn joined(all: impl IntoIterator<Item = Words>, between: &str, how: Type) -> Words {
        let mut out = Words::default();
        for (i, one) in all.into_iter().enumerate() {
            if i > 0 {
                out = out.and(between, how);
            }
            out = out.and_words(one);
        }
        out
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.bits.is_empty()
    }

    /// The letters alone; an ended line is a space.
    pub fn text(&self) -> String {
        self.bits
            .iter()
            .map(|b| match b {
                Bit::Text(t, _) => t.replace('\u{a0}', " "),
                Bit::Boxed(..) => String::new(),
                Bit::Break => " ".to_owned(),
            })
            .collect()
    }

    /// The largest size in it, points; 0 where it has no letters.
    pub fn largest_pt(&self) -> f32 {
        self.bits.iter().map(|b| if let Bit::Text(_, t) = b { t.size_pt } else { 0.0 }).fold(0.0, f32::max)
    }
}
