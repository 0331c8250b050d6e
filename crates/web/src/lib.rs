//! The shop's pages, served on the local network: counter, survey, assessment and plan, quote, bench, acceptance check, history.
//!
//! The only crate that knows HTTP and HTML. Every route stands in [`routes`] with what a person must be allowed to do
//! to use it; nothing is readable without a session but the sign-in page, the assets and the customer's own page.

pub mod address;
pub mod agreeing;
pub mod app;
pub mod auth;
pub mod certificate;
pub mod connections;
pub mod contract_ground;
pub mod contract_jobs;
pub mod contract_making;
pub mod contract_opening;
pub mod contract_planner;
pub mod contract_planning;
pub mod contract_tools;
pub mod cookies;
pub mod decisions;
pub mod doctor;
pub mod ground;
pub mod guard;
pub mod hashing;
pub mod headers;
pub mod hosts;
pub mod invoice;
pub mod journal_words;
pub mod layout;
pub mod learning;
pub mod limits;
pub mod link;
pub mod pages;
pub mod papers;
pub mod password;
mod pending;
pub mod planned;
pub mod problem;
pub mod recorded;
pub mod redisplay;
pub mod routes;
pub mod serve;
pub mod shop_file;
pub mod terms;
pub mod thumbnail;
pub mod tool_use;
pub mod unit_format;
pub mod view;
pub mod when;
pub mod work_skills;

pub use app::{App, Site};
pub use certificate::Certificate;
pub use connections::Caps;
pub use serve::{Listen, serve};
