//! The demo's tuba, worked out.
#![allow(clippy::expect_used)] // helpers of tests

use job::Job;
use plan::Overrules;

/// The demo's tuba with the demo's rack and shop.
pub fn tuba() -> Job {
    let survey = survey::read_survey(include_str!("../../../demo/ox-tuba.survey.toml")).expect("the demo is sound").survey;
    let (rack, _) = survey::read_rack(include_str!("../../../demo/rack.toml"));
    let (shop, _) = survey::read_shop(include_str!("../../../demo/shop.toml"));
    job::work_out(survey, rack, shop, &Overrules::default())
}
