//! What the reader says of good surveys and of bad ones.

#![allow(clippy::panic, reason = "a test's helpers fail the test")]

use instrument::Kind;
use survey::{MAX_SURVEY_BYTES, Problem, read_survey};
use units::Origin;

const HEAD: &str = "trueround_survey = 1\n[instrument]\npattern = \"tuba\"\n";

fn problems(text: &str) -> Vec<Problem> {
    match read_survey(text) {
        Ok(read) => panic!("read without a word: {} dents, {:?}", read.survey.dents.len(), read.warnings),
        Err(problems) => problems,
    }
}

#[test]
fn a_dent_on_the_first_branch_about_four_millimetres_deep() {
    let read = read_survey(&format!("{HEAD}[[dent]]\nrun = \"first branch\"\ndepth = \"about 4 mm\"\n")).unwrap();
    let dent = &read.survey.dents[0];
    assert_eq!((dent.id.0.as_str(), dent.run.0.as_str()), ("d1", "first-branch"));
    let depth = dent.depth_mm.as_ref().unwrap();
    assert_eq!((depth.value, depth.sd, depth.origin), (4.0, 1.0, Origin::ByEye));
    assert!(dent.at_mm.is_none() && dent.clock_deg.is_none() && dent.width_along_mm.is_none());
    assert_eq!(read.survey.instrument.kind, Kind::Tuba);
}

#[test]
fn what_is_measured_goes_over_the_pattern() {
    let text = format!("{HEAD}[[run]]\nid = \"first-branch\"\nwall = \"0.55 mm\"\ntemper = \"110 HV\"\n");
    let survey = read_survey(&text).unwrap().survey;
    let run = survey.instrument.run(&"first-branch".into()).unwrap();
    assert_eq!((run.wall_at(100.0).value, run.wall_at(100.0).origin), (0.55, Origin::Measured));
    assert_eq!(run.temper_at(100.0).origin, Origin::Measured);
    assert_eq!(run.bore_at(100.0).origin, Origin::Pattern);
}

#[test]
fn bare_numbers_want_a_unit_or_the_file_s() {
    let dent = "[[dent]]\nrun = \"first-branch\"\ndepth = 0.25\n";
    let found = &problems(&format!("{HEAD}{dent}"))[0];
    assert_eq!(found.line, Some(6));
    assert!(found.what.metric().contains("no unit") && found.hint.metric().contains("in\""), "{found}");
    let survey = read_survey(&format!("trueround_survey = 1\nunits = \"in\"\n[instrument]\npattern = \"tuba\"\n{dent}")).unwrap().survey;
    assert_eq!(survey.dents[0].depth_mm.as_ref().unwrap().value, 6.35);
}

/// Each bad line of a dent, with the words that must be in what is said.
#[test]
fn every_bad_dent_is_told_with_its_line_and_its_mend() {
    for (bad, words) in [
        ("at = \"12100 mm\"", vec!["dent d7", "12100", "between 0 and"]),
        ("at = \"-40 mm\"", vec!["dent d7", "-40", "between 0 and"]),
        ("depth = \"4 furlongs\"", vec!["4 furlongs", "mm"]),
        ("depth = \"4\"", vec!["unit"]),
        ("depth = nan", vec!["not"]),
        ("depth = inf", vec!["not"]),
        ("depth = \"-4 mm\"", vec!["above zero"]),
        ("dept = \"4 mm\"", vec!["dept", "did you mean `depth`"]),
        ("depth = true", vec!["neither a text nor a number"]),
        ("clock = \"25 o'clock\"", vec!["25 o'clock", "3 o'clock"]),
        ("clock = 3", vec!["3 has no unit", "3 o'clock"]),
        ("crease = { lies = \"upwards\" }", vec!["upwards", "along"]),
        ("crease = { lie = \"along\" }", vec!["lie"]),
        ("hardness = \"soft\"", vec!["soft", "110 HV"]),
        ("pushed_in_by = \"brace-99\"", vec!["brace-99"]),
        ("profile_across = [[\"0 mm\", \"1 mm\"], [\"0 mm\", \"2 mm\"]]", vec!["rise"]),
        ("profile_across = [[\"0 mm\"]]", vec!["d7"]),
    ] {
        let text = format!("{HEAD}[[dent]]\nid = \"d7\"\nrun = \"first-branch\"\n{bad}\n");
        let found = problems(&text);
        let errors: Vec<_> = found.iter().filter(|p| !p.warning).collect();
        assert_eq!(errors[0].line, Some(7), "{bad}: {}", errors[0]);
        for word in words {
            assert!(errors[0].to_string().contains(word), "{bad}: {} lacks {word:?}", errors[0]);
        }
        assert!(!errors[0].hint.is_empty());
    }
}

#[test]
fn a_run_that_is_not_there_names_its_neighbours() {
    let found = &problems(&format!("{HEAD}[[dent]]\nrun = \"first-brnch\"\n"))[0];
    assert_eq!(found.line, Some(5));
    assert!(found.to_string().contains("first-branch"), "{found}");
}

