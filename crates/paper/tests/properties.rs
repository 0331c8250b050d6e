//! Whatever flows: nothing is lost, nothing lies on anything, nothing is beyond the page.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{PLAIN, SHEET, letters, line, one, read, set};
use paper::{Block, Cell, Columns, Flow, Foot, Grid, Setter, Track, Words};
use proptest::prelude::*;

/// A word by its number, so that order can be read off the page.
fn named(n: usize) -> String {
    format!("w{n}w")
}

/// Blocks of so many words, some kept with the next, in one column or two, some drawings' worth of room at the foot.
fn flows(shape: &[(u8, u8)]) -> (Vec<Flow>, usize) {
    let mut n = 0;
    let mut text = |words: u8| {
        let all: Vec<String> = (0..words.max(1))
            .map(|_| {
                n += 1;
                named(n)
            })
            .collect();
        line(&all.join(" "))
    };
    let mut out = Vec::new();
    for (kind, words) in shape {
        out.push(match kind % 6 {
            0 | 1 => Flow::block(text(*words), 2.0, 2.0),
            2 => Flow::kept(text(3), 5.0, 1.0),
            3 => Flow::Columns(Columns {
                count: 2,
                gap_mm: 4.0,
                flows: vec![Flow::block(text(*words), 1.0, 1.0), Flow::kept(text(2), 3.0, 1.0), Flow::block(text(*words / 2), 1.0, 1.0)],
            }),
            4 => {
                let rows = (0..=words % 7).map(|_| vec![Cell::of(text(2)), Cell::of(text(*words / 4))]).collect();
                let grid = Grid {
                    header: Some(vec![Cell::of(line("head")), Cell::of(line("head"))]),
                    rows,
                    table: true,
                    ..Grid::side_by_side(vec![Track::Auto, Track::Part(1.0)], 2.0, vec![])
                };
                Flow::block(grid.block(), 2.0, 2.0)
            }
            _ => Flow::Foot(Foot { block: Block::stack(0.0, [text(2), Block::Space(f64::from(words % 40))]), clear_mm: 3.0 }),
        });
    }
    out.push(Flow::block(text(1), 0.0, 0.0));
    (out, n)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Every word is set once, within the margins, and no two lie on each other.
    #[test]
    fn nothing_is_lost_and_nothing_lies_on_anything(shape in prop::collection::vec((any::<u8>(), 1u8..60), 1..14)) {
        let (flows, count) = flows(&shape);
        let paper = set(&flows);
        let mut found = vec![0; count + 1];
        for page in paper.seen() {
            let lines = letters(&page);
            for (i, (text, x, y, width)) in lines.iter().enumerate() {
                for w in text.split_whitespace().filter(|w| *w != "head") {
                    found[w.trim_matches('w').parse::<usize>().unwrap()] += 1;
                }
                prop_assert!(*x >= SHEET.margin_mm - 0.01 && x + width <= SHEET.width_mm - SHEET.margin_mm + 0.01, "{text} at {x} {width}");
                prop_assert!(*y > SHEET.margin_mm && *y <= SHEET.height_mm - SHEET.margin_mm + 0.01, "{text} at {y}");
                for (other, ox, oy, ow) in &lines[..i] {
                    // A line of 10 pt is 2.4 mm high.
                    let apart = (y - oy).abs() > 2.4 || x + width <= ox + 0.01 || ox + ow <= x + 0.01;
                    prop_assert!(apart, "{text} lies on {other}");
                }
            }
        }
        prop_assert!(found[1..].iter().all(|n| *n == 1), "{found:?}");
    }

    /// A page ends only where the next piece had no room, and a block that stays with the next is never the last of a page.
    #[test]
    fn pages_are_used(blocks in prop::collection::vec((1u8..40, any::<bool>()), 2..30)) {
        let flows: Vec<Flow> = blocks.iter().enumerate().map(|(i, (words, keep))| {
            let text: Vec<String> = (0..*words).map(|_| named(i)).collect();
            let block = line(&text.join(" "));
            if *keep && i + 1 < blocks.len() { Flow::kept(block, 2.0, 2.0) } else { Flow::block(block, 2.0, 2.0) }
        }).collect();
        let paper = set(&flows);
        let pages: Vec<Vec<(String, f64, f64, f64)>> = paper.seen().iter().map(|p| letters(p)).collect();
        let number = |l: &(String, f64, f64, f64)| l.0.split_whitespace().next().unwrap().trim_matches('w').parse::<usize>().unwrap();
        let high: f64 = paper.pages.iter().map(|p| p.height_mm).fold(0.0, f64::max);
        prop_assert!((high - SHEET.printed_mm().1).abs() < 1e-9);
        for two in pages.windows(2) {
            let (last, next) = (number(two[0].last().unwrap()), number(&two[1][0]));
            let same_page = pages.iter().filter(|p| p.iter().any(|l| number(l) == last)).count() == 1;
            // A chain that is higher than a page is cut somewhere.
            let chain = blocks[..=last].iter().rev().take_while(|b| b.1).map(|b| usize::from(b.0)).sum::<usize>();
            if last != next && same_page && blocks[last].1 && chain < 60 {
                prop_assert!(two[0].len() < 4 || chain > 40, "block {last} is left alone at the foot of its page");
            }
        }
    }

    /// What is set can be read again: letters of several scripts, ligatures, digits. Brackets are left out: between letters that run from
    /// right to left one sign stands for both, which the file says in a way (`ActualText`) that this reader does not know.
    #[test]
    fn what_is_set_can_be_read(text in "[a-zA-Z0-9éüßñ€°⌀→½ fiflа-яΑ-ΡΣ-Ωא-ת,.;:/+–“”]{1,60}") {
        let paper = one(|s| s.lay(&line(&text), 80.0));
        let said = read(&paper).extract_text(&[1]).unwrap();
        let sorted = |t: &str| { let mut all: Vec<char> = t.chars().filter(|c| !c.is_whitespace()).collect(); all.sort_unstable(); all };
        prop_assert_eq!(sorted(&said), sorted(&text));
    }

    /// Columns take the room that there is, and none is narrower than nothing.
    #[test]
    fn columns_fill_their_room(tracks in prop::collection::vec((0u8..3, 1.0..30.0f64), 1..7), words in prop::collection::vec(1u8..12, 7)) {
        let columns: Vec<Track> = tracks.iter().map(|(k, x)| match k { 0 => Track::Mm(*x / 4.0), 1 => Track::Auto, _ => Track::Part(*x) }).collect();
        let row = words.iter().take(columns.len()).map(|n| Cell::of(line(&"word ".repeat(usize::from(*n))))).collect();
        let grid = Grid::side_by_side(columns.clone(), 2.0, row);
        let mut setter = Setter::default();
        let widths = setter.column_widths(&grid, 80.0);
        let sum: f64 = widths.iter().sum::<f64>() + 2.0 * (widths.len() as f64 - 1.0);
        prop_assert!(widths.iter().all(|w| *w >= 0.0) && sum <= 80.0 + 1e-6, "{widths:?}");
        if columns.iter().any(|t| matches!(t, Track::Part(_))) {
            prop_assert!((sum - 80.0).abs() < 1e-6, "{widths:?}");
        }
    }
}

