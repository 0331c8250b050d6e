//! The balls of a rack.

use crate::{Tool, ToolBody, ToolId};

/// Every ball of the rack, worn as it is, smallest first.
pub fn balls(tools: &[&Tool]) -> Vec<(f64, ToolId)> {
    let mut all = Vec::new();
    for tool in tools {
        match tool.body {
            ToolBody::Ball { diameter_mm } => all.push((diameter_mm - tool.wear_mm, tool.id.clone())),
            ToolBody::BallSet { smallest_mm, largest_mm, step_mm } => {
                let n = ((largest_mm - smallest_mm) / step_mm + 1e-6).floor().max(0.0) as usize;
                all.extend((0..=n).map(|i| (smallest_mm + step_mm * i as f64 - tool.wear_mm, tool.id.clone())));
            }
            _ => {}
        }
    }
    all.retain(|b| b.0 > 0.0);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}
/// The most that one ball may lift the wall for good, as a part of the bore and in mm, whichever is more:
/// a larger step ripples the wall before and behind the dent. Common practice, no source.
pub const LARGEST_STEP: (f64, f64) = (0.04, 1.0);

/// The most that one ball may lift the wall for good in a bore, mm.
pub fn largest_step_mm(bore_mm: f64) -> f64 {
    LARGEST_STEP.1.max(LARGEST_STEP.0 * bore_mm)
}
