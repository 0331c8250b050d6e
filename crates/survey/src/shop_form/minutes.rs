//! Minutes for each kind of step and for what is opened: all goes well, usual, fights back; with whence each comes.

use super::{Refused, bare, checked, whole};
use crate::document::{document, put};
use crate::problem::Problem;
use crate::shop::{key, read_shop};
use crate::words::plain;
use plan::shop::{OpenClose, OpeningKind};
use plan::standard_words::{FIXTURE, HEAT_SETUP, StandardWords, of_opening, of_step};
use plan::{Standards, StepKind};
use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value};
use units::ThreePoint;

/// A standard.
#[derive(Clone, Debug)]
pub struct MinuteRow {
    /// Its place in the file (`minutes.clean`, `opening.brace.open`).
    pub path: String,
    /// What it is called, and its minutes taken apart.
    pub words: StandardWords,
    /// For what is opened: whether these are the minutes of putting it back.
    pub back: bool,
    /// If all goes well, usually, if it fights back: minutes, as a form shows them.
    pub values: [String; 3],
    /// Whether these are the minutes of common practice.
    pub usual: bool,
}

/// Standards that stand in one form.
#[derive(Clone, Debug)]
pub struct MinuteGroup {
    /// Its key.
    pub key: &'static str,
    /// What stands over it.
    pub title: &'static str,
    /// Its standards.
    pub rows: Vec<MinuteRow>,
}

fn shown(t: ThreePoint) -> [String; 3] {
    [t.least, t.likely, t.most].map(|m| {
        let text = format!("{m:.2}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    })
}

/// In which form a kind of step stands.
fn group_of(kind: StepKind) -> usize {
    use StepKind as K;
    match kind {
        K::Clean | K::Free | K::Strip | K::Assemble | K::AcceptanceCheck | K::Finish | K::OtherWork => 0,
        K::Dent
        | K::Crease
        | K::StabiliseCrack
        | K::Fill
        | K::OverFill
        | K::MeltOut
        | K::RoundOut
        | K::Straighten
        | K::StraightenSlide
        | K::TrueFit => 1,
        K::Anneal | K::OpenJoint | K::CloseJoint | K::Align | K::OverlayOff | K::OverlayBack => 2,
        K::MakeTool | K::Patch | K::ReplaceRun | K::BrazeBrace | K::NewBrace | K::MakeBrace => 3,
    }
}

/// The standards of a shop's file, with what holds now.
///
/// # Errors
/// Where the file is not TOML.
pub fn minutes(text: &str) -> Result<Vec<MinuteGroup>, Problem> {
    document(text)?;
    let now = read_shop(text).0.standards;
    let usual = Standards::common_practice();
    let mut groups =
        [("every", "Every job"), ("dents", "Dents and tubes"), ("heat", "Heat and joints"), ("parts", "Parts and tools to make")]
            .map(|(key, title)| MinuteGroup { key, title, rows: Vec::new() });
    let row = |path: String, words, back, now: ThreePoint, usual: ThreePoint| MinuteRow {
        path,
        words,
        back,
        values: shown(now),
        usual: now == usual,
    };
    for (kind, standard) in &usual.minutes {
        let path = format!("minutes.{}", key(*kind));
        groups[group_of(*kind)].rows.push(row(path, of_step(*kind), false, now.minutes_of(*kind), *standard));
    }
    groups[2].rows.push(row("minutes.heat_setup".to_owned(), HEAT_SETUP, false, now.heat_setup, usual.heat_setup));
    groups[1].rows.push(row("minutes.fixture".to_owned(), FIXTURE, false, now.fixture, usual.fixture));
    let mut opening = Vec::new();
    for (kind, standard) in &usual.opening {
        let own = now.opening.get(kind).copied().unwrap_or(*standard);
        let path = |end: &str| format!("opening.{}.{end}", key(*kind));
        opening.push(row(path("open"), of_opening(*kind), false, own.open, standard.open));
        opening.push(row(path("close"), of_opening(*kind), true, own.close, standard.close));
    }
    let mut all = groups.to_vec();
    all.push(MinuteGroup { key: "opening", title: "Taking off and putting back", rows: opening });
    Ok(all)
}

/// The shop's file with these standards as typed, each with its path.
///
/// # Errors
/// Each that cannot be, by its path; then nothing is changed.
pub fn with_minutes(text: &str, typed: &[(String, [String; 3])]) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    let now = read_shop(text).0.standards;
    for (path, times) in typed {
        let with_unit = times.each_ref().map(|t| if bare(t.trim()) { format!("{} min", t.trim()) } else { t.trim().to_owned() });
        match path.split('.').collect::<Vec<_>>()[..] {
            ["minutes", name] => {
                if let Some(table) = table(&mut doc, "minutes") {
                    let key = known(table, name);
                    put(table, &key, Some(list(&with_unit)));
                }
            }
            ["opening", name, end @ ("open" | "close")] => {
                let kind = Standards::common_practice().opening.into_keys().find(|k| key(*k) == name);
                let own = kind.and_then(|k: OpeningKind| now.opening.get(&k).copied());
                if let (Some(own), Some(table)) = (own, table(&mut doc, "opening")) {
                    open_close(table, name, end, &with_unit, own);
                }
            }
            _ => {}
        }
    }
    checked(text, doc.to_string())
}

fn open_close(table: &mut dyn TableLike, name: &str, end: &str, times: &[String; 3], now: OpenClose) {
    let key = known(table, name);
    if !table.contains_key(&key) {
        let minutes = |t: ThreePoint| list(&shown(t).map(|m| format!("{m} min")));
        let both = InlineTable::from_iter([("open", minutes(now.open)), ("close", minutes(now.close))]);
        table.insert(&key, Item::Value(Value::InlineTable(both)));
    }
    if let Some(entry) = table.get_mut(&key).and_then(Item::as_table_like_mut) {
        put(entry, end, Some(list(times)));
    }
}

fn list(times: &[String; 3]) -> Value {
    Value::Array(times.iter().map(String::as_str).collect::<Array>())
}

/// A table of the file, made where there is none.
fn table<'d>(doc: &'d mut DocumentMut, name: &str) -> Option<&'d mut dyn TableLike> {
    doc.as_table_mut().entry(name).or_insert_with(|| Item::Table(Table::new())).as_table_like_mut()
}

