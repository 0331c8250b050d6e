//! The shop's own list of standard jobs: what the file says goes over the usual list, by key.

use super::Reader;
use crate::located::Located;
use crate::shop_file::StandardJobEntry;
use crate::words::{nearest, plain};
use plan::{Caution, Need, SameAs, StandardJob, When};
use quote::Shop;
use rust_decimal::Decimal;
use std::ops::Range;
use units::money::parse_money;

/// Letters that a job's name has at most.
const LONGEST_NAME: usize = 80;
/// Nothing is away for longer, days.
const LONGEST_AWAY_DAYS: u32 = 366;
/// What stands for no step of the plan.
pub(crate) const NONE: &str = "none";

/// Whether a text may be a job's key.
pub(crate) fn is_key(text: &str) -> bool {
    (1..=40).contains(&text.len())
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}

impl Reader<'_> {
    pub(super) fn jobs(&mut self, entries: &[StandardJobEntry], shop: &mut Shop) {
        let mut seen: Vec<&str> = Vec::new();
        for e in entries {
            let key = e.key.value.as_str();
            if !is_key(key) {
                let what = format!("“{key}” is no key of a job");
                self.problem(&e.key.span, "standard_job: key", what, "write small letters, digits and _, like \"water_key_cork\"");
                continue;
            }
            if seen.contains(&key) {
                self.problem(&e.key.span, format!("standard_job {key}"), "this job stands in the file twice", "take one of them out");
                continue;
            }
            seen.push(key);
            let jobs = &mut shop.standards.jobs;
            let known = jobs.iter().position(|j| j.key == key);
            let mut job = known.map_or_else(|| StandardJob::new(key), |i| jobs[i].clone());
            job.usual = false;
            if known.is_none() {
                let needed = [("name", e.name.is_none()), ("minutes", e.minutes.is_none())];
                for (field, _) in needed.into_iter().filter(|(_, lacks)| *lacks) {
                    self.problem(
                        &e.key.span,
                        format!("standard_job {key}: {field}"),
                        format!("the job “{key}” has no {field}"),
                        "a job that is not on the usual list needs a name and its three times",
                    );
                }
            }
            self.job(e, known.is_none(), &mut job);
            let jobs = &mut shop.standards.jobs;
            match known {
                Some(i) => jobs[i] = job,
                None => jobs.push(job),
            }
        }
        let skills: Vec<&str> = shop.people.iter().flat_map(|p| &p.skills).map(String::as_str).collect();
        for e in entries {
            let Some(skill) = e.skill.as_ref().filter(|s| !s.value.trim().is_empty() && !e.retired.unwrap_or(false)) else { continue };
            if !shop.people.is_empty() && !skills.contains(&skill.value.trim()) {
                let field = format!("standard_job {}: skill", e.key.value);
                let span = &skill.span;
                self.problem(span, field, format!("nobody here knows “{}”", skill.value), "give the skill to a person: skills = [\"…\"]");
                if let Some(problem) = self.problems.last_mut() {
                    problem.warning = true;
                }
            }
        }
    }

    fn job(&mut self, e: &StandardJobEntry, new: bool, job: &mut StandardJob) {
        let of = |field: &str| format!("standard_job {}: {field}", e.key.value);
        for (text, field, into) in [(&e.name, "name", &mut job.name), (&e.customer, "customer", &mut job.customer)] {
            let Some(text) = text else { continue };
            let words = text.value.trim();
            if words.is_empty() || words.chars().count() > LONGEST_NAME || words.chars().any(char::is_control) {
                self.problem(&text.span, of(field), "this is no name", format!("write a few words, up to {LONGEST_NAME} letters"));
            } else {
                words.clone_into(into);
            }
        }
        if new && e.customer.is_none() {
            job.customer.clone_from(&job.name);
        }
        if let Some(times) = &e.minutes
            && let Some(read) = self.times(times, &of("minutes"))
        {
            job.minutes = read;
        }
        if let Some(part) = &e.further {
            let mut read = Decimal::NEGATIVE_ONE;
            self.part(Some(part), "standard_job: further", 1, &mut read);
            if read >= Decimal::ZERO {
                job.further = read.to_string().parse().unwrap_or(job.further);
            }
        }
        if let Some(parts) = &e.parts {
            match parse_money(&parts.value) {
                Ok(money) => job.parts_money = money.to_string().parse().unwrap_or_default(),
                Err(err) => self.problem(&parts.span, of("parts"), err.what(), err.hint()),
            }
        }
        if let Some(hazards) = &e.hazards {
            job.hazards = self.each(
                hazards,
                &of("hazards"),
                "no caution",
                |w| Caution::ALL.into_iter().find(|c| c.key() == w),
                || Caution::ALL.map(Caution::key).to_vec(),
            );
        }
        if let Some(skill) = &e.skill {
            skill.value.trim().clone_into(&mut job.skill);
        }
        if let Some(needs) = &e.needs {
            let keys = || Need::ALL.iter().map(|n| n.key()).collect();
            job.needs = self.each(needs, &of("needs"), "nothing that a job needs", |w| w.parse().ok(), keys);
        }
        if let Some(when) = &e.when {
            let keys = When::ALL.iter().map(|w| w.key()).collect::<Vec<_>>();
            match word(&when.value).parse() {
                Ok(read) => job.when = read,
                Err(_) => self.no_word(&when.span, of("when"), &when.value, "no time at the bench", &keys),
            }
        }
        if let Some(same) = &e.same_as {
            let wanted = word(&same.value);
            match wanted.parse::<SameAs>() {
                Ok(read) => job.same_as = Some(read),
                Err(_) if wanted == NONE || wanted.is_empty() => job.same_as = None,
                Err(_) => {
                    let keys = SameAs::ALL.iter().map(|s| s.key()).chain([NONE]).collect::<Vec<_>>();
                    self.no_word(&same.span, of("same_as"), &same.value, "no step of the plan", &keys);
                }
            }
        }
        match &e.sent_out_days {
            Some(days) if days.value > LONGEST_AWAY_DAYS => {
                let hint = format!("write the days that it is away, up to {LONGEST_AWAY_DAYS}");
                self.problem(&days.span, of("sent_out_days"), format!("nothing is away for {} days", days.value), hint);
            }
            Some(days) => job.sent_out_days = Some(days.value).filter(|d| *d > 0),
            None => {}
        }
        job.retired = e.retired.unwrap_or(false);
    }

    /// The words of a list, each read; those that cannot be are told.
    fn each<T: PartialEq>(
        &mut self,
        list: &Located<Vec<String>>,
        field: &str,
        no: &str,
        read: impl Fn(&str) -> Option<T>,
        keys: impl Fn() -> Vec<&'static str>,
    ) -> Vec<T> {
        let mut all = Vec::new();
        for text in &list.value {
            match read(&word(text)) {
                Some(one) if !all.contains(&one) => all.push(one),
                Some(_) => {}
                None => self.no_word(&list.span, field.to_owned(), text, no, &keys()),
            }
        }
        all
    }

    fn no_word(&mut self, span: &Range<usize>, field: String, text: &str, no: &str, keys: &[&str]) {
        let hint = nearest(&word(text), keys.iter().copied())
            .map_or_else(|| format!("it may be {}", keys.join(", ")), |near| format!("did you mean `{near}`?"));
        self.problem(span, field, format!("“{text}” is {no}"), hint);
    }
}

