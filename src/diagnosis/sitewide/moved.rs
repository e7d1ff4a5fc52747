//! A loudspeaker of one line hangs on another line of its zone or output.
//!
//! ```text
//!   odds = sum_k rate / (other lines there)
//!            x Normal_A(m_A; k's admittance gone) x mean_j Normal_B(m_B; k's load beside j)
//!            / (p_A(m_A) p_B(m_B))
//! ```
//!
//! and nothing else wrong on either. k keeps its type, its own factor and its ohms. Both
//! directions of a pair of lines are one hint.
//!
//! Never here: words.

use super::survey::{Odds, Read, Solved, Survey, What};
use crate::circuit::{Change, Load, Tolerances};
use crate::diagnosis::prediction::Prediction;
use crate::diagnosis::slips::ln_add;
use crate::quantity::{Admittance, Ohm};
use crate::site::{Figure, NodeIs, TypeId};
use std::collections::{BTreeMap, HashMap};

/// ln of odds under which a direction counts but is not kept.
const KEPT_FROM: f64 = -12.0;

/// Loudspeakers of a line that are alike: one load and type.
struct Alike {
    y: Admittance,
    of: TypeId,
    /// Each with ln of what the line's reading is worth without it, over ln p of the reading.
    nodes: Vec<(usize, f64)>,
    /// Their sum.
    ln: f64,
}

/// One direction of a pair: ln of its odds, and which loudspeakers.
type Direction = (f64, Vec<(usize, usize, f64)>);

pub(super) fn enter(survey: &Survey<'_>, odds: &mut Odds) {
    let rate = survey.common.rate(Figure::RateMovedLoudspeaker);
    let neighbours = Neighbours::of(survey);
    let without: Vec<Vec<Alike>> = survey.read.iter().map(|it| gone(survey, it)).collect();
    let mut pairs: BTreeMap<(usize, usize), Direction> = BTreeMap::new();
    for (to, line) in survey.read.iter().enumerate() {
        let mut onto = Onto::new(survey, line);
        for from in neighbours.of_line(to) {
            let ln_rate = (rate / neighbours.count(from)).ln();
            let (mut ln_odds, mut nodes) = (f64::NEG_INFINITY, Vec::new());
            for alike in &without[from] {
                let ln = ln_rate + onto.ln_with(alike) - line.weigher.ln_own;
                ln_odds = ln_add(ln_odds, ln + alike.ln);
                nodes.extend(
                    alike
                        .nodes
                        .iter()
                        .map(|(node, own)| (from, *node, ln + own)),
                );
            }
            if ln_odds < KEPT_FROM {
                odds.count(&[from, to], ln_odds);
                continue;
            }
            let pair = pairs
                .entry((from.min(to), from.max(to)))
                .or_insert((f64::NEG_INFINITY, Vec::new()));
            pair.0 = ln_add(pair.0, ln_odds);
            pair.1.extend(nodes);
        }
    }
    for ((one, other), (ln_odds, nodes)) in pairs {
        odds.enter(&[one, other], ln_odds, || What::Moved(nodes));
    }
}

/// What a line's reading is worth with each of its loudspeakers gone.
fn gone(survey: &Survey<'_>, line: &Read<'_>) -> Vec<Alike> {
    let figures = survey.common.figures;
    let contacts = Ohm(figures.get(Figure::ContactOhm));
    let solved = Solved::sound(line.plan, figures);
    let spread = solved.solution.spread(&solved.tolerances, &[]);
    let mut weights = vec![0.0; solved.types.len()];
    let mut out: Vec<Alike> = Vec::new();
    for (at, node) in line.plan.nodes.iter().enumerate() {
        let NodeIs::Loudspeaker { of, .. } = &node.is else {
            continue;
        };
        let nothing = Change::Load {
            at,
            is: Load {
                y: Admittance::new(0.0, 0.0),
                silent: true,
                transformer: true,
            },
        };
        let it = Prediction::of(spread.after(&nothing, false, &mut weights), contacts);
        let weigher = &line.weigher;
        let ln = weigher.ln_under(it, &weights, weigher.own) - weigher.ln_own;
        let y = solved.solution.network().own(at);
        let found = out.iter_mut().find(|it| it.y == y && it.of == *of);
        match found {
            Some(alike) => {
                alike.ln = ln_add(alike.ln, ln);
                alike.nodes.push((at, ln));
            }
            None => out.push(Alike {
                y,
                of: of.clone(),
                nodes: vec![(at, ln)],
                ln,
            }),
        }
    }
    out
}

/// A line that loads may have been hung on.
struct Onto<'a> {
    survey: &'a Survey<'a>,
    line: &'a Read<'a>,
    solved: Solved,
    tolerances: Tolerances,
    known: Vec<(Admittance, TypeId, f64)>,
}

