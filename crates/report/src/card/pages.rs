//! Fills the pages of the card: page one, then the sheets piece by piece, each with the cautions of what stands on it.

use super::cautions::{Told, caution_box};
use super::front_page::{apart, head, heading, setups, side, top};
use super::sheet_rows::{Table, rows};
use super::sheets::{Making, Sheet};
use super::words as card;
use super::{Card, front};
use crate::look::{BODY, NARROW, NARROW_BODY_STRONG, NARROW_STRONG, STRONG, WIDE, box_to_tick};
use paper::grid::LaidRow;
use paper::{Across, Block, Cell, Frame, Grid, Laid, Role, Setter, Track, Words};
use plan::Caution;
use std::collections::VecDeque;
use std::rc::Rc;

/// Room between the lines of a text on the card, of its type.
pub(super) const LEADING_EM: f64 = 0.5;
/// Room between blocks, mm.
const GAP_MM: f64 = 2.0;
/// Room above a sheet's drawing, mm.
const ABOVE_DRAWING_MM: f64 = 1.6;
/// Room that a row gets at the most beyond its own where several setups share a page, mm.
const MOST_EXTRA_MM: f64 = 4.0;

/// A paragraph of the card.
pub(super) fn text(words: Words) -> Block {
    Block::Text { words, across: Across::Left, leading_em: LEADING_EM, role: Some(Role::Paragraph) }
}

/// What goes on the pages.
enum Kind {
    Block(Laid),
    Row(Table, LaidRow, Option<Rc<Laid>>),
}

/// A piece that no page cuts.
struct Piece {
    kind: Kind,
    /// Whether it stays with the next.
    keep: bool,
    /// Whether a setup begins with it.
    start: bool,
    cautions: Vec<Caution>,
}

impl Piece {
    fn block(laid: Laid, start: bool) -> Piece {
        Piece { kind: Kind::Block(laid), keep: false, start, cautions: Vec::new() }
    }

    fn table(&self) -> Option<Table> {
        if let Kind::Row(table, ..) = &self.kind { Some(*table) } else { None }
    }

    fn height(&self) -> f64 {
        match &self.kind {
            Kind::Block(laid) => laid.height_mm,
            Kind::Row(_, row, _) => row.height_mm,
        }
    }
}

/// A page that is filled.
struct Page {
    pieces: Vec<Piece>,
    cautions: Option<Laid>,
    used: f64,
}

/// The pages of a card in so much room, mm.
pub(crate) fn fill(c: &Card, setter: &mut Setter, (width, height): (f64, f64)) -> Vec<Laid> {
    let (mut pages, mut now, mut used) = front_pages(c, setter, width, height);
    let mut pieces: VecDeque<Piece> = c.sheets.iter().flat_map(|s| sheet(c, s, setter, width)).collect();
    pieces.extend(rest(c, setter, width));
    let mut told = Told::new();
    let mut cautions: Vec<Caution> = Vec::new();
    let boxed = |setter: &mut Setter, cautions: &[Caution], told: &Told| {
        caution_box(cautions, told).map(|b| setter.lay(&b, width)).map_or(0.0, |l| l.height_mm + GAP_MM)
    };
    while !pieces.is_empty() {
        let count = pieces.iter().position(|p| !p.keep).map_or(pieces.len(), |i| i + 1);
        let mut need = 0.0;
        let mut before: Option<&Piece> = now.last();
        for piece in pieces.iter().take(count) {
            need += piece.height();
            let after_row = before.is_some_and(|b| b.table().is_some());
            match &piece.kind {
                Kind::Row(table, _, header) if before.and_then(Piece::table) != Some(*table) => {
                    need += header.as_ref().map_or(0.0, |h| h.height_mm) + if after_row { GAP_MM } else { 0.0 };
                }
                Kind::Row(..) => {}
                Kind::Block(_) => need += GAP_MM + if after_row { GAP_MM } else { 0.0 },
            }
            before = Some(piece);
        }
        let mut union = cautions.clone();
        union.extend(pieces.iter().take(count).flat_map(|p| &p.cautions));
        let union: Vec<Caution> = c.cautions.iter().copied().filter(|x| union.contains(x)).collect();
        // The gap behind the last block of a page is no room that it needs.
        let over = if matches!(pieces.get(count - 1).map(|p| &p.kind), Some(Kind::Block(_))) { GAP_MM } else { 0.0 };
        if !now.is_empty() && used + need - over + boxed(setter, &union, &told) > height {
            end_page(&mut pages, &mut now, &mut used, &cautions, &mut told, setter, width);
            cautions.clear();
            continue;
        }
        now.extend(pieces.drain(..count));
        used += need;
        cautions = union;
    }
    if !now.is_empty() {
        end_page(&mut pages, &mut now, &mut used, &cautions, &mut told, setter, width);
    }
    let last = pages.len().saturating_sub(1);
    pages.into_iter().enumerate().map(|(n, page)| assembled(page, n == last, width, height)).collect()
}

