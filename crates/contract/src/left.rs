//! Why an instrument is left.

use crate::model::{Contract, Horn, Standing};
use serde::Serialize;

/// Why nothing is done with an instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Left {
    /// Nothing on it needs work.
    Sound,
    /// Any repair would cost more than the shop advises at its value.
    Dear,
    /// No bench has the skills.
    NoSkill,
    /// Money and time do more good elsewhere.
    NoRoom,
}

impl Left {
    /// Why an instrument without a place in the plan has none; none where it is done already.
    pub fn why(contract: &Contract, horn: &Horn) -> Option<Self> {
        if matches!(horn.standing, Standing::Done { .. }) {
            return None;
        }
        let open = horn.open_offers(contract);
        let able = |o: &&crate::model::Offer| contract.benches.iter().any(|b| o.skills.is_subset(&b.skills));
        Some(if horn.offers.is_empty() {
            Self::Sound
        } else if open.is_empty() {
            Self::Dear
        } else if !open.iter().any(able) {
            Self::NoSkill
        } else {
            Self::NoRoom
        })
    }

    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sound => "Nothing on it needs work.",
            Self::Dear => "The repair would cost too much for what it is worth. Look for a replacement.",
            Self::NoSkill => "No bench in this contract does the work that it needs.",
            Self::NoRoom => "The budget and the time do more good on other instruments.",
        }
    }
}
