//! Columns of numbers and the loops over them: the arithmetic of [`spread`](super::spread) for many
//! changes at one node.
//!
//! No function is inlined: each column is then known to overlap no other, and the loops become
//! vector instructions.
//!
//! Never here: trees, changes.

use super::sums::{Quadratics, Sums};
use num_complex::Complex64;

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

/// Real and imaginary parts.
pub(super) type Pair<'a> = (&'a mut [f64], &'a mut [f64]);

/// Of loads at a node: K, 1 / (1 + dY H), and the admittance at the rack.
#[inline(never)]
pub(super) fn loads(
    node: &Node,
    [re, im, behind, instead]: [&[f64]; 4],
    k: Pair<'_>,
    follows: Pair<'_>,
    y: Pair<'_>,
) {
    let n = re.len();
    let (im, behind, instead) = (&im[..n], &behind[..n], &instead[..n]);
    let (k_re, k_im) = (&mut k.0[..n], &mut k.1[..n]);
    let (f_re, f_im) = (&mut follows.0[..n], &mut follows.1[..n]);
    let (y_re, y_im) = (&mut y.0[..n], &mut y.1[..n]);
    let Node {
        h,
        v2,
        own,
        times,
        y_in,
    } = *node;
    for i in 0..n {
        let new = Complex64::new(re[i], im[i]) * (1.0 + behind[i] * (times - 1.0));
        let dy = new - own * instead[i];
        let follows = (1.0 + dy * h).inv();
        let k = dy * follows;
        let y = y_in + v2 * k;
        (k_re[i], k_im[i]) = (k.re, k.im);
        (f_re[i], f_im[i]) = (follows.re, follows.im);
        (y_re[i], y_im[i]) = (y.re, y.im);
    }
}

/// 1 / Y' and (V'/V)^2 / Y'.
#[inline(never)]
pub(super) fn ratios([y_re, y_im, f_re, f_im]: [&[f64]; 4], inverse: Pair<'_>, e: Pair<'_>) {
    let n = y_re.len();
    let (y_im, f_re, f_im) = (&y_im[..n], &f_re[..n], &f_im[..n]);
    let (i_re, i_im) = (&mut inverse.0[..n], &mut inverse.1[..n]);
    let (e_re, e_im) = (&mut e.0[..n], &mut e.1[..n]);
    for i in 0..n {
        let inverse = Complex64::new(y_re[i], y_im[i]).inv();
        let follows = Complex64::new(f_re[i], f_im[i]);
        let e = follows * follows * inverse;
        (i_re[i], i_im[i]) = (inverse.re, inverse.im);
        (e_re[i], e_im[i]) = (e.re, e.im);
    }
}

/// The variance that all but what is at and beyond the node makes.
#[inline(never)]
pub(super) fn outside(up_to: &Quadratics, [k_re, k_im, i_re, i_im]: [&[f64]; 4], out: &mut [f64]) {
    let n = out.len();
    let (k_re, k_im, i_re, i_im) = (&k_re[..n], &k_im[..n], &i_re[..n], &i_im[..n]);
    let up_to = *up_to;
    for i in 0..n {
        let (k, inverse) = (
            Complex64::new(k_re[i], k_im[i]),
            Complex64::new(i_re[i], i_im[i]),
        );
        out[i] = up_to.at(k, inverse);
    }
}

/// What is at and beyond the node, and the new load: its derivative into `by`, the variance of all
/// added to what stands.
#[inline(never)]
pub(super) fn beyond(
    (v2, times): (Complex64, f64),
    (rest, own): (&Sums, &Sums),
    [e_re, e_im]: [&[f64]; 2],
    [re, im, behind, instead, each]: [&[f64]; 5],
    by: &mut [f64],
    out: &mut [f64],
) {
    let n = out.len();
    let (e_re, e_im, by) = (&e_re[..n], &e_im[..n], &mut by[..n]);
    let (re, im, behind) = (&re[..n], &im[..n], &behind[..n]);
    let (instead, each) = (&instead[..n], &each[..n]);
    let (rest, own) = (*rest, *own);
    for i in 0..n {
        let e = Complex64::new(e_re[i], e_im[i]);
        let new = Complex64::new(re[i], im[i]) * (1.0 + behind[i] * (times - 1.0));
        let its = (v2 * new * e).re;
        by[i] = its;
        let kept = own.at(e) * (1.0 - instead[i]);
        out[i] = (out[i] + rest.at(e) + kept + each[i] * its * its).max(0.0);
    }
}

/// The sums of derivatives of one group; `is_its` is 1 where the node belongs to it.
#[inline(never)]
pub(super) fn group_sums(
    ([w0, w1, w2], rest, own, is_its): ([Complex64; 3], Complex64, Complex64, f64),
    [k_re, k_im, i_re, i_im, e_re, e_im]: [&[f64]; 6],
    [by, behind, instead]: [&[f64]; 3],
    out: &mut [f64],
) {
    let n = out.len();
    let (k_re, k_im, i_re, i_im) = (&k_re[..n], &k_im[..n], &i_re[..n], &i_im[..n]);
    let (e_re, e_im) = (&e_re[..n], &e_im[..n]);
    let (by, behind, instead) = (&by[..n], &behind[..n], &instead[..n]);
    for i in 0..n {
        let k = Complex64::new(k_re[i], k_im[i]);
        let inverse = Complex64::new(i_re[i], i_im[i]);
        let e = Complex64::new(e_re[i], e_im[i]);
        let beyond = rest + own * (1.0 - instead[i]);
        let sum = ((w0 + k * (w1 + k * w2)) * inverse + beyond * e).re;
        out[i] = sum + by[i] * behind[i] * is_its;
    }
}
