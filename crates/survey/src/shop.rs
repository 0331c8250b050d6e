//! The shop's way of working and charging, from TOML.

use crate::entries;
use crate::located::Located;
use crate::problem::{self, Problem};
use crate::shop_file::{Part, ShopFile, Times};
use crate::words::{Word, nearest, plain};
use instrument::Role;
use plan::shop::{OpenClose, OpeningKind};
use plan::{Standards, StepKind};
use quote::{Person, Prices, Shop};
use rust_decimal::Decimal;
use serde::Serialize;
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;
use units::duration::parse_minutes;
use units::money::parse_money;
use units::{Text, ThreePoint};

pub(crate) mod jobs;
mod terms;

/// A shop file larger than this is refused before it is read.
pub const MAX_SHOP_BYTES: usize = 4 * 1024 * 1024;

/// Reads a shop. What it does not say is common practice (`Shop::common_practice`) and told in a warning.
pub fn read_shop(text: &str) -> (Shop, Vec<Problem>) {
    let mut reader = Reader { text, problems: Vec::new(), left_out: Vec::new() };
    let mut shop = Shop::common_practice();
    match entries::table(text, MAX_SHOP_BYTES, "a shop's settings", "trueround_shop = 1") {
        Ok(table) => {
            let whole = Spanned::new(0..text.len(), DeValue::Table(table));
            if let Some(file) = entries::entry::<ShopFile>(text, "", whole, &mut reader.problems) {
                reader.shop(&file, &mut shop);
            }
        }
        Err(problems) => reader.problems.extend(problems),
    }
    if !reader.left_out.is_empty() && reader.problems.is_empty() {
        reader.problems.push(Problem {
            line: None,
            field: String::new(),
            what: format!("nothing is said of {}; common practice is taken", reader.left_out.join(", ")).into(),
            hint: "set what your shop knows better; docs/survey-format.md shows the whole file".to_owned().into(),
            warning: true,
        });
    }
    (shop, problem::told(reader.problems))
}

/// A text in per cent as a part of one.
fn per_cent(text: &str) -> Option<Decimal> {
    let bare = ["%", "per cent", "percent"].into_iter().find_map(|sign| text.trim().strip_suffix(sign))?.trim();
    let point = if bare.contains('.') { bare.to_owned() } else { bare.replace(',', ".") };
    parse_money(&point).ok().map(|p| p / Decimal::ONE_HUNDRED)
}

/// The part that is no run: a brace.
pub(crate) const BRACE: &str = "brace";

/// The name of a choice as serde writes it.
pub(crate) fn key<T: Serialize>(choice: T) -> String {
    serde_json::to_value(choice).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// Nobody waits longer for a part, days.
const LONGEST_DELIVERY_DAYS: u32 = 366;

/// Letters that a line of the shop's address, its telephone or its e-mail address has at most.
const LONGEST_CONTACT: usize = 120;

/// Lines that a shop's address has at most.
const MOST_ADDRESS_LINES: usize = 4;

/// The longest sign of a currency ("US$").
const LONGEST_SIGN: usize = 3;

struct Reader<'t> {
    text: &'t str,
    problems: Vec<Problem>,
    left_out: Vec<&'static str>,
}

