//! A sheet of paper in millimetres that becomes SVG. Strings are built by hand: the drawings need six kinds of element,
//! fewer than a library's set-up would take.

use std::fmt::Write as _;

/// A point on the paper, mm, y downwards.
pub type P = (f64, f64);

/// Dark ink.
pub const INK: &str = "#171c1b";
/// Secondary ink.
pub const GREY: &str = "#4a5351";
/// A tube's body.
pub const BRASS: &str = "#e9daab";
/// A tool's body.
pub const STEEL: &str = "#b9c2ca";
/// A dent as found (always also dashed or numbered).
pub const HURT: &str = "#3e45a3";
/// The metal that has to move (always also outlined).
pub const HURT_PALE: &str = "#afbbef";
/// A dent's field by its depth, mm, in even steps of lightness (marking-out blue): up to the depth, the color. Always with an ink
/// outline.
const DEPTHS: [(f64, &str); 5] = [(1.0, "#afbbef"), (2.0, "#8492df"), (4.0, "#5d6ac8"), (8.0, "#3e45a3"), (f64::INFINITY, "#24286e")];

/// Which of the five steps a depth falls into, from 1.
pub fn depth_step(depth_mm: f64) -> usize {
    1 + DEPTHS.iter().position(|(to, _)| depth_mm < *to).unwrap_or(DEPTHS.len() - 1)
}

/// The color of a dent's field.
pub fn depth_colour(depth_mm: f64) -> &'static str {
    DEPTHS[depth_step(depth_mm) - 1].1
}

/// What lies over a tube.
pub const COVER: &str = "#d8d3c4";

/// A line's pen. Two widths: 0.5 and 0.25 mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Width, mm.
    pub width: f64,
    /// Colour.
    pub colour: &'static str,
    /// Dash pattern, mm; empty for a full line.
    pub dash: &'static str,
}

impl Pen {
    /// A centre line.
    pub const CENTRE: Self = Self { width: 0.25, colour: GREY, dash: "4 0.8 0.8 0.8" };
    /// An edge: 0.5 mm.
    pub const WIDE: Self = Self::new(0.5, INK);
    /// A dimension, a leader, a hatching: 0.25 mm.
    pub const NARROW: Self = Self::new(0.25, INK);
    /// A section plane: chain.
    pub const PLANE: Self = Self { width: 0.25, colour: INK, dash: "4 0.8 0.8 0.8" };
    /// A dent as found: double chain.
    pub const FOUND: Self = Self { width: 0.25, colour: INK, dash: "3 0.6 0.6 0.6 0.6 0.6" };
    /// A hidden or former edge.
    pub const HIDDEN: Self = Self { width: 0.25, colour: HURT, dash: "1.2 0.8" };

    /// A full line.
    pub const fn new(width: f64, colour: &'static str) -> Self {
        Self { width, colour, dash: "" }
    }
    /// The same pen, dashed.
    #[must_use]
    pub const fn dashed(self, dash: &'static str) -> Self {
        Self { dash, ..self }
    }

    fn attributes(&self) -> String {
        let mut text = format!(r#"stroke="{}" stroke-width="{}""#, self.colour, num(self.width));
        if !self.dash.is_empty() {
            let _ = write!(text, r#" stroke-dasharray="{}""#, self.dash);
        }
        text
    }
}

/// Where a text's point lies in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// At its start.
    Start,
    /// In its middle.
    Middle,
    /// At its end.
    End,
}

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Size, mm.
    pub size: f64,
    /// Bold.
    pub bold: bool,
    /// Colour.
    pub colour: &'static str,
    /// Where its point lies.
    pub anchor: Anchor,
}

impl Type {
    /// Running text of a drawing: 3.2 mm, about 9 point.
    pub const TEXT: Self = Self { size: 3.2, bold: false, colour: INK, anchor: Anchor::Start };
    /// Small print of a drawing: 3 mm, 8.5 point; nothing is smaller, so that it is read at arm's length.
    /// Black: grey print below 10 point is not read.
    pub const SMALL: Self = Self { size: 3.0, ..Self::TEXT };
    /// A heading.
    pub const HEAD: Self = Self { size: 3.6, bold: true, ..Self::TEXT };

