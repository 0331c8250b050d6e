//! The mistakes that people make in the files they write by hand, each with what must be said of it: the line, the field, the cause
//! and the cure. Line and field are held as they are typed; of the words, written for a person, those that carry cause and cure.

#![allow(clippy::panic, reason = "a test's helpers fail the test")]

use survey::{Problem, read_rack, read_rack_csv, read_shop, read_survey};

/// What must be said of a mistake: line (0: of the file as a whole), field, words of the cause, words of the cure.
type Told = (usize, &'static str, &'static str, &'static str);

const HEAD: &str = "trueround_survey = 1\n[instrument]\npattern = \"tuba\"\n";
const PROFILE: &str =
    "profile_across = [[\"-20 mm\", \"0 mm\"], [\"-9 mm\", \"2 mm\"], [\"0 mm\", \"4 mm\"], [\"9 mm\", \"2 mm\"], [\"20 mm\", \"0 mm\"]]";

fn of_survey(text: &str) -> Vec<Problem> {
    match read_survey(text) {
        Ok(read) => read.warnings,
        Err(problems) => problems,
    }
}

fn hold(name: &str, found: &[Problem], (line, field, cause, cure): Told) {
    let line = (line > 0).then_some(line);
    let hit = found.iter().find(|p| p.line == line && p.field == field && p.what.metric().contains(cause));
    let hit = hit.unwrap_or_else(|| panic!("{name}: nothing says “{cause}” of {field:?} on line {line:?}: {found:#?}"));
    assert!(hit.hint.metric().contains(cure), "{name}: “{}” does not say “{cure}”", hit.hint.metric());
}

/// A mistake within a dent, its line the seventh.
#[test]
fn of_a_dent() {
    let mistakes: &[(&str, Told)] = &[
        // Numbers and units.
        ("depth = \"1,250 mm\"", (7, "dent d7: depth", "two ways", "1250 mm or 1.250 mm")),
        ("depth = \"5 to 3 mm\"", (7, "dent d7: depth", "falls", "smaller end first")),
        ("depth = \"3-5 mm\"", (7, "dent d7: depth", "hyphen", "3 to 5 mm")),
        ("depth = \"4\"", (7, "dent d7: depth", "has no unit", "4 mm")),
        ("depth = 4", (7, "dent d7: depth", "has no unit", "\"4 mm\"")),
        ("depth = \"4 kg\"", (7, "dent d7: depth", "“kg” is no unit", "4 mm")),
        ("depth = \"40 %\"", (7, "dent d7: depth", "“%” is no unit", "4 mm")),
        ("depth = \"four mm\"", (7, "dent d7: depth", "cannot be read", "4 mm")),
        ("depth = \"\"", (7, "dent d7: depth", "cannot be read", "4 mm")),
        ("depth = \"4.5.1 mm\"", (7, "dent d7: depth", "cannot be read", "4 mm")),
        ("depth = \"3/0 in\"", (7, "dent d7: depth", "divides by zero", "under the stroke")),
        ("depth = \"1 5/4 in\"", (7, "dent d7: depth", "not below one", "5/32")),
        ("depth = \"4 ± -0.3 mm\"", (7, "dent d7: depth", "below zero", "4 ± 0.3 mm")),
        ("depth = \"-4 mm\"", (7, "dent d7: depth", "not above zero", "measure it again")),
        ("depth = \"0 mm\"", (7, "dent d7: depth", "not above zero", "measure it again")),
        ("depth = true", (7, "dent d7: depth", "neither a text nor a number", "\"11.66 mm\"")),
        ("clock = \"25 o'clock\"", (7, "dent d7: clock", "on no clock", "3 o'clock")),
        ("clock = \"13:00\"", (7, "dent d7: clock", "on no clock", "3 o'clock")),
        ("clock = \"3\"", (7, "dent d7: clock", "has no unit", "3 o'clock")),
        // Place and clock swapped.
        ("clock = \"40 mm\"", (7, "dent d7: clock", "“mm” is no unit", "3 o'clock")),
        ("at = \"3 o'clock\"", (7, "dent d7: at", "“o'clock” is no unit", "4 mm")),
        ("hardness = \"110\"", (7, "dent d7: hardness", "no hardness", "110 HV")),
        ("hardness = \"60 HRB\"", (7, "dent d7: hardness", "no hardness", "Vickers")),
        // What cannot be.
        ("at = \"12100 mm\"", (7, "dent d7: at", "lies outside", "between 0 and 694.7 mm")),
        ("depth = \"400 mm\"", (7, "dent d7: depth", "deeper than the tube is wide", "again")),
        ("across = \"500 mm\"", (7, "dent d7: across", "wider than the tube", "again")),
        ("wall = \"5 mm\"", (7, "dent d7: wall", "not possible", "between 0.05 and 4 mm")),
        ("depth = \"6 mm\"\nalong = \"1 mm\"", (8, "dent d7: along", "is a hole, not a dent", "edge to edge")),
        // Names.
        ("depht = \"4 mm\"", (7, "dent d7: depht", "no `depht`", "`depth`")),
        ("station = \"40 mm\"", (7, "dent d7: station", "no `station`", "at, clock, depth")),
        ("units = \"mm\"", (7, "dent d7: units", "no `units`", "above the first line with [ ]")),
        ("pushed_in_by = \"third-valve\"", (7, "dent d7: pushed_in_by", "not there", "brace, ferrule, guard or patch")),
        ("note = 4", (7, "dent d7: note", "bare number", "in quotes")),
        // Parts of a dent.
        ("crease = \"along\"", (7, "dent d7: crease", "neither yes nor no", "crease = { lies = …")),
        ("crease = true", (7, "dent d7: crease.lies", "missing", "how it lies")),
        ("earlier_repair = \"buffed\"", (7, "dent d7: earlier_repair", "neither yes nor no", "earlier_repair = { note")),
        ("crack = { through = \"maybe\" }", (7, "dent d7: crack.through", "neither yes nor no", "true or false")),
        (
            "profile_across = [[\"0 mm\", \"1 mm\"], [\"0 mm\", \"2 mm\"]]",
            (7, "dent d7: profile_across", "do not rise", "one edge to the other"),
        ),
        (
            "profile_across = [[\"-5 mm\", \"0 mm\"], [\"-2 mm\", \"-3 mm\"], [\"0 mm\", \"-4 mm\"], [\"2 mm\", \"-3 mm\"], [\"5 mm\", \"0 mm\"]]",
            (7, "dent d7: profile_across", "rises 4 mm above", "turn the signs round"),
        ),
        // TOML's own.
        ("depth = “4 mm”", (7, "", "curly", "straight quotes")),
        ("depth = 4 mm", (7, "", "without quotes", "depth = \"4 mm\"")),
        ("depth = \"4 mm", (7, "", "second quote is missing", "quote at the text's end")),
        ("depth = \"1 1/8\"\"", (7, "", "inch mark", "single quotes")),
        ("depth: \"4 mm\"", (7, "", "colon stands behind `depth`", "depth = \"4 mm\"")),
        ("depth \"4 mm\"", (7, "", "no `=`", "name = value")),
        ("depth = \"4 mm\"\ndepth = \"5 mm\"", (8, "", "said twice, on line 7", "[[dent]] of its own")),
        ("clock = \"3 o'clock\" along = \"8 mm\"", (7, "", "stands more", "a line of its own")),
        ("depth = \"4 mm\"\0", (7, "", "NUL", "UTF-8")),
        ("[[dent", (7, "", "brackets of this heading", "[[dent]]")),
    ];
    for (bad, told) in mistakes {
        let found = of_survey(&format!("{HEAD}[[dent]]\nid = \"d7\"\nrun = \"first-branch\"\n{bad}\n"));
        assert!(found.iter().any(|p| !p.warning), "{bad}: it is taken as it is");
        hold(bad, &found, *told);
        // The same file saved on another system: the same line.
        let crlf = of_survey(&format!("{HEAD}[[dent]]\nid = \"d7\"\nrun = \"first-branch\"\n{bad}\n").replace('\n', "\r\n"));
        hold(bad, &crlf, *told);
    }
}

#[test]
fn of_a_survey() {
    let dent = "[[dent]]\nid = \"d7\"\nrun = \"first-branch\"\n";
    let mistakes: &[(&str, String, Told)] = &[
        ("an empty file", String::new(), (1, "", "empty", "trueround_survey = 1")),
        ("JSON", "{\"trueround_survey\": 1}".into(), (1, "", "JSON", "name = value")),
        ("a table", "id,run,depth\nd1,first-branch,4 mm\n".into(), (1, "", "row of a table", "name = value")),
        ("old line ends", HEAD.replace('\n', "\r"), (1, "", "carriage return", "CR LF")),
        ("a spreadsheet", "PK\u{3}\u{4}\u{14}".into(), (1, "", "packed file", "plain text")),
        ("no version", "[instrument]\npattern = \"tuba\"\n".into(), (1, "trueround_survey", "does not say", "trueround_survey = 1")),
        ("another version", HEAD.replace("= 1", "= 2"), (1, "trueround_survey", "version", "trueround_survey = 1")),
        ("31 February", format!("date = \"2026-02-31\"\n{HEAD}"), (1, "date", "no day", "2026-11-27")),
        ("31 February, TOML's own", format!("date = 2026-02-31\n{HEAD}"), (1, "", "no day", "2026-11-27")),
        ("a date the other way", format!("date = \"11/20/2026\"\n{HEAD}"), (1, "date", "no day", "2026-11-27")),
        ("units in centimetres", format!("units = \"cm\"\n{HEAD}"), (1, "units", "“cm”", "\"mm\"")),
        ("yes for true", format!("cleaned = \"yes\"\n{HEAD}"), (1, "cleaned", "the text \"yes\"", "true or false")),
        ("units too late", format!("{HEAD}units = \"mm\"\n"), (4, "instrument: units", "no `units`", "move it up")),
        ("a pattern that is none", HEAD.replace("tuba", "tubba"), (3, "instrument: pattern", "tubba", "did you mean \"tuba\"")),
        ("no pattern", "trueround_survey = 1\n[instrument]\nmaker = \"x\"\n".into(), (2, "run", "no run of tube", "name a pattern")),
        ("a worth in words", format!("{HEAD}value = \"3800 dollars\"\n"), (4, "instrument: value", "“dollars”", "$1,250.00")),
        ("a worth with a comma", format!("{HEAD}value = \"$38,50\"\n"), (4, "instrument: value", "comma", "$38.50")),
        ("a bare worth", format!("{HEAD}value = 3800\n"), (4, "instrument: value", "the number 3800", "\"$3800\"")),
        ("a finish misspelt", format!("{HEAD}finish = \"laquer\"\n"), (4, "instrument: finish", "laquer", "did you mean \"lacquer\"")),
        ("one bracket", format!("{HEAD}[dent]\nrun = \"first-branch\"\n"), (4, "dent", "not a list", "[[dent]]")),
        ("a list misspelt", format!("{HEAD}[[dents]]\nrun = \"first-branch\"\n"), (4, "dents", "no `dents`", "`dent`")),
        ("two of one name", format!("{HEAD}{dent}{dent}"), (8, "dent d7", "called “d7”", "id of its own")),
        ("an empty name", format!("{HEAD}[[dent]]\nid = \"\"\nrun = \"first-branch\"\n"), (5, "dent", "empty id", "leave `id` out")),
        ("no run", format!("{HEAD}[[dent]]\nid = \"d7\"\n"), (4, "dent d7: run", "missing", "`run`")),
        (
            "depth beside profile",
            format!("{HEAD}{dent}depth = \"1 mm\"\n{PROFILE}\n"),
            (7, "dent d7: depth", "goes down 4 mm", "which is right"),
        ),
        (
            "a brace on no run",
            format!(
                "{HEAD}[[overlay]]\nid = \"b9\"\nkind = \"brace\"\ncovers = [{{ run = \"frist-branch\", from = \"1 mm\", to = \"9 mm\" }}]\n"
            ),
            (7, "[[overlay]] b9 (brace, ferrule, guard or patch): covers", "frist-branch", "first-branch"),
        ),
        (
            "a brace backwards",
            format!(
                "{HEAD}[[overlay]]\nid = \"b9\"\nkind = \"brace\"\ncovers = [{{ run = \"first-branch\", from = \"9 mm\", to = \"1 mm\" }}]\n"
            ),
            (7, "[[overlay]] b9 (brace, ferrule, guard or patch): covers", "9 to 1 mm", "rising distances"),
        ),
        (
            "a joint to no run",
            format!("{HEAD}[[joint]]\nid = \"j9\"\nfrom = \"frist-branch end\"\nto = \"small-bow start\"\nheld_by = \"slide\"\n"),
            (6, "joint j9: from", "frist-branch", "first-branch"),
        ),
        (
            "a glued joint",
            format!("{HEAD}[[joint]]\nid = \"j9\"\nfrom = \"first-branch end\"\nto = \"small-bow start\"\nheld_by = \"glue\"\n"),
            (8, "joint j9: held_by", "glue", "soft solder"),
        ),
        (
            "a fit of no run",
            format!("{HEAD}[[fit]]\nid = \"f9\"\nkind = \"tuning slide\"\ninner = \"x\"\nouter = \"receiver\"\n"),
            (7, "fit f9: inner", "no run “x”", "name one of"),
        ),
        (
            "a wall in inches",
            format!("{HEAD}[[run]]\nid = \"first-branch\"\nwall = \"0.5 in\"\n"),
            (6, "run first-branch: wall", "12.7 mm is not possible", "unit"),
        ),
        (
            "no length",
            format!("{HEAD}[[run]]\nid = \"first-branch\"\naxis = [{{ straight = \"-20 mm\" }}]\n"),
            (6, "run first-branch: axis", "no length", "axis"),
        ),
        ("a wish for no joint", format!("{HEAD}[wishes]\nkeep_shut = [\"nope\"]\n"), (5, "wishes: keep_shut", "nope", "joint")),
        (
            "stations backwards",
            format!("{HEAD}[[condition]]\nid = \"c\"\nkind = \"red rot\"\nrun = \"first-branch\"\nfrom = \"80 mm\"\nto = \"20 mm\"\n"),
            (8, "condition c: from", "lies behind", "nearer the mouthpiece end first"),
        ),
        (
            "a kind misspelt",
            format!("{HEAD}[[condition]]\nid = \"c\"\nkind = \"redrot\"\nrun = \"first-branch\"\n"),
            (6, "condition c: kind", "redrot", "did you mean \"red rot\""),
        ),
        ("no damage", HEAD.into(), (0, "dent", "nothing to plan", "[[dent]]")),
    ];
    for (name, text, told) in mistakes {
        hold(name, &of_survey(text), *told);
    }
}

/// A mistake is told although there is another, in the same dent or elsewhere.
#[test]
fn none_hides_another() {
    let text =
        format!("{HEAD}[[dent]]\nid = \"d7\"\nrun = \"frist-branch\"\ndepth = \"-4 mm\"\nclock = \"25 o'clock\"\nalong = \"0 mm\"\n");
    let found = of_survey(&text);
    assert_eq!(found.iter().filter_map(|p| p.line).collect::<Vec<_>>(), [6, 7, 8, 9], "{found:#?}");
    // A wrong pattern, a wrong wall, a wrong worth: the dent's depth is told all the same.
    for other in [
        "[instrument]\npattern = \"tubba\"\n",
        "[instrument]\npattern = \"tuba\"\nvalue = 3800\n[[run]]\nid = \"leadpipe\"\nwall = \"9 mm\"\n",
    ] {
        let text = format!("trueround_survey = 1\n{other}[[dent]]\nid = \"d7\"\nrun = \"leadpipe\"\ndepth = \"-4 mm\"\n{PROFILE}\n");
        let found = of_survey(&text);
        assert!(found.iter().any(|p| p.field == "dent d7: depth" && !p.warning), "{found:#?}");
        assert!(found.iter().filter(|p| !p.warning).count() >= 2, "{found:#?}");
    }
    // A run without a length is told once, not again by everything that lies on it.
    let found = of_survey(&format!("{HEAD}[[run]]\nid = \"first-branch\"\naxis = [{{ straight = \"-20 mm\" }}]\n"));
    assert!(found.iter().all(|p| p.field == "run first-branch: axis"), "{found:#?}");
}

#[test]
fn of_a_rack() {
    let head = "id,kind,diameter (mm),length (mm)\n";
    let mistakes: &[(&str, String, Told)] = &[
        ("an empty file", String::new(), (1, "", "empty", "id,name,place,kind")),
        ("a spreadsheet", "PK\u{3}\u{4}".into(), (1, "", "packed file", "CSV")),
        ("a rack in TOML", "trueround_rack = 1\n[[tool]]\n".into(), (1, "", "TOML", ".toml")),
        ("a NUL", format!("{head}b\0,ball,6,\n"), (2, "", "NUL", "UTF-8")),
        ("a column renamed", "id,type,diameter\nb,ball,6 mm\n".into(), (1, "type", "no column `type`", "`kind`")),
        ("a column cut short", "id,kind,dia\nb,ball,6 mm\n".into(), (1, "dia", "no column `dia`", "`diameter`")),
        ("a column that lacks", "id,diameter (mm)\nb,6\n".into(), (1, "kind", "no column `kind`", "every tool")),
        ("a column twice", "id,kind,diameter,diameter\nb,ball,6 mm,7 mm\n".into(), (1, "diameter", "two columns", "take one")),
        ("a column in kilograms", "id,kind,diameter (kg)\nb,ball,6\n".into(), (2, "tool b: diameter", "“kg”", "11.66 mm")),
        ("no unit", "id,kind,diameter\nb,ball,6\n".into(), (2, "tool b: diameter", "no unit", "11.66 mm")),
        ("a decimal comma", format!("{head}r,straight rod,6,5,400\n"), (2, "", "5 cells, the header 4", "decimal comma")),
        (
            "a comma that may be either",
            format!("{head}r,straight rod,6,\"1,250\"\n"),
            (2, "tool r: length", "two ways", "1250 mm or 1.250 mm"),
        ),
        ("a quote not closed", "id,kind,diameter\nb,ball,\"6 mm\nc,ball,7 mm\n".into(), (2, "", "not closed", "close the quote")),
        ("a rod turned round", format!("{head}r,straight rod,400,6\n"), (2, "tool r: diameter", "thicker than it is long", "swapped")),
        ("a size below zero", format!("{head}r,straight rod,-6,400\n"), (2, "tool r: diameter", "-6 mm is not possible", "above zero")),
        (
            "a set turned round",
            "id,kind,smallest,largest,step\nb,ball set,40 mm,10 mm,1 mm\n".into(),
            (2, "tool b: smallest", "larger than its largest", "swap"),
        ),
        (
            "a step past the end",
            "id,kind,smallest,largest,step\nb,ball set,10 mm,40 mm,50 mm\n".into(),
            (2, "tool b: step", "past the largest", "one ball to the next"),
        ),
        ("a force without unit", "id,kind,length,limit\nc,cable,2 m,600\n".into(), (2, "tool c: limit", "no unit", "300 N")),
        ("two of one name", "id,kind,diameter\nb,ball,6 mm\nb,ball,7 mm\n".into(), (3, "tool b: id", "another tool", "name of its own")),
        ("a kind misspelt", "id,kind,diameter\nb,bal,6 mm\n".into(), (2, "tool b: kind", "“bal”", "\"ball\"")),
        ("31 November", "id,kind,diameter,away_until\nb,ball,6 mm,2026-11-31\n".into(), (2, "tool b: away_until", "no day", "2026-11-27")),
        (
            "worn away",
            "id,kind,diameter,wear\nb,ball,6 mm,6 mm\n".into(),
            (2, "tool b: diameter", "nothing of 6 mm is left", "what was lost"),
        ),
    ];
    for (name, text, told) in mistakes {
        hold(name, &read_rack_csv(text).1, *told);
        hold(name, &read_rack_csv(&text.replace('\n', "\r\n")).1, *told);
    }
    // Cells parted by semicolons, with decimal commas, as spreadsheets of half the world save them, or by tabs: read as they are.
    for (sign, comma) in [(";", ","), ("\t", "."), (",", ".")] {
        let text = format!("\u{feff}id,kind,diameter (mm),length (mm)\nr,straight rod,8{comma}5,400\n");
        let text = text.replacen(',', "\u{1}", 3).replace("r,straight rod,8", "r\u{1}straight rod\u{1}8").replace("5,400", "5\u{1}400");
        let (rack, problems) = read_rack_csv(&text.replace('\u{1}', sign));
        assert_eq!((rack.tools.len(), problems.as_slice()), (1, &[][..]), "{sign:?}");
    }
    let in_toml: &[(&str, Told)] = &[
        ("id,kind\nb,ball\n", (2, "", "row of a table", "name = value")),
        ("[[tool]]\nid = \"b\"\nkind = \"ball\"\ndiameter = 4\n", (5, "tool b: diameter", "no unit", "\"4 mm\"")),
    ];
    for (text, told) in in_toml {
        hold(text, &read_rack(&format!("trueround_rack = 1\n{text}")).1, *told);
    }
}

#[test]
fn of_a_shop() {
    let mistakes: &[(&str, Told)] = &[
        ("labour_per_hour = 85", (2, "labour_per_hour", "the number 85", "\"$85\"")),
        ("labour_per_hour = \"85 dollars\"", (2, "labour_per_hour", "“dollars”", "$1,250.00")),
        ("labour_per_hour = \"85,50\"", (2, "labour_per_hour", "comma", "85.50")),
        ("labour_per_hour = \"-85\"", (2, "labour_per_hour", "below zero", "1250")),
        ("labour_per_hour = \"0\"", (2, "labour_per_hour", "costs nothing", "$85")),
        ("labor_per_hour = \"$85\"", (2, "labor_per_hour", "no `labor_per_hour`", "`labour_per_hour`")),
        ("minimum_charge = \"$40", (2, "", "second quote is missing", "quote at the text's end")),
        ("currency = \"dollars\"", (2, "currency", "no sign", "\"$\"")),
        ("charged_at = 80", (2, "charged_at", "“80” is not a part", "\"80 %\"")),
        ("charged_at = \"80\"", (2, "charged_at", "“80” is not a part", "\"80 %\"")),
        ("telephone = \"call us\"", (2, "telephone", "no telephone number", "dial")),
        ("email = \"bench at example\"", (2, "email", "no e-mail address", "bench@example.org")),
        ("prices = \"firm\"", (2, "prices", "says nothing of a price", "\"estimate\"")),
        ("label_address = \"bench/tags\"", (2, "label_address", "no address of this program", "https://")),
        ("address = [\"a\", \"b\", \"c\", \"d\", \"e\"]", (2, "address", "at most 4 lines", "Saltmarsh")),
        ("valid_days = -3", (2, "valid_days", "can stand here", "zero or more")),
        ("[tax]\nparts = \"7.25\"", (3, "tax.parts", "“7.25” is not a part", "\"7.25 %\"")),
        ("[minutes]\nclean = [5, 9, 20]", (3, "minutes.clean", "the number 5", "\"5 min\"")),
        ("[minutes]\nclean = [\"5\", \"9\", \"20\"]", (3, "minutes.clean", "no unit", "45 min")),
        ("[minutes]\nclean = [\"20 min\", \"9 min\", \"5 min\"]", (3, "minutes.clean", "do not rise", "if all goes well")),
        ("[minutes]\nclean = \"9 min\"", (3, "minutes.clean", "the text", "a list of 3")),
        ("[replacement]\nleadpipe = 95", (3, "replacement.leadpipe", "the number 95", "\"$95\"")),
        ("[replacement]\nleadpipe = \"-95\"", (3, "replacement.leadpipe", "below zero", "1250")),
        ("[opening.ferrule]\nopen = [\"1 min\", \"2 min\", \"3 min\"]", (2, "opening.ferrule", "`close` is missing", "close = …")),
    ];
    for (bad, told) in mistakes {
        hold(bad, &read_shop(&format!("trueround_shop = 1\n{bad}\n")).1, *told);
    }
    let (shop, problems) = read_shop("trueround_shop = 1\ncharged_at = \"80 percent\"\n[tax]\nparts = \"7,25 %\"\n");
    assert!(problems.iter().all(|p| p.warning), "{problems:?}");
    assert_eq!((shop.charged_at, shop.tax_on_parts.to_string().as_str()), (0.8, "0.0725"));
    // Where the shop is found is left out without a word, and read without its blanks.
    assert!(shop.contact.lines().is_empty() && shop.label_address.is_empty() && shop.prices == quote::Prices::Fixed);
    let found = "address = [\" 12 Lane \", \"\"]\ntelephone = \"555 0142\"\nemail = \"a@b.example\"\nprices = \"estimate\"\nlabel_address = \"https://b.example/\"";
    let (shop, problems) = read_shop(&format!("trueround_shop = 1\n{found}\n"));
    assert!(problems.iter().all(|p| p.warning), "{problems:?}");
    assert_eq!(shop.contact.lines(), ["12 Lane", "555 0142", "a@b.example"]);
    assert_eq!((shop.prices, shop.label_address.as_str()), (quote::Prices::Estimate, "https://b.example"));
}

#[test]
fn a_file_in_another_writing_is_told_with_its_line() {
    for (bytes, line, cause) in
        [(&b"trueround_survey = 1\n# 180\xb0\n"[..], 2, "not written in UTF-8"), (&b"\xff\xfet\0r\0"[..], 1, "UTF-16")]
    {
        let problem = survey::text_of(bytes).unwrap_err();
        hold("bytes", &[problem], (line, "", cause, "UTF-8"));
    }
    assert_eq!(survey::text_of("180°".as_bytes()), Ok("180°"));
}

/// A quarter of a megabyte of strange keys, in each kind of file: the first two hundred are told with their lines, the rest are counted.
#[test]
fn of_a_flood_of_mistakes_the_first_are_told() {
    let keys: String = (0..33_000).map(|i| format!("a{i} = 1\n")).collect();
    let of_survey = |head: &str| survey::read_survey(&format!("{head}{keys}")).unwrap_err();
    let all = [
        of_survey("trueround_survey = 1\n[instrument]\npattern = \"trumpet\"\n"),
        of_survey("trueround_survey = 1\n[instrument]\npattern = \"trumpet\"\n[[dent]]\nid = \"a\"\nrun = \"bell-bow\"\n"),
        survey::read_rack(&format!("trueround_rack = 1\n{keys}")).1,
        survey::read_rack(&format!("trueround_rack = 1\n[[tool]]\nid = \"a\"\n{keys}")).1,
        survey::read_shop(&format!("trueround_shop = 1\n{keys}")).1,
        survey::read_shop(&format!("trueround_shop = 1\n[minutes]\n{keys}")).1,
    ];
    for problems in all {
        assert_eq!(problems.len(), 201);
        let last = problems.last().unwrap();
        assert!(last.what.metric().contains("more problems are not told") && !last.warning, "{last}");
        assert!(problems[..200].iter().filter(|p| p.line.is_some()).count() >= 199);
    }
}
