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

use super::batch::{Batch, Columns};
use super::fault::{Form, List, exclude};
use super::ground::{Ground, Laid};
use super::hypothesis::WeightedFault;
use super::parallel::in_parts;
use crate::circuit::{Alone, Changes, Response, Solution, Spread, Spreads};
use crate::quantity::Admittance;
use crate::quantity::lanes::LANES;
use std::ops::Range;

/// From so many faults on, a line of some 30 loudspeakers, the work of one line is shared among
/// the cores; under it whoever has many lines shares them out whole.
const SHARED_FROM: usize = 500;

/// Faults next to each other that exclude each other.
#[derive(Clone, Debug)]
struct Block {
    list: List,
    at: Option<usize>,
    places: Range<usize>,
}

impl Block {
    fn excludes(&self, other: &Self) -> bool {
        exclude((self.list, self.at), (other.list, other.at))
    }
}

/// What whoever saw the pairs of a first fault has to say, their spreads being of first order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Seen {
    /// That will do, or it is exact already.
    Enough,
    /// They were left out, and are wanted once more with exact spreads.
    WantedExact,
}

/// A fault that is laid.
#[derive(Clone, Copy, Debug)]
struct First {
    block: usize,
    place: usize,
    /// Where its seconds begin.
    from: usize,
}

/// A solution of the line, and the fault laid over it.
struct Over {
    solution: Solution,
    fault: Option<usize>,
}

impl Over {
    fn nothing(ground: &Ground) -> Self {
        Self {
            solution: ground.healthy.solve(),
            fault: None,
        }
    }

