//! Writes the choice behind the plan of the demo's tuba with so many dents, with what the search found and how long it took,
//! one JSON a line, for `crates/plan/validation/highs.py`: `cargo run --release -p job --example choices -- 41 60 100 200`.

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "../../plan/examples/race/mod.rs"]
mod race;

use common::tuba_with;
use fixtures::demo::rack_and_shop;
use plan::Overrules;

fn main() {
    let (rack, shop) = rack_and_shop();
    for dents in std::env::args().skip(1).filter_map(|a| a.parse().ok()) {
        let survey = tuba_with(dents);
        let assessments = dent::assess_all(&survey);
        let methods = reach::methods(&survey, &assessments, &rack);
        let heats = plan::Heats::new(&survey.instrument, &rack);
        let problem = plan::choice(&survey, &assessments, &methods, &heats, &shop.standards, &Overrules::default());
        race::run(&problem);
    }
}
