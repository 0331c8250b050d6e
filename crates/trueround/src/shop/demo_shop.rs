//! The demo's world: people, customers, instruments and half a year of jobs, all invented. The same every time but for the
//! days, which count back from today.

use crate::fail::{Done, Fail};
use instrument::{Dent, Instrument, Kind, Survey, Work, patterns};
use jiff::civil::Date;
use plan::{Level, Overrules};
use quote::Shop;
use reach::Rack;
use store::acceptance::AcceptanceRecord;
use store::agreements::{SaidHow, Yes};
use store::bench::{PlannedStep, StepAct};
use store::contracts::ContractTexts;
use store::counter::{JobHead, JobState, NewInstrument};
use store::evidence::CameFrom;
use store::offers::NewQuote;
use store::people::PersonRole;
use store::terms::JobTerms;
use store::{By, Store};
use survey::kept::{Kept, Unreadable, survey_to_json};
use units::{Known, Origin, Unit};
use web::app::{EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};
use web::ground::{Ground, Sources};
use web::learning;

/// Everybody in the demo shop signs in with this.
pub const PASSWORD: &str = "saltmarsh lane";

const DAY: i64 = 24 * 3600;
const OX: &str = include_str!("../../../../demo/ox-tuba.survey.toml");
const LINNET: &str = include_str!("../../../../demo/linnet-trumpet.survey.toml");
const HERON: &str = include_str!("../../../../demo/heron-trombone.survey.toml");
const ROT: &str = include_str!("../../../../demo/leadpipe-red-rot.survey.toml");

/// The district's contract: its head, its instruments, their dents, what is done.
const DISTRICT: [&str; 4] = [
    include_str!("../../../../demo/pelham-ridge.contract.toml"),
    include_str!("../../../../demo/pelham-ridge.instruments.csv"),
    include_str!("../../../../demo/pelham-ridge.dents.csv"),
    include_str!("../../../../demo/pelham-ridge.done.csv"),
];
/// The day that the district's contract calls today.
const DISTRICT_TODAY: &str = "2026-07-13";

/// Makers and models of the demo's world.
const MODELS: [(Kind, &str, &str, &str, &str); 7] = [
    (Kind::Trumpet, "trumpet", "Tessaly", "Linnet", "1150"),
    (Kind::Cornet, "cornet", "Tessaly", "Wagtail", "980"),
    (Kind::Trombone, "trombone", "Northgate Works", "Heron", "900"),
    (Kind::Euphonium, "euphonium", "Harrow & Quill", "Bittern", "2900"),
    (Kind::Tuba, "tuba", "Harrow & Quill", "Ox", "5400"),
    (Kind::Horn, "horn", "Northgate Works", "Curlew", "3300"),
    (Kind::Sousaphone, "sousaphone", "Harrow & Quill", "Drumlin", "4700"),
];

const MISHAPS: [&str; 10] = [
    "Dropped on the bus step",
    "Knocked off a chair",
    "Bell folded in the case",
    "Dent in the bow, does not bother the player",
    "Stand fell on it",
    "Slide stuck after the summer",
    "Sat on at camp",
    "Bell met a door",
    "Rolled down the bleachers",
    "Yearly check of the school's set",
];

/// A small linear generator: the same shop every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from((self.0 >> 33) % n.max(1) as u64).unwrap_or(0)
    }
    fn part(&mut self) -> f64 {
        self.below(1000) as f64 / 1000.0
    }
    /// About normal, mean 0 and deviation 1: twelve even ones less their mean.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.part()).sum::<f64>() - 6.0
    }
}

