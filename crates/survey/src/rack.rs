//! The rack, from TOML or CSV. A tool that makes no sense is told and left out; the rest stays in use.

use crate::entries;
use crate::file::Quantity;
use crate::located::Located;
use crate::problem::{Problem, line_of};
use crate::rack_file::{HandsEntry, ToolEntry};
use crate::words::plain;
use metal::Fill;
use reach::{Rack, Tool, ToolBody, ToolId};
use std::collections::BTreeSet;
use std::ops::Range;
use toml::de::DeValue;
use units::LengthUnit;
use units::force::parse_force_n;
use units::length::parse_length_mm;
use units::power::parse_power_w;

/// A rack file larger than this is refused before it is read.
pub const MAX_RACK_BYTES: usize = 4 * 1024 * 1024;

/// Steady push of one hand on a tool, N, where the file does not say. Common practice, no source.
const HAND_PUSH_N: f64 = 150.0;
/// Push that a person leans on a rod in a vise, N, where the file does not say. Common practice, no source.
const LEAN_N: f64 = 400.0;
/// No ball larger than this goes into any tube of a brass instrument, mm (the throat of the widest bell).
const LARGEST_BALL_MM: f64 = 200.0;

const KINDS: &str = "straight rod, curved rod, mandrel, ball set, ball, cable, flexible shaft, magnet, hammer, roller, stake, dolly, pull stud, press, torch, inside burnisher, expander, draw ring, draw bench, fill";

/// Columns of a CSV rack besides `id`, `name`, `place` and `kind`.
const SIZES: [&str; 19] = [
    "wear",
    "diameter",
    "length",
    "head",
    "radius",
    "small",
    "large",
    "smallest",
    "largest",
    "step",
    "limit",
    "least_radius",
    "pull",
    "half_distance",
    "face_radius",
    "foot",
    "jaws",
    "fill",
    "power",
];

/// Reads a rack from TOML: the tools that can be used, and the problems of the others.
pub fn read_rack(text: &str) -> (Rack, Vec<Problem>) {
    let mut reader = Reader::new(text);
    let table = match entries::table(text, MAX_RACK_BYTES, "a rack") {
        Ok(table) => table,
        Err(problems) => return (empty(), problems),
    };
    let (mut tools, mut hands, mut version) = (Vec::new(), HandsEntry::default(), false);
    for (key, value) in table {
        let (span, name) = (key.span(), key.into_inner());
        match (name.as_ref(), value.get_ref()) {
            ("trueround_rack", DeValue::Integer(n)) if n.as_str() == "1" => version = true,
            ("trueround_rack", _) => {
                version = true;
                reader.problem(
                    Some(&span),
                    "trueround_rack",
                    "this version of a rack is not known to this program",
                    "write `trueround_rack = 1`",
                );
            }
            ("units", DeValue::String(unit)) => reader.default_unit(unit, &value.span()),
            ("hands", _) => hands = entries::entry(text, "hands", value, &mut reader.problems).unwrap_or_default(),
            ("tool", DeValue::Array(_)) => tools.push(value),
            ("tool", _) => reader.problem(Some(&span), "tool", "`tool` is not a list", "begin each tool with [[tool]], with two brackets"),
            (other, _) => {
                let known = ["trueround_rack", "units", "hands", "tool"];
                let mend = entries::nearest(other, known.into_iter())
                    .map_or(format!("a rack has {}", known.join(", ")), |n| format!("did you mean `{n}`?"));
                reader.problem(Some(&span), other, format!("there is no `{other}` in a rack"), mend);
            }
        }
    }
    if !version {
        reader.problem(
            Some(&(0..0)),
            "trueround_rack",
            "the file does not say that it is a rack",
            "begin it with the line `trueround_rack = 1`",
        );
    }
    for tool in tools {
        let DeValue::Array(list) = tool.into_inner() else { continue };
        for value in list {
            let span = value.span();
            let id = value.get_ref().get("id").and_then(|v| v.get_ref().as_str().map(str::to_owned));
            let label = id.map_or_else(|| "tool".to_owned(), |id| format!("tool {id}"));
            let told = reader.problems.len();
            let read = entries::entry::<ToolEntry>(text, &label, value, &mut reader.problems);
            // A tool with a field that cannot be read is left out: what it lacks would only repeat that.
            if let Some(e) = read.filter(|_| reader.problems.len() == told) {
                reader.tool(&e, &span);
            }
        }
    }
    reader.finish(&hands)
}

