//! Jobs of a contract at the bench: what was begun by hand before it had a job, and the tool that several of them need.

use crate::common::{self, Shop};
use crate::contract_shop::{by, planned, shop, without_tools};
use axum::http::{Request, StatusCode};
use contract::Standing;
use fixtures::voice::{self, Matter, Reader};
use job::key::{serde_name, step_key};
use plan::{Step, StepKind};
use rust_decimal::Decimal;
use store::By;
use store::bench::{PlannedStep, StepAct};
use store::contract_jobs::ContractJob;
use store::counter::{JobHead, JobState, NewInstrument};
use store::states::Said;
use units::LengthUnit;
use web::app::EXAMPLE_SHOP;
use web::{contract_making, learning, when};

impl Shop {
    fn job_of(&self, id: i64, tag: &str) -> ContractJob {
        self.jobs(id).into_iter().find(|j| j.tag == tag).unwrap()
    }

    /// The steps that make or buy a tool.
    fn making_steps(&self, job: i64) -> Vec<Step> {
        self.app.job(job).unwrap().plan.steps.iter().filter(|s| s.kind == StepKind::MakeTool).cloned().collect()
    }

    fn making_step(&self, job: i64) -> Step {
        self.making_steps(job).remove(0)
    }

    /// In which job a job's tool is made: itself, or another.
    fn made_in(&self, job: i64) -> i64 {
        let plan = &self.app.job(job).unwrap().plan;
        contract_making::of(&self.app, job, plan).unwrap().elsewhere(&self.making_step(job)).map_or(job, |e| e.job)
    }

    async fn bench(&self, job: i64) -> String {
        voice::html(&self.read(&format!("/jobs/{job}/bench")).await).said.to_string()
    }

    async fn tap_step(&self, job: i64, step: &Step, act: &str, text: &str) -> (StatusCode, String) {
        self.submit(&format!("/jobs/{job}/bench"), &[("key", &step_key(step)), ("act", act), ("text", text)]).await
    }
}

/// Its job stands on its bench with the time that was marked, at the plan's price; its times move no standard.
#[tokio::test(flavor = "multi_thread")]
async fn what_was_begun_by_hand_gets_a_job_that_stands_as_begun() {
    let (shop, id) = shop();
    let store = shop.app.store();
    let page = format!("/contracts/{id}");
    let mark = async |tag: &str, time: &str| {
        let version = store.contract(id).unwrap().version.to_string();
        let fields =
            [("tag", tag), ("state", "begun"), ("level", "good"), ("bench", "bench 1"), ("time", time), ("version", version.as_str())];
        assert_eq!(shop.submit(&format!("{page}/work"), &fields).await.0, StatusCode::SEE_OTHER);
    };
    mark("H-1", "90").await;
    mark("H-2", "20").await;
    let p = planned(&shop, id);
    let begun = p.planned.of("H-1").unwrap().clone();
    assert!(begun.begun && shop.read(&page).await.contains("2 instruments were begun without one"));
    // One was cut off once it was agreed.
    let read = web::contract_ground::read_tables(&store.contract_with_texts(id).unwrap().1).unwrap();
    let survey = &read.surveys[1];
    let body = survey::kept::survey_to_json(&instrument::Survey { dents: vec![], ..survey.clone() }).unwrap();
    let dents: Vec<_> = survey.dents.iter().map(|d| (d.id.0.clone(), survey::kept::Kept::from_dent(d).to_json().unwrap())).collect();
    let new = store::contract_jobs::NewContractJob {
        contract: id,
        instrument: NewInstrument { customer: 1, kind: "trumpet", serial: "2", asset: "H-2", ..NewInstrument::default() },
        title: "cut off",
        due: None,
        person: None,
        level: "good",
        bench: "bench 1",
        price: "0",
        tools: "[]",
        survey: &body,
        dents: &dents,
        no_dents: Said { name: "", reason: "" },
    };
    let cut_off = store.open_contract_job(by(), &new).unwrap().0;
    common::give(&shop.app, by(), cut_off, "cut off");
    common::say_yes(&shop.app, by(), cut_off, "cut off");
    assert_eq!(store.job(cut_off).unwrap().state, JobState::Approved);

    shop.open(id, &[("tags", "H-1, H-2")]).await;
    let (one, two) = (shop.job_of(id, "H-1"), shop.job_of(id, "H-2"));
    assert_eq!((one.state, one.begun_before_s, one.spent_s), (JobState::OnBench, Some(5_400), 5_400));
    assert_eq!((two.job, two.state, two.begun_before_s), (cut_off, JobState::OnBench, Some(1_200)));
    let agreed = store.agreements_of(one.job).unwrap().remove(0);
    assert_eq!((agreed.total.parse::<Decimal>().unwrap(), agreed.level.as_str()), (begun.cost, "good"));
    assert!(shop.bench(one.job).await.contains("Begun before it had a job. 1 h 30 min went into it by then"));
    // The work list shows the job in the mark's place, and the plan stands as it was: nothing moved.
    let list = voice::html(&shop.read(&format!("{page}/work")).await).said.to_string();
    assert!(list.contains("1 h 30 min of it before it had a job") && !list.contains("Undo"), "{list}");
    assert!(!shop.read(&page).await.contains("Changed since"));
    let again = planned(&shop, id);
    let stands = |tag: &str| again.contract.horn(tag).unwrap().standing.clone();
    assert!(matches!(stands("H-1"), Standing::Begun { spent_min, ref bench, .. } if (spent_min - 90.0).abs() < 0.1 && bench == "bench 1"));
    assert_eq!(again.planned.of("H-1").unwrap().cost, begun.cost);
    // Whose times are not whole moves no standard, and the page of the times says why.
    let step = shop.app.job(one.job).unwrap().plan.steps[0].clone();
    assert_eq!(shop.tap_step(one.job, &step, "start", "").await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.tap_step(one.job, &step, "tick", "").await.0, StatusCode::SEE_OTHER);
    store.import_job_state(by(), one.job, JobState::Ready).unwrap();
    let sorted = learning::sorted_steps(store, &shop.app.shop().unwrap(), when::now()).unwrap();
    assert!(sorted.taken.is_empty() && sorted.left_out.values().sum::<u32>() == 1, "{:?}", sorted.left_out);
    assert_eq!((store.faults().unwrap(), store.journal_faults().unwrap()), (vec![], vec![]));
}

