//! Jobs worked out and kept, each under the words that it was worked out from: any change makes other words.

use crate::problem::Outcome;
use crate::unit_format::UnitFormat;
use crate::view::drawings;
use job::Job;
use job::worth::WorthKnowing;
use maud::Markup;
use plan::Change;
use quick_cache::sync::Cache;
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::ops::Deref;
use std::sync::{Arc, OnceLock};

/// Jobs whose plans are kept worked out: the least lately asked for go first.
const KEPT: usize = 400;

/// A job and a hash of all that it follows from.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Mark {
    /// The job.
    pub id: i64,
    /// The hash.
    pub words: u64,
}

/// The plans.
pub struct Plans {
    by_mark: Cache<Mark, Arc<Planned>>,
    /// The last that was worked out of each job: a what-if takes over what it does not change.
    last: Cache<i64, Arc<Planned>>,
    /// The threads on which jobs are worked out: one job takes all processors already, and however many are asked for, the
    /// others wait here and not on the processors. None where the machine gives no threads of their own.
    threads: Option<ThreadPool>,
}

impl Plans {
    /// None yet; as many at once as there are processors.
    pub fn new() -> Self {
        Self { by_mark: Cache::new(KEPT), last: Cache::new(KEPT), threads: ThreadPoolBuilder::new().build().ok() }
    }

    /// The job of a mark. Of those who ask at once the first works it out and the others wait for it.
    ///
    /// Blocks; not for the threads that answer the network.
    ///
    /// # Errors
    /// What working it out returns.
    pub fn get(&self, mark: Mark, work: impl FnOnce(Option<&Job>) -> Outcome<Job> + Send) -> Outcome<Arc<Planned>> {
        self.by_mark.get_or_insert_with(&mark, || {
            let earlier = self.last.get(&mark.id);
            let work = || work(earlier.as_deref().map(|p| &p.job));
            let job = match &self.threads {
                Some(threads) => threads.install(work),
                None => work(),
            }?;
            let planned = Arc::new(Planned::new(job));
            self.last.insert(mark.id, planned.clone());
            Ok(planned)
        })
    }
}

impl Default for Plans {
    fn default() -> Self {
        Self::new()
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
    /// What is worth measuring.
    worth: OnceLock<WorthKnowing>,
}

impl Planned {
    fn new(job: Job) -> Self {
        Self {
            drawn: job.plan.steps.iter().map(|_| [OnceLock::new(), OnceLock::new()]).collect(),
            map: Default::default(),
            changes: OnceLock::new(),
            worth: OnceLock::new(),
            job,
        }
    }

    /// What the overrules change.
    pub fn changes(&self) -> &[Change] {
        self.changes.get_or_init(|| self.job.changes())
    }

    /// What is worth measuring: worked out when a page first shows it, because it takes many times as long as the plan.
    pub fn worth_knowing(&self) -> &WorthKnowing {
        self.worth.get_or_init(|| self.job.worth_knowing())
    }

    /// The same where it was worked out already.
    pub fn worth_if_known(&self) -> Option<&WorthKnowing> {
        self.worth.get()
    }

    /// Where the dents are.
    pub fn where_dents_are(&self, fmt: UnitFormat) -> &Markup {
        let [mm, inch] = &self.map;
        let map = if fmt.inches() { inch } else { mm };
        map.get_or_init(|| drawings::where_dents_are(&self.job, fmt))
    }

    /// A step's tube with its tool in place, as an SVG document; none where the step has no such drawing.
    pub fn step_drawing(&self, number: u32, fmt: UnitFormat) -> Option<&str> {
        let at = self.job.plan.steps.iter().position(|s| s.number == number)?;
        let [mm, inch] = self.drawn.get(at)?;
        let drawn = if fmt.inches() { inch } else { mm };
        drawn.get_or_init(|| drawings::step(&self.job, self.job.plan.steps.get(at)?, fmt)).as_deref()
    }
}

impl Deref for Planned {
    type Target = Job;

    fn deref(&self) -> &Job {
        &self.job
    }
}

#[cfg(test)]
mod tests {
    use super::{Mark, Plans};
    use crate::problem::Problem;
    use job::Job;
    use plan::Overrules;
    use std::sync::atomic::{AtomicUsize, Ordering};

    fn small() -> Job {
        let (rack, shop) = fixtures::demo::rack_and_shop();
        job::work_out(fixtures::demo::read("barely-measured"), rack, shop, &Overrules::default())
    }

    #[test]
    fn of_two_tablets_that_ask_at_once_one_works_it_out() {
        let (plans, worked) = (Plans::new(), AtomicUsize::new(0));
        let mark = Mark { id: 7, words: 1 };
        std::thread::scope(|s| {
            for _ in 0..6 {
                s.spawn(|| {
                    let got = plans.get(mark, |_| {
                        worked.fetch_add(1, Ordering::SeqCst);
                        std::thread::sleep(std::time::Duration::from_millis(50));
                        Ok(small())
                    });
                    assert_eq!(got.unwrap_or_else(|_| unreachable!("it is worked out")).plan.steps.len(), small().plan.steps.len());
                });
            }
        });
        assert_eq!(worked.load(Ordering::SeqCst), 1);
        // Other words are another plan, which is given the one before.
        let with_earlier = plans.get(Mark { id: 7, words: 2 }, |earlier| {
            assert!(earlier.is_some());
            Ok(small())
        });
        assert!(with_earlier.is_ok());
    }

    #[test]
    fn what_fails_is_not_kept() {
        let plans = Plans::new();
        let mark = Mark { id: 1, words: 1 };
        assert!(plans.get(mark, |_| Err(Problem::Broken("no".to_owned()))).is_err());
        assert!(plans.get(mark, |_| Ok(small())).is_ok());
    }

    #[test]
    fn what_is_kept_is_bounded() {
        let plans = Plans::new();
        let job = small();
        for id in 0..900 {
            assert!(plans.get(Mark { id, words: 0 }, |_| Ok(job.clone())).is_ok());
        }
        assert!(plans.by_mark.len() <= super::KEPT && plans.last.len() <= super::KEPT, "{} {}", plans.by_mark.len(), plans.last.len());
    }
}
