//! Can a tool get to a dent, which one, and how hard can it push there.
//!
//! A file for each way (straight rod, curved rod, mandrel, ball train, rolling, hammering, magnet, pull
//! from outside); each answers the same question with the same type. Knows the tools as plain data
//! ([`Rack`]); knows nothing of files, prices or the order of work.

pub mod passage;
pub mod rack;
pub mod way;

pub use passage::{Opening, Passage, PassagePart};
pub use rack::{Rack, Tool, ToolBody, ToolId};
pub use way::{BallStep, Method, Opened, Pose, RuledOut, ToolChoice, ToolToMake, Way, Ways};
