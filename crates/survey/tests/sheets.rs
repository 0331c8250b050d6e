//! A sheet of the tablet and a table of the file say the same: the same instrument, or the same words why not.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use instrument::fields::{Field, Kind as FieldKind, fit, joint, overlay, run, whole};
use instrument::{Finish, JointKind, Kind, Survey, patterns};
use metal::Alloy;
use survey::damage::Form;
use survey::given::Given;
use survey::parts::{Part, with_pattern};
use survey::{read_survey, write_survey};
use units::{LengthUnit, Origin};

const HEAD: &str = "trueround_survey = 1\n[instrument]\npattern = \"euphonium\"\n";

fn euphonium() -> Survey {
    Survey::of(patterns::pattern(Kind::Euphonium).unwrap())
}

fn form(fields: &[(&Field, &str)]) -> Form {
    fields.iter().fold(Form::default(), |form, (field, text)| form.with(field, text))
}

fn table(part: &str, fields: &[(&Field, &str)]) -> String {
    let (list, id) = part.split_once(' ').unwrap();
    let value = |text: &str| {
        let lines: Vec<(&str, &str)> = text.lines().filter_map(|l| l.split_once(": ")).collect();
        let quoted = |t: &str| toml::Value::String(t.to_owned()).to_string();
        if lines.is_empty() {
            quoted(text)
        } else {
            let points: Vec<String> = lines.iter().map(|(at, is)| format!("{{ at = {}, is = {} }}", quoted(at), quoted(is))).collect();
            format!("[{}]", points.join(", "))
        }
    };
    let quoted = |t: &str| toml::Value::String(t.trim().to_owned()).to_string();
    let piece = |line: &str| match line.split_once(' ').unwrap() {
        ("straight", length) => format!("{{ straight = {} }}", quoted(length)),
        (_, bend) => {
            let keys = ["bend", "angle", "plane"].iter().zip(bend.split(','));
            format!("{{ {} }}", keys.map(|(key, t)| format!("{key} = {}", quoted(t))).collect::<Vec<_>>().join(", "))
        }
    };
    let cover = |line: &str| {
        let (run, rest) = line.split_once(':').unwrap();
        let (stretch, clock) = rest.split_once(',').map_or((rest, None), |(s, c)| (s, c.split_once(" to ")));
        let (from, to) = stretch.split_once(" to ").unwrap();
        let clock = clock.map_or_else(String::new, |(a, b)| format!(", clock = [{}, {}]", quoted(a), quoted(b)));
        format!("{{ run = {}, from = {}, to = {}{clock} }}", quoted(run), quoted(from), quoted(to))
    };
    let each = |text: &str, one: &dyn Fn(&str) -> String| format!("[{}]", text.lines().map(one).collect::<Vec<_>>().join(", "));
    let said = |field: &Field, text: &str| match field.kind {
        FieldKind::Axis => each(text, &piece),
        FieldKind::Covers => each(text, &cover),
        FieldKind::Flag => (text == "yes").to_string(),
        _ => value(text),
    };
    let lines: String = fields.iter().map(|(f, text)| format!("{} = {}\n", f.key, said(f, text))).collect();
    format!("{HEAD}[[{list}]]\nid = \"{id}\"\n{lines}")
}

