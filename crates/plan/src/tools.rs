//! Tools to make, shared over the dents of a job: a tool that is to be made for one dent may serve another.

use reach::way_force::shaft_stiffness_nmm2;
use reach::{Method, ToolBody, ToolChoice, ToolPiece, ToolToMake};
use units::text;

/// Whether a tool to make would do a method's work as well as the one that was reckoned for it.
///
/// It must go where that one goes and bear the method's force: no thicker, no larger a head, at least as long, strong enough.
/// A rod bears bending in proportion to the cube of its diameter (closed form: σ = 32 F l/(π d³)).
pub fn serves(tool: &ToolBody, wanted: &ToolBody, method: &Method) -> bool {
    /// A tool this much smaller does the same work (common practice: a tenth of the head leaves no more marks).
    const NEAR: f64 = 0.9;
    /// A tool may be longer than asked by this factor: the rest of it stays outside.
    const LONGER: f64 = 1.5;
    let within = |have: f64, want: f64| have <= want + 1e-9 && have >= NEAR * want;
    let long = |have: f64, want: f64| have >= want - 1e-9 && have <= LONGER * want;
    let bears = |have: f64, want: f64| method.force_hand_n.value <= method.force_limit_n * (have / want).powi(3);
    match (tool, wanted) {
        // A ball a size smaller leaves the next one a little more to lift: only where the drive has force to spare. (Common
        // practice, no source: balls come in steps of half a millimetre, of quarters below 25 mm.)
        (ToolBody::Ball { diameter_mm: d }, ToolBody::Ball { diameter_mm: wd }) => {
            let size = if *wd < 25.0 { 0.25 } else { 0.5 };
            (d - wd).abs() <= 1e-9 || (*d < *wd && wd - d <= size + 1e-9 && method.force_hand_n.value <= 0.85 * method.force_limit_n)
        }
        (a, b) if a == b => true,
        (
            ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: h },
            ToolBody::StraightRod { diameter_mm: wd, length_mm: wl, head_mm: wh },
        ) => within(*d, *wd) && long(*l, *wl) && within(*h, *wh) && bears(*d, *wd),
        (
            ToolBody::CurvedRod { diameter_mm: d, length_mm: l, radius_mm: r, head_mm: h },
            ToolBody::CurvedRod { diameter_mm: wd, length_mm: wl, radius_mm: wr, head_mm: wh },
        ) => within(*d, *wd) && (l - wl).abs() <= 0.05 * wl && (r - wr).abs() <= 0.01 * wr && within(*h, *wh) && bears(*d, *wd),
        (
            ToolBody::FlexibleShaft { diameter_mm: d, length_mm: l, least_radius_mm: r, limit_n: n },
            ToolBody::FlexibleShaft { diameter_mm: wd, length_mm: wl, least_radius_mm: wr, .. },
        ) => {
            // Round bends a softer shaft coils sooner, and more of the push is lost.
            let stiff = method.way.is_none() || shaft_stiffness_nmm2(*d, *r) >= 0.999 * shaft_stiffness_nmm2(*wd, *wr);
            *d <= *wd + 1e-9 && *l >= *wl - 1e-9 && *r <= *wr + 1e-9 && stiff && method.force_hand_n.value <= *n
        }
        (ToolBody::Cable { length_mm: l, limit_n: n }, ToolBody::Cable { length_mm: wl, .. }) => {
            *l >= *wl - 1e-9 && method.force_hand_n.value <= *n
        }
        (ToolBody::Mandrel { small_mm: s, large_mm: g, length_mm: l }, ToolBody::Mandrel { small_mm: ws, large_mm: wg, length_mm: wl }) => {
            (s - ws).abs() <= 0.05 && (g - wg).abs() <= 0.05 && (l - wl).abs() <= 0.1 * wl
        }
        _ => false,
    }
}

/// The tool to make of a method.
pub fn to_make(method: &Method) -> Option<&ToolToMake> {
    match &method.tool {
        ToolChoice::ToMake { make, .. } => Some(make),
        ToolChoice::Rack { .. } => None,
    }
}

/// What a method asks to be made, piece by piece: each ball of a train is a tool of its own, and so is what drives it, so that
/// dents share what they have in common.
pub fn pieces(method: &Method) -> &[ToolPiece] {
    to_make(method).map_or(&[], |make| &make.pieces)
}

/// A method with the tools that are made for the job in the place of those reckoned for it alone.
pub fn with_tools(method: &Method, tools: &[ToolPiece]) -> Method {
    let mut method = method.clone();
    if let ToolChoice::ToMake { make, .. } = &mut method.tool {
        let own = std::mem::take(&mut make.pieces);
        for t in tools {
            if make.pieces.iter().any(|p| p.body == t.body) {
                continue;
            }
            let piece = own.iter().find(|p| p.body == t.body).unwrap_or_else(|| {
                method.because += text!(" The {} made for another dent serves here too.", t.words());
                t
            });
            make.pieces.push(piece.clone());
        }
    }
    method
}

#[cfg(test)]
#[path = "tools_test.rs"]
mod tests;