/// Fills an empty record.
pub fn fill(store: &Store, now: i64) -> Done {
    let machine = |e: &dyn std::fmt::Display| Fail::Machine(e.to_string());
    let hash = web::password::hash(PASSWORD).map_err(|e| machine(&e))?;
    let long_ago = By { who: "demo", at: now - 190 * DAY };
    store.set_setting(long_ago, RACK, EXAMPLE_RACK)?;
    store.set_setting(long_ago, SHOP, EXAMPLE_SHOP)?;
    store.add_person(long_ago, "ottilie", "Ottilie Brandt", PersonRole::Owner, &hash)?;
    let ramon = store.add_person(long_ago, "ramon", "Ramon Achterberg", PersonRole::Technician, &hash)?;
    let wren = store.add_person(long_ago, "wren", "Wren Okafor", PersonRole::Apprentice, &hash)?;
    store.add_person(long_ago, "desk", "Front desk", PersonRole::Counter, &hash)?;
    let school = store.add_customer(
        long_ago,
        "Pelham Ridge School District",
        "555-0117",
        "band@pelham-ridge.example",
        "214 instruments, summer contract",
    )?;
    let band = store.add_customer(long_ago, "Juniper Vale Community Band", "555-0102", "", "")?;
    let walk_in = store.add_customer(long_ago, "Walk-in: a parent", "555-0160", "", "")?;
    let player = store.add_customer(long_ago, "Walk-in: a professional", "555-0171", "", "needs it by the weekend, always")?;
    let rack = survey::read_rack(EXAMPLE_RACK).0;
    let shop = survey::read_shop(EXAMPLE_SHOP).0;
    let mut desk = Desk { store, rack, shop, dice: Dice(20_260_622), asked: Dice(7), now, hands: [ramon, wren] };

    store.add_contract(By { who: "ottilie", at: now - 40 * DAY }, school, &district()?)?;

    // The cases that the README shows, as they stand today.
    for (text, customer, state, days) in [
        (OX, school, JobState::Quoted, 6),
        (LINNET, band, JobState::OnBench, 9),
        (HERON, walk_in, JobState::Surveyed, 2),
        (ROT, player, JobState::Approved, 4),
    ] {
        let read = survey::read_survey(text).map_err(|p| Fail::Input(p.iter().map(ToString::to_string).collect()))?;
        desk.job(customer, read.survey, state, days, days + 14)?;
    }
    // Half a year before.
    for i in 0..36_i64 {
        let (kind, ..) = MODELS[desk.dice.below(MODELS.len())];
        let customer = [school, school, school, band, walk_in, player][desk.dice.below(6)];
        let days = 175 - i * 5 + i64::try_from(desk.dice.below(4)).unwrap_or(0);
        // With the cases above there is a job in every state, however the dice fall.
        let state = match 35 - i {
            0 => JobState::Received,
            1 => JobState::Quoted,
            2 => JobState::Ready,
            3 => JobState::Approved,
            _ if desk.dice.below(12) == 0 => JobState::Declined,
            _ => JobState::HandedBack,
        };
        let mut survey = desk.invented(kind);
        // A ticket is never dents alone.
        if i % 4 == 1 {
            survey.work = desk.asked(kind);
        }
        desk.job(customer, survey, state, days, 21)?;
    }
    // No dent at all: a yearly service that waits for its quote, and one that is wanted before the others.
    let mut service = bare(patterns::pattern(Kind::Cornet).unwrap_or_else(|| Instrument::new(Kind::Cornet)));
    service.title = "Yearly service".to_owned();
    service.work = works(&[("clean_inside", 1), ("valve_felts", 3), ("time_valves", 1), ("water_key_cork", 2)]);
    service.work.push(Work { optional: true, ..Work::new("w5", "relacquer") });
    desk.job(band, service.clone(), JobState::Surveyed, 1, 10)?;
    service.title = "Service before the concert".to_owned();
    service.work.truncate(4);
    let job = desk.job(player, service, JobState::OnBench, 3, 5)?;
    let rush = JobTerms { rush: true, ..JobTerms::default() };
    store.set_job_terms(By { who: "desk", at: now - 3 * DAY }, job, &rush, None)?;
    Ok(())
}

/// The district's summer contract, half of it done. Its days are moved by whole weeks, so that what is planned begins within seven days from
/// now and each day of the week stays the one that it is.
fn district() -> Done<ContractTexts> {
    let fail = |p: survey::Problem| Fail::Machine(p.to_string());
    let told: Date = DISTRICT_TODAY.parse().map_err(|e: jiff::Error| Fail::Machine(e.to_string()))?;
    let weeks = -(told - web::when::today()).get_days().div_euclid(7);
    let moved = |text: &str| moved(text, weeks);
    let head = survey::contract_form::with_tables(&moved(DISTRICT[0])).map_err(fail)?;
    Ok(ContractTexts { head, instruments: moved(DISTRICT[1]), dents: DISTRICT[2].to_owned(), done: DISTRICT[3].to_owned() })
}

