//! Sums over tolerances of variance times derivative squared, of which a change of the line moves all
//! terms alike: after the change the sum follows from a few numbers, not from every term.
//!
//! Never here: trees; which change moves what.

use super::element::Element;
use crate::quantity::lanes::{Complexes, Simd, f64x4};
use fearless_simd::prelude::*;
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);
const ONE: Complex64 = Complex64::new(1.0, 0.0);

/// Sums over things that all follow one voltage: g = v f^2 with the same f.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sums {
    /// Sum of variance v^2.
    pub square: Complex64,
    /// Sum of variance |v|^2.
    pub modulus: f64,
}

impl Sums {
    pub fn one(variance: f64, v: Complex64) -> Self {
        Self {
            square: variance * v * v,
            modulus: variance * v.norm_sqr(),
        }
    }

    pub fn add(&mut self, other: Self) {
        self.square += other.square;
        self.modulus += other.modulus;
    }

    /// The variance they make with f^2 / Y' = e.
    pub fn at(&self, e: Complex64) -> f64 {
        0.5 * ((self.square * e * e).re + self.modulus * e.norm_sqr())
    }

    /// [`Self::at`] for four solutions or changes at a time.
    #[inline(always)]
    pub fn at_each<S: Simd>(&self, e: Complexes<S>) -> f64x4<S> {
        let square = Complexes::all(e.re.token(), self.square);
        ((square * e).re_of(e) + e.norm_sqr() * self.modulus) * 0.5
    }
}

/// Sums over things whose g is a quadratic in K.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Quadratics {
    /// Sum of variance g^2, by power of K.
    pub square: [Complex64; 5],
    /// Sum of variance |q_i|^2.
    pub modulus: [f64; 3],
    /// Sum of variance q1 q0*, q2 q0*, q2 q1*.
    pub mixed: [Complex64; 3],
}

impl Quadratics {
    /// The variance they make at K with 1 / Y' = inverse.
    pub fn at(&self, k: Complex64, inverse: Complex64) -> f64 {
        let [s0, s1, s2, s3, s4] = self.square;
        let square = s0 + k * (s1 + k * (s2 + k * (s3 + k * s4)));
        let n = k.norm_sqr();
        let [m0, m1, m2] = self.modulus;
        let [x10, x20, x21] = self.mixed;
        let mixed = (k * (x10 + n * x21 + k * x20)).re;
        let modulus = m0 + n * (m1 + n * m2) + 2.0 * mixed;
        0.5 * ((square * inverse * inverse).re + modulus * inverse.norm_sqr())
    }

    /// [`Self::at`] for four solutions or changes at a time.
    #[inline(always)]
    pub fn at_each<S: Simd>(&self, k: Complexes<S>, inverse: Complexes<S>) -> f64x4<S> {
        let simd = k.re.token();
        let mut square = Complexes::all(simd, self.square[4]);
        for power in (0..4).rev() {
            square = Complexes::all(simd, self.square[power]) + k * square;
        }
        let n = k.norm_sqr();
        let [m0, m1, m2] = self.modulus;
        let x10 = Complexes::all(simd, self.mixed[0]);
        let x20 = Complexes::all(simd, self.mixed[1]);
        let x21 = Complexes::all(simd, self.mixed[2]);
        let mixed = k.re_of(x10 + x21 * n + k * x20);
        let modulus = n * (n * m2 + m1) + m0 + mixed * 2.0;
        ((square * inverse).re_of(inverse) + inverse.norm_sqr() * modulus) * 0.5
    }
}

/// A run's g as a quadratic form: a I^2 + b I V + c V^2 in the voltage and the outward current at
/// its far end, both per volt at the rack.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Form {
    a: Complex64,
    b: Complex64,
    c: Complex64,
}

impl Form {
    pub fn of(element: &Element) -> Self {
        let length = element.length.get();
        let (z, y) = (element.per_metre.z * length, element.per_metre.y * length);
        if element.bridges.is_empty() {
            return Self {
                a: z,
                b: ZERO,
                c: -y,
            };
        }
        // Backwards along the run, voltage and current as forms of those at the far end.
        let mut form = Self::default();
        let (mut v, mut i) = ([ONE, ZERO], [ZERO, ONE]);
        let stretches: Vec<_> = element.stretches().collect();
        for (start, end, bridge) in stretches.into_iter().rev() {
            i = [i[0] + bridge * v[0], i[1] + bridge * v[1]];
            let share = end - start;
            form.a += share * (z * i[1] * i[1] - y * v[1] * v[1]);
            form.b += share * 2.0 * (z * i[0] * i[1] - y * v[0] * v[1]);
            form.c += share * (z * i[0] * i[0] - y * v[0] * v[0]);
            let run = element.bare(start, end);
            (v, i) = (
                [run.a * v[0] + run.b * i[0], run.a * v[1] + run.b * i[1]],
                [run.c * v[0] + run.d * i[0], run.c * v[1] + run.d * i[1]],
            );
        }
        form
    }

    pub fn at(&self, v: Complex64, i: Complex64) -> Complex64 {
        self.a * i * i + self.b * i * v + self.c * v * v
    }

    /// The quadratic in K across the far end, voltage v (1 - K h) and current v (y + K u).
    pub fn on_the_way(
        &self,
        v: Complex64,
        y: Complex64,
        u: Complex64,
        h: Complex64,
    ) -> [Complex64; 3] {
        let v2 = v * v;
        if self.b == ZERO {
            let (ay, ch) = (self.a * y, self.c * h);
            return [
                v2 * (ay * y + self.c),
                v2 * (2.0 * (ay * u - ch)),
                v2 * (self.a * u * u + ch * h),
            ];
        }
        [
            v2 * (self.a * y * y + self.b * y + self.c),
            v2 * (2.0 * self.a * y * u + self.b * (u - y * h) - 2.0 * self.c * h),
            v2 * (self.a * u * u - self.b * u * h + self.c * h * h),
        ]
    }
}
