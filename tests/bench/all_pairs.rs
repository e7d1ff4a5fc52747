//! Every pair of faults of a line by its closed form, and some of them solved again.

use super::lines::network;
use linewright::circuit::{Change, Network};
use linewright::diagnosis::{Fault, possible_faults};
use linewright::site::{Figures, LinePlan};

/// A line's faults as changes, those that cost most to lay first.
pub struct Pairs {
    sound: Network,
    faults: Vec<(Fault, Change)>,
}

impl Pairs {
    pub fn of(line: &LinePlan) -> Self {
        let sound = network(line);
        let mut faults: Vec<(Fault, Change)> =
            possible_faults(line, &sound, &Figures::default(), false)
                .into_iter()
                .filter_map(|it| Some((it.fault, it.fault.change(&sound)?)))
                .collect();
        faults.sort_by_key(|(_, change)| match change {
            Change::EveryLoad { .. } => 0,
            Change::Short { .. } => 1,
            _ => 2,
        });
        Self { sound, faults }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        let mut many = 0;
        self.each(|_, _| many += 1);
        many
    }

    fn each(&self, mut visit: impl FnMut(usize, usize)) {
        for one in 0..self.faults.len() {
            for other in one + 1..self.faults.len() {
                if !self.faults[one].0.excludes(&self.faults[other].0) {
                    visit(one, other);
                }
            }
        }
    }

    /// Every pair, the first laid and solved, the second by its closed form; the sum of what the
    /// rack would see, so that nothing is left out.
    pub fn by_closed_form(&self) -> f64 {
        let mut sum = 0.0;
        for one in 0..self.faults.len() {
            let (fault, change) = &self.faults[one];
            let solved = self.sound.with(&[*change]).into_solution();
            let forms = solved.closed_form();
            for (other, second) in &self.faults[one + 1..] {
                if !fault.excludes(other) {
                    sum += forms.y_after(second).norm();
                }
            }
        }
        sum
    }

    /// Every `step`th pair solved for itself; how many, and the sum.
    pub fn by_solving(&self, step: usize) -> (usize, f64) {
        let (mut place, mut many, mut sum) = (0, 0, 0.0);
        self.each(|one, other| {
            if place % step == 0 {
                let changes = [self.faults[one].1, self.faults[other].1];
                sum += self.sound.with(&changes).into_solution().y_in().norm();
                many += 1;
            }
            place += 1;
        });
        (many, sum)
    }
}
