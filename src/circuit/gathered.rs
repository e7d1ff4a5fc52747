//! For every node of a tree: sums over what stands at it, beyond it and beside it. They are made for up
//! to four solutions at once, of one tree with different changes laid over it.
//!
//! Never here: what one more change makes of it.

use super::closed_form::Back;
use super::element::Element;
use super::four::{Fours, QuadraticsOfFour, SumsOfFour, WideQuadratics, load, store};
use super::solve::Solution;
use super::sums::{Form, Sums};
use super::tolerances::Tolerances;
use crate::quantity::Admittance;
use crate::quantity::lanes::{Complexes, Level, Simd, dispatch};
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// What is prepared of a node and the run that feeds it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct At {
    /// H; 0 where cut off.
    pub h: Fours,
    /// Voltage at the node over that at its feeding node.
    carries: Fours,
    /// The node's loudspeaker.
    pub own: SumsOfFour,
    /// Loads added at the node.
    extra: SumsOfFour,
    /// All at and beyond the node but its loudspeaker.
    pub rest: SumsOfFour,
    /// The run alone, and its quadratic in K.
    pub run: SumsOfFour,
    way: [Fours; 3],
    /// Beside the run.
    beside: SumsOfFour,
    /// All but the run and what it feeds, K across the feeding node.
    pub outside: QuadraticsOfFour,
    /// All but what is at and beyond the node, K across the node.
    pub up_to: QuadraticsOfFour,
}

/// Complex sums of V^2 y over the loads of one group, as in [`At`].
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Group {
    pub own: Fours,
    pub rest: Fours,
    beside: Fours,
    /// By powers of K.
    pub outside: [Fours; 3],
    pub up_to: [Fours; 3],
}

/// The sums of up to four solutions.
#[derive(Clone, Debug, Default)]
pub(super) struct Gathered {
    pub at: Vec<At>,
    pub all: SumsOfFour,
    /// By node, then by group.
    pub groups: Vec<Group>,
    pub whole: Vec<Fours>,
    /// Beyond each node, and at the rack in the last place, the runs met so far.
    so_far: Vec<SumsOfFour>,
    group_sums: Vec<Fours>,
}

impl Gathered {
    /// Each node's and each run's own part in one of the solutions.
    pub fn weigh(
        &mut self,
        lane: usize,
        (solution, back): (&Solution, &[Back]),
        tolerances: &Tolerances,
        added: &[(usize, Admittance)],
    ) {
        let n = solution.network.elements.len();
        self.at.resize(n, At::default());
        self.groups.resize(n * tolerances.groups, Group::default());
        for (node, element) in solution.network.elements.iter().enumerate() {
            let (solved, at) = (&solution.at[node], &mut self.at[node]);
            let groups = &mut self.groups[node * tolerances.groups..][..tolerances.groups];
            for group in &mut *groups {
                group.own.set(lane, ZERO);
            }
            at.extra.set(lane, Sums::default());
            at.own.set(lane, Sums::default());
            at.carries.set(lane, solved.carries);
            if solved.cut {
                at.h.set(lane, ZERO);
                at.run.set(lane, Sums::default());
                for way in &mut at.way {
                    way.set(lane, ZERO);
                }
                continue;
            }
            let z = back[node].z_node;
            let u = (1.0 + z * solved.y_node).inv();
            let h = z * u;
            at.h.set(lane, h);
            if let Some(load) = element.load {
                let v = solved.v * solved.v * solution.network.acting(&load);
                at.own.set(lane, Sums::one(tolerances.loudspeaker, v));
                if let Some(group) = tolerances.group_of[node].filter(|_| load.transformer) {
                    groups[group].own.set(lane, v);
                }
            }
            let way = Form::of(element).on_the_way(solved.v, solved.y_node, u, h);
            at.run.set(lane, Sums::one(tolerances.run[node], way[0]));
            for (own, way) in at.way.iter_mut().zip(way) {
                own.set(lane, way);
            }
        }
        for (node, y) in added {
            if let (Some(solved), Some(at)) = (solution.at.get(*node), self.at.get_mut(*node)) {
                let mut extra = at.extra.of(lane);
                extra.add(Sums::one(tolerances.added, solved.v * solved.v * y));
                at.extra.set(lane, extra);
            }
        }
    }

