//! The design checked as it grows: what is wrong with a line or an output before anybody reads it. The
//! answers are figures, reckoned as every other; they are put into words elsewhere.

use super::Analyst;
use super::design::Design;
use crate::quantity::{Decibel, Fraction, Volt, Watt};
use crate::site::{
    CableMake, Conductor, Design as Drawn, Do, Figure, IEC_60228, Kind, LineId, LinePlan, Ref,
    Site, in_order,
};
use crate::verdict;
use std::collections::HashMap;

/// By line, labels of its places that no way from the rack reaches.
pub(super) type Unreached = HashMap<LineId, Vec<String>>;

/// Something wrong with a line as drawn. Places are those of [`LinePlan::nodes`].
#[derive(Clone, Debug, PartialEq)]
pub enum LineFlaw {
    /// Places that no way from the rack reaches: their cable runs in a ring, or what feeds them is
    /// gone.
    Unreached(Vec<String>),
    /// No loudspeaker on it.
    Empty,
    /// It was moved here from an output of this line voltage, and nothing was read of it, or drawn on it,
    /// since.
    OtherVolts(Volt),
    /// Runs whose length is not known.
    UnknownRuns(Vec<usize>),
    /// The far end is too quiet.
    Quiet {
        /// The loudspeaker with the lowest terminal voltage.
        at: usize,
        /// That voltage, re nominal.
        level: Decibel,
        /// The lowest that is wanted.
        limit: Decibel,
        /// The smallest standard conductor that would do throughout, and the level with it; none
        /// where no standard size does.
        would_do: Option<(Conductor, Decibel)>,
    },
}

/// Something wrong with an output as drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutputFlaw {
    /// No rating: it cannot be judged.
    NoRating,
    /// Planned past its headroom.
    Past {
        /// Load as drawn.
        planned: Watt,
        /// Its rating.
        rated: Watt,
        /// Share to keep free.
        headroom: Fraction,
        /// The rating that would leave the headroom.
        needed: Watt,
    },
}

impl Analyst {
    /// What is wrong with a line as drawn.
    #[must_use]
    pub fn line_flaws(&self, site: &Site, at: usize) -> Vec<LineFlaw> {
        let line = &site.plan().lines[at];
        let mut out = Vec::new();
        // Looked for once a drawing: an edit makes a new analyst.
        let unreached = self.unreached.get_or_init(|| unreached(site));
        if let Some(labels) = unreached.get(&line.id) {
            out.push(LineFlaw::Unreached(labels.clone()));
        }
        if line.loudspeakers() == 0 {
            out.push(LineFlaw::Empty);
        }
        out.extend(moved_from(site, line).map(LineFlaw::OtherVolts));
        let unknown: Vec<usize> = (0..line.nodes.len())
            .filter(|node| line.nodes[*node].run.is_none())
            .collect();
        if !unknown.is_empty() {
            out.push(LineFlaw::UnknownRuns(unknown));
        }
        out.extend(self.quiet_flaw(site, at));
        out
    }

    /// A far end that is too quiet and what would do, as [`Self::line_flaws`] has it, without a look at
    /// what is drawn and not reached: that goes through every item of the site.
    #[must_use]
    pub fn quiet_flaw(&self, site: &Site, at: usize) -> Option<LineFlaw> {
        let limit = Decibel(site.figures().get(Figure::FarEndDb));
        let (node, level) = self.too_quiet(site, at)?;
        Some(LineFlaw::Quiet {
            at: node,
            level,
            limit,
            would_do: would_do(site, &site.plan().lines[at], limit),
        })
    }

    /// The loudspeaker with the lowest terminal voltage and that voltage, where it is under the
    /// limit.
    #[must_use]
    pub fn too_quiet(&self, site: &Site, at: usize) -> Option<(usize, Decibel)> {
        let limit = Decibel(site.figures().get(Figure::FarEndDb));
        let far_end = self.line(at).design.far_end;
        far_end.filter(|(_, level)| *level < limit)
    }

    /// What is wrong with an output as drawn.
    #[must_use]
    pub fn output_flaws(&self, site: &Site, at: usize) -> Vec<OutputFlaw> {
        let output = &site.plan().outputs[at];
        let result = self.output(site, at, None);
        let Some(rated) = output.rated else {
            return vec![OutputFlaw::NoRating];
        };
        let (planned, headroom) = (result.planned, result.headroom);
        // The same bound as for what is read.
        if planned.get() <= rated.get() * (1.0 - headroom.get()) {
            return Vec::new();
        }
        vec![OutputFlaw::Past {
            planned,
            rated,
            headroom,
            needed: verdict::rating_needed(planned, headroom),
        }]
    }

