//! Charts: to scale, readable on a phone and on paper, and grey where there is little to say.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests

use draw::Drawing;
use draw::chart::{
    BeforeAfterRow, CrackRow, FEW_STEPS, HeatMark, HeatView, RatioRow, ReliabilityPoint, TimeRow, before_after_chart, crack_chart,
    heat_chart, ratio_chart, reliability_chart, time_chart,
};
use fixtures::drawn::{faults, number, texts};
use roxmltree::{Document, Node};
use units::LengthUnit;

/// Widths in use, mm: a phone's, half a page's and a page's.
const WIDTHS_MM: [f64; 3] = [76.0, 89.0, 184.0];

#[track_caller]
fn readable(drawing: &Drawing) {
    let faults = faults(&drawing.svg);
    assert!(faults.is_empty(), "{faults:#?}");
    // No pies, gauges, gradients.
    assert!(!drawing.svg.contains("Gradient") && !drawing.svg.contains("<path"));
}

/// The dots: middle, and whether they are filled.
fn dots(document: &Document) -> Vec<((f64, f64), bool, String)> {
    let dot =
        |n: Node| ((number(&n, "cx"), number(&n, "cy")), n.attribute("fill") != Some("#ffffff"), n.attribute("stroke").unwrap().to_owned());
    document.descendants().filter(|n| n.has_tag_name("circle")).map(dot).collect()
}

/// Lines of half a millimeter: their ends.
fn wide(document: &Document) -> Vec<[f64; 4]> {
    let is = |n: &Node| n.has_tag_name("line") && number(n, "stroke-width") == 0.5;
    document.descendants().filter(is).map(|n| ["x1", "y1", "x2", "y2"].map(|a| number(&n, a))).collect()
}

#[test]
fn a_bar_of_time_is_as_long_as_its_minutes() {
    let row = |name: &str, minutes| TimeRow { name: name.to_owned(), minutes, shown: "1 h".to_owned() };
    let rows = [
        row("1 Clean", (10.0, 20.0, 40.0)),
        row("2–4 Take apart by flame, with a name that is longer than its column", (20.0, 50.0, 100.0)),
    ];
    for width in WIDTHS_MM {
        let drawing = time_chart(&rows, width);
        readable(&drawing);
        let document = Document::parse(&drawing.svg).unwrap();
        let (bars, dots) = (wide(&document), dots(&document));
        assert_eq!((bars.len(), dots.len()), (2, 2));
        let long = |b: &[f64; 4]| b[2] - b[0];
        // 80 min to 30 min.
        assert!((long(&bars[1]) / long(&bars[0]) - 80.0 / 30.0).abs() < 0.01);
        // The axis begins at zero: a dot at 50 min lies two and a half times as far from it as one at 20.
        let zero = document.descendants().filter(|n| n.has_tag_name("line")).map(|n| number(&n, "x1")).fold(f64::MAX, f64::min);
        assert!(((dots[1].0.0 - zero) / (dots[0].0.0 - zero) - 2.5).abs() < 0.01);
    }
}

#[test]
fn cold_is_hollow_and_annealed_filled_on_one_axis_with_what_is_accepted() {
    let row = |label: &str, cold, annealed| CrackRow { label: label.to_owned(), cold, annealed, shown: "< 1 %".to_owned() };
    let rows = [row("d1", 0.30, 0.05), row("d2", 0.10, 0.001)];
    for width in WIDTHS_MM {
        let drawing = crack_chart(&rows, 0.10, width);
        readable(&drawing);
        let document = Document::parse(&drawing.svg).unwrap();
        let dots = dots(&document);
        assert_eq!(dots.iter().map(|d| d.1).collect::<Vec<_>>(), [false, true, false, true]);
        // The second dent worked cold lies on the line.
        let line = wide(&document)[0];
        assert!((line[0] - line[2]).abs() < 1e-6 && (line[0] - dots[2].0.0).abs() < 0.01, "{line:?} {dots:?}");
        let zero = 0.5 * (3.0 * dots[2].0.0 - dots[0].0.0);
        assert!(((dots[1].0.0 - zero) / (dots[0].0.0 - zero) - 0.05 / 0.30).abs() < 0.01, "one axis from zero");
        let words: Vec<String> = texts(&document).into_iter().map(|t| t.0).collect();
        assert!(words.join(" ").contains("The line: 10 % is accepted."), "{words:?}");
    }
}

