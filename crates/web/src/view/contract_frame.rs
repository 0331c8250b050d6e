//! The frame of a contract's pages: whose it is, where they are.

use crate::auth::{Need, Signed};
use crate::problem::Problem;
use crate::unit_format::UnitFormat;
use crate::view::figures::sentence;
use ::survey::contract::InFile;
use maud::{Markup, html};
use store::contracts::ContractRow;

/// A contract's head line and the places that the reader may go to; `here` is the one that is shown.
pub fn head(signed: &Signed, row: &ContractRow, here: &str) -> Markup {
    let places = [
        ("", "Plan", Need::Quote),
        ("/work", "Work lists", Need::Look),
        ("/tools", "Tools", Need::Quote),
        ("/head", "Budget and benches", Need::Quote),
        ("/tables", "Tables", Need::Quote),
    ];
    html! {
        h1 { (row.name) }
        nav.tabs.scroll aria-label="Contract" {
            @for (path, name, need) in places { @if signed.may(need) {
                a href={ "/contracts/" (row.id) (path) } aria-current=[(path == here).then_some("page")] { (name) }
            } }
        }
    }
}

/// A problem of a contract's text as a person reads it beside its field: what, and how to mend it.
pub fn beside(fmt: UnitFormat, p: &InFile) -> String {
    format!("{} {}", sentence(&fmt.text(&p.problem.what)), fmt.sentence(&p.problem.hint))
}

/// What hinders a contract, for a form of one of its rows: beside the field where it is `here`, with its place where it is not.
pub fn refused(fmt: UnitFormat, all: &[InFile], here: impl Fn(&InFile) -> bool) -> Problem {
    let told = |p: &InFile| if here(p) { (p.problem.field.clone(), beside(fmt, p)) } else { (String::new(), placed(fmt, p)) };
    Problem::Fields(all.iter().map(told).collect())
}

/// The same with its place.
pub fn placed(fmt: UnitFormat, p: &InFile) -> String {
    let line = p.problem.line.map_or_else(String::new, |l| format!(", line {l}"));
    let field = if p.problem.field.is_empty() { String::new() } else { format!(", {}", p.problem.field) };
    format!("{}{line}{field}: {}", p.file, beside(fmt, p))
}