    /// By how much each line whose cores are on an output and that was read takes more than drawn, the most first; less
    /// than drawn is below zero.
    #[must_use]
    pub fn growth(&self, site: &Site, output: usize) -> Vec<(usize, Watt)> {
        let lines = self.lines_on(site, output).into_iter();
        let mut out: Vec<(usize, Watt)> =
            lines.filter_map(|at| Some((at, self.grown(at)?))).collect();
        out.sort_by(|a, b| b.1.get().total_cmp(&a.1.get()).then(a.0.cmp(&b.0)));
        out
    }

    /// What a line takes more than drawn; none where it was not read, or its load is not known.
    #[must_use]
    pub fn grown(&self, at: usize) -> Option<Watt> {
        let line = self.line(at);
        // What a short would draw is no load: it must not be connected.
        if !line.is_judged() || line.is_stop(&self.common.limits) {
            return None;
        }
        let read = line.taken.as_ref()?.load?;
        Some(Watt(read.get() - line.design.load.map_or(0.0, Watt::get)))
    }
}

/// The line voltage that a line was moved from, where that is another than it has and neither a reading
/// nor a place drawn anew came since.
fn moved_from(site: &Site, line: &LinePlan) -> Option<Volt> {
    let (log, elements) = (site.log(), site.elements());
    let volts = |it: &crate::site::Line| match elements.settled(&Ref::Output(it.output.clone())) {
        Some(Drawn::Output(it)) => Some(it.volts),
        _ => None,
    };
    let own = Ref::Line(line.id.clone());
    let is_of = |edit: &crate::site::Edit| edit.of == own || edit.now.parent() == line.id.as_str();
    let edits = log.beside_lines().filter_map(|entry| match &entry.what {
        Do::Edit(edit) if is_of(edit) && log.counts(&entry.id) => Some((entry, edit)),
        _ => None,
    });
    let mut edits: Vec<_> = edits.collect();
    edits.sort_by(|a, b| in_order(a.0, b.0));
    let (entry, was) = edits.into_iter().fold(None, |found, (entry, edit)| {
        match (&edit.now, edit.was.first()) {
            (Drawn::Line(now), Some((_, Drawn::Line(was)))) => match (volts(was), volts(now)) {
                // A name or a zone that changes leaves the voltage as it is.
                (was, now) if was == now => found,
                (Some(was), Some(now)) if now == line.volts => Some((entry, was)),
                _ => None,
            },
            (Drawn::Line(_), _) => found,
            _ => None,
        }
    })?;
    let mut read = log.of_line(&line.id).into_iter();
    let since =
        |it: &crate::site::Entry| matches!(&it.what, Do::Read(_)) && in_order(entry, it).is_lt();
    (!read.any(since)).then_some(was)
}

/// By line, labels of the nodes that are on it and not in its plan.
fn unreached(site: &Site) -> Unreached {
    let mut out = Unreached::new();
    let plan = site.plan();
    let drawn: usize = plan.lines.iter().map(|line| line.nodes.len()).sum();
    if site.elements().count(Kind::Node) == drawn {
        return out;
    }
    // A ring is in question: its places stand and are not settled.
    for (of, _, design) in site.elements().iter() {
        let Ref::Node(id) = of else { continue };
        let Some(at) = plan.line(&LineId::from(design.parent())) else {
            continue;
        };
        let line = &plan.lines[at];
        if let Some(label) = design.label().filter(|_| line.node(id).is_none())
            && !matches!(design, Drawn::Retired(_))
        {
            let labels = out.entry(line.id.clone()).or_default();
            if !labels.iter().any(|other| other == label) {
                labels.push(label.to_owned());
            }
        }
    }
    out
}

/// The smallest standard conductor that brings every loudspeaker up to the limit, where all runs that
/// are thinner get it.
fn would_do(site: &Site, line: &LinePlan, limit: Decibel) -> Option<(Conductor, Decibel)> {
    IEC_60228.iter().find_map(|(area, r20)| {
        let mut thicker = line.clone();
        let mut changed = false;
        for node in &mut thicker.nodes {
            if node.make.r20 > *r20 {
                node.make = CableMake {
                    r20: *r20,
                    ..node.make
                };
                changed = true;
            }
        }
        if !changed {
            return None;
        }
        let (_, level) = Design::of(&thicker, site.figures()).far_end?;
        (level >= limit).then_some((Conductor::Area(*area), level))
    })
}
