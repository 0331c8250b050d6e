//! How the papers look: type, lines, colors, head and foot of each page. Black on white; boxes differ by their rule, not by color.

use crate::job_view;
use paper::{Block, Cell, Color, Flow, Grid, Laid, Rules, Setter, Shape, Sheet, Stroke, Titled, Track, Type, Words};

/// The look's colors on paper.
pub(crate) const INK: Color = Color(0x17, 0x1c, 0x1b);
const HAIR: Color = Color(0xcd, 0xd2, 0xce);
pub(crate) const CAUTION: Color = Color(0x7f, 0x43, 0x00);
pub(crate) const STOP: Color = Color(0xa1, 0x16, 0x1b);

/// The look's two lines (ISO 128), no others, mm.
const WIDE_MM: f64 = 0.5;
const THIN_MM: f64 = 0.25;
pub(crate) const WIDE: Stroke = wide(INK);
pub(crate) const THIN: Stroke = thin(INK);
/// Between the rows of a table.
pub(crate) const HAIRLINE: Stroke = thin(HAIR);

pub(crate) const fn wide(color: Color) -> Stroke {
    Stroke { width_mm: WIDE_MM, color }
}

pub(crate) const fn thin(color: Color) -> Stroke {
    Stroke { width_mm: THIN_MM, color }
}

/// The look's types.
pub(crate) const BODY: Type = Type::of(10.0, INK);
pub(crate) const STRONG: Type = BODY.strong();
pub(crate) const SMALL: Type = Type::of(8.5, INK);
pub(crate) const SMALL_STRONG: Type = SMALL.strong();
pub(crate) const NARROW: Type = SMALL.narrow();
pub(crate) const NARROW_STRONG: Type = NARROW.strong();
pub(crate) const NARROW_BODY: Type = BODY.narrow();
pub(crate) const NARROW_BODY_STRONG: Type = NARROW_BODY.strong();
pub(crate) const H2: Type = Type::of(13.0, INK).strong();
pub(crate) const H1: Type = Type::of(20.0, INK).strong();

/// Room between paragraphs, mm.
pub(crate) const PARAGRAPH_MM: f64 = 2.8;
/// Room between lines that belong together and are texts of their own, mm.
pub(crate) const LINE_MM: f64 = 1.9;

/// The margins of all papers, mm.
pub(crate) const MARGIN_MM: f64 = 13.0;

/// The sheet that a paper is printed on.
pub(crate) fn sheet(paper: job_view::Paper) -> Sheet {
    let (width_mm, height_mm) = paper.size_mm();
    Sheet { width_mm, height_mm, margin_mm: MARGIN_MM }
}

/// What a paper says of itself: in its file, and at the head and foot of its pages.
#[derive(Clone, Debug, Default)]
pub(crate) struct About {
    /// Its name where it cannot be set.
    pub name: &'static str,
    /// What kind of paper it is.
    pub kind: String,
    /// Of what.
    pub title: String,
    /// The instrument, where the title does not say it.
    pub instrument: String,
    /// Whose it is.
    pub shop: String,
    /// At the foot, left.
    pub footer: String,
    /// The sheet.
    pub paper: job_view::Paper,
}

impl About {
    pub(crate) fn titled(&self) -> Titled {
        Titled { title: format!("{}: {}", self.kind, self.title), author: self.shop.clone() }
    }

    /// Head and foot of a page, from the top left of what may be printed on: the head is on all pages but the first.
    pub(crate) fn furniture(&self, setter: &mut Setter, page: usize, of: usize) -> Laid {
        const HEAD_MM: f64 = -6.6;
        const HEAD_LINE_MM: f64 = -3.9;
        const FOOT_MM: f64 = 3.9;
        let (width, height) = sheet(self.paper).printed_mm();
        let mut out = Laid::default();
        let sides = |setter: &mut Setter, left: String, right: String| {
            let row = vec![Cell::of(Block::text(Words::of(left, SMALL))), Cell::of(Block::right(Words::of(right, SMALL)))];
            setter.lay(&Grid::side_by_side(vec![Track::Part(1.0), Track::Auto], 4.0, row).block(), width)
        };
        if page > 1 {
            let right = if self.instrument == self.title { String::new() } else { self.instrument.clone() };
            let head = sides(setter, format!("{} · {}", self.kind, self.title), right);
            // Where it takes two lines, it grows upwards.
            out.put(0.0, HEAD_MM + 2.1 - head.height_mm, head);
            out = out.and_shape(0.0, HEAD_LINE_MM, Shape::Line(width, 0.0, THIN));
        }
        let foot = sides(setter, self.footer.clone(), format!("page {page} of {of}"));
        out.put(0.0, height + FOOT_MM, foot);
        out
    }
}

/// A chapter's heading, over a line.
pub(crate) fn chapter(words: impl Into<String>) -> Flow {
    let heading = Block::stack(1.3, [Block::heading(1, Words::of(words, H2)), Block::Rule(WIDE)]);
    Flow::kept(whole(heading), 7.0, 3.5)
}

