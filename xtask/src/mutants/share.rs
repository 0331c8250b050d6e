//! A part of many changes drawn by chance, and what it says of all of them.

use statrs::distribution::{Beta, ContinuousCDF};

/// `n` of them, each set of `n` as likely as any other, in random order (the first `n` steps of the shuffle of Fisher and
/// Yates, Durstenfeld, Comm. ACM 7, 1964); the same seed draws the same.
pub fn draw<T>(mut all: Vec<T>, n: usize, seed: u64) -> Vec<T> {
    let mut state = seed;
    for i in 0..n.min(all.len()) {
        // Of some thousand changes and 2⁶⁴ numbers the remainder favors none by more than 10⁻¹⁵.
        let left = (all.len() - i) as u64;
        all.swap(i, i + (next(&mut state) % left) as usize);
    }
    all.truncate(n);
    all
}

/// SplitMix64 (Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014).
fn next(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// The 90 % interval of a share of which `caught` of `tried` were seen: Clopper and Pearson, Biometrika 26 (1934), which
/// holds the truth at least nine times in ten; a little too wide where the sample is a good part of all. None of none.
pub fn interval(caught: usize, tried: usize) -> Option<(f64, f64)> {
    if tried == 0 || caught > tried {
        return None;
    }
    let (k, n) = (caught as f64, tried as f64);
    let low = if caught == 0 { 0.0 } else { Beta::new(k, n - k + 1.0).ok()?.inverse_cdf(0.05) };
    let high = if caught == tried { 1.0 } else { Beta::new(k + 1.0, n - k).ok()?.inverse_cdf(0.95) };
    Some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// scipy 1.17.1: `binomtest(k, n).proportion_ci(0.9, 'exact')`.
    const EXACT: [(usize, usize, f64, f64); 5] = [
        (0, 5, 0.000_000, 0.450_720),
        (11, 16, 0.451_653, 0.867_889),
        (18, 23, 0.596_101, 0.910_191),
        (40, 40, 0.927_842, 1.000_000),
        (140, 160, 0.823_564, 0.915_599),
    ];

    #[test]
    fn intervals_as_scipy_has_them() {
        for (k, n, low, high) in EXACT {
            let (a, b) = interval(k, n).unwrap_or((f64::NAN, f64::NAN));
            assert!((a - low).abs() < 1e-5 && (b - high).abs() < 1e-5, "{k} of {n}: {a} {b}");
        }
        assert!(interval(0, 0).is_none());
    }

    /// First numbers of the generator from 1234567, as its authors' own code gives them (Rosetta Code, task
    /// "Pseudo-random numbers/Splitmix64").
    #[test]
    fn the_generator_is_splitmix64() {
        let mut state = 1_234_567;
        assert_eq!(next(&mut state), 6_457_827_717_110_365_317);
        assert_eq!(next(&mut state), 3_203_168_211_198_807_973);
    }

    #[test]
    fn a_draw_is_even_repeatable_and_without_doubles() {
        let mut seen = [0_u32; 10];
        for seed in 0..4000 {
            let mut drawn = draw((0..10_usize).collect(), 3, seed);
            assert_eq!(drawn, draw((0..10).collect(), 3, seed));
            drawn.sort_unstable();
            drawn.dedup();
            assert_eq!(drawn.len(), 3);
            drawn.iter().for_each(|i| seen[*i] += 1);
        }
        // 1200 times each; binomial, five standard deviations are 145.
        assert!(seen.iter().all(|n| n.abs_diff(1200) < 145), "{seen:?}");
        assert_eq!(draw(vec![1, 2], 5, 1).len(), 2);
    }
}
