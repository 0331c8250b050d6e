//! TOML tables to the files' types, with as many problems as can be found in one go: a field that cannot be read is told
//! and left out, and the rest of its table is read all the same.

use crate::problem::{MOST_TOLD, Problem, Wrong, line_of};
use crate::shape::{Found, Shape};
use crate::syntax;
use schemars::JsonSchema;
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value of a file with its place.
pub(crate) type Entry<'t> = Spanned<DeValue<'t>>;

/// More syntax errors than this are not listed: the first ones usually cause the rest.
const MOST_SYNTAX_ERRORS: usize = 8;

/// The table of a whole file, which begins with its `first_line`.
///
/// # Errors
/// The places where the text is not TOML, or one problem where it is larger than `most_bytes`.
pub(crate) fn table<'t>(text: &'t str, most_bytes: usize, kind: &str, first_line: &str) -> Result<DeTable<'t>, Vec<Problem>> {
    if text.len() > most_bytes {
        return Err(vec![Problem {
            line: None,
            field: String::new(),
            what: format!("the file holds {:.1} MB, more than the {} MB that are read", text.len() as f64 / 1e6, most_bytes >> 20).into(),
            hint: format!("{kind} is a few pages of text; look whether this is the right file").into(),
            warning: false,
        }]);
    }
    if let Some((at, wrong)) = syntax::of_file(text, first_line) {
        return Err(vec![Problem {
            line: Some(line_of(text, at)),
            field: String::new(),
            what: wrong.what,
            hint: wrong.hint,
            warning: false,
        }]);
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return Ok(table.into_inner());
    }
    let problem = |e: &toml::de::Error| {
        let line = e.span().map(|s| line_of(text, s.start));
        let wrong = syntax::of_line(text, line.unwrap_or(1), e.message());
        Problem { line, field: String::new(), what: wrong.what, hint: wrong.hint, warning: false }
    };
    let mut problems: Vec<Problem> = errors.iter().take(MOST_SYNTAX_ERRORS).map(problem).collect();
    // The parser tells some places twice in other words.
    problems.sort_by_key(|p| p.line);
    problems.dedup_by_key(|p| p.line);
    Err(problems)
}

/// Reads one table as a `T`; `field` names it in problems (`tool rod-8`). `None` where it cannot be used. What does not fit
/// the type's shape is told and taken out before.
pub(crate) fn entry<'t, T: Deserialize<'t> + JsonSchema>(
    text: &str,
    field: &str,
    value: Entry<'t>,
    problems: &mut Vec<Problem>,
) -> Option<T> {
    entry_of(text, field, &Shape::of::<T>(), value, problems)
}

/// As [`entry`], where the shape is at hand already.
pub(crate) fn entry_of<'t, T: Deserialize<'t>>(
    text: &str,
    field: &str,
    shape: &Shape,
    mut value: Entry<'t>,
    problems: &mut Vec<Problem>,
) -> Option<T> {
    let span = value.span();
    let mut refusals = |at: &Range<usize>, path: &str, wrong: Wrong| {
        let line = (problems.len() < MOST_TOLD).then(|| line_of(text, at.start));
        let field = match (field, path) {
            (field, "") => field.to_owned(),
            ("", path) => path.to_owned(),
            (field, path) => format!("{field}: {path}"),
        };
        problems.push(Problem { line, field, what: wrong.what, hint: wrong.hint, warning: false });
    };
    let mut found = Vec::new();
    let usable = shape.prune(&mut value, &mut found);
    for Found { at, path, wrong } in found {
        refusals(&at, &path, wrong);
    }
    if !usable {
        return None;
    }
    match T::deserialize(toml::de::ValueDeserializer::from(value)) {
        Ok(read) => Some(read),
        // What fits its shape is read; this is said as the library says it, should a type ever ask for more than its shape.
        Err(error) => {
            refusals(&error.span().unwrap_or(span), "", Wrong::new(error.message(), "compare it with docs/survey-format.md"));
            None
        }
    }
}