#[test]
fn runs_that_cannot_be_are_told() {
    for (bad, line, words) in [
        ("[[run]]\nid = \"first-branch\"\nbore = \"0 mm\"", 6, "bore of 0"),
        ("[[run]]\nid = \"first-branch\"\nwall = \"-0.5 mm\"", 6, "wall of -0.5"),
        ("[[run]]\nid = \"first-branch\"\nbore = \"90 mm\"", 0, "do not meet"),
        ("[[run]]\nid = \"stray\"\nlength = \"100 mm\"\nbore = \"12 mm\"\nalloy = \"brass\"", 5, "meets nothing"),
        ("[[run]]\nid = \"frist-branch\"\nwall = \"0.5 mm\"", 5, "did you mean `first-branch`"),
        ("[[run]]\nid = \"first-branch\"\nalloy = \"tin\"", 6, "“tin”"),
        ("[[run]]\nid = \"first-branch\"\naxis = [{ bend = \"60 mm\" }]", 6, "no angle"),
        ("[[overlay]]\nid = \"g\"\nkind = \"guard\"\ncovers = [{ run = \"first-branch\", from = \"0 mm\", to = \"9000 mm\" }]", 7, "9000"),
        ("[[overlay]]\nid = \"g\"\nkind = \"guard\"\ncovers = [{ run = \"nowhere\", from = \"0 mm\", to = \"90 mm\" }]", 7, "nowhere"),
        ("[[joint]]\nid = \"j\"\nfrom = \"leadpipe up\"\nto = \"receiver end\"\nheld_by = \"slide\"", 6, "no end of a run"),
        ("[[joint]]\nid = \"j\"\nfrom = \"leadpipe end\"\nto = \"leadpipe end\"\nheld_by = \"slide\"", 5, "to itself"),
        ("[[fit]]\nid = \"f\"\nkind = \"tuning slide\"\ninner = \"a\"\nouter = \"b\"", 7, "no run “a”"),
        ("[wishes]\nkeep_shut = [\"nope\"]", 5, "nope"),
    ] {
        let found = problems(&format!("{HEAD}{bad}\n"));
        let hit = found.iter().find(|p| p.to_string().contains(words)).unwrap_or_else(|| panic!("{bad}: {}", found[0]));
        assert!(!hit.warning, "{hit}");
        if line > 0 {
            assert_eq!(hit.line, Some(line), "{hit}");
        }
    }
}

#[test]
fn many_problems_are_told_at_once() {
    let text = format!(
        "{HEAD}[[dent]]\nid = \"a\"\nrun = \"first-branch\"\ndept = \"4 mm\"\nclok = \"3:00\"\ndepth = \"4 yards\"\n\
         [[dent]]\nid = \"b\"\nrun = \"first-branch\"\nacross = 7\n[[tent]]\nid = \"c\"\n"
    );
    let lines: Vec<_> = problems(&text).iter().filter_map(|p| p.line).collect();
    assert_eq!(lines, [7, 8, 9, 13, 14]);
    // What only shows once the parts are put together is told along with what cannot be read.
    let text = format!("{HEAD}[[dent]]\nid = \"a\"\nrun = \"first-branch\"\nat = \"9000 mm\"\ndepth = \"4 yards\"\n");
    let found = problems(&text);
    assert_eq!(found.iter().map(|p| (p.line, p.warning)).collect::<Vec<_>>(), [(Some(7), false), (Some(8), false)], "{found:?}");
    assert!(found[0].what.metric().contains("9000") && !found[0].to_string().ends_with("?."));
}

#[test]
fn two_dents_of_one_name_are_told() {
    let dent = "[[dent]]\nid = \"d\"\nrun = \"first-branch\"\n";
    let found = problems(&format!("{HEAD}{dent}{dent}"));
    assert!(found.iter().any(|p| p.what.metric().contains("called “d”") && p.line.is_some()), "{found:?}");
}

#[test]
fn what_is_no_survey_is_told() {
    for (text, words) in [
        ("", "trueround_survey = 1"),
        ("<html><body>not found</body></html>", "not TOML"),
        ("PK\u{3}\u{4}", "packed file"),
        ("[instrument]\npattern = \"tuba\"\n", "trueround_survey = 1"),
        ("trueround_survey = 2\n[instrument]\npattern = \"tuba\"\n", "version"),
        ("trueround_survey = 1\n", "names no instrument"),
        ("trueround_survey = 1\n[instrument]\npattern = \"kazoo\"\n", "kazoo"),
        ("trueround_survey = 1\n[instrument]\nkind = \"tuba\"\n", "no run of tube"),
        ("trueround_survey = 1\ndent = 3\n[instrument]\npattern = \"tuba\"\n", "[[dent]]"),
    ] {
        let found = problems(text);
        assert!(found.iter().any(|p| p.to_string().contains(words)), "{text:?}: {found:?}");
    }
}

#[test]
fn an_inch_mark_in_double_quotes_has_its_own_mend() {
    let found = &problems(&format!("{HEAD}[[dent]]\nrun = \"first-branch\"\nacross = \"1 1/8\"\"\n"))[0];
    assert_eq!(found.line, Some(6));
    assert!(found.hint.metric().contains("single quotes"), "{found}");
}

#[test]
fn a_huge_file_is_refused_unread() {
    let huge = "#".repeat(MAX_SURVEY_BYTES + 1);
    assert!(problems(&huge)[0].what.metric().contains("MB"));
}

#[test]
fn a_date_may_be_toml_s_own() {
    let read = read_survey(&format!("date = 2026-06-01\n{HEAD}")).unwrap();
    assert_eq!(read.survey.date, "2026-06-01");
}

proptest::proptest! {
    #[test]
    fn no_text_panics(text in ".{0,200}") {
        let _ = read_survey(&text);
    }

    #[test]
    fn no_value_panics(key in "at|depth|clock|along|crease|crack|hardness|profile_across|wall|id|run", value in "[-0-9a-z \"'{}=\\[\\],.±/]{0,30}") {
        let _ = read_survey(&format!("{HEAD}[[dent]]\nrun = \"first-branch\"\n{key} = {value}\n"));
    }
}