fn end_page(
    pages: &mut Vec<Page>,
    now: &mut Vec<Piece>,
    used: &mut f64,
    cautions: &[Caution],
    told: &mut Told,
    setter: &mut Setter,
    width: f64,
) {
    let laid = caution_box(cautions, told).map(|b| setter.lay(&b, width));
    let used = std::mem::take(used) + laid.as_ref().map_or(0.0, |l| l.height_mm + GAP_MM);
    pages.push(Page { pieces: std::mem::take(now), cautions: laid, used });
    for caution in cautions {
        told.entry(*caution).or_insert(pages.len());
    }
}

/// Page one, with the largest picture that leaves room for the rest; what does not go onto it begins page two.
fn front_pages(c: &Card, setter: &mut Setter, width: f64, height: f64) -> (Vec<Page>, Vec<Piece>, f64) {
    let head = setter.lay(&head(c), width);
    let apart = apart(c).map(|b| setter.lay(&b, width));
    let setups = setter.lay(&setups(c), width);
    let others: f64 = [Some(&head), apart.as_ref(), Some(&setups)].into_iter().flatten().map(|l| l.height_mm + GAP_MM).sum();
    let wide = setter.lay(&side(c, true), width).height_mm;
    let tall = |setter: &mut Setter, m: &front::Map| {
        if m.alone {
            return m.picture.height_mm + wide + 2.0;
        }
        let beside = setter.lay(&side(c, false), width - m.picture.width_mm - front::GUTTER_MM).height_mm;
        m.picture.height_mm.max(beside)
    };
    let fits = c.front.maps.iter().find(|m| others + tall(setter, m) <= height).or(c.front.maps.last());
    let top = fits.map(|m| setter.lay(&top(c, m), width));
    let (mut pages, mut now, mut used) = (Vec::new(), Vec::new(), 0.0);
    for laid in [Some(head), top, apart, Some(setups)].into_iter().flatten() {
        if !now.is_empty() && used + laid.height_mm > height {
            pages.push(Page { pieces: std::mem::take(&mut now), cautions: None, used });
            used = 0.0;
        }
        used += laid.height_mm + GAP_MM;
        now.push(Piece::block(laid, true));
    }
    if pages.is_empty() {
        pages.push(Page { pieces: std::mem::take(&mut now), cautions: None, used });
        used = 0.0;
    }
    (pages, now, used)
}

