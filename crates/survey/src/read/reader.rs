//! What every part of reading a survey shares: its problems so far, where its parts stand, the unit of bare numbers.

use crate::problem::{self, Problem};
use std::collections::BTreeMap;
use std::ops::Range;
use units::{LengthUnit, Text};

/// A survey file larger than this is refused before it is read.
pub const MAX_SURVEY_BYTES: usize = 4 * 1024 * 1024;

/// What was found so far.
pub(crate) struct Reader<'t> {
    pub(crate) text: &'t str,
    pub(crate) problems: Vec<Problem>,
    /// The same of dents and conditions, until the instrument under them is known to be sound.
    pub(crate) of_damage: Vec<Problem>,
    /// Where the parts and their fields stand, by the paths of [`instrument::check`].
    pub(crate) places: BTreeMap<String, Range<usize>>,
    pub(crate) default: Option<LengthUnit>,
}

impl<'t> Reader<'t> {
    /// Nothing found yet.
    pub(crate) fn new(text: &'t str, default: Option<LengthUnit>) -> Self {
        Self { text, problems: Vec::new(), of_damage: Vec::new(), places: BTreeMap::new(), default }
    }

    pub(super) fn problem(&mut self, span: Option<&Range<usize>>, field: impl Into<String>, what: impl Into<Text>, hint: impl Into<Text>) {
        let span = problem::while_told(&self.problems, span);
        self.problems.push(Problem::error(self.text, span, field, what, hint));
    }

    pub(super) fn place(&mut self, path: impl Into<String>, span: &Range<usize>) {
        self.places.insert(path.into(), span.clone());
    }
}
