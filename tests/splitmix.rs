//! A splitmix64 sequence: a public-domain generator of a few lines, so that no crate's version moves what is drawn.
//! Whoever draws with it gives it its seed and says what a draw means.

pub struct Splitmix(pub u64);

impl Splitmix {
    /// The next number, every bit as likely as not.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }
}
