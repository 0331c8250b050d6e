//! The frame of the shop's own pages: where they are, and whether the example still stands in for the shop's own.

use crate::app::RACK;
use crate::auth::Signed;
use crate::layout;
use crate::redisplay::Refill;
use crate::shop_file::ShopFile;
use maud::{Markup, html};

const PAGES: [(&str, &str); 7] = [
    ("/shop/tools", "Tools"),
    ("/shop/prices", "Prices and taxes"),
    ("/shop/minutes", "Minutes"),
    ("/shop/jobs", "Standard jobs"),
    ("/shop/benches", "Benches"),
    ("/shop/files", "As a file"),
    ("/people", "People"),
];

/// Where the shop's pages are; `here` is the one that is shown.
pub fn tabs(here: &str) -> Markup {
    html! {
        nav.tabs.scroll aria-label="Shop settings" {
            @for (path, name) in PAGES { a href=(path) aria-current=[(path == here).then_some("page")] { (name) } }
        }
    }
}

/// A group of the shop's settings with its form: what was refused comes back as typed.
pub fn group_form(signed: &Signed, action: &str, (key, title): (&str, &str), version: i64, refill: Refill<'_>, fields: &Markup) -> Markup {
    html! {
        section.card id=(key) {
            h2 { (title) }
            form method="post" action=(action) {
                (layout::csrf(signed)) (refill.problems()) (refill.version(version))
                input type="hidden" name="group" value=(key);
                (fields)
                button type="submit" { "Save" }
            }
        }
    }
}

/// Says that the example is in use, and offers to begin.
pub fn example_in_use(signed: &Signed, key: &str, file: &ShopFile) -> Markup {
    let (which, what, more) = if key == RACK {
        ("rack", "The example rack is in use. These are not your tools.", "Plans name tools that you may not have.")
    } else {
        ("shop", "Example prices are in use. They are not yours.", "Quotes carry the example shop's name and rates.")
    };
    html! {
        @if !file.own {
            section.card {
                p.warn { strong { (what) } " " (more) }
                p { "Start from the example and change it, or start empty and add your own." }
                form.row method="post" action="/shop/start" {
                    (layout::csrf(signed))
                    input type="hidden" name="which" value=(which);
                    input type="hidden" name="version" value=(file.version);
                    button type="submit" name="with" value="example" { "Start from the example" }
                    button.plain type="submit" name="with" value="empty" { "Start empty" }
                }
            }
        }
    }
}

/// A part of an address, as a browser sends it.
pub fn in_address(text: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.' | b'~');
    text.bytes().map(|b| if plain(b) { char::from(b).to_string() } else { format!("%{b:02X}") }).collect()
}
