//! Rates, taxes, parts, what damage costs: one field each, with its unit.

use super::{Refused, bare, checked, refused, whole};
use crate::document::{document, has, put_at};
use crate::problem::Problem;
use crate::shop::{BRACE, key, read_shop};
use crate::words::{Word, plain};
use instrument::Role;
use quote::Shop;
use rust_decimal::Decimal;
use toml_edit::{DocumentMut, Item, Value};

/// What a field holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Words.
    Words,
    /// Lines, parted by semicolons.
    Lines,
    /// An amount.
    Money,
    /// An amount an hour.
    MoneyPerHour,
    /// An amount for a millimeter.
    MoneyPerMm,
    /// Per cent.
    Percent,
    /// Whole days.
    Days,
    /// A number of jobs.
    Jobs,
    /// Where the tax is rounded, by the key of a [`quote::TaxRounding`].
    Rounding,
}

/// A field.
#[derive(Clone, Debug)]
pub struct PriceField {
    /// Its place in the file (`tax.parts`).
    pub path: String,
    /// What it is called.
    pub label: String,
    /// What it holds.
    pub holds: Holds,
    /// What it does.
    pub about: &'static str,
    /// What holds now, without its unit.
    pub value: String,
    /// Whether the shop's file says it; else common practice is taken.
    pub said: bool,
}

/// Fields that stand in one form.
#[derive(Clone, Debug)]
pub struct PriceGroup {
    /// Its key.
    pub key: &'static str,
    /// What stands over it.
    pub title: &'static str,
    /// Its fields.
    pub fields: Vec<PriceField>,
}

