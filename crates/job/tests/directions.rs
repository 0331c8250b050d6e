//! What the trade expects when one thing about a dent changes, through the whole job: methods, force, risk and price.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::{dent, survey};
use instrument::{Dent, Instrument, Kind, Point, patterns};
use job::Job;
use reach::{MethodKind, Opened};

/// What a repairer asks of a job with one dent.
#[derive(Debug)]
struct Facts {
    /// Methods that reach it, each once.
    methods: Vec<MethodKind>,
    /// Every method from inside: its kind and what it opens, its size in mm, its force at the hand in N.
    inside: Vec<((MethodKind, Vec<Opened>), f64, f64)>,
    /// What the wall asks, N.
    wall_n: f64,
    /// What the chosen method asks of the hand or the press, N.
    hand_n: Option<f64>,
    /// The same over what the tool or the person bears there.
    borne: Option<f64>,
    /// Working size of the chosen method, mm.
    size_mm: Option<f64>,
    /// How it is done.
    chosen: Option<MethodKind>,
    /// Minutes of work on the dent by the chosen method.
    work_min: f64,
    /// Likelihood that the metal cracks or the method spoils it.
    risk: f64,
    /// Expected cost of working it: time, finish, risks.
    cost: f64,
    /// Price of making it good.
    price: f64,
    /// What easing the tool marks takes of it.
    easing: f64,
    /// The metal is soft by then.
    annealed: bool,
    /// Why it is not done.
    not_done: Option<String>,
}

fn facts(job: &Job) -> Facts {
    let mut methods: Vec<MethodKind> = job.methods[0].methods.iter().map(|w| w.kind).collect();
    methods.sort_unstable();
    methods.dedup();
    let choice = job.plan.choices.first();
    let offer = &job.quote.offers[1];
    let from_inside = job.methods[0].methods.iter().filter(|w| w.passage.is_some());
    Facts {
        methods,
        inside: from_inside.map(|w| ((w.kind, w.opens.clone()), w.size_mm, w.force_hand_n.value)).collect(),
        wall_n: job.assessments[0].force_inside_n.value,
        hand_n: choice.map(|c| c.method.force_hand_n.value),
        borne: choice.map(|c| c.method.force_hand_n.value / c.method.force_limit_n),
        size_mm: choice.map(|c| c.method.size_mm),
        chosen: choice.map(|c| c.method.kind),
        work_min: choice.map_or(0.0, |c| c.method.minutes.mean()),
        risk: job.assessments[0].crack_likelihood.value + choice.map_or(0.0, |c| c.method.risk),
        cost: job.plan.certificate.cost_money,
        easing: job.plan.steps.iter().filter(|s| s.kind == plan::StepKind::Finish).map(|s| s.minutes.mean()).sum::<f64>()
            * job.shop.standards.labour_per_hour
            / 60.0,
        price: offer.bill.total.to_string().parse().unwrap(),
        annealed: choice.is_some_and(|c| c.method.annealed),
        not_done: job.plan.not_done.first().map(|n| n.because.metric()),
    }
}

fn pattern() -> Instrument {
    patterns::pattern(Kind::Tuba).unwrap()
}

/// The pattern with one temper everywhere, numbers hard.
fn with_temper(numbers: f64) -> Instrument {
    let mut i = pattern();
    for run in &mut i.runs {
        run.temper.points = run.temper.points.iter().map(|p| Point { value: numbers, sd: 0.2, ..*p }).collect();
    }
    i
}

fn one(instrument: Instrument, dent: Dent) -> Facts {
    facts(&worked(survey(instrument, vec![dent])))
}

/// The trade: on the straight a stiff tool goes in beside the dent; in the middle of a bend none does, and what goes round
/// pushes less surely, slower and with more marks.
#[test]
fn moved_from_the_straight_into_the_middle_of_a_bend() {
    // The fourth slide's loop: 434 mm straight, half a turn, 434 mm straight, one bore, one wall; its far end opens when the
    // slide is pulled. (A bend is softer than a drawn tube in the pattern; here only the place is to differ.)
    let length = pattern().run(&"fourth-slide-loop".into()).unwrap().length_mm();
    let at = |mm: f64| one(with_temper(2.0), dent("d", "fourth-slide-loop", mm, 1.5, 15.0, 12.0));
    let (straight, bent) = (at(length - 150.0), at(0.5 * length));
    let stiff = |f: &Facts| f.methods.iter().any(|m| matches!(m, MethodKind::StraightRod | MethodKind::Mandrel));
    assert!(stiff(&straight) && !stiff(&bent), "{straight:?} {bent:?}");
    assert!(bent.methods.len() < straight.methods.len(), "{straight:?} {bent:?}");
    if bent.chosen == straight.chosen {
        assert!(bent.hand_n.unwrap() > straight.hand_n.unwrap() && bent.borne.unwrap() > straight.borne.unwrap(), "{straight:?} {bent:?}");
    }
    assert!(bent.risk >= straight.risk && bent.cost > straight.cost && bent.work_min > straight.work_min, "{straight:?} {bent:?}");
    // Where a mandrel is rubbed over from outside its marks are eased; balls from inside leave none. That is all that may make up for it.
    assert!(bent.price - bent.easing > straight.price - straight.easing, "{straight:?} {bent:?}");
}

