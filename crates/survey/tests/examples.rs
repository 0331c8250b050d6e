//! Every example of docs/survey-format.md, and the demo's rack and shop, read without a word.

#![allow(clippy::panic, reason = "a test's helpers fail the test")]

use fixtures::demo;
use survey::{Problem, read_rack, read_rack_csv, read_shop, read_survey};

fn refusals(problems: &[Problem]) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn every_example_of_the_page_is_read() {
    let page = std::fs::read_to_string(format!("{}/../../docs/survey-format.md", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let mut seen = [0; 3];
    for block in page.split("```toml\n").skip(1) {
        let example = block.split("```").next().unwrap();
        if example.starts_with("trueround_survey") {
            match read_survey(example) {
                Ok(read) => assert_eq!(refusals(&read.warnings), "", "{example}"),
                Err(problems) => panic!("{}\n{example}", refusals(&problems)),
            }
            seen[0] += 1;
        } else if example.starts_with("trueround_rack") {
            let (rack, problems) = read_rack(example);
            assert_eq!((rack.tools.len(), refusals(&problems)), (2, String::new()));
            seen[1] += 1;
        } else if example.starts_with("trueround_shop") {
            let (shop, problems) = read_shop(example);
            assert!(problems.iter().all(|p| p.warning), "{}", refusals(&problems));
            assert_eq!(shop.people[0].pace, 1.6);
            seen[2] += 1;
        }
    }
    assert_eq!(seen, [3, 1, 1]);
}

#[test]
fn the_demo_s_rack_is_sound() {
    let (rack, problems) = read_rack(&demo::text("rack.toml"));
    assert_eq!(refusals(&problems), "");
    assert_eq!(rack.sound_tools().len(), rack.tools.len());
    assert!(rack.tools.len() > 30);
    let (few, problems) = read_rack_csv(&demo::text("rack.csv"));
    assert_eq!(refusals(&problems), "");
    // The same tool reads the same from either.
    for tool in &few.tools {
        assert!(rack.tools.contains(tool), "{tool:?}");
    }
}

#[test]
fn the_demo_s_shop_says_everything() {
    let (shop, problems) = read_shop(&demo::text("shop.toml"));
    assert_eq!(refusals(&problems), "");
    assert_eq!(shop.tax_on_parts.to_string(), "0.0725");
    assert!(shop.tax_on_labour.is_zero());
    assert_eq!(shop.people.iter().map(|p| p.name.as_str()).collect::<Vec<_>>(), ["Ottilie Brandt", "Ramon Achterberg", "Wren Okafor"]);
    assert_eq!(shop.standards.minutes.len(), plan::Standards::common_practice().minutes.len());
    assert_eq!(shop.standards.opening.len(), plan::Standards::common_practice().opening.len());
    assert_eq!(shop.standards.replacement_run.len(), plan::Standards::common_practice().replacement_run.len());
}
