//! Site-wide mistakes in words: what it would be, and what confirms or clears it.
//!
//! Never here: odds.

use super::survey::{READS_AS, Survey, What, should_read};
use crate::quantity::{Ohm, Probability, Volt, show};

/// Voltages closer than this are one: 70.7 and 70.711.
const ONE_VOLTAGE: f64 = 0.01;
/// Another voltage draws half or twice within this share of it: 140 V for 100 V is 1 / 1.96.
const HALF_OR_TWICE: f64 = 0.05;

/// Places of a moved loudspeaker that a sentence names.
const PLACES: usize = 3;

pub(super) fn text(survey: &Survey<'_>, what: &What, lines: &[usize], p: f64) -> String {
    let label = |line: usize| survey.read[line].plan.label.as_str();
    let read = |line: usize| Ohm(survey.read[line].weigher.own.ln_m.exp());
    match (what, lines) {
        (What::Swapped, [a, b]) => swapped(survey, (*a, *b)),
        (What::Joined, [a, b]) => {
            let (ohm, a, b) = (show::ohm(read(*a)), label(*a), label(*b));
            format!(
                "{a} and {b} joined: both read {ohm}, as the two side by side would; take {b} off \
                 at the rack, put the tone on {a}, listen at {b}"
            )
        }
        (What::Range(times), [a]) => {
            let meant = show::ohm(Ohm(read(*a).get() * times));
            format!(
                "range multiplier x{times:.0} left out on {}: {} would be {meant}; read it again \
                 and look at the range",
                label(*a),
                show::ohm(read(*a)),
            )
        }
        (What::Digit(times), [a]) => format!(
            "a digit too many on {}: {} would be {}; read it again and look at the figure",
            label(*a),
            show::ohm(read(*a)),
            show::ohm(Ohm(read(*a).get() / times)),
        ),
        (What::Dc(dc), [a]) => format!(
            "direct-current reading taken for impedance on {}: {} is near its {} at direct \
             current; read it again with the impedance meter",
            label(*a),
            show::ohm(read(*a)),
            show::ohm(*dc),
        ),
        (What::Range(_) | What::Digit(_) | What::DcRun, [first, .., last]) => {
            let [first, last] = [label(*first), label(*last)];
            format!(
                "{} readings one after another, {first} to {last}: {}",
                lines.len(),
                of_run(what, first)
            )
        }
        (What::Moved(nodes), [a, b]) => moved(survey, nodes, (*a, *b), p),
        (What::Nominal(volts), _) => format!(
            "all loudspeakers set for a line of {}{}: look at the taps of a few loudspeakers on \
             different lines, and at the output voltage of the amplifier",
            show::volt(*volts),
            one_tap_off(survey, *volts)
        ),
        _ => String::new(),
    }
}

/// The slip of a run of readings, and what tells: the first of them read again.
fn of_run(what: &What, first: &str) -> String {
    match what {
        What::Range(times) => {
            let times = if *times > 10.0 { "a hundred" } else { "ten" };
            format!(
                "the range multiplier of the meter was left out on all, each reads {times} times what \
                 was entered; read {first} again and look at the range"
            )
        }
        What::Digit(_) => format!(
            "a digit too many was entered on all, each reads a tenth of what was entered; read \
             {first} again and look at the figure"
        ),
        _ => format!(
            "direct-current readings taken for impedance, each is near what its line has at direct \
             current; read {first} again with the impedance meter"
        ),
    }
}

