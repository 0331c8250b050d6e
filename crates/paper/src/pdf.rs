//! Writes the file, with `krilla`: letters as letters, drawings through `usvg`, and the tree of parts for a reader who does not see it.

use crate::Refused;
use crate::laid::{Color, Ink, Laid, Letters, Placed, Shape, Stroke};
use crate::setter::{FILES, MM_PER_PT};
use crate::sheet::{Sheet, Titled};
use crate::structure::{PartId, Role, Structure};
use krilla::color::rgb;
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::error::KrillaResult;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::Fill;
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use krilla_svg::{SurfaceExt, SvgSettings};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, LazyLock};
use usvg::fontdb;

/// The fonts that letters in drawings are set in: the program's own.
static DRAWN: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
    let mut all = fontdb::Database::new();
    for file in FILES {
        all.load_font_data(file.to_vec());
    }
    all.set_sans_serif_family("IBM Plex Sans");
    Arc::new(all)
});
static FONTS: LazyLock<Vec<Option<Font>>> = LazyLock::new(|| FILES.iter().map(|file| Font::new((*file).into(), 0)).collect());

fn pt(mm: f64) -> f32 {
    (mm / MM_PER_PT) as f32
}

/// A drawing that has been read, by the address of its text: pages share it.
type Read = BTreeMap<*const u8, usvg::Tree>;

/// Reads every drawing of the pages before anything is written: a page that is begun is ended.
fn read(pages: &[Laid]) -> Result<Read, Refused> {
    let options = usvg::Options { fontdb: DRAWN.clone(), ..usvg::Options::default() };
    let mut all = Read::new();
    for ink in pages.iter().flat_map(|p| &p.ink) {
        if let Ink::Picture(svg, width, height) = &ink.ink {
            let tree = usvg::Tree::from_str(svg, &options).map_err(|e| Refused(format!("a drawing is no SVG: {e}")))?;
            Size::from_wh(pt(*width), pt(*height)).ok_or_else(|| Refused("a drawing has no size".to_owned()))?;
            all.insert(svg.as_ptr(), tree);
        }
    }
    Ok(all)
}

/// What is drawn of a paper so far.
struct Drawn<'a> {
    structure: &'a Structure,
    fonts: Vec<Font>,
    drawings: Read,
    parts: Vec<(PartId, Identifier)>,
    headings: Vec<(String, usize, f64)>,
    told: BTreeSet<PartId>,
}

/// The file: as PDF/UA-1 (ISO 14289-1), which its writer checks, wherever every letter is in a font. A name in letters that no font of
/// the program has is no reason to refuse a paper: then it is tagged all the same and claims no standard.
pub(crate) fn write(sheet: Sheet, pages: &[Laid], structure: &Structure, titled: &Titled) -> Result<Vec<u8>, Refused> {
    let accessible = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish().unwrap_or_default();
    match written(sheet, pages, structure, titled, accessible)? {
        Ok(pdf) => Ok(pdf),
        Err(_) => written(sheet, pages, structure, titled, Configuration::default())?.map_err(|e| Refused(format!("{e:?}"))),
    }
}

fn written(
    sheet: Sheet,
    pages: &[Laid],
    structure: &Structure,
    titled: &Titled,
    configuration: Configuration,
) -> Result<KrillaResult<Vec<u8>>, Refused> {
    let mut document = Document::new_with(SerializeSettings { enable_tagging: true, configuration, ..SerializeSettings::default() });
    let fonts = FONTS.iter().cloned().collect::<Option<Vec<Font>>>().ok_or_else(|| Refused("a font cannot be read".to_owned()))?;
    let mut drawn = Drawn { structure, fonts, drawings: read(pages)?, parts: Vec::new(), headings: Vec::new(), told: BTreeSet::new() };
    let size = PageSettings::from_wh(pt(sheet.width_mm), pt(sheet.height_mm)).ok_or_else(|| Refused("the sheet has no size".to_owned()))?;
    for (n, page) in pages.iter().enumerate() {
        let mut on = document.start_page_with(size.clone());
        let mut surface = on.surface();
        surface.push_transform(&Transform::from_translate(pt(sheet.margin_mm), pt(sheet.margin_mm)));
        let mut ink = page.ink.as_slice();
        while let Some(first) = ink.first() {
            // What belongs to one part is one piece of content.
            let n_same = ink.iter().take_while(|p| p.part == first.part).count();
            let (same, rest) = ink.split_at(n_same);
            ink = rest;
            drawn.piece(&mut surface, first.part, same, n);
        }
        surface.pop();
        surface.finish();
        on.finish();
    }
    let mut outline = Outline::new();
    for (text, page, y_mm) in &drawn.headings {
        let at = Point::from_xy(pt(sheet.margin_mm), pt((sheet.margin_mm + y_mm - 8.0).max(0.0)));
        outline.push_child(OutlineNode::new(text.clone(), XyzDestination::new(*page, at)));
    }
    document.set_outline(outline);
    let mut about = Metadata::new().title(titled.title.clone()).language("en-US".to_owned());
    if !titled.author.is_empty() {
        about = about.authors(vec![titled.author.clone()]);
    }
    document.set_metadata(about);
    document.set_tag_tree(structure.tree(drawn.parts));
    Ok(document.finish().map(without_suspects))
}

