//! Damage of every kind, sound and unsound, written in a file and on a form: the same survey, or the same refusals (the
//! same field, the same reason, the same hint).

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test's helpers fail the test")]

mod common;

use common::{any_dent, known};
use instrument::fields::{Field, Kind, condition, dent};
use instrument::{Concerns, Condition, ConditionKind, Dent};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;
use survey::damage::{self, Form, Refusal};
use survey::given::Given;
use survey::kept::Kept;
use survey::words::Word;
use survey::{read_survey, survey_schema};
use units::LengthUnit;

const HEAD: &str = "trueround_survey = 1\n[instrument]\npattern = \"trumpet\"\n";

/// Field, what is wrong, how to mend it, whether it can be planned all the same.
type Refusals = BTreeSet<(String, String, String, bool)>;

/// Numbers that JSON's reader brings back to the last figure.
fn number(values: std::ops::Range<f64>) -> impl Strategy<Value = f64> {
    values.prop_map(|x| (x * 1000.0).round() / 1000.0)
}

fn three_places(values: std::ops::Range<f64>) -> BoxedStrategy<f64> {
    number(values).boxed()
}

/// What no field takes, or only some do.
fn odd() -> BoxedStrategy<Given> {
    prop_oneof![
        number(-10.0..200.0).prop_map(Given::Number),
        any::<bool>().prop_map(Given::Flag),
        Just(Given::List(vec![])),
        Just(Given::List(vec!["3 mm".into()])),
        Just(table(&[("value", Given::Number(3.0))])),
        "[ -~]{0,3}[0-9a-z'\"°/.,±-]{1,8}".prop_map(Given::Text),
    ]
    .boxed()
}

fn table(pairs: &[(&str, Given)]) -> Given {
    Given::Table(pairs.iter().map(|(k, v)| ((*k).to_owned(), v.clone())).collect())
}

/// What a person writes in a field, and what a person should not.
fn texts(kind: Kind) -> (Vec<&'static str>, Vec<&'static str>) {
    match kind {
        Kind::Id => (vec!["x1"], vec![]),
        Kind::Run => (vec!["bell-bow", "Bell bow", "leadpipe"], vec!["leadpip", "no such tube"]),
        Kind::Overlay => (vec![], vec!["no-such-brace"]),
        Kind::Joint => (vec![], vec!["no-such-joint"]),
        Kind::Fit => (vec![], vec!["no-such-slide"]),
        Kind::Angle => (vec!["3°", "about 2 deg"], vec!["3 o'clock", "steep", "3", "120°"]),
        Kind::Length(_) => (
            vec![
                "4 mm",
                "about 4 mm",
                "~3 mm",
                "4 ± 0.3 mm",
                "4 mm +/- 0.3",
                "3 to 5 mm",
                "pattern 2 mm",
                "1/8 in",
                "5/32\"",
                "0.159 in",
                "0,5 mm",
                "0.4 mm",
            ],
            vec!["-4 mm", "0 mm", "4", "four", "4 furlongs", "5 to 3 mm", "12100 mm"],
        ),
        Kind::Clock => (vec!["3 o'clock", "3:30", "90°", "about 6 o'clock", "-45 deg"], vec!["25 o'clock", "noon", "90"]),
        Kind::ClockRange => (vec!["10 o'clock to 2 o'clock", "90° to 180°"], vec!["3 o'clock", "up to down"]),
        Kind::Hardness => (vec!["110 HV", "118hv"], vec!["110", "900 HV", "-3 HV", "60 HRB", "soft"]),
        Kind::Direction => (vec!["along", "Across", "oblique", "slantwise"], vec!["upwards"]),
        Kind::Condition => (
            vec![
                "red rot",
                "Season-Cracking",
                "crack",
                "hole",
                "thin",
                "loose brace",
                "Missing-Brace",
                "pulled joint",
                "out of line",
                "bent bell",
                "oval",
            ],
            vec!["rust", "bent hand slide"],
        ),
        Kind::Flag | Kind::Part => (vec!["yes", "no"], vec!["perhaps"]),
        Kind::Points => (
            vec!["-8 mm: 0 mm; -4 mm: 1 mm; 0 mm: 2 mm; 4 mm: 1 mm; 8 mm: 0 mm", "-8 mm: 0 mm\n0 mm: 3 mm"],
            vec!["0 mm: 1 mm; 0 mm: 2 mm", "a heap", "8: 3", "8 mm"],
        ),
        // Parts of the instrument: tests/sheets.rs.
        Kind::Along(_) | Kind::TemperAlong | Kind::Choice(_) | Kind::Joints | Kind::Overlays | Kind::Axis | Kind::Covers => {
            (vec![], vec![])
        }
        Kind::Words => (vec!["fell on the stair", "“quoted” and \\ back", "two\nlines"], vec![]),
    }
}

