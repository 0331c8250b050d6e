//! How the papers speak (shared voice sheet): all texts of the demo's papers, in both systems of units; see `fixtures::voice`. What a
//! paper says is read text by text; what stands on its pages, and what the drawings say, as it was set.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use fixtures::demo;
use fixtures::voice::{self, Matter, Reader};
use instrument::{Survey, Work};
use job::Job;
use plan::{Level, Overrules};
use quote::{Discount, Off, Prices};
use report::invoice::{AgreedPart, NotMet, Paid};
use report::said::{self, Said};
use report::{Invoice, JobView, Paper, Signed, SupplementView};
use units::{LengthUnit, Text};

const PAPERS: [(LengthUnit, Paper); 2] = [(LengthUnit::Mm, Paper::A4), (LengthUnit::Inch, Paper::Letter)];

fn job(name: &str) -> Job {
    let (rack, shop) = demo::rack_and_shop();
    job::work_out(demo::read(name), rack, shop, &Overrules::default())
}

/// Reads one paper.
fn read(at: &str, reader: &Reader, matter: Matter, paper: Said, faults: &mut Vec<String>) {
    let mut drawn = String::new();
    let (said, printed) = (paper.texts.join("\n"), paper.printed.join("\n"));
    paper.drawings.iter().for_each(|svg| drawn.push_str(&voice::html(svg).said));
    voice::keep(&format!("paper-{at}"), &format!("{said}\n==== drawings\n{drawn}\n==== as set\n{printed}"));
    assert!(said.len() > 200 && (printed.len() > 200 || matter != Matter::Said), "{at} says nothing: {said} {printed}");
    faults.extend(reader.faults(at, &said, matter));
    faults.extend(reader.faults(&format!("{at}, drawing"), &drawn, matter));
    // What stands on its pages. Lines break in the middle of sentences here, so that nothing is said of those.
    if matter == Matter::Said {
        faults.extend(reader.faults(&format!("{at}, as set"), &printed.replace('\n', " "), Matter::Reasons));
    }
}

fn papers_of(name: &str) -> Vec<String> {
    papers_of_job(name, &job(name))
}

fn papers_of_job(name: &str, job: &Job) -> Vec<String> {
    let mut faults = Vec::new();
    let worth = job.worth_knowing();
    let named = job.rack.tools.iter().flat_map(|t| [t.name.clone(), t.place.clone(), t.condition.clone()]);
    let theirs: Vec<String> = named.chain(job.survey.dents.iter().map(|d| d.note.clone())).chain([job.survey.title.clone()]).collect();
    for (unit, paper) in PAPERS {
        let reader = Reader::new(unit, theirs.clone());
        let view = JobView { worth: Some(&worth), agreed: Some("Dents out, signed"), ..JobView::of(job, unit, paper) };
        let at = |what: &str| format!("{name} {what} {unit:?}");
        read(&at("card"), &reader, Matter::Said, said::bench_card(&view), &mut faults);
        read(&at("quote"), &reader, Matter::Said, said::quote(&view), &mut faults);
        read(&at("reasons"), &reader, Matter::Reasons, said::reasons(&view), &mut faults);
    }
    faults
}

#[test]
fn the_tubas_papers_speak_as_at_the_bench() {
    voice::none(papers_of("ox-tuba"));
}

#[test]
fn the_papers_of_trumpet_and_trombone_speak_as_at_the_bench() {
    voice::none(["linnet-trumpet", "heron-trombone"].iter().flat_map(|n| papers_of(n)).collect());
}

/// A tool that another job makes is laid out from there, and no step of this card.
#[test]
fn a_tool_that_another_job_makes_is_fetched_there() {
    let (rack, shop) = demo::rack_and_shop();
    let job = job::work_out(demo::read("linnet-trumpet"), reach::Rack { tools: vec![], ..rack }, shop, &Overrules::default());
    let steps = plan::tool_steps(&job.plan.tools_to_make, &job.plan.steps);
    let (piece, step) = steps[0];
    let mut plan = job.plan.clone();
    plan.steps.retain(|s| s.number != step.number);
    plan.tools_to_make.retain(|(p, _)| p.body != piece.body);
    let elsewhere = [(piece.clone(), "from job 12 (H-2), Ottilie".to_owned())];
    let view = JobView { plan: &plan, made_elsewhere: &elsewhere, ..JobView::of(&job, LengthUnit::Mm, Paper::A4) };
    let words = piece.words().metric();
    let (before, after) = (said::bench_card(&JobView { plan: &job.plan, made_elsewhere: &[], ..view }), said::bench_card(&view));
    let says = |said: &Said, what: &str| said.texts.iter().any(|t| t.contains(what));
    assert!(says(&before, &format!("{words}, to make")) && !says(&before, "from job 12"));
    assert!(says(&after, &words) && says(&after, "from job 12 (H-2), Ottilie") && !says(&after, &format!("{words}, to make")));
}

