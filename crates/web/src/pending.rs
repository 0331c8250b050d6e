//! Between the password and the code of the second factor: who has given the one and owes the other. In memory only, for a few
//! minutes; whoever the program forgets gives the password again.

use crate::limits::SignInName;
use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Seconds within which the code must come.
const WITHIN_S: i64 = 300;
/// Codes that may be tried for one password.
const TRIES: u32 = 5;
/// Who may owe a code at once; the oldest make room.
const MOST: usize = 200;

/// One who has given the right password.
#[derive(Clone, Debug)]
pub struct Half {
    /// The sign-in name.
    pub name: SignInName,
    /// Whose it is.
    pub person: i64,
    /// The tablet's token, where that person has signed in on it before.
    pub tablet: Option<String>,
}

struct Waits {
    half: Half,
    since: i64,
    tries: u32,
}

/// All who owe a code, by a token that only they have.
#[derive(Default)]
pub struct Pending(Mutex<HashMap<String, Waits>>);

impl Pending {
    fn all(&self) -> MutexGuard<'_, HashMap<String, Waits>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Somebody owes a code from now on.
    pub fn begin(&self, token: &str, half: Half, now: i64) {
        let mut all = self.all();
        all.retain(|_, w| (0..WITHIN_S).contains(&(now - w.since)));
        if all.len() >= MOST
            && let Some(oldest) = all.iter().min_by_key(|(_, w)| w.since).map(|(token, _)| token.clone())
        {
            all.remove(&oldest);
        }
        all.insert(token.to_owned(), Waits { half, since: now, tries: 0 });
    }

    /// Who tries a code under a token; none where nobody does any more.
    pub fn tries(&self, token: &str, now: i64) -> Option<Half> {
        let mut all = self.all();
        let waits = all.get_mut(token)?;
        waits.tries += 1;
        let fresh = (0..WITHIN_S).contains(&(now - waits.since)) && waits.tries <= TRIES;
        let half = waits.half.clone();
        if !fresh {
            all.remove(token);
        }
        fresh.then_some(half)
    }

    /// The code was right: the token is spent. Whether it was there: of two at once one is let in.
    pub fn done(&self, token: &str) -> bool {
        self.all().remove(token).is_some()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_owed_for_five_minutes_and_five_tries_and_let_in_once() {
        let pending = Pending::default();
        let half = || Half { name: SignInName::read("ottilie").unwrap(), person: 1, tablet: None };
        pending.begin("a", half(), 1000);
        assert_eq!((0..6).map(|_| pending.tries("a", 1001).is_some()).collect::<Vec<_>>(), [true, true, true, true, true, false]);
        assert!(!pending.done("a"));
        pending.begin("b", half(), 1000);
        assert!(pending.tries("b", 1299).is_some() && pending.tries("b", 1300).is_none() && pending.tries("b", 1001).is_none());
        pending.begin("c", half(), 1000);
        assert!(pending.tries("c", 900).is_none(), "the clock was set back");
        pending.begin("d", half(), 1000);
        assert!(pending.done("d") && !pending.done("d") && pending.tries("d", 1000).is_none());
        for i in 0..2 * MOST {
            pending.begin(&i.to_string(), half(), 2000);
        }
        assert!(pending.all().len() <= MOST);
    }
}
