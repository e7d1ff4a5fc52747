//! An item changed by typing anew the whole line that describes it. What the line does not say, the item
//! no longer has.

use super::built::Built;
use super::drawn::{Drawn, place};
use super::names::{
    cable_figures, cable_said, node_named, nth, output_named, plain_type, taps, type_named,
    zone_named,
};
use super::refused::Refused;
use super::taken::Typed;
use super::thing::Thing;
use super::typed::Unit;
use super::{describe, gone, kit, moved};
use crate::quantity::{Farad, Fraction, Metre, Ohm, Volt, Watt};
use crate::site::{DEFAULT_CABLE, Design, Elements, Kind, Ref};

/// An item as the typed line has it.
pub(super) fn change(elements: &Elements, of: &Ref, text: &str) -> Result<Built, Refused> {
    if kit::is_kit(of) {
        return kit::change(elements, of, text);
    }
    let drawn = Drawn(elements);
    let standing = drawn.standing(of).ok_or_else(|| Refused::gone(of))?;
    if let Some(why) = text.trim().strip_prefix("gone:") {
        return gone::gone(elements, of, why);
    }
    let mut built = Built {
        main: Some(of.clone()),
        ..Built::default()
    };
    // The building's name is all that is typed.
    if let Design::Site(site) = standing {
        let mut site = site.clone();
        site.label = text.trim().to_owned();
        return finished(drawn, of, Design::Site(site), built);
    }
    let mut all = Typed::rows(text)?;
    if all.len() != 1 {
        return Err(Refused::Wanted {
            what: "one row",
            example: "an item is changed by itself; \"in marks\" a ; is part of a label",
        });
    }
    let mut typed = all.remove(0);
    if typed.is_empty() {
        return Err(Refused::Wanted {
            what: "its label",
            example: "gone: and the reason says that it is not there",
        });
    }
    let thing = Thing::of(standing).map_or("this", Thing::word);
    let mut now = standing.clone();
    fill(drawn, of, &mut now, &mut typed, &mut built)?;
    typed.done(thing)?;
    finished(drawn, of, now, built)
}

fn finished(drawn: Drawn<'_>, of: &Ref, now: Design, mut built: Built) -> Result<Built, Refused> {
    if drawn.standing(of) == Some(&now) {
        return Err(Refused::Same);
    }
    if let Some(was) = drawn.standing(of)
        && hangs_beyond(drawn, of, &now)
    {
        // It goes past what it fed itself: that closes up behind it, or the cable would run in a ring.
        gone::rehang(drawn, of, was, &mut built);
    }
    built.set(of.clone(), now);
    Ok(built)
}

/// Whether what is to feed a node is another that it feeds, by however many more.
fn hangs_beyond(drawn: Drawn<'_>, of: &Ref, now: &Design) -> bool {
    let feeds = |design: &Design| design.node().map(|it| it.from.clone());
    let mut feeding = feeds(now).filter(|node| node.as_str() != of.id());
    // A file may have a ring already: no longer way than there are places.
    for _ in drawn.below(Kind::Node, now.parent()) {
        match feeding {
            Some(node) if node.as_str() == of.id() => return true,
            Some(node) => feeding = drawn.standing(&Ref::Node(node)).and_then(feeds),
            None => return false,
        }
    }
    false
}

const LABEL: Refused = Refused::Wanted {
    what: "its label",
    example: "the first word",
};

