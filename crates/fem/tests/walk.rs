//! The walking tool: symmetry, and that the wall springs back from small pushes however often they come.

#![allow(clippy::unwrap_used, reason = "a test stops where something is wrong")]

use fem::material::Metal;
use fem::tube::Tube;
use fem::walk::{Cut, Hold, Order, Walk};

const METAL: Metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 280.0, eps0: 0.02, n: 0.15 };
const TUBE: Tube = Tube { mean_diameter_mm: 20.0, wall_mm: 0.8, metal: METAL };
const SMALL: Cut =
    Cut { fine: 0.1, fine_count: 5, coarse_count: 2, around: 6, half_length: 1.5, sub_layers: 2, layers: 1, whole_length: false };

/// Symmetry (closed form): the half model's middle plane is a plane of symmetry of the whole one, and its two sides are alike.
#[test]
fn half_and_whole_length_agree_and_both_sides_are_alike() {
    let push = |cut: Cut, place: f64| {
        let mut x = Walk::new(TUBE, cut, Hold::Opposite).unwrap();
        let mut state = x.model.rest();
        let y = x.touch_mm(&state, place, 5.0, false);
        x.lead(&mut state, 5.0, false, [y, place], [y + 0.05, place]).unwrap()
    };
    let whole = Cut { whole_length: true, ..SMALL };
    let (half, middle) = (push(SMALL, 0.0), push(whole, 0.0));
    assert!(half[0] > 10.0 && (half[0] / middle[0] - 1.0).abs() < 1e-3, "{half:?} {middle:?}");
    let (left, right) = (push(whole, -4.0), push(whole, 4.0));
    assert!((left[0] / right[0] - 1.0).abs() < 1e-2 && (left[1] + right[1]).abs() < 1e-2 * right[0], "{left:?} {right:?}");
}

/// Unloading is elastic: up to the force it was let go from, the wall gives back all that it is given. So the first of eight
/// pushes of the same force leaves what it leaves, the others nothing.
#[test]
fn eight_pushes_at_a_fifth_do_not_bring_the_dent_back() {
    let mut x = Walk::new(TUBE, SMALL, Hold::Opposite).unwrap();
    let (_, dented) = x.dent(5.0, 1.6, 0.4).unwrap();
    let deep = x.depth_mm(&dented, 0.0);
    let full = x.push(&mut dented.clone(), 6.2, &[0.0], 0.3).unwrap()[0].radial_n;
    let mut state = dented.clone();
    let pushes = x.same_push(&mut state, 6.2, 0.2 * full, 8).unwrap();
    assert!(pushes.iter().all(|p| (p.radial_n / full - 0.2).abs() < 0.02), "{pushes:?}");
    let first = pushes[0].before_mm - pushes[0].left_mm;
    let later = pushes[0].left_mm - x.depth_mm(&state, 0.0);
    assert!(first > 0.0 && first < 0.05 * deep, "{first} of {deep}");
    assert!(later.abs() < 2e-3 * deep, "{later} of {deep}");
}

/// The dent does come out under a tool that moves, and its strokes stay below the one push.
#[test]
fn a_walking_ball_brings_the_dent_out_with_less_than_the_one_push() {
    let mut x = Walk::new(TUBE, SMALL, Hold::Opposite).unwrap();
    let (_, dented) = x.dent(5.0, 1.6, 0.4).unwrap();
    let deep = x.depth_mm(&dented, 0.0);
    let full = x.push(&mut dented.clone(), 6.2, &[0.0], 0.3).unwrap()[0].radial_n;
    let mut state = dented.clone();
    let strokes = x.walk(&mut state, 4.0, Order::Even, 0.5 * deep, 2.0, 0.05).unwrap();
    let most = strokes.iter().map(|r| r.radial_n).fold(0.0, f64::max);
    assert!(x.depth_mm(&state, 0.0).abs() < 0.08 * deep);
    assert!(most > 0.4 * full && most < full, "{}", most / full);
    assert!(strokes.iter().any(|r| r.place_mm > 0.0) && strokes.iter().any(|r| r.pass > 1));
}

#[test]
fn senseless_input_is_refused() {
    assert!(Walk::new(Tube { wall_mm: 0.0, ..TUBE }, SMALL, Hold::Opposite).is_err());
    assert!(Walk::new(TUBE, Cut { fine_count: 0, ..SMALL }, Hold::Opposite).is_err());
    assert!(Walk::new(TUBE, Cut { half_length: 0.1, ..SMALL }, Hold::Opposite).is_err());
}
