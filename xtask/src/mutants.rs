//! Do the tests notice? Changes the code of the crates that compute, one change at a time, and runs the tests of the crate
//! that was changed. Outside CI: hours on two cores, so a random sample with its interval is what can be had in one.
//!
//! Two kinds of change ([`list`]): those of cargo-mutants (functions that return something else, operators turned round), and
//! every numeric constant halved, which cargo-mutants leaves alone. [`attempt`] tries them. Survivors that have a reason stand
//! in `docs/mutants.md`.

mod attempt;
mod list;
mod share;

use crate::run;
use attempt::{Bench, Outcome};
use list::Change;
use std::collections::{BTreeMap, VecDeque};
use std::fs;
use std::io::Write;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// The least part of the viable changes that the tests must notice.
const LEAST: f64 = 0.85;

/// What was asked for.
struct Words {
    packages: Vec<String>,
    /// How many, drawn evenly; none: all.
    sample: Option<usize>,
    seed: u64,
    jobs: usize,
    /// No change is begun after this.
    minutes: Option<f64>,
    /// Only changes whose name holds one of these.
    only: Vec<String>,
    /// Names of tests left out.
    skip: Vec<String>,
    constants: bool,
    audited: bool,
    list: bool,
}

impl Words {
    fn read(words: &[String]) -> Result<Self, String> {
        let mut w = Self {
            packages: vec![],
            sample: None,
            seed: 1,
            jobs: 1,
            minutes: None,
            only: vec![],
            skip: vec![],
            constants: false,
            audited: false,
            list: false,
        };
        let mut words = words.iter();
        while let Some(word) = words.next() {
            let mut value = || words.next().ok_or_else(|| format!("{word} wants a value"));
            match word.as_str() {
                "--sample" => w.sample = Some(number(word, value()?)?),
                "--seed" => w.seed = number(word, value()?)?,
                "--jobs" => w.jobs = number::<usize>(word, value()?)?.max(1),
                "--minutes" => w.minutes = Some(number(word, value()?)?),
                "--only" => w.only.push(value()?.clone()),
                "--skip" => w.skip.push(value()?.clone()),
                "--constants" => w.constants = true,
                "--audited" => w.audited = true,
                "--list" => w.list = true,
                p if list::PARTS.iter().any(|part| part.package == p) => w.packages.push(p.to_owned()),
                _ => return Err(format!("`{word}` is no word of this command")),
            }
        }
        Ok(w)
    }
}

fn number<T: std::str::FromStr>(word: &str, value: &str) -> Result<T, String> {
    value.parse().map_err(|_| format!("{word} wants a number, not `{value}`"))
}

/// `cargo xtask mutants [PACKAGE…] [--sample N] [--seed S] [--jobs N] [--minutes M] [--only TEXT] [--skip TEST] [--constants | --audited] [--list]`.
pub fn check(words: &[String]) -> Result<(), String> {
    let words = Words::read(words)?;
    let mut all = if words.audited { list::audited(&words.packages)? } else { list::all(&words.packages, !words.constants)? };
    all.retain(|c| words.only.is_empty() || words.only.iter().any(|t| c.name.contains(t.as_str())));
    let of = counts(&all);
    if let Some(n) = words.sample {
        all = share::draw(all, n, words.seed);
    }
    if words.list {
        for c in &all {
            println!("{}", c.name);
        }
        println!("{} of {} changes: {of:?}", all.len(), of.values().sum::<usize>());
        return Ok(());
    }
    report(&tried(all, &words)?, &of, words.sample.is_some() || words.minutes.is_some())
}

fn counts(all: &[Change]) -> BTreeMap<&'static str, usize> {
    let mut of = BTreeMap::new();
    for c in all {
        *of.entry(c.package).or_default() += 1;
    }
    of
}

/// Tries the changes in their order, which is random where they were drawn: what a run cut off has tried is a sample too.
fn tried(all: Vec<Change>, words: &Words) -> Result<BTreeMap<&'static str, Tally>, String> {
    let packages: Vec<&'static str> = counts(&all).into_keys().collect();
    let begun = Instant::now();
    let over = |t: Instant| words.minutes.is_some_and(|m| t.elapsed() > Duration::from_secs_f64(60.0 * m.max(0.0)));
    let (queue, tally, count) = (Mutex::new(VecDeque::from(all)), Mutex::new(BTreeMap::<&'static str, Tally>::new()), Mutex::new(0));
    let worker = |number: usize| -> Result<(), String> {
        // A tree and its builds for each crate: one that is changed does not make the others build anew.
        let mut benches = BTreeMap::new();
        for p in &packages {
            benches.insert(*p, Bench::new(p, number, &words.skip)?);
        }
        while let Some(change) = held(&queue).pop_front().filter(|_| !over(begun)) {
            let Some(bench) = benches.get(change.package) else { continue };
            let outcome = bench.attempt(&change)?;
            let mut n = held(&count);
            *n += 1;
            println!("{:>4} {:>5.1} min {:<11} {}", *n, begun.elapsed().as_secs_f64() / 60.0, outcome.words(), change.name);
            // The output may be a file: whoever looks wants to see how far it is.
            let _ = std::io::stdout().flush();
            held(&tally).entry(change.package).or_default().add(outcome, change.name);
        }
        Ok(())
    };
    let worker = &worker;
    std::thread::scope(|s| {
        let all: Vec<_> = (0..words.jobs).map(|n| s.spawn(move || worker(n))).collect();
        all.into_iter().try_for_each(|w| w.join().unwrap_or_else(|_| Err("a worker of the command fell over".to_owned())))
    })?;
    Ok(tally.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner))
}