fn fill(
    drawn: Drawn<'_>,
    of: &Ref,
    now: &mut Design,
    typed: &mut Typed,
    built: &mut Built,
) -> Result<(), Refused> {
    let mut moves = false;
    if now.node().is_some() {
        moves = moved::begin(drawn, now, typed)?;
        run(drawn, now, typed)?;
    }
    match now {
        Design::Amplifier(it) => {
            it.voice_alarm = typed.flag("va");
            it.label = typed.words().ok_or(LABEL)?;
        }
        Design::Output(it) => {
            it.rated_w = typed.figure(Unit::Watt).map(Watt);
            if let Some(volts) = typed.figure(Unit::Volt) {
                it.volts = Volt(volts);
            }
            it.headroom = typed.figure(Unit::Percent).map(Fraction);
            it.elv = typed.flag("elv");
            it.label = typed.word().ok_or(LABEL)?;
        }
        Design::Line(it) => {
            let was = it.output.clone();
            if let Some(name) = typed.name('o') {
                it.output = output_named(drawn, &name)?;
            }
            it.insulation_asked = typed.flag("ins");
            let nth = nth(typed)?;
            let zone = typed.name('z');
            it.label = typed.word().ok_or(LABEL)?;
            if let Some(zone) = zone.or(typed.words()) {
                it.zone = zone_named(drawn, &zone, built);
            }
            let others: Vec<f64> = drawn
                .below(Kind::Line, it.output.as_str())
                .into_iter()
                .filter(|(other, _)| other != of)
                .map(|(_, other)| other.order())
                .collect();
            if it.output != was {
                // At the end of its new output, unless a place was typed for it.
                it.order = place(&others, others.len() + 1);
            } else if let Some(nth) = nth {
                keep_or_place(drawn, of, &mut it.order, &others, nth, it.output.as_str());
            }
        }
        Design::Loudspeaker(it) => {
            it.tap_w = typed.figure(Unit::Watt).map(Watt).ok_or(Refused::Wanted {
                what: "its tap",
                example: "6w",
            })?;
            it.taps_w = match typed.name('s') {
                Some(text) => taps(&text)?,
                None => None,
            };
            it.r#type = match typed.name('t') {
                Some(make) => type_named(drawn, &make, built),
                None => type_named(drawn, &plain_type(it.taps_w.as_deref()), built),
            };
            it.dc_block = typed.flag("block");
            it.label = typed.word().ok_or(LABEL)?;
        }
        Design::Junction(it) => it.label = typed.word().ok_or(LABEL)?,
        Design::Device(it) => {
            it.ohm = typed.figure(Unit::Ohm).map(Ohm);
            it.farad = typed.figure(Unit::Farad).map(Farad);
            it.label = typed.word().ok_or(LABEL)?;
        }
        Design::Zone(it) => {
            if let Some(nth) = nth(typed)? {
                let others: Vec<f64> = drawn
                    .below(Kind::Zone, "")
                    .into_iter()
                    .filter(|(other, _)| other != of)
                    .map(|(_, other)| other.order())
                    .collect();
                keep_or_place(drawn, of, &mut it.order, &others, nth, "");
            }
            it.label = typed.words().ok_or(LABEL)?;
        }
        Design::Type(it) => it.label = typed.words().ok_or(LABEL)?,
        Design::Cable(it) => {
            let (r20, l, c) = cable_figures(typed);
            it.r20_ohm_km = r20.unwrap_or(it.r20_ohm_km);
            it.l_uh_m = l.unwrap_or(it.l_uh_m);
            it.c_pf_m = c.unwrap_or(it.c_pf_m);
            it.label = typed.words().ok_or(LABEL)?;
        }
        _ => {}
    }
    if moves {
        moved::finish(drawn, of, now, built);
    }
    Ok(())
}

/// The same place in the list keeps its number; another gets one between its neighbours.
fn keep_or_place(
    drawn: Drawn<'_>,
    of: &Ref,
    order: &mut f64,
    others: &[f64],
    nth: usize,
    parent: &str,
) {
    let all = drawn.below(of.kind(), parent);
    let is = all.iter().position(|(other, _)| other == of);
    if is != Some(nth - 1) {
        *order = place(others, nth);
    }
}

/// Run, cable, feeding node, control; a change of label leaves the id as it was.
fn run(drawn: Drawn<'_>, now: &mut Design, typed: &mut Typed) -> Result<(), Refused> {
    let from = match typed.name('f') {
        Some(label) => Some(node_named(drawn, now.parent(), &label)?),
        None => None,
    };
    let cable = cable_said(drawn, typed)?;
    let control = typed.flag("control");
    if let Some(row) = now.node_mut() {
        *row.run = typed.figure(Unit::Metre).map(Metre);
        *row.cable = cable.unwrap_or_else(|| DEFAULT_CABLE.into());
        *row.control = control;
        if let Some(from) = from {
            *row.from = from;
        }
    }
    Ok(())
}

/// The line that is typed to have an item as it stands.
pub(super) fn text(elements: &Elements, of: &Ref) -> Option<String> {
    let drawn = Drawn(elements);
    if kit::is_kit(of) {
        return kit::text(of, drawn.standing(of));
    }
    let design = drawn.standing(of)?;
    Some(match design {
        Design::Site(site) => site.label.clone(),
        _ => describe::text(drawn, of, design),
    })
}
