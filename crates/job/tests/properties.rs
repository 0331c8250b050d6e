//! Properties of the whole engine: the order of the dents in the file, their names, the units that were written and the side that they lie
//! on change the results as they must, and not otherwise.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::demo::{ALL_CASES, read};
use instrument::{DentId, Segment, Survey};
use job::Job;
use std::collections::BTreeMap;

/// What a job says, by the dents' names: crack, way, size, force, minutes; and the whole: what is opened, cost, minutes, the offers' totals.
type Said = (BTreeMap<String, String>, Vec<String>, String);

fn said(job: &Job, name: &dyn Fn(&DentId) -> String) -> Said {
    let dents = job.assessments.iter().map(|a| {
        let choice = job.plan.choices.iter().find(|c| c.dent == a.dent);
        let way = choice.map(|c| (c.method.kind, c.method.size_mm, c.method.force_hand_n.value, c.cost_money.value));
        (name(&a.dent), format!("{:.9} {:.9} {way:.6?}", a.depth_mm.value, a.crack_likelihood.value))
    });
    let mut opened: Vec<String> = job.plan.opened.iter().map(|o| format!("{o:?}")).collect();
    opened.sort();
    let totals: Vec<String> = job.quote.offers.iter().map(|o| o.bill.total.to_string()).collect();
    let whole = format!("{:.6} {:.6} {totals:?}", job.plan.certificate.cost_money, job.plan.minutes.mean());
    (dents.collect(), opened, whole)
}

fn plain(d: &DentId) -> String {
    d.0.clone()
}

#[test]
fn the_order_of_the_dents_in_the_file_changes_nothing() {
    for case in ALL_CASES {
        let survey = read(case);
        let mut turned = survey.clone();
        turned.dents.reverse();
        assert_eq!(said(&worked(survey), &plain), said(&worked(turned), &plain), "{case}");
    }
}

#[test]
fn other_names_change_nothing() {
    for case in ALL_CASES {
        let survey = read(case);
        let mut renamed = survey.clone();
        // In another order by name than by place.
        let new: BTreeMap<String, String> =
            survey.dents.iter().enumerate().map(|(i, d)| (d.id.0.clone(), format!("x{}", (i * 7 + 3) % 101))).collect();
        for d in &mut renamed.dents {
            d.id = DentId(new[&d.id.0].clone());
        }
        let by_new = |d: &DentId| new[&d.0].clone();
        assert_eq!(said(&worked(survey), &by_new), said(&worked(renamed), &plain), "{case}");
    }
}

/// A dent on the other side of a straight tube is the same dent.
#[test]
fn the_side_of_a_straight_tube_changes_nothing() {
    let mut seen = 0;
    for case in ["linnet-trumpet", "heron-trombone"] {
        let survey = read(case);
        for (i, d) in survey.dents.iter().enumerate() {
            let Some(at) = &d.at_mm else { continue };
            let run = survey.instrument.run(&d.run).unwrap();
            let Some(clock) = d.clock_deg.as_ref().filter(|_| run.axis.bend_at(at.value).is_none()) else { continue };
            let mut mirrored = survey.clone();
            mirrored.dents[i].clock_deg.as_mut().unwrap().value = (360.0 - clock.value) % 360.0;
            let of = |s: &Survey| {
                let a = dent::assess_all(s).into_iter().find(|a| a.dent == d.id).unwrap();
                (a.crack_likelihood.value, a.force_inside_n.value, a.overpush_mm.value, a.passage_mm.value)
            };
            assert_eq!(of(&survey), of(&mirrored), "{case} {}", d.id);
            seen += 1;
        }
    }
    assert!(seen >= 3, "{seen}");
}

/// The same lengths in inches and in millimeters.
#[test]
fn the_units_that_were_written_change_nothing() {
    let dent = |at: &str, depth: &str, along: &str, across: &str| {
        format!(
            "trueround_survey = 1\ncleaned = true\n[instrument]\npattern = \"trumpet\"\n[[dent]]\nid = \"d\"\nrun = \"bell-stem\"\nat = \"{at}\"\nclock = \"3 o'clock\"\ndepth = \"{depth}\"\nalong = \"{along}\"\nacross = \"{across}\"\n"
        )
    };
    let read = |text: &str| survey::read_survey(text).unwrap().survey;
    let inches = said(&worked(read(&dent("4 in", "1/8 in", "1 in", "3/4 in"))), &plain);
    let mm = said(&worked(read(&dent("101.6 mm", "3.175 mm", "25.4 mm", "19.05 mm"))), &plain);
    assert_eq!(inches, mm);
}

/// Twice as large in every length, of the same metal: strains, sharpness and the likelihood of a crack stay, forces are four times as large
/// (a limit load goes with σ·length²), what springs back and what passes is twice as long.
#[test]
fn all_lengths_times_two() {
    let (mut seen, twice) = (0, 2.0);
    for case in ["linnet-trumpet", "ox-tuba"] {
        let survey = read(case);
        let mut large = survey.clone();
        for run in &mut large.instrument.runs {
            for p in run.bore_mm.points.iter_mut().chain(&mut run.wall_mm.points).chain(&mut run.temper.points) {
                p.at_mm *= twice;
            }
            for p in run.bore_mm.points.iter_mut().chain(&mut run.wall_mm.points) {
                (p.value, p.sd) = (p.value * twice, p.sd * twice);
            }
            for s in &mut run.axis.segments {
                match s {
                    Segment::Straight { length_mm } => *length_mm *= twice,
                    Segment::Bend { radius_mm, .. } => *radius_mm *= twice,
                }
            }
        }
        for o in &mut large.instrument.overlays {
            for c in &mut o.covers {
                (c.from_mm, c.to_mm) = (c.from_mm * twice, c.to_mm * twice);
            }
        }
        let scale = |k: &mut Option<units::Known>| {
            if let Some(k) = k {
                (k.value, k.sd) = (k.value * twice, k.sd * twice);
            }
        };
        for d in &mut large.dents {
            for k in [&mut d.at_mm, &mut d.depth_mm, &mut d.width_along_mm, &mut d.width_across_mm, &mut d.edge_radius_mm, &mut d.wall_mm] {
                scale(k);
            }
        }
        let (small, large) = (dent::assess_all(&survey), dent::assess_all(&large));
        for (d, (a, b)) in survey.dents.iter().zip(small.iter().zip(&large)) {
            let measured = d.at_mm.is_some() && d.depth_mm.is_some() && d.width_along_mm.is_some() && d.width_across_mm.is_some();
            if !measured || d.crease.is_some() || d.crack.is_some() || !d.profile_along.is_empty() || !d.profile_across.is_empty() {
                continue; // gauges, folds and the ends of cracks have lengths of their own
            }
            let near = |x: f64, y: f64, what: &str| assert!((x / y - 1.0).abs() < 0.02, "{case} {}: {what} {x} {y}", d.id);
            near(b.strain_effective.value, a.strain_effective.value, "strain");
            near(b.sharpness.value, a.sharpness.value, "sharpness");
            near(b.force_inside_n.value, 4.0 * a.force_inside_n.value, "force");
            near(b.overpush_mm.value, 2.0 * a.overpush_mm.value, "over-push");
            near(b.passage_mm.value, 2.0 * a.passage_mm.value, "passage");
            seen += 1;
        }
    }
    assert!(seen >= 20, "{seen}");
}