/// Reads a rack from CSV with a header line: `id`, `name`, `place`, `kind` and whichever sizes the tools have, each with
/// its unit, or the unit in the header (`diameter (mm)`, `limit (N)`).
pub fn read_rack_csv(text: &str) -> (Rack, Vec<Problem>) {
    let mut reader = Reader::new(text);
    if text.len() > MAX_RACK_BYTES {
        reader.problem(None, "", format!("the file holds {:.1} MB", text.len() as f64 / 1e6), "look whether this is the right file");
        return reader.finish(&HandsEntry::default());
    }
    let mut csv = csv::ReaderBuilder::new().trim(csv::Trim::All).flexible(true).comment(Some(b'#')).from_reader(text.as_bytes());
    let mut columns: Vec<(String, Option<String>)> = Vec::new();
    match csv.headers() {
        Ok(headers) => {
            for header in headers {
                let (name, unit) = match header.split_once('(') {
                    Some((name, unit)) => (name, Some(unit.trim_end_matches(')').trim().to_owned())),
                    None => (header, None),
                };
                let name = name.trim().to_lowercase().replace([' ', '-'], "_");
                let known = ["id", "name", "place", "kind", "away_until"].into_iter().chain(SIZES);
                if !known.clone().any(|k| k == name) {
                    let mend = entries::nearest(&name, known.clone()).map_or_else(
                        || format!("the columns may be {}", known.collect::<Vec<_>>().join(", ")),
                        |near| format!("did you mean `{near}`?"),
                    );
                    reader.problem(Some(&(0..0)), name.clone(), format!("there is no column `{name}` in a rack"), mend);
                }
                columns.push((name, unit));
            }
        }
        Err(e) => reader.problem(Some(&(0..0)), "", format!("this is not CSV: {e}"), "begin with a line of column names"),
    }
    for record in csv.records() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                let at = e.position().and_then(|p| usize::try_from(p.byte()).ok()).map(|b| b..b);
                reader.problem(at.as_ref(), "", format!("this row is not CSV: {e}"), "close every quote, and double a quote inside one");
                continue;
            }
        };
        let at = record.position().and_then(|p| usize::try_from(p.byte()).ok()).unwrap_or(0);
        let mut row = Row { at: at..at, entry: ToolEntry::default() };
        for ((name, unit), cell) in columns.iter().zip(record.iter()) {
            row.set(name, unit.as_deref(), cell);
        }
        if record.len() > columns.len() && !record.iter().skip(columns.len()).all(str::is_empty) {
            let what = format!("the row has {} cells, the header {}", record.len(), columns.len());
            reader.problem(Some(&row.at), "", what, "a decimal comma splits a cell: write a point, or put the cell in quotes");
            continue;
        }
        reader.tool(&row.entry, &row.at);
    }
    reader.finish(&HandsEntry::default())
}

/// A row of a CSV file on its way to a tool.
struct Row {
    at: Range<usize>,
    entry: ToolEntry,
}

