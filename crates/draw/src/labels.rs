//! Labels that do not lie on each other.

/// Moves labels of one width as little as possible (least squares) so that neighbours keep their distance and all lie
/// within `from` and `to`. `wanted` in rising order. Where they cannot all fit, they are spread evenly.
///
/// Isotonic regression by pooling adjacent violators; Ayer, Brunk, Ewing, Reid & Silverman, Ann. Math. Statist. 26
/// (1955), from memory.
pub fn spread(wanted: &[f64], pitch: f64, from: f64, to: f64) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "a count of labels")]
    let n = wanted.len() as f64;
    if wanted.is_empty() {
        return Vec::new();
    }
    if (n - 1.0) * pitch > to - from {
        let step = if wanted.len() > 1 { (to - from) / (n - 1.0) } else { 0.0 };
        return (0..wanted.len()).map(|i| from + step * index(i)).collect();
    }
    // With i·pitch taken off, the distances become an order to be kept.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (i, w) in wanted.iter().enumerate() {
        blocks.push((w - index(i) * pitch, 1));
        while let [.., (a, na), (b, nb)] = blocks[..]
            && b < a
        {
            let (wa, wb) = (index(na), index(nb));
            blocks.truncate(blocks.len() - 2);
            blocks.push(((a * wa + b * wb) / (wa + wb), na + nb));
        }
    }
    let last = to - (n - 1.0) * pitch;
    let shifted = blocks.into_iter().flat_map(|(x, count)| std::iter::repeat_n(x.clamp(from, last), count));
    shifted.enumerate().map(|(i, x)| x + index(i) * pitch).collect()
}

#[expect(clippy::cast_precision_loss, reason = "a count of labels")]
fn index(i: usize) -> f64 {
    i as f64
}

/// Lanes for texts that hang below their points, each text running to the right from its start: lane 0 is nearest.
/// `texts` are (start, width) in rising order of start. Worked from right to left, so that the leader of a text never
/// crosses another text.
pub fn lanes(texts: &[(f64, f64)], gap: f64) -> Vec<usize> {
    // The leftmost start in each lane so far.
    let mut starts: Vec<f64> = Vec::new();
    let mut lanes = vec![0; texts.len()];
    for (i, (x, width)) in texts.iter().enumerate().rev() {
        // A lane is free where this text ends before the next one in it, and before every leader that passes it on its
        // way to a deeper lane.
        let free = |lane: &usize| starts[*lane..].iter().all(|s| x + width + gap <= *s);
        let lane = (0..starts.len()).find(free).unwrap_or(starts.len());
        if lane == starts.len() {
            starts.push(*x);
        } else {
            starts[lane] = *x;
        }
        lanes[i] = lane;
    }
    lanes
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn labels_keep_their_distance_and_their_order(mut wanted in proptest::collection::vec(0.0..178.0_f64, 1..28)) {
            wanted.sort_by(f64::total_cmp);
            let placed = spread(&wanted, 6.4, 0.0, 178.0);
            prop_assert_eq!(placed.len(), wanted.len());
            for w in placed.windows(2) { prop_assert!(w[1] - w[0] >= 6.4 - 1e-9); }
            prop_assert!(placed[0] >= -1e-9 && placed[placed.len() - 1] <= 178.0 + 1e-9);
        }

        #[test]
        fn labels_that_have_room_stay(mut cells in proptest::collection::btree_set(0_u8..20, 1..10)) {
            let wanted: Vec<f64> = std::mem::take(&mut cells).into_iter().map(|c| f64::from(c) * 8.0).collect();
            prop_assert_eq!(spread(&wanted, 6.4, 0.0, 178.0), wanted);
        }

        #[test]
        fn texts_of_a_lane_do_not_overlap(mut starts in proptest::collection::vec((0.0..170.0_f64, 2.0..60.0_f64), 1..20)) {
            starts.sort_by(|a, b| a.0.total_cmp(&b.0));
            let lane = lanes(&starts, 1.0);
            for i in 0..starts.len() {
                for j in i + 1..starts.len() {
                    // Same lane: no overlap. A leader that comes from above at the start of i meets no text of a nearer lane.
                    if lane[i] == lane[j] { prop_assert!(starts[i].0 + starts[i].1 < starts[j].0); }
                    if lane[j] > lane[i] { prop_assert!(starts[j].0 >= starts[i].0 + starts[i].1 || starts[j].0 <= starts[i].0); }
                }
            }
        }
    }
}