fn money(x: f64) -> String {
    let text = format!("{x:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    text.to_owned()
}

fn percent(x: f64) -> String {
    money(100.0 * x)
}

fn part(x: Decimal) -> String {
    (x * Decimal::ONE_HUNDRED).normalize().to_string()
}

fn amount(x: Decimal) -> String {
    x.normalize().to_string()
}

/// One line of the tables below: path, label, what it holds, what it does, its value.
type Line = (&'static str, &'static str, Holds, &'static str, fn(&Shop) -> String);

const CONTACT: &[Line] = &[
    ("name", "Shop's name", Holds::Words, "Stands on every quote and invoice.", |s| s.name.clone()),
    ("address", "Address", Holds::Lines, "Its lines with semicolons between: 12 Saltmarsh Lane; Port Harrow.", |s| {
        s.contact.address.join("; ")
    }),
    ("telephone", "Telephone", Holds::Words, "As customers dial it. Stands on papers, on their page, and where a link has ended.", |s| {
        s.contact.telephone.clone()
    }),
    ("email", "E-mail", Holds::Words, "Stands on papers and on the customer's page.", |s| s.contact.email.clone()),
];

const RATES: &[Line] = &[
    ("currency", "Currency sign", Holds::Words, "Stands before every amount.", |s| s.currency.clone()),
    ("labour_per_hour", "Labor", Holds::MoneyPerHour, "What an hour at the bench costs.", |s| money(s.standards.labour_per_hour)),
    ("minimum_charge", "Minimum charge", Holds::Money, "The least a job costs, before tax.", |s| amount(s.minimum_charge)),
    ("overhead_per_job", "Shop handling", Holds::Money, "Intake, handling and billing, for each job.", |s| amount(s.overhead_per_job)),
    ("supplies", "Shop supplies", Holds::Percent, "Solder, gas, flux, abrasives: a part of the labor of each job. 0: not charged.", |s| {
        part(s.supplies)
    }),
    ("rush", "Rush surcharge", Holds::Percent, "A part of the labor, where a job goes before others. Chosen on the job.", |s| part(s.rush)),
    ("deposit", "Deposit", Holds::Percent, "The part of a total that is due when the customer says yes. 0: none.", |s| part(s.deposit)),
    ("deposit_from", "Deposit from a total of", Holds::Money, "Smaller jobs ask for none.", |s| amount(s.deposit_from)),
    ("round_to", "Round totals to", Holds::Money, "0.01 is to the cent. Halves go up.", |s| amount(s.round_to)),
    ("valid_days", "A quote holds for", Holds::Days, "Days from the day it is given.", |s| s.valid_days.to_string()),
    (
        "charged_at",
        "Chance that the work stays within the time charged",
        Holds::Percent,
        "50 charges the middle. 80 is on the safe side.",
        |s| percent(s.charged_at),
    ),
    (
        "correlation",
        "How far the times of one job go together",
        Holds::Percent,
        "An instrument that fights back does so everywhere.",
        |s| percent(s.correlation),
    ),
    ("advise_against_above", "Advise against repair above", Holds::Percent, "Of the instrument's value.", |s| {
        percent(s.advise_against_above)
    }),
];

const TAXES: &[Line] = &[
    ("tax.labour", "Tax on labor", Holds::Percent, "Follows your state's law.", |s| part(s.tax_on_labour)),
    ("tax.parts", "Tax on parts", Holds::Percent, "Follows your state's law. Work that you send out is taxed as parts.", |s| {
        part(s.tax_on_parts)
    }),
    ("tax.supplies", "Tax on shop supplies", Holds::Percent, "Left empty: as on parts.", |s| part(s.tax_on_supplies)),
    ("tax.rush", "Tax on the rush surcharge", Holds::Percent, "Left empty: as on labor.", |s| part(s.tax_on_rush)),
    ("tax.rounding", "Round the tax", Holds::Rounding, "States differ. Quote, invoice and data follow this.", |s| {
        s.tax_rounding.key().to_owned()
    }),
];

const PARTS: &[Line] = &[
    ("parts.markup", "Markup on parts", Holds::Percent, "Added to what a part costs you.", |s| part(s.markup_on_parts)),
    ("parts.delivery_days", "Days until an ordered part is here", Holds::Days, "0 where you stock what you need.", |s| {
        s.delivery_days.to_string()
    }),
    (
        "parts.tools_charged",
        "Share of a tool's cost that the customer pays",
        Holds::Percent,
        "0: the shop keeps the tool and pays for it.",
        |s| part(s.tools_charged),
    ),
    ("parts.tool_material", "Material for a tool you make", Holds::Money, "Bar stock, for a plain one.", |s| {
        money(s.standards.tool_material)
    }),
    ("parts.tool_serves_jobs", "Jobs a new tool serves", Holds::Jobs, "Its cost is spread over these.", |s| {
        money(s.standards.tool_serves_jobs)
    }),
];

const DAMAGE: &[Line] = &[
    ("damage.finish_per_mm", "Finish burnt", Holds::MoneyPerMm, "What it costs to make good, for each length of tube.", |s| {
        money(s.standards.finish_per_mm)
    }),
    ("damage.spoiled_part", "A spoiled part without a price", Holds::Money, "Where no price of a new one is known.", |s| {
        money(s.standards.spoiled_part)
    }),
    ("damage.heat_risk", "Chance that a heat spoils something else", Holds::Percent, "Beyond what each step reckons.", |s| {
        percent(s.standards.heat_risk)
    }),
    (
        "damage.crack_charged",
        "Share of a crack's cost that the customer pays",
        Holds::Percent,
        "Where the work starts a crack in sound metal.",
        |s| part(s.crack_charged),
    ),
    (
        "damage.spoiled_charged",
        "Share of a spoiled part that the customer pays",
        Holds::Percent,
        "0: the shop pays for its own slip.",
        |s| part(s.spoiled_charged),
    ),
    ("damage.untrue_place", "A place that shows all over", Holds::Money, "Weighs in the choice of the method. It is not billed.", |s| {
        money(s.standards.untrue_place)
    }),
    ("damage.wait_for_part", "Waiting for a part", Holds::Money, "Weighs in the choice of the method. It is not billed.", |s| {
        money(s.standards.wait_for_part)
    }),
    (
        "worth.function",
        "A dent left in the way of a slide, valve or bore",
        Holds::Money,
        "What it means to the customer. Weighs under a deadline only.",
        |s| money(s.standards.worth.function),
    ),
    ("worth.structural", "A crack or weak place left", Holds::Money, "What it means to the customer. Weighs under a deadline only.", |s| {
        money(s.standards.worth.structural)
    }),
    ("worth.cosmetic", "A dent left that only shows", Holds::Money, "What it means to the customer. Weighs under a deadline only.", |s| {
        money(s.standards.worth.cosmetic)
    }),
];

/// The fields of a shop's file, with what holds now.
///
/// # Errors
/// Where the file is not TOML.
pub fn prices(text: &str) -> Result<Vec<PriceGroup>, Problem> {
    let doc = document(text)?;
    let shop = read_shop(text).0;
    let group = |key, title, lines: &[Line]| {
        let fields = lines.iter().map(|(path, label, holds, about, get)| PriceField {
            path: (*path).to_owned(),
            label: (*label).to_owned(),
            holds: *holds,
            about,
            value: get(&shop),
            said: has(&doc, path),
        });
        PriceGroup { key, title, fields: fields.collect() }
    };
    let mut all = vec![
        group("contact", "Your shop", CONTACT),
        group("rates", "Rates", RATES),
        group("taxes", "Taxes", TAXES),
        group("parts", "Parts and tools", PARTS),
        group("damage", "When something goes wrong", DAMAGE),
    ];
    let new_part = |word: &str, value: f64| PriceField {
        path: format!("replacement.{word}"),
        label: format!("{}{}", word[..1].to_uppercase(), &word[1..]),
        holds: Holds::Money,
        about: "",
        value: money(value),
        said: key_in(&doc, word).is_some(),
    };
    let mut roles: Vec<Role> = Vec::new();
    let mut fields = Vec::new();
    for (role, word) in Role::WORDS {
        if let Some(price) = shop.standards.replacement_run.get(&key(*role)).filter(|_| !roles.contains(role)) {
            roles.push(*role);
            fields.push(new_part(word, *price));
        }
    }
    fields.push(new_part(BRACE, shop.standards.brace_price));
    all.push(PriceGroup { key: "new", title: "Prices of new parts", fields });
    Ok(all)
}

/// The key under which the file has the price of a new part.
fn key_in(doc: &DocumentMut, word: &str) -> Option<String> {
    let table = doc.get("replacement").and_then(Item::as_table_like)?;
    let same = |k: &str| if word == BRACE { plain(k) == BRACE } else { Role::read(k).is_some_and(|r| r.word() == word) };
    table.iter().map(|(k, _)| k).find(|k| same(k)).map(str::to_owned)
}

/// The shop's file with these fields as typed, each with its path; an empty one is taken out, and common practice holds.
///
/// # Errors
/// Each field that cannot be, by its path; then nothing is changed.
pub fn with_prices(text: &str, typed: &[(String, String)]) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    let currency = doc.get("currency").and_then(Item::as_str).unwrap_or("$").trim().to_owned();
    let fields: Vec<PriceField> = prices(text).map_err(whole)?.into_iter().flat_map(|g| g.fields).collect();
    let mut wrong = Vec::new();
    for (path, typed) in typed {
        let typed = typed.trim();
        let Some(field) = fields.iter().find(|f| f.path == *path) else { continue };
        match value(field, typed, &currency) {
            Ok(value) => match path.strip_prefix("replacement.") {
                Some(word) => {
                    let key = key_in(&doc, word).unwrap_or_else(|| word.to_owned());
                    if value.is_some() || doc.contains_key("replacement") {
                        put_at(&mut doc, &format!("replacement.{key}"), value);
                    }
                }
                None => put_at(&mut doc, path, value),
            },
            Err(problem) => wrong.push(problem),
        }
    }
    let read = checked(text, doc.to_string());
    match (wrong.is_empty(), read) {
        (true, Ok(text)) => Ok(text),
        (_, Ok(_)) => Err(wrong),
        (_, Err(more)) => {
            wrong.extend(more.into_iter().map(|(field, p)| (own_path(&doc, &fields, field), p)));
            Err(wrong)
        }
    }
}

/// The form's path of a field that the file calls by another word.
fn own_path(doc: &DocumentMut, fields: &[PriceField], field: String) -> String {
    let own = |f: &&PriceField| {
        f.path.strip_prefix("replacement.").and_then(|word| key_in(doc, word)).is_some_and(|k| format!("replacement.{k}") == field)
    };
    fields.iter().find(own).map_or(field, |f| f.path.clone())
}

fn value(field: &PriceField, typed: &str, currency: &str) -> Result<Option<Value>, (String, Problem)> {
    if typed.is_empty() {
        return Ok(None);
    }
    let number = || typed.replace(',', ".").parse::<f64>().ok().filter(|x| x.is_finite());
    Ok(Some(match field.holds {
        Holds::Words | Holds::Rounding => Value::from(typed),
        Holds::Lines => Value::from_iter(typed.split(';').map(str::trim).filter(|line| !line.is_empty())),
        Holds::Money | Holds::MoneyPerHour | Holds::MoneyPerMm if bare(typed) && currency == "$" => Value::from(format!("${typed}")),
        Holds::Money | Holds::MoneyPerHour | Holds::MoneyPerMm => Value::from(typed),
        Holds::Percent if bare(typed) => Value::from(format!("{typed} %")),
        Holds::Percent => Value::from(typed),
        Holds::Days => match typed.parse::<u32>() {
            Ok(days) => Value::from(i64::from(days)),
            Err(_) => return Err(refused(&field.path, format!("“{typed}” is no number of days"), "write a whole number, like 30")),
        },
        Holds::Jobs => match number() {
            Some(jobs) => Value::from(jobs),
            None => return Err(refused(&field.path, format!("“{typed}” is no number of jobs"), "write a number, like 5")),
        },
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../../demo/shop.toml");

    fn typed(list: &[(&str, &str)]) -> Vec<(String, String)> {
        list.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()
    }

    #[test]
    fn a_price_changes_in_its_place_and_its_comment_stays() {
        let after = with_prices(DEMO, &typed(&[("minimum_charge", "40"), ("tax.parts", "8"), ("valid_days", "14")])).unwrap();
        let meant = DEMO
            .replace("minimum_charge = \"$35\"  ", "minimum_charge = \"$40\"  ")
            .replace("parts = \"7.25 %\"", "parts = \"8 %\"")
            .replace("valid_days = 30", "valid_days = 14");
        assert_eq!(after, meant);
        assert!(after.contains("# the least that a job costs, before tax"));
    }

    #[test]
    fn every_field_goes_in_as_it_is_shown_and_changes_nothing_of_the_shop() {
        for text in [DEMO, "trueround_shop = 1\n"] {
            let shown: Vec<_> = prices(text).unwrap().into_iter().flat_map(|g| g.fields).filter(|f| !f.value.is_empty()).collect();
            assert!(shown.len() > 40, "{}", shown.len());
            let all: Vec<_> = shown.iter().map(|f| (f.path.clone(), f.value.clone())).collect();
            let after = with_prices(text, &all).unwrap();
            assert_eq!(read_shop(&after).0, read_shop(text).0);
            assert!(prices(&after).unwrap().iter().flat_map(|g| &g.fields).filter(|f| !f.value.is_empty()).all(|f| f.said));
            // Each one, left empty, is common practice again.
            for f in &shown {
                let without = with_prices(&after, &typed(&[(&f.path, "")])).unwrap_or_else(|e| panic!("{}: {e:?}", f.path));
                let now = prices(&without).unwrap().into_iter().flat_map(|g| g.fields).find(|n| n.path == f.path).unwrap();
                assert!(!now.said, "{}", f.path);
            }
        }
    }

    #[test]
    fn what_cannot_be_is_said_of_its_field() {
        let wrong = with_prices(
            DEMO,
            &typed(&[
                ("labour_per_hour", "much"),
                ("tax.parts", "700"),
                ("valid_days", "soon"),
                ("replacement.leadpipe", "dear"),
                ("round_to", "0"),
            ]),
        )
        .unwrap_err();
        let mut keys: Vec<_> = wrong.iter().map(|(k, _)| k.as_str()).collect();
        keys.sort_unstable();
        assert_eq!(keys, ["labour_per_hour", "replacement.leadpipe", "round_to", "tax.parts", "valid_days"]);
    }
}
