//! Sets text: letters are shaped and broken into lines by `parley` with the fonts that the program brings; it looks at no others.

use crate::laid::{Color, Glyph, Ink, Laid, Letters, Placed};
use crate::structure::{Role, Structure};
use crate::words::{Bit, Words};
use parley::fontique::{Blob, Collection, CollectionOptions, SourceCache};
use parley::{
    Alignment, AlignmentOptions, FontContext, FontFamily, FontFamilyName, FontFeatures, FontWeight, InlineBox, InlineBoxKind, Layout,
    LayoutContext, OverflowWrap, PositionedLayoutItem, StyleProperty,
};
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::{Arc, LazyLock};

/// Millimeters in a point: 25.4 to the inch of 72 points.
pub(crate) const MM_PER_PT: f64 = 25.4 / 72.0;

/// IBM Plex Sans and Sans Condensed (`fonts/LICENSE-IBM-Plex.txt`); DejaVu Sans Condensed (`fonts/LICENSE-DejaVu.txt`) for what they lack:
/// the sign of a diameter, arrows, other scripts.
pub(crate) const FILES: [&[u8]; 6] = [
    include_bytes!("../fonts/IBMPlexSans-Regular.ttf"),
    include_bytes!("../fonts/IBMPlexSans-SemiBold.ttf"),
    include_bytes!("../fonts/IBMPlexSansCondensed-Regular.ttf"),
    include_bytes!("../fonts/IBMPlexSansCondensed-SemiBold.ttf"),
    include_bytes!("../fonts/DejaVuSansCondensed.ttf"),
    include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf"),
];
const PLAIN: [&str; 2] = ["IBM Plex Sans", "DejaVu Sans"];
const NARROW: [&str; 2] = ["IBM Plex Sans Condensed", "DejaVu Sans"];
/// Height of a capital where the font does not say it, em: that of IBM Plex Sans (its OS/2 table).
const CAPITAL_EM: f64 = 0.698;

/// The fonts, read once; a setter takes a copy that shares them.
static FONTS: LazyLock<FontContext> = LazyLock::new(|| {
    let mut collection = Collection::new(CollectionOptions { shared: false, system_fonts: false });
    for file in FILES {
        collection.register_fonts(Blob::new(Arc::new(file)), None);
    }
    FontContext { collection, source_cache: SourceCache::default() }
});

