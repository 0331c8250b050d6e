//! `trueround serve`: the shop's pages on the local network.

use super::args::Serve;
use crate::fail::{Done, Fail};
use std::net::SocketAddr;
use store::people::PersonRole;
use store::{By, Store};
use web::hosts::Names;
use web::{App, Caps, Certificate, Listen, Site};

/// Runs it.
pub fn run(a: &Serve) -> Done {
    let store = Store::open_alone(&a.data)?;
    first_start(&store)?;
    let names = names(&a.name);
    let certificate = certificate(a, &names)?;
    if a.redirect_from.is_some() && certificate.is_none() {
        return Err(Fail::input(
            "--redirect-from leads to encrypted pages, and on this machine alone there are none: give --listen 0.0.0.0:8460, or a certificate",
        ));
    }
    if a.insecure && !a.listen.ip().is_loopback() {
        anstream::println!("Not encrypted (--insecure): whoever listens on this network reads passwords and customers' data.");
    }
    for told in store.noticed() {
        anstream::eprintln!("warning: {told}");
    }
    if store.photos_to_look_through()? > 0 {
        anstream::println!(
            "Photos from before are looked through once for what they tell beside the picture; the shop may work meanwhile."
        );
    }
    let app = App::at(store, Site { secure: certificate.is_some(), certificate, names });
    match &a.backup_to {
        Some(folder) => {
            let passphrase = super::secret::passphrase(&a.sealing)?;
            super::daily::begin(app.clone(), folder.clone(), passphrase)?;
        }
        None => anstream::eprintln!("No daily backup: give a folder on another disk with --backup-to."),
    }
    make_photos_plain(app.clone());
    listen(app, Listen { at: a.listen, redirect_from: a.redirect_from, caps: caps(a.connections_per_address) })
}

/// Takes what photos from before tell beside the picture out of their files, while the shop is open.
fn make_photos_plain(app: App) {
    std::thread::spawn(move || match app.store().make_photos_plain(By { who: "metadata strip", at: web::when::now() }) {
        Ok(done) if !done.unreadable.is_empty() => {
            tracing::warn!("photos {:?} cannot be read as pictures and stay as they are", done.unreadable);
        }
        Ok(_) => {}
        Err(e) => tracing::error!("photos from before: {e}"),
    });
}

/// The certificate to serve with: the shop's; else the program's own, but for this machine alone, which needs none. Plain HTTP
/// reaches the network only where somebody said so.
fn certificate(a: &Serve, names: &Names) -> Done<Option<Certificate>> {
    if let (Some(chain), Some(key)) = (a.tls_certificate.clone(), a.tls_key.clone()) {
        return Ok(Some(Certificate { chain, key, own: false }));
    }
    if a.insecure || a.listen.ip().is_loopback() {
        return Ok(None);
    }
    let mut all = vec!["localhost".to_owned()];
    all.extend(names.all().iter().cloned());
    web::certificate::own(&a.data, &all, a.listen).map(Some).map_err(|e| Fail::Machine(format!("the certificate: {e}")))
}

/// The names under which the shop is reached: those given, and the machine's own.
pub fn names(given: &[String]) -> Names {
    Names::new(given, web::certificate::machine_name())
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
    let scheme = if app.secure() { "https" } else { "http" };
    let served = app.certificate().cloned();
    let at = listen.at;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .max_blocking_threads(BLOCKING)
        .build()
        .map_err(|e| Fail::Machine(e.to_string()))?;
    let ready = move |at: SocketAddr| {
        anstream::println!("The shop is open at {scheme}://{at} (stop it with Ctrl-C).");
        if let Some(served) = &served {
            for (print, of) in
                web::certificate::fingerprints(&served.chain).unwrap_or_default().iter().zip(["certificate", "authority that signed it"])
            {
                anstream::println!("SHA-256 of the {of}: {print}");
            }
            if served.own {
                anstream::println!("Tablets warn until they trust it: {scheme}://<this machine>:{}/trust says how.", at.port());
            }
        }
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
