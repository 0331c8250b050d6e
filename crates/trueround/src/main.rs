//! `trueround`: the command line. Thin over the crates that do the work.

mod args;
mod bore_csv;
mod case;
mod cmd;
mod contract_args;
mod demo_shop;
mod earlier;
mod fail;
mod papers;
mod plan_json;
mod sound_tables;
mod summary;
mod what_if;

use args::{Cli, Command};
use clap::{CommandFactory, Parser};
use std::process::ExitCode;

fn main() -> ExitCode {
    let done = match Cli::parse().command {
        Command::Plan(a) => cmd::plan::run(&a),
        Command::Contract(a) => cmd::contract::run(&a),
        Command::Sound(a) => cmd::sound::run(&a),
        Command::Check(a) => cmd::check::run(&a),
        Command::Pattern(a) => cmd::pattern::run(&a),
        Command::Serve(a) => cmd::serve::run(&a),
        Command::Demo(a) => cmd::demo::run(&a),
        Command::Backup(a) => cmd::record::backup(&a),
        Command::Restore(a) => cmd::record::restore(&a),
        Command::Export(a) => cmd::record::export(&a),
        Command::Import(a) => cmd::record::import(&a),
        Command::Doctor(a) => cmd::doctor::run(&a),
        Command::Customer(a) => cmd::people::customer(&a),
        Command::Password(a) => cmd::people::password(&a),
        Command::Schema(a) => cmd::schema::run(&a),
        Command::Completions { shell } => {
            clap_complete::generate(shell, &mut Cli::command(), "trueround", &mut std::io::stdout());
            Ok(())
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.tell(),
    }
}
