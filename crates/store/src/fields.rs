//! What a field of the record may hold, whoever brings it: an import and a restored backup are checked as what a person types is.
//! Roles, states and ways to pay are checked by the database itself (CHECK).

use serde_json::Value;

/// Most bytes of a JSON body, and of a file's text.
const MOST_BODY: usize = 8 * 1024 * 1024;
/// Most characters of a longer text, and of a name.
const MOST_TEXT: usize = 20_000;
const MOST_NAME: usize = 500;
/// Most bytes of a signature's strokes: as the customer's page takes.
const MOST_STROKES: usize = 24_000;

/// What is wrong with a field.
///
/// # Errors
/// What it is, in words.
pub(crate) fn check(table: &str, field: &str, value: &Value) -> Result<(), String> {
    let text = match value {
        Value::String(text) => text.as_str(),
        Value::Number(n) if n.is_i64() || (n.as_f64().is_some_and(f64::is_finite) && !n.is_u64()) => return Ok(()),
        Value::Number(_) => return Err(format!("{field} is no number that fits")),
        Value::Null | Value::Bool(_) => return Ok(()),
        Value::Array(_) | Value::Object(_) => return Err(format!("{field} must be text, not a structure")),
    };
    let fine = match (table, field) {
        (_, "hash")
        | ("agreements", "plan" | "paper")
        | ("contracts", "head" | "instruments" | "dents" | "done")
        | ("contract_plans", "plan" | "problem")
        | ("journal_chain", "line" | "content") => crate::photos::is_hash(text),
        ("photos", "media") => matches!(text, "image/jpeg" | "image/png" | "image/webp"),
        (_, "media") => text.len() <= 100 && text.bytes().all(|b| b.is_ascii_graphic() || b == b' '),
        // The customer's own tag, as their table has it.
        ("contract_jobs", "tag" | "bench") => text.chars().count() <= MOST_NAME && !text.chars().any(char::is_control),
        (_, "tag") => (1..=20).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'-'),
        (_, "due" | "valid_until") => is_day(text),
        (_, "value") if table == "instruments" => is_amount(text),
        // Below zero it would be charged on top of what was agreed.
        ("reductions", "amount") => is_amount(text) && !text.starts_with('-'),
        ("job_terms" | "customer_terms", "discount") => {
            text.is_empty() || is_amount(text.strip_suffix(" %").unwrap_or(text)) && !text.starts_with('-')
        }
        (_, "total" | "amount") | ("contract_jobs", "price") => is_amount(text),
        (_, "level" | "chosen") => (1..=40).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_lowercase() || b == b'_'),
        (_, "link_hash" | "answered_text" | "answered_paper") => crate::photos::is_hash(text),
        (_, "link_sealed") => text.len() <= 1000 && text.bytes().all(|b| b.is_ascii_hexdigit()),
        (_, "login") => (1..=64).contains(&text.len()) && !text.chars().any(char::is_control),
        (_, "signature") => {
            text.len() <= MOST_STROKES && text.bytes().all(|b| matches!(b, b'M' | b'L' | b' ' | b'.' | b',' | b'-' | b'0'..=b'9'))
        }
        ("contents", "body") => text.bytes().all(|b| b.is_ascii_hexdigit()),
        (_, "body" | "made_from" | "before" | "after" | "lines" | "answer")
        | ("let_go", "what")
        | ("contract_jobs", "tools")
        | ("jobs", "asked") => is_json(text),
        ("steps", "timed_by") => text.is_empty() || is_json(text),
        ("settings", "value") => text.len() <= MOST_BODY,
        ("journal", "who" | "record")
        | (
            _,
            "key" | "name" | "title" | "maker" | "model" | "serial" | "asset" | "phone" | "email" | "answered_from" | "answered_with"
            | "answered_under",
        ) => text.chars().count() <= MOST_NAME && !text.chars().any(char::is_control),
        _ => text.chars().count() <= MOST_TEXT && !text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t')),
    };
    if fine { Ok(()) } else { Err(format!("{field} holds what it never may: {}", shortened(text))) }
}

