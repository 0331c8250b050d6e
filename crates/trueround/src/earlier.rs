//! An earlier plan of a contract, for what changes.

use crate::case;
use crate::fail::{Done, Fail};
use contract::more::{Change, Earlier, Place};
use contract::{Contract, Planned};
use serde::Deserialize;
use std::path::Path;

#[derive(Deserialize)]
struct File {
    plan: Earlier,
}

/// Reads the contract.json of an earlier plan.
pub fn read(path: &Path) -> Done<Earlier> {
    let text = case::table_text(path)?;
    let file: File = serde_json::from_str(&text).map_err(|e| {
        Fail::input(format!(
            "{}: this is no plan of a contract: {e}. To mend it: name the contract.json of an earlier plan.",
            path.display()
        ))
    })?;
    Ok(file.plan)
}

fn place(p: Option<&Place>) -> String {
    p.map_or_else(
        || "left".to_owned(),
        |p| {
            let day = p.day.as_deref().map(|d| format!(", {}", report::contract_files::day(d))).unwrap_or_default();
            format!("{}, {}{day}", quote::words::name(p.level).to_lowercase(), p.bench)
        },
    )
}

/// Tells what changes from an earlier plan, and what stays fixed.
pub fn tell(contract: &Contract, before: &Earlier, now: &Planned) {
    let changes = contract::more::since(contract, before, now);
    let (real, moved): (Vec<&Change>, Vec<&Change>) = changes.iter().partition(|c| c.is_of_substance());
    let fixed = contract.horns.iter().filter(|h| h.standing != contract::Standing::Open).count();
    anstream::println!("Against the earlier plan: {fixed} instruments are done or begun and stay as they are.");
    anstream::println!("{} change, {} only move to another day:", real.len(), moved.len());
    for c in real {
        anstream::println!("  {}: {} → {}", c.tag, place(c.before.as_ref()), place(c.after.as_ref()));
    }
}
