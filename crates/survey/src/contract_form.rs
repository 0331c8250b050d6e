//! The head of a contract as forms show it, and its file changed in the places that were typed. What can be taken is decided by
//! the file's own reader.

use crate::contract::read_head;
use crate::document::{document, list, listed, put, put_at, typed};
use crate::problem::Problem;
use contract::{Points, Skill, Spread};
use jiff::civil::Date;
use toml_edit::{Array, Item, Table, Value};

/// Why a form cannot be taken: the field beside which it is said (empty: none), and what is wrong.
pub type Refused = Vec<(String, Problem)>;

/// The head of a contract, as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct HeadForm {
    /// The customer's name.
    pub customer: String,
    /// What all of it may cost.
    pub budget: String,
    /// The first day of work.
    pub starts: String,
    /// The first day that is planned now; empty: the first day of work.
    pub today: String,
    /// The last day of work.
    pub deadline: String,
    /// How likely all benches are to be done by then; empty: 80 %.
    pub likelihood: String,
    /// What an instrument with a must has to reach: a level's key.
    pub minimum: String,
    /// Days on which nobody works, with commas between.
    pub holidays: String,
    /// Points for an instrument that plays; empty: as common practice has it.
    pub play: String,
    /// Points with its dents out too.
    pub good: String,
    /// Points restored.
    pub beautiful: String,
    /// By how much a person's pace over the contract may be off; empty: as common practice has it.
    pub person: String,
    /// By how much all surveys together may be off.
    pub contract: String,
}

/// A bench of a contract, as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BenchForm {
    /// Its name.
    pub id: String,
    /// Who works there.
    pub person: String,
    /// Time a day for this contract.
    pub hours: String,
    /// When its day begins; empty: 8:00.
    pub begins: String,
    /// Days of the week, with commas between; empty: Monday to Friday.
    pub days: String,
    /// Days off, with commas between.
    pub off: String,
    /// Time taken over the shop's standard; empty: as the standard.
    pub pace: String,
    /// What the person knows: keys of skills.
    pub skills: Vec<String>,
}

fn words_of(table: &Table, key: &str) -> Vec<String> {
    let array = table.get(key).and_then(Item::as_array);
    array.into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect()
}

fn parted(text: &str) -> Vec<String> {
    text.split([',', ';', '\n']).map(|s| s.trim().to_owned()).filter(|s| !s.is_empty()).collect()
}

/// The value of what was typed; none where nothing was.
fn word(text: &str) -> Option<Value> {
    Some(text.trim()).filter(|t| !t.is_empty()).map(Value::from)
}

/// A list of words; none where it is empty.
fn words(all: &[String]) -> Option<Value> {
    (!all.is_empty()).then(|| Value::Array(all.iter().map(String::as_str).collect::<Array>()))
}

/// A number as a number, anything else as the word that it is: the reader says what is wrong with it.
fn number(text: &str) -> Option<Value> {
    let plain = text.trim().replace(',', ".");
    if let Ok(whole) = plain.parse::<i64>() {
        return Some(Value::from(whole));
    }
    match plain.parse::<f64>() {
        Ok(n) if n.is_finite() => Some(Value::from(n)),
        _ => word(text),
    }
}

/// The head of a contract's file.
///
/// # Errors
/// Where the file is not TOML.
pub fn head_form(text: &str) -> Result<HeadForm, Problem> {
    let doc = document(text)?;
    let of = |key: &str| doc.get(key).map_or_else(String::new, |item| typed(item, ""));
    let within = |table: &str, key: &str| {
        doc.get(table).and_then(Item::as_table_like).and_then(|t| t.get(key)).map_or_else(String::new, |item| typed(item, ""))
    };
    Ok(HeadForm {
        customer: of("customer"),
        budget: of("budget"),
        starts: of("starts"),
        today: of("today"),
        deadline: of("deadline"),
        likelihood: of("likelihood"),
        minimum: of("minimum"),
        holidays: words_of(doc.as_table(), "holidays").join(", "),
        play: within("points", "play"),
        good: within("points", "good"),
        beautiful: within("points", "beautiful"),
        person: within("spread", "person"),
        contract: within("spread", "contract"),
    })
}

