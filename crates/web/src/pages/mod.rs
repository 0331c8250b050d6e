//! A file for each page.

pub mod acceptance;
pub mod accounts;
pub mod assets;
pub mod bench;
pub mod board;
pub mod customer;
pub mod customers;
pub mod doctor;
pub mod hand_back;
pub mod history;
pub mod instrument_history;
pub mod instruments;
pub mod jobs;
pub mod journal;
pub mod me;
pub mod measure;
pub mod money;
pub mod photos;
pub mod plan;
pub mod quote;
pub mod settings;
pub mod sign_in;
pub mod supplement;
pub mod survey;
pub mod survey_file;
pub mod survey_forms;
pub mod trust;

mod conditions;
mod dent_form;
mod dent_messages;
mod sheet_form;
mod sheets;
mod strips;
mod what_if;
