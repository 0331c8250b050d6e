//! What `trueround contract` is asked with.

use crate::args::{PaperOf, Units};
use clap::{Args, ValueHint};
use std::path::PathBuf;

/// `trueround contract`.
#[derive(Debug, Args)]
pub struct Contract {
    /// The contract (CONTRACT.toml); its tables of instruments and dents are named in it
    #[arg(value_hint = ValueHint::FilePath, required_unless_present = "template")]
    pub contract: Option<PathBuf>,
    /// Folder for report, work lists, calendar, contract.json and problem.json
    #[arg(long, value_hint = ValueHint::DirPath, required_unless_present = "template")]
    pub out: Option<PathBuf>,
    /// Write an example contract and empty tables into this folder, and nothing else
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath, conflicts_with_all = ["contract", "out"])]
    pub template: Option<PathBuf>,
    /// The contract.json of an earlier plan: what changes is told
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub before: Option<PathBuf>,
    /// The shop's tools (TOML or CSV); without it those that the contract names, else the example rack, and said
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub rack: Option<PathBuf>,
    /// The shop's prices and times (TOML); without it those that the contract names, else the example shop, and said
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub shop: Option<PathBuf>,
    /// Search for at most so many seconds; the best plan so far is taken, with how far it may be from the best. What more money and time
    /// would buy is searched as long again
    #[arg(long, default_value_t = 20)]
    pub seconds: u32,
    /// Show sizes of tools in inches or in millimeters
    #[arg(long, value_enum, default_value_t = Units::Mm)]
    pub units: Units,
    /// Size of the papers
    #[arg(long, value_enum, default_value_t = PaperOf::Letter)]
    pub paper: PaperOf,
}
