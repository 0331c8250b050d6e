//! Whatever goes in, what comes out stays in its bounds.

use metal::heat_net::{Flame, Loss, Net, Piece};
use metal::springback::{Bending, unbend};
use metal::{Alloy, Curve, Temper, Value, anneal, ductility};
use proptest::prelude::*;

fn alloy() -> impl Strategy<Value = Alloy> {
    (0..4_usize).prop_map(|i| Alloy::ALL[i])
}

proptest! {
    /// Maximum principle of conduction (closed form): nothing is hotter than the flame holds or colder than the room; heat given
    /// is heat stored where none is lost.
    #[test]
    fn heat_stays_between_room_and_flame(
        pieces in proptest::collection::vec((3.0..60.0_f64, 5.0..80.0_f64, 0.3..2.0_f64), 1..12),
        ties in proptest::collection::vec((0..12_usize, 0..12_usize), 0..4),
        watts in 5.0..2000.0_f64, degc in 200.0..800.0_f64, hold_s in 0.0..60.0_f64, cloth in 0..12_usize, loses in any::<bool>(),
    ) {
        let piece = |(length_mm, bore_mm, wall_mm): (f64, f64, f64)| Piece {
            length_mm, bore_mm, wall_mm, extra_mm2: 0.0, extra_conducts_mm2: 0.0, share: 1.0, conductivity_w_mk: 121.0, capacity_j_mm3k: 8530.0 * 375.0 * 1e-9,
        };
        let mut net = Net::new(if loses { Loss::StillAir { emissivity: 0.6 } } else { Loss::Even(0.0) }, 20.0);
        net.under_flame(&piece(pieces[0]));
        for p in &pieces[1..] {
            let i = net.add(&piece(*p));
            net.join(i - 1, i);
        }
        // Rods that close rings.
        for (a, b) in ties {
            net.rod(&[(a % pieces.len(), 1.0), (b % pieces.len(), 0.4)], 4.0, 25.0, 121.0, 8530.0 * 375.0 * 1e-9);
        }
        let flame = Flame { watts, degc, hold_s, gentle_s: 10.0 };
        let cloths: Vec<usize> = if loses && cloth > 0 && cloth < pieces.len() { vec![cloth] } else { vec![] };
        let burn = net.burn(flame, &cloths);
        for t in &burn.peak_degc {
            prop_assert!(*t >= 20.0 - 1e-6 && *t <= degc + 1e-6, "{t}");
        }
        prop_assert!(cloths.iter().all(|c| burn.peak_degc[*c] < 100.1));
        prop_assert!(burn.reached_s.is_none_or(|r| r <= burn.burned_s && r >= 10.0 - 1e-9));
        prop_assert!(burn.watts_last <= watts + 1e-9);
        if !loses {
            prop_assert!((burn.stored_j - burn.joules).abs() < 1e-6 * burn.joules.max(1.0), "{} {}", burn.stored_j, burn.joules);
        }
    }

    /// Pushing back never needs less than true, never strains less than the dent, and always has an answer.
    #[test]
    fn an_over_push_is_always_found(
        alloy in alloy(), temper in 0.0..8.0_f64, wall in 0.2..2.0_f64, now in -1.0..1.0_f64, right in -0.2..0.2_f64, kinematic in 0.0..1.0_f64,
    ) {
        let bending = Bending { bauschinger: kinematic, ..Bending::default() };
        let push = unbend(&Curve::fit(alloy, Temper(temper)), wall, now, right, bending).unwrap();
        prop_assert!(push.overpush_part >= 0.0 && push.overpush_part.is_finite());
        prop_assert!(push.strain_total >= push.strain_dent && push.moment_n.is_finite());
        // The push goes to the far side of true.
        prop_assert!((push.push_curvature - right) * (right - now) >= 0.0);
    }

    #[test]
    fn fractions_and_likelihoods_are_such(
        alloy in alloy(), temper in 0.0..8.0_f64, degc in -300.0..1200.0_f64, seconds in -1.0..1e5_f64, strain in -0.1..3.0_f64, sd in 0.0..1.0_f64,
        lengthwise in -0.5..1.5_f64, through in -0.5..1.5_f64, ratio in -2.0..2.0_f64,
    ) {
        let a = anneal::anneal(alloy, Temper(temper), degc, seconds);
        prop_assert!((0.0..=1.0).contains(&a.recrystallised) && a.temper.0 >= 0.0 && a.temper.0 <= temper + 1e-9);
        prop_assert!(a.between.0 <= a.recrystallised && a.recrystallised <= a.between.1 && a.grain_mm >= 0.0 && a.grain_mm.is_finite());
        let c = ductility::capacity(alloy, Temper(temper), ductility::Kind { lengthwise, through, ratio });
        prop_assert!(c.value > 0.0 && c.value.is_finite() && c.sd > 0.0 && c.sd.is_finite(), "{c:?}");
        let p = ductility::crack_likelihood(strain, sd, c.value, c.sd);
        prop_assert!((0.0..=1.0).contains(&p));
    }

    #[test]
    fn any_hardness_gives_a_temper_or_a_no(alloy in alloy(), hv in -50.0..2000.0_f64, sd in 0.0..50.0_f64) {
        match Temper::from_vickers(alloy, Value::new(hv, sd)) {
            Some(t) => prop_assert!((0.0..=8.0).contains(&t.temper.0) && t.sd.is_finite() && hv > 0.0),
            None => prop_assert!(hv <= 0.0),
        }
    }
}
