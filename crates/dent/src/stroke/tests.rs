use super::*;

const S: Stroke = Stroke {
    mean_diameter_mm: 20.0,
    wall_mm: 20.0 / 36.0,
    yield_strain: 0.0025,
    hardening_n: 0.2,
    depth_mm: 2.0,
    width_along_mm: 16.0,
    width_across_mm: 9.0,
    head_mm: 9.0,
    lift_mm: 0.5,
    hold: Hold::Hand,
};

#[test]
fn more_lift_asks_for_no_less_and_never_for_more_than_the_one_push() {
    let mut before = 0.0;
    for i in 1..=300 {
        let part = force_part(&Stroke { lift_mm: 0.01 * f64::from(i), ..S }).force_part;
        assert!(part > 0.0 && part <= 1.0 && part >= before, "{i} {part}");
        before = part;
    }
    assert!((before - 1.0).abs() < 1e-12);
}

#[test]
fn the_lift_within_a_force_asks_for_that_force() {
    let least = force_part(&S).force_part;
    for part in [least, 0.3 * least + 0.7, 0.99] {
        let lift_mm = lift_within(&S, part).map_or(f64::NAN, |l| l);
        assert!((force_part(&Stroke { lift_mm, ..S }).force_part - part).abs() < 1e-9, "{part} {lift_mm}");
    }
    assert_eq!(lift_within(&S, 1.0), Some(S.depth_mm));
    assert_eq!(lift_within(&S, 0.999 * least), None);
    assert_eq!(lift_within(&S, f64::NAN), None);
}

#[test]
fn less_force_leaves_more_of_the_dent() {
    let mut before = 1.0;
    for i in 0..=100 {
        let part = 0.01 * f64::from(i);
        let left = left_within(&S, part);
        assert!(left <= before && (TRUE..=1.0).contains(&left), "{part} {left}");
        if left < 1.0 - LEAST_LIFT && left > TRUE {
            assert!((part_to(&S, left) - part).abs() < 1e-9, "{part} {left}");
        }
        before = left;
    }
    assert_eq!(left_within(&S, 0.999 * least_part(&S)), 1.0);
    assert_eq!(left_within(&S, 1.0), TRUE);
}

#[test]
fn smaller_lifts_and_heads_take_more_strokes() {
    assert!(strokes(&Stroke { lift_mm: 0.06, ..S }) > strokes(&S));
    assert!(strokes(&Stroke { head_mm: 3.0, ..S }) > strokes(&S));
    assert_eq!(passes(&S), 4.0);
    // 16 mm along and 9 mm around in steps of 9/4 mm: 8 by 4 places (closed form).
    assert_eq!(strokes(&S), 4.0 * 8.0 * 4.0);
}

#[test]
fn away_from_the_runs_it_says_so_and_is_known_less_well() {
    let inside = force_part(&S);
    for other in [
        Stroke { wall_mm: 0.2, ..S },
        Stroke { yield_strain: 0.008, ..S },
        Stroke { hardening_n: 0.6, ..S },
        Stroke { depth_mm: 8.0, ..S },
        Stroke { head_mm: 2.0, ..S },
        Stroke { hold: Hold::Mandrel, ..S },
    ] {
        let a = force_part(&other);
        assert!(a.outside && a.log_sd > inside.log_sd, "{other:?}");
    }
    assert!(!inside.outside);
}

#[test]
fn senseless_sizes_give_figures_not_panics() {
    let none = Stroke { depth_mm: 0.0, head_mm: 0.0, wall_mm: f64::NAN, yield_strain: -1.0, ..S };
    assert!(force_part(&none).force_part.is_finite() && strokes(&none).is_finite() && least_part(&none).is_finite());
    assert!((0.0..=1.0).contains(&left_within(&none, 0.5)) && part_to(&none, f64::NAN) <= 1.0);
    assert_eq!(lift_within(&none, 0.5), None);
}
