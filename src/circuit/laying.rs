//! The derivatives of the reading at the rack after a change, node by node.
//!
//! Steps. The factor of the voltage at every node, from the change up to the rack and from there
//! out; then all derivatives as they follow from it, four at a time; then what the change itself
//! makes of its load and of the runs on the way.
//!
//! Never here: what a change comes to at the rack.

use super::tolerances::Tolerances;
use crate::quantity::Admittance;
use crate::quantity::lanes::{Complexes, LANES, Level, Simd, dispatch, load, store};
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);
const ONE: Complex64 = Complex64::new(1.0, 0.0);

/// What is prepared of all nodes, in columns of [`LANES`] more.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    /// V^2 y of the loudspeaker.
    pub load: [Vec<f64>; 2],
    /// The run's g, and the spread of its length.
    pub run: [Vec<f64>; 2],
    pub run_sd: Vec<f64>,
    /// |V|^2 Re y of a loudspeaker that sounds.
    pub power: Vec<f64>,
    /// 1 where its derivative counts for its type and its winding.
    pub transformer: Vec<f64>,
}

impl Columns {
    pub fn new(nodes: usize) -> Self {
        let column = || vec![0.0; nodes + LANES];
        Self {
            load: [column(), column()],
            run: [column(), column()],
            run_sd: column(),
            power: column(),
            transformer: column(),
        }
    }
}

/// What is prepared of a node and the run that feeds it.
#[derive(Clone, Copy, Debug)]
pub(super) struct At {
    pub from: Option<usize>,
    /// Impedance at the node, the rack held.
    pub h: Complex64,
    pub v2: Complex64,
    /// The run's g by powers of K across its far end.
    pub way: [Complex64; 3],
}

/// What the derivatives of one solution follow from.
#[derive(Clone, Debug)]
pub(super) struct Laid<'a> {
    pub tolerances: &'a Tolerances,
    /// A load that hangs on the line beside those listed.
    pub added: Option<(usize, Admittance)>,
    pub at: Vec<At>,
    pub columns: Columns,
    pub load_sd: f64,
    pub added_sd: f64,
}

/// What a change comes to.
pub(super) struct Moved {
    pub y_in: Admittance,
    /// K and the node it stands across; none is the rack.
    pub k: Complex64,
    pub across: Option<usize>,
    /// Factor of the voltage at that node, where known better than by K.
    pub there: Option<Complex64>,
    /// Factor of all voltages at and beyond a node, the run that feeds it with them.
    pub beyond: Option<(usize, Complex64)>,
    /// A run's own g.
    pub run: Option<(usize, Complex64)>,
    /// A load in place of a node's own: whether it stands behind its transformer, and is silent.
    pub load: Option<(usize, Admittance, bool, bool)>,
    pub added: Option<(usize, Admittance)>,
}

/// The derivatives after a change.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Slope {
    /// Admittance at the rack.
    pub y_in: Admittance,
    /// Derivatives of ln|Z| times the spread of their tolerance: by ln of each loudspeaker's
    /// impedance, by ln of each run's length, by ln of an added load's impedance; then nothing.
    pub own: Vec<f64>,
    /// Sum of derivatives by ln of the loudspeakers' impedances, for each group.
    pub groups: Vec<f64>,
    /// Sum of derivatives by ln of the impedances of all loads behind transformers.
    pub behind: f64,
    /// By node: power that its loudspeaker takes, per square volt at the rack; 0 where none
    /// stands, where nothing reaches it and where it cannot sound.
    pub power: Vec<f64>,
    work: Work,
}

impl Slope {
    /// Room for so many nodes and groups.
    fn fit(&mut self, nodes: usize, groups: usize) {
        self.own.resize(2 * nodes + LANES, 0.0);
        self.power.resize(nodes + LANES, 0.0);
        self.groups.clear();
        self.groups.resize(groups, 0.0);
        self.behind = 0.0;
    }

    /// Sum over the independent tolerances of the product of two readings' derivatives.
    #[must_use]
    pub fn dot(&self, other: &Self) -> f64 {
        // Four sums at once: one after the other each would wait for the last.
        let (fours, rest) = self.own.as_chunks::<4>();
        let (theirs, others) = other.own.as_chunks::<4>();
        let mut sums = [0.0; 4];
        for (a, b) in fours.iter().zip(theirs) {
            for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
                *sum += a * b;
            }
        }
        let rest: f64 = rest.iter().zip(others).map(|(a, b)| a * b).sum();
        (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
    }
}

/// Room for what is needed on the way.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Work {
    factor: [Vec<f64>; 2],
    /// Derivatives by the loudspeakers' impedances.
    by: Vec<f64>,
    /// Nodes on the way from the change to the rack, with the g of their runs.
    way: Vec<(usize, Complex64)>,
}