/// An instrument without a dent on which every job of the shop's list is asked for, at the shop's terms.
#[test]
fn the_papers_of_a_service_speak_as_at_the_bench() {
    let (rack, mut shop) = demo::rack_and_shop();
    let mut survey = Survey::of(instrument::patterns::pattern(instrument::Kind::Trumpet).unwrap());
    "Yearly service".clone_into(&mut survey.title);
    let asked = shop.standards.jobs.iter().zip(1..);
    survey.work =
        asked.map(|(j, n)| Work { count: 1 + n % 3, optional: n % 4 == 0, ..Work::new(format!("w{n}"), j.key.as_str()) }).collect();
    (shop.supplies, shop.terms.rush) = (rust_decimal::Decimal::new(4, 2), true);
    "Friday, Dec 4".clone_into(&mut shop.terms.wanted);
    shop.terms.discount = Some(Discount { off: Off::read("10 %").unwrap(), reason: "summer contract".to_owned() });
    let job = job::work_out_after(None, Level::Beautiful, survey, rack, shop, &Overrules::default());
    assert_eq!((job.quote.offers.len(), job.plan.work.len()), (2, job.shop.standards.jobs.len()));
    voice::none(papers_of_job("service", &job));
}

#[test]
fn what_is_found_later_and_the_invoice_speak_as_at_the_counter() {
    let mut faults = Vec::new();
    let before = job("linnet-trumpet");
    let mut survey = before.survey.clone();
    let mut more = survey.dents[0].clone();
    more.id.0 = "d99".to_owned();
    if let Some(at) = more.at_mm.as_mut() {
        at.value += 20.0;
    }
    survey.dents.push(more);
    let (rack, shop) = demo::rack_and_shop();
    let after = job::work_out(survey, rack, shop, &Overrules::default());
    let (old, new) = (before.quote.of_level(before.plan.level).unwrap(), after.quote.of_level(after.plan.level).unwrap());
    let supplement = quote::Supplement {
        shop: after.shop.name.clone(),
        contact: after.shop.contact.clone(),
        prices: Prices::Estimate,
        level: Level::Good,
        found: quote::supplement::found(&before.survey, &after.survey, &after.plan.work),
        no_longer: quote::supplement::no_longer(&after.survey, &before.plan, &after.plan),
        lines: quote::supplement::differences(&old.bill, &new.bill),
        before: old.bill.total,
        after: new.bill.total,
        adds: new.bill.total - old.bill.total,
        minutes: 95.0,
        currency: "$".to_owned(),
    };
    let dollars = |n: i64| rust_decimal::Decimal::new(n, 2);
    let invoice = Invoice {
        shop: "Saltmarsh Brass".to_owned(),
        contact: before.shop.contact.clone(),
        customer: "A. Parent".to_owned(),
        instrument: "Tessaly Linnet trumpet".to_owned(),
        job: "Job 1".to_owned(),
        date: "2026-11-26".to_owned(),
        currency: "$".to_owned(),
        parts: vec![AgreedPart {
            title: old.name.clone(),
            prices: Prices::Estimate,
            said: "Signed by A. Parent, 2026-11-20".to_owned(),
            lines: old.bill.lines.iter().map(|l| (l.what.to_string(), l.labour + l.parts)).collect(),
            tax: old.bill.tax,
            total: old.bill.total,
        }],
        paid: vec![Paid { words: "2026-11-20, card, deposit".to_owned(), amount: dollars(2_010) }],
        not_met: vec![NotMet { lines: vec!["third valve slide (binds)".to_owned()], said: "Let go by Ottilie.".to_owned() }],
        ..Invoice::default()
    };
    for (unit, paper) in PAPERS {
        let reader = Reader::new(unit, [before.survey.title.clone()]);
        for signed in [None, Some(Signed { level: Level::Good, name: "A. Parent", day: "Nov 26", strokes: "" })] {
            let view = SupplementView {
                supplement: &supplement,
                instrument: "Linnet trumpet",
                customer: "A. Parent",
                agreed: "Dents out",
                paper,
                signed,
            };
            read("supplement", &reader, Matter::Said, said::supplement(&view), &mut faults);
        }
        read("invoice", &reader, Matter::Said, said::invoice(&invoice, paper), &mut faults);
    }
    voice::none(faults);
}