fn word(text: &str) -> String {
    plain(text).replace(' ', "_")
}

#[cfg(test)]
mod tests {
    use crate::shop::read_shop;
    use plan::{Caution, Need, SameAs, When};
    use units::ThreePoint;

    const NEW: &str = "trueround_shop = 1\n[[standard_job]]\nkey = \"refit_bell\"\nname = \"Refit a screw bell\"\ncustomer = \"Screw bell refitted\"\n\
        minutes = [\"10 min\", \"20 min\", \"1 h\"]\nfurther = \"50 %\"\nparts = \"$4.50\"\nhazards = [\"eyes\", \"penetrating-oil\"]\n\
        skill = \"bells\"\nneeds = [\"cleaned\", \"slides out\"]\nwhen = \"fits\"\nsame_as = \"round tube\"\nsent_out_days = 0\n\
        [[standard_job]]\nkey = \"relacquer\"\nparts = \"$310\"\nsent_out_days = 30\n[[standard_job]]\nkey = \"replate\"\nretired = true\n\
        [[person]]\nname = \"Ottilie Brandt\"\nskills = [\"bells\"]\n";

    #[test]
    fn a_job_of_its_own_and_changes_of_the_usual_ones() {
        let (shop, problems) = read_shop(NEW);
        assert!(problems.iter().all(|p| p.warning), "{problems:?}");
        let job = |key: &str| shop.standards.job(key).unwrap();
        let new = job("refit_bell");
        assert_eq!((new.minutes, new.further, new.parts_money), (ThreePoint::new(10.0, 20.0, 60.0), 0.5, 4.5));
        assert_eq!(new.hazards, [Caution::Eyes, Caution::PenetratingOil]);
        assert_eq!(
            (new.needs.as_slice(), new.when, new.same_as),
            (&[Need::Cleaned, Need::SlidesOut][..], When::Fits, Some(SameAs::RoundTube))
        );
        assert_eq!((new.sent_out_days, new.skill.as_str()), (None, "bells"));
        assert_eq!((job("relacquer").parts_money, job("relacquer").sent_out_days, job("relacquer").usual), (310.0, Some(30), false));
        assert!(job("replate").retired && job("clean_inside").usual);
        assert_eq!(shop.standards.jobs.len(), plan::standard_job::common_practice().len() + 1);
    }

    #[test]
    fn what_cannot_be_is_told_with_its_field_and_how_to_mend_it() {
        for (bad, words) in [
            ("key = \"Clean It\"", "no key"),
            ("key = \"sew\"", "has no name"),
            ("key = \"clean_inside\"\nminutes = [\"9 min\", \"5 min\", \"20 min\"]", "do not rise"),
            ("key = \"clean_inside\"\nhazards = [\"eye\"]", "did you mean `eyes`"),
            ("key = \"clean_inside\"\nneeds = [\"a coffee\"]", "slides_out"),
            ("key = \"clean_inside\"\nwhen = \"frist\"", "did you mean `first`"),
            ("key = \"clean_inside\"\nsame_as = \"cleen\"", "did you mean `clean`"),
            ("key = \"relacquer\"\nsent_out_days = 900", "900 days"),
            ("key = \"relacquer\"\nparts = \"much\"", "much"),
            ("key = \"relacquer\"\nfurther = \"300 %\"", "100 %"),
            ("key = \"relacquer\"\nname = \" \"", "no name"),
            ("key = \"relacquer\"\n[[standard_job]]\nkey = \"relacquer\"", "twice"),
        ] {
            let problems = read_shop(&format!("trueround_shop = 1\n[[standard_job]]\n{bad}\n")).1;
            assert!(problems.iter().any(|p| !p.warning && p.to_string().contains(words)), "{bad}: {problems:?}");
        }
        // Nobody who knows it is a warning: the shop may be about to learn it.
        let problems = read_shop(&NEW.replace("skills = [\"bells\"]", "")).1;
        assert!(problems.iter().any(|p| p.warning && p.what.metric().contains("bells")), "{problems:?}");
    }
}