/// Labels swapped, the two figures named where either is not what the other line should read.
fn swapped(survey: &Survey<'_>, (a, b): (usize, usize)) -> String {
    let line = |at: usize| &survey.read[at];
    let label = |at: usize| line(at).plan.label.as_str();
    let should = |at: usize| should_read(line(at).plan, survey.common.figures);
    // Figures as read; what the meter reads high or low is no part of the question.
    let weigher = |at: usize| &line(at).weigher;
    let read = |at: usize| weigher(at).own.ln_m.exp();
    let true_to = |at: usize| {
        let factor = weigher(at).joint.mean[weigher(at).own.meter];
        (weigher(at).own.ln_m - factor).exp()
    };
    let (should_a, should_b) = (should(a), should(b));
    let fits = |ohm: f64, should: f64| (ohm / should - 1.0).abs() <= READS_AS;
    let why = if fits(true_to(a), should_b) && fits(true_to(b), should_a) {
        "each reads what the other should".to_owned()
    } else {
        let ohm = |ohm: f64| show::ohm(Ohm(ohm));
        format!(
            "together they fit better so, {} reads {} where {} should read {}, and {} reads {} \
             where {} should read {}",
            label(a),
            ohm(read(a)),
            label(b),
            ohm(should_b),
            label(b),
            ohm(read(b)),
            label(a),
            ohm(should_a)
        )
    };
    let volts = |at: usize| line(at).plan.volts;
    let differ = (volts(a).get() / volts(b).get() - 1.0).abs() > ONE_VOLTAGE;
    let named = |at: usize| match differ {
        true => format!("{} ({})", label(at), show::volt(volts(at))),
        false => label(at).to_owned(),
    };
    format!(
        "labels of {} and {} swapped: {why}; put the tone on {}, listen at {}",
        named(a),
        named(b),
        label(a),
        label(b)
    )
}

/// Of loudspeakers that all draw half or twice as drawn, that another tap of each would look the same.
fn one_tap_off(survey: &Survey<'_>, volts: Volt) -> &'static str {
    let all = |draw: f64| {
        survey.read.iter().all(|line| {
            let ratio = line.plan.volts.get() / volts.get();
            (ratio * ratio / draw - 1.0).abs() < HALF_OR_TWICE
        })
    };
    if all(0.5) {
        ", or one tap lower than drawn, each, which looks the same"
    } else if all(2.0) {
        ", or one tap higher than drawn, each, which looks the same"
    } else {
        ""
    }
}

fn moved(
    survey: &Survey<'_>,
    nodes: &[(usize, usize, f64)],
    (a, b): (usize, usize),
    p: f64,
) -> String {
    let places = places(nodes, p);
    let label = |line: usize| survey.read[line].plan.label.as_str();
    let share = |from: usize| {
        let of = places.iter().filter(|it| it.0 == from);
        of.map(|it| it.2).sum::<f64>()
    };
    let (from, to) = if share(a) >= share(b) { (a, b) } else { (b, a) };
    let mut named: Vec<String> = Vec::new();
    for (line, node, p) in places.iter().filter(|it| it.0 == from).take(PLACES) {
        let node = &survey.read[*line].plan.nodes[*node].label;
        named.push(format!("{node}, {}", show::probability(Probability(*p))));
    }
    let more = places.iter().filter(|it| it.0 == from).count() - named.len();
    if more > 0 {
        named.push(format!("{more} more"));
    }
    let (from, to) = (label(from), label(to));
    format!(
        "a loudspeaker of {from} hangs on {to} ({}); put the tone on {to}, listen at the \
         loudspeakers of {from}",
        named.join("; ")
    )
}

/// Loudspeakers of a moved-loudspeaker hint with their probabilities, which add up to its own;
/// the likeliest first.
pub(super) fn places(nodes: &[(usize, usize, f64)], p: f64) -> Vec<(usize, usize, f64)> {
    let highest = nodes
        .iter()
        .map(|it| it.2)
        .fold(f64::NEG_INFINITY, f64::max);
    let whole: f64 = nodes.iter().map(|it| (it.2 - highest).exp()).sum();
    let mut out: Vec<_> = nodes
        .iter()
        .map(|(line, node, ln)| (*line, *node, p * (ln - highest).exp() / whole))
        .collect();
    out.sort_by(|a, b| b.2.total_cmp(&a.2));
    out
}
