//! `trueround demo`: the invented shop of Saltmarsh Lane, filled with half a year of invented jobs.

use super::args::Demo;
use super::demo_shop;
use super::serve;
use crate::fail::{Done, Fail};
use store::Store;
use web::{App, Listen, Site};

/// Runs it.
pub fn run(a: &Demo) -> Done {
    if !a.insecure && !a.listen.ip().is_loopback() {
        return Err(Fail::input(
            "the demo is plain HTTP and stays on this machine (127.0.0.1); with --insecure it is shown to the network too",
        ));
    }
    let (_gone_at_the_end, folder) = match &a.data {
        Some(folder) => (None, folder.clone()),
        None => {
            let dir = tempfile::tempdir().map_err(|e| Fail::Machine(e.to_string()))?;
            let path = dir.path().to_owned();
            (Some(dir), path)
        }
    };
    let store = Store::open_alone(&folder)?;
    if store.people()?.is_empty() {
        store.filling(|| {
            demo_shop::fill(&store, web::when::now())?;
            a.fill.map_or(Ok(()), |more| demo_shop::many(&store, web::when::now(), more))
        })?;
    }
    anstream::println!("An invented shop. Sign in as ottilie (owner), ramon (technician), wren (apprentice) or desk (counter);");
    anstream::println!("everybody's password is: {}", demo_shop::PASSWORD);
    let listen = Listen { at: a.listen, redirect_from: None, caps: serve::caps(a.connections_per_address) };
    serve::listen(App::at(store, Site { names: serve::names(&[]), ..Site::default() }), listen)
}