/// A paragraph's words stay in their order, whatever the width.
#[test]
fn lines_keep_the_order_of_words() {
    let text: Vec<String> = (0..200).map(named).collect();
    for width in [12.0, 30.0, 80.0] {
        let paper = one(|s| s.lay(&Block::text(Words::of(text.join(" "), PLAIN)), width));
        let said: Vec<String> =
            letters(&paper.seen()[0]).into_iter().flat_map(|l| l.0.split_whitespace().map(str::to_owned).collect::<Vec<_>>()).collect();
        assert_eq!(said, text, "{width} mm");
    }
}

/// A heading is not left at the foot of a page.
#[test]
fn a_heading_stays_with_its_text() {
    for lines in 20..40 {
        let mut flows: Vec<Flow> = (0..lines).map(|_| Flow::block(line("text"), 1.0, 1.0)).collect();
        flows.push(Flow::kept(line("heading"), 4.0, 2.0));
        flows.push(Flow::block(line("first"), 1.0, 1.0));
        for page in set(&flows).seen() {
            let said: Vec<String> = letters(&page).into_iter().map(|l| l.0).collect();
            assert_eq!(said.contains(&"heading".to_owned()), said.contains(&"first".to_owned()), "after {lines} lines");
        }
    }
}

/// Nor where drawings take the foot of the page to which it goes.
#[test]
fn a_heading_stays_with_its_text_over_a_drawing() {
    for high in [20.0, 60.0, 90.0, 97.0] {
        for lines in 10..30 {
            let drawing = || Flow::Foot(Foot { block: Block::Space(high), clear_mm: 3.0 });
            let mut flows = vec![drawing(), drawing()];
            flows.extend((0..lines).map(|_| Flow::block(line("text"), 1.0, 1.0)));
            flows.push(Flow::kept(line("heading"), 4.0, 2.0));
            flows.push(Flow::block(line("first"), 1.0, 1.0));
            for page in set(&flows).seen() {
                let said: Vec<String> = letters(&page).into_iter().map(|l| l.0).collect();
                assert_eq!(said.contains(&"heading".to_owned()), said.contains(&"first".to_owned()), "after {lines} lines, {high} mm");
            }
        }
    }
}

/// The head of a table stands on each of its pages, and is heard once.
#[test]
fn the_head_of_a_table_stands_on_each_of_its_pages() {
    let rows = (0..120).map(|i| vec![Cell::of(line(&named(i)))]).collect();
    let grid =
        Grid { header: Some(vec![Cell::of(line("head"))]), rows, table: true, ..Grid::side_by_side(vec![Track::Part(1.0)], 0.0, vec![]) };
    let paper = set(&[Flow::block(line("before"), 0.0, 2.0), Flow::block(grid.block(), 2.0, 0.0)]);
    assert!(paper.pages.len() > 2);
    for page in paper.seen() {
        assert_eq!(letters(&page).iter().filter(|l| l.0 == "head").count(), 1);
    }
}

/// A drawing that cannot be read is refused with words.
#[test]
fn a_drawing_that_is_none_is_refused() {
    let picture = paper::Picture { svg: "<svg".into(), width_mm: 10.0, height_mm: 10.0, alt: String::new() };
    let refused = one(|s| s.lay(&Block::Picture(picture), 80.0)).pdf(&paper::Titled::default()).unwrap_err();
    assert!(refused.0.contains("no SVG"), "{refused}");
}

/// A name in letters that no font has is set with boxes for them; the file then claims no PDF/UA (ISO 14289-1, 7.21.8: no undefined glyph).
#[test]
fn letters_that_no_font_has_refuse_no_paper() {
    let claims = |text: &str| {
        let paper = one(|s| s.lay(&Block::heading(1, Words::of(text, PLAIN)), 80.0));
        let titled = paper::Titled { title: text.to_owned(), author: String::new() };
        let pdf = paper.pdf(&titled).unwrap();
        assert_eq!(lopdf::Document::load_mem(&pdf).unwrap().get_pages().len(), 1);
        pdf.windows(12).any(|w| w == b"pdfuaid:part")
    };
    assert!(claims("Ox tuba") && !claims("大号"));
}
