//! A paper: its pages, its title, what stands at the head and foot of each page.

use crate::Refused;
use crate::laid::{Ink, Laid, Shape};
use crate::pdf;
use crate::setter::{MM_PER_PT, Setter};

/// The size of a sheet and its margin, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Width.
    pub width_mm: f64,
    /// Height.
    pub height_mm: f64,
    /// Margin on all sides.
    pub margin_mm: f64,
}

impl Sheet {
    /// Width and height that may be printed on, mm.
    pub fn printed_mm(&self) -> (f64, f64) {
        (self.width_mm - 2.0 * self.margin_mm, self.height_mm - 2.0 * self.margin_mm)
    }
}

/// What a paper is called in the file.
#[derive(Clone, Debug, Default)]
pub struct Titled {
    /// Its title.
    pub title: String,
    /// Who wrote it; empty where nobody is named.
    pub author: String,
}

/// A paper that is set: every page from the top left of what may be printed on.
pub struct Paper {
    /// The sheet.
    pub sheet: Sheet,
    /// The pages.
    pub pages: Vec<Laid>,
    setter: Setter,
}

/// Something seen on a page, mm from the sheet's top left.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// Letters in a row.
    Letters {
        /// What they say.
        text: String,
        /// Left end.
        x_mm: f64,
        /// Baseline.
        baseline_mm: f64,
        /// Width.
        width_mm: f64,
        /// Size, points.
        size_pt: f64,
    },
    /// A shape.
    Shape {
        /// Its lowest point.
        bottom_mm: f64,
        /// Width of its line.
        line_mm: Option<f64>,
    },
    /// A drawing.
    Picture {
        /// Its lowest point.
        bottom_mm: f64,
        /// Width and height.
        size_mm: (f64, f64),
    },
}

impl Paper {
    /// A paper of pages that a setter has laid.
    pub fn of(sheet: Sheet, pages: Vec<Laid>, setter: Setter) -> Paper {
        Paper { sheet, pages, setter }
    }

    /// Adds what stands on every page, laid from the top left of what may be printed on: `on` is asked with the page's number from 1 and
    /// the count of pages. Nobody hears it read.
    pub fn furnish(&mut self, mut on: impl FnMut(&mut Setter, usize, usize) -> Laid) {
        let count = self.pages.len();
        for (i, page) in self.pages.iter_mut().enumerate() {
            let laid = on(&mut self.setter, i + 1, count).unheard();
            page.put(0.0, 0.0, laid);
        }
    }

    /// The file.
    ///
    /// # Errors
    /// [`Refused`] where a drawing is no SVG or the writer of the file refuses it: a defect of the program.
    pub fn pdf(&self, titled: &Titled) -> Result<Vec<u8>, Refused> {
        pdf::write(self.sheet, &self.pages, &self.setter.structure, titled)
    }

    /// What is seen on each page.
    pub fn seen(&self) -> Vec<Vec<Seen>> {
        let margin = self.sheet.margin_mm;
        let of = |page: &Laid| page.ink.iter().map(|p| seen(&p.ink, p.x_mm + margin, p.y_mm + margin)).collect();
        self.pages.iter().map(of).collect()
    }
}

fn seen(ink: &Ink, x_mm: f64, y_mm: f64) -> Seen {
    match ink {
        Ink::Letters(l) => {
            // A space at the end of a line is none.
            let spaces = l.text.len() - l.text.trim_end().len();
            let end: f64 = l
                .glyphs
                .iter()
                .rev()
                .take(spaces)
                .filter(|g| l.text.get(g.text.clone()).is_some_and(|t| t.trim().is_empty()))
                .map(|g| f64::from(g.advance))
                .sum();
            Seen::Letters {
                text: l.text.replace('\u{a0}', " "),
                x_mm,
                baseline_mm: y_mm,
                width_mm: l.width_mm - end * f64::from(l.size_pt) * MM_PER_PT,
                size_pt: f64::from(l.size_pt),
            }
        }
        Ink::Picture(_, w, h) => Seen::Picture { bottom_mm: y_mm + h, size_mm: (*w, *h) },
        Ink::Shape(Shape::Line(_, dy, stroke)) => Seen::Shape { bottom_mm: y_mm + dy.max(0.0), line_mm: Some(stroke.width_mm) },
        Ink::Shape(Shape::Rectangle(_, h, _, stroke)) => Seen::Shape { bottom_mm: y_mm + h, line_mm: stroke.map(|s| s.width_mm) },
        Ink::Shape(Shape::Polygon(points, stroke)) => {
            Seen::Shape { bottom_mm: y_mm + points.iter().map(|p| p.1).fold(0.0, f64::max), line_mm: Some(stroke.width_mm) }
        }
    }
}
