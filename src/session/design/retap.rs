//! What is tried out on a line: another output, other taps. Typed words become changes of the design, and
//! `analysis` reckons on a copy what comes of them.

use super::built::Built;
use super::describe;
use super::drawn::{Drawn, place};
use super::names::output_named;
use super::refused::Refused;
use crate::quantity::{DecimalSign, Watt, decimal};
use crate::site::{Design, Elements, Kind, LineId, OutputId, Ref};

/// What is tried out.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::session) struct Tried {
    /// The changes.
    pub built: Built,
    /// The output it is on, and that it would be on where that is another.
    pub outputs: Vec<OutputId>,
    /// Taps change: what was read before no longer tells.
    pub retapped: bool,
    /// It goes from an ordinary amplifier to one of a voice alarm, or back: in words.
    pub crosses: Option<&'static str>,
}

/// Whether the amplifier of an output carries a voice alarm.
fn is_voice_alarm(drawn: Drawn<'_>, output: &OutputId) -> bool {
    let output = drawn.standing(&Ref::Output(output.clone()));
    let amplifier = output.map(|it| Ref::Amplifier(it.parent().into()));
    let amplifier = amplifier.and_then(|of| drawn.standing(&of));
    matches!(amplifier, Some(Design::Amplifier(it)) if it.voice_alarm)
}

const EXAMPLE: Refused = Refused::Wanted {
    what: "what to try",
    example: "to A2/1, down, up, 3w, or two of them",
};

/// The changes that words mean: `to A2/1`, `down`, `up`, `3w`.
pub(super) fn tried(elements: &Elements, line: &LineId, text: &str) -> Result<Tried, Refused> {
    let drawn = Drawn(elements);
    let of = Ref::Line(line.clone());
    let Some(Design::Line(standing)) = drawn.standing(&of) else {
        return Err(EXAMPLE);
    };
    let mut out = Tried {
        built: Built::default(),
        outputs: vec![standing.output.clone()],
        retapped: false,
        crosses: None,
    };
    let is_end = |word: &str| word == "down" || word == "up" || word_watt(word).is_some();
    let mut words = text.split_whitespace().map(str::to_lowercase).peekable();
    while let Some(word) = words.next() {
        if word == "to" {
            let mut name = Vec::new();
            while let Some(next) = words.next_if(|next| !is_end(next)) {
                name.push(next);
            }
            let output = output_named(drawn, &name.join(" "))?;
            if output == standing.output {
                return Err(Refused::Same);
            }
            out.crosses = match [&standing.output, &output].map(|it| is_voice_alarm(drawn, it)) {
                [false, true] => Some("from an ordinary amplifier to one of a voice alarm"),
                [true, false] => Some("from a voice alarm amplifier to an ordinary one"),
                _ => None,
            };
            let mut moved = standing.clone();
            let orders: Vec<f64> = drawn
                .below(Kind::Line, output.as_str())
                .iter()
                .map(|(_, it)| it.order())
                .collect();
            moved.output = output.clone();
            moved.order = place(&orders, orders.len() + 1);
            out.outputs.push(output);
            out.built.set(of.clone(), Design::Line(moved));
        } else if is_end(&word) {
            retap(drawn, line, &word, &mut out.built)?;
            out.retapped = true;
        } else {
            return Err(Refused::Figure {
                found: word,
                wanted: "to A2/1, down, up, or a tap such as 3w",
            });
        }
    }
    if out.built.changes.is_empty() {
        return Err(EXAMPLE);
    }
    out.built.main = Some(of);
    Ok(out)
}

fn word_watt(word: &str) -> Option<Watt> {
    let number = word.strip_suffix('w')?;
    decimal(number, DecimalSign::Either)
        .ok()
        .map(|value| Watt(value.value))
}