/// The benches of a contract's file, in its order.
///
/// # Errors
/// Where the file is not TOML.
pub fn bench_forms(text: &str) -> Result<Vec<BenchForm>, Problem> {
    let doc = document(text)?;
    let one = |t: &Table| {
        let of = |key: &str| t.get(key).map_or_else(String::new, |item| typed(item, ""));
        let all = || Skill::ALL.iter().map(|s| s.key().to_owned()).collect();
        BenchForm {
            id: of("id"),
            person: of("person"),
            hours: of("hours"),
            begins: of("begins"),
            days: words_of(t, "days").join(", "),
            off: words_of(t, "off").join(", "),
            pace: of("pace"),
            skills: if t.contains_key("skills") { words_of(t, "skills") } else { all() },
        }
    };
    Ok(listed(&doc, "bench").iter().map(one).collect())
}

/// A field of the reader as the form's.
fn head_field(field: &str) -> &str {
    match field {
        "points" => "play",
        other => other.rsplit(": ").next().unwrap_or(other),
    }
}

/// What is wrong with a head alone.
fn wrong_head(text: &str) -> Refused {
    let wrong = read_head(text).1.into_iter().filter(|p| !p.warning && !p.field.starts_with("bench"));
    wrong.map(|p| (head_field(&p.field).to_owned(), p)).collect()
}

/// The file with its head changed.
///
/// # Errors
/// Each field that cannot be.
pub fn with_head(text: &str, f: &HeadForm) -> Result<String, Refused> {
    let mut doc = document(text).map_err(|p| vec![(String::new(), p)])?;
    let before = head_form(text).map_err(|p| vec![(String::new(), p)])?;
    for (key, new, old) in [
        ("customer", &f.customer, &before.customer),
        ("budget", &f.budget, &before.budget),
        ("starts", &f.starts, &before.starts),
        ("today", &f.today, &before.today),
        ("deadline", &f.deadline, &before.deadline),
        ("likelihood", &f.likelihood, &before.likelihood),
        ("minimum", &f.minimum, &before.minimum),
    ] {
        if new.trim() != old {
            put_at(&mut doc, key, word(new));
        }
    }
    if parted(&f.holidays) != parted(&before.holidays) {
        put_at(&mut doc, "holidays", words(&parted(&f.holidays)));
    }
    let (points, spread) = (Points::common_practice(), Spread::common_practice());
    let percent = |part: f64| format!("{:.0} %", part * 100.0);
    let usual_points = [points.play, points.good, points.beautiful].map(|p| p.to_string());
    let usual_spread = [spread.person, spread.contract].map(percent);
    let mut group = |table: &str, fields: &[(&str, &str, &str, &String)], numbers: bool| {
        if fields.iter().all(|(_, new, old, _)| new.trim() == *old) {
            return;
        }
        if fields.iter().all(|(_, new, ..)| new.trim().is_empty()) {
            doc.as_table_mut().remove(table);
            return;
        }
        for (key, new, _, usual) in fields {
            let said = if new.trim().is_empty() { usual.as_str() } else { new };
            put_at(&mut doc, &format!("{table}.{key}"), if numbers { number(said) } else { word(said) });
        }
    };
    group(
        "points",
        &[
            ("play", &f.play, &before.play, &usual_points[0]),
            ("good", &f.good, &before.good, &usual_points[1]),
            ("beautiful", &f.beautiful, &before.beautiful, &usual_points[2]),
        ],
        true,
    );
    group(
        "spread",
        &[("person", &f.person, &before.person, &usual_spread[0]), ("contract", &f.contract, &before.contract, &usual_spread[1])],
        false,
    );
    let after = doc.to_string();
    let wrong = wrong_head(&after);
    if wrong.is_empty() { Ok(after) } else { Err(wrong) }
}