    /// Another fault in place of the one there.
    fn lay(&mut self, fault: usize, ground: &Ground, laid: &[Laid]) -> &Solution {
        let was = self.fault.and_then(|it| laid[it].change.as_ref());
        let change = laid[fault].change.as_ref();
        self.solution.instead(&ground.healthy, was, change);
        self.fault = Some(fault);
        &self.solution
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
    firsts: Vec<First>,
    changes: Changes,
    /// What each does by itself.
    alone: Alone,
    weights: Vec<f64>,
    ln_weights: Vec<f64>,
}

impl Pairs {
    /// Makes the pairs of the line whose spread this is.
    pub fn new(
        ground: &Ground,
        faults: &[WeightedFault],
        laid: &[Laid],
        spread: &Spread<'_>,
    ) -> Self {
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
                firsts.extend(block.places.clone().map(|place| First {
                    block: at,
                    place,
                    from,
                }));
            }
        }
        let list = order
            .iter()
            .map(|at| (laid[*at].change, laid[*at].added.is_some()))
            .collect();
        let changes = Changes::of(&ground.healthy, &ground.tolerances, list);
        let ln_weights: Vec<f64> = order.iter().map(|at| faults[*at].ln_weight).collect();
        Self {
            alone: Alone::of(spread, &changes),
            changes,
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
    /// depend on the line alone, and so do their digits. A long line's parts are made at once. Spreads
    /// are of first order, in half the time, and exact of those firsts of which `visit` wants more:
    /// it sees them twice.
    pub fn sums_nearly<T: Send>(
        &self,
        ground: &Ground,
        laid: &[Laid],
        start: impl Fn() -> T + Sync,
        visit: impl Fn(&mut T, &Batch<'_>) -> Seen + Sync,
    ) -> Vec<T> {
        self.in_parts(start, |sums, firsts| {
            self.each_nearly(firsts, (ground, laid), &mut |batch| visit(sums, batch));
        })
    }

    fn in_parts<T: Send>(
        &self,
        start: impl Fn() -> T + Sync,
        add: impl Fn(&mut T, &[First]) + Sync,
    ) -> Vec<T> {
        let part = |firsts: &[First]| {
            let mut sums = start();
            add(&mut sums, firsts);
            sums
        };
        if self.order.len() < SHARED_FROM {
            vec![part(&self.firsts)]
        } else {
            in_parts(&self.firsts, part)
        }
    }

    /// What each fault by itself makes the rack read, by its place in the list of faults, with its
    /// weights of types.
    pub fn each_alone(&self, mut visit: impl FnMut(usize, Response, &[f64])) {
        let each = self.alone.each();
        let [re, im] = each.y();
        let mut weights = vec![0.0; self.alone.groups()];
        for (lane, at) in self.order.iter().enumerate() {
            for (of, weight) in weights.iter_mut().enumerate() {
                *weight = each.group(of)[lane];
            }
            let response = Response {
                y_in: Admittance::new(re[lane], im[lane]),
                variance: each.variance()[lane],
            };
            visit(*at, response, &weights);
        }
    }

    /// Every pair in the same order, one core.
    pub fn each(&self, ground: &Ground, laid: &[Laid], visit: &mut dyn FnMut(&Batch<'_>)) {
        self.each_exactly(&self.firsts, (ground, laid), &mut |batch| {
            visit(batch);
            Seen::Enough
        });
    }

    /// Every pair in the same order with ln of its weight, and nothing of what it predicts.
    pub fn each_weight(&self, mut visit: impl FnMut([usize; 2], f64)) {
        for First {
            block: at,
            place,
            from,
        } in self.firsts.iter().copied()
        {
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

    /// Firsts one after the other, spreads to first order; those of which more was wanted once more, in
    /// the same order.
    fn each_nearly(
        &self,
        firsts: &[First],
        (ground, laid): (&Ground, &[Laid]),
        visit: &mut dyn FnMut(&Batch<'_>) -> Seen,
    ) {
        let (mut columns, mut spreads) = (Columns::default(), Spreads::default());
        let (mut over, mut again) = (Over::nothing(ground), Vec::new());
        for first in firsts {
            let closed = spreads.closed_form(over.lay(self.order[first.place], ground, laid));
            let (place, from) = (first.place, first.from);
            let out = &mut columns.responses;
            closed.nearly_after_each(&self.changes, &self.alone, place, from, out);
            if self.show(first, ground, &mut columns, visit) == Seen::WantedExact {
                again.push(*first);
            }
        }
        self.each_exactly(&again, (ground, laid), visit);
    }

    /// Firsts side by side, spreads by the tree with both faults laid.
    fn each_exactly(
        &self,
        firsts: &[First],
        (ground, laid): (&Ground, &[Laid]),
        visit: &mut dyn FnMut(&Batch<'_>) -> Seen,
    ) {
        let (mut columns, mut spreads) = (Columns::default(), Spreads::default());
        columns.exact = true;
        let mut over: Vec<Over> = Vec::new();
        for four in firsts.chunks(Spreads::MOST) {
            over.resize_with(Spreads::MOST.min(firsts.len()), || Over::nothing(ground));
            let side_by_side: Vec<_> = over
                .iter_mut()
                .zip(four)
                .map(|(over, first)| {
                    let one = self.order[first.place];
                    (over.lay(one, ground, laid), laid[one].added.as_slice())
                })
                .collect();
            let spreads = spreads.of(&ground.tolerances, &side_by_side);
            for (first, spread) in four.iter().zip(spreads) {
                spread.after_each(&self.changes, first.from, &mut columns.responses);
                self.show(first, ground, &mut columns, visit);
            }
        }
    }

    /// Shows all pairs of one first fault whose responses stand in the columns.
    fn show(
        &self,
        &First {
            block: at,
            place,
            from,
        }: &First,
        ground: &Ground,
        columns: &mut Columns,
        visit: &mut dyn FnMut(&Batch<'_>) -> Seen,
    ) -> Seen {
        self.weigh(place, from, &mut columns.weight);
        let block = &self.blocks[at];
        for other in self.blocks[at + 1..].iter().filter(|it| block.excludes(it)) {
            if other.places.start >= from {
                columns.weight[other.places.clone()].fill(0.0);
            }
        }
        columns.read(from, ground.contacts);
        visit(&Batch {
            first: self.order[place],
            first_ln_weight: self.ln_weights[place],
            types: ground.tolerances.groups,
            seconds: &self.order[from..],
            nodes: &self.nodes[from..],
            ln_weights: &self.ln_weights[from..],
            columns,
            from,
        })
    }

    fn weigh(&self, first: usize, from: usize, out: &mut Vec<f64>) {
        out.resize(self.weights.len() + LANES, 0.0);
        let own = self.weights[first];
        for (out, weight) in out[from..].iter_mut().zip(&self.weights[from..]) {
            *out = own * weight;
        }
    }
}