/// The writer says `/Suspects false`, which is what it means where it is left out (ISO 32000-1, table 321, from memory); poppler takes the
/// word itself for an error. It is blanked, so that every offset in the file stays as it is.
fn without_suspects(mut pdf: Vec<u8>) -> Vec<u8> {
    const WORDS: &[u8] = b"/Suspects false";
    if let Some(at) = pdf.windows(WORDS.len()).rposition(|w| w == WORDS) {
        pdf[at..at + WORDS.len()].fill(b' ');
    }
    pdf
}

impl Drawn<'_> {
    fn piece(&mut self, surface: &mut Surface, part: Option<PartId>, ink: &[Placed], page: usize) {
        let letters = ink.iter().all(|p| matches!(p.ink, Ink::Letters(_)));
        let tag = match part {
            None => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
            Some(_) if letters => ContentTag::Span(SpanTag::empty()),
            Some(_) => ContentTag::Other,
        };
        let id = surface.start_tagged(tag);
        for p in ink {
            self.draw(surface, p);
        }
        surface.end_tagged();
        if let Some(part) = part {
            if let (Some(Role::Heading(_, text)), Some(first)) = (self.structure.role(part), ink.first())
                && self.told.insert(part)
            {
                self.headings.push((text.clone(), page, first.y_mm));
            }
            self.parts.push((part, id));
        }
    }

    fn draw(&self, surface: &mut Surface, placed: &Placed) {
        let (x, y) = (pt(placed.x_mm), pt(placed.y_mm));
        match &placed.ink {
            Ink::Letters(letters) => {
                if let Some(font) = self.fonts.get(letters.font) {
                    write_letters(surface, letters, font.clone(), x, y);
                }
            }
            Ink::Shape(shape) => draw_shape(surface, shape, x, y),
            Ink::Picture(svg, width, height) => {
                if let (Some(tree), Some(size)) = (self.drawings.get(&svg.as_ptr()), Size::from_wh(pt(*width), pt(*height))) {
                    surface.push_transform(&Transform::from_translate(x, y));
                    surface.draw_svg(tree, size, SvgSettings::default());
                    surface.pop();
                }
            }
        }
    }
}

fn filled(color: Color) -> Fill {
    Fill { paint: rgb::Color::new(color.0, color.1, color.2).into(), opacity: NormalizedF32::ONE, ..Fill::default() }
}

fn lined(stroke: Stroke) -> krilla::paint::Stroke {
    let c = stroke.color;
    krilla::paint::Stroke { paint: rgb::Color::new(c.0, c.1, c.2).into(), width: pt(stroke.width_mm), ..krilla::paint::Stroke::default() }
}

fn write_letters(surface: &mut Surface, letters: &Letters, font: Font, x: f32, y: f32) {
    let glyphs: Vec<KrillaGlyph> =
        letters.glyphs.iter().map(|g| KrillaGlyph::new(GlyphId::new(g.id), g.advance, g.x, g.y, 0.0, g.text.clone(), None)).collect();
    surface.set_fill(Some(filled(letters.color)));
    surface.set_stroke(None);
    surface.draw_glyphs(Point::from_xy(x, y), &glyphs, font, &letters.text, letters.size_pt, false);
}

fn draw_shape(surface: &mut Surface, shape: &Shape, x: f32, y: f32) {
    let mut path = PathBuilder::new();
    let (fill, stroke) = match shape {
        Shape::Line(dx, dy, stroke) => {
            path.move_to(x, y);
            path.line_to(x + pt(*dx), y + pt(*dy));
            (None, Some(*stroke))
        }
        Shape::Rectangle(w, h, fill, stroke) => {
            if let Some(rectangle) = Rect::from_xywh(x, y, pt(*w), pt(*h)) {
                path.push_rect(rectangle);
            }
            (*fill, *stroke)
        }
        Shape::Polygon(points, stroke) => {
            for (i, (px, py)) in points.iter().enumerate() {
                let (px, py) = (x + pt(*px), y + pt(*py));
                if i == 0 { path.move_to(px, py) } else { path.line_to(px, py) }
            }
            path.close();
            (None, Some(*stroke))
        }
    };
    // What has no length has no path: nothing is drawn.
    let Some(path) = path.finish() else { return };
    surface.set_fill(fill.map(filled));
    surface.set_stroke(stroke.map(lined));
    surface.draw_path(&path);
}
