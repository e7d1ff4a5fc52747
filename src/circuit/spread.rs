//! How the reading at the rack follows groups of tolerances, before and after one more change,
//! in a few operations a change.
//!
//! Wanted under a change, with ' for what holds under it: for each group of loudspeakers the sum
//! of d ln|Z'| / d ln z_k, and over all tolerances the sum of variance times derivative squared.
//! By [`Sensitivities`](super::Sensitivities) each derivative is Re(g / Y'), g = V'^2 y for a load
//! and a quadratic form of V' and I' for a run.
//!
//! Steps. A change at or beyond node k is, for the rest of the tree, an admittance of effective
//! value K across k: V_a' = V_a (1 - K H_aa (V_k / V_a)^2) at every node a on the way to k, and all
//! that hangs off the way there follows V_a. So every g is a quadratic in K, and the sums over a
//! whole tree of
//!
//! ```text
//!   Re(g / Y')^2 = Re(g^2 / Y'^2) / 2 + |g|^2 / (2 |Y'|^2),    g = q0 + q1 K + q2 K^2
//! ```
//!
//! are two polynomials in K and its conjugate, whose coefficients one pass from the root makes for
//! every node. After it a change costs the same on any line: O(n) a solution, O(1) a change.
//!
//! Nomenclature: H impedance at a node, the rack held; S all at and beyond a node, T the same with
//! the run that feeds it; "beside" run r: its feeding node's own load and the other runs there.
//!
//! Never here: what the groups are, where variances come from.

use super::cable::TwoPort;
use super::change::{Change, bridge};
use super::closed_form::{Back, ClosedForm};
use super::four::powers;
use super::gathered::{At, Gathered, Group};
use super::solve::Solution;
use super::tolerances::Tolerances;
use crate::quantity::Admittance;
use crate::quantity::lanes::LANES;
use num_complex::Complex64;
use std::borrow::Cow;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// What the rack reads and how surely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    /// Admittance at the rack.
    pub y_in: Admittance,
    /// Variance of ln|Z|; 0 where nothing is connected.
    pub variance: f64,
}

/// A solution with its sums.
#[derive(Clone, Debug)]
pub struct Spread<'a> {
    pub(super) closed: ClosedForm<'a>,
    pub(super) tolerances: &'a Tolerances,
    added: &'a [(usize, Admittance)],
    /// Of this solution and of up to three others.
    pub(super) gathered: Cow<'a, Gathered>,
    pub(super) lane: usize,
}

/// Room for the spreads of up to four solutions of one tree, reckoned side by side.
#[derive(Clone, Debug, Default)]
pub struct Spreads {
    back: [Vec<Back>; LANES],
    admittances: Vec<Admittance>,
    gathered: Gathered,
}

impl Spreads {
    /// How many at once.
    pub const MOST: usize = LANES;

    /// The closed forms of a solution, in this room. O(n).
    pub fn closed_form<'a>(&'a mut self, solution: &'a Solution) -> ClosedForm<'a> {
        let [back, ..] = &mut self.back;
        solution.look_back(back, &mut self.admittances);
        ClosedForm {
            solution,
            back: Cow::Borrowed(back),
        }
    }

    /// Prepares the spread of each of these solutions, no more than [`MOST`](Self::MOST), and of
    /// every change of it. They are of one tree, whatever is laid over it; beside each stand the loads
    /// that hang on the line beside those listed, at their nodes. O(n).
    pub fn of<'a>(
        &'a mut self,
        tolerances: &'a Tolerances,
        solutions: &'a [(&'a Solution, &'a [(usize, Admittance)])],
    ) -> impl Iterator<Item = Spread<'a>> {
        let each = solutions.iter().zip(&mut self.back).enumerate();
        for (lane, ((solution, added), back)) in each {
            solution.look_back(back, &mut self.admittances);
            self.gathered
                .weigh(lane, (solution, back), tolerances, added);
        }
        if let Some((solution, _)) = solutions.first() {
            let elements = &solution.network.elements;
            self.gathered.sum_up(elements, tolerances);
        }
        let (backs, gathered) = (&self.back, &self.gathered);
        let each = solutions.iter().zip(backs).enumerate();
        each.map(move |(lane, ((solution, added), back))| Spread {
            closed: ClosedForm {
                solution,
                back: Cow::Borrowed(back),
            },
            tolerances,
            added,
            gathered: Cow::Borrowed(gathered),
            lane,
        })
    }
}

