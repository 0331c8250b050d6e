//! What every page shares.

use crate::certificate::Certificate;
use crate::contract_planner::{Offers, Planner};
use crate::decisions;
use crate::ground::{Ground, Sources, shop_of, terms_text};
use crate::hashing::Hashing;
use crate::hosts::Names;
use crate::learning;
use crate::limits::Limits;
use crate::pending::Pending;
use crate::planned::{Mark, Planned, Plans};
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::thumbnail::Thumbnails;
use crate::unit_format::UnitFormat;
use crate::when;
use plan::{Level, StandardJob};
use quote::Shop;
use reach::Rack;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use store::agreements::Agreement;
use store::offers::SavedQuote;
use store::{By, Store};
use units::LengthUnit;

/// The shared state: the record, the limits, whether cookies may only travel over TLS, plans worked out and thumbnails made
/// before.
#[derive(Clone)]
pub struct App(Arc<Shared>);

struct Shared {
    store: Store,
    limits: Limits,
    hashing: Hashing,
    pending: Pending,
    site: Site,
    plans: Plans,
    thumbnails: Thumbnails,
    /// Whether lengths are told in inches where a browser has not said otherwise: asked at every request.
    inches: AtomicBool,
    planner: Planner,
    offers: Offers,
}

/// How the pages are reached.
#[derive(Clone, Debug, Default)]
pub struct Site {
    /// Over TLS.
    pub secure: bool,
    /// With which certificate.
    pub certificate: Option<Certificate>,
    /// Under which names.
    pub names: Names,
}

/// Where the shop's own files stand in the settings.
pub const RACK: &str = "rack.toml";
/// Where the shop's prices and times stand in the settings.
pub const SHOP: &str = "shop.toml";
/// Where the unit of lengths stands in the settings: `mm` or `in`.
const LENGTHS: &str = "lengths";
/// The example rack and shop, until the shop sets its own.
pub const EXAMPLE_RACK: &str = include_str!("../../../demo/rack.toml");
/// See [`EXAMPLE_RACK`].
pub const EXAMPLE_SHOP: &str = include_str!("../../../demo/shop.toml");

/// The example for a shop that has set nothing yet: an invented address and telephone would stand on its customers' papers.
fn example_without_contact() -> String {
    let contact = |line: &&str| ["address", "telephone", "email"].iter().any(|field| line.starts_with(field));
    EXAMPLE_SHOP.split_inclusive('\n').filter(|line| !contact(line)).collect()
}

impl App {
    /// The pages over a record. `secure`: the pages are served over TLS.
    pub fn new(store: Store, secure: bool) -> Self {
        Self::at(store, Site { secure, ..Site::default() })
    }

    /// The pages over a record, as they are reached.
    pub fn at(store: Store, site: Site) -> Self {
        // A record that cannot be read says so on its pages.
        let inches = store.setting(LENGTHS).ok().flatten().is_some_and(|unit| unit == "in");
        Self(Arc::new(Shared {
            inches: AtomicBool::new(inches),
            store,
            limits: Limits::new(),
            hashing: Hashing::new(),
            pending: Pending::default(),
            site,
            plans: Plans::new(),
            thumbnails: Thumbnails::default(),
            planner: Planner::default(),
            offers: Offers::default(),
        }))
    }

    /// The record.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// In which unit lengths are told where a browser has not said otherwise.
    pub fn lengths(&self) -> UnitFormat {
        UnitFormat(if self.0.inches.load(Ordering::Relaxed) { LengthUnit::Inch } else { LengthUnit::Mm })
    }

