//! Many changes at once: what the rack reads, and how surely, after each change of a list.
//!
//! Most changes of a line put a load in the place of a node's own, or something beside it, and a
//! node has a dozen of those. For one node [`Spread::after`](super::Spread::after) is the same few
//! hundred sums and products with other numbers: here they stand in columns and run in plain loops,
//! of which the compiler makes vector instructions. Each figure is to the digit the one that the
//! change would have alone, whoever stands beside it. Changes of a run go one by one.
//!
//! Never here: what the changes mean.

use super::change::Change;
use super::closed_form::ClosedForm;
use super::columns::{Node, beyond, group_sums, loads, outside, ratios};
use super::network::Network;
use super::spread::{Spread, Tolerances};
use num_complex::Complex64;
use std::ops::Range;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// A list of changes made ready.
#[derive(Clone, Debug)]
pub struct Changes {
    /// Each with whether it is an added load with a tolerance of its own; none changes nothing.
    list: Vec<(Option<Change>, bool)>,
    /// Consecutive changes that are across the line at one node; those of a run stand in none.
    stretches: Vec<Stretch>,
    /// Admittance of the new load, with the tone as designed.
    re: Vec<f64>,
    im: Vec<f64>,
    /// 1 where it follows the factor of all loads behind transformers.
    behind: Vec<f64>,
    /// 1 where the node's own load goes.
    instead: Vec<f64>,
    /// Variance of the new load.
    variance: Vec<f64>,
}

#[derive(Clone, Debug)]
struct Stretch {
    /// The node; none for a single change of another kind.
    at: Option<usize>,
    lanes: Range<usize>,
}

/// What the rack reads after each change, column by column.
#[derive(Clone, Debug, Default)]
pub struct Responses {
    /// Admittance at the rack.
    pub re: Vec<f64>,
    /// The same, its imaginary part.
    pub im: Vec<f64>,
    /// Variance of ln|Z|; 0 where nothing is connected.
    pub variance: Vec<f64>,
    /// Sums of derivatives, a column of all changes for each group.
    pub groups: Vec<f64>,
    work: Work,
}

/// K and 1 / (1 + dY H); 1 / Y' and (V'/V)^2 / Y'; the new load's own derivative.
#[derive(Clone, Debug, Default)]
struct Work {
    k: [Vec<f64>; 2],
    follows: [Vec<f64>; 2],
    inverse: [Vec<f64>; 2],
    e: [Vec<f64>; 2],
    by: Vec<f64>,
}

impl Responses {
    fn fit(&mut self, many: usize, groups: usize) {
        let work = &mut self.work;
        let columns = [&mut self.re, &mut self.im, &mut self.variance, &mut work.by];
        let pairs = [
            &mut work.k,
            &mut work.follows,
            &mut work.inverse,
            &mut work.e,
        ];
        for column in columns.into_iter().chain(pairs.into_iter().flatten()) {
            column.resize(many, 0.0);
        }
        self.groups.resize(many * groups, 0.0);
    }
}

impl Changes {
    /// Of a list for lines such as this: the same nodes, whatever is laid over them.
    #[must_use]
    pub fn of(
        network: &Network,
        tolerances: &Tolerances,
        list: Vec<(Option<Change>, bool)>,
    ) -> Self {
        let n = list.len();
        let mut out = Self {
            list: Vec::new(),
            stretches: Vec::new(),
            re: vec![0.0; n],
            im: vec![0.0; n],
            behind: vec![0.0; n],
            instead: vec![0.0; n],
            variance: vec![0.0; n],
        };
        for (lane, (change, added)) in list.iter().enumerate() {
            let at = match *change {
                Some(Change::Load { at, is }) if network.is_loudspeaker(at) => {
                    (out.re[lane], out.im[lane]) = (is.y.re, is.y.im);
                    out.behind[lane] = f64::from(u8::from(is.transformer));
                    out.instead[lane] = 1.0;
                    out.variance[lane] = tolerances.loudspeaker;
                    Some(at)
                }
                Some(Change::Shunt { at, y }) if at < network.len() => {
                    (out.re[lane], out.im[lane]) = (y.re, y.im);
                    out.variance[lane] = if *added { tolerances.added } else { 0.0 };
                    Some(at)
                }
                _ => None,
            };
            match out.stretches.last_mut() {
                Some(last) if at.is_some() && last.at == at => last.lanes.end = lane + 1,
                _ => out.stretches.push(Stretch {
                    at,
                    lanes: lane..lane + 1,
                }),
            }
        }
        out.list = list;
        out
    }

    /// How many.
    #[must_use]
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The stretches from a place of the list on, the first of them perhaps cut short.
    fn from(&self, from: usize) -> impl Iterator<Item = (Option<usize>, Range<usize>)> + '_ {
        let first = self.stretches.partition_point(|it| it.lanes.end <= from);
        self.stretches[first..]
            .iter()
            .map(move |it| (it.at, it.lanes.start.max(from)..it.lanes.end))
    }
}

