//! A place of one line moved to another, with the run that feeds it and all that hangs behind it. What
//! was read and heard stays with the line it was read on.

use super::built::Built;
use super::describe::fed_from;
use super::drawn::Drawn;
use super::refused::Refused;
use super::taken::Typed;
use crate::site::{Design, Kind, LineId, NodeId, RACK, Ref};

/// Takes `l:R-05`: the place hangs on that line then, at its end or where `f:` says. False where it
/// stays on its line.
pub(super) fn begin(
    drawn: Drawn<'_>,
    now: &mut Design,
    typed: &mut Typed,
) -> Result<bool, Refused> {
    let Some(label) = typed.name('l') else {
        return Ok(false);
    };
    let to = drawn.labelled(Kind::Line, "", &label);
    let to = to.ok_or_else(|| Refused::Unknown {
        found: label,
        wanted: "the label of a line".to_owned(),
    })?;
    if to.id() == now.parent() {
        return Ok(false);
    }
    let there = drawn.below(Kind::Node, to.id());
    let end = there.last().map(|(of, _)| NodeId::from(of.id()));
    let Some(row) = now.node_mut() else {
        return Ok(false);
    };
    let fed_by = fed_from(drawn, row.from);
    // The place it was fed from stands in the words that were opened: it was not said for this line.
    let said = typed.name('f').filter(|name| *name != fed_by);
    *row.from = match said {
        None => end.unwrap_or_else(NodeId::rack),
        Some(name) if name.eq_ignore_ascii_case(RACK) => NodeId::rack(),
        Some(name) => match drawn.labelled(Kind::Node, to.id(), &name) {
            Some(of) => of.id().into(),
            None => {
                return Err(Refused::Unknown {
                    found: name,
                    wanted: "rack, or a label of the line it goes to".to_owned(),
                });
            }
        },
    };
    *row.line = to.id().into();
    Ok(true)
}

/// What hangs behind it goes along, in its order; a label that the other line has already becomes the
/// next one that is free there.
pub(super) fn finish(drawn: Drawn<'_>, of: &Ref, now: &mut Design, built: &mut Built) {
    let to = now.parent().to_owned();
    let there = drawn.below(Kind::Node, &to);
    let mut labels: Vec<String> = there
        .iter()
        .filter_map(|(_, design)| design.label().map(str::to_owned))
        .collect();
    let mut order = there.last().map_or(0.0, |(_, it)| it.order());
    let mut settle = |design: &mut Design| {
        order += 1.0;
        let label = free_label(drawn, &to, design.label().unwrap_or_default(), &labels);
        labels.push(label.clone());
        if let Some(node) = design.node_mut() {
            (*node.label, *node.order) = (label, order);
        }
    };
    settle(now);
    let was = drawn.standing(of).map_or("", Design::parent);
    let mut going = vec![of.id().to_owned()];
    let own = drawn.below(Kind::Node, was);
    // A place may stand in the list before the one that feeds it: as often as anything new is found.
    loop {
        let before = going.len();
        for (next, design) in &own {
            let fed_by = design.node().map(|row| row.from.as_str());
            let behind = going.iter().any(|it| Some(it.as_str()) == fed_by);
            if !behind || going.iter().any(|it| it == next.id()) {
                continue;
            }
            going.push(next.id().to_owned());
            let mut design = (*design).clone();
            if let Some(row) = design.node_mut() {
                *row.line = LineId::from(to.as_str());
            }
            settle(&mut design);
            built.set(next.clone(), design);
        }
        if going.len() == before {
            return;
        }
    }
}

fn free_label(drawn: Drawn<'_>, line: &str, label: &str, taken: &[String]) -> String {
    let mut label = label.to_owned();
    while taken.contains(&label) {
        label = drawn.next_label(Kind::Node, line, Some(&label), &label);
    }
    label
}
