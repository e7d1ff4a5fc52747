//! Lines that the plan lacks because they, or what feeds them, have two designs: they are named,
//! with what was read on them and without a word on it.
//!
//! Never here: which design is right.

use super::line_done::{LineDoneRow, SaidRow};
use super::meters::corrected_from;
use super::rows::{ExpectedRow, LineRow, MeasuredRow};
use super::to_do::CHOOSE;
use super::values::ohms;
use crate::analysis::lines_in_question;
use crate::site::{Design, Line, LineId, NodeId, Ref, Site};

/// Their rows, by id.
pub(super) fn lines(site: &Site) -> Vec<LineRow> {
    let mut left: Vec<LineId> = lines_in_question(site)
        .into_iter()
        .filter(|id| site.plan().line(id).is_none())
        .collect();
    left.sort();
    left.iter().filter_map(|id| row(site, id)).collect()
}

fn row(site: &Site, id: &LineId) -> Option<LineRow> {
    let elements = site.elements();
    let designs = elements.standing(&Ref::Line(id.clone())).iter();
    let design: &Line = designs
        .filter_map(|(_, design)| match design.drawn() {
            Design::Line(it) => Some(it),
            _ => None,
        })
        .next()?;
    let label = |of: Ref| elements.label(&of).to_owned();
    let output = Ref::Output(design.output.clone());
    let fed_by = elements.standing(&output).first();
    let amplifier = match fed_by.map(|(_, it)| it.drawn()) {
        Some(Design::Output(it)) => label(Ref::Amplifier(it.amplifier.clone())),
        _ => String::new(),
    };
    let loudspeakers: std::collections::BTreeSet<&str> = elements
        .iter()
        .filter(|(_, _, it)| matches!(it, Design::Loudspeaker(it) if it.line == *id))
        .map(|(of, ..)| of.id())
        .collect();
    let history = site.history(id);
    let state = history.state();
    let answers = history.answers(site, &state);
    let tells = |at: &NodeId| loudspeakers.contains(at.as_str());
    Some(LineRow {
        line: design.label.clone(),
        zone: label(Ref::Zone(design.zone.clone())),
        amplifier,
        output: label(output),
        verdict: None,
        p_out: None,
        design_w: None,
        expected: ExpectedRow::UNKNOWN,
        measured: history.rack(site, &state).map(|(entry, read)| MeasuredRow {
            ohms: ohms(read.value),
            watts: None,
            deviation: None,
            when: Some(site.log().measured(entry).at.to_string()),
            instrument: Some(label(Ref::Instrument(read.instrument.clone()))),
            hand: None,
            corrected: SaidRow::of_correction(entry),
            corrected_from: corrected_from(site, entry),
        }),
        heard: [
            answers
                .iter()
                .filter(|(_, it)| tells(&it.at) && it.gives.sounds())
                .count(),
            loudspeakers.len(),
        ],
        asked: answers
            .iter()
            .filter(|(_, it)| tells(&it.at) && it.gives.tells())
            .count(),
        misfit: None,
        slips: Vec::new(),
        far_end_db: None,
        hints: Vec::new(),
        next: Vec::new(),
        as_found: None,
        as_left: None,
        also_read: Vec::new(),
        insulation: None,
        off: history.is_off(),
        cores_on: None,
        decision: None,
        u_rel: None,
        reading: None,
        word: None,
        nodes: Vec::new(),
        id: id.to_string(),
        site_wide: Vec::new(),
        to_do: vec![CHOOSE.to_owned()],
        reread: false,
        story: Vec::new(),
        found_cause: None,
        insulation_before: None,
        insulation_found: None,
        doubted: false,
        doubt: None,
        in_doubt: None,
        done: LineDoneRow::default(),
    })
}
