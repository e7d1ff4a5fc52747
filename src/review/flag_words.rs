//! What is the matter with a flagged line, in words: what it reads, what was not heard as it should be.
//!
//! Never here: what wants a word.

use super::Why;
use super::scope::own_label_of;
use super::unproven::{in_doubt_words, was_before};
use crate::analysis::{Analyst, doubt};
use crate::quantity::show;
use crate::site::{Ref, Site};
use crate::verdict::InsulationWord;

/// So many loudspeakers are named.
const MOST_NAMED: usize = 4;

/// What a line reads, with its deviation.
pub(super) fn reads(analyst: &Analyst, at: usize) -> String {
    let result = analyst.line(at);
    let Some(taken) = &result.taken else {
        return "not read".to_owned();
    };
    // What a short takes is not known.
    let stop = result.is_stop(analyst.limits());
    let deviation = result
        .verdict
        .and_then(|it| it.deviation.filter(|_| !stop))
        .map_or_else(String::new, |it| format!(", {}", show::signed_percent(it)));
    format!("reads {}{deviation}", show::value(taken.value))
}

/// Loudspeakers of a line, by its place in the plan, that were not heard as they should be when they were
/// last listened to: `LS-6 silent`.
#[must_use]
pub fn not_heard_well(site: &Site, analyst: &Analyst, at: usize) -> Vec<String> {
    let history = site.history(&site.plan().lines[at].id);
    let answers = history.answers(site, &analyst.line(at).state);
    let wrong = answers.iter().filter(|(_, it)| it.gives.is_wrong());
    let told = wrong.map(|(_, it)| {
        let label = own_label_of(site, &Ref::Node(it.at.clone()));
        format!("{label} {}", it.gives.word())
    });
    told.collect()
}

/// What finds where insulation is low.
pub const WAY_TO_EARTH: &str = "find the way to earth: open the line half way, read the insulation of each half, \
                                cores joined; mended, the whole line again";

/// What is the matter with a line that is flagged for this reason.
pub(super) fn flag_words(site: &Site, analyst: &Analyst, at: usize, why: Why) -> String {
    let words = words_of(site, analyst, at, why);
    let low = analyst.line(at).insulation.as_ref();
    match low.filter(|it| it.word == InsulationWord::Low && why != Why::NotReadAgain) {
        Some(low) => {
            let figure = show::insulation(low.value);
            let cores = low.leg.behind();
            match why {
                Why::InsulationLow => {
                    format!("{words}: {figure} at {}{cores}", show::volt(low.test_v))
                }
                _ => format!("{words}; insulation LOW, {figure}{cores}"),
            }
        }
        None => words,
    }
}

fn words_of(site: &Site, analyst: &Analyst, at: usize, why: Why) -> String {
    let result = analyst.line(at);
    match why {
        Why::Stop | Why::FitsNothing | Why::Out | Why::Close => {
            format!("{}: {}", reads(analyst, at), why.words())
        }
        Why::NotReadAgain => {
            let was = result.repaired.as_ref().and_then(was_before);
            format!("{}: was {}", why.words(), was.unwrap_or_default())
        }
        Why::InDoubt => match &result.in_doubt {
            Some(it) => in_doubt_words(it),
            None => why.words().to_owned(),
        },
        Why::AnotherFitsNothing => {
            let doubt = analyst.suspects(at).and_then(|it| doubt(site, at, it));
            doubt.unwrap_or_else(|| why.words().to_owned())
        }
        Why::NotAllHeard => {
            let named = show::few(&not_heard_well(site, analyst, at), MOST_NAMED);
            format!("{}: {named}", why.words())
        }
        _ => why.words().to_owned(),
    }
}
