#![no_main]
#![allow(dead_code, unused_imports, reason = "of the tests' file one target is taken")]

#[path = "../../crates/store/tests/fuzz.rs"]
mod targets;

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    let _ = targets::exports(data);
});
