//! The papers of a school contract: the report for the district in plain words, and the work list of each bench by day.

use crate::job_view::Paper;
use crate::look::{
    About, BODY, H1, H2, LINE_MM, PARAGRAPH_MM, SMALL, SMALL_STRONG, STRONG, THIN, amounts, box_to_tick, bullets, chapter, flowing,
    letterhead, paragraph, table, whole,
};
use crate::typeset::{Body, Made, ReportError};
use contract::{Added, Assigned, Bought, Contract, Horn, Left, Planned, Standing, Visit};
use paper::{Block, Cell, Flow, Grid, Rules, Track, Words};
use plan::Level;
use quote::rounding::{in_steps, to_step};
use quote::words::name as level_name;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};
use units::LengthUnit;
use units::duration::show_minutes_or_none;
use units::likelihood::show_likelihood;
use units::money::show_whole;

/// A contract with its plan, as its papers see it.
#[derive(Clone, Copy)]
pub struct ContractView<'a> {
    /// The contract.
    pub contract: &'a Contract,
    /// Its plan.
    pub planned: &'a Planned,
    /// What more would buy.
    pub bought: &'a [Bought],
    /// The size of the paper.
    pub paper: Paper,
    /// The unit of sizes.
    pub unit: LengthUnit,
    /// A day (ISO 8601) as it is to be said.
    pub day: fn(&str) -> String,
}

/// The district's report.
///
/// # Errors
/// Where the paper cannot be set: a defect of the program.
pub fn contract_report_pdf(view: &ContractView) -> Result<Vec<u8>, ReportError> {
    report(view).pdf()
}

/// The work list: a bench after the other, a day after the other.
///
/// # Errors
/// Where the paper cannot be set: a defect of the program.
pub fn work_list_pdf(view: &ContractView) -> Result<Vec<u8>, ReportError> {
    work_list(view).pdf()
}

/// Instruments, one or more.
fn instruments(n: usize) -> String {
    if n == 1 { "1 instrument".to_owned() } else { format!("{n} instruments") }
}

