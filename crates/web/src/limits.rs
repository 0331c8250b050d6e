//! How often something may be tried.

use crate::problem::{Outcome, Problem};
use governor::clock::DefaultClock;
use governor::state::keyed::DefaultKeyedStateStore;
use governor::{Quota, RateLimiter};
use std::net::IpAddr;
use std::num::NonZeroU32;

type Keyed<K> = RateLimiter<K, DefaultKeyedStateStore<K>, DefaultClock>;

/// Most bytes of one upload.
pub const UPLOAD_BYTES: usize = 12 * 1024 * 1024;
/// Most bytes of one form.
pub const FORM_BYTES: usize = 2 * 1024 * 1024;

/// Rate limits: sign-in by address and by name, the customer's page by address.
pub struct Limits {
    sign_in_address: Keyed<IpAddr>,
    sign_in_name: Keyed<String>,
    public: Keyed<IpAddr>,
}

fn per_minute(n: u32) -> Quota {
    Quota::per_minute(NonZeroU32::new(n).unwrap_or(NonZeroU32::MIN))
}

impl Limits {
    /// Fresh limits.
    pub fn new() -> Self {
        // A whole shop can sign in from behind one address in the morning; one name is tried by one person.
        Self {
            sign_in_address: RateLimiter::keyed(per_minute(60)),
            sign_in_name: RateLimiter::keyed(per_minute(8)),
            public: RateLimiter::keyed(per_minute(120)),
        }
    }

    /// One try to sign in.
    ///
    /// # Errors
    /// [`Problem::TooMany`].
    pub fn sign_in(&self, from: IpAddr, login: &str) -> Outcome<()> {
        self.sign_in_address.check_key(&from).map_err(|_| Problem::TooMany)?;
        self.sign_in_name.check_key(&login.to_lowercase()).map_err(|_| Problem::TooMany)
    }

    /// One look at a customer's page.
    ///
    /// # Errors
    /// [`Problem::TooMany`].
    pub fn public(&self, from: IpAddr) -> Outcome<()> {
        self.public.check_key(&from).map_err(|_| Problem::TooMany)
    }

    /// Forgets addresses and names that have been quiet, so that the tables do not grow for ever.
    pub fn sweep(&self) {
        self.sign_in_address.retain_recent();
        self.sign_in_name.retain_recent();
        self.public.retain_recent();
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self::new()
    }
}