fn value(kind: Kind, sound: bool) -> BoxedStrategy<Given> {
    let (good, bad) = texts(kind);
    let pick = |pool: Vec<&'static str>| prop::sample::select(pool).prop_map(Given::from).boxed();
    let exact = (number(0.1..9.0), number(0.0..2.0), prop::sample::select(vec!["measured", "by eye", "assumed"]))
        .prop_map(|(value, sd, from)| table(&[("value", Given::Number(value)), ("sd", Given::Number(sd)), ("from", from.into())]))
        .boxed();
    let mut of: Vec<BoxedStrategy<Given>> = if good.is_empty() { vec![] } else { vec![pick(good)] };
    match kind {
        Kind::Length(_) => of.push(exact),
        Kind::Flag | Kind::Part => of.push(any::<bool>().prop_map(Given::Flag).boxed()),
        Kind::ClockRange => of.push(Just(Given::List(vec!["10 o'clock".into(), "2 o'clock".into()])).boxed()),
        Kind::Points => {
            let points = prop::collection::vec((number(-9.0..9.0), number(0.0..3.0)), 1..7);
            let pair = |(x, d): &(f64, f64)| Given::List(vec![format!("{x} mm").as_str().into(), format!("{d} mm").as_str().into()]);
            of.push(
                points
                    .prop_map(move |mut p| {
                        p.sort_by(|a, b| a.0.total_cmp(&b.0));
                        Given::List(p.iter().map(pair).collect())
                    })
                    .boxed(),
            );
        }
        _ => {}
    }
    if !sound || of.is_empty() {
        if !bad.is_empty() {
            of.push(pick(bad));
        }
        let spelt =
            |value, sd: f64, from: &str| table(&[("value", Given::Number(value)), ("sd", Given::Number(sd)), ("from", from.into())]);
        of.push(
            prop_oneof![odd(), Just(spelt(500.0, 1.0, "measured")), Just(spelt(3.0, -1.0, "measured")), Just(spelt(3.0, 1.0, "hearsay"))]
                .boxed(),
        );
    }
    prop::strategy::Union::new(of).boxed()
}

/// What somebody filled in, by key: half of them with care.
fn sheet(fields: &'static [&'static Field]) -> impl Strategy<Value = BTreeMap<String, Given>> {
    prop_oneof![careful(fields, true), careful(fields, false)]
}