/// A paragraph that flows.
pub(crate) fn paragraph(words: Words) -> Flow {
    Flow::block(Block::text(words), PARAGRAPH_MM, PARAGRAPH_MM)
}

/// A block that flows, as far from its neighbors as paragraphs are.
pub(crate) fn flowing(block: Block) -> Flow {
    Flow::block(block, PARAGRAPH_MM, PARAGRAPH_MM)
}

/// A block that no page cuts.
pub(crate) fn whole(block: Block) -> Block {
    Block::Frame(Box::new(paper::Frame { block, edges: [None; 4], inset_mm: (0.0, 0.0, 0.0) }))
}

/// A list.
pub(crate) fn bullets(items: Vec<Words>) -> Flow {
    flowing(Block::Bullets(paper::Bullets { items, how: BODY, gap_mm: LINE_MM }))
}

/// A box to be ticked, so wide, mm.
pub(crate) fn box_to_tick(side_mm: f64) -> Laid {
    Block::square(side_mm, None, Some(WIDE))
}

/// The same, ticked: a stroke down and a longer one up.
pub(crate) fn ticked(tick: Laid) -> Laid {
    let side = tick.width_mm;
    let line = |x: f64, y: f64, dx: f64, dy: f64| (x * side, y * side, Shape::Line(dx * side, dy * side, WIDE));
    [line(0.22, 0.52, 0.2, 0.25), line(0.42, 0.77, 0.36, -0.52)].into_iter().fold(tick, |t, (x, y, shape)| t.and_shape(x, y, shape))
}

/// What stands over a customer's paper: the shop and what the paper is at the left; for whom and since when at the right.
pub(crate) fn letterhead(shop: &str, kind: Words, right: Vec<Words>) -> Flow {
    let left = Block::stack(3.2, [Block::heading(1, Words::of(shop, H1)), Block::text(kind)]);
    let right = Block::stack(LINE_MM, right.into_iter().filter(|w| !w.is_empty()).map(Block::right));
    let row = vec![Cell::of(left), Cell::of(right)];
    Flow::block(Grid::side_by_side(vec![Track::Part(1.0), Track::Auto], 6.0, row).block(), 0.0, 4.5)
}

/// Names with amounts, the amounts under each other at the right.
pub(crate) fn amounts(rows: impl IntoIterator<Item = (String, String)>, how: Type, row_gap_mm: f64) -> Grid {
    let rows = rows
        .into_iter()
        .map(|(name, amount)| vec![Cell::of(Block::text(Words::of(name, how))), Cell::of(Block::right(Words::of(amount, how)))]);
    Grid { row_gap_mm, rows: rows.collect(), ..Grid::side_by_side(vec![Track::Part(1.0), Track::Auto], 4.0, Vec::new()) }
}

/// A table: its columns, which of them stand at the right, their heads with their type, the rows.
pub(crate) fn table(columns: Vec<Track>, right: &[bool], head: (&[&str], Type), rows: Vec<Vec<Words>>) -> Grid {
    let cell = |i: usize, words: Words| Cell::of(if right.get(i) == Some(&true) { Block::right(words) } else { Block::text(words) });
    let heads = head.0.iter().enumerate().map(|(i, w)| cell(i, Words::of(*w, head.1))).collect();
    let rows = rows.into_iter().map(|row| row.into_iter().enumerate().map(|(i, w)| cell(i, w)).collect()).collect();
    Grid {
        inset_mm: (1.5, 1.7, 0.9),
        rules: Rules { header: Some(THIN), ..Rules::default() },
        header: Some(heads),
        rows,
        table: true,
        ..Grid::side_by_side(columns, 0.0, Vec::new())
    }
}

/// A line to sign on and one for the day; over them the name, the strokes and the day, where somebody signed.
pub(crate) fn signature(signed: Option<(&str, &str, Option<paper::Picture>)>) -> Block {
    let columns = vec![Track::Part(1.0), Track::Mm(50.0)];
    let line = |what: &str| Cell::of(Block::stack(1.3, [Block::Rule(THIN), Block::text(Words::of(what, SMALL))]));
    let lines = Grid::side_by_side(columns.clone(), 8.0, vec![line("signature"), line("date")]).block();
    match signed {
        None => Block::stack(0.0, [Block::Space(14.0), lines]),
        Some((name, day, strokes)) => {
            let strokes = strokes.map(Block::Picture);
            let left = Block::stack(LINE_MM, strokes.into_iter().chain([Block::text(Words::of(name, BODY))]));
            let bottom = |block| Cell { upright: paper::Upright::Bottom, ..Cell::of(block) };
            let over = Grid::side_by_side(columns, 8.0, vec![bottom(left), bottom(Block::text(Words::of(day, BODY)))]).block();
            Block::stack(0.0, [Block::Space(4.0), over, Block::Space(1.6), lines])
        }
    }
}