impl ClosedForm<'_> {
    /// Admittance at the rack after each change of a list from this place on, as
    /// [`y_after`](Self::y_after) has it. Only [`Responses::re`] and [`Responses::im`] are meant,
    /// and of them what stands before is not touched.
    pub fn y_after_each(&self, changes: &Changes, from: usize, out: &mut Responses) {
        out.fit(changes.len(), 0);
        for (at, lanes) in changes.from(from) {
            match at.filter(|at| self.reaches(*at)) {
                Some(at) => self.across_each(at, changes, lanes, out),
                None => {
                    for lane in lanes {
                        let y = match &changes.list[lane].0 {
                            Some(change) => self.y_after(change),
                            None => self.solution.y_in,
                        };
                        (out.re[lane], out.im[lane]) = (y.re, y.im);
                    }
                }
            }
        }
    }

    fn reaches(&self, node: usize) -> bool {
        !self.solution.at[node].cut && !self.solution.network.elements[node].node_elsewhere
    }

    /// The loads at a node that something reaches: K, and 1 / (1 + dY H), for those after it.
    fn across_each(&self, at: usize, changes: &Changes, lanes: Range<usize>, out: &mut Responses) {
        let (solved, network) = (&self.solution.at[at], &self.solution.network);
        let z = self.back[at].z_node;
        let node = Node {
            h: z / (1.0 + z * solved.y_node),
            v2: solved.v * solved.v,
            own: network.own(at),
            times: network.times,
            y_in: self.solution.y_in,
        };
        let work = &mut out.work;
        let [k_re, k_im] = work.k.each_mut().map(|it| &mut it[lanes.clone()]);
        let [f_re, f_im] = work.follows.each_mut().map(|it| &mut it[lanes.clone()]);
        loads(
            &node,
            [
                &changes.re[lanes.clone()],
                &changes.im[lanes.clone()],
                &changes.behind[lanes.clone()],
                &changes.instead[lanes.clone()],
            ],
            (k_re, k_im),
            (f_re, f_im),
            (&mut out.re[lanes.clone()], &mut out.im[lanes]),
        );
    }
}

