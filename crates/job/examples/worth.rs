//! What is worth measuring on a survey, and how long it takes to say so: `cargo run -p job --release --example worth -- CASE`.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

use plan::Overrules;
use std::time::Instant;

fn main() {
    let (rack, shop) = fixtures::demo::rack_and_shop();
    for path in std::env::args().skip(1) {
        let survey = survey::read_survey(&std::fs::read_to_string(&path).unwrap()).unwrap().survey;
        let begun = Instant::now();
        let job = job::work_out(survey, rack.clone(), shop.clone(), &Overrules::default());
        let (worked, begun) = (begun.elapsed(), Instant::now());
        let found = job.worth_knowing();
        println!("{path}: worked out in {worked:.0?}, worth in {:.0?}: {}", begun.elapsed(), found.measure_next("$").metric());
        for w in &found.all {
            println!("  saves {:.1}, spread {:.1}: {}", w.saves_money, w.spread_money, w.words("$").metric());
        }
    }
}