fn assembled(page: Page, last: bool, width: f64, height: f64) -> Laid {
    let slack = (height - page.used).max(0.0);
    let row_count = page.pieces.iter().filter(|p| p.table().is_some()).count();
    let starts = page.pieces.iter().filter(|p| p.start).count();
    // Room that is left goes to the rows, for what is written in them, and between the setups.
    let extra = match (last || row_count == 0, starts > 1) {
        (true, _) => 0.0,
        (false, true) => (slack * 0.5 / row_count as f64).min(MOST_EXTRA_MM),
        (false, false) => slack / row_count as f64,
    };
    let begun = page.pieces.iter().skip(1).filter(|p| p.start).count();
    let between = if last || begun == 0 { 0.0 } else { (slack - extra * row_count as f64).max(0.0) / begun as f64 };
    let mut out = Laid::room(width, height);
    let mut y = 0.0;
    if let Some(cautions) = page.cautions {
        let high = cautions.height_mm;
        out.put(0.0, y, cautions);
        y += high + GAP_MM;
    }
    let mut before: Option<Table> = None;
    for (i, piece) in page.pieces.into_iter().enumerate() {
        let table = piece.table();
        if before.is_some() && before != table {
            y += GAP_MM;
        }
        match piece.kind {
            Kind::Row(table, row, header) => {
                if before != Some(table)
                    && let Some(header) = header
                {
                    out.put(0.0, y, (*header).clone());
                    y += header.height_mm;
                }
                let laid = row.stretched(extra);
                let high = laid.height_mm;
                out.put(0.0, y, laid);
                y += high;
            }
            Kind::Block(laid) => {
                if piece.start && i > 0 {
                    y += between;
                }
                let high = laid.height_mm;
                out.put(0.0, y, laid);
                y += high + GAP_MM;
            }
        }
        before = table;
    }
    out
}

/// The head of a setup: its number and title, its time and steps.
fn sheet_head(s: &Sheet) -> Block {
    let mut left = vec![Block::heading(2, Words::of(s.head.n.as_str(), STRONG).and_gap(1.5).and(format!(" {}", s.head.title), STRONG))];
    if !s.head.sub.is_empty() {
        left.push(text(Words::of(s.head.sub.as_str(), NARROW)));
    }
    let mut right = vec![Block::right(Words::of(s.head.time.as_str(), STRONG))];
    if !s.head.steps.is_empty() {
        right.push(Block::right(Words::of(s.head.steps.as_str(), NARROW)));
    }
    let row = vec![Cell::of(Block::stack(1.6, left)), Cell::of(Block::stack(1.6, right))];
    let grid = Grid::side_by_side(vec![Track::Part(1.0), Track::Auto], 4.0, row).block();
    Block::Frame(Box::new(Frame::under_a_line(grid, WIDE, 1.6)))
}

/// What a sheet begins with: its head, what the drawings show, the tools to lay out.
fn sheet_top(s: &Sheet) -> Block {
    let mut blocks = vec![sheet_head(s)];
    if s.legend {
        blocks.push(text(Words::of(card::LEGEND, NARROW)));
    }
    if !s.tools.is_empty() {
        let each = s.tools.iter().map(|t| {
            let words = Words::of(t.name.as_str(), NARROW);
            if t.place.is_empty() { words } else { words.and(" ", NARROW).and(format!("({})", t.place), NARROW_STRONG) }
        });
        let words = Words::of(card::LAY_OUT, NARROW_STRONG).and(" ", NARROW).and_words(Words::joined(each, " · ", NARROW));
        blocks.push(text(words));
    }
    Block::stack(1.4, blocks)
}

/// A tool that is made or bought, with its drawing.
fn made(m: &Making) -> Block {
    let words = Words::of(m.words.as_str(), NARROW_BODY_STRONG).and_break().and(format!("{}.", m.dents), NARROW);
    let row =
        vec![Cell::of(Block::Laid(box_to_tick(4.8))), Cell::of(Block::right(Words::of(m.step.as_str(), BODY))), Cell::of(text(words))];
    let head = Grid::side_by_side(vec![Track::Mm(7.0), Track::Mm(9.0), Track::Part(1.0)], 1.0, row).block();
    Block::stack(1.8, [head].into_iter().chain(m.drawing.clone().map(Block::Picture)))
}

/// The blocks of tools that are made: two beside each other, unless a drawing takes the whole width.
fn making(s: &Sheet) -> Vec<Block> {
    if s.making.iter().any(|m| m.wide) {
        return s.making.iter().map(made).collect();
    }
    let two = |two: &[Making]| {
        let mut cells: Vec<Cell> = two.iter().map(|m| Cell::of(made(m))).collect();
        cells.resize_with(2, || Cell::of(Block::nothing()));
        Grid::side_by_side(vec![Track::Part(1.0); 2], 5.0, cells).block()
    };
    s.making.chunks(2).map(two).collect()
}

