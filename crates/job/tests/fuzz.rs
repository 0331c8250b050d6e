//! Whatever a survey says that is taken at all, it is worked out: no panic, no hang, and its plan and quote read back from JSON as they
//! were written, as an agreement keeps them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::demo::text;
use fixtures::fuzz;
use std::time::Duration;

const SMALL: &str = "trueround_survey = 1
[instrument]
pattern = \"bugle\"
[[dent]]
id = \"d1\"
run = \"bell-stem\"
at = \"50 mm\"
clock = \"90 deg\"
depth = \"2 mm\"
length = \"20 mm\"
width = \"12 mm\"
[[dent]]
id = \"d2\"
run = \"bell-stem\"
at = \"200 mm\"
depth = \"1/8 in\"
";

const WORDS: &[&[u8]] = &[
    b"depth = \"0 mm\"\n",
    b"depth = \"40 mm\"\n",
    b"at = \"0 mm\"\n",
    b"at = \"1 mm\"\n",
    b"crack = true\n",
    b"length = \"1 mm\"\n",
    b"width = \"300 mm\"\n",
    b"pattern = \"tuba\"\n",
    b"pattern = \"trumpet\"\n",
    b"wall = \"0.01 mm\"\n",
    b"wall = \"9 mm\"\n",
    b"alloy = \"nickel silver\"\n",
];

/// Whether it was worked out.
pub(crate) fn worked_out(input: &[u8]) -> bool {
    let Ok(read) = survey::read_survey(&String::from_utf8_lossy(input)) else { return false };
    let job = worked(read.survey);
    let plan = serde_json::to_string(&job.plan).unwrap();
    let back: plan::Plan = serde_json::from_str(&plan).unwrap();
    assert_eq!(serde_json::to_string(&back).unwrap(), plan);
    let quote = serde_json::to_string(&job.quote).unwrap();
    let back: quote::Quote = serde_json::from_str(&quote).unwrap();
    assert_eq!(serde_json::to_string(&back).unwrap(), quote);
    assert!(!plan.contains("NaN") && !quote.contains("NaN"));
    for offer in &job.quote.offers {
        assert!(offer.bill.total.is_sign_positive(), "an offer below nothing: {}", offer.bill.total);
    }
    true
}

#[test]
fn every_survey_that_is_taken_is_worked_out() {
    let corpus: Vec<Vec<u8>> =
        [SMALL.to_owned(), text("barely-measured.survey.toml"), text("leadpipe-red-rot.survey.toml")].map(String::into_bytes).to_vec();
    let taken = std::cell::Cell::new(0_u32);
    fuzz::run("worked-out", &corpus, WORDS, Duration::from_secs(60), |input| taken.set(taken.get() + u32::from(worked_out(input))));
    println!("{} surveys were worked out", taken.get());
}
