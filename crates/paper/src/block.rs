//! Blocks: paragraphs, rules, drawings, and blocks below each other.

use crate::grid::Grid;
use crate::laid::{Color, Ink, Laid, Placed, Shape, Stroke};
use crate::setter::Setter;
use crate::structure::Role;
use crate::words::{Type, Words};
use std::sync::Arc;

/// Where a text stands in its width.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Across {
    /// At the left.
    #[default]
    Left,
    /// At the right.
    Right,
    /// In the middle.
    Middle,
}

/// The room between two lines where nothing else is said: so many times the largest type of the text.
pub const LEADING_EM: f64 = 0.55;

/// Room for the dot before an item of a list, mm.
const INDENT_MM: f64 = 3.4;

/// A piece of a paper.
#[derive(Clone, Debug)]
pub enum Block {
    /// A paragraph.
    Text {
        /// What it says.
        words: Words,
        /// Where its lines stand.
        across: Across,
        /// Room between its lines, of its largest type.
        leading_em: f64,
        /// What it is; none where what it stands in says it.
        role: Option<Role>,
    },
    /// A line over the whole width.
    Rule(Stroke),
    /// Room, mm.
    Space(f64),
    /// A drawing.
    Picture(Picture),
    /// A table, or blocks side by side.
    Grid(Box<Grid>),
    /// A list.
    Bullets(Bullets),
    /// Blocks below each other.
    Stack(Stack),
    /// A block with an edge.
    Frame(Box<Frame>),
    /// What is laid already.
    Laid(Laid),
}

/// A drawing at its own size, made smaller where its room is narrower.
#[derive(Clone, Debug)]
pub struct Picture {
    /// The drawing (SVG).
    pub svg: Arc<str>,
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// What it shows, for a reader who does not see it.
    pub alt: String,
}

impl Picture {
    /// The same, no wider than this, mm.
    #[must_use]
    pub fn within(mut self, width_mm: f64) -> Picture {
        let k = (width_mm / self.width_mm.max(1e-6)).min(1.0);
        (self.width_mm, self.height_mm) = (self.width_mm * k, self.height_mm * k);
        self
    }
}

/// A list, each item with a dot before it.
#[derive(Clone, Debug)]
pub struct Bullets {
    /// The items.
    pub items: Vec<Words>,
    /// The type of the dots.
    pub how: Type,
    /// Room between items, mm.
    pub gap_mm: f64,
}

/// Blocks below each other.
#[derive(Clone, Debug, Default)]
pub struct Stack {
    /// Room between two of them, mm; none before or after a [`Block::Space`].
    pub gap_mm: f64,
    /// The blocks.
    pub blocks: Vec<Block>,
}

/// A block with an edge around it or at some of its sides.
#[derive(Clone, Debug)]
pub struct Frame {
    /// The block.
    pub block: Block,
    /// The edge at the top, right, bottom, left.
    pub edges: [Option<Stroke>; 4],
    /// Room between edge and block, mm: left and right; top; bottom.
    pub inset_mm: (f64, f64, f64),
}

impl Frame {
    /// An edge all around.
    pub fn around(block: Block, edge: Stroke, inset_mm: f64) -> Frame {
        Frame { block, edges: [Some(edge); 4], inset_mm: (inset_mm, inset_mm, inset_mm) }
    }

    /// A line along the top.
    pub fn under_a_line(block: Block, edge: Stroke, inset_mm: f64) -> Frame {
        Frame { block, edges: [Some(edge), None, None, None], inset_mm: (0.0, inset_mm, 0.0) }
    }
}

impl Block {
    /// A paragraph.
    pub fn text(words: Words) -> Block {
        Block::Text { words, across: Across::Left, leading_em: LEADING_EM, role: Some(Role::Paragraph) }
    }

    /// A paragraph at the right.
    pub fn right(words: Words) -> Block {
        Block::Text { words, across: Across::Right, leading_em: LEADING_EM, role: Some(Role::Paragraph) }
    }

    /// A heading of a level from 1.
    pub fn heading(level: u8, words: Words) -> Block {
        let role = Some(Role::Heading(level, words.text()));
        Block::Text { words, across: Across::Left, leading_em: LEADING_EM, role }
    }

    /// Blocks below each other with so much room between, mm.
    pub fn stack(gap_mm: f64, blocks: impl IntoIterator<Item = Block>) -> Block {
        Block::Stack(Stack { gap_mm, blocks: blocks.into_iter().collect() })
    }

    /// Nothing.
    pub fn nothing() -> Block {
        Block::Space(0.0)
    }

    /// A square box to be ticked, so wide, mm.
    pub fn square(side_mm: f64, fill: Option<Color>, edge: Option<Stroke>) -> Laid {
        Laid::room(side_mm, side_mm).and_shape(0.0, 0.0, Shape::Rectangle(side_mm, side_mm, fill, edge))
    }

    /// Every text in it, paragraph by paragraph, and every drawing.
    pub fn each(&self, text: &mut dyn FnMut(&Words), drawing: &mut dyn FnMut(&Picture)) {
        match self {
            Block::Text { words, .. } => text(words),
            Block::Picture(p) => drawing(p),
            Block::Grid(g) => g.header.iter().chain(&g.rows).flatten().for_each(|c| c.block.each(text, drawing)),
            Block::Bullets(b) => b.items.iter().for_each(text),
            Block::Stack(s) => s.blocks.iter().for_each(|b| b.each(text, drawing)),
            Block::Frame(f) => f.block.each(text, drawing),
            Block::Rule(_) | Block::Space(_) | Block::Laid(_) => {}
        }
    }
}

