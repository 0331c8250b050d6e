//! The shop's standard jobs as forms show them: what is typed goes over the usual list, and only what differs is written.

use super::{Refused, bare, checked, refused, whole};
use crate::document::{document, list, put};
use crate::problem::Problem;
use crate::shop::jobs::{NONE, is_key};
use crate::shop::read_shop;
use plan::{Need, SameAs, StandardJob, When};
use toml_edit::{Array, Item, Table, Value};

/// A standard job as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JobForm {
    /// Its key; empty for a new one.
    pub key: String,
    /// What the bench calls it.
    pub name: String,
    /// What the customer reads that was done.
    pub customer: String,
    /// Minutes for one: all goes well, usual, fights back.
    pub minutes: [String; 3],
    /// What each further one takes, per cent.
    pub further: String,
    /// What parts cost for one.
    pub parts: String,
    /// Keys of what may hurt.
    pub hazards: Vec<String>,
    /// The skill that somebody must have.
    pub skill: String,
    /// Keys of what it needs.
    pub needs: Vec<String>,
    /// Key of when it is done.
    pub when: String,
    /// Key of the step of the plan that does the same; empty: none.
    pub same_as: String,
    /// Days away; empty: done here.
    pub sent_out_days: String,
    /// Whether it is off the list.
    pub retired: bool,
    /// Whether the file says nothing of it.
    pub usual: bool,
}

fn number(x: f64) -> String {
    let text = format!("{x:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl JobForm {
    /// A job as its form shows it.
    pub fn of(job: &StandardJob) -> Self {
        let m = job.minutes;
        let keys = |all: &[Need]| all.iter().map(|n| n.key().to_owned()).collect();
        Self {
            key: job.key.clone(),
            name: job.name.clone(),
            customer: job.customer.clone(),
            minutes: [m.least, m.likely, m.most].map(number),
            further: number(100.0 * job.further),
            parts: if job.parts_money > 0.0 { number(job.parts_money) } else { String::new() },
            hazards: job.hazards.iter().map(|h| h.key().to_owned()).collect(),
            skill: job.skill.clone(),
            needs: keys(&job.needs),
            when: job.when.key().to_owned(),
            same_as: job.same_as.map_or_else(String::new, |s| s.key().to_owned()),
            sent_out_days: job.sent_out_days.map_or_else(String::new, |d| d.to_string()),
            retired: job.retired,
            usual: job.usual,
        }
    }

    /// A job that nobody has typed yet.
    pub fn new() -> Self {
        Self { name: String::new(), customer: String::new(), minutes: Default::default(), ..Self::of(&StandardJob::new("")) }
    }
}

/// The shop's standard jobs, in its order.
///
/// # Errors
/// Where the file is not TOML.
pub fn job_forms(text: &str) -> Result<Vec<JobForm>, Problem> {
    document(text)?;
    Ok(read_shop(text).0.standards.jobs.iter().map(JobForm::of).collect())
}

/// A key for a name that no job has.
fn key_for(name: &str, taken: &[JobForm]) -> String {
    let plain: String = name.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let words = plain.split_whitespace().collect::<Vec<_>>().join("_");
    let base: String = words.chars().skip_while(|c| !c.is_ascii_lowercase()).take(30).collect();
    let base = if is_key(&base) { base } else { "job".to_owned() };
    let free = |key: &String| taken.iter().all(|j| j.key != *key);
    (1..).map(|n| if n == 1 { base.clone() } else { format!("{base}_{n}") }).find(free).unwrap_or(base)
}

/// The shop's file with a standard job as typed: changed by its key, or one more.
///
/// # Errors
/// Each field that cannot be, by its name.
pub fn with_job(text: &str, typed: &JobForm) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    let all = job_forms(text).map_err(whole)?;
    let new = typed.key.is_empty();
    let key = if new { key_for(&typed.name, &all) } else { typed.key.clone() };
    let before = match all.iter().find(|j| j.key == key) {
        Some(before) => before.clone(),
        None if new => JobForm::new(),
        None => return Err(vec![refused("", format!("there is no job “{key}” here"), "another tablet may have changed the list")]),
    };
    let mut wrong = Vec::new();
    let name = typed.name.trim();
    if name.is_empty() {
        wrong.push(refused("name", "the name is missing".to_owned(), "write what the bench calls it"));
    }
    let currency = doc.get("currency").and_then(Item::as_str).unwrap_or("$").trim().to_owned();
    let money = |t: &str| if bare(t) && currency == "$" { format!("${t}") } else { t.to_owned() };
    let days = match typed.sent_out_days.trim() {
        "" => Some(0),
        days => days.parse::<u32>().ok(),
    };
    if days.is_none() {
        wrong.push(refused(
            "sent_out_days",
            format!("“{}” is no number of days", typed.sent_out_days.trim()),
            "write a whole number, like 21",
        ));
    }
    let minutes = typed.minutes.each_ref().map(|t| if bare(t.trim()) { format!("{} min", t.trim()) } else { t.trim().to_owned() });
    let words = |all: &[String]| Value::Array(all.iter().map(String::as_str).collect::<Array>());
    let word = |t: &str| Value::from(t.trim());
    let further = typed.further.trim();
    let fields = [
        ("name", typed.name.trim() != before.name, word(&typed.name)),
        ("customer", !typed.customer.trim().is_empty() && typed.customer.trim() != before.customer, word(&typed.customer)),
        ("minutes", typed.minutes != before.minutes, words(&minutes)),
        (
            "further",
            !further.is_empty() && further != before.further,
            if bare(further) { format!("{further} %").into() } else { word(further) },
        ),
        (
            "parts",
            typed.parts.trim() != before.parts,
            Value::from(money(if typed.parts.trim().is_empty() { "0" } else { typed.parts.trim() })),
        ),
        ("hazards", typed.hazards != before.hazards, words(&typed.hazards)),
        ("skill", typed.skill.trim() != before.skill, word(&typed.skill)),
        ("needs", typed.needs != before.needs, words(&typed.needs)),
        ("when", typed.when != before.when, word(&typed.when)),
        ("same_as", typed.same_as != before.same_as, word(if typed.same_as.is_empty() { NONE } else { &typed.same_as })),
        ("sent_out_days", typed.sent_out_days.trim() != before.sent_out_days, Value::from(i64::from(days.unwrap_or(0)))),
        ("retired", typed.retired != before.retired, Value::from(typed.retired)),
    ];
    if !wrong.is_empty() {
        return Err(wrong);
    }
    if fields.iter().any(|(_, changed, _)| *changed) {
        let Some(jobs) = list(&mut doc, "standard_job") else {
            return Err(vec![refused(
                "",
                "the file's list of standard jobs cannot be changed here".to_owned(),
                "mend it in the file itself",
            )]);
        };
        let of = |t: &Table| t.get("key").and_then(Item::as_str) == Some(key.as_str());
        if !jobs.iter().any(of) {
            let mut one = Table::new();
            one.decor_mut().set_prefix("\n");
            one.insert("key", Item::Value(Value::from(key.as_str())));
            jobs.push(one);
        }
        if let Some(job) = jobs.iter_mut().find(|t| of(t)) {
            for (field, _, value) in fields.into_iter().filter(|(_, changed, _)| *changed) {
                put(job, field, Some(value));
            }
        }
    }
    let prefix = format!("standard_job {key}: ");
    let own = |field: String| match field.strip_prefix(&prefix).or_else(|| field.strip_prefix("standard_job: ")) {
        Some("minutes") => "minutes.0".to_owned(),
        Some(own) => own.to_owned(),
        None => String::new(),
    };
    checked(text, doc.to_string()).map_err(|all| all.into_iter().map(|(f, p)| (own(f), p)).collect())
}

