//! Many changes at once: what the rack reads, and how surely, after each change of a list.
//!
//! Most changes of a line put a load in the place of a node's own, or something beside it, and a
//! node has a dozen of those. For one node [`Spread::after`](super::Spread::after) is the same few
//! hundred sums and products with other numbers: here they stand in columns and are reckoned four at
//! a time. Each figure has the same digits whoever stands beside it. Changes of a run go one by one.
//!
//! Never here: what the changes mean.

use super::across::{Loads, Node, Reads, Tolerated};
use super::cable::TwoPort;
use super::change::Change;
use super::closed_form::ClosedForm;
use super::network::Network;
use super::spread::{Response, Spread};
use super::tolerances::Tolerances;
use crate::quantity::Admittance;
use crate::quantity::lanes::{LANES, Level, Simd, dispatch};
use std::ops::Range;

/// A list of changes made ready.
#[derive(Clone, Debug)]
pub struct Changes {
    /// Each with whether it is an added load with a tolerance of its own; none changes nothing.
    list: Vec<(Option<Change>, bool)>,
    /// The parts of a run before and behind each short in it.
    splits: Vec<Option<Box<[TwoPort; 2]>>>,
    /// Consecutive changes that are across the line at one node; those of a run stand in none.
    stretches: Vec<Stretch>,
    loads: Loads,
}

#[derive(Clone, Debug)]
struct Stretch {
    /// The node; none for a single change of another kind.
    at: Option<usize>,
    lanes: Range<usize>,
}

/// What the rack reads after each change, column by column. Each has [`LANES`] places more than there
/// are changes, of no meaning.
#[derive(Clone, Debug, Default)]
pub struct Responses {
    many: usize,
    y: [Vec<f64>; 2],
    variance: Vec<f64>,
    groups: Vec<f64>,
}

impl Responses {
    /// How many changes.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.many
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.many == 0
    }

    /// Admittance at the rack, its real and its imaginary part.
    #[must_use]
    pub fn y(&self) -> [&[f64]; 2] {
        self.y.each_ref().map(Vec::as_slice)
    }

    /// Variance of ln|Z|; 0 where nothing is connected or it would be no number.
    #[must_use]
    pub fn variance(&self) -> &[f64] {
        &self.variance
    }

    /// Sums of derivatives of one group.
    #[must_use]
    pub fn group(&self, group: usize) -> &[f64] {
        let stride = self.many + LANES;
        &self.groups[group * stride..(group + 1) * stride]
    }

    /// The column of [`Self::variance`], to be filled.
    pub(super) fn variance_mut(&mut self) -> &mut [f64] {
        &mut self.variance
    }

    /// The column of [`Self::group`], to be filled.
    pub(super) fn group_mut(&mut self, group: usize) -> &mut [f64] {
        let stride = self.many + LANES;
        &mut self.groups[group * stride..(group + 1) * stride]
    }

    pub(super) fn fit(&mut self, many: usize, groups: usize) {
        self.many = many;
        let [re, im] = &mut self.y;
        for column in [re, im, &mut self.variance] {
            column.resize(many + LANES, 0.0);
        }
        self.groups.resize((many + LANES) * groups, 0.0);
    }

    fn set(&mut self, lane: usize, response: Response, groups: &[f64]) {
        self.y[0][lane] = response.y_in.re;
        self.y[1][lane] = response.y_in.im;
        self.variance[lane] = if response.variance.is_finite() {
            response.variance
        } else {
            0.0
        };
        for (group, sum) in groups.iter().enumerate() {
            self.groups[group * (self.many + LANES) + lane] = *sum;
        }
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
        let mut loads = Loads::new(list.len());
        let mut stretches: Vec<Stretch> = Vec::new();
        for (lane, (change, added)) in list.iter().enumerate() {
            let mut put = |y: Admittance, variance| {
                (loads.y[0][lane], loads.y[1][lane]) = (y.re, y.im);
                loads.variance[lane] = variance;
            };
            let at = match *change {
                Some(Change::Load { at, is }) if network.is_loudspeaker(at) => {
                    put(is.y, tolerances.loudspeaker);
                    loads.behind[lane] = f64::from(u8::from(is.transformer));
                    Some(at)
                }
                Some(Change::Shunt { at, y }) if at < network.len() => {
                    put(y, if *added { tolerances.added } else { 0.0 });
                    loads.beside[lane] = 1.0;
                    Some(at)
                }
                _ => None,
            };
            match stretches.last_mut() {
                Some(last) if at.is_some() && last.at == at => last.lanes.end = lane + 1,
                _ => stretches.push(Stretch {
                    at,
                    lanes: lane..lane + 1,
                }),
            }
        }
        let split = |(change, _): &(Option<Change>, bool)| match *change {
            Some(Change::Short { run, along, .. }) => {
                let element = network.elements.get(run)?;
                let split = element.split(along.get().clamp(0.0, 1.0));
                element.bridges.is_empty().then(|| Box::new(split))
            }
            _ => None,
        };
        Self {
            splits: list.iter().map(split).collect(),
            list,
            stretches,
            loads,
        }
    }

    /// How many responses there are.
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
    /// [`y_after`](Self::y_after) has it. Only [`Responses::y`] is meant, and of it what stands
    /// before is not touched.
    pub fn y_after_each(&self, changes: &Changes, from: usize, out: &mut Responses) {
        out.fit(changes.len(), 0);
        dispatch!(Level::new(), simd => self.y_of_each(simd, changes, from, out));
    }

    #[inline(always)]
    pub(super) fn y_of_each<S: Simd>(
        &self,
        simd: S,
        changes: &Changes,
        from: usize,
        out: &mut Responses,
    ) {
        for (at, lanes) in changes.from(from) {
            if let Some(at) = at.filter(|at| self.reaches(*at)) {
                let [re, im] = &mut out.y;
                self.node(at)
                    .admittances(simd, &changes.loads, lanes, [re, im]);
                continue;
            }
            for lane in lanes {
                let change = &changes.list[lane].0;
                let split = changes.splits[lane].as_deref();
                let y = change.as_ref().map_or(self.solution.y_in, |change| {
                    self.y_after_split(change, split)
                });
                (out.y[0][lane], out.y[1][lane]) = (y.re, y.im);
            }
        }
    }

    /// A node that something reaches.
    fn node(&self, at: usize) -> Node {
        let (solved, network) = (&self.solution.at[at], &self.solution.network);
        let z = self.back[at].z_node;
        Node {
            h: z / (1.0 + z * solved.y_node),
            v2: solved.v * solved.v,
            own: network.own(at),
            times: network.times,
            y_in: self.solution.y_in,
        }
    }
}

