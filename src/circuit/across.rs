//! Loads across the line at one node, four at a time: the arithmetic of [`spread`](super::spread)
//! for many changes there.
//!
//! Columns have [`LANES`] places more than there are changes: the last four of a node reach into
//! those of the next, which are reckoned after them.
//!
//! Never here: trees, changes.

use super::four::Fours;
use super::gathered::Group;
use super::sums::{Quadratics, Sums};
use crate::quantity::lanes::{Complexes, LANES, Simd, f64x4, load, store};
use fearless_simd::prelude::*;
use num_complex::Complex64;
use std::ops::Range;

/// Loads that stand at nodes, one place each.
#[derive(Clone, Debug, Default)]
pub(super) struct Loads {
    /// Admittance, with the tone as designed.
    pub y: [Vec<f64>; 2],
    /// 1 where it follows the factor of all loads behind transformers.
    pub behind: Vec<f64>,
    /// 1 where the node's own load stays.
    pub beside: Vec<f64>,
    /// Its own variance.
    pub variance: Vec<f64>,
}

impl Loads {
    pub fn new(many: usize) -> Self {
        let column = || vec![0.0; many + LANES];
        Self {
            y: [column(), column()],
            behind: column(),
            beside: column(),
            variance: column(),
        }
    }
}

/// What the changes at one node have in common.
pub(super) struct Node {
    /// H.
    pub h: Complex64,
    /// V^2.
    pub v2: Complex64,
    /// Its loudspeaker as it acts, and the factor of all loads behind transformers.
    pub own: Complex64,
    pub times: f64,
    /// Admittance at the rack before.
    pub y_in: Complex64,
}

/// What a load makes of a line.
#[derive(Clone, Copy)]
struct Laid<S: Simd> {
    /// The load as it acts.
    new: Complexes<S>,
    /// K, and the voltage at the node over what it was: 1 / (1 + dY H).
    k: Complexes<S>,
    follows: Complexes<S>,
    /// Admittance at the rack.
    y: Complexes<S>,
}

impl Node {
    #[inline(always)]
    fn lay<S: Simd>(&self, simd: S, loads: &Loads, at: usize) -> Laid<S> {
        let [re, im] = &loads.y;
        let acts = load(simd, &loads.behind, at) * (self.times - 1.0) + 1.0;
        let new = Complexes::load(simd, [re, im], at) * acts;
        let goes = 1.0 - load(simd, &loads.beside, at);
        let dy = new - Complexes::all(simd, self.own) * goes;
        let mut denominator = dy * Complexes::all(simd, self.h);
        denominator.re += 1.0;
        let follows = denominator.inv();
        let k = dy * follows;
        Laid {
            new,
            k,
            follows,
            y: Complexes::all(simd, self.y_in) + Complexes::all(simd, self.v2) * k,
        }
    }

    /// Admittance at the rack after each of some loads.
    #[inline(always)]
    pub fn admittances<S: Simd>(
        &self,
        simd: S,
        loads: &Loads,
        lanes: Range<usize>,
        [re, im]: [&mut [f64]; 2],
    ) {
        for at in lanes.step_by(LANES) {
            let y = self.lay(simd, loads, at).y;
            store(re, at, y.re);
            store(im, at, y.im);
        }
    }
}

/// What the line's tolerances come to at a node.
pub(super) struct Tolerated<'a> {
    /// All but what is at and beyond the node.
    pub up_to: Quadratics,
    /// What is at and beyond it but for its loudspeaker, and that.
    pub rest: Sums,
    pub own: Sums,
    /// By group, this one of the solutions there.
    pub lane: usize,
    pub groups: &'a [Group],
    /// The group that its loudspeaker belongs to.
    pub group: Option<usize>,
}

/// Columns of what the rack reads.
pub(super) struct Reads<'a> {
    pub y: [&'a mut [f64]; 2],
    pub variance: &'a mut [f64],
    /// One after the other, each so long.
    pub groups: &'a mut [f64],
    pub stride: usize,
}

impl Node {
    /// What the rack reads, and how surely, after each of some loads.
    #[inline(always)]
    pub fn responses<S: Simd>(
        &self,
        simd: S,
        tolerated: &Tolerated<'_>,
        loads: &Loads,
        lanes: Range<usize>,
        out: &mut Reads<'_>,
    ) {
        let nothing = f64x4::splat(simd, 0.0);
        let v2 = Complexes::all(simd, self.v2);
        for at in lanes.step_by(LANES) {
            let Laid { new, k, follows, y } = self.lay(simd, loads, at);
            let connected = y.norm_sqr().simd_gt(nothing);
            let inverse = y.inv();
            let e = follows * follows * inverse;
            let beside = load(simd, &loads.beside, at);
            // The new load's own derivative.
            let by = (v2 * new).re_of(e);
            let variance = tolerated.up_to.at_each(k, inverse)
                + tolerated.rest.at_each(e)
                + tolerated.own.at_each(e) * beside
                + load(simd, &loads.variance, at) * by * by;
            let known = connected & variance.is_finite();
            let [re, im] = &mut out.y;
            store(re, at, y.re);
            store(im, at, y.im);
            store(
                out.variance,
                at,
                known.select(variance.max(nothing), nothing),
            );
            let behind = load(simd, &loads.behind, at);
            for (group, it) in tolerated.groups.iter().enumerate() {
                let all = |it: &Fours| Complexes::all(simd, it.of(tolerated.lane));
                let mut before = all(&it.up_to[2]);
                before = all(&it.up_to[1]) + k * before;
                before = all(&it.up_to[0]) + k * before;
                let own = all(&it.own) * beside;
                let beyond = all(&it.rest) + own;
                let mut sum = before.re_of(inverse) + beyond.re_of(e);
                if tolerated.group == Some(group) {
                    sum += by * behind;
                }
                let column = &mut out.groups[group * out.stride..];
                store(column, at, connected.select(sum, nothing));
            }
        }
    }
}