    /// Keeps it.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn keep_lengths(&self, by: By<'_>, unit: UnitFormat) -> Outcome<()> {
        self.store().set_setting(by, LENGTHS, unit.symbol())?;
        self.0.inches.store(unit.inches(), Ordering::Relaxed);
        Ok(())
    }

    /// Rate limits.
    pub fn limits(&self) -> &Limits {
        &self.0.limits
    }

    /// Turns at hashing passwords.
    pub fn hashing(&self) -> &Hashing {
        &self.0.hashing
    }

    /// Who has given the right password and still owes a code.
    pub(crate) fn pending(&self) -> &Pending {
        &self.0.pending
    }

    /// The small pictures of the photos.
    pub fn thumbnails(&self) -> &Thumbnails {
        &self.0.thumbnails
    }

    /// The plans of contracts that are being made.
    pub fn planner(&self) -> &Planner {
        &self.0.planner
    }

    /// Offers of contracts' instruments that were worked out before.
    pub fn offers(&self) -> &Offers {
        &self.0.offers
    }

    /// Whether cookies may only travel over TLS.
    pub fn secure(&self) -> bool {
        self.0.site.secure
    }

    /// The names under which the pages are reached.
    pub fn names(&self) -> &Names {
        &self.0.site.names
    }

    /// The certificate that they are served with.
    pub fn certificate(&self) -> Option<&Certificate> {
        self.0.site.certificate.as_ref()
    }

    /// The shop's rack and prices as the settings hold them: the files' texts.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn files(&self) -> Outcome<(String, String)> {
        let rack = self.store().setting(RACK)?.unwrap_or_else(|| EXAMPLE_RACK.to_owned());
        Ok((rack, self.store().setting(SHOP)?.unwrap_or_else(example_without_contact)))
    }

    /// The shop's rack.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn rack(&self) -> Outcome<Rack> {
        Ok(survey::read_rack(&self.files()?.0).0)
    }

    /// The shop's prices and times.
    ///
    /// # Errors
    /// Where the record fails, or what it holds cannot be read.
    pub fn shop(&self) -> Outcome<Shop> {
        shop_of(&self.files()?.1)
    }

    /// The shop's list of standard jobs.
    ///
    /// # Errors
    /// As [`App::shop`].
    pub fn standard_jobs(&self) -> Outcome<Vec<StandardJob>> {
        Ok(self.shop()?.standards.jobs)
    }

    /// What is worked: as it was agreed, or, until the customer has said yes, as it stands at the level that the shop looks at.
    ///
    /// # Errors
    /// Where there is no such job, or it has no survey yet.
    pub fn job(&self, id: i64) -> Outcome<Arc<Planned>> {
        match self.agreement(id)? {
            Some(agreed) => self.agreed(&agreed),
            None => self.job_as_it_stands(id),
        }
    }

    /// The agreement that holds: the newest.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn agreement(&self, id: i64) -> Outcome<Option<Agreement>> {
        Ok(self.store().agreements_of(id)?.pop())
    }

    /// As it was agreed: from the contents of then, with the plan of then. Nothing that changed since touches it.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn agreed(&self, agreement: &Agreement) -> Outcome<Arc<Planned>> {
        self.0.plans.get(marked(agreement.job, &("agreed", agreement.id)), |earlier| {
            let level = level_named(&agreement.level)?;
            let ground = Ground::from_json(&agreement.made_from)?.read(self.store())?;
            let mut job = job::work_out_after(earlier, level, ground.survey, ground.rack, ground.shop, &ground.overrules);
            let plan = self.store().content(&agreement.plan)?;
            job.plan = serde_json::from_slice(&plan).map_err(|e| Problem::Broken(format!("the agreed plan cannot be read back: {e}")))?;
            Ok(job)
        })
    }

    /// What a job follows from now besides its survey: the files, what was learned, on whose bench it lies.
    ///
    /// # Errors
    /// Where there is no such job.
    pub fn sources(&self, id: i64) -> Outcome<Sources> {
        let (rack, shop) = self.files()?;
        let bench = self.store().board_line(id)?.bench_name.unwrap_or_default();
        let terms = terms_text(&crate::terms::of_job(self.store(), id)?)?;
        Ok(Sources {
            rack,
            shop,
            terms,
            learned: learning::in_use(self.store())?,
            correction: learning::correction_text(self.store())?,
            bench,
        })
    }

    /// A job as the survey stands now, with the rack, the prices and the day of now, at the level that the shop looks at or that
    /// was agreed.
    ///
    /// # Errors
    /// Where there is no such job, or it has no survey yet.
    pub fn job_as_it_stands(&self, id: i64) -> Outcome<Arc<Planned>> {
        let from = self.sources(id)?;
        let level = match self.agreement(id)? {
            Some(agreed) => level_named(&agreed.level)?,
            None => level_named(&self.store().level_of(id)?)?,
        };
        self.worked_out(id, level, &from, &when::today().to_string())
    }

    /// A job as the survey stands now, on the rack and the prices of an agreement: what was found later, and nothing else, makes
    /// it another one.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn job_since(&self, agreement: &Agreement) -> Outcome<Arc<Planned>> {
        let ground = Ground::from_json(&agreement.made_from)?;
        let from = ground.sources(self.store())?;
        self.worked_out(agreement.job, level_named(&agreement.level)?, &from, &ground.day)
    }

    fn worked_out(&self, id: i64, level: Level, from: &Sources, day: &str) -> Outcome<Arc<Planned>> {
        let store = self.store();
        let (body, dents) = store.survey(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet: begin it first".to_owned()))?;
        let saved = store.overrules(id)?;
        let versions: Vec<_> = dents.iter().map(|d| (&d.name, d.saved.version)).collect();
        let decided: Vec<_> = saved.iter().map(|o| o.id).collect();
        self.0.plans.get(marked(id, &(level, body.version, from, day, versions, decided)), |earlier| {
            let survey = assemble(&body, &dents)?;
            let rack = survey::read_rack(&from.rack).0;
            let overrules = decisions::of(&saved).on_day(&rack, day);
            let shop = from.shop(store, survey.instrument.kind)?;
            Ok(job::work_out_after(earlier, level, survey, rack, shop, &overrules))
        })
    }

    /// The job of a quote as it was given; of one that an earlier program gave, as it stands.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn job_of_quote(&self, quote: &SavedQuote, level: Level) -> Outcome<Arc<Planned>> {
        let Some(made_from) = &quote.made_from else { return self.job_as_it_stands(quote.job) };
        self.job_given(quote.job, &Ground::from_json(made_from)?, level)
    }

    /// A job from what a quote of it is made from.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn job_given(&self, id: i64, ground: &Ground, level: Level) -> Outcome<Arc<Planned>> {
        self.0.plans.get(marked(id, &("given", level, ground)), |earlier| {
            let ground = ground.read(self.store())?;
            Ok(job::work_out_after(earlier, level, ground.survey, ground.rack, ground.shop, &ground.overrules))
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

/// A mark of a job and all that it follows from.
fn marked(id: i64, from: &impl Hash) -> Mark {
    let mut h = DefaultHasher::new();
    from.hash(&mut h);
    Mark { id, words: h.finish() }
}

/// The level of a key in the record.
///
/// # Errors
/// Where this program knows no such level.
pub fn level_named(key: &str) -> Outcome<Level> {
    key.parse().map_err(|_| Problem::Broken(format!("there is no level “{key}”")))
}