/// One job has the step, the others name it; declined, moved, left out or begun elsewhere, it goes to the next.
#[tokio::test(flavor = "multi_thread")]
async fn a_shared_tool_is_a_step_of_one_job_and_goes_to_the_next() {
    let (shop, id, p) = without_tools(EXAMPLE_SHOP).await;
    let store = shop.app.store();
    let plan = shop.app.job(shop.job_of(id, "H-1").job).unwrap().plan.clone();
    let id_of = plan::tool_steps(&plan.tools_to_make, &plan.steps)
        .iter()
        .find(|t| t.1.number == shop.making_step(shop.job_of(id, "H-1").job).number)
        .unwrap()
        .0
        .words()
        .metric();
    let tool = p.planned.visits.iter().find(|v| v.tool.as_ref() == Some(&id_of)).map(|v| (id_of.clone(), v.tag.clone())).unwrap();
    let sharing: Vec<ContractJob> = shop.jobs(id).into_iter().filter(|j| web::contract_jobs::needs_tool(j, &tool.0).unwrap()).collect();
    assert!(sharing.len() >= 4, "{}", sharing.len());
    let first = shop.job_of(id, &tool.1);
    let others: Vec<&ContractJob> = sharing.iter().filter(|j| j.job != first.job).collect();
    // The one for which the plan makes it, as the work list has it.
    for j in &sharing {
        assert_eq!(shop.made_in(j.job), first.job, "{}", j.tag);
    }
    let bench = shop.bench(first.job).await;
    assert!(bench.contains("The school contract pays this tool once.") && bench.contains(&others[0].tag), "{bench}");
    let steps = shop.app.job(others[0].job).unwrap().plan.steps.len();
    let makes = shop.making_steps(others[0].job).len();
    let bench = shop.bench(others[0].job).await;
    assert!(bench.contains(&format!("To be made in job {} ({})", first.job, first.tag)), "{bench}");
    assert!(bench.contains(&format!("0 of {} steps done", steps - makes)), "{bench}");
    let plan = voice::html(&shop.read(&format!("/jobs/{}/plan", others[0].job)).await).said.to_string();
    assert!(plan.contains(&format!("To be made in job {}", first.job)), "{plan}");
    // What is not there holds up the work that needs it; it is no step that is ticked there.
    let step = shop.making_step(others[0].job);
    let (status, said) = shop.tap_step(others[0].job, &step, "tick", "").await;
    assert!(status == StatusCode::CONFLICT && said.contains("no step of this job"), "{}", voice::html(&said).said);
    let needs = shop.app.job(others[0].job).unwrap().plan.steps.iter().find(|s| s.after.contains(&step.number)).unwrap().clone();
    let (status, _) = shop.tap_step(others[0].job, &needs, "start", "").await;
    assert!(status.is_client_error());
    let (path, inches) = (format!("/jobs/{}/bench", others[0].job), Reader::new(LengthUnit::Inch, vec![]));
    let (_, _, page) = shop.send_as(Request::get(path.clone()), "trueround_units=in", "").await;
    voice::none(inches.faults(&path, &voice::html(&String::from_utf8_lossy(&page)).said, Matter::Said));
    let (status, _, pdf) = shop.send(Request::get(format!("/jobs/{}/bench-card.pdf", others[0].job)), "").await;
    assert!(status.is_success() && pdf.starts_with(b"%PDF"));
    // Why the tool is as it is stands on the paper of the job that makes it.
    let mut explained = Vec::new();
    for job in [first.job, others[0].job] {
        let (_, _, pdf) = shop.send(Request::get(format!("/jobs/{job}/reasons.pdf")), "").await;
        let document = lopdf::Document::load_mem(&pdf).unwrap();
        let pages: Vec<u32> = document.get_pages().keys().copied().collect();
        let said: String = document.extract_text(&pages).unwrap().split_whitespace().collect();
        explained.push(said.contains(&id_of.split_whitespace().collect::<String>()) && said.contains("Toolstomakeorbuy"));
    }
    assert_eq!(explained, [true, false]);

    // Declined it goes to the one that is due first.
    store.decline_job(by(), first.job, Said::both("Principal Hale", "sold")).unwrap();
    let next = shop.made_in(others[0].job);
    assert!(next != first.job && others.iter().all(|j| shop.made_in(j.job) == next));
    let due = |job: i64| shop.jobs(id).into_iter().find(|j| j.job == job).unwrap().due;
    assert!(others.iter().all(|j| (due(next), next) <= (due(j.job), j.job)));
    // Moved to a later day, to the next again.
    let head = store.job(next).unwrap();
    store.change_job(by(), next, head.version, &JobHead { title: &head.title, words: "", due: Some("2099-01-01"), bench: None }).unwrap();
    let third = shop.made_in(next);
    assert_ne!(third, next);
    // Left out there: the next is told why, and the one that left it out goes on.
    let step = shop.making_step(third);
    assert_eq!(shop.tap_step(third, &step, "skip", "the bar is too thin").await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.made_in(third), third);
    let fourth = shop.made_in(next);
    assert_ne!(fourth, third);
    assert!(shop.bench(fourth).await.contains(&format!("Job {third} left it out: the bar is too thin")));
    // Who needs it now makes it: it is begun there, and stays there.
    let hurried = others.iter().map(|j| j.job).find(|j| *j != fourth && *j != third).unwrap();
    let step = shop.making_step(hurried);
    let (status, _) = shop.tap_step(hurried, &step, "start", "").await;
    assert_eq!((status, shop.made_in(hurried), shop.made_in(fourth)), (StatusCode::SEE_OTHER, hurried, hurried));
    assert!(shop.bench(fourth).await.contains(&format!("Being made in job {hurried}")));
    let (status, _) = shop.tap_step(fourth, &shop.making_step(fourth), "start", "").await;
    assert_eq!(status, StatusCode::CONFLICT);
    for s in shop.making_steps(hurried) {
        assert_eq!(shop.tap_step(hurried, &s, "start", "").await.0, StatusCode::SEE_OTHER);
        assert_eq!(shop.tap_step(hurried, &s, "tick", "").await.0, StatusCode::SEE_OTHER);
    }
    assert!(shop.bench(fourth).await.contains(&format!("Made in job {hurried}")));
    // The work that needs it may begin, and the job is ready without that step.
    let plan = shop.app.job(fourth).unwrap().plan.clone();
    let making = contract_making::of(&shop.app, fourth, &plan).unwrap();
    let required = web::pages::acceptance::required(&shop.app.job(fourth).unwrap(), &making, web::unit_format::UnitFormat::default());
    assert_eq!(required.steps.len(), plan.steps.len() - shop.making_steps(fourth).len());
    for s in plan.steps.iter().filter(|s| s.kind != StepKind::MakeTool) {
        let (status, said) = shop.tap_step(fourth, s, "tick", "").await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{}", voice::html(&said).said);
    }
    assert!(shop.read(&format!("/jobs/{fourth}/checks")).await.contains("checks still to take"));
    assert!(!shop.read(&format!("/jobs/{fourth}/checks")).await.contains("steps are open"));
    assert_eq!((store.faults().unwrap(), store.journal_faults().unwrap()), (vec![], vec![]));
}

