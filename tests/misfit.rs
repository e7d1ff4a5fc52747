//! Readings that fit nothing: the misfit against a sum written out here, from its own ladder of
//! two-ports, its own list of faults and differences in place of derivatives. Nothing of the
//! program's reckoning is used for the expected value.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{line, node, standard};
use linewright::diagnosis::{Evidence, FaultKind, Posterior, Prepared, Reading, Shared};
use linewright::quantity::{Fraction, Ohm, Value, Watt};
use linewright::site::{Figures, LinePlan, NodeIs};
use num_complex::Complex64 as C;

/// Whether two faults at once are summed over.
const PAIRS: bool = true;
const VOLTS: f64 = 100.0;
const OMEGA: f64 = 2.0 * std::f64::consts::PI * 1000.0;
/// 1.5 mm2: 12.1 ohm/km a core (IEC 60228), 0.65 uH/m, 100 pF/m.
const R: f64 = 0.0242;
const L: f64 = 0.65e-6;
const CAP: f64 = 100e-12;

/// A chain or a star of chains of 6 W loudspeakers with taps 6, 3 and 1.5 W.
struct Case {
    /// Length of each loudspeaker's run.
    runs: Vec<f64>,
    /// Whether the run starts at the rack; else at the loudspeaker before.
    at_rack: Vec<bool>,
}

#[derive(Clone, Copy)]
enum Fault {
    /// A loudspeaker's load is another: (place, admittance, has its type's factor).
    Load(usize, C, bool),
    /// Across a loudspeaker: (place, admittance, has a factor of its own).
    Across(usize, C, bool),
    Break(usize),
    Joint(usize),
    Short(usize, f64),
    Times(f64),
}

struct Listed {
    fault: Fault,
    /// Faults of equal list exclude each other.
    list: usize,
    weight: f64,
}

impl Case {
    fn n(&self) -> usize {
        self.runs.len()
    }

    fn plan(&self) -> LinePlan {
        let nodes = (0..self.n())
            .map(|k| {
                let from = if self.at_rack[k] { None } else { Some(k - 1) };
                let is = NodeIs::Loudspeaker {
                    tap: Watt(6.0),
                    taps: Some([6.0, 3.0, 1.5].map(Watt).to_vec()),
                    of: "bowl".into(),
                    dc_block: false,
                };
                let make = standard("1.5 mm2");
                node(&format!("LS-{}", k + 1), from, self.runs[k], make, is)
            })
            .collect();
        line(VOLTS, nodes)
    }

    /// Section by section: every fault that may be there with its weight.
    fn faults(&self) -> Vec<Listed> {
        let mut out = Vec::new();
        let y = 6.0 / (VOLTS * VOLTS);
        let real = |y| C::new(y, 0.0);
        let mut put = |list, weight, fault| {
            out.push(Listed {
                fault,
                list,
                weight,
            })
        };
        for k in 0..self.n() {
            // 0.010 + 0.015 + 0.002 + 0.002 + 0.002.
            let rest = 1.0 - 0.031;
            put(
                k,
                0.010 / rest,
                Fault::Load(k, C::new(0.0, -0.06 * y), true),
            );
            for tap in [3.0, 1.5] {
                put(k, 0.015 / rest / 2.0, Fault::Load(k, real(tap / 1e4), true));
            }
            put(k, 0.002 / rest, Fault::Across(k, real(1.0), false));
            put(
                k,
                0.002 / rest,
                Fault::Load(k, y / C::new(0.19, 0.09), true),
            );
            put(k, 0.002 / rest, Fault::Load(k, real(1.0 / 8.0), false));
            // 0.004 + 0.003 + 0.002.
            let rest = 1.0 - 0.009;
            put(100 + k, 0.004 / rest, Fault::Break(k));
            put(100 + k, 0.002 / rest, Fault::Joint(k));
            let cells = (self.runs[k] * R / 0.5).ceil().max(2.0);
            for cell in 0..cells as usize {
                let along = (cell as f64 + 0.5) / cells;
                put(100 + k, 0.003 / rest / cells, Fault::Short(k, along));
            }
            for tap in [3.0, 6.0, 10.0, 15.0, 20.0, 30.0] {
                let weight = 0.010 / 0.990 / 6.0 / self.n() as f64;
                put(200, weight, Fault::Across(k, real(tap / 1e4), true));
            }
        }
        for times in [2.0, 0.5] {
            put(201, 0.005 / 0.995 / 2.0, Fault::Times(times));
        }
        out
    }

