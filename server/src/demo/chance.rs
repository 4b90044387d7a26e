//! Chance that repeats: the same seed gives the same numbers on every run.

/// A stream of numbers: xoshiro256++ of Blackman and Vigna (2019), filled by splitmix64.
#[derive(Clone, Debug)]
pub(super) struct Chance([u64; 4]);

impl Chance {
    /// The stream `stream` of a seed; streams of one seed have nothing to do with each other.
    pub(super) fn new(seed: u64, stream: u64) -> Chance {
        let mut filler = mixed(seed ^ mixed(stream));
        Chance([(); 4].map(|()| {
            filler = filler.wrapping_add(GOLDEN);
            mixed(filler)
        }))
    }

    /// The next 64 bits.
    pub(super) fn bits(&mut self) -> u64 {
        let s = &mut self.0;
        let drawn = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let shifted = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= shifted;
        s[3] = s[3].rotate_left(45);
        drawn
    }

    /// Evenly spread over 0 to 1, 1 left out.
    pub(super) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Whether something happens that happens with this probability.
    pub(super) fn happens(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// Nearly normal, mean 0, standard deviation 1, never beyond ±3.47: four even numbers out of one draw, added.
    pub(super) fn normal(&mut self) -> f64 {
        let bits = self.bits();
        let sum = (0..4).map(|n| (bits >> (16 * n)) as u16).map(u32::from).sum::<u32>();
        (f64::from(sum) / 65_536.0 - 2.0 + 2.0 / 65_536.0) * SQRT_3
    }
}

/// What a seed says of the thing numbered `thing`, without a stream: 0 to 1, 1 left out.
pub(super) fn unit_of(seed: u64, thing: u64) -> f64 {
    Chance::new(seed, thing).unit()
}

/// Something that wanders around 0 with standard deviation 1 and forgets within about `memory_s`: an autoregressive process of first
/// order, exact for steps of any length.
#[derive(Clone, Debug)]
pub(super) struct Wander {
    at: f64,
    memory_s: f64,
}

impl Wander {
    pub(super) fn new(memory_s: f64, chance: &mut Chance) -> Wander {
        Wander { at: chance.normal(), memory_s }
    }

    /// Where it is `seconds` later.
    pub(super) fn step(&mut self, seconds: f64, chance: &mut Chance) -> f64 {
        let kept = (-seconds / self.memory_s).exp();
        self.at = self.at * kept + (1.0 - kept * kept).sqrt() * chance.normal();
        self.at
    }
}

/// As [`Wander`], without its jitter: it follows a wanderer of the same memory, so that it rises and falls over days like a front.
#[derive(Clone, Debug)]
pub(super) struct Swell {
    ahead: Wander,
    at: f64,
}

impl Swell {
    pub(super) fn new(memory_s: f64, chance: &mut Chance) -> Swell {
        let ahead = Wander::new(memory_s, chance);
        Swell { at: ahead.at, ahead }
    }

    /// Where it is `seconds` later.
    pub(super) fn step(&mut self, seconds: f64, chance: &mut Chance) -> f64 {
        let to = self.ahead.step(seconds, chance);
        self.at = to + (self.at - to) * (-seconds / self.ahead.memory_s).exp();
        // A follower of equal memory keeps half of the variance.
        self.at * std::f64::consts::SQRT_2
    }
}

const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;
const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// The finishing steps of splitmix64 (Steele, Lea and Flood 2014).
fn mixed(z: u64) -> u64 {
    let z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_and_spread(mut draw: impl FnMut() -> f64, n: usize) -> (f64, f64) {
        let drawn: Vec<f64> = (0..n).map(|_| draw()).collect();
        let mean = drawn.iter().sum::<f64>() / n as f64;
        (mean, (drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n as f64).sqrt())
    }

    #[test]
    fn bits_from_the_published_start_are_the_published_ones() {
        // xoshiro256++ from state 1, 2, 3, 4: the first two numbers of its reference code; the first by hand, rotl(1 + 4, 23) + 1.
        let mut chance = Chance([1, 2, 3, 4]);
        assert_eq!([chance.bits(), chance.bits()], [41_943_041, 58_720_359]);
        // splitmix64 from 0, its first number.
        assert_eq!(mixed(GOLDEN), 0xe220_a839_7b1d_cdaf);
    }

    #[test]
    fn streams_of_one_seed_repeat_and_differ() {
        let draw = |seed, stream| {
            let mut chance = Chance::new(seed, stream);
            [chance.bits(), chance.bits(), chance.bits()]
        };
        assert_eq!(draw(7, 1), draw(7, 1));
        assert_ne!(draw(7, 1), draw(7, 2));
        assert_ne!(draw(7, 1), draw(8, 1));
        assert_eq!(unit_of(7, 3), unit_of(7, 3));
    }

    #[test]
    fn normal_and_unit_have_their_mean_and_spread() {
        let mut chance = Chance::new(1, 1);
        let (mean, spread) = mean_and_spread(|| chance.normal(), 200_000);
        assert!(mean.abs() < 0.01 && (spread - 1.0).abs() < 0.01, "{mean} {spread}");
        // Even numbers over 0 to 1: 1/2 and 1/sqrt(12).
        let (mean, spread) = mean_and_spread(|| chance.unit(), 200_000);
        assert!((mean - 0.5).abs() < 0.005 && (spread - 0.2887).abs() < 0.005, "{mean} {spread}");
    }

    #[test]
    fn wanderers_keep_their_spread_whatever_the_step() {
        for step_s in [10.0, 300.0, 7_200.0] {
            let mut chance = Chance::new(3, 9);
            let mut wander = Wander::new(1_000.0, &mut chance);
            let (_, spread) = mean_and_spread(|| wander.step(step_s, &mut chance), 400_000);
            assert!((spread - 1.0).abs() < 0.05, "{step_s}: {spread}");
        }
        let mut chance = Chance::new(3, 10);
        let mut swell = Swell::new(1_000.0, &mut chance);
        let (_, spread) = mean_and_spread(|| swell.step(100.0, &mut chance), 400_000);
        assert!((spread - 1.0).abs() < 0.07, "{spread}");
    }
}