/// The tags of instruments, so many at the most.
fn tags(all: &[&str], most: usize) -> String {
    let first = all.iter().take(most).copied().collect::<Vec<_>>().join(", ");
    match all.len().saturating_sub(most) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// What an instrument has been or will be brought to.
fn reaches(view: &ContractView, horn: &Horn) -> Option<(Level, Decimal)> {
    match &horn.standing {
        Standing::Done { level, .. } => horn.offer(*level).map(|o| (*level, o.cost)),
        _ => view.planned.of(&horn.tag).map(|a| (a.level, a.cost)),
    }
}

/// The report.
pub(crate) fn report(view: &ContractView) -> Made {
    let (c, p) = (view.contract, view.planned);
    let money = |d: Decimal| show_whole(d, &c.currency);
    let done: Vec<&Horn> = c.horns.iter().filter(|h| matches!(h.standing, Standing::Done { .. })).collect();
    let left: Vec<(&Horn, Left)> =
        c.horns.iter().filter(|h| reaches(view, h).is_none()).filter_map(|h| Left::why(c, h).map(|w| (h, w))).collect();
    let sound = left.iter().filter(|l| l.1 == Left::Sound).count();
    let all_cost = p.cost + p.spent;
    let musts = c.horns.iter().filter(|h| h.must).count();
    let mut opening = vec![format!(
        "{} of your {} get a repair. {} need none. {} have to wait or are better replaced.",
        done.len() + p.assigned.len(),
        instruments(c.horns.len()),
        sound,
        left.len() - sound
    )];
    if !done.is_empty() {
        opening.push(format!("{} are done already.", done.len()));
    }
    if musts > 0 {
        opening
            .push(format!("All {musts} that must meet your standard (“{}”) are among them or meet it as they are.", level_name(c.minimum)));
    }
    opening.push(format!(
        "The work costs {} of your {}. It is done by {} with a likelihood of {}.",
        money(all_cost),
        money(c.budget),
        (view.day)(&c.deadline),
        show_likelihood(p.likelihood)
    ));
    opening.extend(Some(c.tax.words()).filter(|w| !w.is_empty()));
    let reasons: BTreeMap<Left, Vec<&str>> = left.iter().fold(BTreeMap::new(), |mut m: BTreeMap<Left, Vec<&str>>, (h, w)| {
        m.entry(*w).or_default().push(&h.tag);
        m
    });
    let about = About {
        name: "contract report",
        kind: "Repair plan".to_owned(),
        title: format!("Repair plan for {}", c.customer),
        instrument: c.customer.clone(),
        shop: c.shop.clone(),
        footer: c.shop.clone(),
        paper: view.paper,
    };
    let since = vec![Words::of(c.customer.as_str(), STRONG), Words::of(format!("As of {}", (view.day)(&c.from)), BODY)];
    let mut flows = vec![letterhead(&c.shop, Words::of("Repair plan for your instruments", H2), since)];
    flows.push(flowing(Block::stack(LINE_MM, opening.into_iter().map(|o| Block::text(Words::of(o, BODY))))));
    // A column of its own, so that the amounts stand near their names.
    let sums = amounts(totals(view, all_cost), BODY, 2.0).block();
    flows.push(Flow::block(whole(Grid::side_by_side(vec![Track::Mm(100.0)], 0.0, vec![Cell::of(sums)]).block()), 4.8, PARAGRAPH_MM));
    flows.push(chapter("School by school"));
    let schools = schools(view);
    flows.push(flowing(of_schools(&schools)));
    if !reasons.is_empty() {
        flows.push(chapter("What is left, and why"));
        let one = |(why, all): (&Left, &Vec<&str>)| {
            Words::of(format!("{}: {}", all.len(), why.words()), STRONG).and(" ", BODY).and(tags(all, 40), SMALL)
        };
        flows.push(bullets(reasons.iter().map(one).collect()));
    }
    if !view.bought.is_empty() {
        flows.push(chapter("What more would buy"));
        let columns = vec![Track::Auto, Track::Auto, Track::Part(1.0)];
        let rows = view.bought.iter().map(|b| more(c, b)).collect();
        flows.push(flowing(table(columns, &[false, true, false], (&["Added", "Points", "What for"], SMALL_STRONG), rows).block()));
    }
    flows.push(chapter("How sure the deadline is"));
    let columns = vec![Track::Part(1.0), Track::Auto, Track::Auto, Track::Auto, Track::Auto];
    let heads = ["Bench", "Work expected", "Time there is", "Reserve", "Done in time"];
    let benches = p.benches.iter().filter_map(|b| {
        let times = [b.mean_min, b.there_min, b.there_min - b.mean_min].map(show_minutes_or_none);
        let likely = show_likelihood(b.likelihood);
        Some([c.bench(&b.id)?.person.clone()].into_iter().chain(times).chain([likely]).map(|w| Words::of(w, BODY)).collect())
    });
    let right = [false, true, true, true, true];
    flows.push(flowing(table(columns, &right, (&heads, SMALL_STRONG), benches.collect()).block()));
    flows.push(bullets(notes(view).into_iter().map(|n| Words::of(n, SMALL)).collect()));
    for s in schools.into_iter().filter(|s| !s.rows.is_empty()) {
        flows.push(chapter(s.name));
        let columns = vec![Track::Auto, Track::Part(1.0), Track::Part(1.0), Track::Auto, Track::Auto];
        let rows = s.rows.into_iter().map(|row| row.into_iter().map(|w| Words::of(w, SMALL)).collect()).collect();
        let right = [false, false, false, false, true];
        let of = table(columns, &right, (&["Tag", "Instrument", "Brought to", "Ready", "Cost"], SMALL_STRONG), rows);
        flows.push(flowing(Grid { inset_mm: (1.5, 1.4, 0.6), ..of }.block()));
    }
    Made { about, body: Body::Flows(flows) }
}

/// How many instruments of each school get what.
fn of_schools(schools: &[School]) -> Block {
    let heads = ["School", "Instruments", "Need none", "Playing condition", "Dents out", "Restored", "Wait or replace", "Cost"];
    let columns: Vec<Track> = [Track::Part(1.0)].into_iter().chain([Track::Auto; 7]).collect();
    let right: Vec<bool> = (0..heads.len()).map(|i| i > 0).collect();
    let row = |s: &School| {
        let counts = s.counts.map(|n| Words::of(n.to_string(), BODY));
        [Words::of(s.name.as_str(), BODY)].into_iter().chain(counts).chain([Words::of(s.cost.as_str(), BODY)]).collect()
    };
    table(columns, &right, (&heads, SMALL_STRONG), schools.iter().map(row).collect()).block()
}

fn totals(view: &ContractView, all_cost: Decimal) -> Vec<(String, String)> {
    let (c, p) = (view.contract, view.planned);
    let money = |d: Decimal| show_whole(d, &c.currency);
    let mut rows = vec![
        ("Repairs that are done", p.spent - c.tools_paid),
        ("Tools made so far, each paid once", c.tools_paid),
        ("Repairs still to do", p.cost - p.tools_cost),
        ("Tools still to make, each paid once", p.tools_cost),
    ];
    rows.retain(|(name, amount)| !amount.is_zero() || *name == "Repairs still to do");
    // What is shown in whole units adds up to the whole that is shown.
    let exact: Vec<Decimal> = rows.iter().map(|r| r.1).collect();
    let shown = in_steps(&exact, to_step(all_cost, Decimal::ONE), Decimal::ONE);
    let rows = rows.into_iter().map(|r| r.0).zip(shown).chain([("All of it", all_cost), ("Your budget", c.budget)]);
    rows.map(|(name, amount)| (name.to_owned(), money(amount))).collect()
}

/// What a school's instruments get.
struct School {
    name: String,
    /// Instruments in all; that need none; brought to each level; that wait or are better replaced.
    counts: [usize; 6],
    cost: String,
    /// Tag, name, what it is brought to, when it is ready, what it costs.
    rows: Vec<[String; 5]>,
}

/// A school after the other.
fn schools(view: &ContractView) -> Vec<School> {
    let c = view.contract;
    let money = |d: Decimal| show_whole(d, &c.currency);
    let names: BTreeSet<&str> = c.horns.iter().map(|h| h.school.as_str()).collect();
    names
        .into_iter()
        .map(|school| {
            let horns: Vec<&Horn> = c.horns.iter().filter(|h| h.school == school).collect();
            let reached: Vec<(&Horn, Level, Decimal)> =
                horns.iter().filter_map(|h| reaches(view, h).map(|(l, cost)| (*h, l, cost))).collect();
            let of = |level: Level| reached.iter().filter(|r| r.1 == level).count();
            let sound = horns.iter().filter(|h| reaches(view, h).is_none() && Left::why(c, h) == Some(Left::Sound)).count();
            let rows: Vec<[String; 5]> = reached
                .iter()
                .map(|(h, level, cost)| [h.tag.clone(), h.name.clone(), h.gets(*level), when(view, h), money(*cost)])
                .collect();
            let left = horns.len() - sound - reached.len();
            School {
                name: school.to_owned(),
                counts: [horns.len(), sound, of(Level::Play), of(Level::Good), of(Level::Beautiful), left],
                cost: money(reached.iter().map(|r| r.2).sum()),
                rows,
            }
        })
        .collect()
}

/// When an instrument is ready, by the expected times.
fn when(view: &ContractView, horn: &Horn) -> String {
    if matches!(horn.standing, Standing::Done { .. }) {
        return "done".to_owned();
    }
    let visit = view.planned.visits.iter().find(|v| v.tag == horn.tag && v.tool.is_none());
    visit.and_then(|v| v.when.last()).map_or_else(String::new, |s| (view.day)(&s.date))
}

/// What is added, the points it brings, and for which instruments.
fn more(c: &Contract, b: &Bought) -> Vec<Words> {
    let what = match &b.added {
        Added::Money { amount } => format!("{} more", show_whole(*amount, &c.currency)),
        Added::BenchDay { bench } => {
            let person = c.bench(bench).map_or(bench.as_str(), |b| b.person.as_str());
            format!("One more day of {person}")
        }
        Added::Week => "A week more for all benches".to_owned(),
    };
    let gets: Vec<&str> = b.more.iter().map(|c| c.tag.as_str()).collect();
    let fewer: Vec<&str> = b.less.iter().map(|c| c.tag.as_str()).collect();
    let words = if gets.is_empty() && b.cut {
        "Nothing more was found in the time that was searched.".to_owned()
    } else if gets.is_empty() {
        "Nothing more gets done: this is not what is short.".to_owned()
    } else if fewer.is_empty() {
        format!("More for {}: {}.", instruments(gets.len()), tags(&gets, 12))
    } else {
        format!("More for {}: {}. Less for {}: {}.", instruments(gets.len()), tags(&gets, 12), instruments(fewer.len()), tags(&fewer, 12))
    };
    let points = format!("{}{:.0}", if b.cut { "at least " } else { "" }, b.points);
    vec![Words::of(what, BODY), Words::of(points, BODY), Words::of(words, SMALL)]
}

fn notes(view: &ContractView) -> Vec<String> {
    let (c, p) = (view.contract, view.planned);
    let mut notes = vec![
        format!(
            "What counts as worth more: {} points for an instrument that plays, {} with its dents out too, {} restored. Times 1 for low, 2 for usual, 3 for high priority. Common practice, no source; you may set other points.",
            c.points.play, c.points.good, c.points.beautiful
        ),
        format!("What is still to do is worth {:.0} points. With this money and time nothing is worth more than {:.0}.", p.value, p.bound),
    ];
    if let Some(greedy) = p.greedy {
        notes.push(format!("Taking the repairs with the most points an hour first gives {greedy:.0} points."));
    }
    notes.push(format!(
        "Repair times are uncertain. The plan keeps a reserve, so that all benches are done by {} with a likelihood of {}. It reckons that a person’s pace over a summer is off by {:.0} %, and what the surveys say by {:.0} % (one standard deviation). Common practice, no source.",
        (view.day)(&c.deadline),
        show_likelihood(p.likelihood),
        c.spread.person * 100.0,
        c.spread.contract * 100.0
    ));
    notes.push("The days are those expected. A job may end some days earlier or later.".to_owned());
    notes
}

/// The work list.
pub(crate) fn work_list(view: &ContractView) -> Made {
    let (c, p) = (view.contract, view.planned);
    let about = About {
        name: "work list",
        kind: "Work list".to_owned(),
        title: c.customer.clone(),
        instrument: c.customer.clone(),
        shop: c.shop.clone(),
        footer: c.shop.clone(),
        paper: view.paper,
    };
    let head = [Block::heading(1, Words::of("Work list", H1)), Block::text(Words::of(c.customer.as_str(), H2))];
    let mut flows = vec![Flow::block(Block::stack(2.6, head), 0.0, PARAGRAPH_MM)];
    for (n, b) in c.benches.iter().enumerate() {
        if n > 0 {
            flows.push(Flow::Break);
        }
        flows.push(chapter(format!("{}, {}", b.person, b.id)));
        let visits: Vec<&Visit> = p.visits.iter().filter(|v| v.bench == b.id).collect();
        let dates: BTreeSet<&str> = visits.iter().flat_map(|v| v.when.iter().map(|s| s.date.as_str())).collect();
        if dates.is_empty() {
            flows.push(paragraph(Words::of("Nothing to do here.", BODY)));
        }
        for date in dates {
            let stretches = visits.iter().flat_map(|v| v.when.iter().filter(|s| s.date == date).map(move |s| (*v, s)));
            let rows = stretches.map(|(v, s)| row(view, p.of(&v.tag), v, s)).collect();
            let columns = vec![Track::Mm(26.0), Track::Mm(18.0), Track::Part(1.0), Track::Mm(46.0), Track::Mm(6.0)];
            let of_day = Grid {
                inset_mm: (1.0, 1.4, 0.6),
                rules: Rules { top: Some(THIN), ..Rules::default() },
                rows,
                table: true,
                ..Grid::side_by_side(columns, 0.0, Vec::new())
            };
            let day = Block::text(Words::of((view.day)(date), STRONG));
            flows.push(Flow::block(whole(Block::stack(1.4, [day, of_day.block()])), 4.0, PARAGRAPH_MM));
        }
    }
    Made { about, body: Body::Flows(flows) }
}

/// What a bench does in one stretch.
fn row(view: &ContractView, assigned: Option<&Assigned>, v: &Visit, s: &contract::Stretch) -> Vec<Cell> {
    // To five minutes, as all times are said.
    let clock = |m: u32| format!("{}:{:02}", (m + 2) / 5 * 5 / 60, (m + 2) / 5 * 5 % 60);
    let horn = view.contract.horn(&v.tag);
    let gets = |level| horn.map_or_else(String::new, |h| h.gets(level));
    let first = v.when.first() == Some(s);
    let last = v.when.last() == Some(s);
    let what = match (&v.tool, assigned) {
        (Some(tool), _) => format!("Make {}", view.contract.tool_name(tool, view.unit)),
        (None, Some(a)) if a.begun => format!("Finish: {}", gets(a.level)),
        (None, Some(a)) => gets(a.level),
        (None, None) => String::new(),
    };
    let what = match (first, last) {
        (true, true) => what,
        (true | false, false) => format!("{what}, goes on"),
        (false, true) => format!("{what}, to its end"),
    };
    let whose = horn.map_or_else(String::new, |h| format!("{}, {}", h.name, h.school));
    let text = |words: String, how| Cell::of(Block::text(Words::of(words, how)));
    vec![
        text(format!("{} to {}", clock(s.from_min), clock(s.to_min)), SMALL),
        text(v.tag.clone(), SMALL_STRONG),
        text(whose, SMALL),
        text(what, SMALL),
        Cell::of(Block::Laid(box_to_tick(4.0))),
    ]
}
