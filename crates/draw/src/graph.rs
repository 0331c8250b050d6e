//! Two kinds of graph: a curve over frequency, and bars of cents by note. Values in, SVG out.

use crate::canvas::{BRASS, Canvas, Drawing, GREY, HURT, HURT_PALE, INK, Pen, Type};
use crate::chart::even;

/// A curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve<'a> {
    /// What it is, for the legend.
    pub name: &'a str,
    /// The points, in the order of their x.
    pub points: &'a [(f64, f64)],
    /// Whether it is dashed, so that two are told apart without color.
    pub dashed: bool,
}

/// A bar with its interval.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar<'a> {
    /// What stands under it.
    pub name: &'a str,
    /// Its height.
    pub value: f64,
    /// The interval's ends.
    pub low: f64,
    /// See above.
    pub high: f64,
}

/// Most lines of a grid; the steps make fewer.
const GRID: i32 = 60;

const LEFT_MM: f64 = 18.0;
const RIGHT_MM: f64 = 4.0;
const TOP_MM: f64 = 12.0;
const BOTTOM_MM: f64 = 13.0;
/// A line of the legend.
const LEGEND_MM: f64 = 4.6;

/// The size of an impedance over the frequency, both axes straight, from nought. `unit` names the upright axis. The title is drawn
/// where `headed`; where not it is told to who does not see it.
pub fn curves(title: &str, headed: bool, unit: &str, curves: &[Curve], width_mm: f64, height_mm: f64) -> Drawing {
    let mut c = Canvas::new(width_mm, height_mm);
    let legend: f64 = curves.iter().map(|c| 14.0 + Type::SMALL.width_mm(c.name)).sum();
    // Beside each other where they have room, else under each other.
    let beside = LEFT_MM + legend + 6.0 <= width_mm;
    let under_mm = if beside { 0.0 } else { LEGEND_MM * curves.len() as f64 };
    let finite = || curves.iter().flat_map(|c| c.points).filter(|p| p.0.is_finite() && p.1.is_finite());
    let right = finite().map(|p| p.0).fold(0.0, f64::max).clamp(1.0, 1e12);
    let top = finite().map(|p| p.1).fold(0.0, f64::max).clamp(1e-12, 1e100);
    let (w, h) = (width_mm - LEFT_MM - RIGHT_MM, height_mm - TOP_MM - BOTTOM_MM - under_mm);
    let place = |x: f64, y: f64| (LEFT_MM + w * x / right, TOP_MM + h * (1.0 - y / top));
    if headed {
        c.text((0.0, 4.5), title, Type::HEAD);
    }
    let across = even(right, w / 18.0).1;
    for x in (0..=GRID).map(|i| across * f64::from(i)).take_while(|x| *x <= right * 1.000_001) {
        c.line(place(x, 0.0), place(x, top), Pen::new(0.25, GREY));
        let at = place(x, 0.0);
        c.text((at.0, at.1 + 4.2), &format!("{x:.0}"), Type::SMALL.middle());
    }
    let up = even(top, h / 12.0).1;
    let exponent = top.log10().floor();
    for y in (0..=GRID).map(|i| up * f64::from(i)).take_while(|y| *y <= top * 1.000_001) {
        c.line(place(0.0, y), place(right, y), Pen::new(0.25, GREY));
        let at = place(0.0, y);
        c.text((at.0 - 1.5, at.1 + 1.0), &format!("{:.1}", y / 10_f64.powf(exponent)), Type::SMALL.end());
    }
    c.text((0.0, TOP_MM - 2.5), &format!("10^{exponent:.0} {unit}"), Type::SMALL);
    let foot_mm = TOP_MM + h + BOTTOM_MM - 2.0;
    c.text((LEFT_MM + w, foot_mm), "Hz", Type::SMALL.end());
    let mut at = (LEFT_MM, if beside { foot_mm } else { foot_mm + LEGEND_MM });
    for curve in curves {
        let pen = if curve.dashed { Pen::new(0.5, HURT).dashed("1.6 1") } else { Pen::new(0.5, INK) };
        let points: Vec<_> = curve.points.iter().filter(|p| p.0.is_finite() && p.1.is_finite()).map(|p| place(p.0, p.1)).collect();
        c.polyline(&points, pen);
        c.line((at.0, at.1 - 1.0), (at.0 + 8.0, at.1 - 1.0), pen);
        c.text((at.0 + 9.5, at.1), curve.name, Type::SMALL);
        if beside {
            at.0 += 14.0 + Type::SMALL.width_mm(curve.name);
        } else {
            at.1 += LEGEND_MM;
        }
    }
    c.finish(title)
}