impl<'a> Onto<'a> {
    fn new(survey: &'a Survey<'a>, line: &'a Read<'a>) -> Self {
        let solved = Solved::sound(line.plan, survey.common.figures);
        // A moved loudspeaker keeps its own factor.
        let tolerances = Tolerances {
            added: solved.tolerances.loudspeaker,
            ..solved.tolerances.clone()
        };
        Self {
            survey,
            line,
            solved,
            tolerances,
            known: Vec::new(),
        }
    }

    /// ln of what the line's reading is worth with such a load, each of its places as likely.
    fn ln_with(&mut self, alike: &Alike) -> f64 {
        let known = self
            .known
            .iter()
            .find(|(y, of, _)| *y == alike.y && *of == alike.of);
        if let Some((_, _, ln)) = known {
            return *ln;
        }
        let ln = self.reckon(alike);
        self.known.push((alike.y, alike.of.clone(), ln));
        ln
    }

    fn reckon(&self, alike: &Alike) -> f64 {
        let common = &self.survey.common;
        let contacts = Ohm(common.figures.get(Figure::ContactOhm));
        let weigher = &self.line.weigher;
        let mut types = weigher.line.types.clone();
        let own = types.len();
        let of = types.iter().position(|it| *it == alike.of);
        let of = of.unwrap_or_else(|| {
            types.push(alike.of.clone());
            own
        });
        let joint = common.joint(&types);
        let spread = self.solved.solution.spread(&self.tolerances, &[]);
        let mut weights = vec![0.0; types.len()];
        let (mut sum, mut places) = (f64::NEG_INFINITY, 0.0);
        for (at, node) in self.line.plan.nodes.iter().enumerate() {
            if !node.is_loudspeaker() {
                continue;
            }
            places += 1.0;
            let beside = Change::Shunt { at, y: alike.y };
            weights.fill(0.0);
            let response = spread.after(&beside, true, &mut weights[..own]);
            weights[of] += spread.added_sensitivity(at, alike.y);
            let it = Prediction::of(response, contacts);
            sum = ln_add(sum, weigher.ln_beside(it, &joint, &weights));
        }
        if places > 0.0 {
            sum - f64::ln(places)
        } else {
            f64::NEG_INFINITY
        }
    }
}

/// Which lines share a zone or an output.
struct Neighbours<'a> {
    survey: &'a Survey<'a>,
    /// Lines with a figure, by zone and by output.
    zones: HashMap<&'a str, Vec<usize>>,
    outputs: HashMap<usize, Vec<usize>>,
    /// All lines: by zone, by output, by both.
    in_zone: HashMap<&'a str, f64>,
    on_output: HashMap<usize, f64>,
    in_both: HashMap<(&'a str, usize), f64>,
}

impl<'a> Neighbours<'a> {
    fn of(survey: &'a Survey<'a>) -> Self {
        let mut neighbours = Self {
            survey,
            zones: HashMap::new(),
            outputs: HashMap::new(),
            in_zone: HashMap::new(),
            on_output: HashMap::new(),
            in_both: HashMap::new(),
        };
        for (at, line) in survey.read.iter().enumerate() {
            let (zone, output) = (line.plan.zone.as_str(), line.plan.output);
            neighbours.zones.entry(zone).or_default().push(at);
            neighbours.outputs.entry(output).or_default().push(at);
        }
        for line in survey.lines {
            let (zone, output) = (line.plan.zone.as_str(), line.plan.output);
            *neighbours.in_zone.entry(zone).or_default() += 1.0;
            *neighbours.on_output.entry(output).or_default() += 1.0;
            *neighbours.in_both.entry((zone, output)).or_default() += 1.0;
        }
        neighbours
    }

    /// Other lines with a figure in the zone or on the output of a line.
    fn of_line(&self, at: usize) -> Vec<usize> {
        let plan = self.survey.read[at].plan;
        let (zone, output) = (plan.zone.as_str(), plan.output);
        let in_zone = self.zones.get(zone).into_iter().flatten();
        let on_output = self.outputs.get(&output).into_iter().flatten();
        let on_output =
            on_output.filter(|other| self.survey.read[**other].plan.zone.as_str() != zone);
        let both = in_zone.chain(on_output).copied();
        both.filter(|other| *other != at).collect()
    }

    /// How many other lines there are, read or not.
    fn count(&self, at: usize) -> f64 {
        let plan = self.survey.read[at].plan;
        let (zone, output) = (plan.zone.as_str(), plan.output);
        let number = |found: Option<&f64>| found.copied().unwrap_or(0.0);
        number(self.in_zone.get(zone)) + number(self.on_output.get(&output))
            - number(self.in_both.get(&(zone, output)))
            - 1.0
    }
}
