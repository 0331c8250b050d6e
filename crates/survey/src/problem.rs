//! What is wrong with a file: where, what, and how to mend it.

use std::fmt;
use std::ops::Range;
use units::Text;

/// A problem in a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// Line, from 1; none where the file as a whole is meant.
    pub line: Option<usize>,
    /// The field, as a path (`dent d7: at`); empty where none is meant.
    pub field: String,
    /// What is wrong.
    pub what: Text,
    /// How to mend it.
    pub hint: Text,
    /// Whether the file can be used all the same.
    pub warning: bool,
}

impl Problem {
    /// What rules out a part of a file, by the place in its text.
    pub(crate) fn error(
        text: &str,
        span: Option<&Range<usize>>,
        field: impl Into<String>,
        what: impl Into<Text>,
        hint: impl Into<Text>,
    ) -> Self {
        let line = span.map(|s| line_of(text, s.start));
        Self { line, field: field.into(), what: what.into(), hint: hint.into(), warning: false }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        if !self.field.is_empty() {
            write!(f, "{}: ", self.field)?;
        }
        let (what, hint) = (self.what.metric(), self.hint.metric());
        let hint = hint.trim_end_matches('.');
        write!(f, "{}. To mend it: {hint}{}", what.trim_end_matches('.'), if hint.ends_with('?') { "" } else { "." })
    }
}

/// What is wrong with a value, and how to mend it, before anybody says where it stood.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrong {
    /// What is wrong.
    pub what: Text,
    /// How to mend it.
    pub hint: Text,
}

impl Wrong {
    /// What is wrong, and how to mend it.
    pub fn new(what: impl Into<Text>, hint: impl Into<Text>) -> Self {
        Self { what: what.into(), hint: hint.into() }
    }
}

/// Problems of one file that are told: who mends these sees the next.
pub(crate) const MOST_TOLD: usize = 200;

/// The place of one more problem; none once as many are told as are told: finding its line takes as long as the file is.
pub(crate) fn while_told<'s>(told: &[Problem], span: Option<&'s Range<usize>>) -> Option<&'s Range<usize>> {
    span.filter(|_| told.len() < MOST_TOLD)
}

/// The problems of a file that are told, in the order of their lines, the last of them how many more there are.
pub(crate) fn told(mut problems: Vec<Problem>) -> Vec<Problem> {
    let more = problems.len().saturating_sub(MOST_TOLD);
    let all_warnings = problems.iter().skip(MOST_TOLD).all(|p| p.warning);
    problems.truncate(MOST_TOLD);
    problems.sort_by_key(|p| p.line.unwrap_or(0));
    if more > 0 {
        problems.push(Problem {
            line: None,
            field: String::new(),
            what: format!("{more} more problems are not told").into(),
            hint: "mend these first; look whether this is the right file".into(),
            warning: all_warnings,
        });
    }
    problems
}

/// The line of a byte offset, from 1.
pub(crate) fn line_of(text: &str, offset: usize) -> usize {
    text[..text.floor_char_boundary(offset)].matches('\n').count() + 1
}

/// The text of a file's bytes.
///
/// # Errors
/// Where they are not UTF-8, with the line.
pub fn text_of(bytes: &[u8]) -> Result<&str, Problem> {
    std::str::from_utf8(bytes).map_err(|e| {
        let line = bytes[..e.valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
        let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
        let what = if utf16 { "this file was saved as UTF-16" } else { "here stands a sign that is not written in UTF-8" };
        let hint = "open it in an editor and save it as plain text in UTF-8";
        Problem { line: Some(line), field: String::new(), what: what.into(), hint: hint.into(), warning: false }
    })
}