fn family(names: &[&'static str]) -> StyleProperty<'static, Color> {
    StyleProperty::FontFamily(FontFamily::List(Cow::Owned(names.iter().map(|f| FontFamilyName::Named(Cow::Borrowed(f))).collect())))
}

/// What sets a paper: its fonts, the parts that it has so far.
pub struct Setter {
    fonts: FontContext,
    layouts: LayoutContext<Color>,
    /// Which of [`FILES`] a font of the layouts is, by its data's own number.
    files: HashMap<u64, usize>,
    pub(crate) structure: Structure,
    widths: HashMap<String, f64>,
}

impl Default for Setter {
    fn default() -> Setter {
        Setter {
            fonts: FONTS.clone(),
            layouts: LayoutContext::new(),
            files: HashMap::new(),
            structure: Structure::default(),
            widths: HashMap::new(),
        }
    }
}

impl Setter {
    /// Lays what belongs to a part: what `lay` lays is within it.
    pub fn within<R>(&mut self, role: Role, lay: impl FnOnce(&mut Setter) -> R) -> R {
        self.structure.open(role);
        let laid = lay(self);
        self.structure.close();
        laid
    }

    fn layout(&mut self, words: &Words) -> (Layout<Color>, String) {
        let mut text = String::new();
        let mut spans = Vec::new();
        let mut boxes = Vec::new();
        for bit in &words.bits {
            match bit {
                Bit::Text(t, how) => {
                    let from = text.len();
                    text.push_str(t);
                    spans.push((from..text.len(), *how));
                }
                Bit::Boxed(laid, below) => boxes.push((text.len(), laid.width_mm, laid.height_mm - below)),
                Bit::Break => text.push('\n'),
            }
        }
        let mut builder = self.layouts.ranged_builder(&mut self.fonts, &text, 1.0, false);
        builder.push_default(family(&PLAIN));
        builder.push_default(StyleProperty::FontFeatures(FontFeatures::Source(Cow::Borrowed("\"tnum\""))));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::BreakWord));
        builder.push_default(StyleProperty::FontSize(words.largest_pt().max(1.0)));
        for (range, how) in spans {
            builder.push(StyleProperty::FontSize(how.size_pt), range.clone());
            builder.push(StyleProperty::Brush(how.color), range.clone());
            if how.strong {
                builder.push(StyleProperty::FontWeight(FontWeight::SEMI_BOLD), range.clone());
            }
            if how.narrow {
                builder.push(family(&NARROW), range);
            }
        }
        for (id, (index, width, height)) in boxes.into_iter().enumerate() {
            builder.push_inline_box(InlineBox {
                id: id as u64,
                kind: InlineBoxKind::InFlow,
                index,
                width: (width / MM_PER_PT) as f32,
                height: (height.max(0.0) / MM_PER_PT) as f32,
            });
        }
        (builder.build(&text), text)
    }

    /// How wide a text is where no line is broken, mm.
    pub(crate) fn natural_mm(&mut self, words: &Words) -> f64 {
        let key = format!(
            "{:?}",
            words
                .bits
                .iter()
                .map(|b| match b {
                    Bit::Text(t, how) => (t.as_str(), how.size_pt, how.strong, how.narrow, 0.0),
                    Bit::Boxed(l, _) => ("", 0.0, false, false, l.width_mm),
                    Bit::Break => ("\n", 0.0, false, false, 0.0),
                })
                .collect::<Vec<_>>()
        );
        if let Some(known) = self.widths.get(&key) {
            return *known;
        }
        let (mut layout, _) = self.layout(words);
        layout.break_all_lines(None);
        let width = f64::from(layout.width()) * MM_PER_PT;
        self.widths.insert(key, width);
        width
    }

    /// The lines of a text in so much room, mm, each from the top of its capitals to its baseline.
    pub(crate) fn lines(&mut self, words: &Words, width_mm: f64, across: Alignment) -> Vec<Laid> {
        let (mut layout, text) = self.layout(words);
        // A hundredth of a millimeter is given: what was measured by itself must not break in its own width.
        let room = ((width_mm + 0.01).max(0.1) / MM_PER_PT) as f32;
        layout.break_all_lines(Some(room));
        layout.align(across, AlignmentOptions::default());
        let boxes: Vec<(&Laid, f64)> =
            words.bits.iter().filter_map(|b| if let Bit::Boxed(l, below) = b { Some((l, *below)) } else { None }).collect();
        let part = self.structure.here();
        let mut out = Vec::new();
        for line in layout.lines() {
            let (mut above, mut below) = (0.0_f64, 0.0_f64);
            let mut ink: Vec<(f64, f64, Laid)> = Vec::new();
            let (mut run, mut taken) = (usize::MAX, 0);
            for item in line.items() {
                match item {
                    PositionedLayoutItem::InlineBox(b) => {
                        let Some((laid, under)) = usize::try_from(b.id).ok().and_then(|i| boxes.get(i)) else { continue };
                        above = above.max(laid.height_mm - under);
                        below = below.max(*under);
                        ink.push((f64::from(b.x) * MM_PER_PT, under - laid.height_mm, (*laid).clone()));
                    }
                    PositionedLayoutItem::GlyphRun(piece) => {
                        if piece.run().index() != run {
                            (run, taken) = (piece.run().index(), 0);
                        }
                        let size_pt = piece.run().font_size();
                        let capital = piece.run().metrics().cap_height.map_or(CAPITAL_EM * f64::from(size_pt), f64::from);
                        above = above.max(capital.min(0.75 * f64::from(size_pt)) * MM_PER_PT);
                        if let Some(letters) = self.letters(&piece, &text, &mut taken) {
                            let placed = Placed { x_mm: 0.0, y_mm: 0.0, part, ink: Ink::Letters(Arc::new(letters)) };
                            ink.push((f64::from(piece.offset()) * MM_PER_PT, 0.0, Laid { ink: vec![placed], ..Laid::default() }));
                        }
                    }
                }
            }
            let mut laid = Laid::room(width_mm, above + below);
            for (x, y, what) in ink {
                laid.put(x, above + y, what);
            }
            out.push(laid);
        }
        out
    }

    /// The letters of a piece of a run that has one style: of so many glyphs, after the clusters that pieces before it took.
    fn letters(&mut self, piece: &parley::layout::GlyphRun<'_, Color>, text: &str, taken: &mut usize) -> Option<Letters> {
        let size_pt = piece.run().font_size();
        let font = self.file_of(piece.run().font());
        let wanted = piece.glyphs().count();
        let (mut seen, mut width) = (0, 0.0);
        let mut glyphs: Vec<Glyph> = Vec::with_capacity(wanted);
        let (mut from, mut to) = (usize::MAX, 0);
        for cluster in piece.run().visual_clusters().skip(*taken) {
            if seen >= wanted && !cluster.is_ligature_continuation() {
                break;
            }
            *taken += 1;
            let range = cluster.text_range();
            if cluster.is_hard_line_break() {
                seen += cluster.glyphs().count();
                continue;
            }
            (from, to) = (from.min(range.start), to.max(range.end));
            if cluster.is_ligature_continuation() {
                // Its letters are drawn by the glyph of the first.
                if let Some(last) = glyphs.last_mut() {
                    last.text = last.text.start.min(range.start)..last.text.end.max(range.end);
                }
                continue;
            }
            for g in cluster.glyphs() {
                seen += 1;
                width += f64::from(g.advance) * MM_PER_PT;
                glyphs.push(Glyph { id: g.id, text: range.clone(), advance: g.advance / size_pt, x: g.x / size_pt, y: -g.y / size_pt });
            }
        }
        let said = text.get(from..to)?;
        glyphs.iter_mut().for_each(|g| g.text = g.text.start - from..g.text.end - from);
        Some(Letters { text: said.to_owned(), font, size_pt, color: piece.style().brush, glyphs, width_mm: width })
    }

    fn file_of(&mut self, font: &parley::FontData) -> usize {
        let data = font.data.as_ref();
        *self.files.entry(font.data.id()).or_insert_with(|| FILES.iter().position(|f| *f == data).unwrap_or(0))
    }
}
