//! What is asked of an instrument, on its own page and on its owner's.

use crate::auth::Signed;
use crate::layout;
use crate::redisplay::Refill;
use maud::{Markup, html};
use store::counter::InstrumentCard;

/// Kinds that have a pattern, as the record and the survey name them, and as people say them.
pub const KINDS: &[(&str, &str)] = &[
    ("trumpet", "Trumpet"),
    ("cornet", "Cornet"),
    ("flugelhorn", "Flugelhorn"),
    ("trombone", "Trombone"),
    ("horn", "Horn"),
    ("alto_horn", "Alto horn"),
    ("baritone", "Baritone"),
    ("euphonium", "Euphonium"),
    ("tuba", "Tuba"),
    ("sousaphone", "Sousaphone"),
    ("bugle", "Bugle"),
];

/// The fields of an instrument's form.
pub fn fields<'a>(signed: &Signed, of: Option<&'a InstrumentCard>, refill: Refill<'a>) -> Markup {
    let beside = |name: &str, saved: fn(&InstrumentCard) -> &str| of.map(|i| refill.beside(name, saved(i))).unwrap_or_default();
    let text = |name: &str, saved: fn(&InstrumentCard) -> &str| refill.text(name, of.map_or("", saved));
    html! {
        (layout::csrf(signed))
        (refill.problems())
        @if let Some(i) = of { (refill.version(i.version)) }
        label { span { "Kind" } select name="kind" required {
            @for (key, name) in KINDS { option value=(key) selected[refill.has("kind", key, of.is_some_and(|i| i.kind == *key))] { (name) } }
        } (beside("kind", |i| &i.kind)) }
        label { span { "Maker" } input name="maker" value=(text("maker", |i| &i.maker)); (beside("maker", |i| &i.maker)) }
        label { span { "Model" } input name="model" value=(text("model", |i| &i.model)); (beside("model", |i| &i.model)) }
        label { span { "Serial number" } input name="serial" value=(text("serial", |i| &i.serial)); (beside("serial", |i| &i.serial)) }
        label { span { "Owner's number on it (asset tag)" } input name="asset" value=(text("asset", |i| &i.asset)); (beside("asset", |i| &i.asset)) }
        label { span { "Value in good condition" } input name="value" inputmode="decimal" value=(text("value", |i| i.value.as_deref().unwrap_or_default())); (beside("value", |i| i.value.as_deref().unwrap_or_default())) }
    }
}

/// What a kind is called.
pub fn kind_name(kind: &str) -> &str {
    KINDS.iter().find(|(key, _)| *key == kind).map_or(kind, |(_, name)| name)
}
