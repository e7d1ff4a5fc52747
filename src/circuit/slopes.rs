//! Every derivative of ln|Z| at the rack after one more change, and the power each loudspeaker
//! takes, without a new solve: O(n) a change in a few operations a node.
//!
//! Where [`Spread`](super::Spread) gives the sum of squares alone, this gives the derivatives one
//! by one: two readings of one line are tied together by the products of theirs.
//!
//! Steps. A change is, for the rest of the tree, an admittance of effective value K across a node
//! k. With the rack held, the voltage at a node a on the way to k becomes V_a (1 - K_a H_aa),
//! K_a = K (V_k / V_a)^2, H the driving point with the rack's end shorted; all that hangs off the
//! way follows its last node on it. Each derivative is Re(g / Y'), where g of a load goes with the
//! square of that factor and g of a run on the way is a quadratic in K_a.
//!
//! Never here: what shares which tolerance.

use super::change::{Change, bridge};
use super::closed_form::ClosedForm;
use super::laying::{At, Columns, Laid, Moved, Slope};
use super::solve::Solution;
use super::sums::Form;
use super::tolerances::Tolerances;
use crate::quantity::Admittance;
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// A solution with what its derivatives follow from.
#[derive(Clone, Debug)]
pub struct Slopes<'a> {
    closed: ClosedForm<'a>,
    laid: Laid<'a>,
}

impl Solution {
    /// Prepares the derivatives of this solution and of every change of it. `added` is a load that
    /// hangs on the line beside those listed, at its node. O(n).
    #[must_use]
    pub fn slopes<'a>(
        &'a self,
        tolerances: &'a Tolerances,
        added: Option<(usize, Admittance)>,
    ) -> Slopes<'a> {
        let closed = self.closed_form();
        let network = &self.network;
        let mut columns = Columns::new(network.len());
        let mut at = Vec::with_capacity(network.len());
        for (node, element) in network.elements.iter().enumerate() {
            let solved = &self.at[node];
            columns.run_sd[node] = tolerances.run[node].sqrt();
            let mut here = At {
                from: element.from,
                h: ZERO,
                v2: ZERO,
                way: [ZERO; 3],
            };
            if !solved.cut {
                let z = closed.back[node].z_node;
                let u = (1.0 + z * solved.y_node).inv();
                here.h = z * u;
                here.v2 = solved.v * solved.v;
                if let Some(load) = element.load {
                    let y = network.acting(&load);
                    let v2y = here.v2 * y;
                    (columns.load[0][node], columns.load[1][node]) = (v2y.re, v2y.im);
                    columns.transformer[node] = f64::from(u8::from(load.transformer));
                    if !load.silent {
                        columns.power[node] = solved.v.norm_sqr() * y.re;
                    }
                }
                let form = Form::of(element);
                let run = form.at(solved.v, solved.v * solved.y_node);
                (columns.run[0][node], columns.run[1][node]) = (run.re, run.im);
                here.way = form.on_the_way(solved.v, solved.y_node, u, here.h);
            }
            at.push(here);
        }
        let here = |it: &(usize, Admittance)| {
            let element = network.elements.get(it.0);
            element.is_some_and(|element| !element.node_elsewhere)
        };
        Slopes {
            closed,
            laid: Laid {
                tolerances,
                added: added.filter(here),
                at,
                columns,
                load_sd: tolerances.loudspeaker.sqrt(),
                added_sd: tolerances.added.sqrt(),
            },
        }
    }
}

