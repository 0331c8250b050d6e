//! Reading the files that a plan is made from, with every problem told by file and line.

use crate::fail::{Done, Fail};
use instrument::Survey;
use quote::Shop;
use reach::Rack;
use std::path::Path;
use survey::Problem;

/// The example rack, used where no other is named.
const EXAMPLE_RACK: &str = include_str!("../../../demo/rack.toml");
/// The example shop, used where no other is named.
const EXAMPLE_SHOP: &str = include_str!("../../../demo/shop.toml");

/// Reads a survey; its warnings are told on the error stream.
pub fn survey(path: &Path) -> Done<Survey> {
    let text = text(path, survey::MAX_SURVEY_BYTES)?;
    match survey::read_survey(&text) {
        Ok(read) => {
            for w in &read.warnings {
                anstream::eprintln!("{}: {w}", path.display());
            }
            Ok(read.survey)
        }
        Err(problems) => Err(Fail::Input(printed(path, &problems))),
    }
}

/// The text of a bore's file.
pub fn bore_text(path: &Path) -> Done<String> {
    text(path, survey::MAX_SURVEY_BYTES)
}

/// The text of a contract's file.
pub fn contract_text(path: &Path) -> Done<String> {
    text(path, survey::MAX_CONTRACT_BYTES)
}

/// The text of a table that a contract names, or of an earlier plan of one.
pub fn table_text(path: &Path) -> Done<String> {
    text(path, 64 << 20)
}

/// Reads the rack, or takes the example and says so. A tool that makes no sense is told and left out.
pub fn rack(path: Option<&Path>) -> Done<Rack> {
    let Some(path) = path else {
        anstream::eprintln!("No --rack given: the example rack of the demo's shop is used.");
        return Ok(survey::read_rack(EXAMPLE_RACK).0);
    };
    let text = text(path, survey::MAX_RACK_BYTES)?;
    let csv = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let (rack, problems) = if csv { survey::read_rack_csv(&text) } else { survey::read_rack(&text) };
    for line in printed(path, &problems) {
        anstream::eprintln!("{line}");
    }
    if rack.tools.is_empty() {
        return Err(Fail::input(format!("{}: no tool of this rack can be used", path.display())));
    }
    Ok(rack)
}

/// Reads the shop, or takes the example and says so.
pub fn shop(path: Option<&Path>) -> Done<Shop> {
    let (text, name) = match path {
        Some(path) => (text(path, survey::MAX_SURVEY_BYTES)?, path.to_owned()),
        None => {
            anstream::eprintln!("No --shop given: the example shop's prices and times are used.");
            (EXAMPLE_SHOP.to_owned(), "the example shop".into())
        }
    };
    let (shop, problems) = survey::read_shop(&text);
    // A price that cannot be read must not become another one: the shop mends its file first.
    if problems.iter().any(|p| !p.warning) {
        return Err(Fail::Input(printed(&name, &problems)));
    }
    for line in printed(&name, &problems) {
        anstream::eprintln!("{line}");
    }
    Ok(shop)
}

/// Whether the shop's list has every job that the survey asks for.
pub fn known_work(survey: &Survey, shop: &Shop, path: &Path) -> Done {
    let jobs = || shop.standards.jobs.iter().map(|j| j.key.as_str());
    let unknown: Vec<String> = plan::standard_job::unknown(&shop.standards.jobs, survey)
        .into_iter()
        .map(|w| {
            let near = survey::words::nearest(&w.job, jobs());
            let hint =
                near.map_or_else(|| format!("it has {}", jobs().collect::<Vec<_>>().join(", ")), |near| format!("did you mean {near}?"));
            format!("{}: work {}: the shop's list has no job “{}”. To mend it: {hint}", path.display(), w.id, w.job)
        })
        .collect();
    if unknown.is_empty() { Ok(()) } else { Err(Fail::Input(unknown)) }
}

fn printed(path: &Path, problems: &[Problem]) -> Vec<String> {
    problems.iter().map(|p| format!("{}: {p}", path.display())).collect()
}

/// A file's text, if it is not larger than `most` bytes; a larger one is refused before it is read.
fn text(path: &Path, most: usize) -> Done<String> {
    let size = std::fs::metadata(path).map_err(|e| Fail::input(format!("{}: {e}", path.display())))?.len();
    if size > most as u64 {
        return Err(Fail::input(format!(
            "{}: the file is {:.1} MB large, more than the {:.0} MB that are read. To mend it: look whether this is the right file.",
            path.display(),
            size as f64 / 1e6,
            most as f64 / 1e6
        )));
    }
    let bytes = std::fs::read(path).map_err(|e| Fail::input(format!("{}: {e}", path.display())))?;
    survey::text_of(&bytes).map(str::to_owned).map_err(|p| Fail::input(format!("{}: {p}", path.display())))
}
