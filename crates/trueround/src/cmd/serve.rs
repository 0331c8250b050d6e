//! `trueround serve`: the shop's pages on the local network.

use crate::args::Serve;
use crate::fail::{Done, Fail};
use std::net::SocketAddr;
use store::people::PersonRole;
use store::{By, Store};
use web::{App, Caps, Listen};

/// Runs it.
pub fn run(a: &Serve) -> Done {
    let store = Store::open(&a.data)?;
    first_start(&store)?;
    let tls = a.tls_certificate.clone().zip(a.tls_key.clone());
    for told in store.noticed() {
        anstream::eprintln!("warning: {told}");
    }
    let app = App::new(store, tls.is_some());
    match &a.backup_to {
        Some(folder) => {
            let passphrase = super::record::passphrase(&a.sealing)?;
            super::daily::begin(app.clone(), folder.clone(), passphrase)?;
        }
        None => anstream::eprintln!("No daily backup: give a folder on another disk with --backup-to."),
    }
    listen(app, Listen { at: a.listen, tls, caps: caps(a.connections_per_address) })
}

/// Requests that wait for the record or compute at once, the others wait their turn: each may hold a reader of the record and a plan.
const BLOCKING: usize = 16;

/// How many connections may be open: as many as usual in all, and no fewer than one address may have.
pub fn caps(per_address: usize) -> Caps {
    Caps { per_address: per_address.max(1), in_all: Caps::default().in_all.max(per_address) }
}

/// Serves until told to stop.
pub fn listen(app: App, listen: Listen) -> Done {
    tracing_subscriber::fmt().with_writer(std::io::stderr).with_max_level(tracing::Level::WARN).init();
    let scheme = if listen.tls.is_some() { "https" } else { "http" };
    let at = listen.at;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .max_blocking_threads(BLOCKING)
        .build()
        .map_err(|e| Fail::Machine(e.to_string()))?;
    let ready = move |at: SocketAddr| {
        anstream::println!("The shop is open at {scheme}://{at} (stop it with Ctrl-C).");
        if at.ip().is_unspecified() {
            anstream::println!("From a tablet in the house: {scheme}://<this machine's name or address>:{}", at.port());
        }
    };
    runtime.block_on(web::serve(app, listen, ready)).map_err(|e| Fail::Machine(format!("{at}: {e}")))
}

/// Makes the owner's account where nobody can sign in yet, and says how.
fn first_start(store: &Store) -> Done {
    let people = store.people()?;
    if people.iter().any(|p| p.role == PersonRole::Owner && p.active) && store.somebody_can_sign_in()? {
        return Ok(());
    }
    let password: String = web::password::token().map_err(|e| Fail::Machine(e.to_string()))?.chars().take(16).collect();
    let hash = web::password::hash(&password).map_err(|e| Fail::Machine(e.to_string()))?;
    let by = By { who: "first start", at: web::when::now() };
    let login = match people.iter().find(|p| p.role == PersonRole::Owner && p.active) {
        Some(owner) => {
            store.set_password(by, owner.id, &hash)?;
            owner.login.clone()
        }
        None => {
            store.add_person(by, "owner", "Owner", PersonRole::Owner, &hash)?;
            "owner".to_owned()
        }
    };
    anstream::println!("First start. Sign in as “{login}” with the password {password}");
    anstream::println!("It is shown this once; change it under People.");
    Ok(())
}