impl Slopes<'_> {
    /// After one change, or none; `adds` says that a shunt is an added load with a tolerance of
    /// its own. A factor of every load, a second short in one run and a control turned up from
    /// nothing are solved anew.
    pub fn after(&self, change: Option<&Change>, adds: bool, out: &mut Slope) {
        match change.map(|change| (change, self.moved(change, adds))) {
            None => self.laid.lay(&self.nothing(), out),
            Some((_, Some(moved))) => self.laid.lay(&moved, out),
            Some((change, None)) => {
                let network = &self.closed.solution.network;
                let solution = network.with(&[*change]).into_solution();
                let anew = solution.slopes(self.laid.tolerances, self.laid.added);
                anew.laid.lay(&anew.nothing(), out);
            }
        }
    }

    const fn nothing(&self) -> Moved {
        Moved {
            y_in: self.closed.solution.y_in,
            k: ZERO,
            across: None,
            there: None,
            beyond: None,
            run: None,
            load: None,
            added: None,
        }
    }

    /// What a change comes to; none where it must be solved anew.
    fn moved(&self, change: &Change, adds: bool) -> Option<Moved> {
        let network = &self.closed.solution.network;
        let node = |at| self.closed.reaches(at);
        let run = |at| self.closed.reaches_run(at);
        Some(match *change {
            Change::Load { at, is } if node(at) && network.elements[at].load.is_some() => {
                let y = network.acting(&is);
                let mut moved = self.across(at, y - network.own(at));
                moved.load = Some((at, y, is.transformer, is.silent));
                moved
            }
            Change::Shunt { at, y } if node(at) => {
                let mut moved = self.across(at, y);
                moved.added = adds.then_some((at, y));
                moved
            }
            Change::Series { run: at, .. }
            | Change::Break { run: at }
            | Change::Control { run: at, .. }
                if run(at) =>
            {
                self.in_run(at, change)
            }
            Change::Short {
                run: at,
                along,
                ohm,
            } if run(at) && network.elements[at].bridges.is_empty() => {
                self.short(at, along.get(), bridge(ohm))
            }
            Change::EveryLoad { .. } => return None,
            Change::Control { run: at, .. } if self.closed.is_off(at) => return None,
            Change::Short { run: at, .. } if run(at) => return None,
            _ => self.nothing(),
        })
    }

    fn across(&self, at: usize, dy: Admittance) -> Moved {
        let here = &self.laid.at[at];
        let denominator = 1.0 + dy * here.h;
        let k = dy / denominator;
        Moved {
            y_in: self.closed.solution.y_in + here.v2 * k,
            k,
            across: Some(at),
            there: Some(denominator.inv()),
            ..self.nothing()
        }
    }

    /// A change at the near end of a run: in series, a break, its control.
    fn in_run(&self, run: usize, change: &Change) -> Moved {
        let element = &self.closed.solution.network.elements[run];
        let (dy, passes) = self.closed.solution.at_near_end(run, change);
        let feed = element.from.map_or(ZERO, |from| self.laid.at[from].h);
        let denominator = 1.0 + dy * feed;
        Moved {
            y_in: self.closed.y_after(change),
            k: dy / denominator,
            across: element.from,
            there: Some(denominator.inv()),
            beyond: Some((run, passes / denominator)),
            ..self.nothing()
        }
    }

    /// A bridge inside a run.
    fn short(&self, run: usize, along: f64, bridge: Admittance) -> Moved {
        let along = along.clamp(0.0, 1.0);
        let split = self.closed.solution.network.elements[run].split(along);
        let it = self.closed.bridged(run, along, split, bridge);
        Moved {
            y_in: it.y_in,
            k: it.k,
            across: self.closed.solution.network.elements[run].from,
            beyond: Some((run, it.follows)),
            run: Some((run, it.by_length)),
            ..self.nothing()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::quantity::{Fraction, Impedance, Ohm};

    fn tolerances(nodes: usize) -> Tolerances {
        Tolerances {
            groups: 1,
            group_of: vec![Some(0); nodes],
            loudspeaker: 1.0,
            run: vec![1.0; nodes],
            added: 1.0,
        }
    }

    #[test]
    fn after_any_change_the_derivatives_are_those_of_the_changed_line_solved_anew() {
        let nodes = vec![
            loudspeaker(10.0, None, 100.0),
            loudspeaker(6.0, Some(0), 60.0),
            loudspeaker(3.0, Some(1), 80.0),
            loudspeaker(10.0, Some(0), 40.0),
            loudspeaker(15.0, Some(3), 30.0),
            loudspeaker(6.0, None, 20.0),
        ];
        let plan = line(nodes);
        let tolerances = tolerances(6);
        let tap = crate::circuit::Load {
            y: Admittance::new(1e-4, -2e-4),
            silent: false,
            transformer: true,
        };
        let every = |at: usize| {
            [
                Change::Load { at, is: tap },
                Change::short_at(at, Ohm(1.0)),
                Change::Break { run: at },
                Change::Series {
                    run: at,
                    z: Impedance::new(30.0, 0.0),
                },
                Change::Control {
                    run: at,
                    ratio: Fraction(0.5),
                },
                Change::Control {
                    run: at,
                    ratio: Fraction(0.0),
                },
                Change::Short {
                    run: at,
                    along: Fraction(0.3),
                    ohm: Ohm(0.2),
                },
                Change::EveryLoad { times: 2.0 },
            ]
        };
        for whole in [network(&plan, 1000.0), network(&plan, 0.0)] {
            for tree in [whole.clone(), whole.near_of(1), whole.far_of(0)] {
                for first in every(3) {
                    let base = tree.with(&[first]).solve();
                    let slopes = base.slopes(&tolerances, None);
                    let mut got = Slope::default();
                    for second in (0..6).flat_map(every) {
                        slopes.after(Some(&second), false, &mut got);
                        let anew = tree.with(&[first, second]).solve();
                        let want = anew.sensitivities();
                        let y_in = anew.y_in().norm();
                        assert!((got.y_in - anew.y_in()).norm() <= 1e-11 * (y_in + 1e-4));
                        if y_in < 1e-12 {
                            continue;
                        }
                        let want = want.loudspeaker.iter().chain(&want.run);
                        for (place, (got, want)) in got.own.iter().zip(want).enumerate() {
                            assert!(
                                (got - want).abs() < 1e-8,
                                "{first:?} {second:?} {place}: {got} is not {want}"
                            );
                        }
                        for node in 0..6 {
                            let level = anew.level(node).map_or(-200.0, |it| it.get());
                            let power = (10.0 * got.power[node].log10()).max(-200.0);
                            assert!(
                                (power - level).abs() < 1e-6 * (1.0 + level.abs())
                                    || (power < -150.0 && level < -150.0),
                                "{first:?} {second:?} {node}: {power} is not {level}"
                            );
                        }
                    }
                }
            }
        }
    }
}
