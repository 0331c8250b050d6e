#![no_main]
#![allow(dead_code, unused_imports, reason = "of the tests' file one target is taken")]

use std::sync::LazyLock;

#[path = "../../crates/survey/tests/fuzz.rs"]
mod targets;

static SURVEY: LazyLock<instrument::Survey> = LazyLock::new(|| fixtures::demo::read("linnet-trumpet"));

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    targets::forms(&SURVEY, data);
});