fn careful(fields: &'static [&'static Field], sound: bool) -> BoxedStrategy<BTreeMap<String, Given>> {
    let each: Vec<_> = fields
        .iter()
        // No overlay of a trumpet pushes a dent in by itself: the careful say nothing of one.
        .filter(|f| f.kind != Kind::Id && !(sound && matches!(f.kind, Kind::Overlay | Kind::Joint | Kind::Fit)))
        .map(|f| {
            let always = f.needed && f.in_part().is_none();
            let chance = if always && sound {
                0.9999
            } else if always {
                0.9
            } else {
                0.4
            };
            prop::option::weighted(chance, value(f.kind, sound)).prop_map(|v| v.map(|v| (f.key.to_owned(), v)))
        })
        .collect();
    let parts = fields.iter().any(|f| f.kind == Kind::Part);
    let strays =
        if parts { vec!["dept", "crease.lie", "crack.thru", "earlier_repair.wall", "sharpness"] } else { vec!["form", "sharpness"] };
    let stray = prop::option::weighted(if sound { 0.0001 } else { 0.2 }, prop::sample::select(strays));
    (each, stray)
        .prop_map(move |(each, stray)| {
            let mut sheet: BTreeMap<String, Given> = each.into_iter().flatten().collect();
            sheet.extend(stray.map(|key| (key.to_owned(), "4 mm".into())));
            // In a file a part is true, false or a table: one of which something is said is a table.
            let parts: BTreeSet<String> = sheet.keys().filter_map(|k| k.split_once('.')).map(|(p, _)| p.to_owned()).collect();
            for part in parts {
                sheet.remove(&part);
                // The careful say how a fold lies where they say anything of it.
                for field in fields.iter().filter(|f| sound && f.needed && f.in_part().is_some_and(|(p, _)| p == part)) {
                    sheet.entry(field.key.to_owned()).or_insert_with(|| "along".into());
                }
            }
            // The careful say of a condition what its kind has, and name what it concerns.
            let kind = sheet.get("kind").map(|k| k.text().to_owned()).and_then(|k| ConditionKind::read(&k));
            if let Some(kind) = kind.filter(|_| sound) {
                sheet.retain(|key, _| condition::FIELDS.iter().any(|f| f.key == key && kind.takes(f)) || key == "sharpness");
                let named = match kind.concerns() {
                    Concerns::Brace => "front-brace",
                    Concerns::Joint => "leadpipe--tuning-slide-first-outer",
                    _ if kind == ConditionKind::BentBell => "bell-stem",
                    _ => "leadpipe",
                };
                sheet.insert(kind.named_by().key.to_owned(), named.into());
            }
            if sound {
                // A fold of which nobody says how it lies is refused.
                sheet.remove("crease");
            }
            sheet
        })
        .boxed()
}

fn toml(value: &Given) -> String {
    match value {
        Given::Nothing => panic!("a file has no nothing"),
        Given::Flag(flag) => flag.to_string(),
        Given::Number(n) => format!("{n:?}"),
        Given::Text(text) => toml::Value::String(text.clone()).to_string(),
        Given::List(list) => format!("[{}]", list.iter().map(toml).collect::<Vec<_>>().join(", ")),
        Given::Table(table) => format!("{{ {} }}", table.iter().map(|(k, v)| format!("{k} = {}", toml(v))).collect::<Vec<_>>().join(", ")),
    }
}

fn file(list: &str, sheet: &BTreeMap<String, Given>) -> String {
    let mut out = format!("{HEAD}[[{list}]]\nid = \"x1\"\n");
    let mut parts: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (key, value) in sheet {
        match key.split_once('.') {
            Some((part, own)) => parts.entry(part).or_default().push(format!("{own} = {}", toml(value))),
            None => out.push_str(&format!("{key} = {}\n", toml(value))),
        }
    }
    for (part, own) in parts {
        out.push_str(&format!("{part} = {{ {} }}\n", own.join(", ")));
    }
    out
}

fn form(sheet: &BTreeMap<String, Given>) -> Form {
    // Through JSON, as a tablet sends it.
    serde_json::from_str(&serde_json::to_string(sheet).unwrap()).unwrap()
}

/// A file's survey, where it was read, and what was told of the one dent or condition.
fn of_file(list: &str, text: &str) -> (Option<instrument::Survey>, Refusals) {
    let (survey, problems) = match read_survey(text) {
        Ok(read) => (Some(read.survey), read.warnings),
        Err(problems) => (None, problems),
    };
    let refusals = problems.into_iter().map(|p| {
        let own = p.field.strip_prefix(&format!("{list} x1")).unwrap_or_else(|| panic!("{p}\n{text}"));
        assert!(p.line.is_some_and(|l| l > 3), "{p} has no line of its own\n{text}");
        (own.trim_start_matches(": ").to_owned(), p.what.metric(), p.hint.metric(), p.warning)
    });
    (survey, refusals.collect())
}

