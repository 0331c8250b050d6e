//! Blocks over pages: what is kept together, heads of tables on every page, columns, drawings at the foot.

use crate::block::Block;
use crate::grid::Grid;
use crate::laid::Laid;
use crate::setter::Setter;
use crate::structure::{PartId, Role};
use std::collections::VecDeque;
use std::rc::Rc;

/// A piece of what flows over the pages.
#[derive(Clone, Debug)]
pub enum Flow {
    /// A block; a page may end between its rows, lines, items.
    Block {
        /// The block.
        block: Block,
        /// Room above, mm; of what is asked for above and below the larger counts.
        above_mm: f64,
        /// Room below, mm.
        below_mm: f64,
        /// Whether it stays with what comes next: a heading.
        keep: bool,
    },
    /// Columns of one height.
    Columns(Columns),
    /// A block at the foot of its page; where it has no room there, of the next, and the text goes on.
    Foot(Foot),
    /// A new page.
    Break,
}

/// Columns.
#[derive(Clone, Debug)]
pub struct Columns {
    /// How many.
    pub count: usize,
    /// Room between them, mm.
    pub gap_mm: f64,
    /// What flows through them.
    pub flows: Vec<Flow>,
}

/// A block at the foot of a page.
#[derive(Clone, Debug)]
pub struct Foot {
    /// The block.
    pub block: Block,
    /// Room between it and what stands above it, mm.
    pub clear_mm: f64,
}

impl Flow {
    /// A block with so much room above and below, mm.
    pub fn block(block: Block, above_mm: f64, below_mm: f64) -> Flow {
        Flow::Block { block, above_mm, below_mm, keep: false }
    }

    /// A block that stays with what comes next.
    pub fn kept(block: Block, above_mm: f64, below_mm: f64) -> Flow {
        Flow::Block { block, above_mm, below_mm, keep: true }
    }

    /// The blocks in it.
    pub fn each(&self, visit: &mut dyn FnMut(&Block)) {
        match self {
            Flow::Block { block, .. } | Flow::Foot(Foot { block, .. }) => visit(block),
            Flow::Columns(c) => c.flows.iter().for_each(|f| f.each(visit)),
            Flow::Break => {}
        }
    }
}

/// A piece that no page cuts.
struct Slab {
    laid: Laid,
    above: f64,
    below: f64,
    keep: bool,
    /// The head of its table, for the top of a page.
    head: Option<Rc<Laid>>,
}

enum Piece {
    Slab(Slab),
    Columns(Columns),
    Foot(Laid, f64),
    Break,
}

impl Setter {
    /// Sets what flows on as many pages of this size, mm, as it takes.
    pub fn flow(&mut self, flows: &[Flow], (width_mm, height_mm): (f64, f64)) -> Vec<Laid> {
        let mut filler = Filler::new(width_mm, height_mm);
        let pieces = self.pieces(flows, width_mm);
        let mut chain: Vec<Slab> = Vec::new();
        for piece in pieces {
            match piece {
                Piece::Slab(slab) => {
                    let keep = slab.keep;
                    chain.push(slab);
                    if !keep {
                        filler.chain(std::mem::take(&mut chain));
                    }
                }
                Piece::Columns(columns) => {
                    // A heading stays with the columns' first lines.
                    let each = (width_mm - columns.gap_mm * (columns.count as f64 - 1.0)) / columns.count as f64;
                    let slabs = self.slabs(&columns.flows, each);
                    let first: f64 =
                        slabs.iter().take_while(|s| s.keep).chain(slabs.iter().find(|s| !s.keep)).map(|s| s.laid.height_mm + s.above).sum();
                    filler.chain_before(std::mem::take(&mut chain), first);
                    filler.columns(slabs, &columns, each);
                }
                Piece::Foot(laid, clear) => filler.foot(laid, clear),
                Piece::Break => {
                    filler.chain(std::mem::take(&mut chain));
                    filler.new_page();
                }
            }
        }
        filler.chain(chain);
        filler.end()
    }