impl Row {
    fn set(&mut self, column: &str, unit: Option<&str>, cell: &str) {
        if cell.is_empty() {
            return;
        }
        // The header's unit holds for bare numbers only.
        let bare = cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-' | b'/' | b' '));
        let text = unit.filter(|_| bare).map_or_else(|| cell.to_owned(), |u| format!("{cell} {u}"));
        let at = self.at.clone();
        let words = || Some(Located { value: text.clone(), span: at.clone() });
        let size = || Some(Located { value: Quantity::Text(text.clone()), span: at.clone() });
        let e = &mut self.entry;
        match column {
            "id" => e.id = Some(Located { value: cell.to_owned(), span: at }),
            "name" => cell.clone_into(&mut e.name),
            "place" => cell.clone_into(&mut e.place),
            "kind" => e.kind = Some(Located { value: cell.to_owned(), span: at }),
            "away_until" => e.away_until = Some(Located { value: cell.to_owned(), span: at }),
            "wear" => e.wear = size(),
            "diameter" => e.diameter = size(),
            "length" => e.length = size(),
            "head" => e.head = size(),
            "radius" => e.radius = size(),
            "small" => e.small = size(),
            "large" => e.large = size(),
            "smallest" => e.smallest = size(),
            "largest" => e.largest = size(),
            "step" => e.step = size(),
            "limit" => e.limit = words(),
            "least_radius" => e.least_radius = size(),
            "pull" => e.pull = words(),
            "half_distance" => e.half_distance = size(),
            "face_radius" => e.face_radius = size(),
            "foot" => e.foot = size(),
            "jaws" => e.jaws = size(),
            "fill" => e.fill = words(),
            "power" => e.power = words(),
            _ => {}
        }
    }
}

fn empty() -> Rack {
    Rack { tools: Vec::new(), hand_push_n: HAND_PUSH_N, lean_n: LEAN_N }
}

struct Reader<'t> {
    text: &'t str,
    problems: Vec<Problem>,
    default: Option<LengthUnit>,
    tools: Vec<Tool>,
    ids: BTreeSet<String>,
}

impl<'t> Reader<'t> {
    fn new(text: &'t str) -> Self {
        Self { text, problems: Vec::new(), default: None, tools: Vec::new(), ids: BTreeSet::new() }
    }

    fn problem(&mut self, span: Option<&Range<usize>>, field: impl Into<String>, what: impl Into<String>, mend: impl Into<String>) {
        let line = span.map(|s| line_of(self.text, s.start));
        self.problems.push(Problem { line, field: field.into(), what: what.into(), mend: mend.into(), warning: false });
    }

    fn default_unit(&mut self, unit: &str, span: &Range<usize>) {
        match plain(unit).as_str() {
            "mm" => self.default = Some(LengthUnit::Mm),
            "in" | "inch" | "inches" => self.default = Some(LengthUnit::Inch),
            other => self.problem(
                Some(span),
                "units",
                format!("“{other}” is not a unit for a whole file"),
                "write units = \"mm\" or units = \"in\"",
            ),
        }
    }

    /// Takes a tool into the rack, or tells why not.
    fn tool(&mut self, e: &ToolEntry, span: &Range<usize>) {
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
        let away_until = e.away_until.as_ref().and_then(|day| {
            let found: Result<jiff::civil::Date, _> = day.value.trim().parse();
            if found.is_err() {
                sizes.fine = false;
                sizes.reader.problem(
                    Some(&day.span),
                    field("away_until"),
                    format!("“{}” is no day", day.value),
                    "write year, month and day, like away_until = \"2026-11-27\", or leave it out",
                );
            }
            found.ok().map(|d| d.to_string())
        });
        let Some(body) = sizes.body(&plain(&kind.value), e) else {
            let mend = entries::nearest(&plain(&kind.value), KINDS.split(", "))
                .map_or(format!("write one of {KINDS}"), |n| format!("did you mean \"{n}\"?"));
            return self.problem(Some(&kind.span), field("kind"), format!("“{}” is no kind of tool", kind.value), mend);
        };
        sizes.unused(e, &kind.value);
        if !sizes.fine {
            return;
        }
        let shown = if e.name.is_empty() { name.clone() } else { e.name.clone() };
        let tool = Tool { id: ToolId(name.clone()), name: shown, place: e.place.clone(), wear_mm, away_until, body };
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
        match bad.pop() {
            Some(p) => {
                let f = match p.field {
                    "watts" => "power",
                    f => f.trim_end_matches("_mm").trim_end_matches("_n"),
                };
                let at = located(e, f).unwrap_or_else(|| id.span.clone());
                self.problem(Some(&at), field(f), p.what, p.mend);
            }
            None => self.tools.extend(alone.tools),
        }
    }