    /// The same with its point in the middle.
    #[must_use]
    pub const fn middle(self) -> Self {
        Self { anchor: Anchor::Middle, ..self }
    }
    /// The same with its point at the end.
    #[must_use]
    pub const fn end(self) -> Self {
        Self { anchor: Anchor::End, ..self }
    }
    /// Width of a text, mm: an estimate for a condensed sans serif face, on the wide side. A text with the sign of a diameter is set
    /// in a wider face, which has it.
    pub fn width_mm(&self, text: &str) -> f64 {
        let em = match (self.bold, text.contains('⌀')) {
            (true, true) => 0.58,
            (false, true) => 0.56,
            (true, false) => 0.51,
            (false, false) => 0.47,
        };
        #[expect(clippy::cast_precision_loss, reason = "a label's length")]
        let letters = text.chars().count() as f64;
        letters * self.size * em
    }
}

/// A finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// The SVG document: one `svg` element.
    pub svg: String,
    /// What stands within that element.
    pub(crate) within: String,
    /// Width on paper, mm.
    pub width_mm: f64,
    /// Height on paper, mm.
    pub height_mm: f64,
}

/// A sheet being drawn on.
#[derive(Clone, Debug, Default)]
pub struct Canvas {
    body: String,
    /// Width on paper, mm.
    pub width_mm: f64,
    /// Height on paper, mm.
    pub height_mm: f64,
}

impl Canvas {
    /// An empty sheet; its size may be changed until it is finished.
    pub fn new(width_mm: f64, height_mm: f64) -> Self {
        Self { body: String::new(), width_mm, height_mm }
    }

