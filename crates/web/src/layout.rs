//! The frame round every page.

use crate::auth::{Need, Signed};
use maud::{DOCTYPE, Markup, html};

/// A page for somebody who is signed in. `wide` pages use the whole screen.
pub fn page(signed: &Signed, title: &str, body: Markup) -> Markup {
    frame(
        title,
        Some(signed),
        html! {
            header.top {
                a.home href="/" aria-label="trueround: to the jobs" { (mark()) span { "trueround" } }
                nav aria-label="Shop" { (links(signed)) }
                (told(signed))
                details.menu {
                    summary aria-label={ "Menu of " (signed.person.name) } { span.menu-name { (signed.person.name.split_whitespace().next().unwrap_or_default()) } span.menu-word { "Menu" } }
                    // On a screen that has no room for them in a line the shop's pages stand here.
                    div { div.menu-pages { (links(signed)) (told(signed)) } a href="/me" { "My account" } (out(signed)) }
                }
            }
            main id="main" { (body) }
        },
    )
}

/// The shop's pages that the reader may see.
fn links(signed: &Signed) -> Markup {
    let places: [(&str, &str, Need); 8] = [
        ("/", "Jobs", Need::Look),
        ("/customers", "Customers", Need::Counter),
        ("/contracts", "Contracts", Need::Look),
        ("/history", "History", Need::History),
        ("/money", "Money", Need::Owner),
        ("/people", "People", Need::Owner),
        ("/shop", "Shop", Need::Owner),
        ("/journal", "Journal", Need::Owner),
    ];
    html! { @for (path, name, need) in places { @if signed.may(need) { a href=(path) { (name) } } } }
}

/// The unit in which lengths are told on this tablet.
fn told(signed: &Signed) -> Markup {
    html! {
        div.told role="group" aria-label="Lengths in" {
            @for (unit, words) in [("mm", "mm"), ("in", "inch")] {
                button.quiet type="button" data-told=(unit) aria-pressed=(if signed.fmt.symbol() == unit { "true" } else { "false" }) { (words) }
            }
        }
    }
}

fn out(signed: &Signed) -> Markup {
    html! { form.out method="post" action="/sign-out" { (csrf(signed)) button.quiet type="submit" { "Sign out" } } }
}

/// A page for nobody in particular: sign-in, errors, the customer's page.
pub fn bare(title: &str, body: Markup) -> Markup {
    frame(title, None, html! { main.bare id="main" { (body) } })
}

/// As [`bare`], for a page that needs room.
pub fn bare_wide(title: &str, body: Markup) -> Markup {
    frame(title, None, html! { main.bare.wide id="main" { (body) } })
}

/// The token field of a form.
pub fn csrf(signed: &Signed) -> Markup {
    html! { input type="hidden" name="csrf" value=(signed.csrf); }
}

fn frame(title: &str, signed: Option<&Signed>, inside: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                @if let Some(signed) = signed {
                    meta name="csrf" content=(signed.csrf);
                    meta name="person" content=(signed.person.id) data-name=(signed.person.name);
                }
                title { (title) " · trueround" }
                link rel="icon" href="/assets/mark.svg" type="image/svg+xml";
                link rel="stylesheet" href="/assets/style.css";
                script src="/assets/page.js" defer {}
                @if signed.is_some() { script src="/assets/waiting.js" defer {} script src="/assets/photos.js" defer {} }
            }
            body {
                a.skip href="#main" { "Skip to the page" }
                (inside)
                div id="net" role="status" aria-live="polite" {}
            }
        }
    }
}

/// The project's mark: a tube in section, dented on one side and true on the other.
fn mark() -> Markup {
    html! { img src="/assets/mark.svg" width="28" height="28" alt=""; }
}
