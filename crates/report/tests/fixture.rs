//! The demo's tuba, worked out.
#![allow(clippy::expect_used)] // helpers of tests

use job::Job;
use plan::Overrules;
use std::sync::LazyLock;

static TUBA: LazyLock<Job> = LazyLock::new(work_out);

/// The demo's tuba with the demo's rack and shop; worked out once.
pub fn tuba() -> &'static Job {
    &TUBA
}

fn work_out() -> Job {
    let survey = survey::read_survey(include_str!("../../../demo/ox-tuba.survey.toml")).expect("the demo is sound").survey;
    let (rack, _) = survey::read_rack(include_str!("../../../demo/rack.toml"));
    let (shop, _) = survey::read_shop(include_str!("../../../demo/shop.toml"));
    job::work_out(survey, rack, shop, &Overrules::default())
}
