//! The command line's words.

use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use std::net::SocketAddr;
use std::path::PathBuf;

/// Plans how the dents of a brass instrument are removed. For every dent: the method, the tool and its size, the force, the
/// risk, the time and the price. For the whole: what comes apart, and in what order.
#[derive(Debug, Parser)]
#[command(version, propagate_version = true, max_term_width = 100)]
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
    /// Serve the shop's pages on the local network: counter, survey, plan, quote, bench, final checks
    Serve(Serve),
    /// Open an invented shop with half a year of jobs, to look around in
    Demo(Demo),
    /// Check that all is well: program, record, photos, folder, clock, disk, sign-ins. Exit code 1 where something is not
    Doctor(Doctor),
    /// Save the shop's whole record, photos too, into one file; the shop may go on working
    Backup(Backup),
    /// Put a saved record into an empty folder, checked before anything is put there
    Restore(Restore),
    /// Write the shop's whole record as open formats (JSON Lines, pictures)
    Export(Export),
    /// Read an export into an empty record
    Import(Import),
    /// Give out or erase what the record holds of one customer
    Customer(Customer),
    /// Set a person's password, or take a lost second factor off, where nobody can sign in any more to do it
    Password(Password),
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

/// `trueround serve`.
#[derive(Debug, Args)]
pub struct Serve {
    /// Folder of the shop's record; made where it is not there
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
    /// Address and port; 0.0.0.0 for every tablet in the house, 127.0.0.1 for this machine alone
    #[arg(long, default_value = "0.0.0.0:8460")]
    pub listen: SocketAddr,
    /// Certificate chain (PEM) of your own, read again when it changes. Without one the program makes its own for the network (kept in the data folder, see /trust) and serves this machine alone (127.0.0.1) in plain HTTP
    #[arg(long, requires = "tls_key", value_hint = ValueHint::FilePath)]
    pub tls_certificate: Option<PathBuf>,
    /// The certificate's key (PEM)
    #[arg(long, requires = "tls_certificate", value_hint = ValueHint::FilePath)]
    pub tls_key: Option<PathBuf>,
    /// Serve plain HTTP to the network too: whoever listens there reads passwords and customers' data
    #[arg(long, conflicts_with_all = ["tls_certificate", "redirect_from"])]
    pub insecure: bool,
    /// A name of this machine on your network, for its certificate and for links; may be given several times, the first is that of links
    #[arg(long)]
    pub name: Vec<String>,
    /// A second address and port (0.0.0.0:80) that leads plain HTTP to the encrypted pages
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub redirect_from: Option<SocketAddr>,
    /// Connections that one address may hold open at once; raise it where all tablets come through one proxy
    #[arg(long, default_value_t = web::Caps::default().per_address)]
    pub connections_per_address: usize,
    /// Save the whole record into this folder once a day, best on another disk; the newest of 7 days and of 4 weeks are kept
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub backup_to: Option<PathBuf>,
    /// How the daily backups are sealed
    #[command(flatten)]
    pub sealing: Sealing,
}

/// How a backup is sealed.
#[derive(Debug, Default, Args)]
pub struct Sealing {
    /// File whose first line is the passphrase that seals backups (age format); keep it elsewhere too: without it they open to nobody
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub passphrase_file: Option<PathBuf>,
    /// Leave backups unsealed: whoever holds the file reads every customer's name
    #[arg(long, conflicts_with = "passphrase_file")]
    pub plain: bool,
}

/// `trueround demo`.
#[derive(Debug, Args)]
pub struct Demo {
    /// Keep the demo shop in this folder; without it, it is gone when the program stops
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: Option<PathBuf>,
    /// Address and port; plain HTTP, so this machine alone
    #[arg(long, default_value = "127.0.0.1:8460")]
    pub listen: SocketAddr,
    /// Show it to the network too, without encryption
    #[arg(long)]
    pub insecure: bool,
    /// Add this many plain jobs, to see how the pages answer in a large shop
    #[arg(long)]
    pub fill: Option<u32>,
    /// Connections that one address may hold open at once; raise it where all tablets come through one proxy
    #[arg(long, default_value_t = web::Caps::default().per_address)]
    pub connections_per_address: usize,
}

/// `trueround doctor`.
#[derive(Debug, Args)]
pub struct Doctor {
    /// Folder of the shop's record
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
}

/// `trueround backup`.
#[derive(Debug, Args)]
pub struct Backup {
    /// Folder of the shop's record
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
    /// File to write (.zip.age, or .zip where it is not sealed)
    #[arg(value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// How it is sealed; with neither option the passphrase comes from TRUEROUND_PASSPHRASE, or is asked for without showing
    #[command(flatten)]
    pub sealing: Sealing,
}

/// `trueround restore`.
#[derive(Debug, Args)]
pub struct Restore {
    /// The saved record (.zip or .zip.age), or the folder of a damaged one: it is only read
    #[arg(value_hint = ValueHint::FilePath)]
    pub from: PathBuf,
    /// Empty folder for the record
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
    /// Save what can be saved of a damaged backup, and say what not
    #[arg(long)]
    pub salvage: bool,
    /// File whose first line is the passphrase; without it TRUEROUND_PASSPHRASE, or a sealed backup asks
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub passphrase_file: Option<PathBuf>,
}

/// `trueround export`.
#[derive(Debug, Args)]
pub struct Export {
    /// Folder of the shop's record
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
    /// Folder to make
    #[arg(value_hint = ValueHint::DirPath)]
    pub to: PathBuf,
}

/// `trueround import`.
#[derive(Debug, Args)]
pub struct Import {
    /// The export's folder
    #[arg(value_hint = ValueHint::DirPath)]
    pub from: PathBuf,
    /// Folder of the empty record; made where it is not there
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
}

/// `trueround customer`.
#[derive(Debug, Args)]
pub struct Customer {
    /// What to do.
    #[command(subcommand)]
    pub act: CustomerAct,
}

/// What is done with one customer's data.
#[derive(Debug, Subcommand)]
pub enum CustomerAct {
    /// Write all that is kept of a customer: JSON, photos, signed papers
    Export {
        /// The customer's number: it stands in the address of their page
        id: i64,
        /// Folder of the shop's record
        #[arg(long, value_hint = ValueHint::DirPath)]
        data: PathBuf,
        /// Folder to make
        #[arg(long, value_hint = ValueHint::DirPath)]
        to: PathBuf,
    },
    /// Erase name, telephone, e-mail, notes, signatures and signed papers, out of the journal too; amounts and dates stay
    Erase {
        /// The customer's number
        id: i64,
        /// Folder of the shop's record
        #[arg(long, value_hint = ValueHint::DirPath)]
        data: PathBuf,
        /// Why: it is what stays in the journal
        #[arg(long)]
        reason: String,
    },
}

/// `trueround password`. The password itself is asked for, without showing; or it comes from a file, from TRUEROUND_PASSWORD, or piped in.
#[derive(Debug, Args)]
pub struct Password {
    /// Sign-in name
    pub login: String,
    /// File whose first line is the new password
    #[arg(long, value_hint = ValueHint::FilePath)]
    pub password_file: Option<PathBuf>,
    /// Leave the password, and take the second factor off: the phone and the recovery codes are lost
    #[arg(long, conflicts_with = "password_file")]
    pub remove_second_factor: bool,
    /// Folder of the shop's record
    #[arg(long, value_hint = ValueHint::DirPath)]
    pub data: PathBuf,
}
