//! Can a tool get to a dent, which one, and how hard can it push there.
//!
//! A file for each method (straight rod, curved rod, mandrel, ball train, rolling, hammering, magnet, pull
//! from outside); each answers the same question with the same type, and [`answer`] holds the one list of
//! them. Knows the tools as plain data ([`Rack`]); knows nothing of files, prices or the order of work.
//!
//! Invariants: only sound tools of the rack count; every dent gets at least one method or a reason for each method
//! rejected; a 'yes' of a rod carries its pose.

mod access;
pub mod answer;
mod ball_train;
mod ball_wall;
mod balls;
pub mod bench;
pub mod body;
pub mod burnishing;
mod case_stroke;
mod choose;
pub mod clearances;
pub mod constraints;
pub mod contact;
mod covered;
mod curved_rod;
pub mod draw_ring;
pub mod drive_force;
pub mod expander;
pub mod filled;
mod fits;
mod hammering;
mod left_on;
mod lp;
mod magnet;
mod mandrel;
mod measure;
pub mod method;
mod min_cut;
mod notes;
mod opened;
pub mod openings;
pub mod passage;
pub mod path;
mod place;
pub mod pose;
mod practice;
mod press;
mod pull_outside;
pub mod rack;
pub mod raising;
mod remembered;
pub mod rod_strength;
mod rolling;
mod rub;
mod sound;
pub mod stands;
mod straight_rod;
mod strokes;
mod support;
pub mod to_make;
mod tool_force;
mod tool_words;
mod touch;
mod touching;
pub mod tube;
mod way;
pub mod way_force;

pub use answer::{brought_back, methods, methods_after, methods_within};
pub use choose::STRETCHED;
pub use constraints::{Constraints, Said, filler_of};
pub use left_on::LeftOn;
pub use method::{BallStep, DentMethods, Method, MethodKind, Pose, Rejected, Strokes, ToolChoice};
pub use opened::Opened;
pub use passage::{Opening, Passage, PassagePart};
pub use practice::MAY_STAY_MM;
pub use rack::{Rack, Tool, ToolBody, ToolId};
pub use remembered::Remembered;
pub use sound::RackProblem;
pub use stands::{Led, Load};
pub use to_make::{ToolPiece, ToolToMake};
pub use tool_force::ToolForce;
pub use touching::{Contact, Touching};
pub use way::{Drawn, Leads, STUCK_SPOILS, WayForce};
