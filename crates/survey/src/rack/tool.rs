//! A tool from its entry, taken into the rack or told why not.

use super::reader::{HAND_PUSH_N, LEAN_N, Reader};
use super::sizes::{Sizes, located};
use crate::located::Located;
use crate::problem::Problem;
use crate::rack_file::{HandsEntry, ToolEntry};
use crate::words::{nearest, plain};
use reach::{Rack, Tool, ToolBody, ToolId};
use std::collections::BTreeSet;
use std::ops::Range;
use units::force::parse_force_n;
use units::text::given_mm;
use units::{Text, text};

/// No ball larger than this goes into any tube of a brass instrument, mm (the throat of the widest bell).
const LARGEST_BALL_MM: f64 = 200.0;

const KINDS: &str = "straight rod, curved rod, mandrel, ball set, ball, cable, flexible shaft, magnet, hammer, roller, stake, dolly, pull stud, press, torch, inside burnisher, expander, draw ring, draw bench, fill";

/// Sizes that are each possible and not together: the field, what is wrong, how to mend it.
fn cannot_be(body: &ToolBody) -> Option<(&'static str, Text, &'static str)> {
    match *body {
        ToolBody::StraightRod { diameter_mm, length_mm, .. } | ToolBody::Burnisher { diameter_mm, length_mm, .. }
            if diameter_mm > length_mm =>
        {
            let what = text!("a rod of {} that is {} long is thicker than it is long", given_mm(diameter_mm), given_mm(length_mm));
            Some(("diameter", what, "look whether diameter and length were swapped"))
        }
        ToolBody::BallSet { smallest_mm, largest_mm, step_mm } if largest_mm > smallest_mm && step_mm > largest_mm - smallest_mm => {
            let what = text!("a step of {} leads past the largest ball, {}", given_mm(step_mm), given_mm(largest_mm));
            Some(("step", what, "give the step from one ball to the next, or list each ball by itself as a `ball`"))
        }
        _ => None,
    }
}

impl Reader<'_> {
    /// Takes a tool into the rack, or tells why not.
    pub(super) fn tool(&mut self, e: &ToolEntry, span: &Range<usize>) {
        let Some(id) = &e.id else {
            return self.problem(Some(span), "tool: id", "the tool has no id", "give it a name of its own, like id = \"rod-8\"");
        };
        let name = id.value.trim().to_owned();
        let field = |f: &str| format!("tool {name}: {f}");
        if name.is_empty() || !self.ids.insert(name.clone()) {
            let what = if name.is_empty() {
                "the id is empty".to_owned()
            } else {
                format!("another tool is called “{name}” already; this one is left out")
            };
            return self.problem(Some(&id.span), field("id"), what, "give each tool a name of its own");
        }
        let Some(kind) = &e.kind else {
            return self.problem(Some(&id.span), field("kind"), "`kind` is missing", format!("write one of {KINDS}"));
        };
        let mut sizes = Sizes { reader: self, tool: &name, span: id.span.clone(), fine: true, used: BTreeSet::from(["wear"]) };
        let wear_mm = e.wear.as_ref().map_or(0.0, |w| sizes.length("wear", Some(w)));
        let away_until = sizes.day("away_until", e.away_until.as_ref());
        let retired = sizes.day("retired", e.retired.as_ref()).is_some();
        let Some(body) = sizes.body(&plain(&kind.value), e) else {
            let hint = nearest(&plain(&kind.value), KINDS.split(", "))
                .map_or(format!("write one of {KINDS}"), |n| format!("did you mean \"{n}\"?"));
            return self.problem(Some(&kind.span), field("kind"), format!("“{}” is no kind of tool", kind.value), hint);
        };
        sizes.unused(e, &kind.value);
        if !sizes.fine {
            return;
        }
        let shown = if e.name.is_empty() { name.clone() } else { e.name.clone() };
        let tool = Tool {
            id: ToolId(name.clone()),
            name: shown,
            place: e.place.clone(),
            wear_mm,
            condition: e.condition.trim().to_owned(),
            away_until,
            body,
        };
        // What the figures themselves say is judged where they are used; here it gets its line.
        let alone = Rack { tools: vec![tool], hand_push_n: HAND_PUSH_N, lean_n: LEAN_N };
        let mut bad = alone.problems();
        let ball = match alone.tools[0].body {
            ToolBody::Ball { diameter_mm } => Some(("diameter", diameter_mm)),
            ToolBody::BallSet { largest_mm, .. } => Some(("largest", largest_mm)),
            _ => None,
        };
        if let Some((f, mm)) = ball.filter(|(_, mm)| *mm > LARGEST_BALL_MM && bad.is_empty()) {
            return self.problem(
                Some(&id.span),
                field(f),
                format!("a ball of {mm:.0} mm is larger than any bore"),
                format!("give at most {LARGEST_BALL_MM:.0} mm; look whether the unit is right"),
            );
        }
        if let Some((f, what, hint)) = cannot_be(&alone.tools[0].body).filter(|_| bad.is_empty()) {
            let at = located(e, f).unwrap_or_else(|| id.span.clone());
            return self.problem(Some(&at), field(f), what, hint);
        }
        match bad.pop() {
            Some(p) => {
                let f = match p.field {
                    "watts" => "power",
                    "travel_mm" => "length",
                    f => f.trim_end_matches("_mm").trim_end_matches("_n"),
                };
                let at = located(e, f).unwrap_or_else(|| id.span.clone());
                self.problem(Some(&at), field(f), p.what, p.hint);
            }
            None if retired => self.retired += 1,
            None => self.tools.extend(alone.tools),
        }
    }

    pub(super) fn finish(mut self, hands: &HandsEntry) -> (Rack, Vec<Problem>) {
        let mut push = |entry: &Option<Located<String>>, field: &str, usual: f64| match entry.as_ref().map(|e| (parse_force_n(&e.value), e))
        {
            Some((Ok(n), _)) if n > 0.0 && n < 5000.0 => n,
            Some((read, e)) => {
                let what = read.map_or_else(|e| e.what(), |_| format!("“{}” is not what a person pushes", e.value));
                self.problem(Some(&e.span), format!("hands: {field}"), what, format!("write a force like \"{usual:.0} N\" or \"80 lbf\""));
                usual
            }
            None => usual,
        };
        let (hand_push_n, lean_n) = (push(&hands.push, "push", HAND_PUSH_N), push(&hands.lean, "lean", LEAN_N));
        // An empty file is told as such.
        if self.tools.is_empty() && self.problems.is_empty() {
            let what = if self.retired == 0 { "the rack holds no tool" } else { "every tool of the rack is retired" };
            self.problem(None, "tool", what, "add the first with [[tool]] (TOML) or a row (CSV)");
        }
        (Rack { tools: self.tools, hand_push_n, lean_n }, crate::problem::told(self.problems))
    }
}