/// The trade: a small bore cannot be pushed at: what goes in is thinner and bears less, so that the same dent asks more of it
/// and is no quicker.
#[test]
fn the_bore_halved() {
    let halved = || {
        let mut i = pattern();
        for run in &mut i.runs {
            run.bore_mm.points = run.bore_mm.points.iter().map(|p| Point { value: p.value / 2.0, ..*p }).collect();
        }
        i
    };
    let d = |part: f64| dent("d", "second-branch", 330.0, 4.0 * part, 22.0 * part, 16.0 * part);
    let (wide, narrow) = (one(pattern(), d(1.0)), one(halved(), d(1.0)));
    // No kind of method is won. (How many ways in are listed says nothing: one that beats others takes them off the list.) Wherever
    // a kind comes in to both, what goes in is half as thick, and the easiest of it asks more force.
    assert!(narrow.methods.iter().all(|m| wide.methods.contains(m)), "{wide:?} {narrow:?}");
    let easiest = |f: &Facts, key: &(MethodKind, Vec<Opened>)| {
        f.inside.iter().filter(|w| w.0 == *key).map(|w| (w.1, w.2)).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let both: Vec<_> = wide.inside.iter().filter_map(|w| Some((easiest(&wide, &w.0)?, easiest(&narrow, &w.0)?))).collect();
    assert!(both.len() >= 4, "{wide:?} {narrow:?}");
    assert!(both.iter().all(|(w, n)| (n.0 / w.0 - 0.5).abs() < 0.02 && n.1 > 1.1 * w.1), "{both:?}");
    assert!(narrow.size_mm.unwrap() < wide.size_mm.unwrap(), "{wide:?} {narrow:?}");
    if narrow.chosen == wide.chosen {
        assert!(narrow.borne.unwrap() > wide.borne.unwrap() && narrow.work_min >= wide.work_min, "{wide:?} {narrow:?}");
    }
    // In all it costs no less to speak of; somewhat less it may, because a narrow joint is quicker heated than a wide one.
    assert!(narrow.cost > 0.9 * wide.cost, "{wide:?} {narrow:?}");
    // A dent that takes the same part of the half bore is bent twice as sharply in the same wall: more likely to crack.
    let small = one(halved(), d(0.5));
    assert!(small.risk > wide.risk, "{wide:?} {small:?}");
}

/// The trade: the deeper, the more force, the more risk, the longer and the dearer; until nothing passes beneath it and
/// another method has to be found, or none is. Deep enough to be annealed it may be done cheaper: soft, a mandrel bears what hard metal
/// would bend it with, and no bow is opened for balls; so costs compare within one temper.
#[test]
fn deepened_until_nothing_passes_beneath_it() {
    let deep: Vec<Facts> =
        [2.0, 4.0, 7.0, 19.0].iter().map(|mm| one(pattern(), dent("d", "first-branch", 250.0, *mm, 24.0, 19.0))).collect();
    for w in deep[..3].windows(2) {
        assert!(w[1].wall_n > w[0].wall_n, "{w:?}");
        // A hammer marks more than a ball: risks compare within one method.
        if w[1].chosen == w[0].chosen {
            assert!(w[1].risk > w[0].risk, "{w:?}");
        }
        if w[1].annealed == w[0].annealed {
            assert!(w[1].cost > w[0].cost && w[1].price > w[0].price, "{w:?}");
        }
        // No method is won, and the head that still goes in beside it gets no larger.
        assert!(w[1].methods.iter().all(|m| w[0].methods.contains(m)), "{w:?}");
        if w[1].chosen == w[0].chosen {
            assert!(w[1].size_mm.unwrap() <= w[0].size_mm.unwrap(), "{w:?}");
        }
    }
    // A ball is driven through the shallow ones; under the deepest there is no room for one to begin with.
    assert!(deep[0].methods.contains(&MethodKind::BallTrain) && !deep[3].methods.contains(&MethodKind::BallTrain), "{deep:?}");
    match &deep[3].not_done {
        // The price holds no risk, and pulling from outside opens no joint: it may be less than where joints are heated.
        None => assert!(deep[3].cost > deep[2].cost, "{deep:?}"),
        Some(why) => assert!(!why.is_empty()),
    }
}

/// The trade: hard metal asks more force and cracks sooner; soft metal gives.
#[test]
fn a_harder_temper() {
    let at = |numbers: f64| one(with_temper(numbers), dent("d", "third-branch", 300.0, 6.0, 26.0, 24.0));
    let tempers: Vec<Facts> = [0.5, 2.0, 4.0].iter().map(|n| at(*n)).collect();
    for w in tempers.windows(2) {
        assert!(w[1].wall_n > w[0].wall_n && w[1].risk > w[0].risk, "{w:?}");
        // A person pushes with what he has and lifts less each time, until it only springs back; then another method stands in.
        if w[1].chosen == w[0].chosen {
            assert!(w[1].hand_n.unwrap() >= w[0].hand_n.unwrap() && w[1].borne.unwrap() >= w[0].borne.unwrap(), "{w:?}");
        }
        assert!(w[1].cost > w[0].cost && w[1].price > w[0].price, "{w:?}");
        // No method is won. (How many methods are listed says nothing: one that beats others takes them off the list.)
        assert!(w[1].methods.iter().all(|m| w[0].methods.contains(m)), "{w:?}");
    }
}
