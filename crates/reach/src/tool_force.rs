//! What besides the hand moves a method's tool or strikes the tube: typed, so that who plans can warn of it.

use crate::{Rack, ToolBody, ToolChoice};
use serde::{Deserialize, Serialize};

/// What besides the hand moves a tool or strikes the tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ToolForce {
    /// A hammer.
    Hammer,
    /// A press or a screw.
    Press,
    /// A draw bench.
    DrawBench,
    /// A cable.
    Cable,
}

impl ToolBody {
    /// What besides the hand this tool moves or strikes with; none where the hand alone does it.
    pub fn force(&self) -> Option<ToolForce> {
        match self {
            Self::Hammer { .. } => Some(ToolForce::Hammer),
            Self::Press { .. } => Some(ToolForce::Press),
            Self::DrawBench { .. } => Some(ToolForce::DrawBench),
            Self::Cable { .. } => Some(ToolForce::Cable),
            Self::StraightRod { .. }
            | Self::CurvedRod { .. }
            | Self::Mandrel { .. }
            | Self::BallSet { .. }
            | Self::Ball { .. }
            | Self::FlexibleShaft { .. }
            | Self::Magnet { .. }
            | Self::Roller { .. }
            | Self::Stake { .. }
            | Self::Dolly { .. }
            | Self::PullStud { .. }
            | Self::Torch { .. }
            | Self::Burnisher { .. }
            | Self::Expander { .. }
            | Self::DrawRing { .. }
            | Self::Fill { .. } => None,
        }
    }
}

/// The forces of a method's tools, with those that are known already, each once.
pub fn of_tools(tool: &ToolChoice, rack: &Rack, known: &[ToolForce]) -> Vec<ToolForce> {
    let (ids, made) = match tool {
        ToolChoice::Rack { tools } => (tools, &[][..]),
        ToolChoice::ToMake { make, with } => (with, &make.pieces[..]),
    };
    let hang = rack.tools.iter().filter(|t| ids.contains(&t.id)).map(|t| &t.body);
    let forces = hang.chain(made.iter().map(|p| &p.body)).filter_map(ToolBody::force);
    let mut all: Vec<ToolForce> = known.iter().copied().chain(forces).collect();
    all.sort_unstable();
    all.dedup();
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Tool, ToolId, ToolPiece, ToolToMake};

    #[test]
    fn the_forces_of_the_racks_tools_and_of_those_to_make_are_told() {
        let tool =
            |id: &str, body| Tool { id: ToolId(id.into()), name: id.into(), place: String::new(), wear_mm: 0.0, away_until: None, body };
        let cable = ToolBody::Cable { length_mm: 900.0, limit_n: 800.0 };
        let rack =
            Rack { tools: vec![tool("b", ToolBody::Ball { diameter_mm: 20.0 }), tool("c", cable)], hand_push_n: 150.0, lean_n: 400.0 };
        let ids = |all: &[&str]| all.iter().map(|i| ToolId((*i).into())).collect::<Vec<_>>();
        assert_eq!(of_tools(&ToolChoice::Rack { tools: ids(&["b"]) }, &rack, &[]), []);
        assert_eq!(
            of_tools(&ToolChoice::Rack { tools: ids(&["b", "c"]) }, &rack, &[ToolForce::Hammer]),
            [ToolForce::Hammer, ToolForce::Cable]
        );
        let press = ToolPiece::new(ToolBody::Press { limit_n: 1500.0, travel_mm: None }, "too hard by hand".into());
        let made = ToolChoice::ToMake { make: ToolToMake { pieces: vec![press] }, with: ids(&["c"]) };
        assert_eq!(of_tools(&made, &rack, &[]), [ToolForce::Press, ToolForce::Cable]);
    }
}
