//! A file for each page.

pub mod accounts;
pub mod assets;
pub mod board;
pub mod customers;
pub mod instruments;
pub mod jobs;
pub mod journal;
pub mod sign_in;

mod form;