/// What a person says of a part, and what a person should not.
const SAID: &[(&str, &[(&Field, &str)])] = &[
    ("run bell-flare", &[(&run::ALLOY, "rose brass")]),
    ("run bell-flare", &[(&run::ALLOY, "Rose-Brass"), (&run::TEMPER, "95 HV"), (&run::WALL, "0.45 mm")]),
    ("run bell-flare", &[(&run::WALL, "0 mm: 0.55 mm\n240 mm: 0.018 in"), (&run::FINISH, "raw")]),
    ("run leadpipe", &[(&run::TEMPER, "quarter hard"), (&run::BORE, "0 mm: about 12 mm\n100 mm: 12.5 ± 0.1 mm")]),
    ("run first-branch", &[(&run::ROLE, "tube"), (&run::TEMPER, "0 mm: H04\n200 mm: 110 HV")]),
    ("run first-branch", &[(&run::ALLOY, "tin")]),
    ("run first-branch", &[(&run::WALL, "0.45 stone")]),
    ("run first-branch", &[(&run::WALL, "45 mm")]),
    ("run first-branch", &[(&run::TEMPER, "120")]),
    ("run first-branch", &[(&run::BORE, "200 mm: 23 mm\n0 mm: 16 mm")]),
    ("run first-branch", &[(&run::BORE, "0 mm: 16 mm\n900 mm: 23 mm")]),
    ("run first-branch", &[(&run::AXIS, "straight 150 mm\nbend 62 mm, 90°, 3 o'clock\nstraight 2 in")]),
    ("run first-branch", &[(&run::AXIS, "straight 400 mm"), (&run::BORE, "0 mm: 16 mm\n390 mm: 17 mm"), (&run::FLARE, "yes")]),
    ("run leadpipe", &[(&run::FLARE, "yes")]),
    ("run leadpipe", &[(&run::BERYLLIUM, "yes")]),
    ("run first-branch", &[(&run::AXIS, "bend 62 mm")]),
    ("run first-branch", &[(&run::AXIS, "straight 150 stone\nbend 62 mm, 90°")]),
    ("run first-branch", &[(&run::AXIS, "straight 150 mm\nbend 62 mm, half round")]),
    ("joint receiver-leadpipe", &[(&joint::OVERLAP, "19 mm")]),
    ("joint receiver-leadpipe", &[(&joint::OVERLAP, "a bit")]),
    ("overlay bottom-bow-guard", &[(&overlay::COVERS, "bottom-bow: 20 mm to 150 mm, 4 o'clock to 8 o'clock")]),
    ("overlay bell-brace", &[(&overlay::COVERS, "bell-stem: 20 mm to 35 mm\nfirst-branch: 1 in to 2 in, 350° to 10°")]),
    ("overlay bell-brace", &[(&overlay::COVERS, "bell-stem: 20 mm to 35 stone")]),
    ("overlay bell-brace", &[(&overlay::COVERS, "the moon: 20 mm to 35 mm")]),
    ("fit tuning-slide-first-leg", &[(&fit::MOVES, "stuck"), (&fit::CLEARANCE, "0.06 mm")]),
    ("fit tuning-slide-first-leg", &[(&fit::MOVES, "rusty")]),
    ("fit tuning-slide-first-leg", &[(&fit::CLEARANCE, "much")]),
    ("overlay bell-brace", &[(&overlay::KIND, "patch"), (&overlay::FILLER, "Sn96Ag4")]),
    ("overlay bell-brace", &[(&overlay::FILLER, "none")]),
    ("overlay bell-brace", &[(&overlay::FILLER, "BAg-5")]),
    ("joint receiver-leadpipe", &[(&joint::HELD_BY, "silver braze"), (&joint::FILLER, "BAg-5")]),
    ("joint receiver-leadpipe", &[(&joint::FILLER, "Sn63Pb37")]),
    ("joint receiver-leadpipe", &[(&joint::FILLER, "BAg-5")]),
    ("joint receiver-leadpipe", &[(&joint::HELD_BY, "thread"), (&joint::FILLER, "Sn63Pb37")]),
    ("joint receiver-leadpipe", &[(&joint::HELD_BY, "chewing gum")]),
];

fn joint_id(survey: &Survey) -> String {
    survey.instrument.joints.iter().find(|j| j.a.run.0 == "receiver" || j.b.run.0 == "receiver").unwrap().id.0.clone()
}

#[test]
fn a_sheet_and_a_file_say_the_same() {
    let (mut taken, mut refused) = (0, 0);
    for (part, fields) in SAID {
        let survey = euphonium();
        let part = part.replace("receiver-leadpipe", &joint_id(&survey));
        let (by_sheet, refusals) = Part::named(&part).unwrap().changed(&survey, &form(fields), LengthUnit::Mm);
        match read_survey(&table(&part, fields)) {
            Ok(file) => {
                assert_eq!(by_sheet.as_ref(), Some(&file.survey), "{part} {fields:?} {refusals:?}");
                assert_ne!(by_sheet.unwrap(), survey, "{part} {fields:?} says nothing");
                taken += 1;
            }
            Err(problems) => {
                assert_eq!(by_sheet, None, "{part} {fields:?}");
                let words = |what: &units::Text, hint: &units::Text| format!("{}; {}", what.metric(), hint.metric());
                let told: Vec<String> = refusals.iter().filter(|r| !r.warning).map(|r| words(&r.what, &r.hint)).collect();
                for p in problems.iter().filter(|p| !p.warning) {
                    assert!(told.contains(&words(&p.what, &p.hint)), "{part} {fields:?}: {p} is not among {told:?}");
                }
                // Each stands beside a field that was filled in.
                for r in refusals.iter().filter(|r| !r.warning) {
                    assert!(fields.iter().any(|(f, _)| f.key == r.key), "{part}: {r:?} stands beside no field");
                }
                refused += 1;
            }
        }
    }
    assert!(taken >= 10 && refused >= 10, "{taken} {refused}");
}