    fn pieces(&mut self, flows: &[Flow], width: f64) -> Vec<Piece> {
        let mut out = Vec::new();
        for flow in flows {
            match flow {
                Flow::Block { block, above_mm, below_mm, keep } => {
                    let mut slabs = Vec::new();
                    self.cut(block, width, &mut slabs);
                    if let Some(first) = slabs.first_mut() {
                        first.above = first.above.max(*above_mm);
                    }
                    if let Some(last) = slabs.last_mut() {
                        last.below = last.below.max(*below_mm);
                        last.keep = *keep;
                    }
                    out.extend(slabs.into_iter().map(Piece::Slab));
                }
                Flow::Columns(c) => out.push(Piece::Columns(c.clone())),
                Flow::Foot(f) => {
                    let laid = self.lay(&f.block, width);
                    out.push(Piece::Foot(laid, f.clear_mm));
                }
                Flow::Break => out.push(Piece::Break),
            }
        }
        out
    }

    fn slabs(&mut self, flows: &[Flow], width: f64) -> Vec<Slab> {
        let pieces = self.pieces(flows, width);
        pieces.into_iter().filter_map(|p| if let Piece::Slab(s) = p { Some(s) } else { None }).collect()
    }

    /// Cuts a block where a page may end.
    fn cut(&mut self, block: &Block, width: f64, out: &mut Vec<Slab>) {
        let slab = |laid: Laid| Slab { laid, above: 0.0, below: 0.0, keep: false, head: None };
        match block {
            Block::Text { words, across, leading_em, role } => {
                let lines = self.text_lines(words, *across, *leading_em, role.clone(), width);
                let n = lines.len();
                for (i, (above, laid)) in lines.into_iter().enumerate() {
                    // No line of a paragraph stands alone on a page.
                    let keep = i + 1 < n && (i == 0 || i + 2 == n);
                    out.push(Slab { above, keep, ..slab(laid) });
                }
            }
            Block::Bullets(list) => {
                let part = self.structure.open(Role::List);
                self.structure.close();
                for (i, item) in list.items.iter().enumerate() {
                    self.structure.reopen(part);
                    let laid = self.lay_item(item, list.how, width);
                    self.structure.close();
                    out.push(Slab { above: if i > 0 { list.gap_mm } else { 0.0 }, ..slab(laid) });
                }
            }
            Block::Stack(stack) => {
                let mut gap = 0.0;
                for b in &stack.blocks {
                    if let Block::Space(mm) = b {
                        gap = if gap == stack.gap_mm { *mm } else { gap + mm };
                        continue;
                    }
                    let from = out.len();
                    self.cut(b, width, out);
                    if let Some(first) = out.get_mut(from).filter(|_| from > 0) {
                        first.above = first.above.max(gap);
                    }
                    gap = stack.gap_mm;
                }
            }
            Block::Grid(grid) => self.cut_grid(grid, width, out),
            other => {
                let laid = self.lay(other, width);
                out.push(slab(laid));
            }
        }
    }

    fn cut_grid(&mut self, grid: &Grid, width: f64, out: &mut Vec<Slab>) {
        let widths = self.column_widths(grid, width);
        let part: Option<PartId> = grid.table.then(|| {
            let part = self.structure.open(Role::Table);
            self.structure.close();
            part
        });
        let within = |setter: &mut Setter, lay: &mut dyn FnMut(&mut Setter) -> Laid| {
            if let Some(part) = part {
                setter.structure.reopen(part);
            }
            let laid = lay(setter);
            if part.is_some() {
                setter.structure.close();
            }
            laid
        };
        let mut head = None;
        if let Some(header) = &grid.header {
            let laid = within(self, &mut |s| s.lay_row(grid, header, &widths, true, false).stretched(0.0));
            head = Some(Rc::new(laid.clone()));
            out.push(Slab { laid, above: 0.0, below: 0.0, keep: !grid.rows.is_empty(), head: None });
        }
        for (i, row) in grid.rows.iter().enumerate() {
            let laid = within(self, &mut |s| s.lay_row(grid, row, &widths, false, i == 0).stretched(0.0));
            let above = if i > 0 || head.is_some() { grid.row_gap_mm } else { 0.0 };
            out.push(Slab { laid, above, below: 0.0, keep: false, head: if i > 0 { head.clone() } else { None } });
        }
    }
}