/// The file with a bench changed, by its place in the list from 0; one more where none is named.
///
/// # Errors
/// Each field that cannot be; where there is no such bench.
pub fn with_bench(text: &str, at: Option<usize>, f: &BenchForm) -> Result<String, Refused> {
    let mut doc = document(text).map_err(|p| vec![(String::new(), p)])?;
    let gone = || {
        let (what, hint) = ("there is no such bench any more".into(), "another tablet may have taken it out".into());
        vec![(String::new(), Problem { line: None, field: String::new(), what, hint, warning: false })]
    };
    let Some(benches) = list(&mut doc, "bench") else { return Err(gone()) };
    if at.is_none() {
        let mut new = Table::new();
        new.decor_mut().set_prefix("\n");
        benches.push(new);
    }
    let at = at.unwrap_or_else(|| benches.len().saturating_sub(1));
    let Some(bench) = benches.get_mut(at) else { return Err(gone()) };
    for (key, value) in [
        ("id", word(&f.id)),
        ("person", word(&f.person)),
        ("hours", word(&f.hours)),
        ("begins", word(&f.begins)),
        ("days", words(&parted(&f.days))),
        ("off", words(&parted(&f.off))),
        ("pace", number(&f.pace)),
        ("skills", Some(Value::Array(f.skills.iter().map(String::as_str).collect::<Array>()))),
    ] {
        let written = |item: Option<&Item>| item.map(|i| typed(i, ""));
        if written(bench.get(key)) != value.as_ref().and_then(|v| written(Some(&Item::Value(v.clone())))) {
            put(bench, key, value);
        }
    }
    let after = doc.to_string();
    let wrong = wrong_bench(&after, &f.id, at);
    if wrong.is_empty() { Ok(after) } else { Err(wrong) }
}

/// What is wrong with one bench of a file.
fn wrong_bench(text: &str, id: &str, at: usize) -> Refused {
    let (mine, nameless) = (format!("bench {}: ", id.trim()), format!("bench {}: ", at + 1));
    let of = |p: &Problem| match p.field.as_str() {
        "bench: id" => Some("id".to_owned()),
        field => {
            let key = field.strip_prefix(&mine).or_else(|| field.strip_prefix("bench : ")).or_else(|| field.strip_prefix(&nameless));
            key.map(str::to_owned).or_else(|| (field.is_empty() || field == "bench").then(String::new))
        }
    };
    read_head(text).1.into_iter().filter(|p| !p.warning).filter_map(|p| of(&p).map(|key| (key, p))).collect()
}

/// The file without a bench.
///
/// # Errors
/// Where the file is not TOML.
pub fn without_bench(text: &str, at: usize) -> Result<String, Problem> {
    let mut doc = document(text)?;
    if let Some(benches) = list(&mut doc, "bench")
        && at < benches.len()
    {
        benches.remove(at);
    }
    Ok(doc.to_string())
}

/// The file with the first day that is planned: `day` where that is later than what it says. The days before are gone.
///
/// # Errors
/// Where the file is not TOML.
pub fn from_day(text: &str, day: Date) -> Result<String, Problem> {
    let mut doc = document(text)?;
    let read = |key: &str| doc.get(key).and_then(Item::as_str).and_then(|d| d.trim().parse::<Date>().ok());
    let said = read("today").or_else(|| read("starts"));
    if said.is_some_and(|said| said < day) {
        put_at(&mut doc, "today", Some(Value::from(day.to_string())));
    }
    Ok(doc.to_string())
}

/// The file with its tables under the names that a contract of the record gives them, and without files of the shop: the record
/// has those.
///
/// # Errors
/// Where the file is not TOML.
pub fn with_tables(text: &str) -> Result<String, Problem> {
    let mut doc = document(text)?;
    for table in crate::contract_rows::ContractTable::ALL {
        let key = table.file().trim_end_matches(".csv");
        put_at(&mut doc, key, Some(Value::from(table.file())));
    }
    put_at(&mut doc, "rack", None);
    put_at(&mut doc, "shop", None);
    Ok(doc.to_string())
}

