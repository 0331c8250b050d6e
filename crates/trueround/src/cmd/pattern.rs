//! `trueround pattern`: start a survey file.

use crate::args::Pattern;
use crate::fail::{Done, Fail};
use std::io::Write;

/// Runs it.
pub fn run(a: &Pattern) -> Done {
    let known = || instrument::patterns::names().map(|n| n.replace(' ', "-")).collect::<Vec<_>>().join(", ");
    let text = survey::pattern_file_named(&survey::words::plain(&a.name)).ok_or_else(|| {
        Fail::input(format!("There is no pattern “{}”. Name one of: {}; or other, to describe the tubes yourself.", a.name, known()))
    })?;
    match &a.out {
        None => {
            anstream::print!("{text}");
            Ok(())
        }
        Some(path) => {
            let mut file =
                std::fs::File::create_new(path).map_err(|e| Fail::input(format!("{}: {e}; nothing was written", path.display())))?;
            file.write_all(text.as_bytes()).map_err(|e| Fail::file(path, e))?;
            anstream::println!(
                "{} written. Measure what its notes ask for, add the dents, then: trueround plan {} --out plan",
                path.display(),
                path.display()
            );
            Ok(())
        }
    }
}
