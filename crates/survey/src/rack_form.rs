//! The tools as a form shows them: a kind's sizes in the order in which they are measured, what is typed for each, and the rack's
//! file changed in that one place. What can be taken is decided by the file's own reader.

use crate::document::{document, list, listed, put, typed};
use crate::problem::Problem;
use crate::rack::read_rack;
use crate::words::plain;
use std::collections::{BTreeMap, BTreeSet};
use toml_edit::{Item, Table, Value};

/// What a size is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// A length.
    Length,
    /// A force.
    Force,
    /// A power.
    Power,
    /// One of the fills.
    Fill,
}

/// A size of a kind of tool.
#[derive(Debug)]
pub struct Size {
    /// Its key in the file.
    pub key: &'static str,
    /// What it is called beside the field.
    pub label: &'static str,
    /// What it is.
    pub measure: Measure,
    /// What holds where it is left out; none where it must be there.
    pub without: Option<&'static str>,
}

/// A kind of tool.
#[derive(Debug)]
pub struct ToolKind {
    /// Its word in the file.
    pub word: &'static str,
    /// Other words for it.
    also: &'static [&'static str],
    /// What it does, in a line.
    pub about: &'static str,
    /// Its sizes.
    pub sizes: &'static [Size],
}

const fn mm(key: &'static str, label: &'static str) -> Size {
    Size { key, label, measure: Measure::Length, without: None }
}

const fn mm_or(key: &'static str, label: &'static str, without: &'static str) -> Size {
    Size { key, label, measure: Measure::Length, without: Some(without) }
}

const fn force(key: &'static str, label: &'static str) -> Size {
    Size { key, label, measure: Measure::Force, without: None }
}

const fn kind(word: &'static str, also: &'static [&'static str], about: &'static str, sizes: &'static [Size]) -> ToolKind {
    ToolKind { word, also, about, sizes }
}

/// Every kind, in the order in which they hang.
pub const KINDS: [ToolKind; 20] = [
    kind(
        "straight rod",
        &["rod"],
        "Pushes dents out from inside a straight tube or the bell.",
        &[mm("diameter", "Shank diameter"), mm("length", "Length, vise to tip"), mm_or("head", "Head diameter", "as thick as the shank")],
    ),
    kind(
        "curved rod",
        &[],
        "Follows a bend to the dent.",
        &[
            mm("diameter", "Shank diameter"),
            mm("length", "Length of the bent part"),
            mm("radius", "Bend radius at the center line"),
            mm_or("head", "Head diameter", "as thick as the shank"),
        ],
    ),
    kind(
        "mandrel",
        &[],
        "Holds the tube round while its outside is worked.",
        &[
            mm("small", "Thin end, diameter"),
            mm_or("large", "Thick end, diameter", "straight, as the thin end"),
            mm("length", "Working length"),
        ],
    ),
    kind(
        "ball set",
        &["balls"],
        "Dent balls in even steps.",
        &[mm("smallest", "Smallest ball"), mm("largest", "Largest ball"), mm("step", "Step from ball to ball")],
    ),
    kind("ball", &[], "One dent ball.", &[mm("diameter", "Diameter")]),
    kind("cable", &[], "Pulls balls through a bend.", &[mm("length", "Length"), force("limit", "Pull it bears")]),
    kind(
        "flexible shaft",
        &[],
        "Pushes or drives balls round bends.",
        &[mm("diameter", "Diameter"), mm("length", "Length"), mm("least_radius", "Minimum bend radius"), force("limit", "Push it bears")],
    ),
    kind(
        "magnet",
        &[],
        "Works a steel ball through the wall.",
        &[force("pull", "Pull at contact"), mm("half_distance", "Distance at which the pull halves")],
    ),
    kind("hammer", &[], "Works metal down on a support.", &[mm("face_radius", "Crown radius of its face")]),
    kind("roller", &["burnisher"], "Rubs metal down on a support.", &[mm("diameter", "Diameter")]),
    kind(
        "stake",
        &["bell stake"],
        "Stands under the metal, held in the vise.",
        &[
            mm("face_radius", "Crown radius of its face"),
            mm("head", "Width of its face"),
            mm("diameter", "Arm diameter"),
            mm("length", "Length, vise to face"),
        ],
    ),
    kind(
        "dolly",
        &[],
        "A loose block held inside the bell.",
        &[mm("face_radius", "Crown radius of its face"), mm("head", "Width of its face")],
    ),
    kind("pull stud", &["stud"], "Soldered on to pull a dent from outside.", &[mm("foot", "Foot diameter")]),
    kind("press", &[], "Drives balls or a mandrel.", &[force("limit", "Force it bears"), mm_or("length", "Travel", "not known")]),
    kind(
        "torch",
        &[],
        "Solders and anneals.",
        &[Size {
            key: "power",
            label: "Power of its flame",
            measure: Measure::Power,
            without: Some("not known: times and temperatures of every heat stay wide"),
        }],
    ),
    kind(
        "inside burnisher",
        &[],
        "Rubs a slide or casing from inside.",
        &[mm("diameter", "Shank diameter"), mm("length", "Length, vise to tip"), mm_or("head", "Nose diameter", "as thick as the shank")],
    ),
    kind(
        "expander",
        &["expanding plug"],
        "Split jaws that open a tube's end.",
        &[
            mm("smallest", "Diameter, jaws shut"),
            mm("largest", "Diameter, jaws open"),
            mm("jaws", "Length of the jaws"),
            mm("length", "How far in it goes"),
            force("limit", "Pull its screw bears"),
        ],
    ),
    kind("draw ring", &[], "A tube is drawn through it over a mandrel.", &[mm("diameter", "Bore")]),
    kind("draw bench", &[], "Pulls a tube through a ring.", &[mm("length", "Travel"), force("limit", "Pull")]),
    kind(
        "fill",
        &[],
        "Fills a bend while its wall is worked from outside.",
        &[Size { key: "fill", label: "What it is", measure: Measure::Fill, without: None }],
    ),
];

/// The kind of a word.
pub fn kind_of(word: &str) -> Option<&'static ToolKind> {
    let word = plain(word);
    KINDS.iter().find(|k| k.word == word || k.also.contains(&word.as_str()))
}

