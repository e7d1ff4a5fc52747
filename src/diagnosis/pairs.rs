//! Pairs of faults: what each predicts, reckoned whenever it is asked for.
//!
//! The first fault of a pair is laid over the line and solved, the second follows by its closed
//! form, all seconds of a first at once. So the order of faults is the order of what they cost:
//! another line voltage is solved anew as a second, so it always comes first; a fault of a run goes
//! by itself, so those come next; what hangs across the line goes in vectors, so it comes last, and
//! of that what excludes its own kind anywhere on the line, which is therefore never laid at all.
//!
//! Nothing is kept: a line of 40 loudspeakers has 205,000 pairs, and reading them back from memory
//! costs as much as reckoning them again.
//!
//! Never here: readings.

use super::fault::{Form, List};
use super::hypothesis::WeightedFault;
use super::parallel::in_parts;
use super::prepared::Prediction;
use crate::circuit::{Change, Changes, Network, Response, Responses, Spreads, Tolerances};
use crate::quantity::lanes::{Complexes, LANES, Level, Simd, dispatch, f64x4, ln, store};
use crate::quantity::{Admittance, Ohm};
use fearless_simd::prelude::*;
use std::ops::Range;

/// From so many faults on, a line of some 30 loudspeakers, the work of one line is shared among
/// the cores; under it whoever has many lines shares them out whole.
const SHARED_FROM: usize = 500;

/// A fault as the circuit sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Laid {
    /// What it changes; none where nothing.
    pub change: Option<Change>,
    /// The load it adds, with a tolerance of its own.
    pub added: Option<(usize, Admittance)>,
}

/// What is needed to reckon a response.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    pub healthy: Network,
    pub tolerances: Tolerances,
    pub contacts: Ohm,
}

impl Ground {
    /// A response as a prediction.
    pub fn prediction(&self, response: Response) -> Prediction {
        prediction(response, self.contacts)
    }

    /// What an admittance reads, its own variance left out.
    pub fn reads(&self, y_in: Admittance) -> Prediction {
        reads(y_in, self.contacts)
    }
}

/// A response as a prediction, the contacts of this spread.
pub(super) fn prediction(response: Response, contacts: Ohm) -> Prediction {
    let own = if response.variance.is_finite() {
        response.variance
    } else {
        0.0
    };
    Prediction {
        own,
        ..reads(response.y_in, contacts)
    }
}

/// Squares of admittances that are neither nothing nor beyond all cables.
const FAR: [f64; 2] = [1e-200, 1e24];

fn reads(y_in: Admittance, contacts: Ohm) -> Prediction {
    // Far from the ends of the numbers the root can wait for the logarithm.
    let square = y_in.norm_sqr();
    if square > FAR[0] && square < FAR[1] {
        return Prediction {
            ln_z: -0.5 * square.ln(),
            own: 0.0,
            contacts: contacts.get() * contacts.get() * square,
        };
    }
    let siemens = y_in.norm();
    if siemens == 0.0 {
        return Prediction::OPEN;
    }
    let siemens = siemens.clamp(f64::MIN_POSITIVE, 1e12);
    let contacts = contacts.get() * siemens;
    Prediction {
        ln_z: -siemens.ln(),
        own: 0.0,
        contacts: contacts * contacts,
    }
}

/// All pairs of one first fault, in columns, one place a second fault; those that the first
/// excludes stand among them with a weight of 0. Columns have [`LANES`] places more than there are
/// second faults, so that they can be gone through four at a time; the weight there is 0.
pub(super) struct Batch<'a> {
    /// Place of the first fault in the list of faults, and ln of its weight.
    pub first: usize,
    pub first_ln_weight: f64,
    /// How many types there are.
    pub types: usize,
    pairs: &'a Pairs,
    columns: &'a Columns,
    /// So many faults come before the first of the second ones.
    from: usize,
}

