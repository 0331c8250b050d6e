//! An offer as a card: for the customer, and for the counter with what its price is made of.

use maud::{Markup, html};
use quote::words::price_name;
use quote::{Offer, Quote};
use units::money::show_price;

/// What is told of every offer; nothing where there is nothing.
pub fn told_of_all(quote: &Quote) -> Markup {
    let told = quote.told_of_all();
    html! { @if !told.is_empty() { section.card { h2 { "What to know before you choose" } ul { @for words in &told { li { (words) } } } } } }
}

/// The offer's name, its price, and what it adds to the one before it for how much more.
fn head(quote: &Quote, offer: &Offer) -> Markup {
    let money = |amount| show_price(amount, &quote.currency);
    html! {
        h2 { (offer.name) }
        p.price.num { (money(offer.bill.total)) }
        p.soft.small { (price_name(quote.prices)) @if !quote.tax_words(offer).is_empty() { ", " (quote.tax_words(offer)) } }
        @match quote.more_than_before(offer) {
            Some((before, more)) => {
                p { strong { (money(more)) " more than " (before.name) ":" } }
                ul { @for words in &offer.adds { li { (words) } } }
            }
            None => { @if let Some(words) = offer.words.first() { p { (words) } } }
        }
    }
}

/// An offer as the customer sees it.
pub fn for_customer(quote: &Quote, offer: &Offer) -> Markup {
    html! {
        section.card.offer {
            (head(quote, offer))
            @for words in &quote.told_of(offer) { p { (words) } }
            @if let Some(words) = offer.deposit_words(&quote.currency) { p { strong { (words) } } }
            details {
                summary { "All of it" }
                @for words in &offer.words { p { (words) } }
                p { (offer.time_words()) " " (quote.rests_on.to_customer()) }
                p.soft { (offer.verdict.words) }
            }
        }
    }
}

/// An offer as the counter sees it: with its lines, and what each of its figures is.
pub fn for_counter(quote: &Quote, offer: &Offer) -> Markup {
    let money = |amount| show_price(amount, &quote.currency);
    let (low, high) = offer.range;
    html! {
        section.card.offer {
            (head(quote, offer))
            @for words in offer.words.iter().skip(usize::from(quote.more_than_before(offer).is_none())) { p { (words) } }
            @for words in &quote.told_of(offer) { p { (words) } }
            @if let Some(words) = offer.deposit_words(&quote.currency) { p { strong { (words) } } }
            p.soft { (offer.verdict.words) }
            dl {
                dt { "Time" } dd { (offer.time_words()) " " span.soft { (quote.rests_on.words()) } }
                @if low < high { dt { "Cost of that time" } dd { "In 8 of 10 jobs like this, at your prices, " (money(low)) " to " (money(high)) "." } }
            }
            details { summary { "What the price is made of" }
                table { tbody { @for (what, amount) in offer.bill.on_quote() { tr { th scope="row" { (what) } td.n { (money(amount)) } } } } }
            }
        }
    }
}
