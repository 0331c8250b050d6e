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