impl Batch<'_> {
    /// Places of the second faults in the list of faults.
    pub fn seconds(&self) -> &[usize] {
        &self.pairs.order[self.from..]
    }

    /// Nodes at which they sit; past all nodes what sits at none.
    pub fn nodes(&self) -> &[usize] {
        &self.pairs.nodes[self.from..]
    }

    /// Weight of each pair.
    pub fn weight(&self) -> &[f64] {
        &self.columns.weight[self.from..]
    }

    /// What it predicts, as in [`Prediction`].
    pub fn ln_z(&self) -> &[f64] {
        &self.columns.ln_z[self.from..]
    }

    /// As in [`Prediction`].
    pub fn own(&self) -> &[f64] {
        &self.columns.responses.variance()[self.from..]
    }

    /// As in [`Prediction`].
    pub fn contacts(&self) -> &[f64] {
        &self.columns.contacts[self.from..]
    }

    /// Weight of a type's factor under each pair.
    pub fn weights_of(&self, of: usize) -> &[f64] {
        &self.columns.responses.group(of)[self.from..]
    }

    /// One after the other, those excluded left out: place of the second, weight of the pair, ln
    /// of it, prediction, weights of types.
    pub fn each(&self, mut visit: impl FnMut(Row<'_>)) {
        let mut weights = vec![0.0; self.types];
        for (at, second) in self.seconds().iter().enumerate() {
            let weight = self.weight()[at];
            if weight == 0.0 {
                continue;
            }
            for (of, weight) in weights.iter_mut().enumerate() {
                *weight = self.weights_of(of)[at];
            }
            visit(Row {
                faults: [self.first, *second],
                ln_weight: self.first_ln_weight + self.pairs.ln_weights[self.from + at],
                prediction: Prediction {
                    ln_z: self.ln_z()[at],
                    own: self.own()[at],
                    contacts: self.contacts()[at],
                },
                weights: &weights,
            });
        }
    }
}

/// One pair and what it predicts.
pub(super) struct Row<'a> {
    /// Places of its faults in the list of faults.
    pub faults: [usize; 2],
    /// ln of its weight.
    pub ln_weight: f64,
    pub prediction: Prediction,
    /// Weight of each type's factor.
    pub weights: &'a [f64],
}

/// Faults next to each other that exclude each other.
#[derive(Clone, Debug)]
struct Block {
    list: List,
    at: Option<usize>,
    places: Range<usize>,
}

impl Block {
    fn excludes(&self, other: &Self) -> bool {
        self.list == other.list && (self.list.is_of_the_line() || self.at == other.at)
    }
}

/// All pairs of a line.
#[derive(Clone, Debug)]
pub(super) struct Pairs {
    /// The faults in the order in which they are laid; all below stands in it.
    order: Vec<usize>,
    /// The node at which each sits; past all nodes what sits at none.
    nodes: Vec<usize>,
    blocks: Vec<Block>,
    /// Places that are laid: block, place, and where its seconds begin.
    firsts: Vec<(usize, usize, usize)>,
    changes: Changes,
    weights: Vec<f64>,
    ln_weights: Vec<f64>,
}

/// Columns of one first fault after the other.
#[derive(Default)]
struct Columns {
    responses: Responses,
    weight: Vec<f64>,
    ln_z: Vec<f64>,
    contacts: Vec<f64>,
}

impl Pairs {
    pub fn new(ground: &Ground, faults: &[WeightedFault], laid: &[Laid]) -> Self {
        let mut order: Vec<usize> = (0..faults.len()).collect();
        order.sort_by_key(|at| {
            let fault = &faults[*at].fault;
            let cost = match (fault.of.list, fault.form) {
                (List::Voltage, _) => 0,
                (List::Run, Form::Along(_)) => 1,
                (List::Run, _) => 2,
                (List::Control, _) => 3,
                (List::Loudspeaker, _) => 4,
                (List::Unlisted, _) => 5,
            };
            (cost, fault.at)
        });
        let mut blocks: Vec<Block> = Vec::new();
        for (place, at) in order.iter().enumerate() {
            let fault = &faults[*at].fault;
            let (list, at) = (fault.of.list, fault.at);
            match blocks.last_mut() {
                Some(last) if last.list == list && last.at == at => last.places.end = place + 1,
                _ => blocks.push(Block {
                    list,
                    at,
                    places: place..place + 1,
                }),
            }
        }
        let mut firsts = Vec::new();
        for (at, block) in blocks.iter().enumerate() {
            // From the next block that it leaves possible.
            if let Some(next) = blocks[at + 1..].iter().find(|it| !block.excludes(it)) {
                let from = next.places.start;
                firsts.extend(block.places.clone().map(|place| (at, place, from)));
            }
        }
        let list = order
            .iter()
            .map(|at| (laid[*at].change, laid[*at].added.is_some()))
            .collect();
        let ln_weights: Vec<f64> = order.iter().map(|at| faults[*at].ln_weight).collect();
        Self {
            changes: Changes::of(&ground.healthy, &ground.tolerances, list),
            nodes: order
                .iter()
                .map(|at| faults[*at].fault.at.unwrap_or(ground.healthy.len()))
                .collect(),
            blocks,
            firsts,
            weights: ln_weights.iter().map(|it| it.exp()).collect(),
            ln_weights,
            order,
        }
    }

