//! What is learned against the closed form, against scipy, and over simulated shops.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{ALL_SHOPS, SimShop};
use instrument::Kind;
use plan::{StepKind, Within};
use quote::learn::{Effect, Learned, Posterior, Sorted, Spreads, Taken, applied, learned, posterior_until, times_of};
use quote::{Shop, Times};
use reach::MethodKind;
use std::collections::BTreeMap;
use units::ThreePoint;

const STEPS: &str = include_str!("data/learning_steps.csv");
const FIGURES: &str = include_str!("data/learning_posterior.csv");

fn kind(name: &str) -> StepKind {
    serde_json::from_value(name.into()).unwrap()
}

fn within(name: &str) -> Option<Within> {
    (!name.is_empty()).then(|| Within::Method(serde_json::from_value::<MethodKind>(name.into()).unwrap()))
}

fn family(name: &str) -> Kind {
    serde_json::from_value(name.into()).unwrap()
}

/// The invented steps of `benches/peers/learning_posterior.py`.
fn steps() -> Vec<Taken> {
    let line = |l: &str| {
        let f: Vec<&str> = l.split(',').collect();
        let number = |i: usize| f[i].parse::<f64>().unwrap();
        Taken {
            job: f[0].parse().unwrap(),
            kind: kind(f[1]),
            within: within(f[2]),
            person: Some(f[3].to_owned()),
            family: family(f[4]),
            standard: ThreePoint::new(number(5), number(6), number(7)),
            took_min: number(8),
            done_at: 0,
        }
    };
    STEPS.lines().skip(1).map(line).collect()
}

/// What it printed: `/tmp/peers/bin/python benches/peers/learning_posterior.py`, numpy 2 and scipy 1.
fn figures(what: &str) -> BTreeMap<String, (f64, f64)> {
    let line = |l: &str| {
        let f: Vec<&str> = l.split(',').collect();
        (f[0] == what).then(|| (f[1].to_owned(), (f[2].parse().unwrap(), f[3].parse().unwrap())))
    };
    FIGURES.lines().skip(1).filter_map(line).collect()
}

fn before() -> Spreads {
    let all = steps();
    let usual = all.iter().map(|t| t.standard.log_variance().clamp(0.01, 1.0)).sum::<f64>() / all.len() as f64;
    Spreads::before(0.3, usual)
}

fn after(until: (f64, usize)) -> Posterior {
    posterior_until(until, &steps(), &before(), |_| 0.0).unwrap()
}

fn effect(name: &str) -> Option<Effect> {
    let f: Vec<&str> = name.split(' ').collect();
    Some(match f[0] {
        "shop" => Effect::Shop,
        "kind" => Effect::Kind(kind(f[1])),
        "within" => Effect::Within(kind(f[1]), within(f[2]).unwrap()),
        "person" => Effect::Person(f[1].to_owned()),
        "family" => Effect::Family(kind(f[1]), family(f[2])),
        _ => return None,
    })
}

/// One kind, one step a job, one person, one instrument: all effects fold into one normal mean. Prior variance of their sum τ², of a step's
/// figure σ² (its job's and its rest's): posterior mean n·ȳ/σ² / (1/τ² + n/σ²), variance 1/(1/τ² + n/σ²) (DeGroot 1970, chapter 9).
#[test]
fn with_one_of_each_it_is_the_normal_mean_of_the_books() {
    let standard = ThreePoint::new(20.0, 35.0, 70.0);
    let ratios = [1.3, 0.9, 1.6, 1.1, 1.2];
    let taken: Vec<Taken> = ratios
        .iter()
        .zip(1..)
        .map(|(r, job)| Taken {
            job,
            kind: StepKind::Patch,
            within: None,
            family: Kind::Tuba,
            person: Some("ana".to_owned()),
            standard,
            took_min: r * standard.mean(),
            done_at: job,
        })
        .collect();
    let v = standard.log_variance();
    let s = Spreads::before(0.3, v);
    let p = posterior_until((0.0, 0), &taken, &s, |_| 0.0).unwrap();
    let sum = [Effect::Shop, Effect::Kind(StepKind::Patch), Effect::Person("ana".to_owned()), Effect::Family(StepKind::Patch, Kind::Tuba)];
    let (mean, variance) = p.of(&sum.map(|e| (e, 1.0)));
    let (tau2, sigma2, n) = (s.shop + s.kind + s.person + s.family, s.job + s.rest * v, 5.0);
    let average = ratios.iter().map(|r: &f64| r.ln() + 0.5 * v).sum::<f64>() / n;
    let precision = 1.0 / tau2 + n / sigma2;
    assert!((mean - n * average / sigma2 / precision).abs() < 1e-12 && (variance - 1.0 / precision).abs() < 1e-12, "{mean} {variance}");
}

