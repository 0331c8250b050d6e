//! Numbers on a map set apart: none covers another, and each stays as near its place as it can.

type P = (f64, f64);

/// Rounds of pushing apart at most.
const ROUNDS: usize = 400;
/// Rounds at most until the last overlap is gone.
const LAST_ROUNDS: usize = 20_000;

/// Where the numbers stand whose places are given, so that their middles are `apart` from each other at least, and stay between
/// the corners of `within` as long as there is room for all.
pub fn spread(places: &[P], apart: f64, within: (P, P)) -> Vec<P> {
    let inside = |at: &mut [P]| {
        for p in at {
            p.0 = p.0.max(within.0.0).min(within.1.0);
            p.1 = p.1.max(within.0.1).min(within.1.1);
        }
    };
    let mut at: Vec<P> = places.to_vec();
    for _ in 0..ROUNDS {
        // A little of the way home, then out of each other's way.
        for (p, home) in at.iter_mut().zip(places) {
            p.0 += 0.05 * (home.0 - p.0);
            p.1 += 0.05 * (home.1 - p.1);
        }
        let pushed = pushed_apart(&mut at, apart);
        inside(&mut at);
        if !pushed {
            break;
        }
    }
    // The last overlaps, without the pull home.
    for round in 0..LAST_ROUNDS {
        let pushed = pushed_apart(&mut at, apart);
        // Where they cannot all stand inside, that none covers another comes before the edge.
        if round < LAST_ROUNDS / 4 {
            inside(&mut at);
        }
        if !pushed {
            break;
        }
    }
    at
}

/// Pushes each two apart that are too close; whether there were any.
fn pushed_apart(at: &mut [P], apart: f64) -> bool {
    let mut moved = false;
    for i in 0..at.len() {
        for j in 0..i {
            let (dx, dy) = (at[i].0 - at[j].0, at[i].1 - at[j].1);
            let d = dx.hypot(dy);
            if d >= apart {
                continue;
            }
            moved = true;
            // Two at one place go apart in a direction of their own.
            let turn = 2.4 * to_f64(i);
            let (ux, uy) = if d > 1e-9 { (dx / d, dy / d) } else { (turn.cos(), turn.sin()) };
            let push = 0.5 * (apart - d) + 1e-3 * apart;
            at[i] = (at[i].0 + push * ux, at[i].1 + push * uy);
            at[j] = (at[j].0 - push * ux, at[j].1 - push * uy);
        }
    }
    moved
}

#[expect(clippy::cast_precision_loss, reason = "a few hundred numbers at most")]
fn to_f64(i: usize) -> f64 {
    i as f64
}

#[cfg(test)]
mod tests {
    use super::{P, spread};

    const ANYWHERE: (P, P) = ((f64::MIN, f64::MIN), (f64::MAX, f64::MAX));

    fn least(at: &[(f64, f64)]) -> f64 {
        let mut least = f64::MAX;
        for (i, a) in at.iter().enumerate() {
            for b in &at[..i] {
                least = least.min((a.0 - b.0).hypot(a.1 - b.1));
            }
        }
        least
    }

    #[test]
    fn none_covers_another_even_where_all_lie_in_one_place() {
        for n in [2, 7, 41] {
            let at = spread(&vec![(100.0, 50.0); n], 20.0, ANYWHERE);
            assert!(least(&at) >= 19.9, "{n}: {}", least(&at));
        }
        let row: Vec<(f64, f64)> = (0..40).map(|i| (3.0 * f64::from(i), 0.0)).collect();
        assert!(least(&spread(&row, 20.0, ANYWHERE)) >= 19.9);
    }

    #[test]
    fn what_has_room_stays_where_it_is() {
        let places = [(0.0, 0.0), (100.0, 0.0)];
        assert_eq!(spread(&places, 20.0, ANYWHERE), places);
    }

    #[test]
    fn numbers_stay_within_the_picture_where_there_is_room_and_never_cover_each_other() {
        let within = ((0.0, 0.0), (200.0, 120.0));
        let at = spread(&vec![(198.0, 60.0); 25], 20.0, within);
        assert!(least(&at) >= 19.9, "{}", least(&at));
        assert!(at.iter().all(|p| (0.0..=200.0).contains(&p.0) && (0.0..=120.0).contains(&p.1)), "{at:?}");
        let full = spread(&vec![(100.0, 60.0); 90], 20.0, within);
        assert!(least(&full) >= 19.9, "{}", least(&full));
    }
}
