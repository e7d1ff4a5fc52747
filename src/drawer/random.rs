//! A small generator of random numbers: the same seed draws the same building everywhere.
//!
//! Never here: the clock, anything secret.

/// SplitMix64. Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// From a seed; equal seeds draw equal numbers.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub const fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even from 0 to 1, 1 left out.
    #[allow(clippy::cast_precision_loss)]
    pub const fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Even between two numbers.
    pub const fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Whether something of this probability happens.
    pub fn happens(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// Standard Normal, by the polar form of Box and Muller.
    pub fn normal(&mut self) -> f64 {
        loop {
            let (x, y) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                return x * (-2.0 * square.ln() / square).sqrt();
            }
        }
    }

    /// A place by its weight; the last where all weights are nothing.
    pub fn weighted(&mut self, weights: impl Iterator<Item = f64> + Clone) -> usize {
        let whole: f64 = weights.clone().sum();
        let mut left = self.unit() * whole;
        let mut at = 0;
        for (place, weight) in weights.enumerate() {
            at = place;
            left -= weight;
            if left < 0.0 {
                break;
            }
        }
        at
    }

    /// One of several, each as likely; none of nothing.
    pub fn one_of<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        of.get(self.weighted(of.iter().map(|_| 1.0)))
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        low + self.weighted((low..=high.max(low)).map(|_| 1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_numbers_of_a_seed_come_out() {
        // Widely printed for SplitMix64 with seed 1234567.
        let mut random = Random::new(1_234_567);
        for want in [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
        ] {
            assert_eq!(random.bits(), want);
        }
    }

    #[test]
    fn a_normal_has_mean_nothing_and_spread_one() {
        let mut random = Random::new(7);
        let drawn: Vec<f64> = (0..20_000).map(|_| random.normal()).collect();
        let mean = drawn.iter().sum::<f64>() / 20_000.0;
        let square = drawn.iter().map(|x| x * x).sum::<f64>() / 20_000.0;
        // Four standard errors: 1 / sqrt n and sqrt(2 / n).
        assert!(mean.abs() < 0.029 && (square - 1.0).abs() < 0.04);
    }

    #[test]
    fn a_place_comes_as_often_as_it_weighs() {
        let mut random = Random::new(3);
        let mut counts = [0; 3];
        for _ in 0..6000 {
            counts[random.weighted([1.0, 0.0, 2.0].into_iter())] += 1;
        }
        assert!(
            counts[1] == 0 && (1850..2150).contains(&counts[0]),
            "{counts:?}"
        );
    }
}
