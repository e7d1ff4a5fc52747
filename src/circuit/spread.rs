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
use super::solve::Solution;
use super::sums::{Form, Quadratics, Sums};
use crate::quantity::Admittance;
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// Which loads form a group, and the variance of each tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerances {
    /// How many groups.
    pub groups: usize,
    /// By node: the group its loudspeaker belongs to while it stands behind its transformer.
    pub group_of: Vec<Option<usize>>,
    /// Variance of ln of each loudspeaker's impedance.
    pub loudspeaker: f64,
    /// By run: variance of ln of its length.
    pub run: Vec<f64>,
    /// Variance of ln of an added load's impedance.
    pub added: f64,
}

/// What the rack reads and how surely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    /// Admittance at the rack.
    pub y_in: Admittance,
    /// Variance of ln|Z|; 0 where nothing is connected.
    pub variance: f64,
}

/// What is prepared of a node and the run that feeds it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct At {
    /// H; 0 where cut off.
    pub(super) h: Complex64,
    /// Voltage at the node over that at its feeding node.
    carries: Complex64,
    /// The node's loudspeaker.
    pub(super) own: Sums,
    /// Loads added at the node.
    extra: Sums,
    /// All at and beyond the node but its loudspeaker.
    pub(super) rest: Sums,
    /// The run alone.
    run: Sums,
    /// Beside the run.
    beside: Sums,
    /// All but the run and what it feeds, K across the feeding node.
    outside: Quadratics,
    /// All but what is at and beyond the node, K across the node.
    pub(super) up_to: Quadratics,
}

/// A solution with its sums.
#[derive(Clone, Debug)]
pub struct Spread<'a> {
    pub(super) closed: ClosedForm<'a>,
    pub(super) tolerances: &'a Tolerances,
    added: &'a [(usize, Admittance)],
    pub(super) at: Vec<At>,
    pub(super) all: Sums,
    /// By node, then by group.
    pub(super) groups: Vec<Group>,
    pub(super) whole: Vec<Complex64>,
    room: Room,
}

/// Complex sums of V^2 y over the loads of one group, as in [`At`].
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Group {
    pub(super) own: Complex64,
    pub(super) rest: Complex64,
    beside: Complex64,
    /// By powers of K.
    outside: [Complex64; 3],
    pub(super) up_to: [Complex64; 3],
}

/// Room that one spread leaves to the next.
#[derive(Clone, Debug, Default)]
pub struct Room {
    back: Vec<Back>,
    admittances: Vec<Admittance>,
    at: Vec<At>,
    groups: Vec<Group>,
    whole: Vec<Complex64>,
    so_far: Vec<Sums>,
    group_sums: Vec<Complex64>,
}

impl Solution {
    /// Prepares the spread of this solution and of every change of it. `added` are loads that
    /// hang on the line beside those listed, at their nodes. O(n).
    #[must_use]
    pub fn spread<'a>(
        &'a self,
        tolerances: &'a Tolerances,
        added: &'a [(usize, Admittance)],
    ) -> Spread<'a> {
        self.spread_in(tolerances, added, Room::default())
    }

    /// The same in the room of another.
    #[must_use]
    pub fn spread_in<'a>(
        &'a self,
        tolerances: &'a Tolerances,
        added: &'a [(usize, Admittance)],
        mut room: Room,
    ) -> Spread<'a> {
        let n = self.network.elements.len();
        let back = std::mem::take(&mut room.back);
        room.at.clear();
        room.at.resize(n, At::default());
        room.groups.clear();
        room.groups.resize(n * tolerances.groups, Group::default());
        let mut spread = Spread {
            closed: self.closed_form_in(back, &mut room.admittances),
            tolerances,
            added,
            at: std::mem::take(&mut room.at),
            all: Sums::default(),
            groups: std::mem::take(&mut room.groups),
            whole: std::mem::take(&mut room.whole),
            room,
        };
        spread.weigh();
        spread.gather();
        spread.descend();
        spread
    }
}