fn of_form(refusals: Vec<Refusal>) -> Refusals {
    refusals.into_iter().map(|r| (r.key, r.what.metric(), r.hint.metric(), r.warning)).collect()
}

fn bare() -> instrument::Survey {
    static BARE: OnceLock<instrument::Survey> = OnceLock::new();
    BARE.get_or_init(|| read_survey(HEAD).unwrap().survey).clone()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_dent_in_a_file_and_on_a_form_is_the_same_dent_or_refused_alike(sheet in sheet(dent::FIELDS)) {
        let text = file("dent", &sheet);
        let (read, of_file_refusals) = of_file("dent", &text);
        let mut survey = bare();
        let (kept, refusals) = form(&sheet).dent("x1", &survey.instrument, None);
        let all = match &kept {
            Some(kept) => damage::dent_refusals(&survey, &kept.dent, &refusals),
            None => refusals,
        };
        prop_assert_eq!(of_form(all), of_file_refusals, "{}", text);
        if let Some(read) = read {
            survey.dents = vec![kept.unwrap().dent];
            prop_assert_eq!(survey, read, "{}", text);
        }
    }

    #[test]
    fn a_condition_in_a_file_and_on_a_form_is_the_same_or_refused_alike(sheet in sheet(condition::FIELDS)) {
        let text = file("condition", &sheet);
        let (read, of_file_refusals) = of_file("condition", &text);
        let mut survey = bare();
        let (one, refusals) = form(&sheet).condition("x1", &survey.instrument, None);
        let all = match &one {
            Some(one) => damage::condition_refusals(&survey, one, &refusals),
            None => refusals,
        };
        prop_assert_eq!(of_form(all), of_file_refusals, "{}", text);
        if let Some(read) = read {
            survey.conditions = vec![one.unwrap()];
            prop_assert_eq!(survey, read, "{}", text);
        }
    }
}