    fn finish(mut self, hands: &HandsEntry) -> (Rack, Vec<Problem>) {
        let mut push = |entry: &Option<Located<String>>, field: &str, usual: f64| match entry.as_ref().map(|e| (parse_force_n(&e.value), e))
        {
            Some((Ok(n), _)) if n > 0.0 && n < 5000.0 => n,
            Some((read, e)) => {
                let what =
                    read.map_or_else(|e| format!("“{}” cannot be read", e.read), |_| format!("“{}” is not what a person pushes", e.value));
                self.problem(Some(&e.span), format!("hands: {field}"), what, format!("write a force like \"{usual:.0} N\" or \"80 lbf\""));
                usual
            }
            None => usual,
        };
        let (hand_push_n, lean_n) = (push(&hands.push, "push", HAND_PUSH_N), push(&hands.lean, "lean", LEAN_N));
        if self.tools.is_empty() && self.problems.is_empty() {
            self.problem(None, "tool", "the rack holds no tool", "add the first with [[tool]] (TOML) or a row (CSV)");
        }
        self.problems.sort_by_key(|p| p.line);
        (Rack { tools: self.tools, hand_push_n, lean_n }, self.problems)
    }
}

/// The sizes of one tool as they are read; `fine` falls at the first that cannot be.
struct Sizes<'r, 't> {
    reader: &'r mut Reader<'t>,
    tool: &'r str,
    span: Range<usize>,
    fine: bool,
    used: BTreeSet<&'static str>,
}

