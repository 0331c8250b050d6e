//! What the bench card's pages must be: few, full, and with everything on them.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use super::sheets::{Row, RowOf};
use super::{card, pages};
use crate::papers_test::{JOBS, PAPERS, set_of};
use crate::{JobView, Paper};
use job::Job;
use paper::{Block, Seen};
use plan::StepKind;
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
            let pages = set_of(case, "bench card", paper).set.pages.len();
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
            let card = card(&view);
            let (width, _) = super::page_mm(&view);
            let title = &job.survey.title;
            for map in &card.front.maps {
                let wide = map.picture.width_mm;
                assert!(map.alone || width - wide >= 60.0, "{title}: {wide} of {width}");
            }
            let (mut words, mut picture) = (String::new(), (0.0, 0.0));
            for seen in &set_of(case, "bench card", paper).set.seen()[0] {
                match seen {
                    Seen::Letters { text, .. } => words.extend([text.as_str(), " "]),
                    Seen::Picture { size_mm, .. } if size_mm.0 * size_mm.1 > picture.0 * picture.1 => picture = *size_mm,
                    _ => {}
                }
            }
            for heading in ["Setups in working order", "Watch, at these steps"] {
                assert!(words.contains(heading), "{title}, {paper:?}: page one says no “{heading}”");
            }
            let last = &card.front.setups.last().unwrap().title;
            let squeeze = |s: &str| s.split_whitespace().collect::<String>();
            assert!(squeeze(&words).contains(&squeeze(last)), "{title}, {paper:?}: page one ends before “{last}”");
            let high = if paper == Paper::A4 { 95.0 } else { 80.0 };
            assert!(picture.0 > 0.99 * width || picture.1 > high, "{title}, {paper:?}: {picture:?}");
        }
    }
}

/// Every step has its row with its box, in the order of work, and a dent's row says what the plan says.
#[test]
fn every_step_has_its_row_with_the_plans_figures() {
    for (case, _) in MOST {
        let job = job(case);
        let card = card(&JobView::of(job, LengthUnit::Mm, Paper::A4));
        let rows: Vec<&Row> = card.sheets.iter().flat_map(|s| &s.rows).collect();
        assert_eq!(rows.len(), job.plan.steps.len());
        for (row, step) in rows.iter().zip(&job.plan.steps) {
            assert_eq!(row.step, step.number.to_string());
            let (StepKind::Dent, RowOf::Dent(dent)) = (step.kind, &row.what) else {
                assert_ne!(step.kind, StepKind::Dent);
                continue;
            };
            let method = &job.plan.choices.iter().find(|c| c.dent == step.dents[0]).unwrap().method;
            assert_eq!(dent.dent, draw::label(&job.survey, &method.dent));
            let said: f64 = dent.force.parse().unwrap();
            assert!((said / method.force_hand_n.value - 1.0).abs() < 0.051, "{said} {}", method.force_hand_n.value);
            if let Some(strokes) = method.strokes {
                assert_eq!(dent.strokes, format!("{:.0}", strokes.strokes.ceil().max(1.0)));
            }
            assert!(dent.tool.ends_with(&draw::size_words(method.size_mm, LengthUnit::Mm)));
            assert_ne!(dent.crack, "0 %");
        }
        // Every setup with dents has one drawing and stands once on page one.
        for sheet in &card.sheets {
            assert_eq!(sheet.dents, sheet.picture.is_some(), "{}", sheet.head.title);
        }
    }
}

/// A step's cautions stand in words on its page or, where they have been told, by name with the page of the words.
#[test]
fn every_caution_of_a_step_has_its_words() {
    let squeeze = |s: &str| s.split_whitespace().collect::<String>();
    for (case, _) in MOST {
        let job = job(case);
        for (_, paper) in PAPERS {
            let seen = set_of(case, "bench card", paper).set.seen();
            let pages: Vec<String> = seen.iter().map(|page| squeeze(&said(page))).collect();
            for caution in job.plan.steps.iter().flat_map(|s| &s.cautions) {
                assert!(pages.iter().any(|p| p.contains(&squeeze(caution.text()))), "{case}: no words for {caution:?}");
            }
            for (n, page) in seen.iter().enumerate().skip(1) {
                for caution in plan::Caution::ALL {
                    let name = super::words::capital(caution.name());
                    let named = page.iter().any(|s| matches!(s, Seen::Letters { text, .. } if text.trim() == name));
                    let told = pages[..=n].iter().any(|p| p.contains(&squeeze(caution.text())));
                    assert!(!named || told, "{case}, page {}: {caution:?} is named before its words", n + 1);
                }
            }
        }
    }
}

/// On the page of each step stand the cautions of that step.
#[test]
fn a_page_names_the_cautions_of_its_steps() {
    for (case, _) in MOST {
        let card = card(&JobView::of(job(case), LengthUnit::Mm, Paper::A4));
        let mut setter = paper::Setter::default();
        let laid = pages::fill(&card, &mut setter, (184.0, 271.0));
        let set = paper::Paper::of(crate::look::sheet(Paper::A4), laid, setter);
        let seen = set.seen();
        for row in card.sheets.iter().filter(|s| s.making.is_empty()).flat_map(|s| &s.rows) {
            // A step's number stands alone in the second column of its table, at the left of what is done.
            let on = |page: &[Seen]| {
                page.iter().any(|s| matches!(s, Seen::Letters { text, x_mm, size_pt, .. } if text.trim() == row.step && (*size_pt - 10.0).abs() < 0.1 && (13.0..30.0).contains(x_mm)))
            };
            let Some(page) = seen.iter().skip(1).find(|p| on(p)) else { panic!("{case}: step {} is on no page", row.step) };
            let said = said(page);
            for caution in &row.cautions {
                let name = super::words::capital(caution.name());
                assert!(said.contains(&name), "{case}, step {}: its page names no {name}", row.step);
            }
        }
    }
}

fn said(page: &[Seen]) -> String {
    let words = page.iter().filter_map(|s| if let Seen::Letters { text, .. } = s { Some(text.as_str()) } else { None });
    words.collect::<Vec<_>>().join(" ")
}

/// What is read of a card is what is set: every block of it.
#[test]
fn every_text_of_the_card_is_on_its_pages() {
    let squeeze = |s: &str| s.split_whitespace().collect::<String>();
    for (case, _) in MOST {
        let card = card(&JobView::of(job(case), LengthUnit::Mm, Paper::A4));
        let seen = set_of(case, "bench card", Paper::A4).set.seen();
        let whole: String = seen.iter().map(|p| squeeze(&said(p))).collect();
        let mut texts = Vec::new();
        pages::each(&card, &mut |block: &Block| block.each(&mut |words| texts.push(words.text()), &mut |_| {}));
        assert!(texts.len() > 50);
        for text in texts.iter().filter(|t| !t.contains(plan::DEFERS)) {
            assert!(whole.contains(&squeeze(text)), "{case}: “{text}” is not on the card");
        }
    }
}
