//! The journal's lines in words: what was done to what, from the line's own fields. No text is taken apart.

use crate::view::job_lines::state_name;
use serde_json::{Map, Value};
use store::counter::JobState;
use store::journal::Entry;
use store::offers::SENT_HOW;

/// What a line is about, as pages name it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// A job, by its number.
    Job(i64),
    /// An instrument, by its number in the record.
    Instrument(i64),
    /// A customer, by their number in the record.
    Customer(i64),
    /// The shop itself.
    Shop,
}

/// Tables of the journal, each with what a list calls what is kept there.
pub const KINDS: &[(&str, &str)] = &[
    ("jobs", "jobs"),
    ("instruments", "instruments"),
    ("customers", "customers"),
    ("surveys", "survey: the instrument"),
    ("dents", "survey: dents"),
    ("photos", "photos"),
    ("overrules", "changes of the plan"),
    ("quotes", "quotes"),
    ("agreements", "agreements"),
    ("steps", "steps at the bench"),
    ("acceptance_checks", "final checks"),
    ("let_go", "what was let go"),
    ("accessories", "what came with the instrument"),
    ("payments", "payments"),
    ("reductions", "amounts charged less"),
    ("job_terms", "terms of a job"),
    ("customer_terms", "terms of a customer"),
    ("hand_backs", "pickups"),
    ("contracts", "school contracts"),
    ("contract_plans", "plans of school contracts"),
    ("contract_jobs", "jobs of school contracts"),
    ("contract_payments", "payments of school contracts"),
    ("settings", "the shop’s settings"),
    ("people", "people"),
    ("redactions", "erased customers"),
];

/// A line with its fields read.
pub struct Line<'a> {
    entry: &'a Entry,
    before: Map<String, Value>,
    after: Map<String, Value>,
}

impl<'a> Line<'a> {
    /// A line of the journal.
    pub fn of(entry: &'a Entry) -> Self {
        let fields = |text: &Option<String>| -> Map<String, Value> {
            text.as_deref().and_then(|t| serde_json::from_str(t).ok()).unwrap_or_default()
        };
        Self { entry, before: fields(&entry.before), after: fields(&entry.after) }
    }

    /// What it was and what it became.
    pub fn sides(&self) -> (&Map<String, Value>, &Map<String, Value>) {
        (&self.before, &self.after)
    }

    /// The value that a field has after the change, or had before it where the row is gone.
    fn value(&self, field: &str) -> Option<&Value> {
        self.after.get(field).or_else(|| self.before.get(field)).filter(|v| !v.is_null())
    }

    fn text(&self, field: &str) -> &str {
        self.value(field).and_then(Value::as_str).unwrap_or_default()
    }

    fn number(&self, field: &str) -> Option<i64> {
        self.value(field).and_then(Value::as_i64)
    }

    fn is_new(&self) -> bool {
        self.entry.act == "insert"
    }

    fn is_gone(&self) -> bool {
        self.entry.act == "delete"
    }

    /// Whether a change of the row changed this field.
    fn changed(&self, field: &str) -> bool {
        self.entry.act == "update" && self.before.get(field) != self.after.get(field)
    }

    /// Whether a change of the row set this field to a number.
    fn became(&self, field: &str, to: i64) -> bool {
        self.changed(field) && self.number(field) == Some(to)
    }

    /// What it is about.
    pub fn about(&self) -> About {
        match (self.entry.record.as_str(), self.number("job")) {
            ("jobs", _) => About::Job(self.entry.row),
            ("instruments", _) => About::Instrument(self.entry.row),
            ("customers", _) => About::Customer(self.entry.row),
            ("customer_terms" | "contracts" | "contract_payments", _) => self.number("customer").map_or(About::Shop, About::Customer),
            ("redactions", _) => self.number("customer").map_or(About::Shop, About::Customer),
            (_, Some(job)) => About::Job(job),
            _ => About::Shop,
        }
    }

