//! The shop's prices, minutes and people as forms show them, and the shop's file changed in the places that were typed. What can be
//! taken is decided by the file's own reader.

pub mod jobs;
pub mod minutes;
pub mod people;
pub mod prices;

use crate::problem::Problem;
use crate::shop::read_shop;

/// Why a form cannot be taken: the field beside which it is said (empty: none), and what is wrong.
pub type Refused = Vec<(String, Problem)>;

fn refused(field: &str, what: String, hint: &str) -> (String, Problem) {
    (field.to_owned(), Problem { line: None, field: field.to_owned(), what: what.into(), hint: hint.into(), warning: false })
}

fn whole(problem: Problem) -> Refused {
    vec![(String::new(), problem)]
}

/// The new file, if nothing is wrong with it that was not wrong before.
fn checked(before: &str, after: String) -> Result<String, Refused> {
    let told = |p: &Problem| (p.field.clone(), p.what.metric(), p.hint.metric());
    let known: Vec<_> = read_shop(before).1.iter().map(told).collect();
    let new = read_shop(&after).1.into_iter().filter(|p| !p.warning && !known.contains(&told(p)));
    let wrong: Refused = new.map(|p| (p.field.clone(), p)).collect();
    if wrong.is_empty() { Ok(after) } else { Err(wrong) }
}

/// Whether a text is a number and nothing else.
fn bare(text: &str) -> bool {
    text.bytes().any(|b| b.is_ascii_digit()) && text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-'))
}
