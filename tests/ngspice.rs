//! The circuit against ngspice, an independent solver: the listed netlists, and random lines for
//! which a netlist is written here from the plan and the changes alone.
//!
//! A netlist holds each run as the exact lumped pi at its one frequency (direct current at a
//! formal 1 Hz), the line driven with 1 A at the rack.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::listed;
use common::trees::{Tree, change, tree};
use linewright::circuit::{Change, Conditions, Network, Solution};
use linewright::quantity::{Hertz, Ohm};
use linewright::site::{Figures, NodeIs};
use num_complex::Complex64;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

/// The resistor at the rack of every netlist.
const AT_THE_RACK: f64 = 1e15;

/// Runs ngspice on a netlist; every saved voltage by name, at full precision.
fn ngspice(netlist: &Path, raw: &Path) -> HashMap<String, Complex64> {
    let out = Command::new("ngspice")
        .arg("-b")
        .arg("-r")
        .arg(raw)
        .arg(netlist)
        .output()
        .unwrap_or_else(|error| {
            panic!("cannot run ngspice ({error}); this test needs it: apt-get install ngspice")
        });
    let bytes = std::fs::read(raw).unwrap_or_else(|error| {
        panic!(
            "{}: ngspice wrote no result ({error}):\n{}{}",
            netlist.display(),
            String::from_utf8_lossy(&out.stdout),
            String::from_utf8_lossy(&out.stderr)
        )
    });
    std::fs::remove_file(raw).unwrap();
    read_raw(&bytes)
}

/// A raw file: a head of text that names the variables, `Binary:`, then two doubles each.
fn read_raw(bytes: &[u8]) -> HashMap<String, Complex64> {
    let mark = b"Binary:\n";
    let head = bytes
        .windows(mark.len())
        .position(|window| window == mark)
        .expect("a binary raw file");
    let text = std::str::from_utf8(&bytes[..head]).unwrap();
    assert!(text.contains("Flags: complex"), "{text}");
    let (_, variables) = text.split_once("Variables:").unwrap();
    let names = variables.lines().filter_map(|row| {
        let mut words = row.split_whitespace();
        words.next()?.parse::<usize>().ok()?;
        words.next().map(str::to_owned)
    });
    let numbers = bytes[head + mark.len()..]
        .chunks_exact(8)
        .map(|eight| f64::from_le_bytes(eight.try_into().unwrap()))
        .collect::<Vec<_>>();
    names
        .zip(numbers.chunks_exact(2))
        .map(|(name, pair)| (name, Complex64::new(pair[0], pair[1])))
        .collect()
}

/// Everything of a solution that ngspice saw, to 1e-8.
#[track_caller]
fn agrees(what: &str, ours: &Solution, theirs: &HashMap<String, Complex64>) {
    let rack = theirs["v(r)"];
    let z = (ours.y_in() + 1.0 / AT_THE_RACK).inv();
    assert!(
        (z - rack).norm() <= 1e-8 * rack.norm(),
        "{what}: {z}, ngspice {rack}"
    );
    for node in 0..ours.network().len() {
        let Some(v) = ours.voltage(node) else {
            continue;
        };
        let saved = theirs.get(&format!("v(n{node})"));
        let saved = saved.unwrap_or_else(|| panic!("{what}: ngspice has no node {node}"));
        let saved = saved / rack;
        assert!(
            (v - saved).norm() <= 1e-8,
            "{what}, node {node}: {v}, ngspice {saved}"
        );
    }
}

#[test]
#[ignore = "needs ngspice; .ci/run runs it"]
fn the_listed_netlists_solve_to_our_figures() {
    let room = tempfile::tempdir().unwrap();
    for case in listed() {
        let netlist = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("tests/data/cases/netlists")
            .join(format!("{}.cir", case.network));
        let theirs = ngspice(&netlist, &room.path().join("out.raw"));
        let conditions = Conditions::of(&Figures::default(), Hertz(case.hz));
        let sound = Network::of(&case.plan(), &conditions);
        let changed = sound.with(&case.changes(&sound));
        agrees(&case.network, &changed.solve(), &theirs);
    }
}