/// Of which kind a sheet's table is.
fn table_of(s: &Sheet) -> Table {
    match (s.checks, s.dents) {
        (true, _) => Table::Checks,
        (false, true) => Table::Dents,
        (false, false) => Table::Steps,
    }
}

fn sheet(c: &Card, s: &Sheet, setter: &mut Setter, width: f64) -> Vec<Piece> {
    let mut laid = setter.lay(&sheet_top(s), width);
    if let Some(picture) = &s.picture {
        laid.put_below(ABOVE_DRAWING_MM, setter.lay(&Block::Picture(picture.clone()), width));
    }
    let mut out = vec![Piece { keep: true, cautions: s.cautions.clone(), ..Piece::block(laid, true) }];
    if !s.making.is_empty() {
        out.extend(making(s).iter().map(|b| Piece::block(setter.lay(b, width), false)));
        return out;
    }
    let table = table_of(s);
    let grid = table.grid(c.unit);
    let widths = setter.column_widths(&grid, width);
    setter.within(Role::Table, |setter| {
        let header = grid.header.as_ref().map(|h| Rc::new(setter.lay_row(&grid, h, &widths, true, false).stretched(0.0)));
        for row in &s.rows {
            for (i, cells) in rows(table, row).iter().enumerate() {
                let first = out.len() == 1 && i == 0;
                let laid = setter.lay_row(&grid, cells, &widths, false, first);
                let kind = Kind::Row(table, laid, header.clone());
                out.push(Piece { kind, keep: false, start: false, cautions: row.cautions.clone() });
            }
        }
    });
    out
}

/// What is not done, and what is replaced.
fn rest_blocks(c: &Card) -> Vec<(bool, Block)> {
    let mut out = Vec::new();
    if !c.not_done.is_empty() {
        out.push((true, heading(c.not_done_title)));
        for n in &c.not_done {
            let words = Words::of(n.what.as_str(), NARROW_STRONG).and(" ", NARROW).and(n.because.as_str(), NARROW);
            out.push((false, text(if n.make.is_empty() { words } else { words.and(" ", NARROW).and(n.make.as_str(), NARROW) })));
        }
    }
    if !c.replacements.is_empty() {
        out.push((true, heading(card::REPLACE)));
        for r in &c.replacements {
            out.push((false, text(Words::of(r.head.as_str(), NARROW_STRONG).and(" ", NARROW).and(r.because.as_str(), NARROW))));
        }
    }
    out
}

fn rest(c: &Card, setter: &mut Setter, width: f64) -> Vec<Piece> {
    rest_blocks(c).into_iter().map(|(head, b)| Piece { keep: head, ..Piece::block(setter.lay(&b, width), head) }).collect()
}

/// Every block of the card, for whoever reads its texts: the picture of page one in every size that was tried.
pub(crate) fn each(c: &Card, visit: &mut dyn FnMut(&Block)) {
    visit(&head(c));
    visit(&side(c, true));
    apart(c).iter().for_each(&mut *visit);
    visit(&setups(c));
    c.front.maps.iter().for_each(|m| visit(&Block::Picture(m.picture.clone())));
    for s in &c.sheets {
        visit(&sheet_top(s));
        s.picture.iter().for_each(|p| visit(&Block::Picture(p.clone())));
        making(s).iter().for_each(&mut *visit);
        if s.making.is_empty() {
            let table = table_of(s);
            let grid = Grid { rows: s.rows.iter().flat_map(|r| rows(table, r)).collect(), ..table.grid(c.unit) };
            visit(&grid.block());
        }
    }
    caution_box(&c.cautions, &Told::new()).iter().for_each(&mut *visit);
    rest_blocks(c).iter().for_each(|(_, b)| visit(b));
}
