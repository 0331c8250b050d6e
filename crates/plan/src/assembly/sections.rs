//! Sections of tubes and of what lies on them, and how they conduct.

use instrument::{Overlay, OverlayKind, Run};
use metal::Alloy;

/// What a survey does not measure of the things that lie on tubes. Common practice, no source: brace rod 5 mm thick and
/// 25 mm long, of brass (of nickel silver it would carry a quarter of that, so brass is the worse case for what stands at its
/// far foot); flange 1 mm, ferrule 0.8 mm, guard and garland 0.6 mm, patch 0.5 mm thick, rim wire 2.5 mm.
pub mod usual {
    /// Thickness of a brace's rod, mm.
    pub const ROD_MM: f64 = 5.0;
    /// Length of a brace's rod, mm.
    pub const ROD_LENGTH_MM: f64 = 25.0;
    /// Thickness of a brace's flange, mm.
    pub const FLANGE_MM: f64 = 1.0;
    /// Thickness of a ferrule, mm.
    pub const FERRULE_MM: f64 = 0.8;
    /// Thickness of a guard or a garland, mm.
    pub const SHEET_MM: f64 = 0.6;
    /// Thickness of a patch, mm.
    pub const PATCH_MM: f64 = 0.5;
    /// Thickness of the wire in a rim, mm.
    pub const WIRE_MM: f64 = 2.5;
}

/// Conductivity at 20 °C, W/(m K), and heat capacity by volume, J/(mm³ K).
pub(super) fn conducts(alloy: Alloy) -> (f64, f64) {
    let p = alloy.physical();
    (p.conductivity_w_mk.value, p.density_kg_m3.value * p.specific_heat_j_kgk.value * 1e-9)
}

pub(super) fn sane(x: f64, otherwise: f64) -> f64 {
    if x.is_finite() && x > 0.0 { x } else { otherwise }
}

/// Section of a run's wall at a station, mm².
pub(super) fn section_mm2(run: &Run, at_mm: f64) -> f64 {
    let (bore, wall) = (sane(run.bore_mm.at(at_mm).value, 10.0), sane(run.wall_mm.at(at_mm).value, 0.5));
    std::f64::consts::PI * (bore + wall) * wall
}

/// Section of an overlay's own metal across the run that it lies on, mm².
pub(super) fn lying_mm2(o: &Overlay, run: &Run, at_mm: f64, clock_deg: Option<(f64, f64)>) -> f64 {
    let outside = run.outside_diameter_at(at_mm);
    let round = clock_deg.map_or(1.0, |(from, to)| {
        let span = (to - from).rem_euclid(360.0);
        if span == 0.0 && to != from { 1.0 } else { span / 360.0 }
    });
    let sheet = |t: f64| std::f64::consts::PI * (outside + t) * t * round;
    match o.kind {
        OverlayKind::Ferrule => sheet(usual::FERRULE_MM),
        OverlayKind::Brace => sheet(usual::FLANGE_MM),
        OverlayKind::Guard | OverlayKind::Garland => sheet(usual::SHEET_MM),
        OverlayKind::Patch => sheet(usual::PATCH_MM),
        OverlayKind::RimWire => {
            // A ring of wire: its volume over the length of rim that holds it.
            let cover = o.covers.iter().map(|c| (c.to_mm - c.from_mm).abs()).sum::<f64>().max(1.0);
            let wire = std::f64::consts::FRAC_PI_4 * usual::WIRE_MM * usual::WIRE_MM;
            wire * std::f64::consts::PI * outside / cover
        }
    }
}
