//! What is wrong with a survey, and how to mend it.

use units::Text;

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The survey can be planned; somebody should look.
    Warning,
    /// The survey cannot be planned.
    Error,
}

/// A problem.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// How bad.
    pub severity: Severity,
    /// Where: list, name, field: `dents.d7.at`, `runs.first-branch.bore`, `joints.j3`.
    pub path: String,
    /// What is wrong.
    pub what: Text,
    /// How to mend it.
    pub hint: Text,
}

/// Problems found so far.
pub(crate) struct Found(pub(crate) Vec<Problem>);

impl Found {
    pub(crate) fn error(&mut self, path: impl Into<String>, what: impl Into<Text>, hint: impl Into<Text>) {
        self.0.push(Problem { severity: Severity::Error, path: path.into(), what: what.into(), hint: hint.into() });
    }
    pub(crate) fn warning(&mut self, path: impl Into<String>, what: impl Into<Text>, hint: impl Into<Text>) {
        self.0.push(Problem { severity: Severity::Warning, path: path.into(), what: what.into(), hint: hint.into() });
    }
}
