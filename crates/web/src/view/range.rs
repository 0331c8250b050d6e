//! A range drawn: a bar from the lower to the upper end with a dot at the middle, on an axis from zero that a column shares; a
//! tick stands at a limit, and what lies beyond it is hatched.

use maud::{Markup, html};
use units::Figure;

/// Width of the drawing in its own units; it is stretched to its column.
const WIDTH: f64 = 200.0;

/// The drawn range. `most` is the axis' far end, the same for all of a column; `words` are what a screen reader says.
pub fn range(f: &Figure, most: f64, limit: Option<f64>, words: &str) -> Markup {
    let most = if most > 0.0 { most } else { 1.0 };
    let x = |v: f64| format!("{:.1}", (v / most).clamp(0.0, 1.0) * WIDTH);
    let beyond = limit.filter(|l| f.high > *l);
    html! {
        svg.range viewBox={ "0 0 " (WIDTH) " 20" } preserveAspectRatio="none" role="img" aria-label=(words) {
            line.axis x1="0" x2=(WIDTH) y1="10" y2="10" {}
            line.bar x1=(x(f.low)) x2=(x(f.high.min(limit.unwrap_or(f.high)))) y1="10" y2="10" {}
            @if let Some(limit) = beyond { line.beyond x1=(x(limit)) x2=(x(f.high)) y1="10" y2="10" {} }
            line.dot x1=(x(f.value)) x2=(x(f.value)) y1="4" y2="16" {}
            @if let Some(limit) = limit { line.limit x1=(x(limit)) x2=(x(limit)) y1="1" y2="19" {} }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::range;
    use units::{Figure, Reason, Source, Unit};

    fn of(low: f64, value: f64, high: f64) -> Figure {
        let reason = Reason { formula: "".into(), source: Source::common_practice("a test"), inputs: vec![] };
        Figure { value, low, high, unit: Unit::N, reason }
    }

    #[test]
    fn bars_share_the_axis_and_what_passes_the_limit_is_told_apart() {
        let drawn = range(&of(50.0, 100.0, 200.0), 400.0, Some(150.0), "force").into_string();
        assert!(drawn.contains(r#"class="bar" x1="25.0" x2="75.0""#), "{drawn}");
        assert!(drawn.contains(r#"class="beyond" x1="75.0" x2="100.0""#) && drawn.contains(r#"class="limit" x1="75.0""#), "{drawn}");
        let inside = range(&of(50.0, 100.0, 140.0), 400.0, Some(150.0), "force").into_string();
        assert!(!inside.contains("beyond") && inside.contains(r#"x2="70.0""#), "{inside}");
    }

    #[test]
    fn nothing_is_drawn_outside() {
        let drawn = range(&of(-5.0, f64::NAN, 900.0), 0.0, None, "").into_string();
        assert!(!drawn.contains("x2=\"900"), "{drawn}");
    }
}
