//! `trueround`: the command line. Thin over the crates that do the work.

mod args;
mod bore_csv;
mod case;
mod cmd;
mod contract_args;
mod earlier;
mod fail;
mod papers;
mod plan_json;
#[cfg(feature = "shop")]
mod shop;
mod sound_tables;
mod summary;
mod what_if;

use args::{Cli, Command};
use clap::{CommandFactory, Parser};
use std::process::ExitCode;

fn main() -> ExitCode {
    let cli = Cli::try_parse().unwrap_or_else(|e| args::refused(&e));
    let done = match cli.command {
        Command::Plan(a) => cmd::plan::run(&a),
        Command::Contract(a) => cmd::contract::run(&a),
        Command::Sound(a) => cmd::sound::run(&a),
        Command::Check(a) => cmd::check::run(&a),
        Command::Pattern(a) => cmd::pattern::run(&a),
        #[cfg(feature = "shop")]
        Command::Shop(c) => shop::run(&c),
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
