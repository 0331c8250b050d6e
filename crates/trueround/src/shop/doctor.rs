//! `trueround doctor`: whether all is well with the installation.

use super::args::Doctor;
use crate::fail::{Done, Fail};
use store::Store;
use web::doctor::{Stands, examine};

/// Runs it. Exit code 1 where something is bad.
pub fn run(a: &Doctor) -> Done {
    if !a.data.join("shop.sqlite").exists() {
        return Err(Fail::input(format!("{} holds no shop's record", a.data.display())));
    }
    let found = examine(&Store::open(&a.data)?, web::when::now()).map_err(|e| Fail::Machine(e.to_string()))?;
    for f in &found {
        anstream::println!("{:<18} {:<5} {}", f.of, f.stands.word(), f.says);
    }
    match found.iter().filter(|f| f.stands == Stands::Bad).count() {
        0 => Ok(()),
        bad => Err(Fail::Machine(format!("{bad} of {} must be mended", found.len()))),
    }
}
