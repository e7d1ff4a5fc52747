//! One side of a line that is opened for a split, as drawn: what it should read by itself, and how
//! sure that is.
//!
//! Never here: what it reads and why.

use super::Analyst;
use super::design::{Budget, budget};
use super::evidence::{evidence, reading};
use crate::circuit::{Conditions, Network};
use crate::diagnosis::{Posterior, Reading, Test};
use crate::quantity::{Hertz, Ohm, Value, Watt};
use crate::site::{Cut, EntryId, Figure, Figures, InstrumentId, LinePlan, Site};
use crate::verdict::{self, Factor, Limits};

/// A deviation of more than so many combined standard uncertainties is not explained by them.
/// Source: coverage factor 2, JCGM 100, 6.3.3.
const COVERAGE: f64 = 2.0;

/// With a side beside it a figure costs every pair of faults a joint density, which grows with the square of
/// the places: on more than these it is more than a key may wait for. Measured: 35 ms on twelve places, 160 ms
/// on twenty-four.
const MOST_NODES: usize = 16;

/// One side of an opened line, as drawn.
#[derive(Clone, Debug)]
pub struct Side {
    /// It is the side that is away from the rack.
    pub is_far: bool,
    /// Loudspeakers on it.
    pub loudspeakers: usize,
    /// Sum of their taps.
    pub design: Watt,
    /// What it should read at its opening, or at the rack: impedance, at direct current resistance,
    /// cables reckoned; none where nothing hangs on it that would be within a meter's range.
    pub expected: Option<Ohm>,
    /// The load of that impedance; none at direct current and where nothing hangs on it.
    pub load: Option<Watt>,
    /// Where the spread of that impedance comes from; none at direct current, where taps spread
    /// otherwise.
    pub budget: Option<Budget>,
}

impl Side {
    /// The side that a reading is taken of, at a test frequency (0 is direct current); none of one
    /// that is taken with the line whole, or at a place that is not on the line.
    #[must_use]
    pub fn of(line: &LinePlan, figures: &Figures, cut: &Cut, hz: Hertz) -> Option<Self> {
        let whole = Network::of(line, &Conditions::of(figures, hz));
        let (at, network, is_far) = match cut {
            Cut::Near(node) => {
                let at = line.node(node)?;
                (at, whole.near_of(at), false)
            }
            Cut::Far(node) => {
                let at = line.node(node)?;
                (at, whole.far_of(at), true)
            }
            Cut::Whole(_) => return None,
        };
        let taps = line
            .nodes
            .iter()
            .zip(line.beyond(at))
            .filter(|(_, beyond)| *beyond == is_far)
            .filter_map(|(node, _)| node.tap());
        let taps: Vec<Watt> = taps.collect();
        let solution = network.solve();
        let range = figures.get(Figure::RangeOhm);
        let expected = solution.input().modulus().filter(|ohm| ohm.get() <= range);
        let tone = hz.get() > 0.0;
        Some(Self {
            is_far,
            loudspeakers: taps.len(),
            design: Watt(taps.iter().map(|tap| tap.get()).sum()),
            expected,
            load: expected
                .filter(|_| tone)
                .map(|ohm| verdict::load(line.volts, ohm)),
            budget: tone.then(|| budget(line, figures, &solution)),
        })
    }

    /// Whether it is a far side that reads open though several loudspeakers are drawn on it. It begins at its first place:
    /// that one gone and the way on broken are two faults already, beside whatever the line reads whole.
    #[must_use]
    pub fn is_open_against_all(&self, read: Option<Value>) -> bool {
        let drawn = self.expected.is_some() && self.loudspeakers > 1;
        self.is_far && drawn && read == Some(Value::Open)
    }

    /// Whether the drawing explains a reading of this side, its spread and the meter's uncertainty
    /// counted in; none at direct current. It says nothing of what is allowed.
    #[must_use]
    pub fn fits(
        &self,
        (value, step): (Value, Ohm),
        factor: Factor,
        limits: &Limits,
    ) -> Option<bool> {
        let budget = self.budget?;
        Some(match (self.expected, value) {
            (None, Value::Open) => true,
            (Some(expected), Value::Ohm(read)) if read.get() > 0.0 => {
                let own = verdict::u_of_reading(read, step, factor, limits).get();
                let u = own.hypot(budget.total());
                let ln = (expected.get() / read.get()).ln() + factor.ln_mean;
                ln.abs() <= COVERAGE * u
            }
            _ => false,
        })
    }
}

impl Analyst {
    /// Whether the drawing explains what an instrument shows of a side.
    #[must_use]
    pub fn fits_side(
        &self,
        site: &Site,
        side: &Side,
        read: (Value, Ohm),
        with: (&InstrumentId, &str),
    ) -> Option<bool> {
        side.fits(read, self.factor_in_hands(site, with), self.limits())
    }

