//! The shop's rack and prices as they are kept: TOML text under a version; a form changes one place of it.

use crate::app::{App, EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::unit_format::UnitFormat;
use crate::when;
use store::By;

/// A file as a page shows it.
pub struct ShopFile {
    /// Its text; the example's where the shop has not begun its own.
    pub text: String,
    /// The version that a form is made from: 0 where the shop has not begun its own.
    pub version: i64,
    /// Whether the shop has begun its own.
    pub own: bool,
}

/// The file of a setting, [`RACK`] or [`SHOP`].
///
/// # Errors
/// Where the record fails.
pub fn read(app: &App, key: &str) -> Outcome<ShopFile> {
    let (text, version) = app.store().setting_seen(key)?;
    let own = text.is_some();
    Ok(ShopFile { text: text.unwrap_or_else(|| example(key).to_owned()), version, own })
}

/// The example of a setting.
pub fn example(key: &str) -> &'static str {
    if key == RACK { EXAMPLE_RACK } else { EXAMPLE_SHOP }
}

/// A file with nothing in it.
pub fn empty(key: &str) -> &'static str {
    if key == RACK { "trueround_rack = 1\n" } else { "trueround_shop = 1\n" }
}

/// The setting of a word in an address or a form.
///
/// # Errors
/// Where there is none.
pub fn setting_named(word: &str) -> Outcome<&'static str> {
    match word {
        "rack" => Ok(RACK),
        "shop" => Ok(SHOP),
        other => Err(Problem::Missing(format!("there is no file {other}"))),
    }
}

/// Keeps a file that was made from the version which its form was made from.
///
/// # Errors
/// Where somebody saved in between.
pub fn keep(app: &App, signed: &Signed, key: &str, version: i64, text: &str) -> Outcome<()> {
    Ok(app.store().change_setting(By { who: &signed.person.login, at: when::now() }, key, version, text)?)
}

/// Why a form is refused, each beside its field.
pub fn refused(fmt: UnitFormat, all: Vec<(String, ::survey::Problem)>) -> Problem {
    let words = |p: &::survey::Problem| format!("{}. {}", fmt.text(&p.what).trim_end_matches('.'), fmt.sentence(&p.hint));
    Problem::Fields(all.into_iter().map(|(key, p)| (key, words(&p))).collect())
}

/// A file that was kept and is no TOML: it is mended as a file.
pub fn unreadable(p: ::survey::Problem) -> Problem {
    Problem::Bad(format!("the shop's file cannot be shown as a form: {p} Mend it under “As a file”"))
}