#[test]
fn the_posterior_is_that_of_another_algebra() {
    let (p, theirs) = (after((0.0, 0)), figures("given"));
    let mut seen = 0;
    for (name, (mean, sd)) in &theirs {
        let (ours, deviation) = match effect(name) {
            Some(e) => {
                let (m, v) = p.of(&[(e, 1.0)]);
                (m, v.sqrt())
            }
            None => {
                let job: i64 = name.strip_prefix("job ").unwrap().parse().unwrap();
                let j = p.jobs.iter().find(|(id, _)| *id == job).unwrap().1;
                (j.mean, j.variance.sqrt())
            }
        };
        assert!((ours - mean).abs() < 1e-6 && (deviation - sd).abs() < 1e-6, "{name}: {ours} ± {deviation}, by numpy {mean} ± {sd}");
        seen += 1;
    }
    assert_eq!(seen, p.effects().count() + p.jobs.len());
}

/// EM ends where scipy's optimiser of the marginal posterior ends.
#[test]
fn the_variances_are_at_the_mode_that_scipy_finds() {
    let p = after((1e-12, 20_000));
    assert!(p.settled && p.winsorised == 0);
    let theirs = figures("mode");
    for (name, (value, _)) in &theirs {
        let ours = match name.as_str() {
            "kind" => p.spreads.kind,
            "within" => p.spreads.within,
            "person" => p.spreads.person,
            "family" => p.spreads.family,
            "job" => p.spreads.job,
            rest => p.spreads.rest_of(kind(rest.strip_prefix("rest ").unwrap())),
        };
        assert!((ours / value - 1.0).abs() < 1e-4, "{name}: {ours}, by scipy {value}");
    }
    // Where the program stops no variance is off by more than a twentieth of itself.
    let stopped = after(quote::learn::model::SETTLED);
    assert!((stopped.spreads.job / p.spreads.job - 1.0).abs() < 0.05 && (stopped.spreads.kind / p.spreads.kind - 1.0).abs() < 0.05);
}

/// A job that is to come, by the closed form, against one thrown 20,000 times with the variances drawn from their posterior. The closed form
/// leaves out that the variances are known only so well, and takes the sum as lognormal: it may be off by a twentieth.
#[test]
fn a_job_to_come_is_about_that_of_a_numerical_posterior() {
    let sorted = Sorted { taken: steps(), ..Sorted::default() };
    let l = learned(&sorted, 0.3, |_| None).unwrap();
    let shop = applied(Shop::common_practice(), Some(&l), None, Kind::Tuba);
    let dent = |m: MethodKind, a: f64, b: f64, c: f64| (StepKind::Dent, Some(Within::Method(m)), ThreePoint::new(a, b, c));
    let job = [
        (StepKind::Clean, None, ThreePoint::new(15.0, 25.0, 45.0)),
        dent(MethodKind::Mandrel, 5.0, 9.0, 20.0),
        dent(MethodKind::Mandrel, 5.0, 9.0, 20.0),
        dent(MethodKind::StraightRod, 4.0, 10.0, 30.0),
        dent(MethodKind::BallTrain, 8.0, 14.0, 28.0),
        dent(MethodKind::BallTrain, 8.0, 14.0, 28.0),
        (StepKind::Crease, None, ThreePoint::new(4.0, 8.0, 20.0)),
        (StepKind::TrueFit, None, ThreePoint::new(10.0, 20.0, 50.0)),
    ];
    let times = times_of(&shop, job.iter().map(|(k, w, t)| shop.standards.timed.factor(*k, *w).on(*t)));
    let theirs = figures("job");
    for (name, ours) in [("P10", times.p10_min), ("P50", times.p50_min), ("P90", times.p90_min)] {
        let (value, _) = theirs[name];
        println!("{name}: {ours:.1} min, numerically {value:.1} min");
        assert!((ours / value - 1.0).abs() < 0.05, "{name}: {ours} against {value}");
    }
}

/// What became of jobs to come.
#[derive(Default)]
struct Held {
    /// The part at or under their P90, by what was learned.
    under: f64,
    /// The same by the start-up figures.
    under_at_start: f64,
    /// Width of the range over the one that would hold nine in ten where nothing was timed, the shop's own level unknown.
    width: f64,
    /// The width that start-up figures say, over the same.
    width_at_start: f64,
}

const TO_COME: usize = 40;

fn relative(t: &Times) -> f64 {
    (t.p90_min / t.p10_min).ln()
}

fn held(shop: &mut SimShop, jobs: usize) -> (Held, Learned) {
    let taken: Vec<Taken> = (0..jobs).flat_map(|_| shop.job()).collect();
    let l = learned(&Sorted { taken, ..Sorted::default() }, 0.3, |_| None).unwrap();
    let start = Shop::common_practice();
    let mut h = Held::default();
    for _ in 0..TO_COME {
        let job = shop.job();
        let took: f64 = job.iter().map(|t| t.took_min).sum();
        let with = applied(start.clone(), Some(&l), None, job[0].family);
        let times = times_of(&with, job.iter().map(|t| with.standards.timed.factor(t.kind, t.within).on(t.standard)));
        let at_start = times_of(&start, job.iter().map(|t| t.standard));
        let blind = shop.blind_range(&job);
        let part = 1.0 / TO_COME as f64;
        h.under += part * f64::from(u8::from(took <= times.p90_min));
        h.under_at_start += part * f64::from(u8::from(took <= at_start.p90_min));
        h.width += part * relative(&times) / blind;
        h.width_at_start += part * relative(&at_start) / blind;
    }
    (h, l)
}

