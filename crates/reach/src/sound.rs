//! Nonsense on the rack: found, said, and left out; the rest stays in use.

use crate::rack::{Rack, Tool, ToolBody, ToolId};
use units::text::{given_mm, mm, newtons};
use units::{Text, text};

/// A tool that cannot be used as it is written.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct RackProblem {
    /// Which tool.
    pub tool: ToolId,
    /// The field.
    pub field: &'static str,
    /// What is wrong.
    pub what: Text,
    /// How to mend it.
    pub hint: Text,
}

/// The largest size that is believed of any tool, mm: nothing on a bench is larger.
const LARGEST_MM: f64 = 3000.0;

impl Rack {
    /// All tools whose figures make no sense, and what the hands are said to push.
    pub fn problems(&self) -> Vec<RackProblem> {
        let mut all = Vec::new();
        for (field, n) in [("hand_push_n", self.hand_push_n), ("lean_n", self.lean_n)] {
            if !(n.is_finite() && n > 0.0) {
                all.push(RackProblem {
                    tool: ToolId(String::new()),
                    field,
                    what: format!("{field} is {n}").into(),
                    hint: "give newtons above 0, for instance 150".into(),
                });
            }
        }
        for (i, t) in self.tools.iter().enumerate() {
            all.extend(tool_problem(t));
            if self.tools[..i].iter().any(|o| o.id == t.id) {
                all.push(RackProblem {
                    tool: t.id.clone(),
                    field: "id",
                    what: format!("another tool is called {}", t.id.0).into(),
                    hint: "give each tool its own name".into(),
                });
            }
        }
        all
    }

    /// The tools without problems, in the rack's order.
    pub fn sound_tools(&self) -> Vec<&Tool> {
        self.tools.iter().filter(|t| tool_problem(t).is_none()).collect()
    }
}

/// A field's name without its unit.
fn plain(field: &str) -> String {
    field.trim_end_matches("_mm").trim_end_matches("_n").replace('_', " ")
}