    /// Every pair, always in the same order: sums over them, started by `start`, in parts that
    /// depend on the line alone, and so do their digits. A long line's parts are made at once.
    pub fn sums<T: Send>(
        &self,
        ground: &Ground,
        laid: &[Laid],
        start: impl Fn() -> T + Sync,
        visit: impl Fn(&mut T, &Batch<'_>) + Sync,
    ) -> Vec<T> {
        let part = |firsts: &[(usize, usize, usize)]| {
            let mut sums = start();
            self.each_of(firsts, ground, laid, &mut |batch| visit(&mut sums, batch));
            sums
        };
        if self.order.len() < SHARED_FROM {
            vec![part(&self.firsts)]
        } else {
            in_parts(&self.firsts, part)
        }
    }

    /// Every pair in the same order, one core.
    pub fn each(&self, ground: &Ground, laid: &[Laid], visit: &mut dyn FnMut(&Batch<'_>)) {
        self.each_of(&self.firsts, ground, laid, visit);
    }

    /// Every pair in the same order with ln of its weight, and nothing of what it predicts.
    pub fn each_weight(&self, mut visit: impl FnMut([usize; 2], f64)) {
        for (at, place, from) in self.firsts.iter().copied() {
            let block = &self.blocks[at];
            let others = self.blocks[at + 1..].iter();
            for other in others.filter(|it| it.places.start >= from && !block.excludes(it)) {
                for second in other.places.clone() {
                    let ln_weight = self.ln_weights[place] + self.ln_weights[second];
                    visit([self.order[place], self.order[second]], ln_weight);
                }
            }
        }
    }

    fn each_of(
        &self,
        firsts: &[(usize, usize, usize)],
        ground: &Ground,
        laid: &[Laid],
        visit: &mut dyn FnMut(&Batch<'_>),
    ) {
        let mut columns = Columns::default();
        let (mut solutions, mut spreads) = (Vec::new(), Spreads::default());
        // What is laid over each solution.
        let mut over: [Option<usize>; Spreads::MOST] = [None; Spreads::MOST];
        for four in firsts.chunks(Spreads::MOST) {
            solutions.resize_with(Spreads::MOST.min(firsts.len()), || ground.healthy.solve());
            for ((solution, over), (_, place, _)) in solutions.iter_mut().zip(&mut over).zip(four) {
                let one = self.order[*place];
                let was = over.and_then(|it: usize| laid[it].change.as_ref());
                solution.instead(&ground.healthy, was, laid[one].change.as_ref());
                *over = Some(one);
            }
            let added = four
                .iter()
                .map(|(_, place, _)| laid[self.order[*place]].added.as_slice());
            let side_by_side: Vec<_> = solutions.iter().zip(added).collect();
            let spreads = spreads.of(&ground.tolerances, &side_by_side);
            for ((at, place, from), spread) in four.iter().copied().zip(spreads) {
                spread.after_each(&self.changes, from, &mut columns.responses);
                self.weigh(place, from, &mut columns.weight);
                let block = &self.blocks[at];
                for other in self.blocks[at + 1..].iter().filter(|it| block.excludes(it)) {
                    if other.places.start >= from {
                        columns.weight[other.places.clone()].fill(0.0);
                    }
                }
                dispatch!(Level::new(), simd => columns.read(simd, from, ground.contacts));
                visit(&Batch {
                    first: self.order[place],
                    first_ln_weight: self.ln_weights[place],
                    types: ground.tolerances.groups,
                    pairs: self,
                    columns: &columns,
                    from,
                });
            }
        }
    }

    fn weigh(&self, first: usize, from: usize, out: &mut Vec<f64>) {
        out.resize(self.weights.len() + LANES, 0.0);
        let own = self.weights[first];
        for (out, weight) in out[from..].iter_mut().zip(&self.weights[from..]) {
            *out = own * weight;
        }
    }
}

impl Columns {
    /// What the admittances read.
    #[inline(always)]
    fn read<S: Simd>(&mut self, simd: S, from: usize, contacts: Ohm) {
        let ([re, im], many) = (self.responses.y(), self.responses.len());
        self.ln_z.resize(many + LANES, 0.0);
        self.contacts.resize(many + LANES, 0.0);
        let squared = contacts.get() * contacts.get();
        for at in (from..many).step_by(LANES) {
            let y = Complexes::load(simd, [re, im], at);
            let square = y.norm_sqr();
            let (low, high) = (f64x4::splat(simd, FAR[0]), f64x4::splat(simd, FAR[1]));
            if (square.simd_gt(low) & square.simd_lt(high)).all_true() {
                store(&mut self.ln_z, at, ln(square) * -0.5);
                store(&mut self.contacts, at, square * squared);
                continue;
            }
            for at in at..at + LANES {
                let it = reads(Admittance::new(re[at], im[at]), contacts);
                self.ln_z[at] = it.ln_z;
                self.contacts[at] = it.contacts;
            }
        }
    }
}
