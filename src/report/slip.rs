//! What an output would carry if readings that are suspected to be a slip were what they are suspected to
//! be, and what it would carry once mended: the sum of the output, made again with other readings.
//!
//! Never here: what is suspected, how loads are added up.

use super::rows::{LineRow, OutputRow};
use super::to_do::FIRST;
use crate::analysis::{Analyst, LineResult, OutputResult};
use crate::quantity::{Ohm, Probability, Value, show};
use crate::site::Site;
use crate::verdict::LineWord;
use std::collections::BTreeMap;

/// So many slips are named one by one.
const MOST_TOLD: usize = 3;

/// A reading that is more likely a slip than not: what it is suspected to be, and how likely.
struct Slip<'a> {
    line: &'a str,
    /// None where nothing tells what it would be: then the line is taken as drawn.
    meant: Option<Ohm>,
    probability: f64,
}

impl<'a> Slip<'a> {
    fn of(row: &'a LineRow) -> Option<Self> {
        let read = row.measured.as_ref()?.ohms.as_f64()?;
        let line = row.line.as_str();
        let slip = |meant, probability| {
            Some(Self {
                line,
                meant,
                probability,
            })
        };
        if let Some(wide) = row.first_site_wide() {
            return match wide.fault {
                "range-multiplier" | "digit-too-many" => slip(
                    wide.factor.map(|factor| Ohm(read / factor)),
                    wide.probability,
                ),
                "dc-reading" => slip(None, wide.probability),
                _ => None,
            };
        }
        let misfit = row.misfit.filter(|it| *it >= FIRST)?;
        slip(None, misfit)
    }

    fn words(&self) -> String {
        let is = self.meant.map_or_else(|| "as drawn".to_owned(), show::ohm);
        let odds = show::probability(Probability(self.probability));
        format!("{} is {is} as suspected ({odds})", self.line)
    }
}

/// Slips in words: each by itself, of more than a few the first, the last and how many.
fn told_of(slips: &[Slip<'_>]) -> String {
    match slips {
        [first, .., last] if slips.len() > MOST_TOLD => format!(
            "{} readings, {} to {}, are as suspected",
            slips.len(),
            first.line,
            last.line
        ),
        few => {
            let words: Vec<String> = few.iter().map(Slip::words).collect();
            words.join(" and ")
        }
    }
}

/// The sum of an output where some of its lines read something else; `None` of a line leaves it as it is.
fn sum(
    site: &Site,
    analyst: &Analyst,
    at: usize,
    instead: impl Fn(usize) -> Option<Option<Ohm>>,
) -> OutputResult {
    let others = |line: usize| {
        let mut result = analyst.line(line).clone();
        match (instead(line)?, result.taken.as_mut()) {
            (Some(ohm), Some(taken)) => taken.value = Value::Ohm(ohm),
            (Some(_), None) => {}
            (None, _) => result.taken = None,
        }
        Some((line, result))
    };
    // Of its own lines alone: a site has as many outputs as it likes.
    let drawn = site.plan().outputs[at].lines.clone();
    let lines = drawn.chain(analyst.lines_on(site, at));
    let others: BTreeMap<usize, LineResult> = lines.filter_map(others).collect();
    analyst.output_if(site, at, |line| others.get(&line))
}

/// Enters into the rows of outputs what they would carry without slips, and once mended.
pub(super) fn enter(site: &Site, analyst: &Analyst, lines: &[LineRow], outputs: &mut [OutputRow]) {
    let plan = site.plan();
    let outputs_drawn = plan.outputs.iter().enumerate();
    let places: BTreeMap<_, _> = outputs_drawn
        .map(|(at, it)| ((it.amplifier.as_str(), it.label.as_str()), at))
        .collect();
    let rows: BTreeMap<_, _> = lines.iter().map(|it| (it.line.as_str(), it)).collect();
    for row in outputs {
        let place = places.get(&(row.amplifier.as_str(), row.output.as_str()));
        let Some(&at) = place else { continue };
        let own = |line: usize| rows.get(plan.lines[line].label.as_str()).copied();
        let stops = |line: usize| analyst.line(line).is_stop(analyst.limits());
        let slip = |line: usize| own(line).filter(|_| !stops(line)).and_then(Slip::of);
        let result = sum(site, analyst, at, |line| slip(line).map(|it| it.meant));
        let of_stopped = !row.stop.is_empty();
        let on_it = analyst.lines_on(site, at);
        let counted = on_it.iter().copied();
        let counted = counted.filter(|line| !(of_stopped && analyst.line(*line).off));
        let told: Vec<Slip<'_>> = counted.filter_map(slip).collect();
        let load = match of_stopped {
            true => result.now.load,
            false => result.carries.load,
        };
        row.if_slips = load
            .filter(|_| !told.is_empty())
            .map(|load| format!("if {}: {}", told_of(&told), show::watt(load)));
        let grew = |line: usize| {
            let label = &plan.lines[line].label;
            let grew = row.grown.iter().any(|it| it.line == *label);
            grew.then_some(None)
        };
        row.grown_as_drawn_w = Some(sum(site, analyst, at, grew))
            .filter(|_| !row.grown.is_empty())
            .and_then(|it| match of_stopped {
                true => it.now.load,
                false => it.carries.load,
            })
            .map(|it| it.get());
        let is_out = |line: usize| {
            let word = analyst.line(line).verdict.map(|it| it.word);
            (word == Some(LineWord::Out)).then_some(None)
        };
        let mended = on_it.iter().any(|it| is_out(*it).is_some());
        row.mended_w = Some(sum(site, analyst, at, is_out))
            .filter(|_| mended)
            .and_then(|it| Some(it.carries.load?.get()));
    }
}
