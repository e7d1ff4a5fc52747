//! The network of a line: element values, ready to be solved.
//!
//! One small constructor turns the plan into element values; from then on the network is only
//! read, or changed as a whole into another.
//!
//! Never here: currents and voltages.

use super::cable::PerMetre;
use super::change::{Change, bridge};
use super::conditions::Conditions;
use super::element::{Element, Load};
use crate::quantity::{Admittance, Farad, Impedance, Metre, Ohm, Volt, Watt};
use crate::site::{LinePlan, NodeIs};

/// A line as a circuit under given conditions, healthy or changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    pub(super) conditions: Conditions,
    pub(super) volts: Volt,
    pub(super) elements: Vec<Element>,
    /// Factor of all loads behind transformers, as it acts at this frequency.
    pub(super) times: f64,
}

impl Network {
    /// The network of a line as designed. A run of unknown length counts as
    /// [`Conditions::unknown_run`]; a device that says nothing of itself is no load.
    #[must_use]
    pub fn of(line: &LinePlan, conditions: &Conditions) -> Self {
        let elements = line
            .nodes
            .iter()
            .map(|node| {
                let per_metre = PerMetre::of(&node.make, conditions);
                let length = node.run.unwrap_or(conditions.unknown_run);
                let design = match &node.is {
                    NodeIs::Loudspeaker { tap, dc_block, .. } => Some((*tap, *dc_block)),
                    NodeIs::Junction | NodeIs::Device { .. } => None,
                };
                Element {
                    from: node.from,
                    ratio: 1.0,
                    series: Impedance::new(0.0, 0.0),
                    broken: false,
                    length,
                    per_metre,
                    cable: per_metre.run(length),
                    bridges: Vec::new(),
                    load: design.map(|(tap, dc_block)| Load {
                        y: tapped(conditions, line.volts, tap, tap, dc_block),
                        silent: false,
                        transformer: true,
                    }),
                    other: match &node.is {
                        NodeIs::Device { ohm, farad } => device(*ohm, *farad, conditions),
                        _ => Admittance::new(0.0, 0.0),
                    },
                    design,
                    run_elsewhere: false,
                    node_elsewhere: false,
                }
            })
            .collect();
        Self {
            conditions: *conditions,
            volts: line.volts,
            elements,
            times: 1.0,
        }
    }

    /// This network with changes laid over it, in any order and number. A run takes several
    /// shorts and joints; of two loads or controls at one place the later stands.
    #[must_use]
    pub fn with(&self, changes: &[Change]) -> Self {
        let mut changed = self.clone();
        changed.lay_all(changes);
        changed
    }

    pub(super) fn lay_all(&mut self, changes: &[Change]) {
        for change in changes {
            self.lay(change);
        }
    }

    fn lay(&mut self, change: &Change) {
        match *change {
            Change::Load { at, is } => {
                if let Some(node) = self.node_mut(at)
                    && node.load.is_some()
                {
                    node.load = Some(is);
                }
            }
            Change::Shunt { at, y } => {
                if let Some(node) = self.node_mut(at) {
                    node.other += y;
                }
            }
            Change::Series { run, z } => {
                if let Some(run) = self.run_mut(run) {
                    run.series += z;
                }
            }
            Change::Break { run } => {
                if let Some(run) = self.run_mut(run) {
                    run.broken = true;
                }
            }
            Change::Short { run, along, ohm } => {
                if let Some(run) = self.run_mut(run) {
                    run.bridge(along.get().clamp(0.0, 1.0), bridge(ohm));
                }
            }
            Change::Control { run, ratio } => {
                if let Some(run) = self.run_mut(run) {
                    run.ratio = ratio.get();
                }
            }
            Change::EveryLoad { times } => self.times *= self.acts(times),
        }
    }

    /// Makes what a change was laid over as it is in the network before.
    pub(super) fn take_up(&mut self, before: &Self, laid: &Change) {
        match laid.place() {
            Some(at) => {
                if let (Some(own), Some(was)) = (self.elements.get_mut(at), before.elements.get(at))
                {
                    own.clone_from(was);
                }
            }
            None => self.times = before.times,
        }
    }