#[test]
fn a_bare_number_is_in_the_unit_that_the_tablet_shows() {
    let part = Part::named("run bell-flare").unwrap();
    let wall = |text: &str, unit| {
        let (survey, refusals) = part.changed(&euphonium(), &form(&[(&run::WALL, text)]), unit);
        let survey = survey.unwrap_or_else(|| panic!("{refusals:?}"));
        survey.instrument.run(&"bell-flare".into()).unwrap().wall_mm.points[0].value
    };
    assert!((wall("0.45", LengthUnit::Mm) - 0.45).abs() < 1e-12);
    assert!((wall("0.018", LengthUnit::Inch) - 0.4572).abs() < 1e-12);
    assert!((wall("0: 0.5\n4: 0.4", LengthUnit::Mm) - 0.5).abs() < 1e-12);
}

#[test]
fn a_sheet_that_is_opened_and_saved_changes_nothing_and_an_emptied_field_is_the_pattern_s_again() {
    let file = format!(
        "{HEAD}[[run]]\nid = \"bell-flare\"\nwall = {{ value = 0.4567, sd = 0.031, from = \"measured\" }}\ntemper = \"101 HV\"\nalloy = \"rose brass\"\n\
         [[fit]]\nid = \"first-valve\"\nclearance = {{ value = 0.0712, sd = 0.002, from = \"measured\" }}\nmoves = \"binds\"\n"
    );
    let survey = read_survey(&file).unwrap().survey;
    let all = survey.instrument.runs.iter().map(|r| Part::Run(r.id.clone()));
    let all = all.chain(survey.instrument.joints.iter().map(|j| Part::Joint(j.id.clone())));
    let all = all.chain(survey.instrument.overlays.iter().map(|o| Part::Overlay(o.id.clone())));
    let all = all.chain(survey.instrument.fits.iter().map(|f| Part::Fit(f.id.clone()))).chain([Part::Whole]);
    for part in all {
        for (seen, tablet) in [(LengthUnit::Mm, LengthUnit::Inch), (LengthUnit::Inch, LengthUnit::Mm)] {
            assert_eq!(Part::named(&part.name()).as_ref(), Some(&part));
            let shown = part.shown(&survey, seen).unwrap();
            assert_eq!(part.changed(&survey, &shown, tablet), (Some(survey.clone()), vec![]), "{}", part.name());
        }
    }
    let part = Part::named("run bell-flare").unwrap();
    assert_eq!(part.shown(&survey, LengthUnit::Mm).unwrap().text(&run::TEMPER), "101 HV");
    // The tube was taken for rose brass and is yellow: the reading is the same, what it says of the temper is not.
    let (yellow, _) = part.changed(&survey, &form(&[(&run::ALLOY, "yellow brass")]), LengthUnit::Mm);
    let as_file = read_survey(&file.replace("alloy = \"rose brass\"\n", "")).unwrap().survey;
    assert_eq!(yellow, Some(as_file));
    let (emptied, _) = part.changed(&survey, &form(&[(&run::WALL, ""), (&run::TEMPER, ""), (&run::ALLOY, "yellow brass")]), LengthUnit::Mm);
    assert_eq!(emptied.unwrap().instrument.runs, euphonium().instrument.runs);
    let pattern = part.instead(&euphonium(), &run::WALL, LengthUnit::Mm).unwrap();
    assert!(pattern.starts_with("pattern 0.6 mm to"), "{pattern}");
}

#[test]
fn the_whole_takes_a_finish_and_the_wishes() {
    let mut silver = Form::default().with(&whole::FINISH, "silver plate").with(&whole::CLEANED, "yes").with(&whole::KEEP_FINISH, "yes");
    let joint = joint_id(&euphonium());
    silver.0.insert("keep_shut".to_owned(), Given::List(vec![joint.as_str().into()]));
    silver.0.insert("keep_on".to_owned(), Given::List(vec!["bell-brace".into(), "".into()]));
    let survey = Part::Whole.changed(&euphonium(), &silver, LengthUnit::Mm).0.unwrap();
    let file = format!(
        "{}finish = \"silver plate\"\n[wishes]\nkeep_finish = true\nkeep_shut = [\"{joint}\"]\nkeep_on = [\"bell-brace\"]\n",
        HEAD.replacen('\n', "\ncleaned = true\n", 1)
    );
    assert_eq!(survey, read_survey(&file).unwrap().survey);
    // A bell that is bare stays bare when the whole gets another.
    let bare = Part::Run("bell-flare".into()).changed(&survey, &form(&[(&run::FINISH, "raw")]), LengthUnit::Mm).0.unwrap();
    let gold = Part::Whole.changed(&bare, &form(&[(&whole::FINISH, "gold plate")]), LengthUnit::Mm).0.unwrap();
    let finish = |id: &str| gold.instrument.run(&id.into()).unwrap().finish;
    assert_eq!((finish("bell-flare"), finish("bell-stem")), (Finish::Raw, Finish::GoldPlate));
    let (none, refusals) =
        Part::Whole.changed(&survey, &form(&[(&whole::KEEP_SHUT, "the front door"), (&whole::FINISH, "mud")]), LengthUnit::Mm);
    assert_eq!(none, None);
    assert_eq!(refusals.iter().map(|r| r.key.as_str()).collect::<Vec<_>>(), ["finish", "keep_shut"]);
}