/// A contract's file with nothing said yet but its tables.
pub fn empty_head() -> String {
    "trueround_contract = 1\ninstruments = \"instruments.csv\"\ndents = \"dents.csv\"\ndone = \"done.csv\"\n".to_owned()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../demo/pelham-ridge.contract.toml");

    #[test]
    fn a_head_is_shown_and_changed_where_it_was_typed() {
        let head = head_form(DEMO).unwrap();
        assert_eq!(
            (head.budget.as_str(), head.deadline.as_str(), head.holidays.as_str()),
            ("$30,000", "2026-08-14", "2026-06-19, 2026-07-03")
        );
        assert_eq!(with_head(DEMO, &head).unwrap(), DEMO);
        let less = HeadForm { budget: "$21,000".to_owned(), ..head.clone() };
        assert_eq!(with_head(DEMO, &less).unwrap(), DEMO.replace("\"$30,000\" ", "\"$21,000\" "));
        let plain = HeadForm { play: String::new(), good: String::new(), beautiful: String::new(), ..head.clone() };
        assert!(!with_head(DEMO, &plain).unwrap().contains("[points]"));
        let one = HeadForm { play: "50".to_owned(), good: String::new(), ..head.clone() };
        let (read, _) = read_head(&with_head(DEMO, &one).unwrap());
        assert_eq!(read.unwrap().points, Points { play: 50, good: 80, beautiful: 85 });
        let wrong = HeadForm {
            budget: "much".to_owned(),
            deadline: "soon".to_owned(),
            likelihood: "200 %".to_owned(),
            holidays: "Easter".to_owned(),
            person: "x".to_owned(),
            ..head
        };
        let keys: Vec<String> = with_head(DEMO, &wrong).unwrap_err().into_iter().map(|(k, _)| k).collect();
        for key in ["budget", "deadline", "likelihood", "holidays", "person"] {
            assert!(keys.iter().any(|k| k == key), "{key} is not in {keys:?}");
        }
    }

    #[test]
    fn benches_are_changed_added_and_taken_out() {
        let benches = bench_forms(DEMO).unwrap();
        assert_eq!((benches.len(), benches[2].pace.as_str(), benches[0].skills.len()), (3, "1.6", 4));
        let ill = BenchForm { off: format!("{}, 2026-08-03 to 2026-08-07", benches[0].off), ..benches[0].clone() };
        let after = with_bench(DEMO, Some(0), &ill).unwrap();
        assert_eq!(bench_forms(&after).unwrap()[0], ill);
        assert!(after.contains("# the rest of her day is the counter's"));
        let new = BenchForm { id: "bench 4".to_owned(), hours: "5 h".to_owned(), skills: vec!["dents".to_owned()], ..BenchForm::default() };
        let more = with_bench(DEMO, None, &new).unwrap();
        assert_eq!(bench_forms(&more).unwrap().len(), 4);
        assert_eq!(bench_forms(&without_bench(&more, 3).unwrap()).unwrap(), benches);
        // The first bench of a file that has none.
        assert_eq!(bench_forms(&with_bench(&empty_head(), None, &new).unwrap()).unwrap(), [new]);
        let keys = |f: BenchForm| with_bench(DEMO, None, &f).unwrap_err().into_iter().map(|(k, _)| k).collect::<Vec<_>>();
        let wrong = BenchForm {
            id: "b".to_owned(),
            hours: "long".to_owned(),
            pace: "9".to_owned(),
            days: "moonday".to_owned(),
            off: "then".to_owned(),
            ..BenchForm::default()
        };
        assert_eq!(keys(wrong), ["hours", "days", "off", "pace"]);
        assert_eq!(keys(BenchForm { id: "bench 1".to_owned(), hours: "5 h".to_owned(), ..BenchForm::default() }), ["id"]);
        assert!(keys(BenchForm::default()).contains(&"id".to_owned()));
    }

    #[test]
    fn days_that_are_gone_are_not_planned_again() {
        let day = |text: &str| text.parse::<Date>().unwrap();
        let from = |d: &str| read_head(&from_day(DEMO, day(d)).unwrap()).0.unwrap().from;
        assert_eq!((from("2026-07-01"), from("2026-07-20")), ("2026-07-13".to_owned(), "2026-07-20".to_owned()));
        let kept = with_tables(DEMO).unwrap();
        assert!(kept.contains("instruments = \"instruments.csv\"") && !kept.contains("shop.toml") && kept.contains("dents.csv"));
    }
}