/// The names of the fills.
pub fn fills() -> [&'static str; 4] {
    metal::Fill::ALL.map(metal::Fill::name)
}

/// Fields that every tool has, besides its sizes and its kind.
pub const OF_EVERY_TOOL: [&str; 6] = ["name", "place", "wear", "condition", "away_until", "retired"];

/// A tool as its file has it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ToolSheet {
    /// Its name on the rack; never changes.
    pub id: String,
    /// What stands in its fields, as it was typed.
    pub fields: BTreeMap<String, String>,
}

impl ToolSheet {
    /// What stands in a field; nothing where it has none.
    pub fn text(&self, key: &str) -> &str {
        self.fields.get(key).map_or("", String::as_str)
    }

    /// What the shop calls it.
    pub fn name(&self) -> &str {
        if self.text("name").is_empty() { &self.id } else { self.text("name") }
    }

    /// Its kind; none where the file has a word that nobody knows.
    pub fn kind(&self) -> Option<&'static ToolKind> {
        kind_of(self.text("kind"))
    }

    /// Whether it is out of use.
    pub fn retired(&self) -> bool {
        !self.text("retired").is_empty()
    }
}

/// Why a form cannot be taken: the field beside which it is said (empty: none), and what is wrong.
pub type Refused = Vec<(String, Problem)>;

/// The tools of a rack as forms, in the file's order.
///
/// # Errors
/// Where the file is not TOML.
pub fn tool_sheets(text: &str) -> Result<Vec<ToolSheet>, Problem> {
    let doc = document(text)?;
    let unit = doc.get("units").and_then(Item::as_str).unwrap_or_default().to_owned();
    let sheet = |t: &Table| {
        let of = |key: &str| matches!(measure_of(key), Some(Measure::Length));
        let fields: BTreeMap<String, String> =
            t.iter().map(|(key, item)| (key.to_owned(), typed(item, if of(key) { &unit } else { "" }))).collect();
        ToolSheet { id: fields.get("id").map_or_else(String::new, |id| id.trim().to_owned()), fields }
    };
    Ok(listed(&doc, "tool").iter().map(sheet).filter(|t| !t.id.is_empty()).collect())
}

