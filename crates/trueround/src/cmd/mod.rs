//! A file for each command.

pub mod check;
pub mod demo;
pub mod doctor;
pub mod pattern;
pub mod plan;
pub mod record;
pub mod schema;
pub mod serve;