#[test]
fn a_neighbor_lies_at_its_distance_and_its_tick_at_its_melting_point() {
    let along = [(-80.0, 40.0), (-20.0, 120.0), (-6.0, 280.0), (6.0, 280.0), (30.0, 110.0), (90.0, 40.0)];
    let mark = |number, x_mm, melts_degc| HeatMark { number, x_mm, degc: (90.0, 110.0, 140.0), melts_degc };
    let marks = [mark(1, 30.0, 183.0), mark(2, 31.0, 183.0), mark(3, -60.0, 221.0)];
    for unit in [LengthUnit::Mm, LengthUnit::Inch] {
        let view = HeatView { along: &along, target_degc: 280.0, marks: &marks, unit };
        for width in WIDTHS_MM {
            let drawing = heat_chart(&view, width);
            readable(&drawing);
            let document = Document::parse(&drawing.svg).unwrap();
            let dots = dots(&document);
            assert_eq!(dots.len(), 3);
            // 91 mm apart on the tube, as the curve's own ends are 170.
            let curve: Vec<f64> = document
                .descendants()
                .filter(|n| n.has_tag_name("polyline"))
                .flat_map(|n| {
                    n.attribute("points")
                        .unwrap()
                        .split(' ')
                        .map(|p| p.split(',').next().unwrap().parse::<f64>().unwrap())
                        .collect::<Vec<_>>()
                })
                .collect();
            let span = curve.iter().copied().fold(f64::MIN, f64::max) - curve.iter().copied().fold(f64::MAX, f64::min);
            assert!(((dots[1].0.0 - dots[2].0.0) / span - 91.0 / 170.0).abs() < 0.005);
            // A tick that melts higher stands higher, by its degrees: from 110 to 183 against 110 to 221.
            let ticks: Vec<[f64; 4]> = wide(&document).into_iter().filter(|l| (l[1] - l[3]).abs() < 1e-6).collect();
            assert_eq!(ticks.len(), 3);
            let over = |tick: &[f64; 4], dot: f64| dot - tick[1];
            assert!((over(&ticks[2], dots[2].0.1) / over(&ticks[0], dots[0].0.1) - (221.0 - 110.0) / (183.0 - 110.0)).abs() < 0.01);
        }
    }
}

#[test]
fn twice_and_half_lie_equally_far_and_few_steps_are_grey() {
    let row = |name: &str, steps, ratio| RatioRow { name: name.to_owned(), steps, ratio };
    let rows = [
        row("Clean", FEW_STEPS, (1.0, 2.0, 2.5)),
        row("Open joint", FEW_STEPS, (0.4, 0.5, 0.9)),
        row("Anneal", FEW_STEPS - 1, (0.8, 1.0, 1.3)),
        row("Never planned", 3, (f64::NAN, f64::NAN, f64::NAN)),
    ];
    // Said once more so that nobody changes it by a slip: the look asks for grey below ten.
    assert_eq!(FEW_STEPS, 10);
    for width in WIDTHS_MM {
        let drawing = ratio_chart(&rows, width);
        readable(&drawing);
        let document = Document::parse(&drawing.svg).unwrap();
        let dots = dots(&document);
        assert_eq!(dots.len(), 3);
        let one = dots[2].0.0;
        assert!(((dots[0].0.0 - one) + (dots[1].0.0 - one)).abs() < 0.01 && dots[0].0.0 > one + 3.0, "{dots:?}");
        assert!(dots[0].1 && dots[0].2 == "#171c1b" && !dots[2].1 && dots[2].2 == "#4a5351");
    }
}

#[test]
fn before_is_hollow_after_is_filled_and_both_stand_on_one_axis_from_zero() {
    let row = |name: &str, before, after, few| BeforeAfterRow { name: name.to_owned(), before, after, shown: "41".to_owned(), few };
    let rows = [
        row("Clean", (15.0, 25.0, 45.0), (20.0, 30.0, 50.0), false),
        row("Dent, by a mandrel, with a name that is longer than its column", (4.0, 8.0, 20.0), (6.0, 10.0, 24.0), true),
    ];
    for width in WIDTHS_MM {
        let drawing = before_after_chart(&rows, width);
        readable(&drawing);
        let document = Document::parse(&drawing.svg).unwrap();
        let (bars, dots) = (wide(&document), dots(&document));
        assert_eq!(dots.iter().map(|d| d.1).collect::<Vec<_>>(), [false, true, false, true]);
        let long = |b: &[f64; 4]| b[2] - b[0];
        // 30 minutes, 30, 16, 18.
        assert!(
            (long(&bars[0]) / long(&bars[2]) - 30.0 / 16.0).abs() < 0.01 && (long(&bars[3]) / long(&bars[1]) - 18.0 / 30.0).abs() < 0.01
        );
        // From zero: 25 lies two and a half times as far as 10.
        let zero = document.descendants().filter(|n| n.has_tag_name("line")).map(|n| number(&n, "x1")).fold(f64::MAX, f64::min);
        assert!(((dots[0].0.0 - zero) / (dots[3].0.0 - zero) - 2.5).abs() < 0.01);
        assert!(dots[1].2 == "#171c1b" && dots[3].2 == "#4a5351");
    }
}

#[test]
fn what_holds_as_often_as_was_said_lies_on_the_diagonal() {
    let point = |said, held| ReliabilityPoint { said, held, interval: (0.8 * held, held + 0.2 * (1.0 - held)) };
    let points = [point(0.1, 0.1), point(0.5, 0.3), point(0.9, 0.9)];
    for width in WIDTHS_MM {
        let drawing = reliability_chart(&points, false, width);
        readable(&drawing);
        let document = Document::parse(&drawing.svg).unwrap();
        let (bars, dots) = (wide(&document), dots(&document));
        assert_eq!((bars.len(), dots.len()), (3, 3));
        let [(a, _, _), (b, _, _), (c, _, _)] = [&dots[0], &dots[1], &dots[2]];
        // As far right as up, and what held less often than was said lies lower than the diagonal.
        assert!(((c.0 - a.0) - (a.1 - c.1)).abs() < 0.01 && (b.1 - a.1) > -(b.0 - a.0) + 1.0, "{dots:?}");
        // The bar of the middle: from 0.24 to 0.44 of the side.
        assert!(((bars[1][1] - bars[1][3]).abs() / (c.0 - a.0) - 0.20 / 0.80).abs() < 0.01, "{bars:?}");
    }
}
