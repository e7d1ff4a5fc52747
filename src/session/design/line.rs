//! A line: after the one under the cursor, in its zone, on its output; or like another one, with all
//! its loudspeakers.

use super::built::Built;
use super::drawn::{Drawn, place};
use super::names::{nth, output_named, zone_named};
use super::refused::Refused;
use super::taken::Typed;
use super::under::Under;
use crate::site::{Design, Kind, Line, LineId, NodeId, Ref};

pub(super) fn line(drawn: Drawn<'_>, under: &Under, mut typed: Typed) -> Result<Built, Refused> {
    let mut built = Built::default();
    let output = match typed.name('o') {
        Some(name) => output_named(drawn, &name)?,
        None => under
            .output
            .clone()
            .ok_or(Refused::NoPlace { parent: "output" })?,
    };
    let all = drawn.below(Kind::Line, output.as_str());
    let here = under.line.as_ref().map(|id| Ref::Line(id.clone()));
    let at = here
        .as_ref()
        .and_then(|here| all.iter().position(|(of, _)| of == here));
    let above = match at.map(|at| &all[at]).or(all.last()) {
        Some((_, Design::Line(it))) => Some(it.clone()),
        _ => None,
    };
    let nth = nth(&mut typed)?.unwrap_or(at.map_or(all.len() + 1, |at| at + 2));
    let like = typed.name('l');
    let asked = typed.flag("ins");
    let zone = typed.name('z');
    let said = typed.word();
    let zone = zone.or(typed.words());
    typed.done("a line")?;
    let like = match like {
        Some(label) => {
            Some(
                drawn
                    .labelled(Kind::Line, "", &label)
                    .ok_or_else(|| Refused::Unknown {
                        found: label.clone(),
                        wanted: "the label of a line".to_owned(),
                    })?,
            )
        }
        None => None,
    };
    let model = match like.as_ref().and_then(|of| drawn.standing(of)) {
        Some(Design::Line(it)) => Some(it.clone()),
        _ => None,
    };
    let last = model.as_ref().or(above.as_ref());
    let label = said.unwrap_or_else(|| {
        let last = last.map(|it| it.label.as_str());
        drawn.next_label(Kind::Line, "", last, "L-1")
    });
    let zone = match zone {
        Some(zone) => zone_named(drawn, &zone, &mut built),
        None => last
            .map(|it| it.zone.clone())
            .or_else(|| {
                drawn
                    .below(Kind::Zone, "")
                    .pop()
                    .map(|(of, _)| of.id().into())
            })
            .ok_or(Refused::Wanted {
                what: "the zone of the first line",
                example: "R-01 Reading room",
            })?,
    };
    let of = drawn.free(Kind::Line, &label, "", &label);
    let orders: Vec<f64> = all.iter().map(|(_, it)| it.order()).collect();
    built.set(
        of.clone(),
        Design::Line(Line {
            label,
            order: place(&orders, nth),
            output,
            zone,
            insulation_asked: asked || last.is_some_and(|it| it.insulation_asked),
            note: None,
        }),
    );
    if let Some(model) = like {
        copy_nodes(drawn, model.id(), &LineId::from(of.id()), &mut built);
    }
    built.main = Some(of);
    Ok(built)
}

/// The nodes of one line again, on another.
fn copy_nodes(drawn: Drawn<'_>, from: &str, to: &LineId, built: &mut Built) {
    let nodes = drawn.below(Kind::Node, from);
    let new: Vec<Ref> = nodes
        .iter()
        .map(|(_, design)| {
            let label = design.label().unwrap_or_default();
            let base = NodeId::of(to, label);
            drawn.free(Kind::Node, base.as_str(), to.as_str(), label)
        })
        .collect();
    for ((_, design), of) in nodes.iter().zip(&new) {
        let mut design = (*design).clone();
        if let Some(row) = design.node_mut() {
            *row.line = to.clone();
            let feeding = Ref::Node(row.from.clone());
            if let Some(at) = nodes.iter().position(|(of, _)| *of == feeding) {
                *row.from = new[at].id().into();
            }
        }
        built.set(of.clone(), design);
    }
}