impl Spread<'_> {
    /// What the rack reads, and how surely, after each change of a list from this place on, as
    /// [`after`](Self::after) has it; what stands before in the columns is not touched.
    pub fn after_each(&self, changes: &Changes, from: usize, out: &mut Responses) {
        out.fit(changes.len(), self.tolerances.groups);
        dispatch!(Level::new(), simd => self.of_each(simd, changes, from, out));
    }

    #[inline(always)]
    fn of_each<S: Simd>(&self, simd: S, changes: &Changes, from: usize, out: &mut Responses) {
        let mut groups = vec![0.0; self.tolerances.groups];
        for (at, lanes) in changes.from(from) {
            if let Some(at) = at.filter(|at| self.closed.reaches(*at)) {
                let [re, im] = &mut out.y;
                let mut reads = Reads {
                    y: [re, im],
                    variance: &mut out.variance,
                    groups: &mut out.groups,
                    stride: changes.len() + LANES,
                };
                let (node, tolerated) = (self.closed.node(at), self.tolerated(at));
                node.responses(simd, &tolerated, &changes.loads, lanes, &mut reads);
                continue;
            }
            for lane in lanes {
                let (change, added) = &changes.list[lane];
                let response = match change {
                    Some(change) => {
                        let split = changes.splits[lane].as_deref();
                        self.after_split(change, split, *added, &mut groups)
                    }
                    None => self.base(&mut groups),
                };
                out.set(lane, response, &groups);
            }
        }
    }

    #[inline(always)]
    fn tolerated(&self, at: usize) -> Tolerated<'_> {
        let (here, lane) = (self.here(at), self.lane);
        Tolerated {
            up_to: here.up_to.of(lane),
            rest: here.rest.of(lane),
            own: here.own.of(lane),
            lane,
            groups: self.groups_at(at),
            group: self.tolerances.group_of[at],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Load;
    use crate::circuit::testing::four_of_two_groups;
    use crate::quantity::{Fraction, Impedance, Ohm};

    fn y(of: &Responses, lane: usize) -> Admittance {
        let [re, im] = of.y();
        Admittance::new(re[lane], im[lane])
    }

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
        let (sound, tolerances) = four_of_two_groups();
        let changes = Changes::of(&sound, &tolerances, list(4));
        let (mut many, mut few) = (Responses::default(), Responses::default());
        for (first, _) in list(4) {
            let base = sound.with(first.as_slice()).solve();
            let added = [(2, Admittance::new(2e-4, 0.0))];
            let spread = base.spread(&tolerances, &added);
            spread.after_each(&changes, 0, &mut many);
            let closed = base.closed_form();
            for from in [0, 7, 11] {
                closed.y_after_each(&changes, from, &mut few);
                for lane in from..changes.len() {
                    let (few, many) = (y(&few, lane), y(&many, lane));
                    assert!(
                        (few - many).norm() <= 1e-13 * many.norm(),
                        "{first:?} {lane}"
                    );
                }
            }
            for (lane, (change, added)) in list(4).into_iter().enumerate() {
                let mut groups = [0.0; 2];
                let want: Response = match &change {
                    Some(change) => spread.after(change, added, &mut groups),
                    None => spread.base(&mut groups),
                };
                let off = (y(&many, lane) - want.y_in).norm();
                assert!(off <= 1e-13 * want.y_in.norm(), "{first:?} {change:?}");
                let off = (many.variance()[lane] - want.variance).abs();
                assert!(off <= 1e-10 * want.variance, "{first:?} {change:?}: {off}");
                for (group, want) in groups.into_iter().enumerate() {
                    let got = many.group(group)[lane];
                    assert!((got - want).abs() < 1e-11, "{first:?} {change:?}");
                }
            }
        }
    }
}