    /// Whether a change is of anything in this tree: what is elsewhere changes nothing here.
    #[must_use]
    pub fn is_touched(&self, change: &Change) -> bool {
        match *change {
            Change::Load { at, .. } | Change::Shunt { at, .. } => {
                let node = self.elements.get(at);
                node.is_some_and(|it| !it.node_elsewhere)
            }
            Change::Series { run, .. }
            | Change::Break { run }
            | Change::Short { run, .. }
            | Change::Control { run, .. } => {
                let run = self.elements.get(run);
                run.is_some_and(|it| !it.run_elsewhere)
            }
            Change::EveryLoad { .. } => true,
        }
    }

    /// How a factor of all powers acts on admittances at this frequency.
    fn acts(&self, times: f64) -> f64 {
        if self.conditions.is_dc() {
            times.sqrt()
        } else {
            times
        }
    }

    fn node_mut(&mut self, at: usize) -> Option<&mut Element> {
        self.elements.get_mut(at).filter(|it| !it.node_elsewhere)
    }

    fn run_mut(&mut self, run: usize) -> Option<&mut Element> {
        self.elements.get_mut(run).filter(|it| !it.run_elsewhere)
    }

    /// How many nodes, those elsewhere included; their places are those of the plan.
    #[must_use]
    pub fn len(&self) -> usize {
        self.elements.len()
    }

    /// Whether the line has no node at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.elements.is_empty()
    }

    /// Nominal line voltage.
    #[must_use]
    pub const fn volts(&self) -> Volt {
        self.volts
    }

    /// The conditions it was built under.
    #[must_use]
    pub const fn conditions(&self) -> &Conditions {
        &self.conditions
    }

    /// Feeding node; none is the rack, or no such node.
    #[must_use]
    pub fn from(&self, at: usize) -> Option<usize> {
        self.elements.get(at).and_then(|it| it.from)
    }

    /// Length that a run counts with.
    #[must_use]
    pub fn length(&self, run: usize) -> Metre {
        self.elements.get(run).map_or(Metre(0.0), |it| it.length)
    }

    /// Whether a loudspeaker stands at a node of this tree.
    #[must_use]
    pub fn is_loudspeaker(&self, at: usize) -> bool {
        self.elements
            .get(at)
            .is_some_and(|it| it.load.is_some() && !it.node_elsewhere)
    }

    /// The loudspeaker's own admittance as it acts; nothing where there is none.
    #[must_use]
    pub fn own(&self, at: usize) -> Admittance {
        self.elements
            .get(at)
            .and_then(|it| it.load)
            .map_or(Admittance::new(0.0, 0.0), |load| self.acting(&load))
    }

    /// The admittance with which a load acts here: times the factor of all loads if it stands
    /// behind a transformer.
    #[must_use]
    pub fn acting(&self, load: &Load) -> Admittance {
        if load.transformer {
            load.y * self.times
        } else {
            load.y
        }
    }

    /// The load of a listed loudspeaker set to a tap; none where none stands. A blocking
    /// capacitor opens it to direct current.
    #[must_use]
    pub fn on_tap(&self, at: usize, tap: Watt) -> Option<Load> {
        let (design, dc_block) = self.elements.get(at)?.design?;
        Some(Load {
            y: tapped(&self.conditions, self.volts, design, tap, dc_block),
            silent: false,
            transformer: true,
        })
    }

    /// All that hangs across the line at a node.
    pub(super) fn across(&self, at: usize) -> Admittance {
        self.own(at) + self.elements[at].other
    }
}

fn tapped(
    conditions: &Conditions,
    volts: Volt,
    design: Watt,
    tap: Watt,
    dc_block: bool,
) -> Admittance {
    if dc_block && conditions.is_dc() {
        Admittance::new(0.0, 0.0)
    } else {
        conditions.load(volts, design, tap)
    }
}

