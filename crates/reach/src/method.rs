//! A method to bring a dent back: the one answer type of every file of this crate.

use crate::{Contact, LeftOn, Opened, Passage, Rack, ToolBody, ToolForce, ToolId, ToolToMake, WayForce};
use instrument::{DentId, OverlayId};
use serde::{Deserialize, Serialize};
use units::{Figure, Text, ThreePoint};

/// How the metal is moved.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    strum::IntoStaticStr,
    strum::VariantArray,
    strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum MethodKind {
    /// A straight rod with a round head, levered or pushed from inside.
    StraightRod,
    /// A rod bent to the tube's curve.
    CurvedRod,
    /// The tube is drawn over a mandrel and rubbed down on it.
    Mandrel,
    /// Balls of rising size driven or pulled through.
    BallTrain,
    /// Rolled or burnished from outside over a mandrel or ball.
    Rolling,
    /// Hammered from outside over a mandrel, ball or stake.
    Hammering,
    /// A steel ball inside, worked by a magnet from outside.
    Magnet,
    /// Pulled from outside by a soldered stud: the last resort.
    PullOutside,
    /// A polished burnisher rubbed over it from inside.
    Burnishing,
    /// A split plug of rising diameter turned out inside a cylindrical tube.
    Expander,
    /// The tube, free and straight, drawn through a ring over a mandrel of its own bore.
    DrawRing,
    /// A bend raised from inside, then filled, its ridges worked down from outside over the fill.
    FilledBend,
    /// Laid on a crowned stake under the dent, the metal round it struck down so that the dent rises.
    Raising,
}

impl MethodKind {
    /// Whether the wall can be moved past true, for its springback, in one go: a rod's head, a burnisher, a stake, a
    /// stud and an expander can go there; balls, mandrels and supports go no further than the true bore.
    pub fn goes_past_true(self) -> bool {
        matches!(
            self,
            MethodKind::StraightRod
                | MethodKind::CurvedRod
                | MethodKind::PullOutside
                | MethodKind::Burnishing
                | MethodKind::Expander
                | MethodKind::Raising
        )
    }
}

impl MethodKind {
    /// Whether a tool goes over the outside of the tube, and leaves marks there to be eased: what works from inside alone leaves none.
    pub fn marks_outside(self) -> bool {
        match self {
            MethodKind::Mandrel
            | MethodKind::Rolling
            | MethodKind::Hammering
            | MethodKind::Magnet
            | MethodKind::PullOutside
            | MethodKind::DrawRing
            | MethodKind::FilledBend
            | MethodKind::Raising => true,
            MethodKind::StraightRod | MethodKind::CurvedRod | MethodKind::BallTrain | MethodKind::Burnishing | MethodKind::Expander => {
                false
            }
        }
    }
}

impl MethodKind {
    /// Whether what lies over the dent may stay on: its tool works from inside alone, and neither leans on the place from outside nor
    /// rubs or strikes it there. (A plug that is turned out stretches the tube all round, and a ring over it.)
    pub fn from_inside(self) -> bool {
        matches!(
            self,
            MethodKind::StraightRod
                | MethodKind::CurvedRod
                | MethodKind::Mandrel
                | MethodKind::BallTrain
                | MethodKind::Magnet
                | MethodKind::Burnishing
        )
    }
}

/// The tool of a method.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "from")]
pub enum ToolChoice {
    /// It hangs on the rack.
    Rack {
        /// The tools used, the working one first.
        tools: Vec<ToolId>,
    },
    /// It has to be made or bought.
    ToMake {
        /// What to make.
        make: ToolToMake,
        /// Tools of the rack used with it.
        with: Vec<ToolId>,
    },
}