    /// The sums of all.
    pub fn sum_up(&mut self, elements: &[Element], tolerances: &Tolerances) {
        dispatch!(Level::new(), simd => {
            self.gather(simd, elements, tolerances.groups);
            self.descend(simd, elements, tolerances);
        });
    }

    /// From the leaves: what is beyond each node; and what is beside each run, as sums of those
    /// before it and those after it in the list, never a total less one.
    #[inline(always)]
    fn gather<S: Simd>(&mut self, simd: S, elements: &[Element], groups: usize) {
        let n = elements.len();
        let (so_far, group_sums) = (&mut self.so_far, &mut self.group_sums);
        so_far.clear();
        so_far.resize(n + 1, SumsOfFour::default());
        group_sums.clear();
        group_sums.resize((n + 1) * groups, Fours::default());
        let place = |from: Option<usize>| from.unwrap_or(n);
        for (run, element) in elements.iter().enumerate().rev() {
            let (from, at) = (place(element.from), &mut self.at[run]);
            let rest = so_far[run].load(simd).and(at.extra.load(simd));
            at.rest.store(rest);
            at.beside = so_far[from];
            let through = at.run.load(simd).and(at.own.load(simd)).and(rest);
            so_far[from].add(through);
            for group in 0..groups {
                let at = &mut self.groups[run * groups + group];
                at.rest = group_sums[run * groups + group];
                let feed = &mut group_sums[from * groups + group];
                at.beside = *feed;
                feed.add(at.own.load(simd) + at.rest.load(simd));
            }
        }
        self.all = so_far[n];
        self.whole.clear();
        self.whole.extend_from_slice(&group_sums[n * groups..]);
        so_far.fill(SumsOfFour::default());
        group_sums.fill(Fours::default());
        for (run, element) in elements.iter().enumerate() {
            let from = place(element.from);
            let at = &self.at[run];
            let (own, rest) = (at.own.load(simd), at.rest.load(simd));
            let through = at.run.load(simd).and(own).and(rest);
            let mut beside = so_far[from].load(simd);
            if let Some(from) = element.from {
                let feed = &self.at[from];
                beside = beside.and(feed.own.load(simd)).and(feed.extra.load(simd));
            }
            self.at[run].beside.add(beside);
            so_far[from].add(through);
            for group in 0..groups {
                let feed = &mut group_sums[from * groups + group];
                let mut beside = feed.load(simd);
                if let Some(from) = element.from {
                    beside = beside + self.groups[from * groups + group].own.load(simd);
                }
                let at = &mut self.groups[run * groups + group];
                at.beside.add(beside);
                feed.add(at.own.load(simd) + at.rest.load(simd));
            }
        }
    }

    /// From the root: the polynomials.
    #[inline(always)]
    fn descend<S: Simd>(&mut self, simd: S, elements: &[Element], tolerances: &Tolerances) {
        let groups = tolerances.groups;
        for (run, element) in elements.iter().enumerate() {
            let at = &self.at[run];
            let h = match element.from {
                Some(from) => self.at[from].h.load(simd),
                None => Complexes::all(simd, ZERO),
            };
            let mut outside = WideQuadratics::following(at.beside.load(simd), h);
            if let Some(from) = element.from {
                outside = outside.and(self.at[from].up_to.load(simd));
            }
            let carries = at.carries.load(simd);
            let t = carries * carries;
            let own = WideQuadratics::one(tolerances.run[run], load(simd, &at.way));
            let at = &mut self.at[run];
            at.up_to.store(outside.scaled(t).and(own));
            at.outside.store(outside);
            for group in 0..groups {
                let beside = self.groups[run * groups + group].beside.load(simd);
                let hb = h * beside;
                let mut outside = [beside, hb.times(-2.0), h * hb];
                if let Some(from) = element.from {
                    let above = load(simd, &self.groups[from * groups + group].up_to);
                    for at in 0..3 {
                        outside[at] = outside[at] + above[at];
                    }
                }
                let [w0, w1, w2] = outside;
                let at = &mut self.groups[run * groups + group];
                store(&mut at.outside, outside);
                store(&mut at.up_to, [w0, w1 * t, w2 * t * t]);
            }
        }
    }
}