/// Finished jobs of a contract move the shop's standards as others do. What the shared tool took goes to the making of tools: it is in no
/// instrument's time, neither in the contract's nor where past quotes are looked at.
#[tokio::test(flavor = "multi_thread")]
async fn finished_jobs_of_a_contract_teach_as_others_do() {
    let (shop, id, p) = without_tools(EXAMPLE_SHOP).await;
    let store = shop.app.store();
    let ramon = store.add_person(by(), "ramon", "Ramon Achterberg", store::people::PersonRole::Technician, "-").unwrap();
    let (times, making_times) = (1.4, 3.0);
    let mut begin = when::now() - 400_000;
    let (mut made, mut took) = (0, std::collections::BTreeMap::new());
    for j in shop.jobs(id) {
        let planned = shop.app.job(j.job).unwrap();
        let elsewhere = contract_making::of(&shop.app, j.job, &planned.plan).unwrap();
        for step in planned.plan.steps.iter().filter(|s| !elsewhere.is_elsewhere(s)) {
            let (key, timed_by) = (step_key(step), learning::timed_by(step, &planned.shop.standards).unwrap());
            let making = step.kind == StepKind::MakeTool;
            let seconds = (step.minutes.mean() * 60.0 * if making { making_times } else { times }) as i64;
            let what = step.what.metric();
            let of = PlannedStep { key: &key, kind: serde_name(step), what: &what, likely_s: 60, timed_by: &timed_by };
            store.act_on_step(By { who: "ramon", at: begin }, j.job, &of, ramon, StepAct::Start).unwrap();
            begin += seconds;
            store.act_on_step(By { who: "ramon", at: begin }, j.job, &of, ramon, StepAct::Tick).unwrap();
            made += i32::from(making);
            *took.entry(j.job).or_insert(0) += if making { 0 } else { seconds };
        }
        store.import_job_state(by(), j.job, JobState::Ready).unwrap();
    }
    // Each tool once, however many need it.
    assert_eq!(usize::try_from(made).unwrap(), p.planned.tools.len());
    assert!(learning::renew(store, by(), &shop.app.shop().unwrap()).unwrap());
    let learned = learning::read(store, &learning::in_use(store).unwrap()).unwrap().unwrap();
    assert_eq!(learned.basis.jobs, 6);
    let of = |kind: StepKind| learned.standards.iter().find(|s| s.kind == kind).unwrap();
    let moved = |kind: StepKind| of(kind).log_mean.exp();
    assert_eq!(i32::try_from(of(StepKind::MakeTool).steps).unwrap(), made);
    // Six jobs of steps at 1.4 times move a standard most of the way there; the tool's own goes its own way.
    assert!((1.2..1.5).contains(&moved(StepKind::Dent)), "{}", moved(StepKind::Dent));
    assert!(moved(StepKind::MakeTool) > 1.15 * moved(StepKind::Dent), "{}", moved(StepKind::MakeTool));
    // The instruments' own times hold nothing of it.
    for j in shop.jobs(id) {
        assert_eq!(j.spent_s, took[&j.job], "{}", j.tag);
    }
    let (past, unknown) = learning::past(store).unwrap();
    assert_eq!((past.len(), unknown), (6, 0));
    let said: f64 = past.iter().map(|p| p.took_min / p.said.mean_min).sum::<f64>() / 6.0;
    assert!((said / times - 1.0).abs() < 0.03, "{said}");
    // A horn that comes by itself is quoted by what they taught.
    let next = planned(&shop, id);
    assert!(!next.ground.learned.is_empty());
}
