//! What every way of reading a rack shares: the tools so far, the problems so far, the unit of bare numbers.

use crate::problem::{self, Problem};
use crate::words::plain;
use reach::Tool;
use std::collections::BTreeSet;
use std::ops::Range;
use units::{LengthUnit, Text};

/// A rack file larger than this is refused before it is read.
pub const MAX_RACK_BYTES: usize = 4 * 1024 * 1024;

/// Steady push of one hand on a tool, N, where the file does not say. Common practice, no source.
pub(super) const HAND_PUSH_N: f64 = 150.0;
/// Push that a person leans on a rod in a vise, N, where the file does not say. Common practice, no source.
pub(super) const LEAN_N: f64 = 400.0;
/// Tools and problems as they come.
pub(super) struct Reader<'t> {
    pub(super) text: &'t str,
    pub(super) problems: Vec<Problem>,
    pub(super) default: Option<LengthUnit>,
    pub(super) tools: Vec<Tool>,
    /// Tools that were read and are out of use.
    pub(super) retired: usize,
    pub(super) ids: BTreeSet<String>,
}

impl<'t> Reader<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Self { text, problems: Vec::new(), default: None, tools: Vec::new(), retired: 0, ids: BTreeSet::new() }
    }

    pub(super) fn problem(&mut self, span: Option<&Range<usize>>, field: impl Into<String>, what: impl Into<Text>, hint: impl Into<Text>) {
        let span = problem::while_told(&self.problems, span);
        self.problems.push(Problem::error(self.text, span, field, what, hint));
    }

    pub(super) fn default_unit(&mut self, unit: &str, span: &Range<usize>) {
        match plain(unit).as_str() {
            "mm" => self.default = Some(LengthUnit::Mm),
            "in" | "inch" | "inches" => self.default = Some(LengthUnit::Inch),
            other => self.problem(
                Some(span),
                "units",
                format!("“{other}” is not a unit for a whole file"),
                "write units = \"mm\" or units = \"in\"",
            ),
        }
    }
}
