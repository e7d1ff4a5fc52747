//! Sums of derivatives of up to four solutions of one tree, side by side: kept in lanes, reckoned in
//! vectors, read one solution at a time.
//!
//! Loops over arrays are written out: the closures of `map` are compiled without the instructions that
//! the vectors are for.
//!
//! Never here: trees; which change moves what.

use super::sums::{Quadratics, Sums};
use crate::quantity::lanes::{Complexes, LANES, Simd, f64x4};
use fearless_simd::prelude::*;
use num_complex::Complex64;

/// One complex number of each solution.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fours {
    re: [f64; LANES],
    im: [f64; LANES],
}

impl Fours {
    /// The number of the solution in this lane.
    #[inline(always)]
    pub fn of(&self, lane: usize) -> Complex64 {
        Complex64::new(self.re[lane], self.im[lane])
    }

    #[inline(always)]
    pub fn set(&mut self, lane: usize, z: Complex64) {
        (self.re[lane], self.im[lane]) = (z.re, z.im);
    }

    #[inline(always)]
    pub fn load<S: Simd>(&self, simd: S) -> Complexes<S> {
        Complexes {
            re: f64x4::simd_from(simd, self.re),
            im: f64x4::simd_from(simd, self.im),
        }
    }

    #[inline(always)]
    pub fn store<S: Simd>(&mut self, z: Complexes<S>) {
        (self.re, self.im) = (z.re.into(), z.im.into());
    }

    #[inline(always)]
    pub fn add<S: Simd>(&mut self, z: Complexes<S>) {
        self.store(self.load(z.re.token()) + z);
    }
}

/// One number of each power, of one solution.
#[inline(always)]
pub(super) fn powers<const N: usize>(of: &[Fours; N], lane: usize) -> [Complex64; N] {
    let mut out = [Complex64::ZERO; N];
    for at in 0..N {
        out[at] = of[at].of(lane);
    }
    out
}

/// The vectors of each power.
#[inline(always)]
pub(super) fn load<S: Simd, const N: usize>(simd: S, of: &[Fours; N]) -> [Complexes<S>; N] {
    let mut out = [Complexes::all(simd, Complex64::ZERO); N];
    for at in 0..N {
        out[at] = of[at].load(simd);
    }
    out
}

#[inline(always)]
pub(super) fn store<S: Simd, const N: usize>(to: &mut [Fours; N], z: [Complexes<S>; N]) {
    for at in 0..N {
        to[at].store(z[at]);
    }
}

/// [`Sums`] of each solution.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct SumsOfFour {
    square: Fours,
    modulus: [f64; LANES],
}

impl SumsOfFour {
    /// The sums of the solution in this lane.
    #[inline(always)]
    pub fn of(&self, lane: usize) -> Sums {
        Sums {
            square: self.square.of(lane),
            modulus: self.modulus[lane],
        }
    }

    #[inline(always)]
    pub fn set(&mut self, lane: usize, sums: Sums) {
        self.square.set(lane, sums.square);
        self.modulus[lane] = sums.modulus;
    }

    #[inline(always)]
    pub fn load<S: Simd>(&self, simd: S) -> WideSums<S> {
        WideSums {
            square: self.square.load(simd),
            modulus: f64x4::simd_from(simd, self.modulus),
        }
    }

    #[inline(always)]
    pub fn store<S: Simd>(&mut self, sums: WideSums<S>) {
        self.square.store(sums.square);
        self.modulus = sums.modulus.into();
    }

    #[inline(always)]
    pub fn add<S: Simd>(&mut self, sums: WideSums<S>) {
        self.store(self.load(sums.modulus.token()).and(sums));
    }
}

/// Four [`Sums`] at a time.
#[derive(Clone, Copy)]
pub(super) struct WideSums<S: Simd> {
    square: Complexes<S>,
    modulus: f64x4<S>,
}

impl<S: Simd> WideSums<S> {
    /// The sum of these and others.
    #[inline(always)]
    pub fn and(self, more: Self) -> Self {
        Self {
            square: self.square + more.square,
            modulus: self.modulus + more.modulus,
        }
    }
}

