//! What the bench card's pages must be: few, full, and with everything on them.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use super::data;
use crate::papers_test::{JOBS, PAPERS, set_of};
use crate::{JobView, Paper};
use job::Job;
use plan::StepKind;
use serde_json::Value;
use typst::layout::{Frame, FrameItem};
use units::LengthUnit;

/// Cases of the demo, each with the most pages of its card on A4 and on letter, which is 18 mm lower: what is asked for.
const MOST: [(&str, usize); 3] = [("ox-tuba", 14), ("linnet-trumpet", 4), ("heron-trombone", 3)];

fn job(case: &str) -> &'static Job {
    JOBS.iter().find(|(name, _)| *name == case).map(|(_, job)| job).unwrap()
}

/// How full they are, `papers_test` holds of every paper.
#[test]
fn the_card_takes_few_pages() {
    for (case, most) in MOST {
        for (_, paper) in PAPERS {
            let pages = set_of(case, "bench card", paper).document.pages().len();
            assert!(pages <= most, "{case}, {paper:?}: {pages} pages, at most {most}");
        }
    }
}

/// Page one stands alone, with the largest picture that goes onto it: as wide as the page where the instrument is wide, at least 95 mm
/// high where it is high (80 on letter, which is lower), and never so wide that what stands beside it is squeezed.
#[test]
fn page_one_holds_all_and_its_picture_uses_the_room() {
    for (case, _) in MOST {
        let job = job(case);
        for (unit, paper) in PAPERS {
            let view = JobView::of(job, unit, paper);
            let (data, _) = data(&view);
            let (width, _) = super::page_mm(&view);
            let title = &job.survey.title;
            for map in data["maps"].as_array().unwrap() {
                let wide = map["width_mm"].as_f64().unwrap();
                assert!(map["alone"] == true || width - wide >= 60.0, "{title}: {wide} of {width}");
            }
            let document = &set_of(case, "bench card", paper).document;
            let (mut words, mut picture) = (String::new(), (0.0, 0.0));
            told(&document.pages()[0].frame, &mut words, &mut picture);
            for heading in ["Setups in working order", "Watch, at these steps"] {
                assert!(words.contains(heading), "{title}, {paper:?}: page one says no “{heading}”");
            }
            let last = data["setups"].as_array().unwrap().last().unwrap()["title"].as_str().unwrap();
            let squeeze = |s: &str| s.split_whitespace().collect::<String>();
            assert!(squeeze(&words).contains(&squeeze(last)), "{title}, {paper:?}: page one ends before “{last}”");
            let high = if paper == Paper::A4 { 95.0 } else { 80.0 };
            assert!(picture.0 > 0.99 * width || picture.1 > high, "{title}, {paper:?}: {picture:?}");
        }
    }
}

/// All words of a frame, and the size of its largest picture, mm.
fn told(frame: &Frame, words: &mut String, picture: &mut (f64, f64)) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(g) => told(&g.frame, words, picture),
            FrameItem::Text(t) => {
                words.push_str(&t.text);
                words.push(' ');
            }
            FrameItem::Image(_, size, _) if size.x.to_mm() * size.y.to_mm() > picture.0 * picture.1 => {
                *picture = (size.x.to_mm(), size.y.to_mm());
            }
            _ => {}
        }
    }
}

/// Every step has its row with its box, in the order of work, and a dent's row says what the plan says.
#[test]
fn every_step_has_its_row_with_the_plans_figures() {
    for (case, _) in MOST {
        let job = job(case);
        let (data, _) = data(&JobView::of(job, LengthUnit::Mm, Paper::A4));
        let rows: Vec<&Value> = data["sheets"].as_array().unwrap().iter().flat_map(|s| s["rows"].as_array().unwrap()).collect();
        assert_eq!(rows.len(), job.plan.steps.len());
        for (row, step) in rows.iter().zip(&job.plan.steps) {
            assert_eq!(row["step"], step.number.to_string());
            if step.kind != StepKind::Dent {
                continue;
            }
            let method = &job.plan.choices.iter().find(|c| c.dent == step.dents[0]).unwrap().method;
            assert_eq!(row["dent"], draw::label(&job.survey, &method.dent));
            let said: f64 = row["force"].as_str().unwrap().parse().unwrap();
            assert!((said / method.force_hand_n.value - 1.0).abs() < 0.051, "{said} {}", method.force_hand_n.value);
            if let Some(strokes) = method.strokes {
                assert_eq!(row["strokes"], format!("{:.0}", strokes.strokes.ceil().max(1.0)));
            }
            assert!(row["tool"].as_str().unwrap().ends_with(&draw::size_words(method.size_mm, LengthUnit::Mm)));
            assert_ne!(row["crack"], "0 %");
        }
        // Every setup with dents has one drawing and stands once on page one.
        for sheet in data["sheets"].as_array().unwrap() {
            assert_eq!(sheet["dents"].as_bool().unwrap(), sheet["picture"].is_object(), "{}", sheet["head"]);
        }
    }
}

/// A step's caution stands in words on its page: the pieces of the template carry the keys, and each key has its words.
#[test]
fn every_caution_of_a_step_has_its_words() {
    for (case, _) in MOST {
        let job = job(case);
        let (data, _) = data(&JobView::of(job, LengthUnit::Mm, Paper::A4));
        let rows = data["sheets"].as_array().unwrap().iter().flat_map(|s| s["rows"].as_array().unwrap());
        for (row, step) in rows.zip(&job.plan.steps) {
            let keys = row["cautions"].as_array().unwrap();
            assert_eq!(keys.len(), step.cautions.len());
            for (key, caution) in keys.iter().zip(&step.cautions) {
                assert_eq!(data["cautions"][key.as_str().unwrap()]["words"], caution.text());
            }
        }
    }
}