impl Solution {
    /// Prepares the spread of this solution alone and of every change of it. `added` are loads that
    /// hang on the line beside those listed, at their nodes. O(n).
    #[must_use]
    pub fn spread<'a>(
        &'a self,
        tolerances: &'a Tolerances,
        added: &'a [(usize, Admittance)],
    ) -> Spread<'a> {
        let closed = self.closed_form();
        let mut gathered = Gathered::default();
        gathered.weigh(0, (self, &closed.back), tolerances, added);
        gathered.sum_up(&self.network.elements, tolerances);
        Spread {
            closed,
            tolerances,
            added,
            gathered: Cow::Owned(gathered),
            lane: 0,
        }
    }
}

impl Spread<'_> {
    /// The solution itself. `groups` receives the sum of derivatives of each group.
    pub fn base(&self, groups: &mut [f64]) -> Response {
        let y_in = self.closed.solution.y_in;
        if y_in == ZERO {
            groups.fill(0.0);
            return Response {
                y_in,
                variance: 0.0,
            };
        }
        let inverse = y_in.inv();
        for (out, sum) in groups.iter_mut().zip(&self.gathered.whole) {
            *out = (sum.of(self.lane) * inverse).re;
        }
        Response {
            y_in,
            variance: self.gathered.all.of(self.lane).at(inverse),
        }
    }

    /// The closed forms of this solution.
    #[must_use]
    pub const fn closed_form(&self) -> &ClosedForm<'_> {
        &self.closed
    }

    /// After one change; `added` says that a shunt is an added load with a tolerance of its own.
    /// O(1) for all but a factor of every load, a second short in one run and a control turned up
    /// from nothing, which are solved anew.
    pub fn after(&self, change: &Change, added: bool, groups: &mut [f64]) -> Response {
        self.after_split(change, None, added, groups)
    }

    /// The same, given the parts of the run before and behind a short in it where they are known.
    pub(super) fn after_split(
        &self,
        change: &Change,
        split: Option<&[TwoPort; 2]>,
        added: bool,
        groups: &mut [f64],
    ) -> Response {
        let network = &self.closed.solution.network;
        let node = |at| self.closed.reaches(at);
        let run = |at| self.closed.reaches_run(at);
        match *change {
            Change::Load { at, is } if node(at) && network.elements[at].load.is_some() => {
                let y = network.acting(&is);
                let group = self.tolerances.group_of[at].filter(|_| is.transformer);
                let own = Own {
                    y,
                    variance: self.tolerances.loudspeaker,
                    group,
                };
                self.across(at, y - network.own(at), false, Some(own), groups)
            }
            Change::Shunt { at, y } if node(at) => {
                let own = added.then_some(Own {
                    y,
                    variance: self.tolerances.added,
                    group: None,
                });
                self.across(at, y, true, own, groups)
            }
            Change::Series { run: at, .. }
            | Change::Break { run: at }
            | Change::Control { run: at, .. }
                if run(at) =>
            {
                self.in_run(at, change, groups)
            }
            Change::Short {
                run: at,
                along,
                ohm,
            } if run(at) && network.elements[at].bridges.is_empty() => {
                let (along, known) = (along.get().clamp(0.0, 1.0), split.copied());
                let split = known.unwrap_or_else(|| network.elements[at].split(along));
                self.short(at, along, split, bridge(ohm), groups)
            }
            Change::EveryLoad { .. } => self.anew(change, groups),
            Change::Control { run: at, .. } if self.closed.is_off(at) => self.anew(change, groups),
            Change::Short { run: at, .. } if run(at) => self.anew(change, groups),
            _ => self.base(groups),
        }
    }

    /// What is prepared of a node and its run.
    pub(super) fn here(&self, at: usize) -> &At {
        &self.gathered.at[at]
    }

    /// The groups at a node.
    pub(super) fn groups_at(&self, at: usize) -> &[Group] {
        let groups = self.tolerances.groups;
        &self.gathered.groups[at * groups..(at + 1) * groups]
    }

    fn anew(&self, change: &Change, groups: &mut [f64]) -> Response {
        let solution = self.closed.solution.network.with(&[*change]).solve();
        solution.spread(self.tolerances, self.added).base(groups)
    }

    /// A load in place of a node's own (`keep` false), or beside it.
    fn across(
        &self,
        at: usize,
        dy: Admittance,
        keep: bool,
        own: Option<Own>,
        groups: &mut [f64],
    ) -> Response {
        let (solved, here) = (&self.closed.solution.at[at], self.here(at));
        let lane = self.lane;
        let denominator = 1.0 + dy * here.h.of(lane);
        let k = dy / denominator;
        let v2 = solved.v * solved.v;
        let y_in = self.closed.solution.y_in + v2 * k;
        if y_in == ZERO {
            return self.open(groups);
        }
        let inverse = y_in.inv();
        // 1 - K H = 1 / (1 + dY H).
        let follows = (denominator * denominator).inv();
        let e = follows * inverse;
        for (out, it) in groups.iter_mut().zip(self.groups_at(at)) {
            let [w0, w1, w2] = powers(&it.up_to, lane);
            let mut beyond = it.rest.of(lane);
            if keep {
                beyond += it.own.of(lane);
            }
            *out = ((w0 + k * (w1 + k * w2)) * inverse + beyond * e).re;
        }
        let mut variance = here.up_to.of(lane).at(k, inverse) + here.rest.of(lane).at(e);
        if keep {
            variance += here.own.of(lane).at(e);
        }
        if let Some(own) = own {
            let v = v2 * own.y;
            let by = (v * e).re;
            variance += own.variance * by * by;
            if let Some(out) = own.group.and_then(|group| groups.get_mut(group)) {
                *out += by;
            }
        }
        Response {
            y_in,
            variance: variance.max(0.0),
        }
    }

    /// A change at the near end of a run: in series, a break, its control.
    fn in_run(&self, run: usize, change: &Change, groups: &mut [f64]) -> Response {
        let y_in = self.closed.y_after(change);
        if y_in == ZERO {
            return self.open(groups);
        }
        let element = &self.closed.solution.network.elements[run];
        let (dy, passes) = self.closed.solution.at_near_end(run, change);
        let lane = self.lane;
        let feed = element.from.map_or(ZERO, |from| self.here(from).h.of(lane));
        let denominator = 1.0 + dy * feed;
        let k = dy / denominator;
        let follows = passes / denominator;
        let inverse = y_in.inv();
        let own = self.here(run).run.of(lane);
        self.outside_and_beyond(run, k, inverse, follows, groups)
            .with(y_in, own.at(follows * follows * inverse))
    }

    /// A bridge inside a run.
    fn short(
        &self,
        run: usize,
        along: f64,
        split: [TwoPort; 2],
        bridge: Admittance,
        groups: &mut [f64],
    ) -> Response {
        let it = self.closed.bridged(run, along, split, bridge);
        if it.y_in == ZERO {
            return self.open(groups);
        }
        let inverse = it.y_in.inv();
        let by = (it.by_length * inverse).re;
        self.outside_and_beyond(run, it.k, inverse, it.follows, groups)
            .with(it.y_in, self.tolerances.run[run] * by * by)
    }

    /// All but a run itself, K across its feeding node and the voltages beyond times `follows`.
    fn outside_and_beyond(
        &self,
        run: usize,
        k: Complex64,
        inverse: Complex64,
        follows: Complex64,
        groups: &mut [f64],
    ) -> Part {
        let e = follows * follows * inverse;
        let lane = self.lane;
        for (out, it) in groups.iter_mut().zip(self.groups_at(run)) {
            let [w0, w1, w2] = powers(&it.outside, lane);
            let beyond = it.own.of(lane) + it.rest.of(lane);
            *out = ((w0 + k * (w1 + k * w2)) * inverse + beyond * e).re;
        }
        let here = self.here(run);
        let outside = here.outside.of(lane).at(k, inverse);
        Part(outside + here.own.of(lane).at(e) + here.rest.of(lane).at(e))
    }

    fn open(&self, groups: &mut [f64]) -> Response {
        groups.fill(0.0);
        Response {
            y_in: ZERO,
            variance: 0.0,
        }
    }
}

/// A load that a change puts there.
#[derive(Clone, Copy)]
struct Own {
    y: Admittance,
    variance: f64,
    group: Option<usize>,
}

/// A variance that lacks the run's own part.
struct Part(f64);

impl Part {
    fn with(self, y_in: Admittance, run: f64) -> Response {
        Response {
            y_in,
            variance: (self.0 + run).max(0.0),
        }
    }
}