/// Fills pages from top to bottom.
struct Filler {
    width: f64,
    height: f64,
    pages: Vec<Laid>,
    page: Laid,
    /// Where the next slab goes, if no room is asked for above it.
    y: f64,
    /// The room that the last slab asks for below it.
    below: f64,
    /// What the foot of the page takes.
    foot: f64,
    waiting: VecDeque<(Laid, f64)>,
}

impl Filler {
    fn new(width: f64, height: f64) -> Filler {
        Filler {
            width,
            height,
            pages: Vec::new(),
            page: Laid::room(width, height),
            y: 0.0,
            below: 0.0,
            foot: 0.0,
            waiting: VecDeque::new(),
        }
    }

    fn new_page(&mut self) {
        self.pages.push(std::mem::replace(&mut self.page, Laid::room(self.width, self.height)));
        (self.y, self.below, self.foot) = (0.0, 0.0, 0.0);
        while let Some((laid, clear)) = self.waiting.pop_front() {
            if self.foot > 0.0 && self.foot + laid.height_mm + clear > self.height {
                self.waiting.push_front((laid, clear));
                break;
            }
            self.at_foot(laid, clear);
        }
    }

    fn at_foot(&mut self, laid: Laid, clear: f64) {
        let y = self.height - self.foot - laid.height_mm;
        self.foot += laid.height_mm + clear;
        self.page.put(0.0, y.max(0.0), laid);
    }

    fn foot(&mut self, laid: Laid, clear: f64) {
        if self.waiting.is_empty() && self.y + self.below.max(clear) + laid.height_mm <= self.height - self.foot {
            self.at_foot(laid, clear);
        } else {
            self.waiting.push_back((laid, clear));
        }
    }

    fn gap(&self, slab: &Slab) -> f64 {
        if self.y > 0.0 { slab.above.max(self.below) } else { 0.0 }
    }

    /// Slabs that stay together; on pages of their own where they are higher than a page.
    fn chain(&mut self, chain: Vec<Slab>) {
        self.chain_before(chain, 0.0);
    }

    /// The same, with room for so much, mm, behind them.
    fn chain_before(&mut self, chain: Vec<Slab>, then: f64) {
        let mut need = then;
        let mut below = 0.0_f64;
        for (i, s) in chain.iter().enumerate() {
            need += s.laid.height_mm + if i == 0 { self.gap(s) } else { s.above.max(below) };
            below = s.below;
        }
        // Drawings that wait take the foot of the next page; where that leaves too little, the text goes on behind it.
        while need <= self.height && (self.y > 0.0 || self.foot > 0.0) && self.y + need > self.height - self.foot + 1e-9 {
            self.new_page();
        }
        for slab in chain {
            if self.y > 0.0 && self.y + self.gap(&slab) + slab.laid.height_mm > self.height - self.foot + 1e-9 {
                self.new_page();
            }
            while self.y == 0.0 && self.foot > 0.0 && slab.laid.height_mm > self.height - self.foot && slab.laid.height_mm <= self.height {
                self.new_page();
            }
            self.slab(slab);
        }
    }

    fn slab(&mut self, slab: Slab) {
        if let Some(head) = slab.head.as_deref().filter(|_| self.y == 0.0) {
            self.page.put(0.0, 0.0, head.clone().unheard());
            self.y = head.height_mm;
        }
        let y = self.y + self.gap(&slab);
        self.y = y + slab.laid.height_mm;
        self.below = slab.below;
        self.page.put(0.0, y, slab.laid);
    }