/// [`Quadratics`] of each solution.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct QuadraticsOfFour {
    square: [Fours; 5],
    modulus: [[f64; LANES]; 3],
    mixed: [Fours; 3],
}

impl QuadraticsOfFour {
    /// The sums of the solution in this lane.
    #[inline(always)]
    pub fn of(&self, lane: usize) -> Quadratics {
        let [m0, m1, m2] = &self.modulus;
        Quadratics {
            square: powers(&self.square, lane),
            modulus: [m0[lane], m1[lane], m2[lane]],
            mixed: powers(&self.mixed, lane),
        }
    }

    #[inline(always)]
    pub fn load<S: Simd>(&self, simd: S) -> WideQuadratics<S> {
        let [m0, m1, m2] = self.modulus;
        WideQuadratics {
            square: load(simd, &self.square),
            modulus: [
                f64x4::simd_from(simd, m0),
                f64x4::simd_from(simd, m1),
                f64x4::simd_from(simd, m2),
            ],
            mixed: load(simd, &self.mixed),
        }
    }

    #[inline(always)]
    pub fn store<S: Simd>(&mut self, it: WideQuadratics<S>) {
        let [m0, m1, m2] = it.modulus;
        store(&mut self.square, it.square);
        self.modulus = [m0.into(), m1.into(), m2.into()];
        store(&mut self.mixed, it.mixed);
    }
}

/// Four [`Quadratics`] at a time.
#[derive(Clone, Copy)]
pub(super) struct WideQuadratics<S: Simd> {
    square: [Complexes<S>; 5],
    modulus: [f64x4<S>; 3],
    mixed: [Complexes<S>; 3],
}

impl<S: Simd> WideQuadratics<S> {
    /// The sums of a single derivative g = q0 + q1 K + q2 K^2 with its variance.
    #[inline(always)]
    pub fn one(variance: f64, [q0, q1, q2]: [Complexes<S>; 3]) -> Self {
        let (v0, v1, v2) = (q0.times(variance), q1.times(variance), q2.times(variance));
        Self {
            square: [
                v0 * q0,
                (v0 * q1).times(2.0),
                (v0 * q2).times(2.0) + v1 * q1,
                (v1 * q2).times(2.0),
                v2 * q2,
            ],
            modulus: [
                q0.norm_sqr() * variance,
                q1.norm_sqr() * variance,
                q2.norm_sqr() * variance,
            ],
            mixed: [v1 * q0.conj(), v2 * q0.conj(), v2 * q1.conj()],
        }
    }

    /// The sums of derivatives that follow a voltage, which a change multiplies by f = 1 - K H.
    #[inline(always)]
    pub fn following(sums: WideSums<S>, h: Complexes<S>) -> Self {
        let (s, b) = (sums.square, sums.modulus);
        let (h2, n) = (h * h, h.norm_sqr());
        let [h1s, h2s] = [h * s, h2 * s];
        Self {
            square: [
                s,
                h1s.times(-4.0),
                h2s.times(6.0),
                (h2 * h1s).times(-4.0),
                h2 * h2s,
            ],
            modulus: [b, n * b * 4.0, n * n * b],
            mixed: [h * (b * -2.0), h2 * b, h * (b * n * -2.0)],
        }
    }

    /// The sum of these and others.
    #[inline(always)]
    pub fn and(mut self, more: Self) -> Self {
        for at in 0..5 {
            self.square[at] = self.square[at] + more.square[at];
        }
        for at in 0..3 {
            self.modulus[at] += more.modulus[at];
            self.mixed[at] = self.mixed[at] + more.mixed[at];
        }
        self
    }

    /// These sums as polynomials in K, where they were polynomials in K t.
    #[inline(always)]
    pub fn scaled(self, t: Complexes<S>) -> Self {
        let (t2, n) = (t * t, t.norm_sqr());
        let [s0, s1, s2, s3, s4] = self.square;
        let [m0, m1, m2] = self.modulus;
        let [x10, x20, x21] = self.mixed;
        Self {
            square: [s0, s1 * t, s2 * t2, s3 * t2 * t, s4 * t2 * t2],
            modulus: [m0, m1 * n, m2 * n * n],
            mixed: [x10 * t, x20 * t2, x21 * t * n],
        }
    }
}
