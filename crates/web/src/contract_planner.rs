//! Plans of contracts are made beside the pages: one at a time on this machine, a few wait, and no more. Whoever asks again for
//! one that is being made is shown that one.

use crate::problem::{Outcome, Problem};
use contract::offers::Offered;
use quick_cache::sync::Cache;
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::collections::{BTreeMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Plans that may wait.
pub const WAITING: usize = 4;
/// Instruments whose offers are kept: a plan that is made again works out only what changed.
const OFFERS_KEPT: usize = 4_000;

/// Offers that were worked out, by a hash of all that they follow from.
pub struct Offers(Cache<u64, Arc<Offered>>);

impl Offers {
    /// The offers of a hash, worked out where they are not kept.
    pub fn get(&self, hash: u64, work: impl FnOnce() -> Offered) -> Offered {
        if let Some(kept) = self.0.get(&hash) {
            return Offered::clone(&kept);
        }
        let offered = work();
        self.0.insert(hash, Arc::new(offered.clone()));
        offered
    }
}

impl Default for Offers {
    fn default() -> Self {
        Self(Cache::new(OFFERS_KEPT))
    }
}

/// How far a plan is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stage {
    /// So many are made before it.
    Waits {
        /// How many.
        before: usize,
    },
    /// What can be done with each instrument is worked out.
    Offers {
        /// Worked out.
        done: usize,
        /// Of so many.
        of: usize,
    },
    /// The best choice is searched.
    Search {
        /// Points of the best so far; none where none holds yet.
        best: Option<f64>,
        /// Nothing is worth more.
        bound: f64,
    },
    /// What more money and time would buy is worked out.
    More,
    /// Jobs are opened from the plan that stands.
    Jobs {
        /// Opened.
        done: usize,
        /// Of so many.
        of: usize,
    },
}

/// Who is told each stage; says whether to go on.
type Watch = Box<dyn Fn(&Stage) -> bool + Send + Sync>;

/// A plan that is being made.
pub struct Run {
    contract: i64,
    stop: AtomicBool,
    stage: Mutex<Stage>,
    watch: Option<Watch>,
}

impl Run {
    /// A run of a contract.
    pub fn new(contract: i64) -> Self {
        Self { contract, stop: AtomicBool::new(false), stage: Mutex::new(Stage::Waits { before: 0 }), watch: None }
    }

    /// A run that is watched: whoever watches is told each stage and says whether to go on.
    pub fn watched(contract: i64, watch: impl Fn(&Stage) -> bool + Send + Sync + 'static) -> Self {
        Self { watch: Some(Box::new(watch)), ..Self::new(contract) }
    }

    /// Whether to go on.
    pub fn going(&self) -> bool {
        !self.stop.load(Ordering::Relaxed)
    }

    /// Says stop: what is best so far is kept.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// How far it is.
    pub fn stage(&self) -> Stage {
        *locked(&self.stage)
    }

    /// Tells how far it is.
    pub fn tell(&self, stage: Stage) {
        *locked(&self.stage) = stage;
        if self.watch.as_ref().is_some_and(|watch| !watch(&stage)) {
            self.stop();
        }
    }
}

/// What makes a plan, or opens its jobs; what it ends with: why there is none, a sentence each, and none where there is one.
pub type Work = Box<dyn FnOnce(&Run) -> Vec<String> + Send>;

#[derive(Default)]
struct State {
    running: Option<Arc<Run>>,
    waiting: VecDeque<(Arc<Run>, Work)>,
    /// Why the last try of a contract came to no plan.
    failed: BTreeMap<i64, Vec<String>>,
}

/// The plans that are being made.
#[derive(Default)]
pub struct Planner {
    state: Arc<Mutex<State>>,
}

/// A lock whose holder panicked guards plain values.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Planner {
    /// Asks for a plan of a contract. One that is made or waits already is not asked for twice.
    ///
    /// # Errors
    /// [`Problem::TooMany`] where as many wait as may.
    pub fn ask(&self, contract: i64, work: Work) -> Outcome<()> {
        let mut state = locked(&self.state);
        if state.of(contract).is_some() {
            return Ok(());
        }
        if state.waiting.len() >= WAITING {
            return Err(Problem::TooMany);
        }
        state.failed.remove(&contract);
        state.waiting.push_back((Arc::new(Run::new(contract)), work));
        if state.running.is_none() {
            // Somebody runs from here on, so that nobody else begins.
            state.running = state.waiting.front().map(|(run, _)| run.clone());
            let shared = self.state.clone();
            if let Err(e) = std::thread::Builder::new().name("contract".to_owned()).spawn(move || run_all(&shared)) {
                state.running = None;
                state.waiting.clear();
                return Err(Problem::Broken(format!("no thread to plan on: {e}")));
            }
        }
        Ok(())
    }

    /// How far the plan of a contract is; none where none is made.
    pub fn stage(&self, contract: i64) -> Option<Stage> {
        let state = locked(&self.state);
        let run = state.of(contract)?;
        let before = state.waiting.iter().position(|(r, _)| Arc::ptr_eq(r, run));
        Some(match before {
            Some(before) => Stage::Waits { before: before + usize::from(!state.waiting_runs_first()) },
            None => run.stage(),
        })
    }

    /// Stops the plan of a contract: the best so far is kept; one that waits is taken off. Whether there was one.
    pub fn stop(&self, contract: i64) -> bool {
        let mut state = locked(&self.state);
        if let Some(run) = state.running.as_ref().filter(|r| r.contract == contract) {
            run.stop();
            return true;
        }
        let before = state.waiting.len();
        state.waiting.retain(|(run, _)| run.contract != contract);
        before > state.waiting.len()
    }

    /// Why the last try of a contract came to no plan; empty where it came to one, or none was made.
    pub fn failed(&self, contract: i64) -> Vec<String> {
        locked(&self.state).failed.get(&contract).cloned().unwrap_or_default()
    }
}