    /// The suspects of the line that is looked at if this had been read of a side of it as well, or in the
    /// place of the reading that it corrects; none of another line, of one without a reading at the rack,
    /// and of one that is too long for a key to wait for.
    #[must_use]
    pub fn suspects_of_side(
        &self,
        site: &Site,
        at: usize,
        (read, cut): ((Value, Ohm), &Cut),
        with: (&InstrumentId, &str),
        corrects: Option<&EntryId>,
    ) -> Option<Posterior> {
        let line = &site.plan().lines[at];
        let (looked_at, prepared) = self.looked_at.as_ref()?;
        if *looked_at != at || self.lines[at].question || line.nodes.len() > MOST_NODES {
            return None;
        }
        let test = match cut {
            Cut::Near(node) => Test::Near(line.node(node)?),
            Cut::Far(node) => Test::Far(line.node(node)?),
            Cut::Whole(_) => return None,
        };
        let (mut evidence, _) = evidence(site, line, corrects);
        evidence.latest_rack()?;
        evidence.readings.push(Reading {
            test,
            ..reading(site, read, with)
        });
        Some(prepared.posterior(&evidence, &self.sweep.without(at)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker};
    use crate::quantity::Fraction;
    use crate::site::NodeId;

    /// Four loudspeakers of 10 W at 100 V, 1000 ohm each, one behind the other.
    fn four() -> LinePlan {
        let mut four = line(
            (0..4)
                .map(|at: usize| loudspeaker(10.0, at.checked_sub(1), 10.0))
                .collect(),
        );
        for (at, node) in four.nodes.iter_mut().enumerate() {
            node.id = NodeId::from(format!("LS-{at}").as_str());
        }
        four
    }

    fn side(cut: fn(NodeId) -> Cut, hz: f64) -> Side {
        let line = four();
        let at = line.nodes[1].id.clone();
        Side::of(&line, &Figures::default(), &cut(at), Hertz(hz)).unwrap()
    }

    #[test]
    fn each_side_is_what_hangs_on_it_in_parallel() {
        // Opened before the second: one of 1000 ohm at the rack, three in parallel behind. Runs of
        // 10 m, 0.24 ohm each (IEC 60228, 1.5 mm2), are under 0.3 % of that.
        let near = side(Cut::Near, 1000.0);
        let far = side(Cut::Far, 1000.0);
        assert_eq!((near.loudspeakers, far.loudspeakers), (1, 3));
        assert_eq!((near.design, far.design), (Watt(10.0), Watt(30.0)));
        let ohm = |side: &Side| side.expected.unwrap().get();
        assert!((ohm(&near) / 1000.0 - 1.0).abs() < 3e-3, "{near:?}");
        assert!((ohm(&far) / (1000.0 / 3.0) - 1.0).abs() < 3e-3, "{far:?}");
        // The windings alone: 0.08 of the impedance.
        let dc = side(Cut::Far, 0.0);
        assert!(
            (ohm(&dc) / (80.0 / 3.0) - 1.0).abs() < 3e-2,
            "{:?}",
            dc.expected
        );
        assert!(dc.load.is_none() && dc.budget.is_none());
    }

    #[test]
    fn a_side_of_few_is_less_sure_than_one_of_many() {
        // The own spread of loudspeakers goes with one over the root of their number.
        let own = |side: Side| side.budget.unwrap().loudspeakers;
        let ratio = own(side(Cut::Near, 1000.0)) / own(side(Cut::Far, 1000.0));
        assert!((ratio - 3f64.sqrt()).abs() < 0.02, "{ratio}");
    }

    #[test]
    fn what_spread_and_meter_explain_fits_and_what_they_do_not_does_not() {
        let far = side(Cut::Far, 1000.0);
        let factor = Factor::of_accuracy(Fraction(0.05));
        let limits = Limits::of(&Figures::default());
        let fits = |value| far.fits((value, Ohm(1.0)), factor, &limits);
        assert_eq!(fits(Value::Ohm(Ohm(340.0))), Some(true));
        // One of the three missing: half as much again.
        assert_eq!(fits(Value::Ohm(Ohm(500.0))), Some(false));
        assert_eq!(fits(Value::Open), Some(false));
        assert_eq!(fits(Value::Short), Some(false));
        let dc = side(Cut::Far, 0.0);
        assert_eq!(
            dc.fits((Value::Ohm(Ohm(27.0)), Ohm(1.0)), factor, &limits),
            None
        );
    }

    #[test]
    fn a_bare_run_should_read_open_and_the_line_whole_has_no_sides() {
        let line = four();
        let cut = Cut::Near(line.nodes[0].id.clone());
        let bare = Side::of(&line, &Figures::default(), &cut, Hertz(1000.0)).unwrap();
        // 10 m of 100 pF/m at 1000 Hz: 160 kohm, beyond the meter's 100 kohm.
        assert_eq!((bare.loudspeakers, bare.expected), (0, None));
        let factor = Factor::of_accuracy(Fraction(0.05));
        let limits = Limits::of(&Figures::default());
        assert_eq!(
            bare.fits((Value::Open, Ohm(0.0)), factor, &limits),
            Some(true)
        );
        let at = line.nodes[1].id.clone();
        let whole = Side::of(&line, &Figures::default(), &Cut::Whole(at), Hertz(1000.0));
        assert!(whole.is_none());
    }
}
