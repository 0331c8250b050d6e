//! Cautions on the pages of the card: in words on the first page that needs them; on later pages by name, with the page of the words.

use super::pages::text;
use super::words as card;
use crate::look::{CAUTION, NARROW, NARROW_STRONG, thin, wide};
use paper::{Block, Frame, Laid, Shape, Words};
use plan::Caution;
use std::collections::BTreeMap;

/// On which page each caution stands in words.
pub(super) type Told = BTreeMap<Caution, usize>;

/// The sign before a caution: a triangle with its mark.
pub(super) fn triangle() -> Laid {
    let pen = thin(CAUTION);
    Laid::room(3.4, 3.0)
        .and_shape(0.0, 0.0, Shape::Polygon(vec![(0.0, 3.0), (1.7, 0.0), (3.4, 3.0)], pen))
        .and_shape(1.7, 1.0, Shape::Line(0.0, 1.0, wide(CAUTION)))
        .and_shape(1.7, 2.3, Shape::Line(0.0, 0.35, wide(CAUTION)))
}

fn signed() -> Words {
    Words::default().and_box(triangle(), 0.3).and(" ", NARROW)
}

/// The cautions of a page in a box; nothing where it has none.
pub(super) fn caution_box(cautions: &[Caution], told: &Told) -> Option<Block> {
    let (known, new): (Vec<Caution>, Vec<Caution>) = cautions.iter().partition(|c| told.contains_key(c));
    let last = new.last().copied();
    let mut lines: Vec<Words> = new
        .iter()
        .map(|c| {
            let words = signed().and(card::capital(c.name()), NARROW_STRONG).and(" ", NARROW).and(c.text(), NARROW);
            if Some(*c) == last { words.and(" ", NARROW).and(plan::DEFERS, NARROW) } else { words }
        })
        .collect();
    if !known.is_empty() {
        let mut pages: Vec<usize> = known.iter().filter_map(|c| told.get(c).copied()).collect();
        pages.sort_unstable();
        pages.dedup();
        let pages = pages.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
        let names = Words::joined(known.iter().map(|c| Words::of(card::capital(c.name()), NARROW_STRONG)), ", ", NARROW);
        lines.push(signed().and_words(names).and(format!(": {} {pages}.", card::AGAIN), NARROW));
    }
    if lines.is_empty() {
        return None;
    }
    let block = Block::stack(0.8, lines.into_iter().map(text));
    let thin = Some(thin(CAUTION));
    Some(Block::Frame(Box::new(Frame { block, edges: [thin, thin, thin, Some(wide(CAUTION))], inset_mm: (1.6, 1.2, 1.4) })))
}
