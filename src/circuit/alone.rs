//! Two changes to first order: what the rack reads is exact, how surely is put together from what
//! each change does alone.
//!
//! ```text
//!   c = (Y' - Y1) / (Y2 - Y0)
//!   |Y'|^2 s'^2 = |Y1|^2 s1^2 + |c|^2 (|Y2|^2 s2^2 - |Y0|^2 s0^2)
//!   Y' w'       = Y1 w1 + c (Y2 w2 - Y0 w0)
//! ```
//!
//! Y admittance at the rack, s^2 the variance of ln|Z| that tolerances make, w the sum of derivatives
//! of one group; 0 before any change, 1 and 2 after either alone, ' after both. c is what the second
//! does under the first over what it does alone: 1 where they know nothing of each other, 0 behind a
//! break. Derivatives are Re(g / Y), and the g of what the second touches goes with c as its
//! admittance does. It spares each first change the sums over its tree, where spreads need not be
//! exact.
//!
//! Never here: who may do without.

use super::at_once::{Changes, Responses};
use super::closed_form::ClosedForm;
use super::spread::{Response, Spread};
use crate::quantity::Admittance;
use crate::quantity::lanes::{Complexes, LANES, Level, Simd, dispatch, f64x4, load, store};
use fearless_simd::prelude::*;

/// What a line reads, and how surely, after each change of a list alone.
#[derive(Clone, Debug)]
pub struct Alone {
    each: Responses,
    groups: usize,
    moved: Moved,
}

/// What each change moves of the line as it is, in columns.
#[derive(Clone, Debug)]
struct Moved {
    /// 1 / (Y2 - Y0); 0 where the change is not to be seen.
    inverse: [Vec<f64>; 2],
    /// |Y2|^2 s2^2 - |Y0|^2 s0^2
    square: Vec<f64>,
    /// Y2 w2 - Y0 w0, group by group.
    groups: Vec<[Vec<f64>; 2]>,
}

/// Siemens that no change of a line is to be seen by.
const NOTHING: f64 = 1e-12;

impl Alone {
    /// Reckons every change of the list by itself, on the line as it is.
    #[must_use]
    pub fn of(spread: &Spread<'_>, changes: &Changes) -> Self {
        let mut before = vec![0.0; spread.tolerances.groups];
        let Response { y_in, variance } = spread.base(&mut before);
        let mut each = Responses::default();
        spread.after_each(changes, 0, &mut each);
        let [re, im] = each.y();
        let column = |at: &dyn Fn(usize, Admittance) -> f64| -> Vec<f64> {
            let many = re.iter().zip(im).enumerate();
            many.map(|(at_lane, (re, im))| at(at_lane, Admittance::new(*re, *im)))
                .collect()
        };
        let complex = |at: &dyn Fn(usize, Admittance) -> Admittance| {
            [
                column(&|lane, y| at(lane, y).re),
                column(&|lane, y| at(lane, y).im),
            ]
        };
        let group = |(group, before): (usize, &f64)| {
            complex(&|lane, y| y * each.group(group)[lane] - y_in * before)
        };
        let moved = Moved {
            inverse: complex(&|_, y| {
                let moved = y - y_in;
                match moved.norm() > NOTHING {
                    true => moved.inv(),
                    false => Admittance::new(0.0, 0.0),
                }
            }),
            square: column(&|lane, y| {
                y.norm_sqr() * each.variance()[lane] - y_in.norm_sqr() * variance
            }),
            groups: before.iter().enumerate().map(group).collect(),
        };
        Self {
            groups: before.len(),
            each,
            moved,
        }
    }

    /// How many groups of tolerances there are.
    #[must_use]
    pub const fn groups(&self) -> usize {
        self.groups
    }

    /// What the rack reads after each change of the list by itself.
    #[must_use]
    pub const fn each(&self) -> &Responses {
        &self.each
    }