    /// What was done, as a sentence without its subject: "started the step “clean”".
    pub fn deed(&self, currency: &str) -> String {
        if self.before.is_empty() && self.after.is_empty() {
            return format!("{} ({})", if self.is_new() { "added a line" } else { "changed a line" }, "erased since");
        }
        match self.entry.record.as_str() {
            "jobs" => self.job(),
            "instruments" => self.plainly("the instrument"),
            "customers" => self.plainly("the customer"),
            "surveys" => (if self.is_new() { "began the survey" } else { "changed the instrument’s measurements" }).to_owned(),
            "dents" => self.plainly(&format!("dent {}", self.text("name"))),
            "photos" => self.photo(),
            "overrules" if self.became("withdrawn", 1) => "took back a change of the plan".to_owned(),
            "overrules" if self.became("withdrawn", 0) => "put a change of the plan back".to_owned(),
            "overrules" => format!("changed the plan by hand. Reason: {}", self.text("why")),
            "quotes" => self.quote(),
            "agreements" => format!("kept the agreement with {}", self.text("said_by")),
            "steps" => self.step(),
            "acceptance_checks" => self.check(),
            "let_go" => format!("let go what was not met. Reason: {}", self.text("reason")),
            "accessories" => match (self.is_gone(), self.number("back")) {
                (true, _) => format!("took “{}” off the list of what came with it", self.text("name")),
                (_, Some(1)) => format!("gave back “{}”", self.text("name")),
                _ => format!("noted that “{}” came with it", self.text("name")),
            },
            "payments" | "contract_payments" if self.became("void", 1) => {
                format!("marked the payment of {currency}{} as a mistake", self.text("amount"))
            }
            "payments" | "contract_payments" if self.became("void", 0) => {
                format!("counted the payment of {currency}{} again", self.text("amount"))
            }
            "reductions" if self.became("void", 1) => format!("took back that {currency}{} less is charged", self.text("amount")),
            "reductions" => format!("charged {currency}{} less: {}", self.text("amount"), self.text("reason")),
            "job_terms" | "customer_terms" => self.terms(),
            "payments" => format!("took a payment of {currency}{}", self.text("amount")),
            "contract_payments" if self.is_new() => {
                format!("took a payment of {currency}{} for the tools of a school contract", self.text("amount"))
            }
            // Its contract was erased with the customer: the amount stays.
            "contract_payments" => format!("took the school contract off the payment of {currency}{}", self.text("amount")),
            "hand_backs" => format!("handed the instrument to {}", self.text("collected_by")),
            "contracts" if self.is_new() => "opened a school contract".to_owned(),
            "contracts" if self.is_gone() => "removed a school contract".to_owned(),
            "contracts" => self.contract(),
            "contract_plans" => self.plainly(&format!("a plan of school contract {}", self.number("contract").unwrap_or_default())),
            "contract_jobs" if self.is_new() => format!("opened the job for {} of a school contract", self.text("tag")),
            "contract_jobs" => self.plainly(&format!("the bench of {} in a school contract", self.text("tag"))),
            "settings" => match (self.text("key"), self.text("value")) {
                (crate::learning::LEARNED, _) => "moved the times: a finished job was learned from".to_owned(),
                (crate::learning::MODE, "on") => "let the times learn from finished jobs".to_owned(),
                (crate::learning::MODE, "frozen") => "froze the times as they were learned".to_owned(),
                (crate::learning::MODE, _) => "went back to start-up times".to_owned(),
                (crate::learning::CORRECTION, "") => "took the correction of the times off".to_owned(),
                (crate::learning::CORRECTION, _) => "corrected the times of new quotes".to_owned(),
                _ => self.setting(),
            },
            "people" => self.person(),
            "redactions" => format!("erased a customer. Reason: {}", self.text("reason")),
            other => self.plainly(other),
        }
    }

    fn contract(&self) -> String {
        let what = [
            ("head", "budget, days or benches"),
            ("instruments", "its instruments"),
            ("dents", "its dents"),
            ("done", "what is done or begun"),
        ];
        let what: Vec<&str> = what.into_iter().filter(|(field, _)| self.changed(field)).map(|(_, words)| words).collect();
        format!("changed school contract {}: {}", self.entry.row, what.join(", "))
    }

    fn setting(&self) -> String {
        format!("{} the setting “{}”", if self.is_new() { "made" } else { "changed" }, self.text("key"))
    }