#[test]
#[ignore = "needs ngspice; .ci/run runs it"]
fn two_hundred_random_lines_solve_to_our_figures() {
    let room = tempfile::tempdir().unwrap();
    let mut runner = TestRunner::deterministic();
    let cases = tree(20).prop_flat_map(|tree| {
        let changes = change(tree.plan.nodes.len(), true);
        (
            proptest::strategy::Just(tree),
            proptest::collection::vec(changes, 0..=2),
        )
    });
    let (mut faulted, mut cut) = (0, 0);
    for number in 0..200 {
        let (mut tree, changes) = cases.new_tree(&mut runner).unwrap().current();
        tree.state.extend(changes);
        let netlist = room.path().join(format!("line-{number}.cir"));
        std::fs::write(&netlist, Deck::of(&tree).finished()).unwrap();
        let theirs = ngspice(&netlist, &room.path().join("out.raw"));
        let ours = tree.network().solve();
        faulted += usize::from(!tree.state.is_empty());
        cut += usize::from((0..ours.network().len()).any(|at| ours.voltage(at).is_none()));
        agrees(&format!("line {number}: {tree:?}"), &ours, &theirs);
    }
    assert!(
        faulted > 100 && cut > 10,
        "{faulted} with faults, {cut} with a part cut off"
    );
}

/// A netlist being written.
struct Deck {
    text: String,
    omega: f64,
    hz: f64,
    count: usize,
    saved: Vec<usize>,
}

impl Deck {
    /// The line of a tree, with its state, from the definitions: nothing of the solver is used.
    fn of(tree: &Tree) -> Self {
        let dc = tree.hz == 0.0;
        let hz = if dc { 1.0 } else { tree.hz };
        let mut deck = Self {
            text: format!("a line\n.options noacct\nI 0 r DC 0 AC 1\nRr r 0 {AT_THE_RACK:e}\n"),
            omega: 2.0 * std::f64::consts::PI * hz,
            hz,
            count: 0,
            saved: Vec::new(),
        };
        let mut times = 1.0;
        for change in &tree.state {
            if let Change::EveryLoad { times: factor } = change {
                times *= if dc { factor.sqrt() } else { *factor };
            }
        }
        let mut dead = vec![false; tree.plan.nodes.len()];
        for (at, node) in tree.plan.nodes.iter().enumerate() {
            let (mut ratio, mut joint, mut broken) = (1.0, Complex64::new(0.0, 0.0), false);
            let mut bridges: Vec<(f64, f64)> = Vec::new();
            for change in &tree.state {
                match *change {
                    Change::Series { run, z } if run == at => joint += z,
                    Change::Break { run } if run == at => broken = true,
                    Change::Control { run, ratio: to } if run == at => ratio = to.get(),
                    Change::Short {
                        run,
                        along,
                        ohm: Ohm(ohm),
                    } if run == at => {
                        bridges.push((along.get(), ohm));
                    }
                    _ => {}
                }
            }
            dead[at] = broken || ratio == 0.0 || node.from.is_some_and(|from| dead[from]);
            if dead[at] {
                continue;
            }
            let feed = node
                .from
                .map_or_else(|| "r".to_owned(), |from| format!("n{from}"));
            let feed = deck.control(feed, ratio);
            let mut here = deck.in_series(feed, joint);
            bridges.sort_by(|one, other| one.0.total_cmp(&other.0));
            let metres = node.run.unwrap().get();
            let mut from = 0.0;
            for (along, ohm) in bridges {
                let next = deck.fresh();
                deck.cable(&here, &next, tree, at, metres * (along - from));
                deck.across(&next, Complex64::new(1.0 / ohm, 0.0));
                (here, from) = (next, along);
            }
            deck.cable(&here, &format!("n{at}"), tree, at, metres * (1.0 - from));
            deck.stand(tree, at, times);
            deck.saved.push(at);
        }
        deck
    }