/// Bars about nought with their intervals; the band from −`quiet` to `quiet` is shaded and named.
pub fn bars(title: &str, unit: &str, bars: &[Bar], quiet: (f64, &str), width_mm: f64, height_mm: f64) -> Drawing {
    let mut c = Canvas::new(width_mm, height_mm);
    let finite = |v: f64| if v.is_finite() { v } else { 0.0 };
    let most = bars.iter().flat_map(|b| [b.low, b.high, b.value]).map(|v| finite(v).abs()).fold(1.2 * quiet.0, f64::max).clamp(1.0, 1e6);
    let (w, h) = (width_mm - LEFT_MM - RIGHT_MM, height_mm - TOP_MM - BOTTOM_MM);
    let y = |v: f64| TOP_MM + h * (0.5 - 0.5 * finite(v) / most);
    c.text((0.0, 4.5), title, Type::HEAD);
    c.rect((LEFT_MM, y(quiet.0)), (w, y(-quiet.0) - y(quiet.0)), BRASS, Pen::new(0.0, BRASS));
    c.text((LEFT_MM + w - 1.0, y(quiet.0) + 3.4), quiet.1, Type::SMALL.end());
    let up = even(2.0 * most, h / 9.0).1;
    let least = -(most / up).floor();
    for at in (0..=GRID).map(|i| (least + f64::from(i)) * up).take_while(|at| *at <= most) {
        c.line((LEFT_MM, y(at)), (LEFT_MM + w, y(at)), Pen::new(0.25, GREY));
        c.text((LEFT_MM - 1.5, y(at) + 1.0), &if at.abs() < up / 2.0 { "0".to_owned() } else { format!("{at:+.0}") }, Type::SMALL.end());
    }
    c.line((LEFT_MM, y(0.0)), (LEFT_MM + w, y(0.0)), Pen::NARROW);
    c.text((0.0, TOP_MM - 2.5), unit, Type::SMALL);
    let pitch = w / bars.len().max(1) as f64;
    for (i, bar) in bars.iter().enumerate() {
        let x = LEFT_MM + pitch * (i as f64 + 0.5);
        let half = (0.3 * pitch).min(4.0);
        let (from, to) = (y(bar.value.max(0.0)), y(bar.value.min(0.0)));
        c.rect((x - half, from), (2.0 * half, to - from), HURT_PALE, Pen::new(0.25, HURT));
        c.line((x, y(bar.low)), (x, y(bar.high)), Pen::NARROW);
        for end in [bar.low, bar.high] {
            c.line((x - 1.0, y(end)), (x + 1.0, y(end)), Pen::NARROW);
        }
        c.text((x, height_mm - 7.0), bar.name, Type::SMALL.middle());
    }
    c.finish(title)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_values_give_well_formed_svg(
            points in proptest::collection::vec((proptest::num::f64::ANY, proptest::num::f64::ANY), 0..20),
            name in ".{0,12}",
        ) {
            let drawn = curves(&name, true, "Pa", &[Curve { name: &name, points: &points, dashed: true }], 160.0, 80.0);
            prop_assert!(roxmltree::Document::parse(&drawn.svg).is_ok());
            let all: Vec<Bar> = points.iter().map(|p| Bar { name: &name, value: p.0, low: p.1, high: p.0 }).collect();
            prop_assert!(roxmltree::Document::parse(&bars(&name, "cents", &all, (3.5, "not heard"), 160.0, 80.0).svg).is_ok());
        }
    }

    #[test]
    fn a_bar_stands_over_its_name() {
        let one = [Bar { name: "F4", value: -14.0, low: -18.0, high: -10.0 }];
        let svg = bars("Cents", "cents", &one, (3.5, "nobody hears it"), 120.0, 70.0).svg;
        assert!(svg.contains("F4") && svg.contains("nobody hears it"));
    }
}
