//! Where a formula or a table comes from.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// How far a source can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rank {
    /// Published, and quoted as read.
    Published,
    /// A closed form that anyone can derive.
    ClosedForm,
    /// Quoted from memory of a named publication.
    FromMemory,
    /// Common practice of the trade, no source.
    CommonPractice,
    /// Computed by this project's own model; the text says which.
    OwnModel,
}

/// A source with its rank. The text names the publication, the derivation or the model.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// How far it can be trusted.
    pub rank: Rank,
    /// The publication, the derivation, or what is common practice.
    pub text: Cow<'static, str>,
}

impl Source {
    /// Published and quoted as read.
    pub const fn published(text: &'static str) -> Self {
        Self { rank: Rank::Published, text: Cow::Borrowed(text) }
    }
    /// A closed form that anyone can derive.
    pub const fn closed_form(text: &'static str) -> Self {
        Self { rank: Rank::ClosedForm, text: Cow::Borrowed(text) }
    }
    /// From memory of a named publication.
    pub const fn from_memory(text: &'static str) -> Self {
        Self { rank: Rank::FromMemory, text: Cow::Borrowed(text) }
    }
    /// Common practice of the trade, no source.
    pub const fn common_practice(text: &'static str) -> Self {
        Self { rank: Rank::CommonPractice, text: Cow::Borrowed(text) }
    }
    /// This project's own model.
    pub const fn own_model(text: &'static str) -> Self {
        Self { rank: Rank::OwnModel, text: Cow::Borrowed(text) }
    }
}
