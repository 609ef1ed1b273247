//! Chance that can be had again: everything drawn in a run comes from its seed.

/// A small generator (SplitMix64), enough for drawing schedules; no secrets are made with it.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The draws of a seed. Neighbouring seeds have nothing in common.
    pub fn of(seed: u64) -> Chance {
        let mut chance = Chance(seed ^ 0x1ed6_eb00_c0de_0001);
        chance.next();
        chance
    }

    /// The next 64 bits.
    #[allow(clippy::should_implement_trait)]
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `end`; 0 when `end` is 0.
    pub fn below(&mut self, end: u64) -> u64 {
        if end == 0 { 0 } else { self.next() % end }
    }

    /// As [`Chance::below`], for places in a list.
    pub fn index(&mut self, len: usize) -> usize {
        usize::try_from(self.below(len as u64)).unwrap_or(0)
    }

    /// True so many times in a hundred.
    pub fn percent(&mut self, share: u64) -> bool {
        self.below(100) < share
    }
}
