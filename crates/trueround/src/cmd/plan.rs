//! `trueround plan`: the main job. Everything is worked out before anything is written; the folder appears whole.

use crate::args::{Plan, Terms};
use crate::fail::{Done, Fail};
use crate::{case, papers, summary, what_if};
use std::path::Path;

/// Runs it.
pub fn run(a: &Plan) -> Done {
    let survey = case::survey(&a.case)?;
    if !survey.has_work() {
        return Err(Fail::input(format!(
            "{}: the survey names no dent, no other damage and no work: there is nothing to plan. To mend it: add the first dent with a line [[dent]], and under it run = \"…\".",
            a.case.display()
        )));
    }
    let rack = case::rack(a.rack.as_deref())?;
    let shop = quote::Shop { terms: terms(&a.terms)?, ..case::shop(a.shop.as_deref())? };
    case::known_work(&survey, &shop, &a.case)?;
    let unit = a.units.length();
    if a.out.exists() && !a.out.is_dir() {
        return Err(Fail::input(format!("--out {}: this is a file. To mend it: name a folder, new or old.", a.out.display())));
    }
    let overrules = what_if::overrules(&a.what_if, &survey, &rack)?.on_day(&rack, &jiff::ZonedDateTime::now().date().to_string());
    let job = job::work_out_after(None, a.level.level(), survey, rack, shop, &overrules);
    let contradictions = job.contradictions();
    if !contradictions.is_empty() {
        return Err(Fail::Input(contradictions.iter().map(|c| format!("{}.", c.words(&job.survey).show(unit))).collect()));
    }
    let worth = job.worth_knowing();
    let files = papers::all(&job, &worth, unit, a.reasons)?;
    write(&a.out, &files)?;
    anstream::println!("{}", summary::summary(&job, &worth, unit));
    if !overrules.all.is_empty() {
        anstream::println!("{}", summary::changes(&job, unit));
    }
    let drawings = files.iter().filter(|(name, _)| name.starts_with("drawings/")).count();
    let papers: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).filter(|name| !name.starts_with("drawings/")).collect();
    anstream::println!("In {}: {}, drawings/ ({drawings} files).", a.out.display(), papers.join(", "));
    Ok(())
}

/// What holds for this job beside the shop's prices.
fn terms(a: &Terms) -> Done<quote::Terms> {
    let discount = match &a.discount {
        Some(text) => {
            let off = quote::Off::read(text).map_err(|e| Fail::input(format!("--discount {text}: {e}")))?;
            Some(quote::Discount { off, reason: a.discount_reason.clone().unwrap_or_default() })
        }
        None => None,
    };
    Ok(quote::Terms {
        rush: a.rush,
        wanted: String::new(),
        discount,
        exempt: a.tax_exempt.clone().unwrap_or_default(),
        ..quote::Terms::default()
    })
}

/// Writes the files into the folder: first all into a new one beside it, then moved in, so that a failure leaves nothing
/// half-written.
fn write(out: &Path, files: &[(String, Vec<u8>)]) -> Done {
    let fail = |e: std::io::Error| Fail::file(out, e);
    let parent = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(parent).map_err(fail)?;
    let work = tempfile::tempdir_in(parent).map_err(fail)?;
    for (name, bytes) in files {
        let path = work.path().join(name);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(fail)?;
        }
        std::fs::write(&path, bytes).map_err(fail)?;
    }
    // An earlier plan's drawings would lie about this one.
    let old = out.join("drawings");
    if old.is_dir() {
        std::fs::remove_dir_all(&old).map_err(fail)?;
    }
    for (name, _) in files {
        let to = out.join(name);
        if let Some(folder) = to.parent() {
            std::fs::create_dir_all(folder).map_err(fail)?;
        }
        std::fs::rename(work.path().join(name), &to).map_err(fail)?;
    }
    Ok(())
}
