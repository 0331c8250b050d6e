//! A QR code as an element of a page.

use maud::{Markup, html};
use qrcode::{Color, QrCode};
use std::fmt::Write as _;

/// Light modules that must stand round a code (ISO/IEC 18004).
const QUIET: usize = 4;
/// Pixels that a code is wide at least: read from a label at arm's length.
const LEAST_PX: usize = 220;

/// The code, black on white; `words` are read out by screen readers.
pub fn qr(code: &QrCode, words: &str) -> Markup {
    let side = code.width() + 2 * QUIET;
    let px = side * LEAST_PX.div_ceil(side);
    let view = format!("0 0 {side} {side}");
    html! {
        svg viewBox=(view) width=(px) height=(px) role="img" aria-label=(words) shape-rendering="crispEdges" {
            rect width=(side) height=(side) fill="#ffffff" {}
            path d=(dark(code)) fill="#000000" {}
        }
    }
}

/// The dark modules, a square each.
fn dark(code: &QrCode) -> String {
    let (width, mut path) = (code.width(), String::new());
    for (i, _) in code.to_colors().iter().enumerate().filter(|(_, c)| **c == Color::Dark) {
        // Writing to a String cannot fail.
        let _ = write!(path, "M{} {}h1v1h-1z", QUIET + i % width, QUIET + i / width);
    }
    path
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::{QUIET, dark, qr};
    use qrcode::QrCode;

    /// The finder pattern in the corner: seven dark modules, one dark with five light between, and so on (ISO/IEC 18004).
    #[test]
    fn the_corner_is_a_finder_pattern() {
        let code = QrCode::new(b"http://bench.local/tags/T00001").unwrap();
        let path = dark(&code);
        let is_dark = |x: usize, y: usize| path.contains(&format!("M{} {}h1v1h-1z", QUIET + x, QUIET + y));
        let row = |y| (0..8).map(|x| if is_dark(x, y) { '#' } else { '.' }).collect::<String>();
        let rows: Vec<String> = (0..8).map(row).collect();
        assert_eq!(rows, ["#######.", "#.....#.", "#.###.#.", "#.###.#.", "#.###.#.", "#.....#.", "#######.", "........"]);
        let shown = qr(&code, "tag <T00001>").into_string();
        let side = code.width() + 8;
        assert!(shown.contains(&format!("viewBox=\"0 0 {side} {side}\"")) && shown.contains("tag &lt;T00001&gt;"), "{shown}");
    }
}