fn shortened(text: &str) -> String {
    let short: String = text.chars().take(60).flat_map(char::escape_default).collect();
    if text.chars().nth(60).is_some() { format!("“{short}…”") } else { format!("“{short}”") }
}

fn is_json(text: &str) -> bool {
    text.len() <= MOST_BODY && serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok()
}

/// An ISO 8601 day, as far as its digits go.
fn is_day(text: &str) -> bool {
    let b = text.as_bytes();
    let digits = |r: std::ops::Range<usize>| b.get(r).is_some_and(|d| d.iter().all(u8::is_ascii_digit));
    let two = |at: usize| b.get(at..at + 2).map_or(0, |d| (d[0].wrapping_sub(b'0')) * 10 + d[1].wrapping_sub(b'0'));
    b.len() == 10
        && digits(0..4)
        && digits(5..7)
        && digits(8..10)
        && (b[4], b[7]) == (b'-', b'-')
        && (1..=12).contains(&two(5))
        && (1..=31).contains(&two(8))
}

/// An exact decimal.
fn is_amount(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    let fine = |d: &str, most: usize| (1..=most).contains(&d.len()) && d.bytes().all(|b| b.is_ascii_digit());
    fine(whole, 15) && fine(part, 20)
}

#[cfg(test)]
mod tests {
    use super::check;
    use serde_json::{Value, json};

    fn fine(table: &str, field: &str, value: Value) -> bool {
        check(table, field, &value).is_ok()
    }

    #[test]
    fn a_field_holds_what_it_may_and_nothing_else() {
        let hash = "0".repeat(63) + "a";
        for (table, field, good, bad) in [
            ("photos", "hash", json!(hash), json!("../../../../etc/passwd")),
            ("photos", "hash", json!(hash), json!("A".repeat(64))),
            ("photos", "media", json!("image/png"), json!("text/html")),
            ("instruments", "tag", json!("T00001"), json!("T1\"><script>")),
            ("instruments", "value", json!("3800.00"), json!("1e9")),
            ("jobs", "due", json!("2026-12-01"), json!("2026-13-01")),
            ("jobs", "title", json!("Fell down"), json!("Fell\u{0}down")),
            ("jobs", "words", json!("It fell.\nTwice."), json!("x".repeat(20_001))),
            ("surveys", "body", json!("{\"a\":1}"), json!("{\"a\":")),
            ("quotes", "signature", json!("M1 2L3.5,-4"), json!("M1 2\"/><script>")),
            ("quotes", "link_hash", json!(hash), json!("a-link-in-plain")),
            ("quotes", "link_sealed", json!("00ff"), json!("a/b")),
            ("quotes", "answered_with", json!("A browser/1.0"), json!("A\nbrowser")),
            ("people", "login", json!("ottilie"), json!("o".repeat(65))),
            ("payments", "amount", json!("200.00"), json!("")),
            ("reductions", "amount", json!("40.00"), json!("-40.00")),
            ("job_terms", "discount", json!("12.5 %"), json!("-12.5 %")),
            ("customer_terms", "discount", json!("25"), json!("much")),
            ("jobs", "received_at", json!(1_800_000_000), json!(u64::MAX)),
            ("jobs", "title", json!(null), json!({"a": 1})),
            ("let_go", "what", json!("[]"), json!("no JSON")),
            ("steps", "timed_by", json!(""), json!("no JSON")),
            ("contracts", "dents", json!(hash), json!("tag,where")),
            ("contract_plans", "problem", json!(hash), json!("{}")),
            ("contract_jobs", "tag", json!("horn no. 7"), json!("horn\n7")),
            ("contract_jobs", "price", json!("85"), json!("dear")),
            ("contract_jobs", "tools", json!("[]"), json!("a ball")),
            ("jobs", "asked", json!("[\"clean_inside\"]"), json!("cleaning")),
            ("contract_plans", "made_from", json!("{}"), json!("no JSON")),
        ] {
            assert!(fine(table, field, good.clone()), "{table}.{field} {good}");
            assert!(!fine(table, field, bad.clone()), "{table}.{field} {bad}");
        }
    }
}