    fn terms(&self) -> String {
        let mut all = Vec::new();
        if self.number("rush") == Some(1) {
            all.push("rush".to_owned());
        }
        match (self.text("discount"), self.text("reason")) {
            ("", _) => {}
            (off, reason) => all.push(format!("{off} off ({reason})")),
        }
        if !self.text("exempt").is_empty() {
            all.push("no sales tax".to_owned());
        }
        if all.is_empty() {
            "took the terms back: the shop’s prices hold".to_owned()
        } else {
            format!("set the terms: {}", all.join(", "))
        }
    }

    fn plainly(&self, what: &str) -> String {
        let did = if self.is_new() {
            "added"
        } else if self.is_gone() {
            "removed"
        } else {
            "changed"
        };
        format!("{did} {what}")
    }

    fn job(&self) -> String {
        if self.is_new() {
            return format!("opened the job “{}”", self.text("title"));
        }
        if self.changed("state") {
            return match JobState::ALL.into_iter().find(|s| s.as_str() == self.text("state")) {
                Some(state) => format!("set the status to “{}”", state_name(state)),
                None => "set the status".to_owned(),
            };
        }
        match (self.changed("due"), self.value("due")) {
            (true, Some(day)) => return format!("set the due date to {}", day.as_str().map_or_else(String::new, crate::when::day_words)),
            (true, None) => return "took the due date out".to_owned(),
            _ => {}
        }
        let what = [
            ("bench", "whose bench it is on"),
            ("title", "what happened"),
            ("words", "the customer’s words"),
            ("level", "the offer shown"),
        ];
        let what: Vec<&str> = what.into_iter().filter(|(field, _)| self.changed(field)).map(|(_, words)| words).collect();
        if what.is_empty() { "changed the job".to_owned() } else { format!("changed {}", what.join(", ")) }
    }

    fn photo(&self) -> String {
        let of = match self.text("dent") {
            "" => "a photo".to_owned(),
            dent => format!("a photo of dent {dent}"),
        };
        if self.became("removed", 1) {
            format!("took {of} out")
        } else if self.became("removed", 0) {
            format!("put {of} back")
        } else if self.became("for_customer", 1) {
            format!("showed {of} to the customer")
        } else if self.became("for_customer", 0) {
            format!("took {of} off the customer’s page")
        } else {
            self.plainly(&of)
        }
    }

    fn quote(&self) -> String {
        let what = if self.value("adds_to").is_some() { "supplement" } else { "quote" };
        if self.is_new() {
            return format!("gave a {what}");
        }
        if self.changed("signed_at") {
            let said = if self.value("chosen").is_some() { "accepted" } else { "declined" };
            return format!("{said} the {what} as {}", self.text("signed_by"));
        }
        if self.changed("sent_at") {
            let how = SENT_HOW.iter().find(|(key, _)| *key == self.text("sent_how")).map_or("", |(_, words)| words);
            return format!("sent the link of the {what} {how}");
        }
        if self.became("withdrawn", 1) {
            return format!("took the {what} back");
        }
        if self.became("link_revoked", 1) {
            return format!("closed the link of the {what}");
        }
        if self.became("link_revoked", 0) || self.changed("link_hash") {
            return format!("made a new link for the {what}");
        }
        format!("changed the {what}")
    }

    fn step(&self) -> String {
        let what = self.text("what");
        let did = match (self.changed("state"), self.text("state")) {
            (true, "running") => "started",
            (true, "done") => "finished",
            (true, "skipped") => "skipped",
            (true, _) => "stopped",
            _ if self.is_new() => "listed",
            _ if self.is_gone() => "took out",
            _ => "corrected",
        };
        format!("{did} the step “{what}”")
    }

    fn check(&self) -> String {
        let what = self.text("what");
        match self.number("passed") {
            Some(1) => format!("passed the check “{what}”"),
            Some(_) => format!("found the check “{what}” not met"),
            None if self.is_new() => format!("listed the check “{what}”"),
            None => format!("opened the check “{what}” again"),
        }
    }

