//! Widths of text against another shaper, and the file against the standard's own names.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{PLAIN, letters, line, one, read, set};
use paper::{Block, Bullets, Cell, Flow, Grid, Picture, Rules, Track, Type, Words};

const MM_PER_PT: f64 = 25.4 / 72.0;

/// How wide rustybuzz sets a text, mm.
fn wide(font: &[u8], text: &str, size_pt: f64) -> f64 {
    let face = rustybuzz::Face::from_slice(font, 0).unwrap();
    let mut buffer = rustybuzz::UnicodeBuffer::new();
    buffer.push_str(text);
    let tabular: rustybuzz::Feature = "tnum".parse().unwrap();
    let shaped = rustybuzz::shape(&face, &[tabular], buffer);
    let units: i32 = shaped.glyph_positions().iter().map(|p| p.x_advance).sum();
    f64::from(units) / f64::from(face.units_per_em()) * size_pt * MM_PER_PT
}

/// Against rustybuzz 0.20, another shaper of OpenType than the one that sets papers: advances, kerning, tabular digits, in every cut.
#[test]
fn a_text_is_as_wide_as_another_shaper_says() {
    let fonts: [(Type, &[u8]); 4] = [
        (PLAIN, include_bytes!("../fonts/IBMPlexSans-Regular.ttf")),
        (PLAIN.strong(), include_bytes!("../fonts/IBMPlexSans-SemiBold.ttf")),
        (PLAIN.narrow(), include_bytes!("../fonts/IBMPlexSansCondensed-Regular.ttf")),
        (PLAIN.narrow().strong(), include_bytes!("../fonts/IBMPlexSansCondensed-SemiBold.ttf")),
    ];
    for (how, font) in fonts {
        for text in ["bottom bow to bell stem", "11.45 mm, 1 1/16 in", "AVATAR To fi fl office", "“stop” at 280 °C – half-round"] {
            for size in [8.5_f32, 13.0] {
                let paper = one(|s| s.lay(&Block::text(Words::of(text, how.sized(size))), 200.0));
                let set: f64 = letters(&paper.seen()[0]).iter().map(|l| l.3).sum();
                let wanted = wide(font, text, f64::from(size));
                assert!((set - wanted).abs() < 0.002 * wanted, "“{text}” in {how:?}: {set} mm, rustybuzz says {wanted}");
            }
        }
    }
}

/// The letters that the shop's own font lacks come from the other: no box stands for them.
#[test]
fn what_the_first_font_lacks_the_other_has() {
    for text in ["⌀ 12 →", "Ναυσικά", "שלום", "Привет"] {
        let document = read(&one(|s| s.lay(&line(text), 80.0)));
        let said = document.extract_text(&[1]).unwrap();
        let letters = |t: &str| {
            let mut all: Vec<char> = t.chars().filter(|c| !c.is_whitespace()).collect();
            all.sort_unstable();
            all
        };
        assert_eq!(letters(&said), letters(text), "{said}");
    }
}

/// ISO 32000-1, 14.8.4: the standard structure types, as a reader asks for them.
#[test]
fn parts_have_the_standards_names() {
    let table = Grid {
        header: Some(vec![Cell::of(line("step")), Cell::of(line("what"))]),
        rows: (0..60).map(|i| vec![Cell::of(line(&i.to_string())), Cell::of(line("heat"))]).collect(),
        rules: Rules::default(),
        table: true,
        ..Grid::side_by_side(vec![Track::Mm(20.0), Track::Part(1.0)], 0.0, vec![])
    };
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm"><path d="M1 1L9 9" stroke="black"/></svg>"#;
    let picture = Picture { svg: svg.into(), width_mm: 20.0, height_mm: 10.0, alt: "A line".to_owned() };
    let flows = [
        Flow::kept(Block::heading(1, Words::of("What comes apart", PLAIN)), 0.0, 2.0),
        Flow::block(line("A paragraph."), 2.0, 2.0),
        Flow::block(
            Block::Bullets(Bullets { items: vec![Words::of("one", PLAIN), Words::of("two", PLAIN)], how: PLAIN, gap_mm: 1.0 }),
            2.0,
            2.0,
        ),
        Flow::block(Block::Picture(picture), 2.0, 2.0),
        Flow::block(table.block(), 2.0, 0.0),
    ];
    let paper = set(&flows);
    assert!(paper.pages.len() > 1, "the table goes over a page");
    let document = read(&paper);
    let count = |kind: &[u8]| {
        let of = |o: &&lopdf::Object| {
            let Ok(d) = o.as_dict() else { return false };
            d.has(b"P") && d.get(b"S").and_then(lopdf::Object::as_name).is_ok_and(|n| n == kind)
        };
        document.objects.values().filter(of).count()
    };
    for (kind, wanted) in [("H1", 1), ("L", 1), ("LI", 2), ("LBody", 2), ("Table", 1), ("TR", 61), ("TH", 2), ("TD", 120), ("Figure", 1)] {
        assert_eq!(count(kind.as_bytes()), wanted, "{kind}");
    }
    let figure = document
        .objects
        .values()
        .filter_map(|o| o.as_dict().ok())
        .find(|d| d.get(b"S").and_then(lopdf::Object::as_name).is_ok_and(|n| n == b"Figure"));
    assert_eq!(figure.unwrap().get(b"Alt").and_then(lopdf::Object::as_str).unwrap(), b"A line");
    // Bookmarks: the headings.
    let outlines = document.catalog().unwrap().get(b"Outlines").unwrap();
    let (_, outlines) = document.dereference(outlines).unwrap();
    assert_eq!(outlines.as_dict().unwrap().get(b"Count").and_then(lopdf::Object::as_i64).unwrap().abs(), 1);
}