impl Sizes<'_, '_> {
    fn body(&mut self, kind: &str, e: &ToolEntry) -> Option<ToolBody> {
        Some(match kind {
            "straight rod" | "rod" => {
                let diameter_mm = self.length("diameter", e.diameter.as_ref());
                let head_mm = self.or("head", e.head.as_ref(), diameter_mm);
                ToolBody::StraightRod { diameter_mm, length_mm: self.length("length", e.length.as_ref()), head_mm }
            }
            "curved rod" => {
                let diameter_mm = self.length("diameter", e.diameter.as_ref());
                let head_mm = self.or("head", e.head.as_ref(), diameter_mm);
                let radius_mm = self.length("radius", e.radius.as_ref());
                ToolBody::CurvedRod { diameter_mm, length_mm: self.length("length", e.length.as_ref()), radius_mm, head_mm }
            }
            "mandrel" => {
                let small_mm = self.length("small", e.small.as_ref());
                let large_mm = self.or("large", e.large.as_ref(), small_mm);
                ToolBody::Mandrel { small_mm, large_mm, length_mm: self.length("length", e.length.as_ref()) }
            }
            "ball set" | "balls" => ToolBody::BallSet {
                smallest_mm: self.length("smallest", e.smallest.as_ref()),
                largest_mm: self.length("largest", e.largest.as_ref()),
                step_mm: self.length("step", e.step.as_ref()),
            },
            "ball" => ToolBody::Ball { diameter_mm: self.length("diameter", e.diameter.as_ref()) },
            "cable" => {
                ToolBody::Cable { length_mm: self.length("length", e.length.as_ref()), limit_n: self.force("limit", e.limit.as_ref()) }
            }
            "flexible shaft" => ToolBody::FlexibleShaft {
                diameter_mm: self.length("diameter", e.diameter.as_ref()),
                length_mm: self.length("length", e.length.as_ref()),
                least_radius_mm: self.length("least_radius", e.least_radius.as_ref()),
                limit_n: self.force("limit", e.limit.as_ref()),
            },
            "magnet" => ToolBody::Magnet {
                pull_n: self.force("pull", e.pull.as_ref()),
                half_distance_mm: self.length("half_distance", e.half_distance.as_ref()),
            },
            "hammer" => ToolBody::Hammer { face_radius_mm: self.length("face_radius", e.face_radius.as_ref()) },
            "roller" | "burnisher" => ToolBody::Roller { diameter_mm: self.length("diameter", e.diameter.as_ref()) },
            "stake" | "bell stake" => ToolBody::Stake {
                crown_radius_mm: self.length("face_radius", e.face_radius.as_ref()),
                face_mm: self.length("head", e.head.as_ref()),
                diameter_mm: self.length("diameter", e.diameter.as_ref()),
                length_mm: self.length("length", e.length.as_ref()),
            },
            "dolly" => ToolBody::Dolly {
                crown_radius_mm: self.length("face_radius", e.face_radius.as_ref()),
                face_mm: self.length("head", e.head.as_ref()),
            },
            "pull stud" | "stud" => ToolBody::PullStud { foot_mm: self.length("foot", e.foot.as_ref()) },
            "press" => ToolBody::Press { limit_n: self.force("limit", e.limit.as_ref()) },
            "inside burnisher" => {
                let diameter_mm = self.length("diameter", e.diameter.as_ref());
                let head_mm = self.or("head", e.head.as_ref(), diameter_mm);
                ToolBody::Burnisher { diameter_mm, length_mm: self.length("length", e.length.as_ref()), head_mm }
            }
            "expander" | "expanding plug" => ToolBody::Expander {
                smallest_mm: self.length("smallest", e.smallest.as_ref()),
                largest_mm: self.length("largest", e.largest.as_ref()),
                jaws_mm: self.length("jaws", e.jaws.as_ref()),
                length_mm: self.length("length", e.length.as_ref()),
                limit_n: self.force("limit", e.limit.as_ref()),
            },
            "draw ring" => ToolBody::DrawRing { bore_mm: self.length("diameter", e.diameter.as_ref()) },
            "draw bench" => {
                ToolBody::DrawBench { length_mm: self.length("length", e.length.as_ref()), limit_n: self.force("limit", e.limit.as_ref()) }
            }
            "fill" => ToolBody::Fill { fill: self.fill(e.fill.as_ref()) },
            "torch" => {
                self.used.insert("power");
                ToolBody::Torch { watts: e.power.as_ref().map(|p| self.power("power", p)) }
            }
            _ => return None,
        })
    }

    fn fail(&mut self, span: Option<&Range<usize>>, field: &str, what: String, mend: String) -> f64 {
        let span = span.cloned().unwrap_or_else(|| self.span.clone());
        self.reader.problem(Some(&span), format!("tool {}: {field}", self.tool), what, mend);
        self.fine = false;
        0.0
    }

    fn length(&mut self, field: &'static str, q: Option<&Located<Quantity>>) -> f64 {
        self.used.insert(field);
        let Some(q) = q else {
            return self.fail(None, field, format!("the tool has no {field}"), format!("measure it and add {field} = \"… mm\""));
        };
        let read = match (&q.value, self.reader.default) {
            (Quantity::Text(text), default) => {
                parse_length_mm(text, default).map_err(|e| (format!("“{}” cannot be read", e.read), format!("write {}", e.accepted)))
            }
            (Quantity::Exact(exact), _) => Ok(exact.value),
            (Quantity::Number(n), Some(unit)) => Ok(n * unit.in_mm()),
            (Quantity::Number(n), None) => {
                Err((format!("{n} has no unit"), format!("write \"{n} mm\" or \"{n} in\"; or set `units` at the top of the file")))
            }
        };
        match read {
            Ok(mm) => mm,
            Err((what, mend)) => self.fail(Some(&q.span), field, what, mend),
        }
    }