#[test]
fn another_pattern_keeps_the_dents_and_names_those_without_a_tube() {
    let file = format!(
        "{HEAD}maker = \"Tessaly\"\nfinish = \"gold plate\"\n[[dent]]\nrun = \"bell-flare\"\ndepth = \"2 mm\"\n[[dent]]\nrun = \"fourth-valve-casing\"\n"
    );
    let survey = read_survey(&file).unwrap().survey;
    let (next, lost) = with_pattern(&survey, patterns::named("trumpet").unwrap());
    assert_eq!((next.instrument.kind, next.instrument.maker.as_str(), &next.dents), (Kind::Trumpet, "Tessaly", &survey.dents));
    assert_eq!(lost.iter().map(|d| d.0.as_str()).collect::<Vec<_>>(), ["d2"]);
    assert_eq!(next.instrument.run(&"bell-flare".into()).unwrap().finish, Finish::GoldPlate);
    // The pattern's own coat is the pattern's.
    let plain = with_pattern(&euphonium(), patterns::named("trumpet").unwrap()).0;
    assert_eq!(plain.instrument.runs, patterns::named("trumpet").unwrap().runs);
}

#[test]
fn what_the_sheets_say_is_written_and_read_back() {
    let mut survey = euphonium();
    for (part, fields) in SAID {
        let part = Part::named(&part.replace("receiver-leadpipe", &joint_id(&survey))).unwrap();
        survey = part.changed(&survey, &form(fields), LengthUnit::Mm).0.unwrap_or(survey);
    }
    let flare = survey.instrument.run(&"bell-flare".into()).unwrap();
    assert_eq!((flare.alloy, flare.temper.points[0].origin), (Alloy::RoseBrass, Origin::Measured));
    assert!(matches!(survey.instrument.joint(&joint_id(&survey).as_str().into()).unwrap().kind, JointKind::SilverBrazed { .. }));
    assert_eq!(read_survey(&write_survey(&survey)).unwrap().survey, survey);
}

#[test]
fn what_a_sheet_says_of_the_shape_is_said_again_as_it_was_typed_and_emptied_it_is_the_pattern_s() {
    let survey = euphonium();
    let own = |s: &Survey| s.instrument.run(&"first-branch".into()).unwrap().clone();
    let part = Part::named("run first-branch").unwrap();
    // One length alone is a straight tube, and a bare number is in the tablet's unit.
    let (straight, refusals) = part.changed(&survey, &form(&[(&run::AXIS, "10")]), LengthUnit::Inch);
    let straight = straight.unwrap_or_else(|| panic!("{refusals:?}"));
    assert!((own(&straight).length_mm() - 254.0).abs() < 1e-9);
    assert_eq!(part.shown(&straight, LengthUnit::Inch).unwrap().text(&run::AXIS), "straight 10 in");
    let (again, _) = part.changed(&straight, &form(&[(&run::AXIS, "")]), LengthUnit::Mm);
    let (again, pattern) = (own(&again.unwrap()), own(&survey));
    assert_eq!(again.axis, pattern.axis);
    assert!(again.bore_mm.points.iter().zip(&pattern.bore_mm.points).all(|(a, b)| (a.at_mm - b.at_mm).abs() < 1e-9 && a.value == b.value));
    // A line that is neither stands beside its field.
    let (none, refusals) = part.changed(&survey, &form(&[(&run::AXIS, "straight 20 mm\ncurly 30 mm")]), LengthUnit::Mm);
    assert_eq!((none, refusals[0].key.as_str()), (None, "axis"));
    let guard = Part::named("overlay bottom-bow-guard").unwrap();
    let (none, refusals) = guard.changed(&survey, &form(&[(&overlay::COVERS, "bottom-bow")]), LengthUnit::Mm);
    assert_eq!((none, refusals[0].key.as_str()), (None, "covers"));
    let (moved, _) = guard.changed(&survey, &form(&[(&overlay::COVERS, "bottom-bow: 20 mm to 150 mm")]), LengthUnit::Mm);
    let moved = moved.unwrap();
    assert_eq!(moved.instrument.overlay(&"bottom-bow-guard".into()).unwrap().covers[0].clock_deg, None);
    assert_eq!(guard.changed(&moved, &form(&[(&overlay::COVERS, "")]), LengthUnit::Mm).0, Some(survey));
}
