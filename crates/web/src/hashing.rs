//! Password hashing takes 19 MB and a core's time each: two at a time, a short queue, and no more.

use crate::problem::{Outcome, Problem};
use argon2::Block;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use tokio::sync::{Semaphore, SemaphorePermit};

/// Hashes worked at once.
const AT_ONCE: usize = 2;
/// Who may wait for a turn: a shop of sixty signs in within a minute, not within a second.
const WAITING: usize = 16;

/// Turns at hashing, and its memory, which is kept: freed 19 MB stay with the heap of whichever thread hashed (glibc), once for each.
pub struct Hashing {
    turns: Semaphore,
    waiting: AtomicUsize,
    memory: Mutex<Vec<Vec<Block>>>,
}

/// One who waits; counted off however the waiting ends.
struct Waits<'a>(&'a AtomicUsize);

impl Drop for Waits<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

impl Hashing {
    /// Nobody hashes, nobody waits.
    pub fn new() -> Self {
        Self { turns: Semaphore::new(AT_ONCE), waiting: AtomicUsize::new(0), memory: Mutex::default() }
    }

    /// Hashes with memory that is used again.
    pub fn with_memory<T>(&self, hash: impl FnOnce(&mut Vec<Block>) -> T) -> T {
        // A hash that panicked leaves memory that the next one fills anew.
        let kept = || self.memory.lock().unwrap_or_else(PoisonError::into_inner);
        let mut mine = kept().pop().unwrap_or_default();
        let done = hash(&mut mine);
        let mut kept = kept();
        if kept.len() < AT_ONCE {
            kept.push(mine);
        }
        done
    }

    /// A turn, held until it is dropped.
    ///
    /// # Errors
    /// [`Problem::TooMany`] where as many wait as may.
    pub async fn turn(&self) -> Outcome<SemaphorePermit<'_>> {
        if let Ok(free) = self.turns.try_acquire() {
            return Ok(free);
        }
        let before = self.waiting.fetch_add(1, Ordering::SeqCst);
        let _waits = Waits(&self.waiting);
        if before >= WAITING {
            return Err(Problem::TooMany);
        }
        self.turns.acquire().await.map_err(|e| Problem::Broken(e.to_string()))
    }
}

impl Default for Hashing {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[tokio::test]
    async fn two_at_a_time_a_queue_and_no_more() {
        let hashing = Hashing::new();
        let (a, b) = (hashing.turn().await.unwrap(), hashing.turn().await.unwrap());
        let queue: Vec<_> = (0..WAITING).map(|_| Box::pin(hashing.turn())).collect();
        let mut polled = Vec::new();
        for mut turn in queue {
            // Polled once, so that it waits.
            assert!(tokio::time::timeout(std::time::Duration::ZERO, &mut turn).await.is_err());
            polled.push(turn);
        }
        assert!(matches!(hashing.turn().await, Err(Problem::TooMany)));
        drop(a);
        assert!(polled.remove(0).await.is_ok());
        drop((b, polled));
        assert_eq!(hashing.waiting.load(Ordering::SeqCst), 0);
        assert!(hashing.turn().await.is_ok());
    }
}