    fn or(&mut self, field: &'static str, q: Option<&Located<Quantity>>, usual: f64) -> f64 {
        self.used.insert(field);
        if q.is_some() { self.length(field, q) } else { usual }
    }

    fn force(&mut self, field: &'static str, text: Option<&Located<String>>) -> f64 {
        self.used.insert(field);
        let Some(text) = text else {
            return self.fail(None, field, format!("the tool has no {field}"), format!("add {field} = \"… N\""));
        };
        match parse_force_n(&text.value) {
            Ok(n) => n,
            Err(e) => self.fail(Some(&text.span), field, format!("“{}” cannot be read", e.read), format!("write {}", e.accepted)),
        }
    }

    fn fill(&mut self, text: Option<&Located<String>>) -> Fill {
        self.used.insert("fill");
        let known = || Fill::ALL.map(Fill::name).join(", ");
        let Some(text) = text else {
            self.fail(None, "fill", "what it is is missing".to_owned(), format!("add fill = \"…\", one of {}", known()));
            return Fill::Pitch;
        };
        let wanted = plain(&text.value);
        Fill::ALL.into_iter().find(|f| plain(f.name()) == wanted).unwrap_or_else(|| {
            self.fail(Some(&text.span), "fill", format!("“{}” is no fill", text.value), format!("write one of {}", known()));
            Fill::Pitch
        })
    }

    fn power(&mut self, field: &'static str, text: &Located<String>) -> f64 {
        match parse_power_w(&text.value) {
            Ok(w) => w,
            Err(e) => self.fail(Some(&text.span), field, format!("“{}” cannot be read", e.read), format!("write {}", e.accepted)),
        }
    }

    /// A size that such a tool does not have is told, and does no harm.
    fn unused(&mut self, e: &ToolEntry, kind: &str) {
        for field in SIZES {
            if let Some(span) = located(e, field).filter(|_| !self.used.contains(field)) {
                let line = Some(line_of(self.reader.text, span.start));
                let (field, what) = (format!("tool {}: {field}", self.tool), format!("a {kind} has no `{field}`"));
                self.reader.problems.push(Problem {
                    line,
                    field,
                    what,
                    mend: "take it out, or look whether the kind is right".to_owned(),
                    warning: true,
                });
            }
        }
    }
}