/// A text with every day in it (`2026-07-13`) moved by so many weeks.
fn moved(text: &str, weeks: i32) -> String {
    const LENGTH: usize = "2026-07-13".len();
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(ch) = rest.chars().next() {
        let day = rest.get(..LENGTH).filter(|d| d.starts_with("20")).and_then(|d| d.parse::<Date>().ok());
        match day.and_then(|d| d.checked_add(jiff::Span::new().weeks(weeks)).ok()) {
            Some(day) => {
                out += &day.to_string();
                rest = &rest[LENGTH..];
            }
            None => {
                out.push(ch);
                rest = &rest[ch.len_utf8()..];
            }
        }
    }
    out
}

/// Work of the usual list.
fn works(jobs: &[(&str, u32)]) -> Vec<Work> {
    jobs.iter().zip(1..).map(|((job, count), n)| Work { count: *count, ..Work::new(format!("w{n}"), *job) }).collect()
}

/// Adds plain jobs, five dents each, with no more history than their survey.
pub fn many(store: &Store, now: i64, jobs: u32) -> Done {
    let mut dice = Dice(1);
    let broken = |e: Unreadable| Fail::Machine(e.to_string());
    let mut customers = Vec::new();
    for i in 0..200 {
        customers.push(store.add_customer(By { who: "demo", at: now }, &format!("School {i}"), "", "", "")?);
    }
    // What a school's shop sees most: trumpets, a cornet and a trombone among them.
    let mut bodies = Vec::new();
    for model in [&MODELS[0], &MODELS[0], &MODELS[1], &MODELS[2]] {
        let instrument = patterns::pattern(model.0).ok_or_else(|| Fail::Machine(format!("there is no pattern of a {}", model.1)))?;
        let body = bare(instrument);
        bodies.push((model, survey_to_json(&body).map_err(broken)?, body));
    }
    for i in 0..jobs {
        let ((_, kind, maker, model, value), text, body) = &bodies[dice.below(bodies.len())];
        let by = By { who: "demo", at: now - i64::from(i % 180) * DAY };
        let customer = customers[dice.below(customers.len())];
        let serial = format!("B{i}");
        let id =
            store.add_instrument(by, &NewInstrument { customer, kind, maker, model, serial: &serial, value: Some(value), asset: "" })?;
        let due = web::when::day_of(now + (i64::from(i % 60) - 20) * DAY);
        let job = store.add_job(by, id, MISHAPS[dice.below(MISHAPS.len())], "", (i % 3 > 0).then_some(due.as_str()))?;
        store.save_survey_body(by, job, 0, text)?;
        let places = places(body);
        for d in 0..5 {
            let run = places[dice.below(places.len())];
            let dent = dent(&format!("d{}", d + 1), run, &mut dice);
            store.save_dent(by, job, &dent.id.0, 0, &kept(&dent)?)?;
        }
        let state = [JobState::Surveyed, JobState::Quoted, JobState::OnBench, JobState::HandedBack][dice.below(4)];
        store.import_job_state(by, job, state)?;
    }
    Ok(())
}

/// The runs on which such instruments get dents.
fn places(survey: &Survey) -> Vec<&instrument::Run> {
    use instrument::Role::{BellFlare, BellStem, Bow, Branch, Leadpipe, TuningSlideCrook};
    let runs = survey.instrument.runs.iter();
    runs.filter(|r| matches!(r.role, BellFlare | BellStem | Bow | Branch | Leadpipe | TuningSlideCrook)).collect()
}

struct Desk<'a> {
    store: &'a Store,
    rack: Rack,
    shop: Shop,
    dice: Dice,
    asked: Dice,
    now: i64,
    hands: [i64; 2],
}