/// A contract with a few horns of its own, planned.
fn contract_of_a_district() -> (contract::Contract, contract::Planned) {
    use contract::{Bench, Contract, Day, Effort, Horn, Offer, Points, Skill, Spread, Standing};
    use rust_decimal::Decimal;
    let horns = (0..9_u32)
        .map(|n| Horn {
            tag: format!("PR-{n}"),
            name: "Tessaly Wagtail cornet".to_owned(),
            school: if n % 2 == 0 { "Coldwater Middle".to_owned() } else { "Ostrander High".to_owned() },
            priority: 1 + (n % 3) as u8,
            must: n == 1,
            plays: n == 4,
            worth: (n == 5).then(|| Decimal::from(50)),
            wanted: None,
            offers: if n == 6 {
                vec![]
            } else {
                let offer = |level: Level, mean_min: f64| Offer {
                    level,
                    name: String::new(),
                    work: if n == 3 { vec!["Cleaned inside".to_owned(), "Valves timed".to_owned()] } else { vec![] },
                    cost: Decimal::from(90 + n),
                    mean_min,
                    sd_min: 0.3 * mean_min,
                    tools: if n == 2 { vec!["mandrel 12 mm".to_owned()] } else { vec![] },
                    skills: [Skill::Dents].into(),
                    dents: 1,
                    left: 0,
                };
                vec![offer(Level::Play, 80.0), offer(Level::Good, 140.0)]
            },
            standing: if n == 0 {
                Standing::Done { level: Level::Good, bench: "bench 1".to_owned(), took_min: 120.0 }
            } else {
                Standing::Open
            },
        })
        .collect();
    let contract = Contract {
        customer: "Pelham Ridge School District".to_owned(),
        shop: "Saltmarsh Lane Brass Repair".to_owned(),
        currency: "$".to_owned(),
        budget: Decimal::from(600),
        from: "2026-07-13".to_owned(),
        deadline: "2026-07-17".to_owned(),
        likelihood: 0.8,
        minimum: Level::Play,
        advise_against_above: 0.6,
        points: Points::common_practice(),
        tax: contract::TaxIn::Included,
        tools_paid: Decimal::ZERO,
        spread: Spread::common_practice(),
        benches: vec![Bench {
            id: "bench 1".to_owned(),
            person: "Ottilie Brandt".to_owned(),
            pace: 1.0,
            skills: [Skill::Dents].into(),
            days: (13..18).map(|d| Day { date: format!("2026-07-{d}"), minutes: 120.0 }).collect(),
            begins_min: 480,
        }],
        tools: vec![contract::Tool {
            id: "mandrel 12 mm".to_owned(),
            words: Text::fill("mandrel {}", &[&units::text::mm(12.0, 0)]),
            cost: Decimal::from(50),
            bill: None,
            mean_min: 30.0,
            there: false,
        }],
        horns,
    };
    let planned = contract::plan(&contract, &Effort::default(), &|| true, &mut |_| {}).unwrap();
    (contract, planned)
}

#[test]
fn the_papers_of_a_contract_speak_so_too() {
    use contract::Added;
    let (contract, planned) = contract_of_a_district();
    let added = [Added::Money { amount: rust_decimal::Decimal::ONE_HUNDRED }, Added::BenchDay { bench: "bench 1".to_owned() }, Added::Week];
    let bought = contract::what_more_buys(&contract, &planned, &added, &|| true);
    let day = |iso: &str| iso.to_owned();
    let mut faults = Vec::new();
    for (unit, paper) in PAPERS {
        let view = report::ContractView { contract: &contract, planned: &planned, bought: &bought, paper, unit, day };
        let reader = Reader::new(unit, Vec::<String>::new());
        read("contract report", &reader, Matter::Said, said::contract_report(&view), &mut faults);
        read("work list", &reader, Matter::Said, said::work_list(&view), &mut faults);
        assert!(report::contract_report_pdf(&view).unwrap().starts_with(b"%PDF"));
        assert!(report::work_list_pdf(&view).unwrap().starts_with(b"%PDF"));
    }
    voice::none(faults);
}