/// Where a size of a tool stands.
fn located(e: &ToolEntry, field: &str) -> Option<Range<usize>> {
    let size = |q: &Option<Located<Quantity>>| q.as_ref().map(|q| q.span.clone());
    match field {
        "wear" => size(&e.wear),
        "diameter" => size(&e.diameter),
        "length" => size(&e.length),
        "head" => size(&e.head),
        "radius" => size(&e.radius),
        "small" => size(&e.small),
        "large" => size(&e.large),
        "smallest" => size(&e.smallest),
        "largest" => size(&e.largest),
        "step" => size(&e.step),
        "limit" => e.limit.as_ref().map(|q| q.span.clone()),
        "least_radius" => size(&e.least_radius),
        "pull" => e.pull.as_ref().map(|q| q.span.clone()),
        "half_distance" => size(&e.half_distance),
        "face_radius" => size(&e.face_radius),
        "foot" => size(&e.foot),
        "jaws" => size(&e.jaws),
        "fill" => e.fill.as_ref().map(|q| q.span.clone()),
        "power" => e.power.as_ref().map(|p| p.span.clone()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RACK: &str =
        "trueround_rack = 1\n\n[[tool]]\nid = \"rod-8\"\nkind = \"straight rod\"\ndiameter = \"5/16 in\"\nlength = \"24 in\"\n";

    #[test]
    fn a_rod_is_read_and_has_its_shank_s_head() {
        let (rack, problems) = read_rack(RACK);
        assert_eq!(problems, []);
        assert_eq!(rack.tools[0].body, ToolBody::StraightRod { diameter_mm: 7.9375, length_mm: 24.0 * 25.4, head_mm: 7.9375 });
        assert_eq!((rack.hand_push_n, rack.lean_n), (HAND_PUSH_N, LEAN_N));
    }

    #[test]
    fn the_further_kinds_are_read_with_their_sizes() {
        let tools = [
            (
                "kind = \"inside burnisher\"\ndiameter = \"9 mm\"\nlength = \"30 cm\"\nhead = \"11 mm\"",
                ToolBody::Burnisher { diameter_mm: 9.0, length_mm: 300.0, head_mm: 11.0 },
            ),
            (
                "kind = \"inside burnisher\"\ndiameter = \"9 mm\"\nlength = \"30 cm\"",
                ToolBody::Burnisher { diameter_mm: 9.0, length_mm: 300.0, head_mm: 9.0 },
            ),
            (
                "kind = \"expanding plug\"\nsmallest = \"15.5 mm\"\nlargest = \"19 mm\"\njaws = \"12 mm\"\nlength = \"140 mm\"\nlimit = \"8 kN\"",
                ToolBody::Expander { smallest_mm: 15.5, largest_mm: 19.0, jaws_mm: 12.0, length_mm: 140.0, limit_n: 8000.0 },
            ),
            ("kind = \"draw ring\"\ndiameter = \"14.42 mm\"", ToolBody::DrawRing { bore_mm: 14.42 }),
            ("kind = \"draw bench\"\nlength = \"800 mm\"\nlimit = \"5 kN\"", ToolBody::DrawBench { length_mm: 800.0, limit_n: 5000.0 }),
            ("kind = \"fill\"\nfill = \"70 °C alloy\"", ToolBody::Fill { fill: Fill::Alloy70 }),
            ("kind = \"fill\"\nfill = \"Pitch\"", ToolBody::Fill { fill: Fill::Pitch }),
        ];
        for (text, body) in tools {
            let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"x\"\n{text}\n"));
            assert_eq!(problems, [], "{text}");
            assert_eq!(rack.tools[1].body, body);
        }
        for (bad, line, words) in [
            ("kind = \"fill\"\nfill = \"butter\"", 11, "butter"),
            ("kind = \"fill\"", 9, "what it is is missing"),
            (
                "kind = \"expander\"\nsmallest = \"19 mm\"\nlargest = \"15 mm\"\njaws = \"12 mm\"\nlength = \"140 mm\"\nlimit = \"8 kN\"",
                12,
                "does not open",
            ),
            ("kind = \"draw ring\"\ndiameter = \"14 mm\"\njaws = \"3 mm\"", 12, "has no `jaws`"),
        ] {
            let (_, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"x\"\n{bad}\n"));
            assert_eq!(problems.len(), 1, "{bad}: {problems:?}");
            assert!(problems[0].line == Some(line) && problems[0].to_string().contains(words), "{bad}: {}", problems[0]);
        }
        let (rack, problems) = read_rack_csv(
            "id,kind,fill,smallest (mm),largest (mm),jaws (mm),length (mm),limit (N)\na,fill,95 °C alloy,,,,,\nb,expander,,15.5,19,12,140,8000\n",
        );
        assert_eq!(problems, []);
        assert_eq!(rack.tools[0].body, ToolBody::Fill { fill: Fill::Alloy95 });
        assert!(matches!(rack.tools[1].body, ToolBody::Expander { jaws_mm, .. } if (jaws_mm - 12.0).abs() < 1e-9));
    }

    #[test]
    fn nonsense_in_one_tool_leaves_the_rest() {
        for (bad, line, words) in [
            ("id = \"x\"\nkind = \"straight rod\"\ndiameter = \"8 mm\"", 9, "no length"),
            ("id = \"x\"\nkind = \"ball\"\ndiameter = \"400 mm\"", 9, "larger than any bore"),
            ("id = \"x\"\nkind = \"ball\"\ndiameter = \"-4 mm\"", 11, "-4"),
            ("id = \"x\"\nkind = \"ball\"\ndiameter = 12", 11, "has no unit"),
            ("id = \"rod-8\"\nkind = \"torch\"", 9, "already"),
            ("id = \"x\"\nkind = \"hammr\"", 10, "hammr"),
            ("id = \"x\"\nkind = \"ball\"\ndiametre = \"12 mm\"", 11, "diametre"),
            ("id = \"x\"\nkind = \"press\"\nlimit = \"12 mm\"", 11, "force"),
            ("kind = \"torch\"", 8, "no id"),
            ("id = \"x\"\nkind = \"torch\"\npower = \"2 kN\"", 11, "kW"),
            ("id = \"x\"\nkind = \"torch\"\npower = \"2 W\"", 11, "power"),
        ] {
            let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\n{bad}\n"));
            assert_eq!(rack.tools.len(), 1, "{bad}");
            assert_eq!(problems[0].line, Some(line), "{bad}: {}", problems[0]);
            assert!(problems[0].to_string().contains(words), "{bad}: {}", problems[0]);
        }
    }

    #[test]
    fn a_size_too_many_is_a_warning() {
        let (rack, problems) = read_rack(&format!("{RACK}[[tool]]\nid = \"t\"\nkind = \"torch\"\nlength = \"3 mm\"\n"));
        assert_eq!(rack.tools.len(), 2);
        assert!(problems[0].warning && problems[0].line == Some(11));
    }

    #[test]
    fn a_torch_has_its_watts_or_nobody_has_said() {
        let torch = |more: &str| read_rack(&format!("{RACK}[[tool]]\nid = \"t\"\nkind = \"torch\"\n{more}"));
        for (more, watts) in [("", None), ("power = \"2 kW\"\n", Some(2000.0)), ("power = \"900 W\"\n", Some(900.0))] {
            let (rack, problems) = torch(more);
            assert_eq!(problems, []);
            assert_eq!(rack.tools[1].body, ToolBody::Torch { watts });
        }
        let (rack, problems) = read_rack_csv("id,kind,power (W)\nt,torch,1500\nu,torch,\n");
        assert_eq!(problems, []);
        let bodies: Vec<_> = rack.tools.iter().map(|t| t.body.clone()).collect();
        assert_eq!(bodies, [ToolBody::Torch { watts: Some(1500.0) }, ToolBody::Torch { watts: None }]);
    }

    #[test]
    fn a_table_of_tools_is_read_row_by_row() {
        let csv = "id,name,kind,diameter (mm),length,head,limit\n\
                   rod-6,six,straight rod,6,400 mm,6 mm,\n\
                   cable,pull cable,cable,,1.8 m,,900 N\n\
                   bad,bad,straight rod,8,,,\n\
                   ball,ball,ball,\"11,66\",,,\n";
        let (rack, problems) = read_rack_csv(csv);
        assert_eq!(rack.tools.iter().map(|t| t.id.0.as_str()).collect::<Vec<_>>(), ["rod-6", "cable", "ball"]);
        assert_eq!(rack.tools[2].body, ToolBody::Ball { diameter_mm: 11.66 });
        assert_eq!(problems.len(), 1);
        assert_eq!((problems[0].line, problems[0].field.as_str()), (Some(4), "tool bad: length"));
    }

    #[test]
    fn what_is_no_rack_is_told() {
        for text in ["", "not toml at all", "x = 1", "\u{0}", "trueround_rack = 2"] {
            let (rack, problems) = read_rack(text);
            assert!(rack.tools.is_empty() && !problems.is_empty(), "{text:?}");
        }
        assert!(!read_rack_csv("").1.is_empty());
        assert!(!read_rack_csv("a,b\n1,2").1.is_empty());
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(text in ".{0,200}") {
            let _ = read_rack(&text);
            let _ = read_rack_csv(&text);
        }
    }
}
