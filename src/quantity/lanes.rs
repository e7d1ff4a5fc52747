//! Four numbers at a time, with whatever vector instructions the machine has: complex numbers, the
//! logarithm, the exponential.
//!
//! Every operation is rounded by itself and none is fused, so that a figure has the same digits on
//! every machine, and whoever stands beside it.
//!
//! Never here: what the numbers are.

use fearless_simd::prelude::*;
use num_complex::Complex64;
use std::ops::{Add, Mul, Sub};

pub use fearless_simd::{Level, Simd, dispatch, f64x4};

/// How many numbers stand side by side.
pub const LANES: usize = 4;

/// Four complex numbers.
#[derive(Clone, Copy, Debug)]
pub struct Complexes<S: Simd> {
    /// Real parts.
    pub re: f64x4<S>,
    /// Imaginary parts.
    pub im: f64x4<S>,
}

impl<S: Simd> Complexes<S> {
    /// The same number four times.
    #[inline(always)]
    pub fn all(simd: S, z: Complex64) -> Self {
        Self {
            re: f64x4::splat(simd, z.re),
            im: f64x4::splat(simd, z.im),
        }
    }

    /// Those of two columns from a place on; both have four more.
    #[inline(always)]
    pub fn load(simd: S, [re, im]: [&[f64]; 2], at: usize) -> Self {
        Self {
            re: load(simd, re, at),
            im: load(simd, im, at),
        }
    }

    /// |z|^2.
    #[inline(always)]
    #[must_use]
    pub fn norm_sqr(self) -> f64x4<S> {
        self.re * self.re + self.im * self.im
    }

    /// 1 / z.
    #[inline(always)]
    #[must_use]
    pub fn inv(self) -> Self {
        let scale = 1.0 / self.norm_sqr();
        Self {
            re: self.re * scale,
            im: -self.im * scale,
        }
    }

    /// Real and imaginary part times a number.
    #[inline(always)]
    #[must_use]
    pub fn times(self, x: f64) -> Self {
        Self {
            re: self.re * x,
            im: self.im * x,
        }
    }

    /// The conjugate.
    #[inline(always)]
    #[must_use]
    pub fn conj(self) -> Self {
        Self {
            re: self.re,
            im: -self.im,
        }
    }

    /// The real part of a product.
    #[inline(always)]
    pub fn re_of(self, other: Self) -> f64x4<S> {
        self.re * other.re - self.im * other.im
    }
}

impl<S: Simd> Add for Complexes<S> {
    type Output = Self;

    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }
}

impl<S: Simd> Sub for Complexes<S> {
    type Output = Self;

    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        Self {
            re: self.re - other.re,
            im: self.im - other.im,
        }
    }
}

impl<S: Simd> Mul for Complexes<S> {
    type Output = Self;

    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }
}

impl<S: Simd> Mul<f64x4<S>> for Complexes<S> {
    type Output = Self;

    #[inline(always)]
    fn mul(self, times: f64x4<S>) -> Self {
        Self {
            re: self.re * times,
            im: self.im * times,
        }
    }
}

/// Four numbers of a column from a place on; it has four more.
#[inline(always)]
pub fn load<S: Simd>(simd: S, column: &[f64], at: usize) -> f64x4<S> {
    f64x4::from_slice(simd, &column[at..at + LANES])
}

/// Puts four numbers into a column from a place on; it has room for four more.
#[inline(always)]
pub fn store<S: Simd>(column: &mut [f64], at: usize, numbers: f64x4<S>) {
    numbers.store_slice(&mut column[at..at + LANES]);
}

/// Natural logarithm of numbers above 0 that are neither subnormal nor infinite, to one unit of the
/// last place; of others it is meaningless. x = 2^k m with m near 1, f = m - 1, s = f / (2 + f):
/// ln m = f - f^2 / 2 + s (f^2 / 2 + R(s^2)). Coefficients of R: FreeBSD msun, `e_log.c`.
#[inline(always)]
pub fn ln<S: Simd>(x: f64x4<S>) -> f64x4<S> {
    /// ln 2 in two parts, the upper of few digits.
    const LN_2: [f64; 2] = [6.931_471_803_691_238e-1, 1.908_214_929_270_587_7e-10];
    const R: [f64; 7] = [
        6.666_666_666_666_735e-1,
        3.999_999_999_940_942e-1,
        2.857_142_874_366_239e-1,
        2.222_219_843_214_978_4e-1,
        1.818_357_216_161_805e-1,
        1.531_383_769_920_937_3e-1,
        1.479_819_860_511_658_6e-1,
    ];
    /// What takes the bits of sqrt(1/2) to those of 1, and 2^52 with its bits.
    const UP: u64 = 0x3ff0_0000_0000_0000 - 0x3fe6_a09e_0000_0000;
    const FRACTION: u64 = 0x000f_ffff_ffff_ffff;
    const WHOLE: u64 = 0x4330_0000_0000_0000;
    let simd = x.token();
    let bits = x.to_bits() + UP;
    let exponent = f64x4::from_bits((bits >> 52) | WHOLE);
    let k = exponent - (f64::from_bits(WHOLE) + 1023.0);
    let m = f64x4::from_bits((bits & FRACTION) + 0x3fe6_a09e_0000_0000u64);
    let f = m - f64x4::splat(simd, 1.0);
    let half = f * f * 0.5;
    let s = f / (f + 2.0);
    let z = s * s;
    let w = z * z;
    let even = w * (w * (w * R[5] + R[3]) + R[1]);
    let odd = z * (w * (w * (w * R[6] + R[4]) + R[2]) + R[0]);
    k * LN_2[0] - ((half - (s * (half + (even + odd)) + k * LN_2[1])) - f)
}

