//! The command line's words.

use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use std::path::PathBuf;
use units::LengthUnit;

/// What a build without the shop's server says of itself.
#[cfg(not(feature = "shop"))]
const WITHOUT_THE_SHOP: &str =
    "This build plans from files. The shop's pages (serve, demo, backup …) come with the whole: cargo run --package trueround -- demo";

/// Tells what is wrong with the words, and ends.
pub fn refused(e: &clap::Error) -> ! {
    #[cfg(not(feature = "shop"))]
    if e.kind() == clap::error::ErrorKind::InvalidSubcommand {
        anstream::eprintln!("{WITHOUT_THE_SHOP}\n");
    }
    e.exit()
}

/// Plans how the dents of a brass instrument are removed. For every dent: the method, the tool and its size, the force, the
/// risk, the time and the price. For the whole: what comes apart, and in what order.
#[derive(Debug, Parser)]
#[command(version, propagate_version = true, max_term_width = 100)]
#[cfg_attr(not(feature = "shop"), command(after_help = WITHOUT_THE_SHOP))]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
#[allow(clippy::large_enum_variant, reason = "there is one of it, for as long as the program runs")]
pub enum Command {
    /// Plan the repair of a surveyed instrument: summary here; bench card, quote, drawings and plan.json in a folder
    Plan(Plan),
    /// Plan a school contract: which repair for which instrument, on which bench and when, within a budget and a deadline
    Contract(crate::contract_args::Contract),
    /// How it plays: impedance and resonances of a surveyed instrument or of a bore; by how many cents each dent moves each note
    Sound(Sound),
    /// Check a survey for mistakes; writes nothing
    Check(Check),
    /// Start a survey file for an instrument, its runs filled in, with notes on what to measure and how
    Pattern(Pattern),
    /// What the shop's server and its record are for.
    #[cfg(feature = "shop")]
    #[command(flatten)]
    Shop(crate::shop::args::ShopCommand),
    /// Print the JSON Schema of survey, rack or shop files
    Schema(Schema),
    /// Print a completion script for your shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
}

/// In which units lengths are shown. Surveys may mix both whatever is chosen here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Inches, as fractions where one fits
    In,
    /// Millimeters
    Mm,
}

impl Units {
    /// The unit.
    pub fn length(self) -> LengthUnit {
        match self {
            Self::In => LengthUnit::Inch,
            Self::Mm => LengthUnit::Mm,
        }
    }
}

/// Files that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// Surveys
    Survey,
    /// Tool racks
    Rack,
    /// The shop's prices and times
    Shop,
}

/// `trueround schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// Which file's
    #[arg(value_enum, default_value_t = SchemaOf::Survey)]
    pub of: SchemaOf,
}

/// `trueround plan`.
#[derive(Debug, Args)]
pub struct Plan {
    /// The survey (CASE.survey.toml)
    #[arg(value_hint = ValueHint::FilePath)]
    pub case: PathBuf,
    /// Folder for bench card, quote, drawings and plan.json
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub out: PathBuf,
    /// Show lengths in inches (forces in lbf, heat in °F) or in millimeters (N, °C)
    #[arg(long, value_enum, default_value_t = Units::Mm)]
    pub units: Units,
    /// The shop's tools (TOML or CSV); without it the example rack is used, and said
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub rack: Option<PathBuf>,
    /// The shop's prices and times (TOML); without it the example shop is used, and said
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub shop: Option<PathBuf>,
    /// How far the work goes; the quote offers all three
    #[arg(long, value_enum, default_value_t = LevelOf::Good)]
    pub level: LevelOf,
    /// Write reasons.pdf too: the formulas, sources and ranges behind the bench card
    #[arg(long)]
    pub reasons: bool,
    /// What holds for this job beside the shop's prices.
    #[command(flatten)]
    pub terms: Terms,
    /// What a person decides against the plan.
    #[command(flatten)]
    pub what_if: WhatIf,
}

/// What holds for one job beside the shop's prices.
#[derive(Debug, Default, Args)]
#[command(next_help_heading = "Terms of this job")]
pub struct Terms {
    /// It goes before others, at the shop's surcharge
    #[arg(long)]
    pub rush: bool,
    /// Taken off the bill before tax: a part ("10 %") or an amount ("$25")
    #[arg(long, value_name = "OFF", requires = "discount_reason")]
    pub discount: Option<String>,
    /// Why; the customer reads it
    #[arg(long, value_name = "WHY", requires = "discount")]
    pub discount_reason: Option<String>,
    /// The customer pays no tax: the number of the certificate
    #[arg(long, value_name = "CERTIFICATE")]
    pub tax_exempt: Option<String>,
}

/// How far the work goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LevelOf {
    /// Playing condition: function and strength only
    Play,
    /// Dents out: traces may show
    Good,
    /// Restored: every dent, and the finish made good
    Beautiful,
}

impl LevelOf {
    /// As the plan knows it.
    pub fn level(self) -> plan::Level {
        match self {
            Self::Play => plan::Level::Play,
            Self::Good => plan::Level::Good,
            Self::Beautiful => plan::Level::Beautiful,
        }
    }
}

