//! What every page shares.

use crate::decisions;
use crate::limits::Limits;
use crate::planned::{Mark, Planned, Plans};
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::when;
use quote::Shop;
use reach::Rack;
use std::sync::Arc;
use store::Store;

/// The shared state: the record, the limits, whether cookies may only travel over TLS, and plans worked out before.
#[derive(Clone)]
pub struct App(Arc<Shared>);

struct Shared {
    store: Store,
    limits: Limits,
    secure: bool,
    plans: Plans,
}

/// Where the shop's own files stand in the settings.
pub const RACK: &str = "rack.toml";
/// Where the shop's prices and times stand in the settings.
pub const SHOP: &str = "shop.toml";
/// The example rack and shop, until the shop sets its own.
pub const EXAMPLE_RACK: &str = include_str!("../../../demo/rack.toml");
/// See [`EXAMPLE_RACK`].
pub const EXAMPLE_SHOP: &str = include_str!("../../../demo/shop.toml");

impl App {
    /// The pages over a record. `secure`: the pages are served over TLS.
    pub fn new(store: Store, secure: bool) -> Self {
        Self(Arc::new(Shared { store, limits: Limits::new(), secure, plans: Plans::new() }))
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

    /// The shop's rack.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn rack(&self) -> Outcome<Rack> {
        let text = self.store().setting(RACK)?;
        Ok(survey::read_rack(text.as_deref().unwrap_or(EXAMPLE_RACK)).0)
    }

    /// The shop's prices and times.
    ///
    /// # Errors
    /// Where the record fails, or what it holds cannot be read.
    pub fn shop(&self) -> Outcome<Shop> {
        let text = self.store().setting(SHOP)?;
        let (shop, problems) = survey::read_shop(text.as_deref().unwrap_or(EXAMPLE_SHOP));
        match problems.iter().find(|p| !p.warning) {
            Some(p) => Err(Problem::Broken(format!("the shop's prices cannot be read: {p}"))),
            None => Ok(shop),
        }
    }

    /// Everything that follows from a job's survey, worked out anew where anything it follows from has changed.
    ///
    /// # Errors
    /// Where there is no such job, or it has no survey yet.
    pub fn job(&self, id: i64) -> Outcome<Arc<Planned>> {
        let store = self.store();
        let (body, dents) = store.survey(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet: begin it first".to_owned()))?;
        let saved = store.overrules(id)?;
        let (rack_text, shop_text) = (store.setting(RACK)?, store.setting(SHOP)?);
        let today = when::today().to_string();
        let mark = {
            use std::hash::{DefaultHasher, Hash, Hasher};
            let mut h = DefaultHasher::new();
            (body.version, &rack_text, &shop_text, &today).hash(&mut h);
            for d in &dents {
                (&d.name, d.saved.version).hash(&mut h);
            }
            for o in &saved {
                o.id.hash(&mut h);
            }
            h.finish()
        };
        self.0.plans.get(Mark { id, words: mark }, |earlier| {
            let survey = assemble(&body, &dents)?;
            let rack = self.rack()?;
            let overrules = decisions::of(&saved).on_day(&rack, &today);
            Ok(job::work_out_after(earlier, survey, rack, self.shop()?, &overrules))
        })
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