impl ToolChoice {
    /// What besides the hand moves these tools or strikes with them, with what is known already, each once.
    pub fn forces(&self, rack: &Rack, known: &[ToolForce]) -> Vec<ToolForce> {
        let (ids, made) = match self {
            Self::Rack { tools } => (tools, &[][..]),
            Self::ToMake { make, with } => (with, &make.pieces[..]),
        };
        let hang = rack.tools.iter().filter(|t| ids.contains(&t.id)).map(|t| &t.body);
        let forces = hang.chain(made.iter().map(|p| &p.body)).filter_map(ToolBody::force);
        let mut all: Vec<ToolForce> = known.iter().copied().chain(forces).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

/// One ball of a train.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BallStep {
    /// Diameter, mm.
    pub ball_mm: f64,
    /// Axial force at the dent that drives it past, N; the hand gives what the way takes besides.
    pub drive_n: f64,
}

/// How a tool that moves brings the dent back.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Strokes {
    /// Lift that a pass leaves for good, mm.
    pub lift_mm: f64,
    /// Passes over the dent, from its rim inwards.
    pub passes: f64,
    /// Strokes, blows or pulls in all.
    pub strokes: f64,
    /// How far past true the wall is under the tool in the last pass, mm, so that it springs back to true.
    pub past_true_mm: f64,
    /// What stays of the dent, mm, because the tool gives no more force; the rest is left to another tool.
    #[serde(default)]
    pub left_mm: f64,
}

/// Where a tool lies when its end is under the dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pose {
    /// Points of the tool's centre line in the passage's own frame (x along the opening's inward axis), mm.
    pub centre_line_mm: Vec<[f64; 3]>,
    /// Shank diameter, mm.
    pub diameter_mm: f64,
    /// Head diameter, mm.
    pub head_mm: f64,
    /// Least clearance to the wall on the whole method, mm.
    pub least_clearance_mm: f64,
    /// Distance from the opening along the passage where the clearance is least, mm.
    pub tightest_at_mm: f64,
}

fn nothing() -> ThreePoint {
    ThreePoint::ZERO
}

/// A method that works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Method {
    /// The dent.
    pub dent: DentId,
    /// How.
    pub kind: MethodKind,
    /// With what.
    pub tool: ToolChoice,
    /// What besides the hand moves the tool or strikes the tube.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tool_forces: Vec<ToolForce>,
    /// Working size of the tool (head, ball or mandrel diameter), mm.
    pub size_mm: f64,
    /// The way in; none where the tool works from outside alone.
    pub passage: Option<Passage>,
    /// All that must be opened or taken off: the opening's and the overlays over the dent.
    pub opens: Vec<Opened>,
    /// What lies over the dent and stays on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_on: Option<LeftOn>,
    /// Dents that must be brought back first because they stand in the way.
    pub after: Vec<DentId>,
    /// Ball sizes in order, for a ball train.
    pub train: Vec<BallStep>,
    /// The dent is annealed before: force, strokes and over-push are those of the soft metal.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub annealed: bool,
    /// What the bend is filled with, where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill: Option<metal::Fill>,
    /// Lift, passes and strokes, where the tool moves over the dent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strokes: Option<Strokes>,
    /// Force at the hand or the press, N.
    pub force_hand_n: Figure,
    /// What the tool or the person can bear there, N.
    pub force_limit_n: f64,
    /// How that force goes along the tube, where a tool is pulled or pushed to the dent: what of it the dent asks, and what draws the
    /// tool back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way: Option<WayForce>,
    /// Minutes of bench work on this dent by this method, without opening and closing.
    pub minutes: ThreePoint,
    /// What of them is setting up, which the next dent of the run by the same kind of method from the same side finds done.
    #[serde(default = "nothing")]
    pub set_up: ThreePoint,
    /// Added likelihood of spoiling the part by this method (tool marks, over-stretch), 0 to 1.
    pub risk: f64,
    /// How true it comes, 0 (not at all) to 1 (cannot be seen).
    pub finish_quality: f64,
    /// What stays of the dent under its deepest point, mm, as far as the tool decides it.
    #[serde(default)]
    pub stays_mm: f64,
    /// Pose of the tool, where one was solved.
    pub pose: Option<Pose>,
    /// Where its working surface touches the wall, from the dent as it lies to what is left of it; none where it works from outside
    /// alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact: Option<Contact>,
    /// Why this method works and why this size.
    pub because: Text,
}