/// The choices of a form's lists: keys with their words.
pub fn times() -> Vec<(&'static str, &'static str)> {
    When::ALL.iter().map(|w| (w.key(), w.words())).collect()
}

/// See [`times`].
pub fn needs() -> Vec<(&'static str, &'static str)> {
    Need::ALL.iter().map(|n| (n.key(), n.words())).collect()
}

/// See [`times`].
pub fn same_as() -> Vec<(&'static str, &'static str)> {
    SameAs::ALL.iter().map(|s| (s.key(), s.words())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../../demo/shop.toml");

    fn form(text: &str, key: &str) -> JobForm {
        job_forms(text).unwrap().into_iter().find(|j| j.key == key).unwrap()
    }

    #[test]
    fn every_job_goes_in_as_it_is_shown_and_changes_nothing() {
        for text in [DEMO, "trueround_shop = 1\n"] {
            for job in job_forms(text).unwrap() {
                assert_eq!(with_job(text, &job).unwrap(), text, "{}", job.key);
            }
        }
    }

    #[test]
    fn only_what_differs_is_written_and_a_new_one_gets_its_key() {
        let bare = "trueround_shop = 1\n";
        let more = JobForm { parts: "310".to_owned(), retired: true, ..form(bare, "relacquer") };
        let text = with_job(bare, &more).unwrap();
        assert_eq!(text, "trueround_shop = 1\n\n[[standard_job]]\nkey = \"relacquer\"\nparts = \"$310\"\nretired = true\n");
        assert!(form(&text, "relacquer").retired && !form(&text, "relacquer").usual);
        let back = with_job(&text, &JobForm { retired: false, ..form(&text, "relacquer") }).unwrap();
        assert!(!form(&back, "relacquer").retired);
        let times = ["10", "20", "1 h"].map(str::to_owned);
        let new = JobForm { name: "Refit a 2nd bell!".to_owned(), minutes: times, needs: vec!["slides_out".to_owned()], ..JobForm::new() };
        let text = with_job(&with_job(bare, &new).unwrap(), &new).unwrap();
        let (first, second) = (form(&text, "refit_a_2nd_bell"), form(&text, "refit_a_2nd_bell_2"));
        assert_eq!((first.customer.as_str(), &first.minutes), ("Refit a 2nd bell!", &["10", "20", "60"].map(str::to_owned)));
        assert_eq!(second.needs, ["slides_out"]);
    }

    #[test]
    fn what_cannot_be_is_said_of_its_field() {
        let keys = |f: &JobForm| {
            let mut all: Vec<String> = with_job(DEMO, f).unwrap_err().into_iter().map(|(k, _)| k).collect();
            all.sort();
            all
        };
        let good = form(DEMO, "relacquer");
        assert_eq!(keys(&JobForm { name: " ".to_owned(), sent_out_days: "soon".to_owned(), ..good.clone() }), ["name", "sent_out_days"]);
        let falling = ["30", "20", "x"].map(str::to_owned);
        assert_eq!(
            keys(&JobForm { parts: "dear".to_owned(), further: "300".to_owned(), minutes: falling, ..good.clone() }),
            ["further", "minutes.0", "parts"]
        );
        assert_eq!(keys(&JobForm { key: "nothing".to_owned(), ..good }), [""]);
        assert_eq!(keys(&JobForm { name: "New".to_owned(), ..JobForm::new() }), ["minutes.0"]);
    }
}
