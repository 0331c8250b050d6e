//! The shop's record: one SQLite file (write-ahead log, foreign keys, migrations), photos as files beside it
//! named by their content, every change in a transaction and in an append-only journal: who, when, what,
//! from what.
//!
//! The only crate that knows SQL. What a pure crate defines (a dent, a quote) is kept as that crate's JSON;
//! this crate does not look inside. What a job's state allows stands in [`states`] and nowhere else.

pub mod acceptance;
pub mod agreements;
pub mod backup;
pub mod bench;
pub mod board;
pub mod chain;
pub mod connection;
pub mod contract_jobs;
pub mod contract_payments;
pub mod contracts;
pub mod counter;
pub mod dent_saves;
pub mod door;
pub mod erase;
pub mod error;
pub mod evidence;
pub mod export;
mod fields;
pub mod finished;
pub mod hand_back;
pub mod health;
pub mod journal;
pub mod links;
pub mod offers;
pub mod people;
pub mod photos;
pub mod picture;
pub mod plain_photos;
pub mod reductions;
pub mod restore;
pub mod seal;
pub mod second_factor;
pub mod settings;
pub mod states;
pub mod surveys;
pub mod terms;

mod key;
mod leftovers;
mod private;
mod schema;
mod sole;
mod sql;
mod versions;
mod words;

pub use connection::{By, Store};
pub use error::StoreError;