/// 200 shops after 200 jobs each, 40 of each kind. Where the model fits, P90 holds 87 to 93 of 100 jobs; where it does not, what it is.
/// Printed by `cargo test -p quote@0.1.0 --test learning -- --nocapture`.
#[test]
fn nine_in_ten_of_simulated_jobs_are_done_by_their_p90() {
    for (name, range, make) in ALL_SHOPS {
        let (mut sum, mut winsorised, mut drifting) = (Held::default(), 0, 0);
        let n = 40;
        for seed in 0..n {
            let (h, l) = held(&mut make(1000 + 17 * seed), 200);
            let part = 1.0 / n as f64;
            sum.under += part * h.under;
            sum.under_at_start += part * h.under_at_start;
            sum.width += part * h.width;
            sum.width_at_start += part * h.width_at_start;
            winsorised += l.winsorised;
            drifting += usize::from(l.drift.is_some() || l.standards.iter().any(|s| s.drift.is_some()));
        }
        println!(
            "{name}: {:.1} % at or under P90 (held to {:.0} to {:.0} %), {:.1} % by start-up figures; range {:.2} of the one that would hold nine in ten with nothing timed, start-up figures say {:.2} of it; {winsorised} steps taken as less far; drift told in {drifting} of {n} shops",
            100.0 * sum.under,
            100.0 * range.0,
            100.0 * range.1,
            100.0 * sum.under_at_start,
            sum.width,
            sum.width_at_start,
        );
        assert!((range.0..=range.1).contains(&sum.under), "{name}: {}", sum.under);
        assert!(sum.width < 0.8, "{name}: ranges did not narrow: {}", sum.width);
    }
}

#[test]
fn few_jobs_leave_the_range_wider_than_many() {
    let after = |jobs: usize| {
        let all: Vec<Held> = (0..30).map(|s| held(&mut SimShop::of_the_model(50 + s), jobs).0).collect();
        let mean = |f: fn(&Held) -> f64| all.iter().map(f).sum::<f64>() / all.len() as f64;
        (mean(|h| h.width), mean(|h| h.under))
    };
    let ((few, held_few), (many, held_many)) = (after(1), after(150));
    println!("range {few:.2} after 1 job ({:.0} % held), {many:.2} after 150 ({:.0} %)", 100.0 * held_few, 100.0 * held_many);
    assert!(many < few && held_few > 0.8, "{few} {held_few} {many} {held_many}");
}

/// A step twenty times as long moves what is believed no more than one three deviations off does.
#[test]
fn one_absurd_step_moves_little() {
    let with = |ratio: f64| {
        let mut all = steps();
        let mut odd = all[0].clone();
        odd.took_min = ratio * odd.standard.mean();
        all.push(odd);
        let l = learned(&Sorted { taken: all, ..Sorted::default() }, 0.3, |_| None).unwrap();
        (l.standards.iter().find(|s| s.kind == StepKind::Dent && s.within.is_none()).unwrap().after.mean(), l.winsorised)
    };
    let ((plain, none), (odd, one)) = (with(1.0), with(19.0));
    assert!((none, one) == (0, 1) && odd > plain && odd / plain < 1.08, "{plain} {odd}");
}

/// A new person starts from everybody's pace or from what the owner set, and moves to their own.
#[test]
fn a_persons_pace_moves_from_what_was_set_to_what_was_timed() {
    let mut shop = Shop::common_practice();
    let person =
        |name: &str, pace: f64| quote::Person { name: name.to_owned(), bench: String::new(), pace, per_hour: None, skills: vec![] };
    shop.people = vec![person("ana", 1.0), person("dora", 1.6)];
    let over = |l: Option<&Learned>, name: &str| quote::learn::pace_of(&shop, l, name).over_shop;
    assert!((over(None, "dora") - 1.6).abs() < 1e-12 && (over(None, "nobody") - 1.0).abs() < 1e-12);
    let taught = |of_dora: usize, ratio: f64| {
        let mut all = steps();
        let like = all[2].clone();
        let dora = (0..of_dora).map(|i| Taken {
            person: Some("dora".to_owned()),
            took_min: ratio * like.standard.mean(),
            job: 100 + i as i64,
            ..like.clone()
        });
        all.extend(dora);
        learned(&Sorted { taken: all, ..Sorted::default() }, 0.3, |n| shop.people.iter().find(|p| p.name == n).map(|p| p.pace)).unwrap()
    };
    let (none, few, many) = (taught(0, 1.0), taught(2, 1.0), taught(80, 1.0));
    let [a, b, c] = [&none, &few, &many].map(|l| over(Some(l), "dora"));
    assert!(a > 1.3 && b < a && c < b, "{a} {b} {c}");
    // Nobody set or timed: everybody's.
    assert!((over(Some(&many), "erik") - 1.0).abs() < 1e-12);
}
