//! Every pair of faults of a line by its closed form, and some of them solved again.

use super::lines::network;
use linewright::circuit::{Change, Changes, Network, Responses, Tolerances};
use linewright::diagnosis::{Fault, List, possible_faults};
use linewright::site::{Figures, LinePlan};

/// A line's faults as changes, in the order in which the program lays them: those that cost most
/// as a second fault first.
pub struct Pairs {
    sound: Network,
    faults: Vec<(Fault, Change)>,
    changes: Changes,
}

impl Pairs {
    pub fn of(line: &LinePlan) -> Self {
        let sound = network(line);
        let mut faults: Vec<(Fault, Change)> =
            possible_faults(line, &sound, &Figures::default(), false)
                .into_iter()
                .filter_map(|it| Some((it.fault, it.fault.change(&sound)?)))
                .collect();
        faults.sort_by_key(|(fault, change)| {
            let cost = match (fault.of.list, change) {
                (List::Voltage, _) => 0,
                (_, Change::Short { .. }) => 1,
                (List::Run, _) => 2,
                (List::Control, _) => 3,
                (List::Loudspeaker, _) => 4,
                (List::Unlisted, _) => 5,
            };
            (cost, fault.at)
        });
        let nodes = sound.len();
        let tolerances = Tolerances {
            groups: 0,
            group_of: vec![None; nodes],
            loudspeaker: 0.0,
            run: vec![0.0; nodes],
            added: 0.0,
        };
        let list = faults.iter().map(|it| (Some(it.1), false)).collect();
        let changes = Changes::of(&sound, &tolerances, list);
        Self {
            sound,
            faults,
            changes,
        }
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
        let mut out = Responses::default();
        for (one, (fault, change)) in self.faults.iter().enumerate() {
            let possible = |other: &usize| !fault.excludes(&self.faults[*other].0);
            // Nothing to be laid where all that is left is excluded.
            let Some(from) = (one + 1..self.faults.len()).find(possible) else {
                continue;
            };
            let solved = self.sound.with(&[*change]).into_solution();
            let forms = solved.closed_form();
            forms.y_after_each(&self.changes, from, &mut out);
            let [re, im] = out.y();
            for other in (from..self.faults.len()).filter(possible) {
                sum += re[other] * re[other] + im[other] * im[other];
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
                sum += self.sound.with(&changes).into_solution().y_in().norm_sqr();
                many += 1;
            }
            place += 1;
        });
        (many, sum)
    }
}