impl Desk<'_> {
    /// A survey of a pattern with a few dents where such instruments get them.
    fn invented(&mut self, kind: Kind) -> Survey {
        let (_, _, maker, model, value) = MODELS[MODELS.iter().position(|m| m.0 == kind).unwrap_or(0)];
        let mut instrument = patterns::pattern(kind).unwrap_or_else(|| Instrument::new(kind));
        instrument.maker = maker.to_owned();
        instrument.model = model.to_owned();
        instrument.serial = format!("{}-{}", &model[..1], 1000 + self.dice.below(9000));
        instrument.value_money = value.parse().ok();
        let mut survey = bare(instrument);
        survey.title = MISHAPS[self.dice.below(MISHAPS.len())].to_owned();
        survey.cleaned = Some(true);
        let places = places(&survey);
        let dents = (0..1 + self.dice.below(5)).map(|i| {
            let run = places[self.dice.below(places.len())];
            dent(&format!("d{}", i + 1), run, &mut self.dice)
        });
        survey.dents = dents.collect();
        survey
    }

    /// Seconds that a step takes here: what the standard says, times what this shop, the kind of work and the person make of it, times chance.
    /// Now and then nobody starts the timer, or nobody stops it before lunch.
    fn took_s(&mut self, step: &plan::Step, who: usize, fights: f64) -> i64 {
        use plan::StepKind as K;
        let kind = match step.kind {
            K::Clean => 1.25,
            K::Dent | K::OverFill => 0.9,
            K::CloseJoint | K::OverlayBack => 1.3,
            K::AcceptanceCheck => 0.8,
            K::Finish => 1.15,
            _ => 1.0,
        };
        let standard = step.standard.unwrap_or(step.minutes);
        let chance = (0.8 * standard.log_variance().sqrt() * self.dice.normal()).exp();
        let minutes = match self.dice.below(110) {
            0 => 0.0,
            1 => 6.0 * standard.mean(),
            _ => standard.mean() * kind * [0.98, 1.45][who] * fights * chance,
        };
        #[expect(clippy::cast_possible_truncation, reason = "minutes of a step")]
        let seconds = (minutes * 60.0) as i64;
        seconds
    }

    /// What else is asked for on such an instrument, by dice of their own: dents fall as they did.
    fn asked(&mut self, kind: Kind) -> Vec<Work> {
        let usual: &[(&str, u32)] = match kind {
            Kind::Trombone => &[("align_hand_slide", 1), ("slide_bumpers", 1), ("water_key_cork", 1)],
            Kind::Horn | Kind::Tuba => &[("clean_inside", 1), ("free_slide", 1), ("water_key_spring", 1), ("grease_slides", 4)],
            _ => &[("clean_inside", 1), ("valve_felts", 3), ("time_valves", 1), ("water_key_cork", 2)],
        };
        let first = self.asked.below(usual.len());
        works(&usual[first..(first + 1 + self.asked.below(2)).min(usual.len())])
    }

    /// A job brought as far as a state, received so many days ago; its number.
    fn job(&mut self, customer: i64, survey: Survey, state: JobState, days_ago: i64, due_after: i64) -> Done<i64> {
        let start = self.now - days_ago * DAY;
        let by = |who: &'static str, hours: i64| By { who, at: (start + hours * 3600).min(self.now) };
        let i = &survey.instrument;
        let kind = serde_json::to_value(i.kind).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default();
        let value = i.value_money.map(|v| format!("{v:.2}"));
        let new = NewInstrument {
            customer,
            kind: &kind,
            maker: &i.maker,
            model: &i.model,
            serial: &i.serial,
            value: value.as_deref(),
            asset: "",
        };
        let asset = if self.dice.below(2) == 0 { format!("PR-{}", 100 + self.dice.below(200)) } else { String::new() };
        let new = NewInstrument { asset: &asset, ..new };
        let instrument = self.store.add_instrument(by("desk", 0), &new)?;
        let due = web::when::day_of(start + due_after * DAY);
        let job = self.store.add_job(by("desk", 0), instrument, &survey.title, "", Some(&due))?;
        let came: &[&str] = [&["case"][..], &["case", "mouthpiece"], &[]][self.dice.below(3)];
        self.store.set_accessories(by("desk", 0), job, 1, came)?;
        if state == JobState::Received {
            return Ok(job);
        }
        let body = Survey { dents: vec![], ..survey.clone() };
        let text = survey_to_json(&body).map_err(|e| Fail::Machine(e.to_string()))?;
        self.store.save_survey_body(by("ramon", 3), job, 0, &text)?;
        for d in &survey.dents {
            self.store.save_dent(by("ramon", 3), job, &d.id.0, 0, &kept(d)?)?;
        }
        if state == JobState::Surveyed {
            return Ok(job);
        }
        let machine = |e: web::problem::Problem| Fail::Machine(e.to_string());
        // What jobs finished until then had taught.
        let learned = learning::in_use(self.store).map_err(machine)?;
        let from = Sources { rack: EXAMPLE_RACK.to_owned(), shop: EXAMPLE_SHOP.to_owned(), learned, ..Sources::default() };
        let shop = from.shop(self.store, survey.instrument.kind).map_err(machine)?;
        let worked = job::work_out(survey, self.rack.clone(), shop, &Overrules::default());
        let token = web::password::token().map_err(|e| Fail::Machine(e.to_string()))?;
        let quote = serde_json::to_string(&worked.quote).map_err(|e| Fail::Machine(e.to_string()))?;
        let until = web::when::day_of(start + 35 * DAY);
        let (day, none) = (web::when::day_of(start), Overrules::default());
        let ground = Ground::keep(self.store, by("desk", 20), &worked.survey, &from, &none, &day).map_err(machine)?;
        let made_from = ground.to_json().map_err(machine)?;
        let new = NewQuote { token: &token, body: &quote, valid_until: Some(&until), made_from: Some(&made_from), adds_to: None };
        self.store.add_quote(by("desk", 20), job, &new)?;
        if state == JobState::Quoted {
            return Ok(job);
        }
        let yes = state != JobState::Declined;
        let levels = [Level::Play, Level::Good, Level::Good, Level::Good, Level::Beautiful];
        let level = levels[self.dice.below(levels.len())];
        // Where nothing is damaged there is one offer.
        let level = worked.quote.of_level(level).map_or(worked.plan.level, |o| o.level);
        if !yes {
            self.store.decline(by("customer", 40), &token, "A. Customer", "", CameFrom::default())?;
            return Ok(job);
        }
        let worked = if level == worked.plan.level {
            worked
        } else {
            let (survey, rack, shop) = (worked.survey.clone(), worked.rack.clone(), worked.shop.clone());
            job::work_out_after(Some(&worked), level, survey, rack, shop, &none)
        };
        let broken = |e: serde_json::Error| Fail::Machine(e.to_string());
        let plan = serde_json::to_vec(&worked.plan).map_err(broken)?;
        let total = worked.quote.offers.iter().find(|o| o.level == level).map_or(String::new(), |o| o.bill.total.to_string());
        self.store.agree(
            by("customer", 40),
            &token,
            &Yes {
                level: level.key(),
                total: &total,
                name: "A. Customer",
                signature: "",
                how: SaidHow::Signed,
                taken_by: "",
                plan: ("application/json", &plan),
                paper: None,
                from: CameFrom::default(),
            },
        )?;
        if state == JobState::Approved {
            return Ok(job);
        }
        let hand = self.dice.below(2);
        self.store.change_job(
            by("desk", 41),
            job,
            2,
            &JobHead { title: &worked.survey.title, due: Some(&due), bench: Some(self.hands[hand]), ..JobHead::default() },
        )?;
        let steps = worked.plan.steps.len();
        let done = if state == JobState::OnBench { steps / 2 } else { steps };
        let mut at = start + 60 * 3600;
        // An instrument that fights back does so at every step.
        let fights = (0.16 * self.dice.normal()).exp();
        for step in worked.plan.steps.iter().take(done) {
            // Most steps are done by the one on whose bench it lies.
            let who = if self.dice.below(7) == 0 { 1 - hand } else { hand };
            let spent = self.took_s(step, who, fights);
            let key = job::key::step_key(step);
            let timed_by = learning::timed_by(step, &worked.shop.standards).map_err(machine)?;
            #[expect(clippy::cast_possible_truncation, reason = "minutes of a step")]
            let likely_s = (step.minutes.mean() * 60.0) as i64;
            let planned =
                PlannedStep { key: &key, kind: job::key::serde_name(step), what: &step.what.metric(), likely_s, timed_by: &timed_by };
            let name = ["ramon", "wren"][who];
            at = at.min(self.now - spent);
            self.store.act_on_step(By { who: name, at }, job, &planned, self.hands[who], StepAct::Start)?;
            self.store.act_on_step(By { who: name, at: at + spent }, job, &planned, self.hands[who], StepAct::Tick)?;
            at += spent + 300;
        }
        if state == JobState::OnBench {
            return Ok(job);
        }
        for check in job::acceptance::acceptance_checks(&worked.survey, &worked.plan) {
            let record = AcceptanceRecord {
                key: check.key,
                what: check.what.metric(),
                wanted: check.wanted.metric(),
                figure: check.wanted_mm.map_or_else(|| "as wanted".to_owned(), |w| format!("{:.2} mm", w.one_mm())),
                passed: Some(true),
                reason: String::new(),
                measured_mm: check.wanted_mm.map(|w| w.one_mm()),
                least_mm: check.wanted_mm.and_then(|w| w.least_mm),
                most_mm: check.wanted_mm.and_then(|w| w.most_mm),
                let_go_by: String::new(),
                who: String::new(),
                at: None,
            };
            self.store.save_acceptance(By { who: "ramon", at }, job, &record)?;
        }
        let required =
            web::pages::acceptance::required(&worked, &web::contract_making::Making::default(), web::unit_format::UnitFormat::default());
        self.store.ready_job(By { who: "ramon", at }, job, &required, None)?;
        learning::renew(self.store, By { who: "ramon", at }, &self.shop).map_err(machine)?;
        if state == JobState::HandedBack {
            let by = By { who: "desk", at: (at + DAY).min(self.now) };
            // Most pay at the counter; a school is billed.
            let total = worked.quote.offers.iter().find(|o| o.level == level).map(|o| o.bill.total);
            if let Some(total) = total.filter(|_| self.dice.below(3) > 0) {
                self.store.add_payment(by, job, &total.to_string(), ["card", "check"][self.dice.below(2)], "")?;
            }
            let back: Vec<i64> = self.store.accessories(job)?.iter().map(|a| a.id).collect();
            self.store.hand_back(by, job, "A. Customer", "", &back, None)?;
        }
        Ok(job)
    }
}