    /// Columns of one height, over as many pages as they take.
    fn columns(&mut self, slabs: Vec<Slab>, columns: &Columns, width: f64) {
        let mut rest: VecDeque<Slab> = slabs.into();
        while !rest.is_empty() {
            let top = if self.y > 0.0 { self.y + self.below } else { 0.0 };
            let room = self.height - self.foot - top;
            // The least height at which they fit: halved until a millimeter is left of doubt.
            let fits = |h: f64| columns_needed(&rest, h) <= columns.count;
            let height = if fits(room) {
                let (mut low, mut high) = (0.0, room);
                while high - low > 1.0 {
                    let middle = 0.5 * (low + high);
                    if fits(middle) { high = middle } else { low = middle }
                }
                high
            } else {
                room
            };
            let before = rest.len();
            let mut lowest = 0.0_f64;
            for c in 0..columns.count {
                let x = c as f64 * (width + columns.gap_mm);
                let column = fill(&mut rest, height);
                lowest = lowest.max(column.height_mm);
                self.page.put(x, top, column);
            }
            if rest.len() == before && self.y == 0.0 && self.foot == 0.0 {
                // Higher than a page: it stands on one of its own, cut off at nothing but its foot.
                if let Some(slab) = rest.pop_front() {
                    self.page.put(0.0, 0.0, slab.laid);
                }
            }
            self.y = top + lowest;
            self.below = 0.0;
            if !rest.is_empty() {
                self.new_page();
            }
        }
    }

    fn end(mut self) -> Vec<Laid> {
        while !self.waiting.is_empty() {
            self.new_page();
        }
        if self.y > 0.0 || !self.page.ink.is_empty() || self.pages.is_empty() {
            self.pages.push(self.page);
        }
        self.pages
    }
}

/// How many slabs from here stay together, and how high they are in a column that is filled to `y`.
fn kept(slabs: &VecDeque<Slab>, from: usize, y: f64, below: f64) -> (usize, f64) {
    let (mut n, mut height, mut below) = (0, 0.0, below);
    for slab in slabs.iter().skip(from) {
        height +=
            slab.laid.height_mm + if y > 0.0 || n > 0 { slab.above.max(below) } else { slab.head.as_ref().map_or(0.0, |h| h.height_mm) };
        below = slab.below;
        n += 1;
        if !slab.keep {
            break;
        }
    }
    (n, height)
}

fn columns_needed(slabs: &VecDeque<Slab>, height: f64) -> usize {
    let (mut at, mut columns, mut y, mut below) = (0, 1, 0.0, 0.0);
    while at < slabs.len() {
        let (n, need) = kept(slabs, at, y, below);
        if y > 0.0 && y + need > height + 1e-9 {
            (columns, y, below) = (columns + 1, 0.0, 0.0);
            continue;
        }
        if y == 0.0 && need > height + 1e-9 {
            return usize::MAX;
        }
        y += need;
        at += n;
        below = slabs[at - 1].below;
    }
    columns
}

/// Takes from the front what goes into a column.
fn fill(slabs: &mut VecDeque<Slab>, height: f64) -> Laid {
    let mut out = Laid::room(0.0, 0.0);
    let mut below = 0.0;
    while !slabs.is_empty() {
        let (n, need) = kept(slabs, 0, out.height_mm, below);
        if out.height_mm + need > height + 1e-9 {
            break;
        }
        for _ in 0..n {
            let Some(slab) = slabs.pop_front() else { break };
            if let Some(head) = slab.head.as_deref().filter(|_| out.height_mm == 0.0) {
                out.put_below(0.0, head.clone().unheard());
            }
            let gap = if out.height_mm > 0.0 { slab.above.max(below) } else { 0.0 };
            below = slab.below;
            out.put_below(gap, slab.laid);
        }
    }
    out
}
