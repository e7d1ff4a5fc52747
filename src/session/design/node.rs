//! A loudspeaker, a joint box, a device: with the run that feeds it, at the end, as a branch or in the
//! run of another.

use super::built::Built;
use super::drawn::{Drawn, place};
use super::names::{cable_said, node_named, plain_type, taps, type_named, type_taps};
use super::refused::Refused;
use super::taken::Typed;
use super::thing::Thing;
use super::typed::Unit;
use super::under::Under;
use crate::quantity::{Farad, Metre, Ohm, Watt};
use crate::site::{DEFAULT_CABLE, Design, Device, Junction, Kind, Loudspeaker, NodeId, Ref};

pub(super) fn node(
    drawn: Drawn<'_>,
    thing: Thing,
    under: &Under,
    mut typed: Typed,
) -> Result<Built, Refused> {
    let line = under
        .line
        .clone()
        .ok_or(Refused::NoPlace { parent: "line" })?;
    let mut built = Built::default();
    let all = drawn.below(Kind::Node, line.as_str());
    let place_of = |id: &NodeId| all.iter().position(|(of, _)| of.id() == id.as_str());
    let named = |label: String| node_named(drawn, line.as_str(), &label);
    let run = typed.figure(Unit::Metre).map(Metre);
    let said_from = typed.name('f').map(named).transpose()?;
    let before = typed.name('b').map(named).transpose()?;
    let from = match (&before, said_from) {
        (_, Some(from)) => from,
        (Some(before), None) => place_of(before)
            .and_then(|at| all[at].1.node().map(|it| it.from.clone()))
            .unwrap_or_else(NodeId::rack),
        (None, None) => under
            .node
            .clone()
            .or_else(|| all.last().map(|(of, _)| of.id().into()))
            .unwrap_or_else(NodeId::rack),
    };
    let next = before.as_ref().and_then(place_of);
    // What is not said is as it is at the node above, at best a loudspeaker.
    let at = place_of(&from);
    let upto = at.map_or(all.len(), |at| at + 1);
    let above = all[..upto]
        .iter()
        .rev()
        .chain(all[upto..].iter())
        .find_map(|(_, it)| match it {
            Design::Loudspeaker(it) => Some(it.clone()),
            _ => None,
        })
        .or_else(|| last_loudspeaker(drawn));
    let on_line = above.as_ref().filter(|it| it.line == line);
    let said = cable_said(drawn, &mut typed)?;
    let cable = said.unwrap_or_else(|| match &above {
        Some(it) => it.cable.clone(),
        None => DEFAULT_CABLE.into(),
    });
    // A length is like the last only between loudspeakers: the way to the rack is its own.
    let run_m = run.or_else(|| {
        let last = on_line.filter(|it| !it.from.is_rack() && !from.is_rack() && before.is_none());
        last.and_then(|it| it.run_m)
    });
    let control = typed.flag("control");
    let orders: Vec<f64> = all.iter().map(|(_, it)| it.order()).collect();
    let order = place(&orders, next.unwrap_or(upto) + 1);
    let first = match thing {
        Thing::Junction => "J-1",
        Thing::Device => "D-1",
        _ => "LS-1",
    };
    let label = |typed: &mut Typed| {
        let same = |it: &&Design| Thing::of(it) == Some(thing);
        let last = all[..upto].iter().rev().map(|(_, it)| *it).find(same);
        let last = last.or_else(|| all.iter().rev().map(|(_, it)| *it).find(same));
        typed.word().unwrap_or_else(|| {
            let last = last.and_then(Design::label);
            drawn.next_label(Kind::Node, line.as_str(), last, first)
        })
    };
    let design = match thing {
        Thing::Loudspeaker => {
            let tap = typed.figure(Unit::Watt).map(Watt);
            let taps = typed.name('s').map(|text| taps(&text)).transpose()?;
            let make = typed.name('t');
            let block = typed.flag("block");
            let other = make.is_some();
            let like = above.as_ref();
            let taps_w = match taps {
                Some(taps) => taps,
                // Another type has other taps.
                None if other => type_taps(drawn, make.as_deref()),
                None => like.and_then(|it| it.taps_w.clone()),
            };
            let tap_w = tap.or(like.map(|it| it.tap_w)).ok_or(Refused::Wanted {
                what: "the tap of the first loudspeaker",
                example: "6w 12m t:bowl s:3/6/12",
            })?;
            let r#type = match make {
                Some(make) => type_named(drawn, &make, &mut built),
                None => match like {
                    Some(it) => it.r#type.clone(),
                    None => type_named(drawn, &plain_type(taps_w.as_deref()), &mut built),
                },
            };
            let label = label(&mut typed);
            Design::Loudspeaker(Loudspeaker {
                line: line.clone(),
                label,
                order,
                from: from.clone(),
                run_m,
                cable,
                control,
                tap_w,
                taps_w,
                r#type,
                dc_block: block || (!other && like.is_some_and(|it| it.dc_block)),
            })
        }
        Thing::Device => {
            let (ohm, farad) = (typed.figure(Unit::Ohm), typed.figure(Unit::Farad));
            let label = label(&mut typed);
            Design::Device(Device {
                line: line.clone(),
                label,
                order,
                from: from.clone(),
                run_m,
                cable,
                control,
                ohm: ohm.map(Ohm),
                farad: farad.map(Farad),
            })
        }
        _ => Design::Junction(Junction {
            label: label(&mut typed),
            line: line.clone(),
            order,
            from: from.clone(),
            run_m,
            cable,
            control,
        }),
    };
    typed.done(thing.word())?;
    let label = design.label().unwrap_or_default().to_owned();
    let base = NodeId::of(&line, &label);
    let of = drawn.free(Kind::Node, base.as_str(), line.as_str(), &label);
    built.set(of.clone(), design);
    if let Some(next) = next {
        let (next_of, design) = &all[next];
        built.set(next_of.clone(), rehung(design, of.id(), run)?);
    }
    built.main = Some(of);
    Ok(built)
}