    /// ln|Z| at the rack; none where open. `off` is added to ln of what each latent scales:
    /// loudspeakers, runs, the unlisted load.
    fn ln_z(&self, faults: &[Fault], off: &[f64]) -> Option<f64> {
        let n = self.n();
        let mut times = 1.0;
        for fault in faults {
            if let Fault::Times(factor) = fault {
                times *= factor;
            }
        }
        let mut at_rack = C::new(0.0, 0.0);
        let mut beyond = C::new(0.0, 0.0);
        for k in (0..n).rev() {
            let mut load = C::new(6.0 / 1e4 * times, 0.0);
            let mut across = C::new(0.0, 0.0);
            let (mut broken, mut joint, mut short) = (false, 0.0, None);
            for fault in faults {
                match *fault {
                    Fault::Load(at, y, behind) if at == k => {
                        load = if behind { y * times } else { y };
                    }
                    Fault::Across(at, y, own) if at == k => {
                        across += if own { y * (-off[2 * n]).exp() } else { y };
                    }
                    Fault::Break(at) if at == k => broken = true,
                    Fault::Joint(at) if at == k => joint = 30.0,
                    Fault::Short(at, along) if at == k => short = Some(along),
                    _ => {}
                }
            }
            let y = load * (-off[k]).exp() + across + beyond;
            let length = self.runs[k] * off[n + k].exp();
            let mut seen = match short {
                None => through(y, length),
                Some(along) => {
                    let at_short = through(y, length * (1.0 - along)) + 1.0 / 0.2;
                    through(at_short, length * along)
                }
            };
            seen = seen / (1.0 + joint * seen);
            if broken {
                seen = C::new(0.0, 0.0);
            }
            if self.at_rack[k] {
                at_rack += seen;
                beyond = C::new(0.0, 0.0);
            } else {
                beyond = seen;
            }
        }
        (at_rack.norm() > 0.0).then(|| -at_rack.norm().ln())
    }

    /// ln|Z|, and its variance from loads, runs, types and meter.
    fn spread(&self, faults: &[Fault]) -> Option<(f64, f64)> {
        let n = self.n();
        let ln_z = self.ln_z(faults, &vec![0.0; 2 * n + 1])?;
        let slope = |latent: usize| {
            let mut off = vec![0.0; 2 * n + 1];
            off[latent] = 1e-4;
            let up = self.ln_z(faults, &off).unwrap();
            off[latent] = -1e-4;
            (up - self.ln_z(faults, &off).unwrap()) / 2e-4
        };
        let mut variance = 0.05f64.powi(2) / 3.0;
        let mut of_type = 0.0;
        for k in 0..n {
            let by = slope(k);
            variance += (0.05 * by).powi(2);
            let bare = faults
                .iter()
                .any(|fault| matches!(fault, Fault::Load(at, _, false) if *at == k));
            if !bare {
                of_type += by;
            }
            variance += (0.05 * slope(n + k)).powi(2);
        }
        variance += (0.06 * of_type).powi(2);
        variance += (0.05f64.powi(2) + 0.06f64.powi(2)) * slope(2 * n).powi(2);
        variance += (0.3 * (-ln_z).exp()).powi(2);
        Some((ln_z, variance))
    }

