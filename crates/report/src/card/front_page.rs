//! Page one of the card as blocks: its head, the picture with what stands beside it, what comes apart, the setups.

use super::Card;
use super::cautions::triangle;
use super::front::GUTTER_MM;
use super::front::Map;
use super::pages::text;
use super::words as card;
use crate::look::{BODY, H1, H2, HAIRLINE, NARROW, NARROW_BODY, NARROW_STRONG, STOP, STRONG, THIN, WIDE, box_to_tick};
use paper::{Block, Cell, Frame, Grid, Rules, Track, Words};

/// A small heading over a block.
fn headed(words: &str, block: Block) -> Block {
    Block::stack(1.2, [heading(words), block])
}

/// A small heading.
pub(super) fn heading(words: &str) -> Block {
    Block::heading(2, Words::of(words, STRONG))
}

pub(super) fn head(c: &Card) -> Block {
    let mut left = vec![Block::heading(1, Words::of(c.about.title.as_str(), H1)), text(Words::of(c.about.instrument.as_str(), BODY))];
    let who: Vec<&str> = [&c.customer, &c.agreed, &c.surveyed].into_iter().filter(|w| !w.is_empty()).map(String::as_str).collect();
    if !who.is_empty() {
        left.push(text(Words::joined(who.into_iter().map(|w| Words::of(w, NARROW_BODY)), " · ", NARROW_BODY)));
    }
    let right = [Block::right(Words::of(c.about.shop.as_str(), STRONG)), Block::right(Words::of(c.about.kind.as_str(), NARROW))];
    let names = Grid::side_by_side(
        vec![Track::Part(1.0), Track::Auto],
        5.0,
        vec![Cell::of(Block::stack(1.7, left)), Cell::of(Block::stack(1.8, right))],
    );
    let total = |t: &super::front::Total| {
        let mut value = Words::of(t.value.as_str(), H2);
        if !t.note.is_empty() {
            value = value.and_gap(1.5).and(t.note.as_str(), NARROW);
        }
        Cell::of(Block::Frame(Box::new(Frame::under_a_line(Block::stack(1.4, [text(Words::of(t.name, NARROW)), text(value)]), WIDE, 1.2))))
    };
    let columns = (0..c.front.totals.len()).map(|i| Track::Part(if i == 0 { 1.9 } else { 1.0 })).collect();
    let totals = Grid::side_by_side(columns, 3.0, c.front.totals.iter().map(total).collect());
    Block::stack(2.4, [names.block(), totals.block()])
}

/// Blocks in columns of one height, the first column filled first.
fn in_columns(count: usize, gap_mm: f64, items: Vec<Block>) -> Block {
    let each = items.len().div_ceil(count.max(1)).max(1);
    let mut cells: Vec<Cell> = items.chunks(each).map(|c| Cell::of(Block::stack(gap_mm, c.to_vec()))).collect();
    cells.resize_with(count, || Cell::of(Block::nothing()));
    Grid::side_by_side(vec![Track::Part(1.0); count], 4.0, cells).block()
}