/// Series resistance and capacitance; no load where neither is known, and a device of nothing
/// counts as a microohm, so that it stays a number.
fn device(ohm: Option<Ohm>, farad: Option<Farad>, conditions: &Conditions) -> Admittance {
    let none = Admittance::new(0.0, 0.0);
    let ohms = ohm.map_or(0.0, Ohm::get);
    match farad {
        Some(farad) => {
            // y = j w C / (1 + j w C R): open at 0 Hz without a special case.
            let susceptance = Admittance::new(0.0, conditions.omega() * farad.get());
            susceptance / (1.0 + susceptance * ohms)
        }
        None if ohm.is_none() => none,
        None => bridge(Ohm(ohms)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, network, node};
    use crate::quantity::{Decibel, Fraction};

    fn ohms(network: &Network) -> f64 {
        network.solve().input().modulus().unwrap().get()
    }

    #[test]
    fn a_capacitor_in_series_is_open_to_direct_current() {
        let blocked = NodeIs::Loudspeaker {
            tap: Watt(10.0),
            taps: None,
            of: "type".into(),
            dc_block: true,
        };
        let unit = |farad: Option<f64>| NodeIs::Device {
            ohm: Some(Ohm(22_000.0)),
            farad: farad.map(Farad),
        };
        for (is, dc, tone) in [
            (blocked, None, 1000.0),
            // |R + 1 / (j w C)| with 1 / (w C) = 1591.549 ohm at 1 kHz and 0.1 uF.
            (unit(Some(1e-7)), None, 22_000f64.hypot(1_591.549_43)),
            (unit(None), Some(22_000.0), 22_000.0),
        ] {
            let line = line(vec![node(is, None, Some(0.0))]);
            let got = network(&line, 0.0).solve().input().modulus();
            assert_eq!(got.map(|ohm| ohm.get().round()), dc);
            assert!((ohms(&network(&line, 1000.0)) - tone).abs() < 1e-4);
        }
    }

    #[test]
    fn a_run_of_unknown_length_counts_as_fifteen_metres_and_zero_is_zero() {
        let run = |metres: Option<f64>| {
            let mut speaker = loudspeaker(10.0, None, 0.0);
            speaker.run = metres.map(Metre);
            network(&line(vec![speaker]), 0.0)
        };
        assert_eq!(run(None), run(Some(15.0)));
        assert!((ohms(&run(Some(0.0))) - 80.0).abs() < 1e-12);
        assert!((ohms(&run(None)) - 80.0 - 15.0 * 0.0242).abs() < 1e-12);
    }

    #[test]
    fn outward_come_control_then_joint_then_cable() {
        // With direct current: a^2 / (joint + cable + winding), the joint behind the control.
        let sound = network(&line(vec![loudspeaker(10.0, None, 100.0)]), 0.0);
        let joint = Change::Series {
            run: 0,
            z: Impedance::new(30.0, 0.0),
        };
        let control = Change::control_down(0, Decibel(6.0));
        let a = 10f64.powf(-6.0 / 20.0);
        let want = (30.0 + 2.42 + 80.0) / (a * a);
        for order in [[joint, control], [control, joint]] {
            assert!((ohms(&sound.with(&order)) - want).abs() < 1e-9);
        }
        let off = Change::Control {
            run: 0,
            ratio: Fraction(0.0),
        };
        let solution = sound.with(&[off]).solve();
        assert_eq!(solution.voltage(0), None);
        assert_eq!(solution.y_in(), Admittance::new(0.0, 0.0));
    }

    #[test]
    fn another_line_voltage_finds_every_load_behind_a_transformer_in_any_order() {
        let nodes = vec![
            loudspeaker(10.0, None, 0.0),
            loudspeaker(10.0, Some(0), 0.0),
        ];
        let twice = Change::EveryLoad { times: 2.0 };
        let load = |transformer| Change::Load {
            at: 0,
            is: Load {
                y: Admittance::new(0.5, 0.0),
                silent: false,
                transformer,
            },
        };
        for (hz, grown, watt) in [(1000.0, 2.0, 1e-3), (0.0, 2f64.sqrt(), 1.0 / 80.0)] {
            let sound = network(&line(nodes.clone()), hz);
            for (transformer, first) in [(true, 0.5 * grown), (false, 0.5)] {
                for order in [[twice, load(transformer)], [load(transformer), twice]] {
                    let y = sound.with(&order).solve().y_in();
                    assert!((y.re - (first + grown * watt)).abs() < 1e-12);
                }
            }
        }
    }
}
