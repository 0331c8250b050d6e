//! Numbers set apart from the dots that they name: each tag is put where it covers no other tag and no dot, near its own dot, with
//! leaders that cross as little as can be. A greedy search, then each tag is tried once more against all others.

use crate::canvas::P;

/// A tag: the dot that it names, and its own size, mm.
#[derive(Clone, Copy, Debug)]
pub struct Tag {
    /// The dot.
    pub dot: P,
    /// Width and height.
    pub size: P,
}

/// Room between two tags, and between a tag and a dot, mm.
const APART_MM: f64 = 0.5;
/// What it costs to lie on another tag, on a foreign dot, over a leader; as mm of a leader.
const ON_TAG: f64 = 10_000.0;
const ON_DOT: f64 = 400.0;
const ON_LEADER: f64 = 30.0;
const CROSSED: f64 = 22.0;
/// Rounds of the search.
const ROUNDS: usize = 3;
const DIRECTIONS: i32 = 24;
const DISTANCES_MM: [f64; 11] = [5.0, 7.0, 9.0, 11.5, 14.0, 17.0, 21.0, 26.0, 32.0, 40.0, 50.0];

/// The middles of the tags on a sheet with dots of a radius; `busy` says what lying at a place costs besides (0 where the sheet is
/// empty). No two tags overlap as long as the sheet has room.
pub fn place(tags: &[Tag], sheet: P, dot_mm: f64, busy: &dyn Fn(P) -> f64) -> Vec<P> {
    let mut at: Vec<Option<P>> = vec![None; tags.len()];
    // The most crowded first: they have the least choice.
    let crowd = |t: &Tag| tags.iter().map(|o| 1.0 / (1.0 + far(o.dot, t.dot))).sum::<f64>();
    let mut order: Vec<usize> = (0..tags.len()).collect();
    order.sort_by(|a, b| crowd(&tags[*b]).total_cmp(&crowd(&tags[*a])));
    for round in 0..ROUNDS {
        for i in &order {
            let free = |p: &P| cost(tags, &at, *i, *p, dot_mm, busy);
            let now = at[*i].map(|p| (free(&p), p));
            let mut found = near(&tags[*i], sheet).map(|p| (free(&p), p)).chain(now).min_by(|a, b| a.0.total_cmp(&b.0));
            if round + 1 == ROUNDS && found.is_none_or(|f| f.0 >= ON_TAG) {
                found = everywhere(&tags[*i], sheet).map(|p| (free(&p), p)).chain(found).min_by(|a, b| a.0.total_cmp(&b.0));
            }
            at[*i] = found.map(|f| f.1).or(at[*i]);
        }
    }
    at.iter().zip(tags).map(|(p, t)| p.unwrap_or(t.dot)).collect()
}

fn far(a: P, b: P) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

fn within(p: P, size: P, sheet: P) -> bool {
    p.0 >= size.0 / 2.0 && p.0 <= sheet.0 - size.0 / 2.0 && p.1 >= size.1 / 2.0 && p.1 <= sheet.1 - size.1 / 2.0
}

fn near(tag: &Tag, sheet: P) -> impl Iterator<Item = P> {
    let t = *tag;
    let round =
        DISTANCES_MM.iter().flat_map(|d| (0..DIRECTIONS).map(move |i| (*d, f64::from(i) / f64::from(DIRECTIONS) * std::f64::consts::TAU)));
    round.map(move |(d, a)| (t.dot.0 + d * a.cos(), t.dot.1 + d * a.sin())).filter(move |p| within(*p, t.size, sheet))
}

/// A grid over the whole sheet, for what finds no room near its dot.
fn everywhere(tag: &Tag, sheet: P) -> impl Iterator<Item = P> {
    let size = tag.size;
    let step = (size.0 / 2.0, size.1 / 2.0);
    #[expect(clippy::cast_possible_truncation, reason = "a sheet of paper in steps")]
    let count = |room: f64, step: f64| ((room / step.max(0.5)).floor() as i32).clamp(0, 400);
    let (columns, rows) = (count(sheet.0 - size.0, step.0), count(sheet.1 - size.1, step.1));
    (0..=columns).flat_map(move |c| {
        (0..=rows).map(move |r| (size.0 / 2.0 + f64::from(c) * step.0.max(0.5), size.1 / 2.0 + f64::from(r) * step.1.max(0.5)))
    })
}

fn cost(tags: &[Tag], at: &[Option<P>], i: usize, p: P, dot_mm: f64, busy: &dyn Fn(P) -> f64) -> f64 {
    let t = &tags[i];
    let mut cost = far(p, t.dot) + busy(p);
    for (j, other) in tags.iter().enumerate() {
        // A dot under the tag, its own too, cannot be seen.
        let clear = |a: f64, half: f64| a.abs() >= half + dot_mm + APART_MM;
        if !clear(other.dot.0 - p.0, t.size.0 / 2.0) && !clear(other.dot.1 - p.1, t.size.1 / 2.0) {
            cost += ON_DOT;
        }
        if i == j {
            continue;
        }
        if passes(p, t.dot, other.dot, dot_mm) {
            cost += ON_LEADER;
        }
        let Some(q) = at[j] else { continue };
        let half = ((t.size.0 + other.size.0) / 2.0 + APART_MM, (t.size.1 + other.size.1) / 2.0 + APART_MM);
        if (p.0 - q.0).abs() < half.0 && (p.1 - q.1).abs() < half.1 {
            cost += ON_TAG;
        }
        if cross(p, t.dot, q, other.dot) {
            cost += CROSSED;
        }
        // A leader under another's tag.
        if passes(p, t.dot, q, other.size.1 / 2.0) || passes(q, other.dot, p, t.size.1 / 2.0) {
            cost += ON_LEADER;
        }
    }
    cost
}

/// Whether a line passes nearer to a point than a distance.
fn passes(a: P, b: P, p: P, within: f64) -> bool {
    let d = (b.0 - a.0, b.1 - a.1);
    let length = d.0 * d.0 + d.1 * d.1;
    let k = if length > 0.0 { (((p.0 - a.0) * d.0 + (p.1 - a.1) * d.1) / length).clamp(0.0, 1.0) } else { 0.0 };
    (a.0 + k * d.0 - p.0).powi(2) + (a.1 + k * d.1 - p.1).powi(2) < within * within
}

/// Whether two lines cross.
fn cross(a: P, b: P, c: P, d: P) -> bool {
    let side = |p: P, q: P, r: P| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        /// Sixty numbers find room on a third of a page, however the dents lie.
        #[test]
        fn no_tag_lies_on_another(dots in proptest::collection::vec((60.0..120.0_f64, 10.0..70.0_f64), 1..60)) {
            let tags: Vec<Tag> = dots.iter().map(|d| Tag { dot: *d, size: (7.0, 4.2) }).collect();
            let at = place(&tags, (184.0, 80.0), 0.8, &|_| 0.0);
            for (i, p) in at.iter().enumerate() {
                prop_assert!(within(*p, (7.0, 4.2), (184.0, 80.0)));
                for q in &at[..i] {
                    prop_assert!((p.0 - q.0).abs() >= 7.0 || (p.1 - q.1).abs() >= 4.2, "{:?} {:?}", p, q);
                }
            }
        }
    }

    #[test]
    fn a_lonely_dot_keeps_its_number_beside_it() {
        let at = place(&[Tag { dot: (50.0, 30.0), size: (7.0, 4.2) }], (100.0, 60.0), 0.8, &|_| 0.0);
        let d = far(at[0], (50.0, 30.0));
        assert!((4.0..8.0).contains(&d), "{d}");
    }
}