impl Setter {
    /// Lays a block into so much width, mm.
    pub fn lay(&mut self, block: &Block, width_mm: f64) -> Laid {
        match block {
            Block::Text { words, across, leading_em, role } => self.lay_text(words, *across, *leading_em, role.clone(), width_mm),
            Block::Rule(stroke) => Laid::room(width_mm, 0.0).and_shape(0.0, 0.0, Shape::Line(width_mm, 0.0, *stroke)),
            Block::Space(mm) => Laid::room(0.0, *mm),
            Block::Picture(picture) => {
                let p = picture.clone().within(width_mm);
                let part = self.structure.open(Role::Figure(p.alt));
                self.structure.close();
                let ink = vec![Placed { x_mm: 0.0, y_mm: 0.0, part: Some(part), ink: Ink::Picture(p.svg, p.width_mm, p.height_mm) }];
                Laid { width_mm: p.width_mm, height_mm: p.height_mm, ink }
            }
            Block::Grid(grid) => self.lay_grid(grid, width_mm),
            Block::Bullets(list) => {
                self.structure.open(Role::List);
                let mut out = Laid::room(width_mm, 0.0);
                for (i, item) in list.items.iter().enumerate() {
                    let laid = self.lay_item(item, list.how, width_mm);
                    out.put_below(if i > 0 { list.gap_mm } else { 0.0 }, laid);
                }
                self.structure.close();
                out
            }
            Block::Stack(stack) => {
                let mut out = Laid::room(width_mm, 0.0);
                let mut gap = false;
                for b in &stack.blocks {
                    let space = matches!(b, Block::Space(_));
                    let laid = self.lay(b, width_mm);
                    out.put_below(if gap && !space { stack.gap_mm } else { 0.0 }, laid);
                    gap = !space;
                }
                out
            }
            Block::Frame(frame) => {
                let (side, top, bottom) = frame.inset_mm;
                let inner = self.lay(&frame.block, width_mm - 2.0 * side);
                let height = inner.height_mm + top + bottom;
                let mut out = Laid::room(width_mm, height);
                out.put(side, top, inner);
                edged(out, &frame.edges)
            }
            Block::Laid(laid) => laid.clone(),
        }
    }

    /// An item of a list: its dot, and its text beside it.
    pub(crate) fn lay_item(&mut self, item: &Words, how: Type, width_mm: f64) -> Laid {
        self.structure.open(Role::Item);
        let dot = self.lay_text(&Words::of("•", how), Across::Left, LEADING_EM, None, INDENT_MM).unheard();
        let text = self.lay_text(item, Across::Left, LEADING_EM, Some(Role::ItemBody), width_mm - INDENT_MM);
        self.structure.close();
        let mut out = Laid::room(width_mm, text.height_mm);
        out.put(0.0, 0.0, dot);
        out.put(INDENT_MM, 0.0, text);
        out
    }

    fn lay_text(&mut self, words: &Words, across: Across, leading_em: f64, role: Option<Role>, width_mm: f64) -> Laid {
        let mut out = Laid::room(width_mm, 0.0);
        for (gap, line) in self.text_lines(words, across, leading_em, role, width_mm) {
            out.put_below(gap, line);
        }
        out
    }

    /// The lines of a text, each with the room above it, mm.
    pub(crate) fn text_lines(
        &mut self,
        words: &Words,
        across: Across,
        leading_em: f64,
        role: Option<Role>,
        width_mm: f64,
    ) -> Vec<(f64, Laid)> {
        if words.is_empty() {
            return Vec::new();
        }
        let named = role.is_some();
        if let Some(role) = role {
            self.structure.open(role);
        }
        let across = match across {
            Across::Left => parley::Alignment::Left,
            Across::Right => parley::Alignment::Right,
            Across::Middle => parley::Alignment::Center,
        };
        let lines = self.lines(words, width_mm, across);
        if named {
            self.structure.close();
        }
        let leading = leading_em * f64::from(words.largest_pt()) * crate::setter::MM_PER_PT;
        lines.into_iter().enumerate().map(|(i, line)| (if i > 0 { leading } else { 0.0 }, line)).collect()
    }

    /// How wide a block is where nothing in it is broken, mm.
    pub(crate) fn natural_of(&mut self, block: &Block) -> f64 {
        match block {
            Block::Text { words, .. } => self.natural_mm(words),
            Block::Rule(_) | Block::Space(_) => 0.0,
            Block::Picture(p) => p.width_mm,
            Block::Grid(g) => self.natural_of_grid(g),
            Block::Bullets(b) => b.items.iter().map(|i| INDENT_MM + self.natural_mm(i)).fold(0.0, f64::max),
            Block::Stack(s) => s.blocks.iter().map(|b| self.natural_of(b)).fold(0.0, f64::max),
            Block::Frame(f) => 2.0 * f.inset_mm.0 + self.natural_of(&f.block),
            Block::Laid(l) => l.width_mm,
        }
    }
}

/// Edges along the sides of what is laid: top, right, bottom, left.
pub(crate) fn edged(mut laid: Laid, edges: &[Option<Stroke>; 4]) -> Laid {
    let (w, h) = (laid.width_mm, laid.height_mm);
    if let [Some(a), Some(b), Some(c), Some(d)] = edges
        && a == b
        && b == c
        && c == d
    {
        return laid.and_shape(0.0, 0.0, Shape::Rectangle(w, h, None, Some(*a)));
    }
    let sides = [(0.0, 0.0, w, 0.0), (w, 0.0, 0.0, h), (0.0, h, w, 0.0), (0.0, 0.0, 0.0, h)];
    for (edge, (x, y, dx, dy)) in edges.iter().zip(sides) {
        if let Some(stroke) = edge {
            laid = laid.and_shape(x, y, Shape::Line(dx, dy, *stroke));
        }
    }
    laid
}
