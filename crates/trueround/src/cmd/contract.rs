//! `trueround contract`: a school contract from its files. Everything is worked out before anything is written; the folder
//! appears whole.

use crate::contract_args::Contract as Args;
use crate::fail::{Done, Fail};
use crate::{case, earlier};
use contract::{Added, Contract, Effort, Planned, Standing, Unworked, offers};
use report::{ContractFile, ContractView};
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use survey::ContractRead;
use survey::contract::InFile;
use units::duration::show_minutes_or_none;
use units::likelihood::show_likelihood;
use units::money::show_whole;

/// Runs it.
pub fn run(a: &Args) -> Done {
    if let Some(dir) = &a.template {
        return templates(dir);
    }
    let (Some(file), Some(out)) = (&a.contract, &a.out) else {
        return Err(Fail::input("Name a contract and a folder: trueround contract CONTRACT.toml --out DIR. Or begin with --template DIR."));
    };
    if out.exists() && !out.is_dir() {
        return Err(Fail::input(format!("--out {}: this is a file. To mend it: name a folder, new or old.", out.display())));
    }
    let read = read(file)?;
    let before = a.before.as_deref().map(earlier::read).transpose()?;
    let contract = with_offers(a, file, read)?;
    let start = before.as_ref().map(contract::more::Earlier::choices);
    let planned = plan(a, &contract, start.as_ref())?;
    let (begin, limit) = (Instant::now(), Duration::from_secs(u64::from(a.seconds)));
    let bought = contract::what_more_buys(&contract, &planned, &Added::usual(&contract), &|| begin.elapsed() < limit);
    let view = ContractView {
        contract: &contract,
        planned: &planned,
        bought: &bought,
        paper: a.paper.paper(),
        unit: a.units.length(),
        day: report::contract_files::day,
    };
    let bytes = |f: ContractFile| f.bytes(&view).map(|b| (f.name(), b));
    let files: Vec<_> =
        ContractFile::ALL.into_iter().map(bytes).collect::<Result<_, _>>().map_err(|e| Fail::Machine(format!("typesetting: {e}")))?;
    write(out, &files)?;
    summary(&contract, &planned, &bought, a.seconds);
    if let Some(before) = before {
        earlier::tell(&contract, &before, &planned);
    }
    let names: Vec<&str> = files.iter().map(|f| f.0).collect();
    anstream::println!("In {}: {}.", out.display(), names.join(", "));
    Ok(())
}

fn templates(dir: &Path) -> Done {
    std::fs::create_dir_all(dir).map_err(|e| Fail::file(dir, e))?;
    let all = survey::contract::templates();
    if let Some((name, _)) = all.iter().find(|(name, _)| dir.join(name).exists()) {
        return Err(Fail::input(format!(
            "{} is there already and is not written over. To mend it: name another folder.",
            dir.join(name).display()
        )));
    }
    for (name, text) in &all {
        let path = dir.join(name);
        std::fs::write(&path, text).map_err(|e| Fail::file(&path, e))?;
    }
    anstream::println!("In {}: {}.", dir.display(), all.iter().map(|f| f.0).collect::<Vec<_>>().join(", "));
    Ok(())
}

/// The contract with its tables; every problem of every file at once.
fn read(file: &Path) -> Done<ContractRead> {
    let text = case::contract_text(file)?;
    let folder = file.parent().unwrap_or(Path::new("."));
    let open = |name: &str| case::table_text(&folder.join(name)).map_err(|e| e.words());
    let name = file.display().to_string();
    let place = |f: &str| if f == name { f.to_owned() } else { folder.join(f).display().to_string() };
    match survey::read_contract(&name, &text, &open) {
        Ok(read) => {
            for p in &read.warnings {
                anstream::eprintln!("{}: {}", place(&p.file), p.problem);
            }
            Ok(read)
        }
        Err(all) => Err(to_mend(&all, &place)),
    }
}

/// What is to be mended, a line each, and how much of it.
fn to_mend(all: &[InFile], place: &dyn Fn(&str) -> String) -> Fail {
    let mut lines: Vec<String> = all.iter().map(|p| format!("{}: {}", place(&p.file), p.problem)).collect();
    lines.push(format!(
        "{} to mend. Nothing was written.",
        if all.len() == 1 { "1 thing".to_owned() } else { format!("{} things", all.len()) }
    ));
    Fail::Input(lines)
}

