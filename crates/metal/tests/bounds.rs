//! Whatever goes in, what comes out stays in its bounds.

use metal::heat_line::{Line, Sink, Stretch, Torch, steady_along, transient_along};
use metal::springback::{Bending, unbend};
use metal::{Alloy, Curve, Temper, Value, anneal, ductility};
use proptest::prelude::*;

fn alloy() -> impl Strategy<Value = Alloy> {
    (0..4_usize).prop_map(|i| Alloy::ALL[i])
}

proptest! {
    /// Maximum principle of conduction (closed form): nothing is hotter than the flame or colder than the room.
    #[test]
    fn heat_stays_between_room_and_flame(
        pieces in proptest::collection::vec((alloy(), 5.0..200.0_f64, 5.0..80.0_f64, 0.3..2.0_f64), 1..5),
        place in 0.0..1.0_f64, sink in 0.0..1.0_f64, degc in 200.0..800.0_f64, seconds in 1.0..200.0_f64,
    ) {
        let line = Line::new(pieces.iter().map(|(a, l, b, t)| Stretch::of(*a, *l, (*b, b * 1.1), *t)).collect());
        let torch = Torch::Held { at_mm: place * line.length_mm(), width_mm: 10.0, degc };
        let sinks = [Sink::wet_cloth(sink * line.length_mm(), 15.0)];
        let history = transient_along(&line, torch, &sinks, seconds, seconds, 20).unwrap();
        let steady = steady_along(&line, torch, &sinks).unwrap();
        for t in history.degc.iter().flatten().chain(&steady.degc) {
            prop_assert!(*t >= 20.0 - 1e-6 && *t <= degc + 1e-6, "{t}");
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
