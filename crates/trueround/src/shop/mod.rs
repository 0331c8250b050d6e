//! The shop's server and its record: what the feature `shop` brings. Without it the program plans from files, and a hundred and
//! twenty crates (web, database, certificates) are not built.

pub mod args;
mod daily;
mod demo;
mod demo_shop;
mod doctor;
mod people;
mod record;
mod secret;
mod serve;

use crate::fail::{Done, Fail};
use args::ShopCommand;

/// Does what was asked.
pub fn run(command: &ShopCommand) -> Done {
    match command {
        ShopCommand::Serve(a) => serve::run(a),
        ShopCommand::Demo(a) => demo::run(a),
        ShopCommand::Doctor(a) => doctor::run(a),
        ShopCommand::Backup(a) => record::backup(a),
        ShopCommand::Restore(a) => record::restore(a),
        ShopCommand::Export(a) => record::export(a),
        ShopCommand::Import(a) => record::import(a),
        ShopCommand::Customer(a) => people::customer(a),
        ShopCommand::Password(a) => people::password(a),
    }
}

impl From<store::StoreError> for Fail {
    fn from(e: store::StoreError) -> Self {
        match e {
            store::StoreError::Refused(_) | store::StoreError::Garbled { .. } => Self::input(e.to_string()),
            other => Self::Machine(other.to_string()),
        }
    }
}
