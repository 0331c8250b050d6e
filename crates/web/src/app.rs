//! What every page shares.

use crate::limits::Limits;
use crate::problem::{Outcome, Problem};
use std::sync::Arc;
use store::Store;

/// The shared state: the record, the limits, and whether cookies may only travel over TLS.
#[derive(Clone)]
pub struct App(Arc<Shared>);

struct Shared {
    store: Store,
    limits: Limits,
    secure: bool,
}

impl App {
    /// The pages over a record. `secure`: the pages are served over TLS.
    pub fn new(store: Store, secure: bool) -> Self {
        Self(Arc::new(Shared { store, limits: Limits::new(), secure }))
    }

    /// The record.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// Rate limits.
    pub fn limits(&self) -> &Limits {
        &self.0.limits
    }

    /// Whether cookies may only travel over TLS.
    pub fn secure(&self) -> bool {
        self.0.secure
    }

    /// Runs work that waits for the disk or computes, away from the threads that answer the network.
    ///
    /// # Errors
    /// What the work returns.
    pub async fn blocking<T: Send + 'static>(&self, work: impl FnOnce(&App) -> Outcome<T> + Send + 'static) -> Outcome<T> {
        let app = self.clone();
        match tokio::task::spawn_blocking(move || work(&app)).await {
            Ok(done) => done,
            Err(panicked) => Err(Problem::Broken(panicked.to_string())),
        }
    }
}
