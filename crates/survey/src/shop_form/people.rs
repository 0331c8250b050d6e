//! Who works at a bench: name, bench, pace, own rate.

use super::{Refused, bare, checked, refused, whole};
use crate::document::{document, list, listed, put, typed};
use crate::problem::Problem;
use toml_edit::{Item, Table, Value};

/// Somebody who works at a bench, as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BenchPerson {
    /// Name.
    pub name: String,
    /// Bench.
    pub bench: String,
    /// Time taken over the shop's standard; empty: as the standard.
    pub pace: String,
    /// Own price of an hour; empty: the shop's.
    pub per_hour: String,
    /// What this person knows to do of what not everybody may, with commas between.
    pub skills: String,
}

/// Who works at a bench, in the file's order.
///
/// # Errors
/// Where the file is not TOML.
pub fn bench_people(text: &str) -> Result<Vec<BenchPerson>, Problem> {
    let doc = document(text)?;
    let one = |t: &Table| {
        let of = |key: &str| t.get(key).map_or_else(String::new, |item| typed(item, ""));
        let per_hour = of("per_hour").trim_start_matches('$').to_owned();
        BenchPerson { name: of("name"), bench: of("bench"), pace: of("pace"), per_hour, skills: skills_of(t).join(", ") }
    };
    Ok(listed(&doc, "person").iter().map(one).collect())
}

/// The skills of a person's table.
fn skills_of(t: &Table) -> Vec<String> {
    let array = t.get("skills").and_then(Item::as_array);
    array.into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect()
}

/// The shop's file with a person changed (by the name that the file has), or one more where `before` is empty.
///
/// # Errors
/// Each field that cannot be.
pub fn with_bench_person(text: &str, before: &str, p: &BenchPerson) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    let mut wrong = Vec::new();
    let name = p.name.trim();
    if name.is_empty() {
        wrong.push(refused("name", "the name is missing".to_owned(), "write it as the jobs name this person"));
    } else if name != before && bench_people(text).map_err(whole)?.iter().any(|o| o.name == name) {
        wrong.push(refused("name", format!("another person is called {name}"), "add an initial"));
    }
    let typed_pace = p.pace.trim().replace(',', ".");
    let pace = match (typed_pace.is_empty(), typed_pace.parse::<f64>()) {
        (true, _) => None,
        (_, Ok(pace)) if pace.is_finite() => Some(Value::from(pace)),
        _ => {
            wrong.push(refused(
                "pace",
                format!("“{}” is no number", p.pace.trim()),
                "write 1 for the shop's standard, 1.6 for an apprentice",
            ));
            None
        }
    };
    let per_hour = Some(p.per_hour.trim()).filter(|t| !t.is_empty());
    let per_hour = per_hour.map(|t| if bare(t) { format!("${t}") } else { t.to_owned() });
    let missing = || {
        whole(Problem {
            line: None,
            field: String::new(),
            what: format!("nobody is called {before} here").into(),
            hint: "another tablet may have taken them out".into(),
            warning: false,
        })
    };
    let Some(people) = list(&mut doc, "person") else { return Err(missing()) };
    if before.is_empty() {
        let mut new = Table::new();
        new.decor_mut().set_prefix("\n");
        people.push(new);
    }
    let at = if before.is_empty() {
        people.len().checked_sub(1)
    } else {
        people.iter().position(|t| t.get("name").and_then(Item::as_str) == Some(before))
    };
    let Some(person) = at.and_then(|at| people.get_mut(at)) else { return Err(missing()) };
    let word = |t: &str| Some(t.trim()).filter(|t| !t.is_empty()).map(Value::from);
    for (key, value) in [("name", word(name)), ("bench", word(&p.bench)), ("pace", pace), ("per_hour", per_hour.map(Value::from))] {
        let same = person.get(key).map(|item| typed(item, "")) == value.as_ref().map(|v| typed(&Item::Value(v.clone()), ""));
        if !same {
            put(person, key, value);
        }
    }
    let skills: Vec<String> = p.skills.split([',', ';']).map(|s| s.trim().to_owned()).filter(|s| !s.is_empty()).collect();
    if skills != skills_of(person) {
        put(person, "skills", (!skills.is_empty()).then(|| Value::from_iter(skills.iter().map(String::as_str))));
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let prefix = format!("person {name}: ");
    checked(text, doc.to_string())
        .map_err(|all| all.into_iter().map(|(f, p)| (f.strip_prefix(&prefix).unwrap_or_default().to_owned(), p)).collect())
}

/// The shop's file without a person.
///
/// # Errors
/// Where the file is not TOML.
pub fn without_bench_person(text: &str, name: &str) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    if let Some(people) = list(&mut doc, "person") {
        people.retain(|t| t.get("name").and_then(Item::as_str) != Some(name));
    }
    checked(text, doc.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::read_shop;

    const DEMO: &str = include_str!("../../../../demo/shop.toml");

    fn person(name: &str, bench: &str, pace: &str, per_hour: &str) -> BenchPerson {
        BenchPerson {
            name: name.to_owned(),
            bench: bench.to_owned(),
            pace: pace.to_owned(),
            per_hour: per_hour.to_owned(),
            skills: String::new(),
        }
    }

    #[test]
    fn people_are_changed_added_and_taken_out() {
        let after = with_bench_person(DEMO, "Wren Okafor", &person("Wren Okafor", "bench 3", "1.4", "60")).unwrap();
        assert_eq!(
            after,
            DEMO.replace(
                "pace = 1.6                      # apprentice\n",
                "pace = 1.4                      # apprentice\nper_hour = \"$60\"\n"
            )
        );
        let skilled = BenchPerson { skills: "valves, hand slides".to_owned(), ..person("Wren Okafor", "bench 3", "1.4", "60") };
        let skilled = with_bench_person(&after, "Wren Okafor", &skilled).unwrap();
        assert_eq!(read_shop(&skilled).0.people[2].skills, ["valves", "hand slides"]);
        assert_eq!(bench_people(&skilled).unwrap()[2].skills, "valves, hand slides");
        assert_eq!(with_bench_person(&skilled, "Wren Okafor", &person("Wren Okafor", "bench 3", "1.4", "60")).unwrap(), after);
        let more = with_bench_person(&after, "", &person("Ada Lund", "", "", "")).unwrap();
        let shop = read_shop(&more).0;
        assert_eq!((shop.people.len(), shop.people[3].pace), (4, 1.0));
        assert_eq!(without_bench_person(&more, "Ada Lund").unwrap().trim(), after.trim());
        let first = with_bench_person("trueround_shop = 1\n", "", &person("A", "", "1.2", "")).unwrap();
        assert_eq!(read_shop(&first).0.people[0].pace, 1.2);
    }

    #[test]
    fn what_cannot_be_is_said_of_its_field() {
        let keys = |r: Result<String, Refused>| r.unwrap_err().into_iter().map(|(k, _)| k).collect::<Vec<_>>();
        assert_eq!(keys(with_bench_person(DEMO, "", &person("", "", "fast", ""))), ["name", "pace"]);
        assert_eq!(keys(with_bench_person(DEMO, "", &person("Wren Okafor", "", "", ""))), ["name"]);
        assert_eq!(keys(with_bench_person(DEMO, "Wren Okafor", &person("Wren Okafor", "", "99", "lots"))), ["pace", "per_hour"]);
    }
}