impl Method {
    /// What lies over the dent and stays on.
    pub fn stays_on(&self) -> &[OverlayId] {
        self.left_on.as_ref().map_or(&[], |l| &l.overlays)
    }

    /// Whether a tool goes over the outside of the tube there. Under what stays on nothing is rubbed down over a mandrel.
    pub fn marks_outside(&self) -> bool {
        self.kind.marks_outside() && !(self.kind == MethodKind::Mandrel && self.left_on.is_some())
    }

    /// How much more force moves what lies on the dent's place than the wall alone.
    pub fn force_times(&self) -> f64 {
        self.left_on.as_ref().map_or(1.0, |l| l.force_times.value)
    }

    /// The tool as it stands when the work begins, under the dent as it lies: over this a crease is eased before its field moves. A train
    /// begins with its first ball, a mandrel with its nose.
    pub fn easing(&self) -> Self {
        let mut easing = self.clone();
        if let Some(contact) = &mut easing.contact {
            contact.end = contact.start.clone();
            easing.size_mm = contact.start.face_mm;
            easing.train.truncate(1);
            if let Some(pose) = easing.pose.as_mut().filter(|_| !contact.start.line_mm.is_empty()) {
                pose.centre_line_mm.clone_from(&contact.start.line_mm);
            }
        }
        easing
    }
}

/// A method that was considered and does not work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rejected {
    /// How.
    pub kind: MethodKind,
    /// Where it would have entered; empty for methods from outside.
    pub opening: String,
    /// Why not, with the figure that decides ("shaft 6 mm would bend: 480 N asked, 210 N borne").
    pub because: Text,
}

/// The answer for one dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DentMethods {
    /// The dent.
    pub dent: DentId,
    /// Methods that work, best first.
    pub methods: Vec<Method>,
    /// Methods that do not.
    pub rejected: Vec<Rejected>,
    /// Methods that work once the dent is annealed, best first; empty where no anneal comes into question.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after_anneal: Vec<Method>,
    /// Methods that do not even then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rejected_after_anneal: Vec<Rejected>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Tool, ToolPiece};

    #[test]
    fn the_forces_of_the_racks_tools_and_of_those_to_make_are_told() {
        let tool = |id: &str, body| Tool {
            id: ToolId(id.into()),
            name: id.into(),
            place: String::new(),
            wear_mm: 0.0,
            condition: String::new(),
            away_until: None,
            body,
        };
        let cable = ToolBody::Cable { length_mm: 900.0, limit_n: 800.0 };
        let rack =
            Rack { tools: vec![tool("b", ToolBody::Ball { diameter_mm: 20.0 }), tool("c", cable)], hand_push_n: 150.0, lean_n: 400.0 };
        let ids = |all: &[&str]| all.iter().map(|i| ToolId((*i).into())).collect::<Vec<_>>();
        assert_eq!(ToolChoice::Rack { tools: ids(&["b"]) }.forces(&rack, &[]), []);
        assert_eq!(ToolChoice::Rack { tools: ids(&["b", "c"]) }.forces(&rack, &[ToolForce::Hammer]), [ToolForce::Hammer, ToolForce::Cable]);
        let press = ToolPiece::new(ToolBody::Press { limit_n: 1500.0, travel_mm: None }, "too hard by hand".into());
        let made = ToolChoice::ToMake { make: ToolToMake { pieces: vec![press] }, with: ids(&["c"]) };
        assert_eq!(made.forces(&rack, &[]), [ToolForce::Press, ToolForce::Cable]);
    }
}
