//! What is wrong with a text that is no TOML, in the words of whoever typed it. Judged by the line itself, so that nothing has to
//! be made out of a library's error message.

use crate::problem::Wrong;

/// How any line is to be written.
const EVERY_LINE: &str =
    "write every line as `name = value`, texts in quotes, lists in [ ]; `trueround pattern NAME` writes a whole file to start from";

/// What is wrong with a file as a whole; none where it may be what begins with `first_line`.
pub(crate) fn of_file(text: &str, first_line: &str) -> Option<(usize, Wrong)> {
    let start = text.trim_start_matches('\u{feff}').trim_start();
    if start.is_empty() {
        return Some((0, Wrong::new("the file is empty", format!("begin it with the line `{first_line}`"))));
    }
    if start.starts_with("PK\u{3}\u{4}") {
        return Some((0, Wrong::new("this is a packed file, a spreadsheet or a document", "save it as plain text, a table as CSV")));
    }
    if let Some(at) = text.find('\0') {
        return Some((
            at,
            Wrong::new("here stands a NUL, which is no text", "save the file as plain text in UTF-8, or take this sign out"),
        ));
    }
    let lone_cr = text.contains('\r') && !text.contains('\n');
    lone_cr.then(|| (0, Wrong::new("its lines end in a bare carriage return", "save it with the usual line ends, LF or CR LF")))
}

/// What is wrong with a line that is no TOML; `said` is what the parser says of it.
pub(crate) fn of_line(text: &str, number: usize, said: &str) -> Wrong {
    let line = text.lines().nth(number.saturating_sub(1)).unwrap_or_default();
    let bare = line.trim();
    let curly = ['“', '”', '„', '‘', '’'];
    let value = bare.split_once('=').map(|(_, v)| v.trim());
    // Curly signs within straight quotes harm nobody.
    if bare.contains(curly) && value.is_none_or(|v| v.starts_with(curly)) {
        return Wrong::new("the quotes here are curly ones, as a word processor sets them", "use straight quotes, like \"4 mm\"");
    }
    if bare.starts_with(['{', '<']) {
        return Wrong::new("this is not TOML; it looks like JSON or a web page", EVERY_LINE);
    }
    if let Some(v) = value.filter(|v| v.starts_with('"') && v.matches('"').count() % 2 == 1) {
        let inch = v.trim_end().ends_with("\"\"") || v.trim_end_matches(']').trim_end().ends_with("\"\"");
        return if inch {
            Wrong::new("an inch mark ends a text in double quotes too early", "write 1 1/8 in, or put it in single quotes, '1 1/8\"'")
        } else {
            Wrong::new(
                "a text is not closed: its second quote is missing",
                "put a quote at the text's end, on the same line; for an inch mark write in",
            )
        };
    }
    if value.is_some_and(|v| v.starts_with('\'') && v.matches('\'').count() % 2 == 1) {
        return Wrong::new("a text is not closed: its second quote is missing", "put a quote at the text's end, on the same line");
    }
    if bare.starts_with('[') && value.is_none() {
        let (open, close) = (bare.matches('[').count(), bare.matches(']').count());
        if open != close {
            return Wrong::new("the brackets of this heading do not match", "write [[dent]] for each of a list, [instrument] for the one");
        }
        return Wrong::new(format!("this heading cannot stand here ({said})"), EVERY_LINE);
    }
    let Some(value) = value else {
        if let Some((name, after)) = bare.split_once(':').filter(|(name, _)| is_key(name.trim())) {
            let after = after.trim();
            return Wrong::new(format!("a colon stands behind `{}`", name.trim()), format!("write {} = {after}", name.trim()));
        }
        if bare.contains([',', ';']) {
            return Wrong::new("this line is no `name = value`; it looks like a row of a table", EVERY_LINE);
        }
        return Wrong::new("this line has no `=`", EVERY_LINE);
    };
    let key = bare.split('=').next().unwrap_or_default().trim();
    let before = text.lines().take(number.saturating_sub(1)).collect::<Vec<_>>();
    let same = before
        .iter()
        .rev()
        .take_while(|l| !l.trim_start().starts_with('['))
        .position(|l| l.split_once('=').is_some_and(|(k, _)| k.trim() == key));
    if let Some(back) = same {
        return Wrong::new(
            format!("`{key}` is said twice, on line {} and here", number - 1 - back),
            "take one of the two out; a second dent begins with a [[dent]] of its own",
        );
    }
    if !is_key(key) {
        return Wrong::new(format!("“{key}” cannot be a name"), "names are written with letters, digits, _ and -, without spaces");
    }
    let day = value.get(..10).filter(|d| d.bytes().enumerate().all(|(i, b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() }));
    if let Some(day) = day {
        return no_day(day);
    }
    let rest = after_text(value);
    if let Some(rest) = rest.filter(|r| !r.is_empty() && !r.starts_with('#')) {
        return Wrong::new(
            format!("behind the value of `{key}` stands more: {}", rest.chars().take(30).collect::<String>()),
            "begin each `name = value` on a line of its own; a note begins with #",
        );
    }
    if value.is_empty() {
        return Wrong::new(format!("`{key}` has no value"), "write it behind the =, or take the line out where nobody measured it");
    }
    if !value.starts_with(['"', '\'', '[', '{']) {
        return Wrong::new(format!("the value of `{key}` stands without quotes"), format!("write {key} = \"{}\"", value.trim_matches('"')));
    }
    if value.matches(['[', '{']).count() != value.matches([']', '}']).count() {
        return Wrong::new(format!("the brackets behind `{key}` do not match"), "close every [ with ] and every { with }");
    }
    Wrong::new(format!("this is not TOML: {said}"), EVERY_LINE)
}

/// That a day of the calendar is none.
pub(crate) fn no_day(text: &str) -> Wrong {
    Wrong::new(format!("“{text}” is no day of the calendar"), "write year, month and day, like \"2026-11-27\"")
}

fn is_key(name: &str) -> bool {
    !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.' | '"'))
}

/// What stands behind a text in straight quotes.
fn after_text(value: &str) -> Option<&str> {
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    let end = value[1..].find(quote)? + 2;
    Some(value[end..].trim())
}