    /// Probability that a reading is a slip: the sum over no fault, every single fault and every pair.
    fn misfit(&self, value: Value, step: f64) -> f64 {
        let listed = self.faults();
        let mut sets: Vec<(f64, Vec<Fault>)> = vec![(1.0, vec![])];
        for (place, one) in listed.iter().enumerate() {
            sets.push((one.weight, vec![one.fault]));
            for other in listed[..place].iter().filter(|_| PAIRS) {
                if other.list != one.list {
                    sets.push((one.weight * other.weight, vec![one.fault, other.fault]));
                }
            }
        }
        let (mut slipped, mut all) = (0.0, 0.0);
        for (weight, faults) in sets {
            let spread = self.spread(&faults);
            let (right, slip) = match value {
                Value::Ohm(m) => {
                    let m = m.get();
                    let density = spread.map_or(0.0, |(ln_z, variance)| {
                        let variance = variance + (step / 2.0 / 3f64.sqrt() / m).powi(2);
                        let d = m.ln() - ln_z;
                        (-d * d / variance / 2.0).exp()
                            / (2.0 * std::f64::consts::PI * variance).sqrt()
                    });
                    (density, 0.01 * 0.5 / 1e6f64.ln())
                }
                Value::Open => (
                    spread.map_or(1.0, |(ln_z, variance)| {
                        above((1e5f64.ln() - ln_z) / variance.sqrt())
                    }),
                    0.01 * 0.3,
                ),
                Value::Short => (
                    spread.map_or(0.0, |(ln_z, variance)| {
                        above((ln_z - 0.5f64.ln()) / variance.sqrt())
                    }),
                    0.01 * 0.2,
                ),
            };
            slipped += weight * slip;
            all += weight * (0.99 * right + slip);
        }
        slipped / all
    }

    fn posterior(&self, value: Value, step: f64) -> Posterior {
        let figures = Figures::default();
        let reading = Reading::at_rack(value, Ohm(step), Fraction(0.05), &figures);
        Prepared::new(&self.plan(), &figures, false)
            .posterior(&Evidence::of(reading), &Shared::default())
    }

    #[track_caller]
    fn check(&self, value: Value, step: f64) {
        let (got, want) = (self.posterior(value, step), self.misfit(value, step));
        assert!(
            (got.misfit.get() - want).abs() < 1e-6,
            "{} is not {want}",
            got.misfit.get()
        );
        assert!(want > 0.5, "{want} fits after all");
        assert!(got.fits_nothing());
    }
}

/// Admittance at the near end of a run of cable, by the telegraph equations.
fn through(y: C, length: f64) -> C {
    let series = C::new(R, OMEGA * L);
    let shunt = C::new(0.0, OMEGA * CAP);
    let gamma = (series * shunt).sqrt();
    let zc = (series / shunt).sqrt();
    let tanh = (gamma * length).tanh();
    (y + tanh / zc) / (1.0 + zc * y * tanh)
}

/// The Normal mass above x, by Simpson's rule.
fn above(x: f64) -> f64 {
    if x < 0.0 {
        return 1.0 - above(-x);
    }
    let (steps, width) = (4000, 12.0 / 4000.0);
    let density = |t: f64| (-0.5 * t * t).exp() / (2.0 * std::f64::consts::PI).sqrt();
    (0..=steps)
        .map(|k| {
            let weight = if k == 0 || k == steps {
                1.0
            } else if k % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * density(x + width * f64::from(k))
        })
        .sum::<f64>()
        * width
        / 3.0
}

fn chain(first: f64) -> Case {
    let mut runs = vec![8.0; 10];
    runs[0] = first;
    let mut at_rack = vec![false; 10];
    at_rack[0] = true;
    Case { runs, at_rack }
}

#[test]
fn a_third_of_the_expected_ohms_fits_nothing() {
    let case = chain(20.0);
    let expected = case.ln_z(&[], &[0.0; 21]).unwrap().exp();
    case.check(Value::Ohm(Ohm(expected / 3.0)), 1.0);
}

#[test]
fn a_short_behind_eighty_metres_fits_nothing() {
    chain(80.0).check(Value::Short, 0.0);
}

#[test]
fn open_with_three_runs_from_the_rack_fits_nothing() {
    let mut case = chain(20.0);
    case.at_rack[4] = true;
    case.at_rack[7] = true;
    case.check(Value::Open, 0.0);
}

#[test]
fn the_expected_ohms_fit_and_nothing_is_wrong() {
    let case = chain(20.0);
    let expected = case.ln_z(&[], &[0.0; 21]).unwrap().exp();
    let value = Value::Ohm(Ohm(expected));
    let got = case.posterior(value, 1.0);
    assert!((got.misfit.get() - case.misfit(value, 1.0)).abs() < 1e-9);
    assert_eq!(got.hints[0].fault, FaultKind::None);
    assert!(!got.fits_nothing());
    // The program's own expected value is the same one, and 60 W.
    let plan = case.plan();
    assert_eq!(plan.design_load(), Watt(60.0));
    let own = Prepared::new(&plan, &Figures::default(), false)
        .expected()
        .unwrap();
    assert!((own.value.get() / expected - 1.0).abs() < 1e-9);
}

