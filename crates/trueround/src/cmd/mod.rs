//! A file for each command that works on files.

pub mod check;
pub mod contract;
pub mod pattern;
pub mod plan;
pub mod schema;
pub mod sound;
