//! The demo's cases, and instruments with dents all over. Invented.
#![allow(dead_code, reason = "each test, bench and example uses its own part")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use instrument::{Dent, Instrument, Kind, Survey, Wishes, patterns};
use job::{Job, work_out};
use plan::{Decision, Overrule, Overrules};
use quote::Shop;
use reach::Rack;
use units::{Known, Origin, Unit};

/// The demo's five cases.
pub const ALL_CASES: [&str; 5] = ["ox-tuba", "linnet-trumpet", "heron-trombone", "leadpipe-red-rot", "barely-measured"];

/// Its three large ones.
pub const CASES: [&str; 3] = ["ox-tuba", "linnet-trumpet", "heron-trombone"];

fn file(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// A case of the demo.
pub fn read(name: &str) -> Survey {
    survey::read_survey(&file(&format!("{name}.survey.toml"))).unwrap_or_else(|p| panic!("{p:?}")).survey
}

/// The demo's rack and shop.
pub fn rack_and_shop() -> (Rack, Shop) {
    let (rack, problems) = survey::read_rack(&file("rack.toml"));
    assert!(problems.is_empty(), "{problems:?}");
    let (shop, problems) = survey::read_shop(&file("shop.toml"));
    assert!(problems.is_empty(), "{problems:?}");
    (rack, shop)
}

/// A job with the demo's rack and shop.
pub fn worked(survey: Survey) -> Job {
    worked_with(survey, &Overrules::default())
}

/// The same with decisions against the plan.
pub fn worked_with(survey: Survey, overrules: &Overrules) -> Job {
    let (rack, shop) = rack_and_shop();
    work_out(survey, rack, shop, overrules)
}

/// One decision.
pub fn overrule(decision: Decision) -> Overrules {
    Overrules { all: vec![Overrule { decision, who: "Ottilie".to_owned(), why: "a test".to_owned() }] }
}

/// A dent measured with a gauge.
pub fn dent(id: &str, run: &str, at_mm: f64, depth_mm: f64, along_mm: f64, across_mm: f64) -> Dent {
    let gauge = |what: &'static str, v: f64| Some(Known::new(what, v, 0.03 * v, Unit::Mm, Origin::Measured));
    Dent {
        id: id.into(),
        run: run.into(),
        at_mm: Some(Known::new("station", at_mm, 1.0, Unit::Mm, Origin::Measured)),
        clock_deg: Some(Known::new("clock", 90.0, 5.0, Unit::Deg, Origin::Measured)),
        depth_mm: gauge("depth", depth_mm),
        width_along_mm: gauge("width along", along_mm),
        width_across_mm: gauge("width across", across_mm),
        edge_radius_mm: None,
        profile_along: vec![],
        profile_across: vec![],
        crease: None,
        crack: None,
        earlier_repair: None,
        hardness_hv: None,
        wall_mm: None,
        pushed_in_by: None,
        note: String::new(),
    }
}

/// A survey of an instrument.
pub fn survey_of(instrument: Instrument, dents: Vec<Dent>) -> Survey {
    Survey {
        title: "test".to_owned(),
        customer: String::new(),
        surveyor: String::new(),
        date: String::new(),
        instrument,
        dents,
        conditions: vec![],
        wishes: Wishes::default(),
        cleaned: Some(true),
    }
}

/// A pattern with so many dents, one run after the other; `turn` moves them along.
pub fn dents_all_over(kind: Kind, count: usize, turn: usize) -> Survey {
    let instrument = patterns::pattern(kind).unwrap();
    let dents = (0..count)
        .map(|i| {
            let run = &instrument.runs[(i + turn) % instrument.runs.len()];
            let at = (0.1 + 0.8 * (((i + 7 * turn) * 37 % 101) as f64 / 101.0)) * run.length_mm();
            let bore = run.bore_at(at).value;
            let depth = (0.06 + 0.04 * ((i + turn) % 5) as f64) * bore.min(60.0);
            let mut d = dent(&format!("d{i}"), &run.id.0, at, depth, (0.9 * bore).clamp(6.0, 45.0), (0.7 * bore).clamp(5.0, 40.0));
            d.clock_deg = Some(Known::new("clock", (i * 71 % 360) as f64, 5.0, Unit::Deg, Origin::Measured));
            d
        })
        .collect();
    survey_of(instrument, dents)
}

/// The demo's tuba with so many dents: its own first, then more of their kinds set between them.
pub fn tuba_with(count: usize) -> Survey {
    let mut s = read("ox-tuba");
    let placed: Vec<Dent> = s.dents.iter().filter(|d| d.at_mm.is_some() && d.crack.is_none()).cloned().collect();
    for i in 0..count.saturating_sub(s.dents.len()) {
        let mut d = placed[i % placed.len()].clone();
        d.id = instrument::DentId(format!("e{i}"));
        let length = s.instrument.run(&d.run).map_or(0.0, instrument::Run::length_mm);
        if let Some(at) = &mut d.at_mm {
            // The golden section: however many, no two of a run fall together.
            at.value = (at.value + 0.618_034 * (1 + i / placed.len()) as f64 * length) % length;
        }
        d.pushed_in_by = None;
        s.dents.push(d);
    }
    s.dents.truncate(count);
    s
}