/// Works the offers of all instruments out, on all cores.
fn with_offers(a: &Args, file: &Path, read: ContractRead) -> Done<Contract> {
    let folder = file.parent().unwrap_or(Path::new("."));
    let named = |given: &Option<PathBuf>, own: &Option<String>| given.clone().or_else(|| own.as_ref().map(|o| folder.join(o)));
    let rack = case::rack(named(&a.rack, &read.rack).as_deref())?;
    let shop = case::shop(named(&a.shop, &read.shop).as_deref())?;
    let unknown = read.unknown_work(&shop.standards.jobs);
    if !unknown.is_empty() {
        return Err(to_mend(&unknown, &|f| folder.join(f).display().to_string()));
    }
    let ContractRead { contract, surveys, plays, .. } = read;
    let all = surveys.len();
    let told = |n: usize| {
        if n.is_multiple_of(25) || n == all {
            anstream::eprintln!("{n} of {all} instruments worked out");
        }
    };
    let offers_of = |survey: &_| offers::offers(survey, &rack, &shop);
    contract::work_out(contract, &surveys, &plays, &shop, &offers_of, &|| true, &told).map_err(|e| match e {
        Unworked::NoSuchOffer(lines) => Fail::Input(lines),
        Unworked::Stopped => Fail::Machine("stopped".to_owned()),
    })
}

/// The plan; where there was an earlier one, near it, so that little changes.
fn plan(a: &Args, contract: &Contract, start: Option<&contract::solve::Choices>) -> Done<Planned> {
    let begin = Instant::now();
    let limit = Duration::from_secs(u64::from(a.seconds));
    let mut told = Instant::now();
    contract::plan(contract, &Effort { start, before: start, ..Effort::default() }, &|| begin.elapsed() < limit, &mut |p| {
        if told.elapsed() > Duration::from_secs(2) {
            told = Instant::now();
            let value = p.value.map_or_else(|| "none yet".to_owned(), |v| format!("{v:.0}"));
            anstream::eprintln!("best plan {value} points, at most {:.0}", p.bound);
        }
    })
    .map_err(|t| Fail::Input(t.words(&contract.currency)))
}

fn summary(c: &Contract, p: &Planned, bought: &[contract::Bought], seconds: u32) {
    let money = |d: Decimal| show_whole(d, &c.currency);
    let done = c.horns.iter().filter(|h| matches!(h.standing, Standing::Done { .. })).count();
    anstream::println!("{}: {} instruments, {done} done, {} more in the plan.", c.customer, c.horns.len(), p.assigned.len());
    anstream::println!(
        "{} of {}: {} for what is done, of that {} for tools; {} to do, of that {} for tools.",
        money(p.cost + p.spent),
        money(c.budget),
        money(p.spent),
        money(c.tools_paid),
        money(p.cost),
        money(p.tools_cost)
    );
    if !c.tax.words().is_empty() {
        anstream::println!("{}", c.tax.words());
    }
    anstream::println!("Done by {} with a likelihood of {}:", c.deadline, show_likelihood(p.likelihood));
    for b in &p.benches {
        anstream::println!(
            "  {}: {} of {}, {}",
            b.id,
            show_minutes_or_none(b.mean_min),
            show_minutes_or_none(b.there_min),
            show_likelihood(b.likelihood)
        );
    }
    anstream::println!("{:.0} points. No plan is worth more than {:.0} ({:.2} %).", p.value, p.bound, 100.0 * p.gap());
    if p.for_staying >= 0.5 {
        anstream::println!("{:.0} points are left so that instruments stay where the plan before had them.", p.for_staying);
    }
    if let Some(greedy) = p.greedy {
        anstream::println!("By points an hour alone: {greedy:.0} points.");
    }
    if bought.iter().any(|b| b.cut) || bought.len() < Added::usual(c).len() {
        anstream::println!("What more would buy, as far as it was searched in {} s:", seconds);
    }
    for b in bought {
        let what = match &b.added {
            Added::Money { amount } => format!("{} more", money(*amount)),
            Added::BenchDay { bench } => format!("a day more of {bench}"),
            Added::Week => "a week more".to_owned(),
        };
        if b.more.is_empty() {
            anstream::println!("  {what}: nothing more");
            continue;
        }
        let get = if b.more.len() == 1 { "instrument gets" } else { "instruments get" };
        let least = if b.cut { "at least " } else { "" };
        anstream::println!("  {what}: {least}{:.0} points, {} {get} more", b.points, b.more.len());
    }
}

/// Writes the files: first all beside the folder, then moved in, so that a failure leaves nothing half-written.
fn write(out: &Path, files: &[(&'static str, Vec<u8>)]) -> Done {
    let fail = |e: std::io::Error| Fail::file(out, e);
    let parent = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(parent).map_err(fail)?;
    let work = tempfile::tempdir_in(parent).map_err(fail)?;
    for (name, bytes) in files {
        std::fs::write(work.path().join(name), bytes).map_err(fail)?;
    }
    std::fs::create_dir_all(out).map_err(fail)?;
    for (name, _) in files {
        std::fs::rename(work.path().join(name), out.join(name)).map_err(fail)?;
    }
    Ok(())
}