    /// A line.
    pub fn line(&mut self, a: P, b: P, pen: Pen) {
        let _ =
            writeln!(self.body, r#"<line x1="{}" y1="{}" x2="{}" y2="{}" {}/>"#, num(a.0), num(a.1), num(b.0), num(b.1), pen.attributes());
    }

    /// A chain of lines.
    pub fn polyline(&mut self, points: &[P], pen: Pen) {
        if points.len() > 1 {
            let _ =
                writeln!(self.body, r#"<polyline points="{}" fill="none" stroke-linejoin="round" {}/>"#, joined(points), pen.attributes());
        }
    }

    /// A filled outline.
    pub fn polygon(&mut self, points: &[P], fill: &str, pen: Option<Pen>) {
        if points.len() > 2 {
            let stroke = pen.map_or_else(|| r#"stroke="none""#.to_owned(), |p| p.attributes());
            let _ = writeln!(self.body, r#"<polygon points="{}" fill="{fill}" stroke-linejoin="round" {stroke}/>"#, joined(points));
        }
    }

    /// A circle; `fill` "none" leaves it open.
    pub fn circle(&mut self, centre: P, radius: f64, fill: &str, pen: Pen) {
        let _ = writeln!(
            self.body,
            r#"<circle cx="{}" cy="{}" r="{}" fill="{fill}" {}/>"#,
            num(centre.0),
            num(centre.1),
            num(radius.max(0.0)),
            pen.attributes()
        );
    }

    /// An upright ellipse.
    pub fn ellipse(&mut self, centre: P, half: P, fill: &str, pen: Pen) {
        let _ = writeln!(
            self.body,
            r#"<ellipse cx="{}" cy="{}" rx="{}" ry="{}" fill="{fill}" {}/>"#,
            num(centre.0),
            num(centre.1),
            num(half.0.max(0.0)),
            num(half.1.max(0.0)),
            pen.attributes()
        );
    }

    /// A rectangle from its upper left corner.
    pub fn rect(&mut self, corner: P, size: P, fill: &str, pen: Pen) {
        let _ = writeln!(
            self.body,
            r#"<rect x="{}" y="{}" width="{}" height="{}" fill="{fill}" {}/>"#,
            num(corner.0),
            num(corner.1),
            num(size.0.max(0.0)),
            num(size.1.max(0.0)),
            pen.attributes()
        );
    }

    /// A text; its point lies on the base line.
    pub fn text(&mut self, at: P, text: &str, kind: Type) {
        let anchor = match kind.anchor {
            Anchor::Start => "",
            Anchor::Middle => r#" text-anchor="middle""#,
            Anchor::End => r#" text-anchor="end""#,
        };
        let weight = if kind.bold { r#" font-weight="bold""# } else { "" };
        let _ = writeln!(
            self.body,
            r#"<text x="{}" y="{}" font-size="{}" fill="{}"{weight}{anchor}>{}</text>"#,
            num(at.0),
            num(at.1),
            num(kind.size),
            kind.colour,
            escape(text)
        );
    }

    /// A filled arrow head at `tip`, pointing along `direction`.
    pub fn arrow(&mut self, tip: P, direction: P, colour: &'static str) {
        let length = direction.0.hypot(direction.1);
        if length <= 0.0 {
            return;
        }
        let (dx, dy) = (direction.0 / length, direction.1 / length);
        let back = (tip.0 - dx * 2.0, tip.1 - dy * 2.0);
        self.polygon(&[tip, (back.0 - dy * 0.55, back.1 + dx * 0.55), (back.0 + dy * 0.55, back.1 - dx * 0.55)], colour, None);
    }

    /// A dimension line between two points with arrow heads at both ends.
    pub fn dimension(&mut self, a: P, b: P) {
        self.line(a, b, Pen::NARROW);
        let d = (b.0 - a.0, b.1 - a.1);
        self.arrow(b, d, INK);
        self.arrow(a, (-d.0, -d.1), INK);
    }

    /// Another sheet laid on this one.
    pub fn place(&mut self, other: &Self, at: P) {
        let _ = writeln!(self.body, r#"<g transform="translate({} {})">"#, num(at.0), num(at.1));
        self.body.push_str(&other.body);
        self.body.push_str("</g>\n");
    }

    /// The SVG document. `title` is read out by screen readers.
    pub fn finish(&self, title: &str) -> Drawing {
        let (w, h) = (num(self.width_mm), num(self.height_mm));
        let within = format!(
            concat!("<title>{title}</title>\n", r##"<rect x="0" y="0" width="{w}" height="{h}" fill="#ffffff"/>"##, "\n{body}"),
            w = w,
            h = h,
            title = escape(title),
            body = self.body
        );
        let mut drawing = Drawing { svg: String::new(), within, width_mm: self.width_mm, height_mm: self.height_mm };
        drawing.svg = drawing.element(&drawing.size());
        drawing
    }
}

impl Drawing {
    /// The drawing as an element of a page, so many pixels wide; the page's style sheet may narrow it, its height follows.
    pub fn wide(&self, width_px: f64) -> String {
        self.element(&format!(r#"style="width:{width_px:.0}px" {}"#, self.size()))
    }

    fn size(&self) -> String {
        format!(r#"width="{}mm" height="{}mm""#, num(self.width_mm), num(self.height_mm))
    }

    fn element(&self, size: &str) -> String {
        format!(
            concat!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {w} {h}" role="img" "#,
                r#"font-family="IBM Plex Sans Condensed, IBM Plex Sans, DejaVu Sans Condensed, Arial Narrow, Arial, Helvetica, sans-serif" font-stretch="condensed">"#,
                "\n{within}</svg>\n"
            ),
            size = size,
            w = num(self.width_mm),
            h = num(self.height_mm),
            within = self.within,
        )
    }
}

/// A text broken into lines at spaces.
pub fn wrapped(text: &str, width_mm: f64, kind: Type) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let fits = lines.last().is_some_and(|l| l.is_empty() || kind.width_mm(l) + kind.width_mm(word) + kind.size * 0.3 <= width_mm);
        match lines.last_mut() {
            Some(line) if fits => {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// A number as SVG wants it: finite, three decimals at most.
fn num(x: f64) -> String {
    if !x.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{x:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn joined(points: &[P]) -> String {
    points.iter().map(|p| format!("{},{}", num(p.0), num(p.1))).collect::<Vec<_>>().join(" ")
}

/// Text as XML wants it. Characters that XML 1.0 forbids are left out.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' | '\r' => out.push(' '),
            c if c < ' ' || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Measured with `pdftotext -bbox` on a bench card, mm: the estimate is on the wide side, and not by much.
    #[test]
    fn a_text_takes_the_room_that_it_was_measured_to_take() {
        let bold = Type { bold: true, ..Type::TEXT };
        for (kind, words, measured_mm) in
            [(bold, "Mandrel ⌀ 18.7 mm to ⌀ 20.9 mm, working part 70 mm long", 96.4), (Type::TEXT, "⌀ 18.7 mm", 15.6)]
        {
            let wide = kind.width_mm(words);
            assert!(wide >= measured_mm && wide < 1.2 * measured_mm, "{words}: {wide} against {measured_mm}");
        }
    }

    proptest! {
        #[test]
        fn any_text_and_number_gives_well_formed_svg(text in ".{0,60}", x in proptest::num::f64::ANY, y in proptest::num::f64::ANY) {
            let mut c = Canvas::new(100.0, 50.0);
            c.text((x, y), &text, Type::TEXT);
            c.polyline(&[(x, y), (y, x)], Pen::HIDDEN);
            c.dimension((x, y), (1.0, 2.0));
            let drawing = c.finish(&text);
            prop_assert!(roxmltree::Document::parse(&drawing.svg).is_ok());
            prop_assert!(!drawing.svg.contains("NaN") || text.contains("NaN"));
            prop_assert!(!drawing.svg.contains("inf") || text.contains("inf"));
        }
    }
}