/// The property above would hold of a reader that refuses everything: both are seen often.
#[test]
fn sheets_are_sound_often_enough_and_unsound_often_enough() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut sound, mut keys) = (0, BTreeSet::new());
    for _ in 0..600 {
        let sheet = sheet(dent::FIELDS).new_tree(&mut runner).unwrap().current();
        let (read, refusals) = of_file("dent", &file("dent", &sheet));
        sound += i32::from(read.is_some());
        keys.extend(refusals.into_iter().filter(|t| !t.3).map(|t| t.0));
    }
    assert!((150..450).contains(&sound), "{sound} of 600 sound");
    for field in dent::FIELDS.iter().filter(|f| !matches!(f.kind, Kind::Id)) {
        assert!(keys.contains(field.key), "{} was never refused", field.key);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// Whatever the unit of the tablet, and however often.
    #[test]
    fn a_form_opened_and_saved_unchanged_changes_nothing(first in any_dent(three_places, "bell-bow")) {
        let instrument = bare().instrument;
        let first = Kept::from_dent(&first);
        for unit in [LengthUnit::Mm, LengthUnit::Inch] {
            let mut kept = first.clone();
            for _ in 0..2 {
                let (again, refusals) = kept.shown(unit).dent("d1", &instrument, Some(&kept));
                prop_assert_eq!(refusals, vec![]);
                let again = again.unwrap();
                prop_assert_eq!(&again.dent, &first.dent);
                prop_assert_eq!(&again.typed, &first.typed);
                kept = Kept::from_json(&again.to_json().unwrap()).unwrap();
            }
            // One field that is changed changes that field alone.
            let (again, _) = kept.shown(unit).with(&dent::ACROSS, "22 mm").dent("d1", &instrument, Some(&kept));
            let again = again.unwrap().dent;
            prop_assert_eq!(again.width_across_mm.as_ref().unwrap().value, 22.0);
            prop_assert_eq!(Dent { width_across_mm: first.dent.width_across_mm.clone(), ..again }, first.dent.clone());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn a_condition_s_form_opened_and_saved_unchanged_changes_nothing(
        from in prop::option::of(number(0.0..90.0)), to in prop::option::of(number(90.0..150.0)), clock in prop::option::of((number(0.0..360.0), number(0.0..360.0))),
        wall in known(three_places, &condition::WALL_LEFT, 0.0..1.0), through in any::<Option<bool>>(), note in ".{0,20}",
    ) {
        let instrument = bare().instrument;
        let first = Condition {
            from_mm: from,
            to_mm: to,
            clock_deg: clock,
            through,
            wall_left_mm: wall,
            note,
            ..Condition::new("c1", ConditionKind::RedRot).on("bell-bow")
        };
        for unit in [LengthUnit::Mm, LengthUnit::Inch] {
            let shown = Form::of(condition::FIELDS, &first.said(), unit);
            prop_assert_eq!(shown.condition("c1", &instrument, Some(&first)), (Some(first.clone()), vec![]));
            let changed = shown.with(&condition::TO, "160 mm").condition("c1", &instrument, Some(&first)).0;
            prop_assert_eq!(changed, Some(Condition { to_mm: Some(160.0), ..first.clone() }));
        }
    }
}

#[test]
fn what_is_typed_is_shown_in_the_words_of_whoever_reads() {
    let instrument = bare().instrument;
    let form = Form::default().with(&dent::RUN, "bell-bow").with(&dent::DEPTH, "2.38125 mm").with(&dent::ALONG, "about 1 1/2 in");
    let (kept, refusals) = form.with(&dent::ACROSS, "20 mm").with(&dent::WALL, "4 stone").dent("d1", &instrument, None);
    let kept = kept.unwrap();
    assert_eq!(refusals.iter().map(|r| r.key.as_str()).collect::<Vec<_>>(), ["wall"]);
    let (mm, inch) = (kept.shown(LengthUnit::Mm), kept.shown(LengthUnit::Inch));
    // 3/32 in is read as the fraction that it is; what is none stays in the unit in which it was meant.
    assert_eq!((mm.text(&dent::DEPTH), inch.text(&dent::DEPTH)), ("2.38125 mm", "3/32 in"));
    assert_eq!((mm.text(&dent::ALONG), inch.text(&dent::ALONG)), ("about 1 1/2 in", "about 1 1/2 in"));
    assert_eq!((mm.text(&dent::ACROSS), inch.text(&dent::ACROSS)), ("20 mm", "20 mm"));
    // What could not be read stays as it was typed, and is told again.
    assert_eq!(inch.text(&dent::WALL), "4 stone");
    assert_eq!(inch.dent("d1", &instrument, Some(&kept)).1.len(), 1);
}

/// The schema and the page on the files tell of every field.
#[test]
fn every_field_is_in_the_schema_and_on_the_page() {
    let schema = survey_schema();
    let page = std::fs::read_to_string(format!("{}/../../docs/survey-format.md", env!("CARGO_MANIFEST_DIR"))).unwrap();
    for (entry, fields) in [("DentEntry", dent::FIELDS), ("ConditionEntry", condition::FIELDS)] {
        let properties = &schema["$defs"][entry]["properties"];
        for field in fields {
            let own = match field.in_part() {
                Some((part, own)) => {
                    let part = &properties[part];
                    if part["properties"].is_object() { &part["properties"][own] } else { &part["anyOf"][0]["properties"][own] }
                }
                None => &properties[field.key],
            };
            assert_eq!(own["description"], field.about, "{entry} {}", field.key);
            let key = field.in_part().map_or(field.key, |(_, own)| own);
            assert!(page.contains(&format!("{key} = ")), "docs/survey-format.md does not tell {}", field.key);
        }
    }
}