    /// What stands at a node.
    fn stand(&mut self, tree: &Tree, at: usize, times: f64) {
        let here = format!("n{at}");
        let volts = tree.plan.volts.get();
        match &tree.plan.nodes[at].is {
            NodeIs::Loudspeaker { tap, .. } => {
                // With a tone V^2 / P, with direct current 0.08 of it.
                let design = tap.get() / (volts * volts);
                let mut y = Complex64::new(
                    if tree.hz == 0.0 {
                        design / 0.08
                    } else {
                        design
                    },
                    0.0,
                );
                let mut behind = true;
                for change in &tree.state {
                    if let Change::Load { at: place, is } = change
                        && *place == at
                    {
                        (y, behind) = (is.y, is.transformer);
                    }
                }
                self.across(&here, if behind { y * times } else { y });
            }
            NodeIs::Junction => {}
            NodeIs::Device { ohm, farad } => {
                if tree.hz != 0.0 {
                    let middle = self.fresh();
                    self.element('R', &here, &middle, ohm.unwrap().get());
                    self.element('C', &middle, "0", farad.unwrap().get());
                }
            }
        }
        for change in &tree.state {
            if let Change::Shunt { at: place, y } = change
                && *place == at
            {
                self.across(&here, *y);
            }
        }
    }

    /// The exact pi of a run: Zc sinh(gamma l) along, tanh(gamma l / 2) / Zc across either end.
    fn cable(&mut self, from: &str, to: &str, tree: &Tree, at: usize, metres: f64) {
        let make = tree.plan.nodes[at].make;
        let loop_ohm = 2.0 * make.r20.get() * 1e-3;
        if metres == 0.0 {
            self.through(from, to);
        } else if tree.hz == 0.0 {
            self.element('R', from, to, loop_ohm * metres);
        } else {
            let z = Complex64::new(loop_ohm, self.omega * make.l.get() * 1e-6);
            let y = Complex64::new(0.0, self.omega * make.c.get() * 1e-12);
            let (gamma, zc) = ((z * y).sqrt(), (z / y).sqrt());
            let along = zc * (gamma * metres).sinh();
            let across = (gamma * metres / 2.0).tanh() / zc;
            let middle = self.fresh();
            self.element('R', from, &middle, along.re);
            self.element('L', &middle, to, along.im / self.omega);
            self.across(from, across);
            self.across(to, across);
        }
    }

    /// An ideal control: the voltage behind is `ratio` of that before, the current before `ratio`
    /// of that behind.
    fn control(&mut self, from: String, ratio: f64) -> String {
        if ratio == 1.0 {
            return from;
        }
        let (source, behind, n) = (self.fresh(), self.fresh(), self.count);
        writeln!(self.text, "E{n} {source} 0 {from} 0 {ratio:e}").unwrap();
        writeln!(self.text, "Vc{n} {source} {behind} 0").unwrap();
        writeln!(self.text, "F{n} {from} 0 Vc{n} {ratio:e}").unwrap();
        behind
    }

    fn in_series(&mut self, from: String, z: Complex64) -> String {
        if z.re == 0.0 {
            return from;
        }
        let behind = self.fresh();
        self.element('R', &from, &behind, z.re);
        behind
    }

    /// An admittance to earth: capacitive ones as R beside C, inductive ones as R before L.
    fn across(&mut self, at: &str, y: Complex64) {
        if y.im < 0.0 {
            let (z, middle) = (y.inv(), self.fresh());
            self.element('R', at, &middle, z.re);
            self.element('L', &middle, "0", z.im / self.omega);
            return;
        }
        // ngspice takes no resistor of more than about 1e300 ohm, and needs none here.
        if y.re.abs() > 1e-25 {
            self.element('R', at, "0", 1.0 / y.re);
        }
        if y.im > 0.0 {
            self.element('C', at, "0", y.im / self.omega);
        }
    }

    fn element(&mut self, kind: char, from: &str, to: &str, value: f64) {
        self.count += 1;
        let n = self.count;
        writeln!(self.text, "{kind}{n} {from} {to} {value:e}").unwrap();
    }

    fn through(&mut self, from: &str, to: &str) {
        self.count += 1;
        let n = self.count;
        writeln!(self.text, "Vz{n} {from} {to} 0").unwrap();
    }

    fn fresh(&mut self) -> String {
        self.count += 1;
        format!("x{}", self.count)
    }

    fn finished(self) -> String {
        let Self {
            mut text,
            hz,
            saved,
            ..
        } = self;
        writeln!(text, ".ac lin 1 {hz} {hz}\n.save v(r)").unwrap();
        for at in saved {
            writeln!(text, ".save v(n{at})").unwrap();
        }
        text + ".end\n"
    }
}
