//! What every part of reading a survey shares: its problems so far, where its parts stand, the unit of bare numbers.

use crate::problem::Problem;
use std::collections::BTreeMap;
use std::ops::Range;
use units::{LengthUnit, Text};

/// A survey file larger than this is refused before it is read.
pub const MAX_SURVEY_BYTES: usize = 4 * 1024 * 1024;

/// What was found so far.
pub(super) struct Reader<'t> {
    pub(super) text: &'t str,
    pub(super) problems: Vec<Problem>,
    /// The same of dents and conditions, until the instrument under them is known to be sound.
    pub(super) of_damage: Vec<Problem>,
    /// Where the parts and their fields stand, by the paths of [`instrument::check`].
    pub(super) places: BTreeMap<String, Range<usize>>,
    pub(super) default: Option<LengthUnit>,
}

impl Reader<'_> {
    pub(super) fn problem(&mut self, span: Option<&Range<usize>>, field: impl Into<String>, what: impl Into<Text>, hint: impl Into<Text>) {
        self.problems.push(Problem::error(self.text, span, field, what, hint));
    }

    pub(super) fn place(&mut self, path: impl Into<String>, span: &Range<usize>) {
        self.places.insert(path.into(), span.clone());
    }
}