/// Decisions against the plan: it is worked out around them, and what they change is said. Each may be given several times.
#[derive(Debug, Default, Args)]
#[command(next_help_heading = "What if (the plan is worked out around it, and what changes is said)")]
pub struct WhatIf {
    /// Work a dent by this method: straight-rod, curved-rod, mandrel, ball-train, rolling, hammering, magnet, pull-outside
    #[arg(long, value_name = "DENT=WAY")]
    pub work_by: Vec<String>,
    /// Leave a dent
    #[arg(long, value_name = "DENT")]
    pub leave: Vec<String>,
    /// Anneal a dent's place all the same, although the part must stay hard
    #[arg(long, value_name = "DENT")]
    pub anneal: Vec<String>,
    /// Keep a joint shut
    #[arg(long, value_name = "JOINT")]
    pub keep_shut: Vec<String>,
    /// Keep a ferrule, guard, brace foot or patch on
    #[arg(long, value_name = "PART")]
    pub keep_on: Vec<String>,
    /// Take a guard or ferrule off over what is worked under it, although that can be done from inside with it on
    #[arg(long, value_name = "PART")]
    pub take_off: Vec<String>,
    /// No flame near a run (a finish that must not burn); "all" for the whole instrument
    #[arg(long, value_name = "RUN")]
    pub no_flame: Vec<String>,
    /// A tool of the rack is away
    #[arg(long, value_name = "TOOL")]
    pub without: Vec<String>,
    /// No tool is made for this job
    #[arg(long)]
    pub make_no_tools: bool,
    /// Limit the bench time ("6 h", "90 min"): the dents worth least for their time stay
    #[arg(long, value_name = "TIME")]
    pub deadline: Option<String>,
}

/// Size of papers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperOf {
    /// 8½ × 11 in
    Letter,
    /// 210 × 297 mm
    A4,
}

impl PaperOf {
    /// As the report knows it.
    pub fn paper(self) -> report::Paper {
        match self {
            Self::Letter => report::Paper::Letter,
            Self::A4 => report::Paper::A4,
        }
    }
}

/// `trueround sound`.
#[derive(Debug, Args)]
pub struct Sound {
    /// The survey (CASE.survey.toml)
    #[arg(value_hint = ValueHint::FilePath, required_unless_present = "bore", conflicts_with = "bore")]
    pub case: Option<PathBuf>,
    /// A bore instead of a survey: CSV with the columns station_mm,diameter_mm, from the mouthpiece end
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub bore: Option<PathBuf>,
    /// Folder for impedance.csv, resonances.csv and the plots
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub out: PathBuf,
    /// Temperature of the air
    #[arg(long, default_value_t = 20.0, allow_negative_numbers = true)]
    pub temperature_c: f64,
    /// Relative humidity of the air; 0 is dry
    #[arg(long, default_value_t = 0.0)]
    pub humidity_percent: f64,
    /// Losses at the wall
    #[arg(long, value_enum, default_value_t = LossesOf::Full)]
    pub losses: LossesOf,
    /// The bell's end
    #[arg(long, value_enum, default_value_t = RadiationOf::Unflanged)]
    pub radiation: RadiationOf,
    /// Form of the waves in the flare
    #[arg(long, value_enum, default_value_t = WavesOf::Plane)]
    pub waves: WavesOf,
    /// A mouthpiece before the bore: none, usual (of the survey's kind), or of an instrument (trumpet, trombone …). Not given: impedance and resonances without one, the cents of played notes with the usual one
    #[arg(long)]
    pub mouthpiece: Option<String>,
    /// Lowest frequency
    #[arg(long, default_value_t = 10.0)]
    pub from_hz: f64,
    /// Highest frequency
    #[arg(long, default_value_t = 2000.0)]
    pub to_hz: f64,
    /// From one frequency to the next
    #[arg(long, default_value_t = 0.5)]
    pub step_hz: f64,
}

/// Losses at the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LossesOf {
    /// None
    None,
    /// The first terms of the series
    Fast,
    /// Zwikker & Kosten with Bessel functions
    Full,
}

/// The bell's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum RadiationOf {
    /// In the open
    Unflanged,
    /// In an endless wall
    Flanged,
}

/// Form of the waves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum WavesOf {
    /// Flat
    Plane,
    /// Caps of spheres
    Spherical,
}

/// `trueround check`.
#[derive(Debug, Args)]
pub struct Check {
    /// The survey (CASE.survey.toml)
    #[arg(value_hint = ValueHint::FilePath)]
    pub case: PathBuf,
}

/// `trueround pattern`.
#[derive(Debug, Args)]
pub struct Pattern {
    /// The instrument: trumpet, cornet, flugelhorn, trombone, horn, alto-horn, baritone, euphonium, tuba, sousaphone, bugle;
    /// other: its runs still to be described
    pub name: String,
    /// Write to this file instead of the terminal; never over a file that is there
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,
}
