//! What a search found of a part of a choice.

/// What was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The way of each dent that has any, in the order asked; none where nothing was found.
    pub methods: Option<Vec<Option<usize>>>,
    /// What it costs; infinite where nothing was found.
    pub cost: f64,
    /// No choice under the cut costs less.
    pub bound: f64,
    /// Choices looked at.
    pub nodes: u64,
}
