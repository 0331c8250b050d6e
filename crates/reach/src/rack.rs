//! The shop's tools as plain data.

use serde::{Deserialize, Serialize};

/// Name of a tool on the rack.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ToolId(pub String);

/// What a tool is, with the dimensions that decide where it goes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum ToolBody {
    /// A straight rod with a round head.
    StraightRod {
        /// Shank diameter, mm.
        diameter_mm: f64,
        /// Length from the hand or vise to the tip, mm.
        length_mm: f64,
        /// Head diameter, mm.
        head_mm: f64,
    },
    /// A rod bent to one radius, with a round head.
    CurvedRod {
        /// Shank diameter, mm.
        diameter_mm: f64,
        /// Length along the bent part, mm.
        length_mm: f64,
        /// Centre-line radius, mm.
        radius_mm: f64,
        /// Head diameter, mm.
        head_mm: f64,
    },
    /// A mandrel, straight or tapered, held in a vise or on a bench horse.
    Mandrel {
        /// Diameter at the thin end, mm.
        small_mm: f64,
        /// Diameter at the thick end, mm.
        large_mm: f64,
        /// Length of the working part, mm.
        length_mm: f64,
    },
    /// A set of balls with every size from the smallest to the largest in equal steps.
    BallSet {
        /// Smallest, mm.
        smallest_mm: f64,
        /// Largest, mm.
        largest_mm: f64,
        /// Step, mm.
        step_mm: f64,
    },
    /// One ball or barrel-shaped dent ball.
    Ball {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// A cable that pulls balls.
    Cable {
        /// Length, mm.
        length_mm: f64,
        /// Pull that it bears, N.
        limit_n: f64,
    },
    /// A flexible shaft that pushes or drives balls.
    FlexibleShaft {
        /// Diameter, mm.
        diameter_mm: f64,
        /// Length, mm.
        length_mm: f64,
        /// Tightest radius that it goes round, mm.
        least_radius_mm: f64,
        /// Push that it bears, N.
        limit_n: f64,
    },
    /// A magnet that works a steel ball through the wall.
    Magnet {
        /// Pull at contact through no wall, N.
        pull_n: f64,
        /// Distance at which the pull has halved, mm.
        half_distance_mm: f64,
    },
    /// A dent hammer.
    Hammer {
        /// Face crown radius, mm.
        face_radius_mm: f64,
    },
    /// A roller or burnisher worked by hand over a support.
    Roller {
        /// Roller diameter, mm.
        diameter_mm: f64,
    },
    /// A stake: a crowned face on a straight arm that is held in the vise; the tube is worked over its face.
    Stake {
        /// Crown radius of the face, mm.
        crown_radius_mm: f64,
        /// Breadth of the face, mm.
        face_mm: f64,
        /// Diameter of the arm, mm.
        diameter_mm: f64,
        /// Length from the vise to the face, mm.
        length_mm: f64,
    },
    /// A dolly: a loose crowned block (or a dent hammer's head) held by hand inside the bell.
    Dolly {
        /// Crown radius of the face, mm.
        crown_radius_mm: f64,
        /// Breadth of the face, mm.
        face_mm: f64,
    },
    /// A stud soldered on to pull from outside.
    PullStud {
        /// Foot diameter, mm.
        foot_mm: f64,
    },
    /// A press or screw that drives balls.
    Press {
        /// Force limit, N.
        limit_n: f64,
        /// How far it travels, mm; none where nobody has said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        travel_mm: Option<f64>,
    },
    /// A torch.
    Torch {
        /// Power of its flame, W; none where nobody has said.
        #[serde(default)]
        watts: Option<f64>,
    },
    /// A burnisher for the inside: a polished round nose on a straight bar held in the vise.
    Burnisher {
        /// Shank diameter, mm.
        diameter_mm: f64,
        /// Length from the vise to the tip, mm.
        length_mm: f64,
        /// Diameter of the nose, mm.
        head_mm: f64,
    },
    /// An expanding plug: split jaws that a cone draws apart.
    Expander {
        /// Over the jaws, shut, mm.
        smallest_mm: f64,
        /// Over the jaws, wide open, mm.
        largest_mm: f64,
        /// Length of the jaws, mm.
        jaws_mm: f64,
        /// How far from the tube's end the jaws' far edge goes, mm.
        length_mm: f64,
        /// Pull of its screw on the cone that it bears, N.
        limit_n: f64,
    },
    /// A ring or die through which a tube is drawn over a mandrel.
    DrawRing {
        /// Its bore, mm.
        bore_mm: f64,
    },
    /// A draw bench: pulls a tube on its mandrel through a ring.
    DrawBench {
        /// Its travel, mm.
        length_mm: f64,
        /// Pull, N.
        limit_n: f64,
    },
    /// What a bend is filled with before it is worked from outside.
    Fill {
        /// Which.
        fill: metal::Fill,
    },
}

/// A tool on the rack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tool {
    /// Its name on the rack.
    pub id: ToolId,
    /// What the shop calls it.
    pub name: String,
    /// Where it hangs; may be empty.
    pub place: String,
    /// How much its working size has worn under its nominal, mm.
    pub wear_mm: f64,
    /// What shape it is in, as the bench says it: "a chip at the tip: polish first". Told beside the tool wherever a plan names
    /// it; no figure is worked out from it. Empty where there is nothing to say.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub condition: String,
    /// Lent out, or at the grinder's, until the end of this day (ISO 8601, "2026-11-27"); none where it hangs in its place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub away_until: Option<String>,
    /// What it is.
    pub body: ToolBody,
}

/// All tools of a shop, and what its hands can do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rack {
    /// Tools.
    pub tools: Vec<Tool>,
    /// Steady push of a hand on a tool, N.
    pub hand_push_n: f64,
    /// Push that a person can lean on a rod held in a vise, N.
    pub lean_n: f64,
}

impl Rack {
    /// The tools that are away on a day (ISO 8601): dates so written stand in their own order.
    pub fn away_on<'r>(&'r self, day: &'r str) -> impl Iterator<Item = &'r Tool> {
        self.tools.iter().filter(move |t| t.away_until.as_deref().is_some_and(|until| day <= until))
    }
}
