//! A signature as it was drawn with a finger.

use crate::canvas::Drawing;

/// The field that the strokes are drawn in.
const FIELD: (f64, f64) = (600.0, 160.0);
/// How wide it stands on paper, mm.
const WIDTH_MM: f64 = 60.0;

/// The picture of straight strokes in a field of 600 by 160: SVG path data of `M` and `L` with numbers. None where there are no
/// strokes, or the text is anything else.
pub fn signature(strokes: &str) -> Option<Drawing> {
    let plain = strokes.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'M' | b'L' | b' ' | b'-' | b'.'));
    if strokes.is_empty() || !plain {
        return None;
    }
    let (w, h) = FIELD;
    let within = format!("<path d=\"{strokes}\" fill=\"none\" stroke=\"#111\" stroke-width=\"2.5\"/>");
    let height_mm = WIDTH_MM * h / w;
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH_MM}mm\" height=\"{height_mm}mm\" viewBox=\"0 0 {w} {h}\">{within}</svg>"
    );
    Some(Drawing { svg, within, width_mm: WIDTH_MM, height_mm })
}

#[cfg(test)]
mod tests {
    use super::signature;

    #[test]
    fn strokes_and_nothing_else() {
        assert!(signature("M1 2L3.5 4").is_some_and(|d| d.svg.contains("M1 2L3.5 4")));
        // As wide as on paper, and as high as the field that it was drawn in: 600 by 160.
        assert!(signature("M1 2L3 4").is_some_and(|d| d.width_mm == 60.0 && d.height_mm == 16.0));
        assert!(signature("").is_none());
        assert!(signature("M1 2\"/><script>").is_none());
    }
}