/// What hands do: steady push, lean, as typed; empty where the file does not say.
///
/// # Errors
/// Where the file is not TOML.
pub fn hands(text: &str) -> Result<[String; 2], Problem> {
    let doc = document(text)?;
    let one = |key: &str| doc.get("hands").and_then(|h| h.get(key)).map_or_else(String::new, |item| typed(item, ""));
    Ok([one("push"), one("lean")])
}

/// The rack's file with other hands.
///
/// # Errors
/// Where one of them is no push of a person.
pub fn with_hands(text: &str, push: &str, lean: &str) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    for (key, typed) in [("hands.push", push), ("hands.lean", lean)] {
        crate::document::put_at(&mut doc, key, Some(typed.trim()).filter(|t| !t.is_empty()).map(Value::from));
    }
    checked(text, &doc.to_string(), "hands: ")
}

fn measure_of(key: &str) -> Option<Measure> {
    if key == "wear" {
        return Some(Measure::Length);
    }
    KINDS.iter().flat_map(|k| k.sizes).find(|s| s.key == key).map(|s| s.measure)
}

/// A bare number with the unit that its field is typed in; a fraction without a unit is left for the reader to ask.
pub fn with_unit(key: &str, text: &str, length_unit: &str, force_unit: &str) -> String {
    let text = text.trim();
    let bare = text.bytes().any(|b| b.is_ascii_digit()) && text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-'));
    match measure_of(key).filter(|_| bare) {
        Some(Measure::Length) => format!("{text} {length_unit}"),
        Some(Measure::Force) => format!("{text} {force_unit}"),
        Some(Measure::Power) => format!("{text} W"),
        Some(Measure::Fill) | None => text.to_owned(),
    }
}

/// The rack's file with a tool changed in these fields; an empty text takes a field out.
///
/// # Errors
/// Where there is no such tool, or what is typed cannot be.
pub fn tool_changed(text: &str, id: &str, fields: &[(String, String)]) -> Result<String, Refused> {
    let mut doc = document(text).map_err(whole)?;
    let tools = list(&mut doc, "tool");
    let tool = tools.and_then(|t| t.iter_mut().find(|t| t.get("id").and_then(Item::as_str).map(str::trim) == Some(id)));
    let Some(tool) = tool else {
        let hint = "another tablet may have taken it out: look at the list".into();
        return Err(whole(Problem {
            line: None,
            field: String::new(),
            what: format!("no tool is called {id}").into(),
            hint,
            warning: false,
        }));
    };
    set(tool, fields);
    checked(text, &doc.to_string(), &format!("tool {id}: "))
}

/// The rack's file with one more tool of a kind, and the name that it has on the rack.
///
/// # Errors
/// Where what is typed cannot be.
pub fn tool_added(text: &str, kind: &str, fields: &[(String, String)]) -> Result<(String, String), Refused> {
    let mut doc = document(text).map_err(whole)?;
    let name = fields.iter().find(|(key, _)| key == "name").map_or("", |(_, name)| name.trim());
    let taken: BTreeSet<String> = tool_sheets(text).map_err(whole)?.into_iter().map(|t| t.id).collect();
    let id = new_id(if name.is_empty() { kind } else { name }, &taken);
    let mut tool = Table::new();
    tool.insert("id", toml_edit::value(&id));
    put(&mut tool, "name", Some(name).filter(|n| !n.is_empty()).map(Value::from));
    tool.insert("kind", toml_edit::value(kind));
    set(&mut tool, fields);
    tool.decor_mut().set_prefix("\n");
    if let Some(tools) = list(&mut doc, "tool") {
        tools.push(tool);
    }
    checked(text, &doc.to_string(), &format!("tool {id}: ")).map(|text| (text, id))
}