/// Every loudspeaker of a line on another tap.
fn retap(drawn: Drawn<'_>, line: &LineId, word: &str, built: &mut Built) -> Result<(), Refused> {
    let mut changed = false;
    for (of, design) in drawn.below(Kind::Node, line.as_str()) {
        let Design::Loudspeaker(it) = design else {
            continue;
        };
        let tap = match word_watt(word) {
            Some(tap) => Some(tap),
            None => {
                let Some(taps) = &it.taps_w else {
                    return Err(Refused::TapsUnknown {
                        label: it.label.clone(),
                    });
                };
                let lower = taps.iter().copied().filter(|tap| *tap < it.tap_w);
                let higher = taps.iter().copied().filter(|tap| *tap > it.tap_w);
                let by = |a: &Watt, b: &Watt| a.get().total_cmp(&b.get());
                if word == "down" {
                    lower.max_by(by)
                } else {
                    higher.min_by(by)
                }
            }
        };
        // One that has no lower tap stays.
        if let Some(tap) = tap.filter(|tap| *tap != it.tap_w) {
            let mut it = it.clone();
            it.tap_w = tap;
            changed = true;
            built.set(of, Design::Loudspeaker(it));
        }
    }
    match (changed, word) {
        (true, _) => Ok(()),
        (false, "down") => Err(Refused::NoTap("has a lower tap")),
        (false, "up") => Err(Refused::NoTap("has a higher tap")),
        (false, _) => Err(Refused::NoTap("would change: all are on that tap")),
    }
}

/// What is proposed, and whether all that it touches keeps its headroom then.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::session) struct Proposal {
    /// The words.
    pub text: String,
    /// How it fits.
    pub fits: Fits,
}

/// How a proposal fits, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::session) enum Fits {
    /// Every output that it touches keeps its headroom, or nothing says that it does not.
    All,
    /// The output that the line is on is still short of its own.
    OwnShort,
    /// The other output would be short of its own.
    OtherShort,
}

/// What may be tried with one key, what fits first: every other output of the same voltage, the one with most
/// left over its headroom first, then down, then up. None of a voice alarm to an ordinary line nor the other way: that
/// is nobody's to decide at the rack. An output that is over its rating or would be with the
/// line is not offered, nor taps that raise a load past what the line's own output has to `spare` over its
/// headroom: below zero where it is short of that. `own` is what the line counts with now.
pub(super) fn proposals(
    elements: &Elements,
    line: &LineId,
    left: impl Fn(&OutputId) -> Option<f64>,
    own: Watt,
    drawn_load: Watt,
    spare: Option<Watt>,
) -> Vec<Proposal> {
    let drawn = Drawn(elements);
    let Some(Design::Line(standing)) = drawn.standing(&Ref::Line(line.clone())) else {
        return Vec::new();
    };
    let volts = |output: &OutputId| match drawn.standing(&Ref::Output(output.clone())) {
        Some(Design::Output(it)) => Some(it.volts),
        _ => None,
    };
    let mut others = Vec::new();
    for (amplifier, _) in drawn.below(Kind::Amplifier, "") {
        for (output, _) in drawn.below(Kind::Output, amplifier.id()) {
            let output = OutputId::from(output.id());
            let alike = volts(&output) == volts(&standing.output)
                && is_voice_alarm(drawn, &output) == is_voice_alarm(drawn, &standing.output);
            if output != standing.output && alike {
                others.extend(left(&output).map(|left| (left, output)));
            }
        }
    }
    others.sort_by(|a, b| b.0.total_cmp(&a.0));
    let to = |output: &OutputId| format!("to {}", describe::output_text(drawn, output));
    // A hair over nothing is rounding.
    let keeps = |by: f64| spare.is_none_or(|spare| by <= spare.get() + 1e-9);
    let fits = |by: f64| if keeps(by) { Fits::All } else { Fits::OwnShort };
    let mut out: Vec<Proposal> = others
        .iter()
        .map(|(left, output)| Proposal {
            text: to(output),
            fits: match *left >= 0.0 {
                true => fits(-own.get()),
                false => Fits::OtherShort,
            },
        })
        .collect();
    for word in ["down", "up"] {
        let mut built = Built::default();
        if retap(drawn, line, word, &mut built).is_err() {
            continue;
        }
        // On other taps the line counts as drawn; higher ones add to what it takes now all the same.
        let added = added(drawn, &built).get();
        let by = drawn_load.get() + added - own.get();
        let fits = fits(if word == "up" { by.max(added) } else { by });
        if word == "down" || fits == Fits::All {
            let text = word.to_owned();
            out.push(Proposal { text, fits });
        }
    }
    out.sort_by_key(|it| it.fits);
    out
}

/// By how much other taps add to a line as drawn.
fn added(drawn: Drawn<'_>, built: &Built) -> Watt {
    let tap = |design: Option<&Design>| match design {
        Some(Design::Loudspeaker(it)) => it.tap_w.get(),
        _ => 0.0,
    };
    let by = |(of, now): &(Ref, Design)| tap(Some(now)) - tap(drawn.standing(of));
    Watt(built.changes.iter().map(by).sum())
}