/// A lock whose other holder fell over still holds whole values: each is changed in one go.
fn held<T>(lock: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// What became of the changes.
#[derive(Default)]
struct Tally {
    caught: usize,
    /// Neither: the tests did not end in their time, which a change can bring about, or a busy machine.
    out_of_time: Vec<String>,
    unviable: usize,
    missed: Vec<String>,
}

impl Tally {
    fn add(&mut self, outcome: Outcome, name: String) {
        match outcome {
            Outcome::Caught => self.caught += 1,
            Outcome::OutOfTime => self.out_of_time.push(name),
            Outcome::Unviable => self.unviable += 1,
            Outcome::Missed => self.missed.push(name),
        }
    }
}

fn report(tally: &BTreeMap<&'static str, Tally>, of: &BTreeMap<&'static str, usize>, sampled: bool) -> Result<(), String> {
    let known = fs::read_to_string(run::root().join("docs/mutants.md")).unwrap_or_default();
    println!("crate      changes  caught  missed  not viable  out of time   share, 90 % interval");
    let row = |name: &str, of: usize, caught: usize, missed: usize, unviable: usize, late: usize| {
        let said = match share::interval(caught, caught + missed) {
            Some(_) if !sampled => format!("{:.1} %, all tried", 100.0 * caught as f64 / (caught + missed) as f64),
            Some((low, high)) => {
                let share = caught as f64 / (caught + missed) as f64;
                format!("{:.1} %, {:.1} to {:.1} %", 100.0 * share, 100.0 * low, 100.0 * high)
            }
            None => "none tried".to_owned(),
        };
        println!("{name:<10} {of:>7} {caught:>7} {missed:>7} {unviable:>11} {late:>12}   {said}");
    };
    let mut sum = [0; 5];
    for (package, t) in tally {
        let n = of.get(package).copied().unwrap_or_default();
        let figures = [n, t.caught, t.missed.len(), t.unviable, t.out_of_time.len()];
        row(package, figures[0], figures[1], figures[2], figures[3], figures[4]);
        sum = std::array::from_fn(|i| sum[i] + figures[i]);
    }
    row("all", sum[0], sum[1], sum[2], sum[3], sum[4]);
    for t in tally.values() {
        for m in &t.missed {
            let listed =
                if known.contains(&without_place(m)) { "missed, stands in docs/mutants.md" } else { "missed, and not in docs/mutants.md" };
            println!("{listed}: {m}");
        }
        for m in &t.out_of_time {
            println!("out of time: {m}");
        }
    }
    let viable = sum[1] + sum[2];
    if viable == 0 || sum[1] as f64 / viable as f64 >= LEAST { Ok(()) } else { Err(format!("under {:.0} %", 100.0 * LEAST)) }
}

/// A change without its line and column, which move: `file: what`.
fn without_place(mutant: &str) -> String {
    let mut parts = mutant.splitn(4, ':');
    match (parts.next(), parts.next(), parts.next(), parts.next()) {
        (Some(file), Some(_), Some(_), Some(what)) => format!("{file}:{what}"),
        _ => mutant.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_taken_out_of_a_name() {
        assert_eq!(without_place("crates/x/src/a.rs:12:5: replace + with -"), "crates/x/src/a.rs: replace + with -");
    }

    #[test]
    fn words_are_read_and_others_refused() {
        let read = |text: &str| Words::read(&text.split(' ').map(str::to_owned).collect::<Vec<_>>());
        let w = read("dent --sample 40 --seed 7 --jobs 2 metal").unwrap_or_else(|e| unreachable!("{e}"));
        assert_eq!((w.packages, w.sample, w.seed, w.jobs), (vec!["dent".to_owned(), "metal".to_owned()], Some(40), 7, 2));
        assert!(read("dnet").is_err() && read("--sample").is_err() && read("--sample many").is_err());
    }
}