    /// Spreads after this change of the list and each from a place on, into its columns, where what
    /// the rack reads stands already.
    #[inline(always)]
    fn spreads<S: Simd>(&self, simd: S, first: usize, from: usize, out: &mut Responses) {
        let all = |x| f64x4::splat(simd, x);
        let [re, im] = self.each.y();
        let y1 = Admittance::new(re[first], im[first]);
        let own = self.each.variance()[first];
        let square = all(y1.norm_sqr() * own);
        let [inverse_re, inverse_im] = &self.moved.inverse;
        let nothing = all(0.0);
        for at in (from..self.each.len()).step_by(LANES) {
            let together = Complexes::load(simd, out.y(), at);
            let ratio = (together - Complexes::all(simd, y1))
                * Complexes::load(simd, [inverse_re, inverse_im], at);
            let within = ratio.norm_sqr().simd_lt(all(MOST * MOST));
            let c = Complexes {
                re: within.select(ratio.re, all(1.0)),
                im: within.select(ratio.im, nothing),
            };
            let modulus = together.norm_sqr();
            let connected = modulus.simd_gt(nothing);
            let inverse = 1.0 / modulus.max(all(f64::MIN_POSITIVE));
            let second = load(simd, self.each.variance(), at);
            let moved = load(simd, &self.moved.square, at);
            let variance = (square + c.norm_sqr() * moved) * inverse;
            let (least, most) = (second.min(all(own)) * LEAST, second + own);
            let variance = variance.max(least).min(most);
            store(out.variance_mut(), at, connected.select(variance, nothing));
            let follows = Complexes {
                re: together.re * inverse,
                im: -together.im * inverse,
            };
            for (group, [moved_re, moved_im]) in self.moved.groups.iter().enumerate() {
                let (alone, own) = (self.each.group(group), self.each.group(group)[first]);
                let moved = Complexes::load(simd, [moved_re, moved_im], at);
                let sum = (Complexes::all(simd, y1 * own) + c * moved).re_of(follows);
                let second = load(simd, alone, at);
                let (low, high) = (second.min(all(own.min(0.0))), second.max(all(own.max(1.0))));
                let sum = sum.max(low).min(high);
                store(out.group_mut(group), at, connected.select(sum, nothing));
            }
        }
    }
}

/// No pair is surer than this part of the surer of its changes, and none less sure than both added: an
/// impedance in series makes less of what is beyond it than its admittance lets expect.
const LEAST: f64 = 0.25;
/// Beyond this the one makes nothing like itself of the other, and c is taken for 1.
const MOST: f64 = 4.0;

impl ClosedForm<'_> {
    /// What the rack reads after each change of a list from this place on, and to first order how
    /// surely, where the change laid over this solution is the `first` of the list and `alone` is
    /// that of the line without it; what stands before in the columns is not touched.
    pub fn nearly_after_each(
        &self,
        changes: &Changes,
        alone: &Alone,
        first: usize,
        from: usize,
        out: &mut Responses,
    ) {
        out.fit(changes.len(), alone.groups);
        dispatch!(Level::new(), simd => {
            self.y_of_each(simd, changes, from, out);
            alone.spreads(simd, first, from, out);
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::four_of_two_groups;
    use crate::circuit::{Change, Load};
    use crate::quantity::Ohm;

    #[test]
    fn two_changes_of_loads_read_exactly_and_spread_as_they_do_together_nearly() {
        let (sound, tolerances) = four_of_two_groups();
        let load = |at, re| Change::Load {
            at,
            is: Load {
                y: Admittance::new(re, 0.0),
                silent: false,
                transformer: true,
            },
        };
        let list: Vec<_> = (0..4)
            .flat_map(|at| {
                let changes = [
                    Change::Break { run: at },
                    load(at, 5e-4),
                    load(at, 2e-3),
                    Change::short_at(at, Ohm(0.3)),
                ];
                changes.map(|it| (Some(it), false))
            })
            .collect();
        let changes = Changes::of(&sound, &tolerances, list.clone());
        let solved = sound.solve();
        let alone = Alone::of(&solved.spread(&tolerances, &[]), &changes);
        let (mut near, mut exact) = (Responses::default(), Responses::default());
        for (first, (change, _)) in list.iter().enumerate() {
            let base = sound.with(change.as_slice()).solve();
            base.closed_form()
                .nearly_after_each(&changes, &alone, first, 0, &mut near);
            base.spread(&tolerances, &[])
                .after_each(&changes, 0, &mut exact);
            for lane in 0..list.len() {
                for part in 0..2 {
                    let (got, want) = (near.y()[part][lane], exact.y()[part][lane]);
                    assert!((got - want).abs() <= 1e-12 * want.abs() + 1e-18);
                }
            }
            // Loads alone are far from what bounds them: the spreads are nearly those together.
            let loads = |lane: &usize| lane % 4 == 1 || lane % 4 == 2;
            if !loads(&first) {
                continue;
            }
            for lane in (0..list.len()).filter(|lane| lane / 4 != first / 4 && loads(lane)) {
                let (got, want) = (near.variance()[lane], exact.variance()[lane]);
                assert!(
                    (got / want - 1.0).abs() < 0.15,
                    "{first} {lane}: {got} {want}"
                );
                for group in 0..2 {
                    let (got, want) = (near.group(group)[lane], exact.group(group)[lane]);
                    assert!(
                        (got - want).abs() < 0.06,
                        "{first} {lane} {group}: {got} {want}"
                    );
                }
            }
        }
    }
}