/// The node behind one that was put into its run: fed by it, over what is left of the run.
fn rehung(design: &Design, from: &str, piece: Option<Metre>) -> Result<Design, Refused> {
    let mut design = design.clone();
    if let Some(row) = design.node_mut() {
        *row.from = from.into();
        *row.run = match (*row.run, piece) {
            (Some(whole), Some(piece)) if piece.get() < whole.get() => {
                Some(Metre(whole.get() - piece.get()))
            }
            (Some(_), _) => {
                return Err(Refused::Wanted {
                    what: "how far along that run, less than the whole of it,",
                    example: "4m b:LS-5",
                });
            }
            (None, _) => None,
        };
    }
    Ok(design)
}

/// The last loudspeaker of the site in rack order.
fn last_loudspeaker(drawn: Drawn<'_>) -> Option<Loudspeaker> {
    let order = |kind: Kind, id: &str| {
        let design = drawn.standing(&Ref::new(kind, id))?;
        Some((design.order(), design.parent()))
    };
    let place = |it: &Loudspeaker| {
        let (line, output) = order(Kind::Line, it.line.as_str())?;
        let (output, amplifier) = order(Kind::Output, output)?;
        let (amplifier, _) = order(Kind::Amplifier, amplifier)?;
        Some([amplifier, output, line, it.order])
    };
    let speakers = drawn.0.items().filter_map(|(_, design)| match design {
        Design::Loudspeaker(it) => Some((place(it)?, it)),
        _ => None,
    });
    speakers
        .max_by(|a, b| {
            let pairs = a.0.iter().zip(&b.0);
            pairs.fold(std::cmp::Ordering::Equal, |so_far, (a, b)| {
                so_far.then_with(|| a.total_cmp(b))
            })
        })
        .map(|(_, it)| it.clone())
}