fn set(tool: &mut Table, fields: &[(String, String)]) {
    for (key, typed) in fields {
        put(tool, key, Some(typed.trim()).filter(|t| !t.is_empty()).map(Value::from));
    }
}

/// A name on the rack made from what the shop calls it.
fn new_id(name: &str, taken: &BTreeSet<String>) -> String {
    let mut id = String::new();
    for c in name.to_lowercase().chars() {
        if c.is_ascii_alphanumeric() {
            id.push(c);
        } else if !id.is_empty() && !id.ends_with('-') {
            id.push('-');
        }
    }
    let id = id.trim_matches('-').chars().take(40).collect::<String>();
    let id = if id.is_empty() { "tool".to_owned() } else { id };
    let mut tries = std::iter::once(id.clone()).chain((2..).map(|n| format!("{id}-{n}")));
    tries.find(|t| !taken.contains(t)).unwrap_or(id)
}

fn whole(problem: Problem) -> Refused {
    vec![(String::new(), problem)]
}

/// The new file, if nothing is wrong with it that was not wrong before. Fields are told by their own names behind `prefix`.
fn checked(before: &str, after: &str, prefix: &str) -> Result<String, Refused> {
    let told = |p: &Problem| (p.field.clone(), p.what.metric(), p.hint.metric());
    let known: Vec<_> = read_rack(before).1.iter().map(told).collect();
    let new = read_rack(after).1.into_iter().filter(|p| !p.warning && p.field != "tool" && !known.contains(&told(p)));
    let refused: Refused = new.map(|p| (p.field.strip_prefix(prefix).unwrap_or_default().to_owned(), p)).collect();
    if refused.is_empty() { Ok(after.to_owned()) } else { Err(refused) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RACK: &str = "# ours\ntrueround_rack = 1\n\n[hands]\npush = \"150 N\"  # one hand\n\n[[tool]]\nid = \"rod-8\"   # by the door\nkind = \"straight rod\"\ndiameter = \"5/16 in\" # measured twice\nlength = \"450 mm\"\n\n# thin ones\n[[tool]]\nid = \"b\"\nname = \"ball\"\nkind = \"ball\"\ndiameter = \"12 mm\"\n";

    fn fields(list: &[(&str, &str)]) -> Vec<(String, String)> {
        list.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()
    }

    #[test]
    fn a_change_touches_its_own_place_and_nothing_else() {
        let after = tool_changed(RACK, "rod-8", &fields(&[("diameter", "8 mm"), ("place", "wall")])).unwrap();
        assert_eq!(
            after,
            RACK.replace("\"5/16 in\" # measured", "\"8 mm\" # measured")
                .replace("length = \"450 mm\"\n", "length = \"450 mm\"\nplace = \"wall\"\n")
        );
        let without = tool_changed(&after, "rod-8", &fields(&[("place", " ")])).unwrap();
        assert_eq!(without, RACK.replace("\"5/16 in\" # measured", "\"8 mm\" # measured"));
    }

    #[test]
    fn what_cannot_be_is_said_of_its_field_and_the_rest_is_left() {
        let wrong = tool_changed(RACK, "rod-8", &fields(&[("diameter", "wide"), ("length", "12 in")])).unwrap_err();
        let keys: Vec<&str> = wrong.iter().map(|(k, _)| k.as_str()).collect();
        assert_eq!(keys, ["diameter"]);
        let two = tool_changed(RACK, "rod-8", &fields(&[("diameter", "wide"), ("length", "12")])).unwrap_err();
        assert_eq!(two.iter().map(|(k, _)| k.as_str()).collect::<Vec<_>>(), ["diameter", "length"]);
        assert!(tool_changed(RACK, "rod-8", &fields(&[("diameter", "900 mm")])).unwrap_err()[0].1.what.metric().contains("thicker"));
        assert_eq!(tool_changed(RACK, "nobody", &[]).unwrap_err()[0].0, "");
        assert_eq!(with_hands(RACK, "9 miles", "").unwrap_err()[0].0, "push");
        assert!(with_hands(RACK, "160 N", "").unwrap().contains("push = \"160 N\"  # one hand"));
    }

    #[test]
    fn a_tool_is_added_with_a_name_of_its_own() {
        let (after, id) = tool_added(RACK, "ball", &fields(&[("name", "Ball!"), ("diameter", "1 1/32 in")])).unwrap();
        assert_eq!(id, "ball");
        let (again, id) = tool_added(&after, "ball", &fields(&[("name", "ball"), ("diameter", "9 mm")])).unwrap();
        assert_eq!(id, "ball-2");
        let (rack, problems) = read_rack(&again);
        assert_eq!(problems, []);
        assert_eq!(rack.tools.len(), 4);
        assert!(again.starts_with(RACK), "{again}");
        // Into a rack that has none yet.
        let (first, _) = tool_added("trueround_rack = 1\n", "ball", &fields(&[("name", "b"), ("diameter", "9 mm")])).unwrap();
        assert_eq!(read_rack(&first).0.tools.len(), 1);
        assert_eq!(tool_added(RACK, "ball", &fields(&[("name", "x")])).unwrap_err()[0].0, "diameter");
    }

    #[test]
    fn a_retired_tool_stays_in_the_file_and_leaves_the_rack() {
        let after = tool_changed(RACK, "b", &fields(&[("retired", "2026-11-26")])).unwrap();
        assert_eq!(read_rack(&after).0.tools.len(), 1);
        let sheets = tool_sheets(&after).unwrap();
        assert!(sheets[1].retired() && !sheets[0].retired());
        // Its name stays its own.
        let (_, id) = tool_added(&after, "ball", &fields(&[("name", "b"), ("diameter", "9 mm")])).unwrap();
        assert_eq!(id, "b-2");
        assert_eq!(read_rack(&tool_changed(&after, "b", &fields(&[("retired", "")])).unwrap()).0.tools.len(), 2);
        assert_eq!(tool_changed(RACK, "b", &fields(&[("retired", "Friday")])).unwrap_err()[0].0, "retired");
    }

    #[test]
    fn the_kinds_sizes_are_those_that_the_reader_asks_for() {
        for kind in &KINDS {
            let value = |s: &Size| match s.measure {
                Measure::Length if matches!(s.key, "largest" | "large" | "length") => "300 mm",
                Measure::Length if s.key == "smallest" && kind.word == "expander" => "15 mm",
                Measure::Length if s.key == "half_distance" => "2 mm",
                Measure::Length => "9 mm",
                Measure::Force => "400 N",
                Measure::Power => "2 kW",
                Measure::Fill => "pitch",
            };
            let value = |s: &Size| match (kind.word, s.key) {
                ("ball set", "largest") => "40 mm",
                ("expander", "largest") => "19 mm",
                ("mandrel", "large") => "12 mm",
                _ => value(s),
            };
            let all: Vec<_> = kind.sizes.iter().map(|s| (s.key.to_owned(), value(s).to_owned())).collect();
            let (text, _) = tool_added(RACK, kind.word, &all).unwrap_or_else(|e| panic!("{}: {e:?}", kind.word));
            assert_eq!(read_rack(&text).1, [], "{}", kind.word);
            for s in kind.sizes {
                let some: Vec<_> = all.iter().filter(|(k, _)| k != s.key).cloned().collect();
                let refused = tool_added(RACK, kind.word, &some);
                assert_eq!(refused.is_err(), s.without.is_none(), "{} without {}", kind.word, s.key);
                if let Err(refused) = refused {
                    assert_eq!(refused[0].0, s.key, "{}", kind.word);
                }
            }
        }
    }

    #[test]
    fn a_bare_number_has_its_field_s_unit_and_a_bare_fraction_none() {
        assert_eq!(with_unit("diameter", " 8.5 ", "mm", "N"), "8.5 mm");
        assert_eq!(with_unit("limit", "200", "in", "lbf"), "200 lbf");
        assert_eq!(with_unit("diameter", "1/2", "mm", "N"), "1/2");
        assert_eq!(with_unit("diameter", "1/2 in", "mm", "N"), "1/2 in");
        assert_eq!(with_unit("name", "8", "mm", "N"), "8");
    }
}