/// Two loudspeakers of 10 W on 100 V without cable between them, no fault possible: whole they are 500 ohm, and
/// opened before the second, from the rack, 1000 ohm. Probability that each of the two readings slipped, by the
/// four ways that slips can fall, written out.
fn slips_of_two(whole: f64, near: f64) -> [f64; 2] {
    let (meter, of_type, own) = (0.05f64.powi(2) / 3.0, 0.06f64.powi(2), 0.05f64.powi(2));
    let alone = |read: f64, z: f64| (0.5 / read).powi(2) / 3.0 + (0.3 / z).powi(2);
    // Two loudspeakers of one type move the whole by half each; the near side is one of them.
    let var = [
        meter + of_type + own / 2.0 + alone(whole, 500.0),
        meter + of_type + own + alone(near, 1000.0),
    ];
    let cov = meter + of_type + own / 2.0;
    let off = [(whole / 500.0).ln(), (near / 1000.0).ln()];
    let tau = 2.0 * std::f64::consts::PI;
    let one = |at: usize| (-0.5 * off[at].powi(2) / var[at]).exp() / (tau * var[at]).sqrt();
    let det = var[0] * var[1] - cov * cov;
    let square =
        (var[1] * off[0].powi(2) - 2.0 * cov * off[0] * off[1] + var[0] * off[1].powi(2)) / det;
    let both = (-0.5 * square).exp() / (tau * det.sqrt());
    let slip = 0.01 * 0.5 / 1e6f64.ln();
    let ways = [
        0.99 * 0.99 * both,
        0.99 * slip * one(1),
        0.99 * slip * one(0),
        slip * slip,
    ];
    let sum: f64 = ways.iter().sum();
    [(ways[1] + ways[3]) / sum, (ways[2] + ways[3]) / sum]
}

#[test]
fn each_reading_of_several_has_its_own_probability_of_being_wrong() {
    use linewright::diagnosis::Test;
    use linewright::site::Figure;
    let bare = Case {
        runs: vec![0.0, 0.0],
        at_rack: vec![true, false],
    };
    let mut plan = bare.plan();
    for node in &mut plan.nodes {
        if let NodeIs::Loudspeaker { tap, taps, .. } = &mut node.is {
            (*tap, *taps) = (Watt(10.0), None);
        }
    }
    let figures = Figures::with([
        (Figure::RateLoudspeakerOpen, 0.0),
        (Figure::RateWrongTap, 0.0),
        (Figure::RateLoudspeakerShort, 0.0),
        (Figure::RateSecondaryShort, 0.0),
        (Figure::RateNoTransformer, 0.0),
        (Figure::RateLineOpen, 0.0),
        (Figure::RateLineShort, 0.0),
        (Figure::RateBadJoint, 0.0),
        (Figure::RateUnlistedLoad, 0.0),
        (Figure::RateOtherVoltage, 0.0),
    ]);
    let prepared = Prepared::new(&plan, &figures, false);
    let read = |ohm: f64, test| Reading {
        test,
        ..Reading::at_rack(Value::Ohm(Ohm(ohm)), Ohm(1.0), Fraction(0.05), &figures)
    };
    let mut told = Vec::new();
    for (whole, near) in [
        (500.0, 1000.0),
        (500.0, 100.0),
        (55.0, 980.0),
        (540.0, 790.0),
    ] {
        let evidence = Evidence {
            readings: vec![read(whole, Test::Rack), read(near, Test::Near(1))],
            answers: Vec::new(),
        };
        let got = prepared.posterior(&evidence, &Shared::default());
        let want = slips_of_two(whole, near);
        assert_eq!(got.slipped.len(), 2);
        for ((_, got), want) in got.slipped.iter().zip(want) {
            assert!(
                (got.get() - want).abs() < 1e-6,
                "{whole}, {near}: {got:?}, {want}"
            );
        }
        // That of the latest reading at the rack is the misfit.
        assert_eq!(got.slipped[0], (Test::Rack, got.misfit));
        told.push(got.doubt());
    }
    let near = |odds| Some(format!("near of LS-2 fits nothing, {odds}: read it again"));
    assert_eq!(told, [None, near(">99 %"), None, near("97 %")]);
}
