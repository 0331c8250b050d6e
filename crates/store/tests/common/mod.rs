//! Who writes, a quote as it is given, and a yes to it.

use store::By;
use store::agreements::{SaidHow, Yes};
use store::offers::NewQuote;

pub const BY: By<'static> = By { who: "ottilie", at: 1_800_000_000 };

pub const YES: Yes<'static> = Yes {
    level: "play",
    total: "100.00",
    name: "A. Parent",
    signature: "",
    how: SaidHow::Signed,
    taken_by: "",
    plan: ("application/json", b"{}"),
    paper: None,
};

/// Behind a link, with what it was made from.
pub fn given(token: &str) -> NewQuote<'_> {
    NewQuote { token, body: "{}", valid_until: None, made_from: Some("{}"), adds_to: None }
}