impl Reader<'_> {
    fn problem(&mut self, span: &Range<usize>, field: impl Into<String>, what: impl Into<Text>, hint: impl Into<Text>) {
        let span = problem::while_told(&self.problems, Some(span));
        self.problems.push(Problem::error(self.text, span, field, what, hint));
    }

    fn money(&mut self, text: Option<&Located<String>>, field: &'static str, into: &mut Decimal) {
        let Some(text) = text else { return self.left_out.push(field) };
        match parse_money(&text.value) {
            Ok(amount) => *into = amount,
            Err(e) => self.problem(&text.span, field, e.what(), e.hint()),
        }
    }

    /// Money that only weighs in a plan.
    fn weight(&mut self, text: Option<&Located<String>>, field: &'static str, into: &mut f64) {
        let mut amount = Decimal::ZERO;
        let before = self.problems.len();
        self.money(text, field, &mut amount);
        if text.is_some() && self.problems.len() == before {
            *into = amount.to_string().parse().unwrap_or(*into);
        }
    }

    fn part(&mut self, part: Option<&Located<Part>>, field: &'static str, most: u32, into: &mut Decimal) {
        let Some(part) = part else { return self.left_out.push(field) };
        let (written, read) = match &part.value {
            Part::Text(text) => (text.clone(), per_cent(text)),
            Part::Number(n) => (n.to_string(), n.to_string().parse().ok()),
        };
        match read.filter(|p| *p >= Decimal::ZERO && *p <= Decimal::from(most)) {
            Some(p) => *into = p,
            None => {
                let to = if most == 1 { "100 %".to_owned() } else { format!("{most}00 %") };
                let with_sign = per_cent(&format!("{} %", written.trim())).filter(|p| *p <= Decimal::from(most));
                let hint = match with_sign {
                    Some(p) => format!("write it in per cent; was \"{} %\" meant?", (p * Decimal::ONE_HUNDRED).normalize()),
                    None => "write it in per cent, like \"7.25 %\"".to_owned(),
                };
                self.problem(&part.span, field, format!("“{written}” is not a part from 0 to {to}"), hint);
            }
        }
    }

    fn ratio(&mut self, part: Option<&Located<Part>>, field: &'static str, into: &mut f64) {
        let mut read = Decimal::NEGATIVE_ONE;
        self.part(part, field, 1, &mut read);
        if read >= Decimal::ZERO {
            *into = read.to_string().parse().unwrap_or(*into);
        }
    }

    fn times(&mut self, times: &Times, field: &str) -> Option<ThreePoint> {
        let mut read = [0.0; 3];
        for (text, minutes) in times.value.iter().zip(&mut read) {
            match parse_minutes(text) {
                Ok(m) => *minutes = m,
                Err(e) => {
                    self.problem(&times.span, field, e.what(), e.hint());
                    return None;
                }
            }
        }
        if read[0] > read[1] || read[1] > read[2] {
            self.problem(&times.span, field, "the three times do not rise", "write them as: if all goes well, usually, if it fights back");
            return None;
        }
        Some(ThreePoint::new(read[0], read[1], read[2]))
    }

    fn unknown(&mut self, span: &Range<usize>, table: &str, word: &str, known: &[String]) {
        let hint = nearest(word, known.iter().map(String::as_str))
            .map_or_else(|| format!("it may have {}", known.join(", ")), |near| format!("did you mean `{near}`?"));
        self.problem(span, table, format!("there is no `{word}` here"), hint);
    }

    fn shop(&mut self, file: &ShopFile, shop: &mut Shop) {
        if file.trueround_shop != 1 {
            self.problem(
                &(0..0),
                "trueround_shop",
                "this version of a shop file is not known to this program",
                "write `trueround_shop = 1`",
            );
        }
        match &file.name {
            Some(name) => shop.name.clone_from(name),
            None => self.left_out.push("name"),
        }
        self.contact(file, shop);
        if let Some(currency) = &file.currency {
            if currency.value.trim().is_empty() || currency.value.chars().count() > LONGEST_SIGN {
                let what = format!("“{}” is no sign of a currency", currency.value);
                self.problem(&currency.span, "currency", what, "write the sign that stands before an amount, like \"$\"");
            } else {
                shop.currency.clone_from(&currency.value);
                shop.standards.currency.clone_from(&currency.value);
            }
        }
        self.weight(file.labour_per_hour.as_ref(), "labour_per_hour", &mut shop.standards.labour_per_hour);
        if let Some(hour) = file.labour_per_hour.as_ref().filter(|_| shop.standards.labour_per_hour <= 0.0) {
            self.problem(
                &hour.span,
                "labour_per_hour",
                "an hour that costs nothing makes every plan as good as another",
                "write its price, like \"$85\"",
            );
        }
        self.money(file.minimum_charge.as_ref(), "minimum_charge", &mut shop.minimum_charge);
        self.money(file.overhead_per_job.as_ref(), "overhead_per_job", &mut shop.overhead_per_job);
        self.money(file.round_to.as_ref(), "round_to", &mut shop.round_to);
        if let Some(round_to) = &file.round_to
            && shop.round_to.is_zero()
        {
            shop.round_to = Decimal::new(1, 2);
            self.problem(&round_to.span, "round_to", "nothing can be rounded to a multiple of zero", "write \"0.01\" for cents");
        }
        self.ratio(file.charged_at.as_ref(), "charged_at", &mut shop.charged_at);
        self.ratio(file.correlation.as_ref(), "correlation", &mut shop.correlation);
        self.ratio(file.advise_against_above.as_ref(), "advise_against_above", &mut shop.advise_against_above);
        match file.valid_days {
            Some(days) => shop.valid_days = days,
            None => self.left_out.push("valid_days"),
        }
        self.taxes(&file.tax, shop);
        self.on_top(file, shop);
        self.part(file.parts.markup.as_ref(), "parts.markup", 5, &mut shop.markup_on_parts);
        self.part(file.parts.tools_charged.as_ref(), "parts.tools_charged", 1, &mut shop.tools_charged);
        self.part(file.damage.crack_charged.as_ref(), "damage.crack_charged", 1, &mut shop.crack_charged);
        self.part(file.damage.spoiled_charged.as_ref(), "damage.spoiled_charged", 1, &mut shop.spoiled_charged);
        match &file.parts.delivery_days {
            None => self.left_out.push("parts.delivery_days"),
            Some(days) if days.value <= LONGEST_DELIVERY_DAYS => shop.delivery_days = days.value,
            Some(days) => self.problem(
                &days.span,
                "parts.delivery_days",
                format!("nobody waits {} days for a part", days.value),
                format!("write the days from ordering a part until it is there, up to {LONGEST_DELIVERY_DAYS}"),
            ),
        }
        self.standards(file, &mut shop.standards);
        if file.person.is_empty() {
            self.left_out.push("person");
        }
        for p in &file.person {
            let field = format!("person {}", p.name);
            let pace = p.pace.as_ref().map_or(1.0, |pace| {
                if (0.1..=10.0).contains(&pace.value) {
                    return pace.value;
                }
                self.problem(
                    &pace.span,
                    format!("{field}: pace"),
                    format!("a pace of {} is not possible", pace.value),
                    "write 1 for the shop's standard, 1.6 for an apprentice",
                );
                1.0
            });
            let per_hour = p.per_hour.as_ref().and_then(|text| match parse_money(&text.value) {
                Ok(amount) => Some(amount),
                Err(e) => {
                    self.problem(&text.span, format!("{field}: per_hour"), e.what(), e.hint());
                    None
                }
            });
            let skills = p.skills.iter().map(|s| s.trim().to_owned()).filter(|s| !s.is_empty()).collect();
            shop.people.push(Person { name: p.name.clone(), bench: p.bench.clone(), pace, per_hour, skills });
        }
        self.jobs(&file.standard_job, shop);
    }

    /// Where the shop is found and what its prices promise: left out, nothing is told of it.
    fn contact(&mut self, file: &ShopFile, shop: &mut Shop) {
        let fits = |text: &str| text.chars().count() <= LONGEST_CONTACT && !text.chars().any(char::is_control);
        if let Some(address) = &file.address {
            let lines: Vec<String> = address.value.iter().map(|l| l.trim().to_owned()).filter(|l| !l.is_empty()).collect();
            if lines.len() <= MOST_ADDRESS_LINES && lines.iter().all(|l| fits(l)) {
                shop.contact.address = lines;
            } else {
                let what = format!("an address has at most {MOST_ADDRESS_LINES} lines of {LONGEST_CONTACT} letters");
                self.problem(&address.span, "address", what, "write [\"12 Saltmarsh Lane\", \"Port Harrow\"]");
            }
        }
        if let Some(telephone) = &file.telephone {
            let text = telephone.value.trim();
            if text.is_empty() || (fits(text) && text.chars().any(|c| c.is_ascii_digit())) {
                text.clone_into(&mut shop.contact.telephone);
            } else {
                self.problem(&telephone.span, "telephone", format!("“{text}” is no telephone number"), "write it as customers dial it");
            }
        }
        if let Some(email) = &file.email {
            let text = email.value.trim();
            let (name, host) = text.split_once('@').unwrap_or_default();
            let whole = !name.is_empty() && host.contains('.') && !text.contains(char::is_whitespace);
            if text.is_empty() || (fits(text) && whole) {
                text.clone_into(&mut shop.contact.email);
            } else {
                self.problem(&email.span, "email", format!("“{text}” is no e-mail address"), "write it like \"bench@example.org\"");
            }
        }
        if let Some(prices) = &file.prices {
            match Prices::read(prices.value.trim()) {
                Some(kind) => shop.prices = kind,
                None => {
                    let what = format!("“{}” says nothing of a price", prices.value);
                    self.problem(&prices.span, "prices", what, "write \"fixed\" or \"estimate\"");
                }
            }
        }
        if let Some(at) = &file.label_address {
            let text = at.value.trim().trim_end_matches('/');
            let host = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://")).unwrap_or_default();
            if text.is_empty() || (fits(text) && !host.is_empty() && !host.contains(|c: char| c.is_whitespace() || "/?#".contains(c))) {
                text.clone_into(&mut shop.label_address);
            } else {
                let hint = "write scheme and name as in a browser, like \"https://bench.example:8443\"";
                self.problem(&at.span, "label_address", format!("“{text}” is no address of this program"), hint);
            }
        }
    }

    fn standards(&mut self, file: &ShopFile, s: &mut Standards) {
        let damage = &file.damage;
        self.weight(file.parts.tool_material.as_ref(), "parts.tool_material", &mut s.tool_material);
        match &file.parts.tool_serves_jobs {
            None => self.left_out.push("parts.tool_serves_jobs"),
            Some(jobs) if (1.0..=1000.0).contains(&jobs.value) => s.tool_serves_jobs = jobs.value,
            Some(jobs) => self.problem(
                &jobs.span,
                "parts.tool_serves_jobs",
                format!("a tool cannot serve {} jobs", jobs.value),
                "write 1 where the job pays for the whole tool, 5 where it is used again now and then",
            ),
        }
        self.weight(damage.finish_per_mm.as_ref(), "damage.finish_per_mm", &mut s.finish_per_mm);
        self.weight(damage.spoiled_part.as_ref(), "damage.spoiled_part", &mut s.spoiled_part);
        self.weight(damage.untrue_place.as_ref(), "damage.untrue_place", &mut s.untrue_place);
        self.weight(damage.wait_for_part.as_ref(), "damage.wait_for_part", &mut s.wait_for_part);
        self.ratio(damage.heat_risk.as_ref(), "damage.heat_risk", &mut s.heat_risk);
        self.weight(file.worth.function.as_ref(), "worth.function", &mut s.worth.function);
        self.weight(file.worth.structural.as_ref(), "worth.structural", &mut s.worth.structural);
        self.weight(file.worth.cosmetic.as_ref(), "worth.cosmetic", &mut s.worth.cosmetic);
        let usual = Standards::common_practice();
        let steps: Vec<(String, StepKind)> = usual.minutes.keys().map(|k| (key(k), *k)).collect();
        let openings: Vec<(String, OpeningKind)> = usual.opening.keys().map(|k| (key(k), *k)).collect();
        let word = |w: &str| plain(w).replace(' ', "_");
        for (name, times) in &file.minutes {
            let read = self.times(times, &format!("minutes.{name}"));
            // The name that files of before give the checks.
            let wanted = if name == "prove" { key(StepKind::AcceptanceCheck) } else { word(name) };
            let step = steps.iter().find(|(k, _)| *k == wanted).map(|(_, k)| *k);
            match (wanted.as_str(), step, read) {
                ("heat_setup", _, Some(t)) => s.heat_setup = t,
                ("fixture", _, Some(t)) => s.fixture = t,
                (_, Some(step), Some(t)) => {
                    s.minutes.insert(step, t);
                }
                (_, _, None) => {}
                (_, None, Some(_)) => {
                    let mut known: Vec<String> = steps.iter().map(|(k, _)| k.clone()).collect();
                    known.extend(["heat_setup".to_owned(), "fixture".to_owned()]);
                    self.unknown(&times.span, "minutes", name, &known);
                }
            }
        }
        if file.minutes.is_empty() {
            self.left_out.push("minutes");
        }
        for (name, entry) in &file.opening {
            let (open, close) =
                (self.times(&entry.open, &format!("opening.{name}.open")), self.times(&entry.close, &format!("opening.{name}.close")));
            let wanted = word(name);
            match openings.iter().find(|(k, _)| *k == wanted) {
                Some((_, kind)) => {
                    if let (Some(open), Some(close)) = (open, close) {
                        s.opening.insert(*kind, OpenClose { open, close });
                    }
                }
                None => self.unknown(&entry.open.span, "opening", name, &openings.iter().map(|(k, _)| k.clone()).collect::<Vec<_>>()),
            }
        }
        if file.opening.is_empty() {
            self.left_out.push("opening");
        }
        for (name, price) in &file.replacement {
            if word(name) == BRACE {
                match parse_money(&price.value).map(|m| m.to_string().parse::<f64>()) {
                    Ok(Ok(money)) => s.brace_price = money,
                    _ => self.problem(
                        &price.span,
                        format!("replacement.{name}"),
                        format!("“{}” cannot be read", price.value),
                        format!("write {}", units::money::ACCEPTED),
                    ),
                }
                continue;
            }
            let Some(role) = Role::read(name) else {
                self.problem(
                    &price.span,
                    "replacement",
                    format!("“{name}” is no role of a run"),
                    format!("write one of {}, \"{BRACE}\"", Role::choices()),
                );
                continue;
            };
            match parse_money(&price.value) {
                Ok(money) => {
                    s.replacement_run.insert(key(role), money.to_string().parse().unwrap_or_default());
                }
                Err(e) => self.problem(&price.span, format!("replacement.{name}"), e.what(), e.hint()),
            }
        }
        if file.replacement.is_empty() {
            self.left_out.push("replacement");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_shop_is_common_practice_and_says_so() {
        let (shop, problems) =
            read_shop("trueround_shop = 1\nname = \"Bench\"\nlabour_per_hour = \"$92.50\"\n[tax]\nparts = \"7.25 %\"\nlabour = 0\n");
        assert_eq!((shop.standards.labour_per_hour, shop.tax_on_parts), (92.5, Decimal::new(725, 4)));
        assert_eq!(shop.standards.minutes, Standards::common_practice().minutes);
        assert!(problems.len() == 1 && problems[0].warning && problems[0].what.metric().contains("minutes"), "{problems:?}");
    }

    #[test]
    fn a_bad_line_is_told_and_the_rest_is_taken() {
        for (bad, line, words) in [
            ("labour_per_hour = \"85 €/h\"", 2, "85 €/h"),
            ("labour_per_hour = \"-5\"", 2, "-5"),
            ("labor_per_hour = \"$85\"", 2, "did you mean `labour_per_hour`"),
            ("charged_at = 7", 2, "per cent"),
            ("charged_at = nan", 2, "per cent"),
            ("[tax]\nparts = \"725 %\"", 3, "100 %"),
            ("[tax]\nparts = \"7.25\"", 3, "per cent"),
            ("[minutes]\nclean = [\"9 min\", \"5 min\", \"20 min\"]", 3, "do not rise"),
            ("[minutes]\nclean = [\"9 min\", \"5 min\"]", 3, ""),
            ("[minutes]\nclaen = [\"1 min\", \"5 min\", \"20 min\"]", 3, "did you mean `clean`"),
            (
                "[opening.soft_jiont]\nopen = [\"1 min\", \"5 min\", \"20 min\"]\nclose = [\"1 min\", \"5 min\", \"20 min\"]",
                3,
                "soft_joint",
            ),
            ("[parts]\ndelivery_days = 900", 3, "900 days"),
            ("[damage]\ncrack_charged = \"200 %\"", 3, "100 %"),
            ("[replacement]\nhandle = \"$4\"", 3, "no role"),
            ("[[person]]\nname = \"W\"\npace = 0", 4, "pace"),
            ("round_to = \"0\"", 2, "zero"),
        ] {
            let (shop, problems) = read_shop(&format!("trueround_shop = 1\n{bad}\n"));
            assert_eq!(problems[0].line, Some(line), "{bad}: {problems:?}");
            assert!(!problems[0].warning && problems[0].to_string().contains(words), "{bad}: {}", problems[0]);
            assert_eq!(shop.currency, "$");
        }
        assert!(!read_shop("").1.is_empty() && !read_shop("x").1.is_empty());
    }

    #[test]
    fn times_and_prices_go_over_common_practice() {
        let text = "trueround_shop = 1\n[minutes]\nopen-joint = [\"5 min\", \"0:10\", \"1 h\"]\nheat_setup = [\"1 min\", \"2 min\", \"3 min\"]\n\
                    [opening.ferrule]\nopen = [\"1 min\", \"2 min\", \"3 min\"]\nclose = [\"2 min\", \"3 min\", \"4 min\"]\n\
                    [parts]\ndelivery_days = 21\n[damage]\ncrack_charged = \"50 %\"\nspoiled_charged = 0.1\n\
                    [replacement]\n\"slide inner\" = \"$41.50\"\nbrace = \"$22\"\n[[person]]\nname = \"Wren Okafor\"\npace = 1.6\n";
        let (shop, problems) = read_shop(text);
        assert!(problems.iter().all(|p| p.warning), "{problems:?}");
        let s = &shop.standards;
        assert_eq!(s.minutes[&StepKind::OpenJoint], ThreePoint::new(5.0, 10.0, 60.0));
        assert_eq!(s.heat_setup, ThreePoint::new(1.0, 2.0, 3.0));
        assert_eq!(s.opening[&OpeningKind::Ferrule].close, ThreePoint::new(2.0, 3.0, 4.0));
        assert_eq!(s.replacement_run["tuning_slide_inner"], 41.5);
        assert_eq!(s.brace_price, 22.0);
        assert_eq!((shop.delivery_days, shop.crack_charged, shop.spoiled_charged), (21, Decimal::new(5, 1), Decimal::new(1, 1)));
        assert_eq!(shop.people[0].pace, 1.6);
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(text in ".{0,200}") {
            let _ = read_shop(&text);
        }
    }
}
