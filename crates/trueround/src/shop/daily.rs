//! The backup that makes itself while the shop is open: once a day, the newest of seven days and of four weeks kept.

use super::record;
use crate::fail::{Done, Fail};
use jiff::civil::Date;
use std::path::{Path, PathBuf};
use std::time::Duration;
use web::App;

/// How often it is looked whether today's backup stands. A day on which the machine is off has none.
const LOOK_EVERY: Duration = Duration::from_secs(600);
/// Days and weeks of which the newest backup is kept. Common practice, no source.
const DAYS: usize = 7;
const WEEKS: usize = 4;

/// Begins to save every day into a folder, which must be there: a stick that is not plugged in must not become a folder beside it.
pub fn begin(app: App, folder: PathBuf, passphrase: Option<String>) -> Done {
    if !folder.is_dir() {
        return Err(Fail::input(format!("{} is no folder; make it first (is the disk plugged in?)", folder.display())));
    }
    std::thread::spawn(move || {
        loop {
            if let Err(e) = once(&app, &folder, passphrase.as_deref(), web::when::today()) {
                tracing::error!("daily backup into {}: {e}", folder.display());
            }
            std::thread::sleep(LOOK_EVERY);
        }
    });
    Ok(())
}

/// Today's backup, where it does not stand yet; then the old ones go.
fn once(app: &App, folder: &Path, passphrase: Option<&str>, today: Date) -> Result<(), String> {
    let name = format!("trueround-{today}.zip{}", if passphrase.is_some() { ".age" } else { "" });
    let to = folder.join(&name);
    if to.exists() {
        return Ok(());
    }
    let saved = record::save(app.store(), &to, passphrase).map_err(|f| f.words())?;
    for what in &saved.missing {
        tracing::error!("{}: missing: {what}", to.display());
    }
    // What is not whole never pushes out what was.
    if saved.missing.is_empty() {
        let names: Vec<String> =
            std::fs::read_dir(folder).map_err(|e| e.to_string())?.filter_map(|e| e.ok()?.file_name().into_string().ok()).collect();
        for old in outlived(&names, today) {
            std::fs::remove_file(folder.join(old)).map_err(|e| e.to_string())?;
        }
    }
    Ok(())
}

/// Which of a folder's files may go: backups of this program that are neither the newest of one of the last seven days that have one
/// nor the newest of one of the last four weeks that have one. What is dated after today stays: the clock may have been wrong.
fn outlived(names: &[String], today: Date) -> Vec<&String> {
    let mut dated: Vec<(Date, &String)> = names.iter().filter_map(|n| Some((day_of(n)?, n))).filter(|(day, _)| *day <= today).collect();
    dated.sort_by(|a, b| b.cmp(a));
    let (mut days, mut weeks, mut gone) = (Vec::new(), Vec::new(), Vec::new());
    for (day, name) in dated {
        let week = day.iso_week_date();
        let week = (week.year(), week.week());
        let first_of_day = days.len() < DAYS && !days.contains(&day);
        let first_of_week = weeks.len() < WEEKS && !weeks.contains(&week);
        if first_of_day {
            days.push(day);
        }
        if first_of_week {
            weeks.push(week);
        }
        if !first_of_day && !first_of_week {
            gone.push(name);
        }
    }
    gone
}

fn day_of(name: &str) -> Option<Date> {
    let day = name.strip_prefix("trueround-")?;
    let day = day.strip_suffix(".zip.age").or_else(|| day.strip_suffix(".zip"))?;
    day.parse().ok()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn seven_days_and_four_weeks_are_kept_and_nothing_of_others_is_touched() {
        let today: Date = "2026-11-26".parse().unwrap();
        let mut names: Vec<String> = (0..60_i64)
            .map(|i| today.checked_sub(jiff::Span::new().days(i)).unwrap())
            .map(|day| format!("trueround-{day}.zip.age"))
            .collect();
        names.extend(["trueround-2099-01-01.zip".to_owned(), "holiday.zip".to_owned(), "trueround-notes.zip".to_owned()]);
        let gone = outlived(&names, today);
        let mut kept: Vec<&String> = names.iter().filter(|n| !gone.contains(n)).collect();
        kept.sort();
        let days: Vec<&str> = kept.iter().map(|n| n.as_str()).collect();
        // The last seven days; the Sundays of the two weeks before them (the week of the 22nd is among the seven already).
        assert_eq!(
            days,
            [
                "holiday.zip",
                "trueround-2026-11-08.zip.age",
                "trueround-2026-11-15.zip.age",
                "trueround-2026-11-20.zip.age",
                "trueround-2026-11-21.zip.age",
                "trueround-2026-11-22.zip.age",
                "trueround-2026-11-23.zip.age",
                "trueround-2026-11-24.zip.age",
                "trueround-2026-11-25.zip.age",
                "trueround-2026-11-26.zip.age",
                "trueround-2099-01-01.zip",
                "trueround-notes.zip",
            ]
        );
    }

    #[test]
    fn a_day_has_one_backup_and_the_record_knows_of_it() {
        let (record, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let app = App::new(store::Store::open(record.path()).unwrap(), false);
        let today: Date = "2026-11-26".parse().unwrap();
        assert!(app.store().last_backup().is_none());
        once(&app, to.path(), None, today).unwrap();
        let file = to.path().join("trueround-2026-11-26.zip");
        let made = std::fs::metadata(&file).unwrap().modified().unwrap();
        once(&app, to.path(), None, today).unwrap();
        assert_eq!(std::fs::metadata(&file).unwrap().modified().unwrap(), made);
        assert!(app.store().last_backup().unwrap().whole);
        once(&app, to.path(), None, today.tomorrow().unwrap()).unwrap();
        assert_eq!(std::fs::read_dir(to.path()).unwrap().count(), 2);
    }
}
