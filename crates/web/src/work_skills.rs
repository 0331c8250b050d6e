//! Who may do other work: the skill that the shop's list asks for, and who of its benches has it. A person of the benches who lacks it does not
//! start or tick the step, where somebody has it. Of an account that is no bench's, nobody knows what it knows: the page says who can.

use crate::app::App;
use crate::problem::Outcome;
use crate::recorded::body_read;
use plan::{Plan, Step};
use quote::Person;

/// What a step asks of whoever does it, and who has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asks {
    /// Skills.
    skills: Vec<String>,
    /// People of the benches who have all of them.
    able: Vec<String>,
    /// People of the benches who lack one.
    unable: Vec<String>,
}

impl Asks {
    fn of(people: &[Person], skills: impl Iterator<Item = String>) -> Option<Self> {
        let mut all: Vec<String> = skills.filter(|s| !s.is_empty()).collect();
        all.sort();
        all.dedup();
        let (able, unable): (Vec<&Person>, Vec<&Person>) = people.iter().partition(|p| all.iter().all(|s| p.skills.contains(s)));
        let names = |all: Vec<&Person>| all.into_iter().map(|p| p.name.clone()).collect();
        (!all.is_empty()).then(|| Self { skills: all, able: names(able), unable: names(unable) })
    }

    /// What a step of a plan asks for; nothing where everybody may do it.
    pub fn of_step(people: &[Person], plan: &Plan, step: &Step) -> Option<Self> {
        let of_step = plan.work.iter().filter(|w| step.work.contains(&w.work));
        Self::of(people, of_step.map(|w| w.skill.clone()))
    }

    fn skills(&self) -> String {
        self.skills.join(" and ")
    }

    /// Who may do it, as a sentence.
    pub fn words(&self) -> String {
        if self.able.is_empty() {
            format!("Needs somebody who knows {}. Nobody at your benches does.", self.skills())
        } else {
            format!("Needs somebody who knows {}: {}.", self.skills(), self.able.join(", "))
        }
    }

    /// Whether a person may start and tick it.
    pub fn lets(&self, name: &str) -> bool {
        self.able.is_empty() || !self.unable.iter().any(|p| p == name)
    }

    /// Why not.
    pub fn refusal(&self, step: &Step, name: &str) -> String {
        format!(
            "step {} needs somebody who knows {}: {}. {name} does not, as your benches have it. Let one of them start it, or let the owner give {name} the skill under Benches",
            step.number,
            self.skills(),
            self.able.join(", ")
        )
    }
}

/// The other work of a job that the person does not know on whose bench it is put, a sentence each.
///
/// # Errors
/// Where the record fails.
pub fn beyond(app: &App, job: i64, bench: &str) -> Outcome<Vec<String>> {
    let Some(body) = app.store().survey_body(job)? else { return Ok(vec![]) };
    let work = body_read(&body)?.work;
    if work.is_empty() {
        return Ok(vec![]);
    }
    let shop = app.shop()?;
    let mut all = Vec::new();
    for standard in work.iter().filter_map(|w| shop.standards.job(&w.job)) {
        let asks = Asks::of(&shop.people, std::iter::once(standard.skill.clone()));
        if let Some(asks) = asks.filter(|a| !a.lets(bench)) {
            all.push(format!("{}: {bench} does not know {}. {} can do it.", standard.name, asks.skills(), asks.able.join(", ")));
        }
    }
    all.dedup();
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::Asks;
    use quote::Person;

    #[test]
    fn who_lacks_a_skill_that_somebody_has_is_not_let() {
        let person = |name: &str, skills: &[&str]| Person {
            name: name.to_owned(),
            bench: String::new(),
            pace: 1.0,
            per_hour: None,
            skills: skills.iter().map(|s| (*s).to_owned()).collect(),
        };
        let people = [person("Ottilie", &["valves", "hand slides"]), person("Ramon", &["valves"]), person("Wren", &[])];
        let asks = |skills: &[&str]| Asks::of(&people, skills.iter().map(|s| (*s).to_owned()));
        let lets = |skills: &[&str]| asks(skills).map(|a| ["Ottilie", "Ramon", "Wren", "the counter"].map(|n| a.lets(n)));
        assert_eq!(lets(&["valves"]), Some([true, true, false, true]));
        assert_eq!(lets(&["valves", "hand slides", "valves"]), Some([true, false, false, true]));
        // What nobody knows, somebody has to do.
        assert_eq!(lets(&["lathe"]), Some([true; 4]));
        assert_eq!((lets(&[""]), lets(&[])), (None, None));
        assert_eq!(asks(&["valves"]).map(|a| a.words()), Some("Needs somebody who knows valves: Ottilie, Ramon.".to_owned()));
    }
}