/// The key under which the file has a standard: hyphens and capitals are a person's own.
fn known(table: &dyn TableLike, name: &str) -> String {
    let word = plain(name);
    let older = |k: &str| name == "acceptance_check" && k == "prove";
    table.iter().map(|(k, _)| k).find(|k| plain(k) == word || older(k)).unwrap_or(name).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../../demo/shop.toml");

    fn three(a: &str, b: &str, c: &str) -> [String; 3] {
        [a, b, c].map(str::to_owned)
    }

    #[test]
    fn every_standard_is_shown_once_and_goes_in_as_it_is_shown() {
        for text in [DEMO, "trueround_shop = 1\n"] {
            let rows: Vec<_> = minutes(text).unwrap().into_iter().flat_map(|g| g.rows).collect();
            let usual = Standards::common_practice();
            assert_eq!(rows.len(), usual.minutes.len() + 2 + 2 * usual.opening.len());
            let all: Vec<_> = rows.iter().map(|r| (r.path.clone(), r.values.clone())).collect();
            let after = with_minutes(text, &all).unwrap();
            assert_eq!(read_shop(&after).0, read_shop(text).0);
        }
        // A form carries fewer fields than the door takes.
        assert!(minutes(DEMO).unwrap().iter().all(|g| 3 * g.rows.len() + 4 < 100));
    }

    #[test]
    fn a_standard_changes_in_its_place() {
        let after = with_minutes(
            DEMO,
            &[("minutes.dent".to_owned(), three("1", "3", "1 h")), ("opening.brace.close".to_owned(), three("8", "14", "25"))],
        )
        .unwrap();
        let meant = DEMO
            .replace("dent = [\"1 min\", \"2 min\", \"4 min\"] ", "dent = [\"1 min\", \"3 min\", \"1 h\"] ")
            .replace("close = [\"8 min\", \"13 min\", \"25 min\"]", "close = [\"8 min\", \"14 min\", \"25 min\"]");
        assert_eq!(after, meant);
        let row = minutes(&after).unwrap().into_iter().flat_map(|g| g.rows).find(|r| r.path == "minutes.dent").unwrap();
        assert!(!row.usual && row.values == three("1", "3", "60"));
        assert!(
            with_minutes(DEMO, &[("opening.ferrule_at_joint.open".to_owned(), three("1", "2", "3"))])
                .unwrap()
                .contains("ferrule_at_joint = {")
        );
    }

    #[test]
    fn times_that_do_not_rise_are_said_of_their_row() {
        let wrong = with_minutes(
            DEMO,
            &[("minutes.clean".to_owned(), three("9", "5", "20")), ("opening.guard.close".to_owned(), three("a", "5", "20"))],
        )
        .unwrap_err();
        let keys: Vec<_> = wrong.iter().map(|(k, _)| k.as_str()).collect();
        assert_eq!(keys, ["minutes.clean", "opening.guard.close"]);
    }
}
