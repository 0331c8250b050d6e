//! TOML tables to the files' types, with as many problems as can be found in one go: a field that cannot be read is told
//! and left out, and the rest of its table is read all the same.

use crate::problem::{Problem, line_of};
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value of a file with its place.
pub(crate) type Entry<'t> = Spanned<DeValue<'t>>;

/// More syntax errors than this are not listed: the first ones usually cause the rest.
const MOST_SYNTAX_ERRORS: usize = 8;

/// The table of a whole file.
///
/// # Errors
/// The places where the text is not TOML, or one problem where it is larger than `most_bytes`.
pub(crate) fn table<'t>(text: &'t str, most_bytes: usize, kind: &str) -> Result<DeTable<'t>, Vec<Problem>> {
    if text.len() > most_bytes {
        return Err(vec![Problem {
            line: None,
            field: String::new(),
            what: format!("the file holds {:.1} MB, more than the {} MB that are read", text.len() as f64 / 1e6, most_bytes >> 20),
            mend: format!("{kind} is a few pages of text; look whether this is the right file"),
            warning: false,
        }]);
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return Ok(table.into_inner());
    }
    let problem = |e: &toml::de::Error| {
        let line = e.span().map(|s| line_of(text, s.start));
        let written = line.and_then(|n| text.lines().nth(n - 1)).unwrap_or_default();
        let mend = if written.matches('"').count() % 2 == 1 {
            "an inch mark ends a text in double quotes: write 1 1/8 in, or put it in single quotes, '1 1/8\"'"
        } else {
            "write every line as `name = value`, texts in quotes, lists in [ ]; `trueround pattern NAME` writes a whole file to start from"
        };
        Problem { line, field: String::new(), what: format!("this is not TOML: {}", e.message()), mend: mend.to_owned(), warning: false }
    };
    let mut problems: Vec<Problem> = errors.iter().take(MOST_SYNTAX_ERRORS).map(problem).collect();
    // The parser tells some places twice in other words.
    problems.dedup_by_key(|p| p.line);
    Err(problems)
}

/// Reads one table as a `T`; `field` names it in problems (`tool rod-8`). `None` where it cannot be used.
pub(crate) fn entry<'t, T: Deserialize<'t>>(text: &str, field: &str, value: Entry<'t>, problems: &mut Vec<Problem>) -> Option<T> {
    let span = value.span();
    let mut value = value;
    let mut told: Vec<String> = Vec::new();
    loop {
        let error = match T::deserialize(toml::de::ValueDeserializer::from(value.clone())) {
            Ok(read) => return Some(read),
            Err(error) => error,
        };
        let missing = error.message().strip_prefix("missing field `").and_then(|m| m.split('`').next());
        // A field that was told to be unreadable is not told to be missing as well.
        if missing.is_none_or(|m| told.iter().all(|t| t != m)) {
            problems.push(problem(text, field, &error, &span));
        }
        let DeValue::Table(table) = value.get_mut() else { return None };
        let at = error.span().filter(|_| missing.is_none())?;
        let key = table.iter().find(|(k, v)| overlaps(&k.span(), &at) || overlaps(&v.span(), &at)).map(|(k, _)| k.clone())?;
        told.push(key.get_ref().to_string());
        table.remove(&key);
    }
}

fn overlaps(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end.max(b.start + 1) && b.start < a.end.max(a.start + 1)
}

/// What serde says, in the words of the bench.
fn problem(text: &str, field: &str, e: &toml::de::Error, whole: &Range<usize>) -> Problem {
    let span = e.span().unwrap_or_else(|| whole.clone());
    let message = e.message();
    let quoted = |prefix: &str| message.strip_prefix(prefix).and_then(|m| m.split('`').next());
    let (what, mend) = if let Some(unknown) = quoted("unknown field `") {
        let known: Vec<&str> = message.split('`').skip(3).step_by(2).collect();
        let mend = match nearest(unknown, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it may have {}", known.join(", ")),
        };
        (format!("there is no `{unknown}` here"), mend)
    } else if let Some(missing) = quoted("missing field `") {
        (format!("`{missing}` is missing"), format!("add a line `{missing} = …`"))
    } else if message.contains("did not match any variant") {
        (
            "this is neither a text nor a number".to_owned(),
            "write it with its unit, in quotes, like \"11.66 mm\" or \"1 1/32 in\"".to_owned(),
        )
    } else if let Some(rest) = message.strip_prefix("invalid type: ") {
        let (found, wanted) = rest.split_once(", expected ").unwrap_or((rest, "another kind of value"));
        (format!("this is the {found}"), format!("write {wanted} here"))
    } else {
        (message.to_owned(), "compare it with docs/survey-format.md".to_owned())
    };
    Problem { line: Some(line_of(text, span.start)), field: field.to_owned(), what, mend, warning: false }
}

/// The word that is nearest to a wrong one, where one is near.
pub(crate) fn nearest<'a>(wrong: &str, words: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    words.map(|w| (strsim::osa_distance(wrong, w), w)).min().filter(|(d, w)| *d <= 1 + w.len() / 4).map(|(_, w)| w)
}