fn kept(dent: &Dent) -> Done<String> {
    Kept::from_dent(dent).to_json().map_err(|e| Fail::Machine(e.to_string()))
}

fn dent(id: &str, run: &instrument::Run, dice: &mut Dice) -> Dent {
    let length = run.length_mm();
    let at = length * (0.15 + 0.7 * dice.part());
    let across = run.outside_diameter_at(at);
    let depth = ((0.04 + 0.1 * dice.part()) * across.min(60.0)).max(0.5);
    let known =
        |name: &'static str, value: f64, sd: f64| Some(Known::new(name, (value * 10.0).round() / 10.0, sd, Unit::Mm, Origin::Measured));
    let (wide, long) = (0.5 + 0.3 * dice.part(), 0.7 + 0.6 * dice.part());
    Dent {
        at_mm: known("distance from the mouthpiece end", at, 3.0),
        clock_deg: Some(Known::new("clock", (dice.below(24) * 15) as f64, 10.0, Unit::Deg, Origin::Measured)),
        depth_mm: known("depth", depth, 0.15),
        width_along_mm: known("width along", across.min(60.0) * long, 1.5),
        width_across_mm: known("width across", across.min(60.0) * wide, 1.5),
        ..Dent::new(id, run.id.clone())
    }
}

fn bare(instrument: Instrument) -> Survey {
    Survey { surveyor: "Ramon Achterberg".to_owned(), ..Survey::of(instrument) }
}