/// Beside the picture, or below it: what must not be done, what to watch, what to lay out.
pub(super) fn side(c: &Card, wide: bool) -> Block {
    let f = &c.front;
    let square =
        |color| Words::default().and_box(Block::square(2.4, color, if color.is_none() { Some(THIN) } else { None }), 0.1).and(" ", NARROW);
    let mut left = Vec::new();
    if !f.not.is_empty() {
        let lines = f.not.iter().map(|n| text(square(Some(STOP)).and(n.as_str(), NARROW)));
        left.push(headed(card::MUST_NOT, Block::stack(1.3, lines)));
    }
    if !f.numbers.is_empty() {
        let each = f.numbers.iter().map(|(label, name)| Words::of(label.as_str(), NARROW_STRONG).and(format!(" {name}"), NARROW));
        left.push(headed(card::NUMBERS, text(Words::joined(each, " · ", NARROW))));
    }
    if !f.plays.is_empty() {
        left.push(text(Words::of(card::PLAYS, NARROW_STRONG).and(" ", NARROW).and(f.plays.as_str(), NARROW)));
    }
    if !f.watch.is_empty() {
        let each = f.watch.iter().map(|(name, steps)| Words::default().and_whole(name, NARROW_STRONG).and(format!(" {steps}"), NARROW));
        let words = Words::default().and_box(triangle(), 0.3).and(" ", NARROW).and_words(Words::joined(each, " · ", NARROW));
        left.push(headed(card::WATCH, text(words)));
    }
    let mut right = Vec::new();
    if !f.tools.is_empty() {
        let tool = |t: &super::sheets::Laid| {
            let words = square(None).and(t.name.as_str(), NARROW);
            text(if t.place.is_empty() { words } else { words.and(" ", NARROW).and(t.place.as_str(), NARROW_STRONG) })
        };
        right.push(headed(card::TOOLS, in_columns(2, 1.2, f.tools.iter().map(tool).collect())));
    }
    if wide {
        let cells = vec![Cell::of(Block::stack(2.4, left)), Cell::of(Block::stack(2.4, right))];
        Grid::side_by_side(vec![Track::Part(1.0); 2], 5.0, cells).block()
    } else {
        Block::stack(2.4, left.into_iter().chain(right))
    }
}

/// The picture with what stands beside or below it.
pub(super) fn top(c: &Card, map: &Map) -> Block {
    let picture = Block::Picture(map.picture.clone());
    if map.alone {
        return Block::stack(2.0, [picture, side(c, true)]);
    }
    let columns = vec![Track::Mm(map.picture.width_mm), Track::Part(1.0)];
    Grid::side_by_side(columns, GUTTER_MM, vec![Cell::of(picture), Cell::of(side(c, false))]).block()
}

/// What comes apart, and each heat.
pub(super) fn apart(c: &Card) -> Option<Block> {
    let f = &c.front;
    if f.apart.is_empty() {
        return None;
    }
    let heads = card::apart_columns(c.unit);
    let right = [true, true, false, true, false];
    let cell = |i: usize, words: Words| Cell::of(if right[i] { Block::right(words) } else { text(words) });
    let rows = f.apart.iter().map(|a| {
        let words = [
            Words::of(a.open.as_str(), NARROW_STRONG),
            Words::of(a.close.as_str(), NARROW),
            Words::of(a.what.as_str(), NARROW),
            Words::of(a.to.as_str(), NARROW_STRONG),
            Words::of(a.protect.as_str(), NARROW),
        ];
        words.into_iter().enumerate().map(|(i, w)| cell(i, w)).collect()
    });
    let table = Grid {
        columns: vec![Track::Mm(12.0), Track::Mm(12.0), Track::Part(0.85), Track::Mm(15.0), Track::Part(1.5)],
        inset_mm: (1.0, 0.75, 0.9),
        rules: Rules { header: Some(WIDE), rows: Some(HAIRLINE), ..Rules::default() },
        header: Some(heads.into_iter().enumerate().map(|(i, w)| cell(i, Words::of(w, NARROW))).collect()),
        rows: rows.collect(),
        table: true,
        ..Grid::side_by_side(Vec::new(), 0.0, Vec::new())
    };
    let mut blocks = vec![heading(card::APART)];
    if !f.apart_held.is_empty() {
        blocks.push(text(Words::of(f.apart_held.as_str(), NARROW)));
    }
    blocks.push(table.block());
    Some(Block::stack(1.2, blocks))
}

pub(super) fn setups(c: &Card) -> Block {
    let one = |s: &super::front::SetupRow| {
        let mut lines = vec![text(Words::of(format!("{} {}", s.n, s.title), NARROW_STRONG).and(format!(" {}", s.time), NARROW))];
        if !s.tools.is_empty() {
            lines.push(text(Words::of(s.tools.as_str(), NARROW)));
        }
        let row = vec![Cell::of(Block::Laid(box_to_tick(4.0))), Cell::of(Block::stack(1.3, lines))];
        Grid::side_by_side(vec![Track::Mm(5.0), Track::Part(1.0)], 1.4, row).block()
    };
    headed(card::SETUPS, in_columns(c.front.setup_columns, 1.3, c.front.setups.iter().map(one).collect()))
}
