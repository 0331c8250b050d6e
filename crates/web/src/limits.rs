//! How often something may be tried, and how large what comes in may be.

use crate::problem::{Outcome, Problem};
use governor::clock::DefaultClock;
use governor::state::keyed::DefaultKeyedStateStore;
use governor::{Quota, RateLimiter};
use std::hash::{BuildHasher, RandomState};
use std::net::IpAddr;
use std::num::NonZeroU32;

/// By a hash of the key: nothing that was typed is kept.
type Keyed = RateLimiter<u64, DefaultKeyedStateStore<u64>, DefaultClock>;

/// Most bytes of one upload.
pub const UPLOAD_BYTES: usize = 12 * 1024 * 1024;
/// Most bytes of one form of somebody who is signed in.
pub const FORM_BYTES: usize = 2 * 1024 * 1024;
/// Most bytes of a form of somebody who is not: a name and a password, a customer's answer.
pub const STRANGERS_FORM_BYTES: usize = 16 * 1024;
/// Most fields of one form.
pub const FIELDS: usize = 100;
/// Most bytes of a sign-in name.
pub const NAME_BYTES: usize = 64;
/// Keys that a limiter remembers; beyond that all new ones share one.
const KEYS: usize = 10_000;

/// Rate limits: sign-in by address and by name, the customer's page by address.
pub struct Limits {
    hasher: RandomState,
    sign_in_address: Keyed,
    sign_in_name: Keyed,
    public: Keyed,
}

fn per_minute(n: u32) -> Quota {
    Quota::per_minute(NonZeroU32::new(n).unwrap_or(NonZeroU32::MIN))
}

impl Limits {
    /// Fresh limits.
    pub fn new() -> Self {
        // A whole shop can sign in from behind one address in the morning; one name is tried by one person.
        Self {
            hasher: RandomState::new(),
            sign_in_address: RateLimiter::keyed(per_minute(60)),
            sign_in_name: RateLimiter::keyed(per_minute(8)),
            public: RateLimiter::keyed(per_minute(120)),
        }
    }

    /// One try from an address to sign in: asked before the record is.
    ///
    /// # Errors
    /// [`Problem::TooMany`].
    pub fn sign_in_from(&self, from: IpAddr) -> Outcome<()> {
        self.one(&self.sign_in_address, self.hasher.hash_one(from.to_canonical()))
    }

    /// One try to sign in by a name; a tablet that is known by its token tries under that, so that strangers cannot use up its tries.
    ///
    /// # Errors
    /// [`Problem::TooMany`].
    pub fn sign_in_as(&self, name: &SignInName, tablet: Option<&str>) -> Outcome<()> {
        self.one(&self.sign_in_name, self.hasher.hash_one((name.key(), tablet)))
    }

    /// One look at a customer's page.
    ///
    /// # Errors
    /// [`Problem::TooMany`].
    pub fn public(&self, from: IpAddr) -> Outcome<()> {
        self.one(&self.public, self.hasher.hash_one(from.to_canonical()))
    }

    fn one(&self, limiter: &Keyed, key: u64) -> Outcome<()> {
        if limiter.len() >= KEYS {
            limiter.retain_recent();
        }
        let key = if limiter.len() >= KEYS { 0 } else { key };
        limiter.check_key(&key).map_err(|_| Problem::TooMany)
    }

    /// Forgets addresses and names that have been quiet, so that the tables do not grow for ever.
    pub fn sweep(&self) {
        for limiter in [&self.sign_in_address, &self.sign_in_name, &self.public] {
            limiter.retain_recent();
            limiter.shrink_to_fit();
        }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self::new()
    }
}

/// A sign-in name as it was typed, without the blanks about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignInName(String);

impl SignInName {
    /// Reads it.
    ///
    /// # Errors
    /// [`Problem::Bad`] where it is longer than any name is.
    pub fn read(typed: &str) -> Outcome<Self> {
        let name = typed.trim();
        if name.len() > NAME_BYTES {
            return Err(Problem::Bad(format!("no sign-in name is longer than {NAME_BYTES} bytes")));
        }
        Ok(Self(name.to_owned()))
    }

    /// As it stands in the record.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The key by which tries are counted: small letters, no blanks, no characters that cannot be seen.
    pub fn key(&self) -> String {
        self.0.chars().filter(|c| !c.is_whitespace() && !c.is_control()).flat_map(char::to_lowercase).collect()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn blanks_and_capitals_win_no_further_try() {
        let limits = Limits::new();
        let typed = ["owner", " owner", "owner ", "OWNER", "Owner\t", "o wner", "\u{a0}owner", "oWNER"];
        for t in typed {
            assert!(limits.sign_in_as(&SignInName::read(t).unwrap(), None).is_ok());
        }
        let owner = SignInName::read("  owner").unwrap();
        assert!(matches!(limits.sign_in_as(&owner, None), Err(Problem::TooMany)));
        // The owner's own tablet is not shut out by them.
        assert!(limits.sign_in_as(&owner, Some("tablet")).is_ok());
    }

    #[test]
    fn a_long_name_is_refused_before_anything_is_kept_and_the_tables_are_bounded() {
        assert!(matches!(SignInName::read(&"x".repeat(NAME_BYTES + 1)), Err(Problem::Bad(_))));
        let limits = Limits::new();
        for i in 0..2 * KEYS {
            let _ = limits.sign_in_from(IpAddr::from([10, (i >> 16) as u8, (i >> 8) as u8, i as u8]));
            let _ = limits.sign_in_as(&SignInName(i.to_string()), None);
        }
        assert!(limits.sign_in_name.len() <= KEYS + 1 && limits.sign_in_address.len() <= KEYS + 1);
    }
}
