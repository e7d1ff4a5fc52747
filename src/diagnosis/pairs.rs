//! Pairs of faults: what each predicts, reckoned once a line.
//!
//! The first fault of a pair is laid over the line and solved, the second follows by its closed
//! form: n solves for n^2 pairs. Other voltages and line shorts come first, as they cost most to
//! lay. Faults that exclude each other make no pair.
//!
//! A row is 16 bytes and 4 a type: 1.2 MB for a line of 20 loudspeakers of one type, 5 MB for one
//! of 40. Past a limit rows are not kept but reckoned again for each reading, which takes seconds
//! on a line of 300 loudspeakers.
//!
//! Never here: readings.

use super::fault::Form;
use super::hypothesis::WeightedFault;
use super::parallel::in_parts;
use super::prepared::Prediction;
use crate::circuit::{Change, Network, Response, Tolerances};
use crate::quantity::Admittance;
use crate::quantity::Ohm;
use std::ops::Range;

/// Rows are kept up to so many numbers of 4 bytes: 64 MB.
const KEPT: usize = 16 << 20;
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

fn reads(y_in: Admittance, contacts: Ohm) -> Prediction {
    // Far from the ends of the numbers the root can wait for the logarithm.
    let square = y_in.norm_sqr();
    if square > 1e-200 && square < 1e24 {
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

/// One pair and what it predicts.
pub(super) struct Row<'a> {
    /// Places of its faults in the list of faults.
    pub faults: [usize; 2],
    /// ln of its weight.
    pub ln_weight: f64,
    /// Its weight.
    pub weight: f64,
    pub prediction: Prediction,
    /// Weight of each type's factor.
    pub weights: &'a [f64],
}

/// All pairs of a line.
#[derive(Clone, Debug)]
pub(super) struct Pairs {
    /// The faults in the order in which they are laid.
    order: Vec<usize>,
    /// ln|Z| of each pair, in the order of the loops; none where too many.
    kept: Option<Kept>,
}

#[derive(Clone, Debug, Default)]
struct Kept {
    ln_z: Vec<f64>,
    /// Own variance, contacts, weights of types.
    rest: Vec<f32>,
}

impl Pairs {
    pub fn new(ground: &Ground, faults: &[WeightedFault], laid: &[Laid]) -> Self {
        let mut order: Vec<usize> = (0..faults.len()).collect();
        order.sort_by_key(|at| match faults[*at].fault.form {
            Form::Times(_) => 0,
            Form::Along(_) => 1,
            _ => 2,
        });
        let n = faults.len();
        let numbers = n * n.saturating_sub(1) / 2 * (4 + ground.tolerances.groups);
        let mut pairs = Self { order, kept: None };
        if numbers <= KEPT {
            let keep = |first| {
                let mut kept = Kept::default();
                pairs.reckon(first, ground, faults, laid, &mut |row| {
                    kept.ln_z.push(row.prediction.ln_z);
                    kept.rest.extend(single(&row));
                });
                kept
            };
            let mut kept = if n < SHARED_FROM {
                keep(0..n)
            } else {
                // Rows stand in the order of the loops, whoever reckons them.
                let places: Vec<usize> = (0..n).collect();
                let parts = in_parts(&places, |part| {
                    let first = part.first().copied().unwrap_or(0);
                    keep(first..first + part.len())
                });
                parts.into_iter().fold(Kept::default(), |mut all, part| {
                    all.ln_z.extend(part.ln_z);
                    all.rest.extend(part.rest);
                    all
                })
            };
            kept.ln_z.shrink_to_fit();
            kept.rest.shrink_to_fit();
            pairs.kept = Some(kept);
        }
        pairs
    }

    /// Every pair with what it predicts, always in the same order.
    pub fn each(
        &self,
        ground: &Ground,
        faults: &[WeightedFault],
        laid: &[Laid],
        visit: &mut dyn FnMut(Row<'_>),
    ) {
        let Some(kept) = &self.kept else {
            self.reckon(0..self.order.len(), ground, faults, laid, visit);
            return;
        };
        let groups = ground.tolerances.groups;
        let mut weights = vec![0.0; groups];
        let weight: Vec<f64> = faults.iter().map(|it| it.ln_weight.exp()).collect();
        let mut rows = kept.ln_z.iter().zip(kept.rest.chunks_exact(2 + groups));
        for (place, one) in self.order.iter().enumerate() {
            for other in &self.order[place + 1..] {
                if faults[*one].fault.excludes(&faults[*other].fault) {
                    continue;
                }
                let Some((ln_z, rest)) = rows.next() else {
                    return;
                };
                for (weight, kept) in weights.iter_mut().zip(&rest[2..]) {
                    *weight = f64::from(*kept);
                }
                visit(Row {
                    faults: [*one, *other],
                    ln_weight: faults[*one].ln_weight + faults[*other].ln_weight,
                    weight: weight[*one] * weight[*other],
                    prediction: Prediction {
                        ln_z: *ln_z,
                        own: f64::from(rest[0]),
                        contacts: f64::from(rest[1]),
                    },
                    weights: &weights,
                });
            }
        }
    }

    /// The pairs whose first fault stands at one of these places of the order.
    fn reckon(
        &self,
        first: Range<usize>,
        ground: &Ground,
        faults: &[WeightedFault],
        laid: &[Laid],
        visit: &mut dyn FnMut(Row<'_>),
    ) {
        let mut weights = vec![0.0; ground.tolerances.groups];
        let weight: Vec<f64> = faults.iter().map(|it| it.ln_weight.exp()).collect();
        for place in first {
            let one = &self.order[place];
            let change: Vec<Change> = laid[*one].change.into_iter().collect();
            let added: Vec<_> = laid[*one].added.into_iter().collect();
            let solution = ground.healthy.with(&change).solve();
            let spread = solution.spread(&ground.tolerances, &added);
            for other in &self.order[place + 1..] {
                if faults[*one].fault.excludes(&faults[*other].fault) {
                    continue;
                }
                let it = &laid[*other];
                let response = match &it.change {
                    Some(change) => spread.after(change, it.added.is_some(), &mut weights),
                    None => spread.base(&mut weights),
                };
                visit(Row {
                    faults: [*one, *other],
                    ln_weight: faults[*one].ln_weight + faults[*other].ln_weight,
                    weight: weight[*one] * weight[*other],
                    prediction: ground.prediction(response),
                    weights: &weights,
                });
            }
        }
    }
}

/// The numbers of a row that need fewer digits.
#[allow(clippy::cast_possible_truncation)]
fn single<'a>(row: &'a Row<'_>) -> impl Iterator<Item = f32> + 'a {
    let first = [row.prediction.own, row.prediction.contacts];
    first
        .into_iter()
        .chain(row.weights.iter().copied())
        .map(|number| number as f32)
}
