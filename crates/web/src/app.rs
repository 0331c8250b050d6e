//! What every page shares.

use crate::limits::Limits;
use crate::pages::survey::assemble;
use crate::pages::{drawings, overrules};
use crate::problem::{Outcome, Problem};
use crate::tell::Tell;
use job::Job;
use maud::Markup;
use plan::Change;
use quote::Shop;
use reach::Rack;
use std::collections::HashMap;
use std::ops::Deref;
use std::sync::{Arc, Condvar, Mutex, OnceLock, PoisonError};
use store::Store;

/// Jobs whose plans are kept worked out.
const KEPT: usize = 400;

/// The shared state: the record, the limits, whether cookies may only travel over TLS, and plans worked out before.
#[derive(Clone)]
pub struct App(Arc<Shared>);

struct Shared {
    store: Store,
    limits: Limits,
    secure: bool,
    /// Plans by job, each under the words that it was worked out from: any change makes other words.
    plans: Mutex<HashMap<i64, (u64, Arc<Planned>)>>,
    /// Plans being worked out. One job takes all processors already; many at once only make every other page wait.
    planning: Gate,
}

/// Lets so many through at a time.
struct Gate {
    free: Mutex<usize>,
    freed: Condvar,
}

struct Through<'a>(&'a Gate);

impl Gate {
    fn of(places: usize) -> Self {
        Self { free: Mutex::new(places.max(1)), freed: Condvar::new() }
    }

    fn enter(&self) -> Through<'_> {
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let mut free = self.freed.wait_while(free, |free| *free == 0).unwrap_or_else(PoisonError::into_inner);
        *free -= 1;
        Through(self)
    }
}

impl Drop for Through<'_> {
    fn drop(&mut self) {
        *self.0.free.lock().unwrap_or_else(PoisonError::into_inner) += 1;
        self.0.freed.notify_one();
    }
}

/// A job worked out, and what is drawn from it once and shown often.
pub struct Planned {
    /// The job.
    pub job: Job,
    /// Each step's drawing, in millimetres and in inches.
    drawn: Vec<[OnceLock<Option<String>>; 2]>,
    /// Where the dents are, in millimetres and in inches.
    map: [OnceLock<Markup>; 2],
    /// What the overrules change.
    changes: OnceLock<Vec<Change>>,
}

impl Planned {
    fn new(job: Job) -> Self {
        Self {
            drawn: job.plan.steps.iter().map(|_| [OnceLock::new(), OnceLock::new()]).collect(),
            map: Default::default(),
            changes: OnceLock::new(),
            job,
        }
    }

    /// What the overrules change.
    pub fn changes(&self) -> &[Change] {
        self.changes.get_or_init(|| self.job.changes())
    }

    /// Where the dents are.
    pub fn where_dents_are(&self, tell: Tell) -> &Markup {
        let [mm, inch] = &self.map;
        let map = if tell.inches() { inch } else { mm };
        map.get_or_init(|| drawings::where_dents_are(&self.job, tell))
    }

    /// A step's tube with its tool in place, as an SVG document; none where the step has no such drawing.
    pub fn step_drawing(&self, number: u32, tell: Tell) -> Option<&str> {
        let at = self.job.plan.steps.iter().position(|s| s.number == number)?;
        let [mm, inch] = self.drawn.get(at)?;
        let drawn = if tell.inches() { inch } else { mm };
        drawn.get_or_init(|| drawings::step(&self.job, self.job.plan.steps.get(at)?, tell)).as_deref()
    }
}

impl Deref for Planned {
    type Target = Job;

    fn deref(&self) -> &Job {
        &self.job
    }
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
        Self(Arc::new(Shared { store, limits: Limits::new(), secure, plans: Mutex::default(), planning: Gate::of(processors()) }))
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
        let mark = {
            use std::hash::{DefaultHasher, Hash, Hasher};
            let mut h = DefaultHasher::new();
            (body.version, &rack_text, &shop_text).hash(&mut h);
            for d in &dents {
                (&d.name, d.saved.version).hash(&mut h);
            }
            for o in &saved {
                o.id.hash(&mut h);
            }
            h.finish()
        };
        if let Some((_, job)) = self.plans().get(&id).filter(|(m, _)| *m == mark) {
            return Ok(job.clone());
        }
        let _through = self.0.planning.enter();
        // Two tablets that ask for one job at once: the second takes what the first worked out.
        if let Some((_, job)) = self.plans().get(&id).filter(|(m, _)| *m == mark) {
            return Ok(job.clone());
        }
        let survey = assemble(&body, &dents)?;
        let job = job::work_out(survey, self.rack()?, self.shop()?, &overrules::of(&saved));
        let job = Arc::new(Planned::new(job));
        let mut plans = self.plans();
        if plans.len() >= KEPT
            && let Some(any) = plans.keys().next().copied()
        {
            plans.remove(&any);
        }
        plans.insert(id, (mark, job.clone()));
        Ok(job)
    }

    fn plans(&self) -> std::sync::MutexGuard<'_, HashMap<i64, (u64, Arc<Planned>)>> {
        self.0.plans.lock().unwrap_or_else(PoisonError::into_inner)
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

fn processors() -> usize {
    std::thread::available_parallelism().map_or(2, std::num::NonZero::get)
}

#[cfg(test)]
mod tests {
    use super::Gate;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn a_gate_lets_no_more_through_than_it_has_places() {
        let (gate, inside, most) = (Gate::of(2), AtomicUsize::new(0), AtomicUsize::new(0));
        std::thread::scope(|s| {
            for _ in 0..8 {
                s.spawn(|| {
                    for _ in 0..50 {
                        let _through = gate.enter();
                        most.fetch_max(inside.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                        std::thread::yield_now();
                        inside.fetch_sub(1, Ordering::SeqCst);
                    }
                });
            }
        });
        assert!(most.load(Ordering::SeqCst) <= 2);
        assert_eq!(*gate.free.lock().unwrap(), 2);
    }
}