impl Spread<'_> {
    /// What the rack reads, and how surely, after each change of a list from this place on, as
    /// [`after`](Self::after) has it; what stands before in the columns is not touched.
    pub fn after_each(&self, changes: &Changes, from: usize, out: &mut Responses) {
        let groups = self.tolerances.groups;
        let many = changes.len();
        out.fit(many, groups);
        let mut alone = vec![0.0; groups];
        for (at, lanes) in changes.from(from) {
            if let Some(at) = at.filter(|at| self.closed.reaches(*at)) {
                self.closed.across_each(at, changes, lanes.clone(), out);
                self.across_each(at, changes, lanes, out);
                continue;
            }
            for lane in lanes {
                let (change, added) = &changes.list[lane];
                let response = match change {
                    Some(change) => self.after(change, *added, &mut alone),
                    None => self.base(&mut alone),
                };
                (out.re[lane], out.im[lane]) = (response.y_in.re, response.y_in.im);
                out.variance[lane] = response.variance;
                for (group, alone) in alone.iter().enumerate() {
                    out.groups[group * many + lane] = *alone;
                }
            }
        }
    }

    fn across_each(&self, at: usize, changes: &Changes, lanes: Range<usize>, out: &mut Responses) {
        let (solved, here) = (&self.closed.solution.at[at], &self.at[at]);
        let network = &self.closed.solution.network;
        let (v2, times) = (solved.v * solved.v, network.times);
        let work = &mut out.work;
        let n = lanes.len();
        let (y_re, y_im) = (&out.re[lanes.clone()], &out.im[lanes.clone()]);
        let [k_re, k_im] = work.k.each_ref().map(|it| &it[lanes.clone()]);
        let [f_re, f_im] = work.follows.each_ref().map(|it| &it[lanes.clone()]);
        {
            let [i_re, i_im] = work.inverse.each_mut().map(|it| &mut it[lanes.clone()]);
            let [e_re, e_im] = work.e.each_mut().map(|it| &mut it[lanes.clone()]);
            ratios([y_re, y_im, f_re, f_im], (i_re, i_im), (e_re, e_im));
        }
        let [i_re, i_im] = work.inverse.each_ref().map(|it| &it[lanes.clone()]);
        let [e_re, e_im] = work.e.each_ref().map(|it| &it[lanes.clone()]);
        let variance = &mut out.variance[lanes.clone()];
        let by = &mut work.by[lanes.clone()];
        outside(&here.up_to, [k_re, k_im, i_re, i_im], variance);
        beyond(
            (v2, times),
            (&here.rest, &here.own),
            [e_re, e_im],
            [
                &changes.re[lanes.clone()],
                &changes.im[lanes.clone()],
                &changes.behind[lanes.clone()],
                &changes.instead[lanes.clone()],
                &changes.variance[lanes.clone()],
            ],
            by,
            variance,
        );
        let (many, groups) = (changes.len(), self.tolerances.groups);
        for group in 0..groups {
            let first = at * groups + group;
            let own = if self.tolerances.group_of[at] == Some(group) {
                1.0
            } else {
                0.0
            };
            group_sums(
                (self.up_to[first], self.rest[first], self.own[first], own),
                [k_re, k_im, i_re, i_im, e_re, e_im],
                [
                    by,
                    &changes.behind[lanes.clone()],
                    &changes.instead[lanes.clone()],
                ],
                &mut out.groups[group * many + lanes.start..][..n],
            );
        }
        for lane in lanes {
            if Complex64::new(out.re[lane], out.im[lane]) == ZERO {
                out.variance[lane] = 0.0;
                for group in 0..groups {
                    out.groups[group * many + lane] = 0.0;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::circuit::{Load, Response};
    use crate::quantity::{Admittance, Fraction, Impedance, Ohm};

    /// Every kind of change at every node, those across a node together.
    fn list(nodes: usize) -> Vec<(Option<Change>, bool)> {
        let load = |at, re, transformer| Change::Load {
            at,
            is: Load {
                y: Admittance::new(re, -2e-4),
                silent: false,
                transformer,
            },
        };
        let mut out = vec![
            (None, false),
            (Some(Change::EveryLoad { times: 2.0 }), false),
        ];
        for at in 0..nodes {
            let (z, along, ohm) = (Impedance::new(30.0, 0.0), Fraction(0.3), Ohm(0.2));
            out.push((Some(Change::Break { run: at }), false));
            out.push((
                Some(Change::Short {
                    run: at,
                    along,
                    ohm,
                }),
                false,
            ));
            out.push((Some(Change::Series { run: at, z }), false));
            for transformer in [true, false] {
                for re in [0.0, 1e-4, 3e-3, 0.125] {
                    out.push((Some(load(at, re, transformer)), false));
                }
            }
            out.push((Some(Change::short_at(at, Ohm(1.0))), false));
            let y = Admittance::new(1e-3, 0.0);
            out.push((Some(Change::Shunt { at, y }), true));
        }
        out
    }

    #[test]
    fn each_of_many_changes_comes_to_what_it_comes_to_alone() {
        let nodes = vec![
            loudspeaker(10.0, None, 100.0),
            loudspeaker(6.0, Some(0), 60.0),
            loudspeaker(3.0, Some(1), 80.0),
            loudspeaker(10.0, Some(0), 40.0),
        ];
        let plan = line(nodes);
        let tolerances = Tolerances {
            groups: 2,
            group_of: (0..4).map(|node| Some(node % 2)).collect(),
            loudspeaker: 0.0025,
            run: vec![0.0025; 4],
            added: 0.0061,
        };
        let sound = network(&plan, 1000.0);
        let changes = Changes::of(&sound, &tolerances, list(4));
        let (mut many, mut few) = (Responses::default(), Responses::default());
        for (first, _) in list(4) {
            let base = sound.with(first.as_slice()).solve();
            let spread = base.spread(&tolerances, &[(2, Admittance::new(2e-4, 0.0))]);
            spread.after_each(&changes, 0, &mut many);
            let closed = base.closed_form();
            for from in [0, 7, 11] {
                closed.y_after_each(&changes, from, &mut few);
                for lane in from..changes.len() {
                    let off = (few.re[lane] - many.re[lane]).hypot(few.im[lane] - many.im[lane]);
                    let size = many.re[lane].hypot(many.im[lane]);
                    assert!(off <= 1e-13 * size, "{first:?} {lane}");
                }
            }
            for (lane, (change, added)) in list(4).into_iter().enumerate() {
                let mut groups = [0.0; 2];
                let want: Response = match &change {
                    Some(change) => spread.after(change, added, &mut groups),
                    None => spread.base(&mut groups),
                };
                let got = Complex64::new(many.re[lane], many.im[lane]);
                let y_in = want.y_in.norm();
                assert!(
                    (got - want.y_in).norm() <= 1e-13 * y_in,
                    "{first:?} {change:?}"
                );
                let off = (many.variance[lane] - want.variance).abs();
                assert!(off <= 1e-10 * want.variance, "{first:?} {change:?}: {off}");
                for (group, want) in groups.into_iter().enumerate() {
                    let got = many.groups[group * changes.len() + lane];
                    assert!((got - want).abs() < 1e-11, "{first:?} {change:?}");
                }
            }
        }
    }
}