    fn person(&self) -> String {
        let name = self.text("name");
        if self.became("active", 0) {
            format!("took {name}’s access away")
        } else if self.became("active", 1) {
            format!("gave {name} access again")
        } else {
            self.plainly(&format!("the account of {name}"))
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::{About, Line};
    use serde_json::{Value, json};
    use store::journal::Entry;

    fn entry(record: &str, act: &str, before: Value, after: Value) -> Entry {
        let side = |v: Value| (!v.is_null()).then(|| v.to_string());
        Entry {
            id: 1,
            at: 0,
            who: "ana".to_owned(),
            act: act.to_owned(),
            record: record.to_owned(),
            row: 4,
            before: side(before),
            after: side(after),
        }
    }

    #[test]
    fn lines_are_told_from_their_fields() {
        let cases = [
            ("jobs", "insert", Value::Null, json!({ "title": "fell" }), "opened the job “fell”", About::Job(4)),
            (
                "jobs",
                "update",
                json!({ "state": "quoted" }),
                json!({ "state": "ready" }),
                "set the status to “Ready for pickup”",
                About::Job(4),
            ),
            ("jobs", "update", json!({ "bench": 1 }), json!({ "bench": 2 }), "changed whose bench it is on", About::Job(4)),
            ("dents", "delete", json!({ "job": 7, "name": "d3" }), Value::Null, "removed dent d3", About::Job(7)),
            (
                "steps",
                "update",
                json!({ "job": 7, "what": "clean", "state": "running" }),
                json!({ "job": 7, "what": "clean", "state": "done" }),
                "finished the step “clean”",
                About::Job(7),
            ),
            (
                "quotes",
                "update",
                json!({ "job": 7, "signed_at": null }),
                json!({ "job": 7, "signed_at": 5, "chosen": "good", "signed_by": "A. Parent" }),
                "accepted the quote as A. Parent",
                About::Job(7),
            ),
            (
                "quotes",
                "update",
                json!({ "job": 7, "signed_at": null }),
                json!({ "job": 7, "signed_at": 5, "chosen": null, "signed_by": "A. Parent" }),
                "declined the quote as A. Parent",
                About::Job(7),
            ),
            (
                "photos",
                "update",
                json!({ "job": 7, "dent": "d1", "for_customer": 0 }),
                json!({ "job": 7, "dent": "d1", "for_customer": 1 }),
                "showed a photo of dent d1 to the customer",
                About::Job(7),
            ),
            (
                "reductions",
                "insert",
                Value::Null,
                json!({ "job": 7, "amount": "40.00", "reason": "less work" }),
                "charged $40.00 less: less work",
                About::Job(7),
            ),
            (
                "job_terms",
                "insert",
                Value::Null,
                json!({ "job": 7, "rush": 1, "discount": "10 %", "reason": "late" }),
                "set the terms: rush, 10 % off (late)",
                About::Job(7),
            ),
            (
                "customer_terms",
                "update",
                json!({ "customer": 4, "discount": "8 %", "reason": "contract", "exempt": "" }),
                json!({ "customer": 4, "discount": "", "reason": "", "exempt": "" }),
                "took the terms back: the shop’s prices hold",
                About::Customer(4),
            ),
            (
                "contract_jobs",
                "insert",
                Value::Null,
                json!({ "contract": 2, "tag": "H-1", "job": 7 }),
                "opened the job for H-1 of a school contract",
                About::Job(7),
            ),
            (
                "contract_jobs",
                "update",
                json!({ "contract": 2, "tag": "H-1", "job": 7, "bench": "bench 1" }),
                json!({ "contract": 2, "tag": "H-1", "job": 7, "bench": "bench 2" }),
                "changed the bench of H-1 in a school contract",
                About::Job(7),
            ),
            ("payments", "insert", Value::Null, json!({ "job": 7, "amount": "20.00" }), "took a payment of $20.00", About::Job(7)),
            ("settings", "update", json!({ "key": "shop" }), json!({ "key": "shop" }), "changed the setting “shop”", About::Shop),
            ("customers", "insert", Value::Null, json!({ "name": "B" }), "added the customer", About::Customer(4)),
            ("jobs", "update", Value::Null, Value::Null, "changed a line (erased since)", About::Job(4)),
        ];
        for (record, act, before, after, said, about) in cases {
            let e = entry(record, act, before, after);
            let line = Line::of(&e);
            assert_eq!((line.deed("$").as_str(), line.about()), (said, about), "{record} {act}");
        }
    }
}
