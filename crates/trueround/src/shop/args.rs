//! The command line's words for the shop's server and its record.

use clap::{Args, Subcommand, ValueHint};
use std::net::SocketAddr;
use std::path::PathBuf;

/// The commands of the shop's server and its record.
#[derive(Debug, Subcommand)]
#[allow(clippy::large_enum_variant, reason = "there is one of it, for as long as the program runs")]
pub enum ShopCommand {
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