impl Spread<'_> {
    /// What it took up, for the next.
    #[must_use]
    pub fn into_room(self) -> Room {
        Room {
            back: self.closed.back,
            at: self.at,
            groups: self.groups,
            whole: self.whole,
            ..self.room
        }
    }

    /// Each node's and each run's own part.
    fn weigh(&mut self) {
        let (solution, tolerances) = (self.closed.solution, self.tolerances);
        for (node, element) in solution.network.elements.iter().enumerate() {
            let (solved, at) = (&solution.at[node], &mut self.at[node]);
            if solved.cut {
                continue;
            }
            let z = self.closed.back[node].z_node;
            at.h = z / (1.0 + z * solved.y_node);
            at.carries = element.joint_carries(solved.y_cable)
                * element.cable.carries(solved.y_node)
                * element.ratio;
            if let Some(load) = element.load {
                let v = solved.v * solved.v * solution.network.acting(&load);
                at.own = Sums::one(tolerances.loudspeaker, v);
                if let Some(group) = tolerances.group_of[node].filter(|_| load.transformer) {
                    self.groups[node * tolerances.groups + group].own = v;
                }
            }
            let current = solved.v * solved.y_node;
            let g = Form::of(element).at(solved.v, current);
            at.run = Sums::one(tolerances.run[node], g);
        }
        for (node, y) in self.added {
            if let (Some(solved), Some(at)) = (solution.at.get(*node), self.at.get_mut(*node)) {
                at.extra
                    .add(Sums::one(tolerances.added, solved.v * solved.v * y));
            }
        }
    }

    /// From the leaves: what is beyond each node; and what is beside each run, as sums of those
    /// before it and those after it in the list, never a total less one.
    fn gather(&mut self) {
        let elements = &self.closed.solution.network.elements;
        let groups = self.tolerances.groups;
        let n = elements.len();
        // Beyond each node, and at the rack in the last place, the runs met so far.
        let (so_far, group_sums) = (&mut self.room.so_far, &mut self.room.group_sums);
        so_far.clear();
        so_far.resize(n + 1, Sums::default());
        group_sums.clear();
        group_sums.resize((n + 1) * groups, ZERO);
        let place = |from: Option<usize>| from.unwrap_or(n);
        for (run, element) in elements.iter().enumerate().rev() {
            let from = place(element.from);
            let mut rest = so_far[run];
            rest.add(self.at[run].extra);
            self.at[run].rest = rest;
            self.at[run].beside = so_far[from];
            let mut through = self.at[run].run;
            through.add(self.at[run].own);
            through.add(self.at[run].rest);
            so_far[from].add(through);
            for group in 0..groups {
                let at = &mut self.groups[run * groups + group];
                at.rest = group_sums[run * groups + group];
                let feed = &mut group_sums[from * groups + group];
                at.beside = *feed;
                *feed += at.own + at.rest;
            }
        }
        self.all = so_far[n];
        self.whole.clear();
        self.whole.extend_from_slice(&group_sums[n * groups..]);
        so_far.fill(Sums::default());
        group_sums.fill(ZERO);
        for (run, element) in elements.iter().enumerate() {
            let from = place(element.from);
            let mut through = self.at[run].run;
            through.add(self.at[run].own);
            through.add(self.at[run].rest);
            let mut beside = so_far[from];
            if let Some(from) = element.from {
                beside.add(self.at[from].own);
                beside.add(self.at[from].extra);
            }
            self.at[run].beside.add(beside);
            so_far[from].add(through);
            for group in 0..groups {
                let feed = &mut group_sums[from * groups + group];
                let own = element
                    .from
                    .map_or(ZERO, |from| self.groups[from * groups + group].own);
                let at = &mut self.groups[run * groups + group];
                at.beside += *feed + own;
                *feed += at.own + at.rest;
            }
        }
    }

    /// From the root: the polynomials.
    fn descend(&mut self) {
        let solution = self.closed.solution;
        let groups = self.tolerances.groups;
        for (run, element) in solution.network.elements.iter().enumerate() {
            let solved = &solution.at[run];
            let h = element.from.map_or(ZERO, |from| self.at[from].h);
            let mut outside = Quadratics::following(&self.at[run].beside, h);
            if let Some(from) = element.from {
                outside.add(&self.at[from].up_to);
            }
            let at = &self.at[run];
            let t = at.carries * at.carries;
            let mut up_to = outside.scaled(t);
            if !solved.cut {
                let u = (1.0 + self.closed.back[run].z_node * solved.y_node).inv();
                let way = Form::of(element).on_the_way(solved.v, solved.y_node, u, at.h);
                up_to.add(&Quadratics::one(self.tolerances.run[run], way));
            }
            self.at[run].outside = outside;
            self.at[run].up_to = up_to;
            for group in 0..groups {
                let above = element
                    .from
                    .map_or([ZERO; 3], |from| self.groups[from * groups + group].up_to);
                let at = &mut self.groups[run * groups + group];
                let beside = at.beside;
                let [w0, w1, w2] = [
                    beside + above[0],
                    -2.0 * h * beside + above[1],
                    h * h * beside + above[2],
                ];
                at.outside = [w0, w1, w2];
                at.up_to = [w0, w1 * t, w2 * t * t];
            }
        }
    }

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
        for (out, sum) in groups.iter_mut().zip(&self.whole) {
            *out = (sum * inverse).re;
        }
        Response {
            y_in,
            variance: self.all.at(inverse),
        }
    }

    /// The closed forms of this solution.
    #[must_use]
    pub const fn closed_form(&self) -> &ClosedForm<'_> {
        &self.closed
    }

    /// After one change; `added` says that a shunt is an added load with a tolerance of its own.
    /// O(1) for all but a factor of every load and a second short in one run, which are solved
    /// anew.
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
        let node = |at: usize| {
            let solved = self.closed.solution.at.get(at);
            solved.is_some_and(|it| !it.cut) && !network.elements[at].node_elsewhere
        };
        let run = |at: usize| {
            let solved = self.closed.solution.at.get(at);
            solved.is_some_and(|it| !it.cut) && !network.elements[at].run_elsewhere
        };
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
            Change::Short { run: at, .. } if run(at) => self.anew(change, groups),
            _ => self.base(groups),
        }
    }

    /// The groups at a node.
    pub(super) fn groups_at(&self, at: usize) -> &[Group] {
        let groups = self.tolerances.groups;
        &self.groups[at * groups..(at + 1) * groups]
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
        let (solved, here) = (&self.closed.solution.at[at], &self.at[at]);
        let denominator = 1.0 + dy * here.h;
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
            let [w0, w1, w2] = it.up_to;
            let mut beyond = it.rest;
            if keep {
                beyond += it.own;
            }
            *out = ((w0 + k * (w1 + k * w2)) * inverse + beyond * e).re;
        }
        let mut variance = here.up_to.at(k, inverse) + here.rest.at(e);
        if keep {
            variance += here.own.at(e);
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
        let (dy, passes) = change.at_near_end(run, self.closed.solution);
        let feed = element.from.map_or(ZERO, |from| self.at[from].h);
        let denominator = 1.0 + dy * feed;
        let k = dy / denominator;
        let follows = passes / denominator;
        let inverse = y_in.inv();
        let here = &self.at[run];
        self.outside_and_beyond(run, k, inverse, follows, groups)
            .with(y_in, here.run.at(follows * follows * inverse))
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
        for (out, it) in groups.iter_mut().zip(self.groups_at(run)) {
            let [w0, w1, w2] = it.outside;
            let beyond = it.own + it.rest;
            *out = ((w0 + k * (w1 + k * w2)) * inverse + beyond * e).re;
        }
        let here = &self.at[run];
        Part(here.outside.at(k, inverse) + here.own.at(e) + here.rest.at(e))
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