fn tool_problem(t: &Tool) -> Option<RackProblem> {
    let problem = |field: &'static str, what: Text, hint: &str| {
        Some(RackProblem { tool: t.id.clone(), field, what: text!("{}: {}", t.name, what), hint: hint.into() })
    };
    let size = |field: &'static str, v: f64| {
        if !v.is_finite() || v <= 0.0 {
            problem(field, text!("a {} of {} is not possible", plain(field), given_mm(v)), "give a size above zero, with its unit")
        } else if v > LARGEST_MM {
            problem(
                field,
                text!("its {} of {} is larger than anything on a bench", plain(field), mm(v, 0)),
                "look whether the unit is right",
            )
        } else {
            None
        }
    };
    let force = |field: &'static str, v: f64| {
        if v.is_finite() && v > 0.0 {
            None
        } else {
            problem(field, text!("a {} of {} is not possible", plain(field), newtons(v)), "give a force above zero, like 300 N or 70 lbf")
        }
    };
    if !(t.wear_mm.is_finite() && t.wear_mm >= 0.0) {
        return problem("wear_mm", format!("wear is {}", t.wear_mm).into(), "give what it has worn, zero or more");
    }
    let worn = |field: &'static str, v: f64| {
        if t.wear_mm >= v {
            problem(
                field,
                text!("worn by {}, nothing of {} is left", mm(t.wear_mm, 2), mm(v, 2)),
                "look whether the wear is right: it is what was lost, not what is left",
            )
        } else {
            None
        }
    };
    match t.body {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } => size("diameter_mm", diameter_mm)
            .or(size("length_mm", length_mm))
            .or(size("head_mm", head_mm))
            .or(worn("head_mm", head_mm))
            .or_else(|| {
                if head_mm + 1e-9 < diameter_mm {
                    problem(
                        "head_mm",
                        text!("its head ({}) is thinner than its shank ({})", given_mm(head_mm), given_mm(diameter_mm)),
                        "give the head's diameter, or the shank's where it has none",
                    )
                } else {
                    None
                }
            }),
        ToolBody::CurvedRod { diameter_mm, length_mm, radius_mm, head_mm } => size("diameter_mm", diameter_mm)
            .or(size("length_mm", length_mm))
            .or(size("radius_mm", radius_mm))
            .or(size("head_mm", head_mm))
            .or(worn("head_mm", head_mm))
            .or_else(|| {
                if head_mm + 1e-9 < diameter_mm {
                    problem(
                        "head_mm",
                        text!("its head ({}) is thinner than its shank ({})", given_mm(head_mm), given_mm(diameter_mm)),
                        "give the head's diameter, or the shank's where it has none",
                    )
                } else {
                    None
                }
            })
            .or_else(|| {
                if radius_mm < diameter_mm {
                    problem(
                        "radius_mm",
                        text!("a {} rod is not bent to {}", given_mm(diameter_mm), given_mm(radius_mm)),
                        "give the radius of its center line",
                    )
                } else {
                    None
                }
            }),
        ToolBody::Mandrel { small_mm, large_mm, length_mm } => size("small_mm", small_mm)
            .or(size("large_mm", large_mm))
            .or(size("length_mm", length_mm))
            .or(worn("small_mm", small_mm))
            .or_else(|| {
                if small_mm > large_mm {
                    problem(
                        "small_mm",
                        text!("its thin end ({}) is thicker than its thick end ({})", given_mm(small_mm), given_mm(large_mm)),
                        "swap the two",
                    )
                } else {
                    None
                }
            }),
        ToolBody::BallSet { smallest_mm, largest_mm, step_mm } => size("smallest_mm", smallest_mm)
            .or(size("largest_mm", largest_mm))
            .or(size("step_mm", step_mm))
            .or(worn("smallest_mm", smallest_mm))
            .or_else(|| {
                if smallest_mm > largest_mm {
                    problem("smallest_mm", "its smallest ball is larger than its largest".into(), "swap the two")
                } else {
                    None
                }
            })
            .or_else(|| {
                if (largest_mm - smallest_mm) / step_mm > 2000.0 {
                    problem("step_mm", text!("a step of {} makes more than 2000 balls", given_mm(step_mm)), "check the unit of the step")
                } else {
                    None
                }
            }),
        ToolBody::Ball { diameter_mm } => size("diameter_mm", diameter_mm).or(worn("diameter_mm", diameter_mm)),
        // A cable or shaft may be long; it is still shorter than a room.
        ToolBody::Cable { length_mm, limit_n } => long("length_mm", length_mm, &problem).or(force("limit_n", limit_n)),
        ToolBody::FlexibleShaft { diameter_mm, length_mm, least_radius_mm, limit_n } => size("diameter_mm", diameter_mm)
            .or(long("length_mm", length_mm, &problem))
            .or(size("least_radius_mm", least_radius_mm))
            .or(force("limit_n", limit_n)),
        ToolBody::Magnet { pull_n, half_distance_mm } => force("pull_n", pull_n).or(size("half_distance_mm", half_distance_mm)),
        ToolBody::Hammer { face_radius_mm } => size("face_radius_mm", face_radius_mm),
        ToolBody::Roller { diameter_mm } => size("diameter_mm", diameter_mm),
        ToolBody::Stake { crown_radius_mm, face_mm, diameter_mm, length_mm } => size("crown_radius_mm", crown_radius_mm)
            .or(size("face_mm", face_mm))
            .or(size("diameter_mm", diameter_mm))
            .or(size("length_mm", length_mm)),
        ToolBody::Dolly { crown_radius_mm, face_mm } => size("crown_radius_mm", crown_radius_mm).or(size("face_mm", face_mm)),
        ToolBody::PullStud { foot_mm } => size("foot_mm", foot_mm),
        ToolBody::Press { limit_n, travel_mm } => force("limit_n", limit_n).or(travel_mm.and_then(|mm| size("travel_mm", mm))),
        ToolBody::Burnisher { diameter_mm, length_mm, head_mm } => size("diameter_mm", diameter_mm)
            .or(size("length_mm", length_mm))
            .or(size("head_mm", head_mm))
            .or(worn("head_mm", head_mm))
            .or_else(|| {
                if head_mm + 1e-9 < diameter_mm {
                    problem(
                        "head_mm",
                        text!("its nose ({}) is thinner than its shank ({})", given_mm(head_mm), given_mm(diameter_mm)),
                        "give the nose's diameter, or the shank's where it has none",
                    )
                } else {
                    None
                }
            }),
        ToolBody::Expander { smallest_mm, largest_mm, jaws_mm, length_mm, limit_n } => size("smallest_mm", smallest_mm)
            .or(size("largest_mm", largest_mm))
            .or(size("jaws_mm", jaws_mm))
            .or(size("length_mm", length_mm))
            .or(force("limit_n", limit_n))
            .or(worn("smallest_mm", smallest_mm))
            .or_else(|| {
                if smallest_mm >= largest_mm {
                    problem(
                        "largest_mm",
                        text!("it does not open: {} shut, {} open", given_mm(smallest_mm), given_mm(largest_mm)),
                        "give both sizes over the jaws",
                    )
                } else if jaws_mm > length_mm {
                    problem(
                        "length_mm",
                        text!("its jaws ({}) are longer than it goes in ({})", given_mm(jaws_mm), given_mm(length_mm)),
                        "give how far in the jaws' far edge goes",
                    )
                } else {
                    None
                }
            }),
        ToolBody::DrawRing { bore_mm } => size("bore_mm", bore_mm),
        ToolBody::DrawBench { length_mm, limit_n } => size("length_mm", length_mm).or(force("limit_n", limit_n)),
        ToolBody::Fill { .. } => None,
        ToolBody::Torch { watts } => match watts {
            None => None,
            // From a pencil torch to the largest rose bud.
            Some(w) if (20.0..=60_000.0).contains(&w) => None,
            Some(w) => problem(
                "watts",
                format!("its power is {w} W").into(),
                "give the power of the flame in W, from 20 to 60000, or leave it out",
            ),
        },
    }
}

fn long(field: &'static str, v: f64, problem: &impl Fn(&'static str, Text, &str) -> Option<RackProblem>) -> Option<RackProblem> {
    if v.is_finite() && v > 0.0 && v <= 20_000.0 { None } else { problem(field, format!("{field} is {v}").into(), "give its length in mm") }
}
