//! A file for each command.

pub mod check;
pub mod contract;
pub mod daily;
pub mod demo;
pub mod doctor;
pub mod pattern;
pub mod people;
pub mod plan;
pub mod record;
pub mod schema;
pub mod secret;
pub mod serve;
pub mod sound;
