//! Every pattern, dents all over it: each dent ends with a way or with a reason for each way ruled out.

mod common;
use common::*;
use reach::{Method, ToolChoice};

#[test]
fn every_dent_of_every_pattern_gets_an_answer() {
    use instrument::Kind::*;
    for kind in [Trumpet, Cornet, Flugelhorn, Trombone, Horn, AltoHorn, Baritone, Euphonium, Tuba, Sousaphone, Bugle] {
        let s = dents_all_over(kind, instrument::patterns::pattern(kind).expect("the pattern stands").runs.len());
        let assessments = dent::assess_all(&s);
        assert_eq!(assessments.len(), s.dents.len());
        for w in reach::ways(&s, &assessments, &rack()) {
            let methods = |m: Method| w.ways.iter().any(|x| x.method == m) || w.ruled_out.iter().any(|x| x.method == m);
            assert!(
                !w.ways.is_empty()
                    || [Method::StraightRod, Method::Mandrel, Method::BallTrain, Method::PullOutside].into_iter().all(methods),
                "{kind:?} {}",
                show(&w)
            );
            for way in &w.ways {
                assert!(
                    way.force_hand_n.value.is_finite() && way.force_hand_n.value <= way.force_limit_n * 1.0001,
                    "{kind:?} {}",
                    show(&w)
                );
                assert!((0.0..=1.0).contains(&way.risk) && (0.0..=1.0).contains(&way.truth) && way.minutes.mean() > 0.0);
                assert!(!way.because.contains("NaN") && !way.because.contains("inf "), "{}", way.because);
                if let ToolChoice::Rack { tools } = &way.tool {
                    assert!(tools.iter().all(|t| rack().tools.iter().any(|r| r.id == *t)), "only tools of the rack count");
                }
            }
        }
    }
}

/// The metal itself made harder (not only a force stated in the test): every force at the hand rises.
#[test]
fn a_harder_temper_raises_every_force() {
    let soft = dents_all_over(instrument::Kind::Tuba, 12);
    let mut hard = soft.clone();
    for r in &mut hard.instrument.runs {
        r.temper.points.iter_mut().for_each(|p| p.value += 2.0);
    }
    let (a, b) = (dent::assess_all(&soft), dent::assess_all(&hard));
    let (ws, wh) = (reach::ways(&soft, &a, &rack()), reach::ways(&hard, &b, &rack()));
    let mut seen = 0;
    for (s, h) in ws.iter().zip(&wh) {
        for x in &s.ways {
            if let Some(y) = h.ways.iter().find(|y| y.method == x.method && y.opens == x.opens && y.train.len() == x.train.len()) {
                assert!(y.force_hand_n.value > x.force_hand_n.value, "{}{}", show(s), show(h));
                seen += 1;
            }
        }
    }
    assert!(seen > 10);
}

#[test]
#[ignore = "for looking: KIND as in the survey file"]
fn look() {
    let kind = match std::env::var("KIND").as_deref() {
        Ok("trumpet") => instrument::Kind::Trumpet,
        Ok("trombone") => instrument::Kind::Trombone,
        Ok("horn") => instrument::Kind::Horn,
        _ => instrument::Kind::Tuba,
    };
    let s = dents_all_over(kind, instrument::patterns::pattern(kind).expect("the pattern stands").runs.len());
    for w in reach::ways(&s, &dent::assess_all(&s), &rack()) {
        eprintln!("{}", show(&w));
    }
}
