//! What an output would carry if lines of it read something else: what they are suspected to be where they
//! are suspected to be a slip, what is drawn where they are out of tolerance. It is the sum of the output, made
//! again.
//!
//! Never here: what is suspected, how loads are added up.

use super::rows::{LineRow, OutputRow};
use crate::analysis::{Analyst, LineResult, OutputResult};
use crate::diagnosis::SiteFault;
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
            return match wide.kind {
                SiteFault::RangeMultiplier | SiteFault::DigitTooMany => slip(
                    wide.factor.map(|factor| Ohm(read / factor)),
                    wide.probability,
                ),
                SiteFault::DcReading => slip(None, wide.probability),
                _ => None,
            };
        }
        let misfit = row.misfit.filter(|_| row.fits_nothing())?;
        slip(None, misfit)
    }

    fn odds(&self) -> String {
        show::probability(Probability(self.probability))
    }
}

/// `a, b and c`.
fn all_of(words: &[String]) -> String {
    match words {
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => words.concat(),
    }
}

/// What would have to be so of these readings: what each was meant to be, and of those of which nobody knows
/// that, that they are mistaken. That a line is as drawn is suspected of none.
fn words(slips: &[Slip<'_>]) -> String {
    let meant = slips.iter().filter_map(|it| {
        let ohm = show::ohm(it.meant?);
        Some(format!("{} is {ohm} as suspected ({})", it.line, it.odds()))
    });
    let mut out: Vec<String> = meant.collect();
    let mistaken = slips.iter().filter(|it| it.meant.is_none());
    let mistaken = mistaken.map(|it| format!("{} ({})", it.line, it.odds()));
    let mistaken: Vec<String> = mistaken.collect();
    let lines = all_of(&mistaken);
    match mistaken.len() {
        0 => {}
        1 => out.push(format!(
            "the reading of {lines} is mistaken as suspected, the line being as drawn"
        )),
        _ => out.push(format!(
            "the readings of {lines} are mistaken as suspected, these lines being as drawn"
        )),
    }
    all_of(&out)
}

/// Slips in words: of more than a few the first, the last and how many.
fn told_of(slips: &[Slip<'_>]) -> String {
    match slips {
        [first, .., last] if slips.len() > MOST_TOLD => format!(
            "{} readings, {} to {}, are mistaken as suspected",
            slips.len(),
            first.line,
            last.line
        ),
        few => words(few),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_never_suspected_of_being_as_drawn_and_readings_of_that_sort_are_one_sentence() {
        let slip = |line, meant: Option<f64>, probability| Slip {
            line,
            meant: meant.map(Ohm),
            probability,
        };
        let [a, b, c] = [("C-A", 0.999), ("C-B", 0.98), ("P-1", 0.7)];
        assert_eq!(
            words(&[slip(a.0, None, a.1)]),
            "the reading of C-A (>99 %) is mistaken as suspected, the line being as drawn"
        );
        assert_eq!(
            words(&[a, b, c].map(|(line, p)| slip(line, None, p))),
            "the readings of C-A (>99 %), C-B (98 %) and P-1 (70 %) are mistaken as suspected, these lines being as drawn"
        );
        assert_eq!(
            words(&[slip(a.0, None, a.1), slip("PH-5", Some(1350.0), 0.98)]),
            "PH-5 is 1350 ohm as suspected (98 %) and the reading of C-A (>99 %) is mistaken as suspected, the line \
             being as drawn"
        );
    }
}