impl Work {
    fn at(&self, node: usize) -> Complex64 {
        Complex64::new(self.factor[0][node], self.factor[1][node])
    }

    fn set(&mut self, node: usize, factor: Complex64) {
        (self.factor[0][node], self.factor[1][node]) = (factor.re, factor.im);
    }
}

impl Laid<'_> {
    /// The derivatives after what a change comes to.
    pub fn lay(&self, moved: &Moved, out: &mut Slope) {
        let n = self.at.len();
        out.fit(n, self.tolerances.groups);
        out.y_in = moved.y_in;
        if moved.y_in == ZERO {
            out.own.fill(0.0);
            out.power.fill(0.0);
            return;
        }
        let inverse = moved.y_in.inv();
        let mut work = std::mem::take(&mut out.work);
        self.follow(moved, &mut work);
        dispatch!(Level::new(), simd => self.derive(simd, inverse, &mut work, out));
        for (node, run) in &work.way {
            out.own[n + node] = (run * inverse).re * self.columns.run_sd[*node];
        }
        if let Some((node, run)) = moved.run {
            out.own[n + node] = (run * inverse).re * self.columns.run_sd[node];
        }
        let mut replaced = None;
        if let Some((node, y, transformer, silent)) = moved.load {
            let (v2, factor) = (self.at[node].v2, work.at(node));
            let by = (v2 * y * factor * factor * inverse).re;
            out.own[node] = by * self.load_sd;
            out.power[node] = if silent {
                0.0
            } else {
                v2.norm() * factor.norm_sqr() * y.re
            };
            work.by[node] = by;
            replaced = Some((node, f64::from(u8::from(transformer))));
        }
        for (node, by) in work.by[..n].iter().enumerate() {
            let counts = match replaced {
                Some((at, transformer)) if at == node => transformer,
                _ => self.columns.transformer[node],
            };
            out.behind += by * counts;
            if let Some(group) = self.tolerances.group_of[node] {
                out.groups[group] += by * counts;
            }
        }
        for (node, y) in [self.added, moved.added].into_iter().flatten() {
            let factor = work.at(node);
            let by = (self.at[node].v2 * y * factor * factor * inverse).re;
            out.own[2 * n] += by * self.added_sd;
            out.behind += by;
        }
        out.work = work;
    }

    /// The factor of the voltage at every node.
    fn follow(&self, moved: &Moved, work: &mut Work) {
        let n = self.at.len();
        for column in &mut work.factor {
            column.resize(n + LANES, 0.0);
        }
        work.way.clear();
        let mut at = moved.across.filter(|_| moved.k != ZERO);
        let v2 = moved.across.map_or(ONE, |across| self.at[across].v2);
        while let Some(node) = at {
            let here = &self.at[node];
            let k = moved.k * (v2 / here.v2);
            let known = moved.there.filter(|_| moved.across == Some(node));
            work.set(node, known.unwrap_or(1.0 - k * here.h));
            let [q0, q1, q2] = here.way;
            work.way.push((node, q0 + k * (q1 + k * q2)));
            at = here.from;
        }
        // Nodes stand after those that feed them: from the rack out.
        let mut way = work.way.len();
        for (node, here) in self.at.iter().enumerate() {
            if way > 0 && work.way[way - 1].0 == node {
                way -= 1;
            } else {
                work.set(node, here.from.map_or(ONE, |from| work.at(from)));
            }
            if let Some((beyond, follows)) = moved.beyond
                && beyond == node
            {
                work.set(node, follows);
            }
        }
    }

    /// All that follows from the voltages alone.
    #[inline(always)]
    fn derive<S: Simd>(&self, simd: S, inverse: Complex64, work: &mut Work, out: &mut Slope) {
        let (n, columns) = (self.at.len(), &self.columns);
        let [re, im] = &work.factor;
        let inverse = Complexes::all(simd, inverse);
        let [load_re, load_im] = &columns.load;
        let [run_re, run_im] = &columns.run;
        work.by.resize(n + LANES, 0.0);
        for at in (0..n).step_by(LANES) {
            let factor = Complexes::load(simd, [re, im], at);
            let e = factor * factor * inverse;
            let by = Complexes::load(simd, [load_re, load_im], at).re_of(e);
            store(&mut work.by, at, by);
            store(&mut out.own, at, by * self.load_sd);
            let power = load(simd, &columns.power, at) * factor.norm_sqr();
            store(&mut out.power, at, power);
        }
        for at in (0..n).step_by(LANES) {
            let factor = Complexes::load(simd, [re, im], at);
            let run = Complexes::load(simd, [run_re, run_im], at);
            let by = run.re_of(factor * factor * inverse);
            store(&mut out.own, n + at, by * load(simd, &columns.run_sd, at));
        }
        out.own[2 * n..].fill(0.0);
        out.power[n..].fill(0.0);
    }
}
