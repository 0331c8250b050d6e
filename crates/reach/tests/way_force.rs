//! Properties of the force along the way, of the law by itself and of the methods over random surveys.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use fixtures::{Dice, dents_all_over, rack};
use instrument::Kind;
use proptest::prelude::*;
use reach::drive_force::FRICTION;
use reach::way_force::{Carrier, LOCKED_N, Stretch, Way};
use reach::{Leads, MethodKind, STUCK_SPOILS};

fn stretch() -> impl Strategy<Value = Stretch> {
    (10.0..400.0, proptest::option::of(20.0..300.0), 4.0..45.0).prop_map(|(length_mm, radius_mm, bore_radius_mm)| Stretch {
        length_mm,
        radius_mm,
        bore_radius_mm,
    })
}

fn carrier() -> impl Strategy<Value = Carrier> {
    prop_oneof![
        Just(Carrier::Pulled),
        (4.0..16.0).prop_map(Carrier::rod),
        (20.0..60.0).prop_map(|ball_mm| Carrier::Column { ball_mm }),
        (4.0..12.0, 5.0..9.0).prop_map(|(d, r)| Carrier::shaft(d, d * r)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    /// Without friction the force at the hand is that at the dent; with it, it is never less, and more friction never asks less.
    #[test]
    fn friction_only_adds(way in proptest::collection::vec(stretch(), 1..7).prop_map(Way::new), by in carrier(), n in 1.0..2000.0, mu in 0.0..0.4) {
        // Balls that ride over each other jam whatever the grease.
        prop_assume!(way.at_hand(by, n, 0.0) < LOCKED_N);
        prop_assert!((way.at_hand(by, n, 0.0) / n - 1.0).abs() < 1e-12);
        let hand = way.at_hand(by, n, mu);
        prop_assert!(hand >= n * (1.0 - 1e-12) && hand <= LOCKED_N);
        prop_assert!(way.at_hand(by, n, mu + 0.05) >= hand * (1.0 - 1e-12));
        prop_assert!(way.at_hand(by, 1.1 * n, mu) >= hand * (1.0 - 1e-12));
        // What gets there is what asks for it.
        let there = way.at_dent(by, n, mu);
        prop_assert!(there <= n * (1.0 + 1e-12) && way.at_hand(by, there * (1.0 - 1e-9), mu) <= n * (1.0 + 1e-9));
        prop_assert!(way.at_hand(by, there * (1.0 + 1e-6), mu) >= n * (1.0 - 1e-6) || there >= n * (1.0 - 1e-9));
    }

    /// More bend never asks less: a straight length bent, or a bend bent tighter.
    #[test]
    fn more_bend_never_asks_less(all in proptest::collection::vec(stretch(), 1..7), which in 0usize..6, tighter in 0.3..1.0, by in carrier(), n in 1.0..2000.0) {
        let way = Way::new(all.clone());
        let mut bent = all;
        let i = which % bent.len();
        bent[i].radius_mm = Some(bent[i].radius_mm.unwrap_or(500.0) * tighter);
        let bent = Way::new(bent);
        prop_assert!(bent.turned_rad() > way.turned_rad());
        prop_assert!(bent.at_hand(by, n, FRICTION.0) >= way.at_hand(by, n, FRICTION.0) * (1.0 - 1e-12));
    }

    /// An opening nearer to the dent never asks more: the way cut short anywhere.
    #[test]
    fn an_opening_nearer_never_asks_more(all in proptest::collection::vec(stretch(), 1..7), keep in 0usize..7, part in 0.0..1.0, by in carrier(), n in 1.0..2000.0) {
        let way = Way::new(all.clone());
        let mut near = all;
        near.truncate(keep + 1);
        if let Some(last) = near.last_mut() {
            last.length_mm *= part;
        }
        prop_assert!(Way::new(near).at_hand(by, n, FRICTION.0) <= way.at_hand(by, n, FRICTION.0) * (1.0 + 1e-12));
    }
}

/// 300 random surveys over all patterns: no method asks more at the hand than hand and tool give there, none gives the dent more than
/// the hand, and each that is led along the tube says what draws it back. Where it is pulled, the exponent is Euler's.
#[test]
fn no_method_exceeds_its_limits() {
    let mut random = Dice(20_261_126);
    let kinds = [Kind::Trumpet, Kind::Trombone, Kind::Horn, Kind::Tuba, Kind::Euphonium];
    let mut stuck = 0;
    let (mut led, mut round, mut pushed, mut drivers, mut refused) = (0, 0, 0, 0, 0);
    for survey in 0..300 {
        let kind = kinds[survey % kinds.len()];
        let s = dents_all_over(kind, 2, random.below(1000));
        let mut shop = rack();
        shop.hand_push_n = random.between(80.0, 400.0);
        for w in reach::methods(&s, &dent::assess_all(&s), &shop) {
            refused +=
                w.rejected.iter().filter(|r| r.kind == MethodKind::BallTrain && r.because.metric().contains("at the hand, round")).count();
            for m in w.methods.iter().chain(&w.after_anneal) {
                assert!(m.force_hand_n.value <= m.force_limit_n * (1.0 + 1e-9), "{} {:?} {}", m.dent, m.kind, m.because.metric());
                assert!(m.way.is_some() || m.kind != MethodKind::BallTrain);
                let Some(way) = &m.way else { continue };
                led += 1;
                let most = m.train.iter().map(|b| b.drive_n).fold(0.0, f64::max);
                assert!((way.dent_n.value / most - 1.0).abs() < 1e-6);
                assert!(way.dent_n.value <= m.force_hand_n.value * (1.0 + 1e-9));
                let grows = (FRICTION.0 * way.turned_deg.to_radians()).exp();
                let ours = m.force_hand_n.value / way.dent_n.value;
                assert!(ours >= grows * (1.0 - 1e-6), "{ours} {grows}");
                if way.by == Leads::Cable {
                    assert!((ours / grows - 1.0).abs() < 1e-6, "{ours} {grows}");
                }
                // What sticks for good is in the risk.
                let sticks = STUCK_SPOILS * way.back.sticks(&m.force_hand_n, m.force_limit_n);
                assert!(m.risk >= sticks - 1e-9, "{} {sticks}", m.risk);
                stuck += usize::from(sticks > 0.08);
                drivers += usize::from(way.by == Leads::DriverBalls);
                round += usize::from(way.turned_deg > 60.0);
                pushed += usize::from(way.by != Leads::Cable);
                // The friction's interval is in the force's: the wider, the more it is led round.
                let wide = (m.force_hand_n.high / m.force_hand_n.value).ln() / units::figure::Z90;
                assert!(wide > FRICTION.1 * way.turned_deg.to_radians() * (1.0 - 1e-6), "{wide}");
                assert!(
                    way.back.hand_n.value.is_finite() && way.back.limit_n > 0.0 && m.because.metric().contains(&way.back.with.metric())
                );
            }
        }
    }
    eprintln!("led {led}, round bends {round}, pushed {pushed}, by driver balls {drivers}, refused for the way {refused}");
    assert!(stuck > 10, "{stuck}");
    assert!(led > 300 && round > 100 && pushed > 50 && drivers > 10 && refused > 10, "{led} {round} {pushed} {drivers} {refused}");
}
