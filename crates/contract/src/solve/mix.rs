//! Numbers that scatter.

/// Numbers that scatter, the same from the same seed (SplitMix64; Steele, Lea & Flood, OOPSLA 2014, from memory).
pub(super) struct Mix(pub u64);

impl Mix {
    /// One of 0 to n − 1.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % n.max(1) as u64) as usize
    }
}