/// e^x for -700 < x < 700, to one unit of the last place; 0 below. x = k ln 2 + r, e^r = 1 + r + r c
/// / (2 - c), c = r - r^2 P(r^2). Coefficients of P: FreeBSD msun, `e_exp.c`.
#[inline(always)]
pub fn exp<S: Simd>(x: f64x4<S>) -> f64x4<S> {
    const LN_2: [f64; 2] = [6.931_471_803_691_238e-1, 1.908_214_929_270_587_7e-10];
    const P: [f64; 5] = [
        1.666_666_666_666_660_2e-1,
        -2.777_777_777_701_559_3e-3,
        6.613_756_321_437_934e-5,
        -1.653_390_220_546_525_2e-6,
        4.138_136_797_057_238_5e-8,
    ];
    /// 1.5 x 2^52: a number added to it stands in the last bits, rounded.
    const ROUND: f64 = 6_755_399_441_055_744.0;
    let simd = x.token();
    let nothing = f64x4::splat(simd, 0.0);
    let rounded = x * std::f64::consts::LOG2_E + ROUND;
    let k = rounded - ROUND;
    let (high, low) = (x - k * LN_2[0], k * LN_2[1]);
    let r = high - low;
    let t = r * r;
    let c = r - t * (t * (t * (t * (t * P[4] + P[3]) + P[2]) + P[1]) + P[0]);
    let y = 1.0 - ((low - r * c / (2.0 - c)) - high);
    let scaled = f64x4::from_bits(y.to_bits() + (rounded.to_bits() << 52));
    x.simd_gt(f64x4::splat(simd, -700.0))
        .select(scaled, nothing)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A function of four lanes of each of these numbers, beside that of the standard library.
    fn off(
        list: &[f64],
        lanes: impl Fn([f64; 4]) -> [f64; 4],
        one: impl Fn(f64) -> f64,
    ) -> impl Iterator<Item = (f64, f64, f64)> {
        let mut out = Vec::new();
        for four in list.as_chunks::<4>().0 {
            for (x, got) in four.iter().zip(lanes(*four)) {
                out.push((*x, got, one(*x)));
            }
        }
        out.into_iter()
    }

    #[inline(always)]
    fn ln_of<S: Simd>(simd: S, four: [f64; 4]) -> [f64; 4] {
        ln(f64x4::simd_from(simd, four)).into()
    }

    #[inline(always)]
    fn exp_of<S: Simd>(simd: S, four: [f64; 4]) -> [f64; 4] {
        exp(f64x4::simd_from(simd, four)).into()
    }

    #[test]
    fn logarithms_are_those_of_the_library_over_all_normal_numbers() {
        let mut list: Vec<f64> = (0..200_000)
            .map(|n| 10f64.powf(-300.0 + 600.0 * f64::from(n) / 200_000.0))
            .collect();
        list.extend((0..100_000).map(|n| 0.5 + f64::from(n) * 1.7e-5));
        list.extend([1.0, f64::MIN_POSITIVE, f64::MAX, 1.0 + f64::EPSILON]);
        let lanes = |four| dispatch!(Level::new(), simd => ln_of(simd, four));
        for (x, got, want) in off(&list, lanes, f64::ln) {
            assert!(
                (got - want).abs() <= 4e-16 * want.abs(),
                "{x}: {got} {want}"
            );
        }
    }

    #[test]
    fn exponentials_are_those_of_the_library_and_nothing_far_down() {
        let list: Vec<f64> = (0..400_000)
            .map(|n| -699.9 + f64::from(n) * 3.4e-3)
            .collect();
        let lanes = |four| dispatch!(Level::new(), simd => exp_of(simd, four));
        for (x, got, want) in off(&list, lanes, f64::exp) {
            assert!((got - want).abs() <= 4e-16 * want, "{x}: {got} {want}");
        }
        let far = [-701.0, -1e4, -1e300, f64::NEG_INFINITY];
        assert_eq!(lanes(far), [0.0; 4]);
        assert_eq!(lanes([0.0; 4]), [1.0; 4]);
    }

    #[test]
    fn digits_are_the_same_with_the_least_instructions_and_with_the_most() {
        let list = [1e-9, 0.3, 7.7, 4e12];
        let most = dispatch!(Level::new(), simd => ln_of(simd, list));
        let least = dispatch!(Level::baseline(), simd => ln_of(simd, list));
        assert_eq!(most.map(f64::to_bits), least.map(f64::to_bits));
        let list = list.map(|x| -x);
        let most = dispatch!(Level::new(), simd => exp_of(simd, list));
        let least = dispatch!(Level::baseline(), simd => exp_of(simd, list));
        assert_eq!(most.map(f64::to_bits), least.map(f64::to_bits));
    }
}