impl State {
    fn of(&self, contract: i64) -> Option<&Arc<Run>> {
        let waiting = self.waiting.iter().map(|(run, _)| run);
        self.running.iter().chain(waiting).find(|r| r.contract == contract)
    }

    /// Whether the first that waits is the one that is about to run.
    fn waiting_runs_first(&self) -> bool {
        self.running.as_ref().zip(self.waiting.front()).is_some_and(|(r, (w, _))| Arc::ptr_eq(r, w))
    }
}

/// Makes one plan after the other until none waits. Pages are worked out on threads of their own.
fn run_all(state: &Mutex<State>) {
    let threads: Option<ThreadPool> = ThreadPoolBuilder::new().build().ok();
    loop {
        let next = {
            let mut state = locked(state);
            let next = state.waiting.pop_front();
            state.running = next.as_ref().map(|(run, _)| run.clone());
            next
        };
        let Some((run, work)) = next else { break };
        let made = || match &threads {
            Some(threads) => threads.install(|| work(&run)),
            None => work(&run),
        };
        let failed = catch_unwind(AssertUnwindSafe(made))
            .unwrap_or_else(|_| vec!["Something broke in the program. What was saved before is safe.".to_owned()]);
        if !failed.is_empty() {
            locked(state).failed.insert(run.contract, failed);
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;

    /// Waits until something holds; nothing here takes long.
    fn until(what: impl Fn() -> bool) {
        while !what() {
            std::thread::yield_now();
        }
    }

    /// Work that ends when it is told to.
    fn until_stopped() -> Work {
        Box::new(|run| {
            run.tell(Stage::More);
            until(|| !run.going());
            vec![format!("{} stopped", run.contract)]
        })
    }

    #[test]
    fn one_at_a_time_a_few_wait_and_no_more() {
        let planner = Planner::default();
        planner.ask(1, until_stopped()).unwrap();
        until(|| planner.stage(1) == Some(Stage::More));
        for id in 2..=5 {
            planner.ask(id, until_stopped()).unwrap();
        }
        // Asked again it is the same one; another finds no place.
        planner.ask(1, until_stopped()).unwrap();
        planner.ask(4, until_stopped()).unwrap();
        assert!(matches!(planner.ask(6, until_stopped()), Err(Problem::TooMany)));
        assert_eq!((planner.stage(2), planner.stage(5)), (Some(Stage::Waits { before: 1 }), Some(Stage::Waits { before: 4 })));
        assert_eq!(planner.stage(6), None);
        // One that waits is taken off, and there is room again.
        assert!(planner.stop(3) && !planner.stop(3));
        planner.ask(6, until_stopped()).unwrap();
        assert!(planner.stop(1));
        until(|| planner.stage(2) == Some(Stage::More));
        assert_eq!(planner.failed(1), ["1 stopped"]);
        for id in [2, 4, 5, 6] {
            until(|| planner.stage(id) == Some(Stage::More));
            planner.stop(id);
        }
        until(|| planner.stage(6).is_none());
    }

    #[test]
    fn what_breaks_is_told_and_the_next_is_made_all_the_same() {
        let planner = Planner::default();
        let (done, told) = channel();
        let broken: Vec<Vec<String>> = vec![];
        planner.ask(1, Box::new(move |_| broken.first().unwrap().clone())).unwrap();
        planner
            .ask(
                2,
                Box::new(move |_| {
                    done.send(()).unwrap();
                    vec![]
                }),
            )
            .unwrap();
        told.recv().unwrap();
        until(|| planner.stage(2).is_none());
        assert!(planner.failed(1)[0].contains("broke") && planner.failed(2).is_empty());
        // A try that comes to a plan forgets why the one before did not.
        planner.ask(1, Box::new(|_| vec![])).unwrap();
        until(|| planner.stage(1).is_none());
        assert!(planner.failed(1).is_empty());
    }

    #[test]
    fn who_watches_may_say_stop() {
        let run = Run::watched(1, |stage| !matches!(stage, Stage::Search { .. }));
        run.tell(Stage::Offers { done: 1, of: 2 });
        assert!(run.going());
        run.tell(Stage::Search { best: None, bound: 5.0 });
        assert!(!run.going());
    }
}
