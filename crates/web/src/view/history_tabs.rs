//! Where the pages of the shop's history are.

use maud::{Markup, html};

const PAGES: [(&str, &str); 3] =
    [("/history", "How long things took"), ("/history/times", "What was learned"), ("/history/quotes", "Do quotes hold?")];

/// Where they are; `here` is the one that is shown.
pub fn tabs(here: &str) -> Markup {
    html! { nav.tabs.scroll aria-label="History" { @for (path, name) in PAGES { a href=(path) aria-current=[(path == here).then_some("page")] { (name) } } } }
}
