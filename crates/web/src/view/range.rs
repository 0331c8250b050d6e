//! A range drawn: a bar from the lower to the upper end with a dot at the middle, on an axis from zero that a column shares; a
//! tick stands at a limit, and what lies beyond it is hatched. Places are parts of the column's width, so that lines and dot keep
//! their size however wide it is.

use maud::{Markup, html};
use units::Figure;

/// The drawn range. `most` is the axis' far end, the same for all of a column; `words` are what a screen reader says.
pub fn range(f: &Figure, most: f64, limit: Option<f64>, words: &str) -> Markup {
    let most = if most > 0.0 { most } else { 1.0 };
    let part = |v: f64| if v.is_finite() { (v / most).clamp(0.0, 1.0) * 100.0 } else { 0.0 };
    let x = |v: f64| format!("{:.1}%", part(v));
    let wide = |from: f64, to: f64| format!("{:.1}%", (part(to) - part(from)).max(0.0));
    let beyond = limit.filter(|l| f.high > *l);
    html! {
        svg.range role="img" aria-label=(words) {
            line.axis x1="0" x2="100%" y1="10" y2="10" {}
            rect.bar x=(x(f.low)) width=(wide(f.low, f.high.min(limit.unwrap_or(f.high)))) y="8" height="4" {}
            @if let Some(limit) = beyond { line.beyond x1=(x(limit)) x2=(x(f.high)) y1="10" y2="10" {} }
            circle.dot cx=(x(f.value)) cy="10" r="5" {}
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
        assert!(drawn.contains(r#"class="bar" x="12.5%" width="25.0%""#), "{drawn}");
        assert!(drawn.contains(r#"class="beyond" x1="37.5%" x2="50.0%""#) && drawn.contains(r#"class="limit" x1="37.5%""#), "{drawn}");
        let inside = range(&of(50.0, 100.0, 140.0), 400.0, Some(150.0), "force").into_string();
        assert!(!inside.contains("beyond") && inside.contains(r#"width="22.5%""#), "{inside}");
    }

    #[test]
    fn nothing_is_drawn_outside() {
        let drawn = range(&of(-5.0, f64::NAN, 900.0), 0.0, None, "").into_string();
        assert!(drawn.contains(r#"class="bar" x="0.0%" width="100.0%""#) && drawn.contains(r#"class="dot" cx="0.0%""#), "{drawn}");
    }
}
