//! Items made from the parts of a typed line. What the line does not say is taken from the neighbour above.

use super::built::Built;
use super::drawn::{Drawn, place};
use super::kit;
use super::line::line;
use super::names::{cable_figures, nth};
use super::node::node;
use super::refused::Refused;
use super::taken::Typed;
use super::thing::Thing;
use super::typed::Unit;
use super::under::Under;
use crate::quantity::{Fraction, MicroHenryPerMetre, PicoFaradPerMetre, Volt, Watt};
use crate::site::{
    Amplifier, AmplifierId, Cable, Design, Elements, Figure, Kind, Output, OutputId, Ref, Type,
    Zone,
};

/// The line voltage taken where nobody says another. \[common practice, no source\]
const USUAL_VOLTS: Volt = Volt(100.0);
/// More outputs than any amplifier has: a slip of the hand.
const MOST_OUTPUTS: usize = 64;

/// One entry, a row or several, as the items it adds.
pub(super) fn add(
    elements: &Elements,
    thing: Thing,
    anchor: &Ref,
    text: &str,
) -> Result<Built, Refused> {
    if matches!(thing, Thing::Instrument | Thing::Visit) {
        return kit::add(elements, thing, text);
    }
    let mut all = Built::default();
    let mut now = std::borrow::Cow::Borrowed(elements);
    let mut anchor = anchor.clone();
    let rows = Typed::rows(text)?;
    let several = rows.len() > 1;
    for (nth, typed) in rows.into_iter().enumerate() {
        // A row of nothing is the one before once more, the way to it too.
        let typed = match repeated_run(Drawn(&now), &anchor) {
            Some(run) if nth > 0 && typed.is_empty() => run,
            _ => typed,
        };
        let built = one(Drawn(&now), thing, &anchor, typed)?;
        if several {
            now = std::borrow::Cow::Owned(built.onto(&now));
        }
        // The next row goes on where this one ended.
        if let Some(main) = &built.main {
            anchor = main.clone();
        }
        for (of, design) in built.changes {
            all.set(of, design);
        }
        all.main = built.main;
    }
    Ok(all)
}

/// The run that feeds a place, where it is known, as it is typed.
fn repeated_run(drawn: Drawn<'_>, of: &Ref) -> Option<Typed> {
    let run = drawn.standing(of)?.node()?.run?;
    Typed::rows(&format!("{}m", run.get())).ok()?.pop()
}

fn one(drawn: Drawn<'_>, thing: Thing, anchor: &Ref, typed: Typed) -> Result<Built, Refused> {
    let under = Under::of(drawn, anchor);
    match thing {
        Thing::Amplifier => amplifier(drawn, &under, typed),
        Thing::Output => output(drawn, &under, typed),
        Thing::Line => line(drawn, &under, typed),
        Thing::Loudspeaker | Thing::Junction | Thing::Device => node(drawn, thing, &under, typed),
        Thing::Zone => named(drawn, Kind::Zone, thing, typed),
        Thing::Cable => cable(drawn, typed),
        Thing::Type | Thing::Instrument | Thing::Visit => named(drawn, Kind::Type, thing, typed),
    }
}

fn amplifier(drawn: Drawn<'_>, under: &Under, mut typed: Typed) -> Result<Built, Refused> {
    let all = drawn.below(Kind::Amplifier, "");
    let above = under.amplifier.clone();
    let outputs = |id: &AmplifierId| drawn.below(Kind::Output, id.as_str());
    let like: Vec<&Design> = above.as_ref().map_or_else(Vec::new, |id| {
        outputs(id).into_iter().map(|(_, it)| it).collect()
    });
    let (times, rated, volts) = (
        typed.times(),
        typed.figure(Unit::Watt).map(Watt),
        typed.figure(Unit::Volt).map(Volt),
    );
    let voice_alarm = typed.flag("va");
    let said = typed.words();
    typed.done("an amplifier")?;
    let last = all.last().and_then(|(_, design)| design.label());
    let label = said.unwrap_or_else(|| drawn.next_label(Kind::Amplifier, "", last, "A1"));
    let of = drawn.free(Kind::Amplifier, &label, "", &label);
    let id = AmplifierId::from(of.id());
    let mut built = Built::default();
    built.set(
        of.clone(),
        Design::Amplifier(Amplifier {
            label,
            order: all.last().map_or(1.0, |(_, it)| it.order() + 1.0),
            voice_alarm,
            note: None,
        }),
    );
    // Outputs said, else as many as the amplifier above has, else one.
    let count = times.unwrap_or(if rated.is_some() || like.is_empty() {
        1
    } else {
        like.len()
    });
    if count > MOST_OUTPUTS {
        return Err(Refused::Figure {
            found: format!("{count}x"),
            wanted: "64 outputs at most",
        });
    }
    for at in 0..count {
        let above = match like.get(at).or(like.last()) {
            Some(Design::Output(it)) => Some(it),
            _ => None,
        };
        let label = (at + 1).to_string();
        built.set(
            drawn.free(
                Kind::Output,
                OutputId::of(&id, &label).as_str(),
                id.as_str(),
                &label,
            ),
            Design::Output(Output {
                amplifier: id.clone(),
                label,
                order: (at + 1) as f64,
                volts: volts.or(above.map(|it| it.volts)).unwrap_or(USUAL_VOLTS),
                rated_w: rated.or(above.and_then(|it| it.rated_w)),
                headroom: above.and_then(|it| it.headroom),
                elv: above.is_some_and(|it| it.elv),
            }),
        );
    }
    built.main = Some(of);
    Ok(built)
}

fn output(drawn: Drawn<'_>, under: &Under, mut typed: Typed) -> Result<Built, Refused> {
    let id = under.amplifier.clone().ok_or(Refused::NoPlace {
        parent: "amplifier",
    })?;
    let all = drawn.below(Kind::Output, id.as_str());
    let above = match all.last() {
        Some((_, Design::Output(it))) => Some(it),
        _ => None,
    };
    let rated = typed.figure(Unit::Watt).map(Watt);
    let volts = typed.figure(Unit::Volt).map(Volt);
    let headroom = typed.figure(Unit::Percent).map(Fraction);
    let elv = typed.flag("elv");
    let said = typed.word();
    typed.done("an output")?;
    let last = above.map(|it| it.label.as_str());
    let label = said.unwrap_or_else(|| drawn.next_label(Kind::Output, id.as_str(), last, "1"));
    let of = drawn.free(
        Kind::Output,
        OutputId::of(&id, &label).as_str(),
        id.as_str(),
        &label,
    );
    let design = Design::Output(Output {
        order: above.map_or(1.0, |it| it.order + 1.0),
        amplifier: id,
        label,
        volts: volts.or(above.map(|it| it.volts)).unwrap_or(USUAL_VOLTS),
        rated_w: rated.or(above.and_then(|it| it.rated_w)),
        headroom: headroom.or(above.and_then(|it| it.headroom)),
        elv: elv || above.is_some_and(|it| it.elv),
    });
    Ok(Built {
        changes: vec![(of.clone(), design)],
        main: Some(of),
    })
}

fn named(drawn: Drawn<'_>, kind: Kind, thing: Thing, mut typed: Typed) -> Result<Built, Refused> {
    let all = drawn.below(kind, "");
    let orders: Vec<f64> = all.iter().map(|(_, it)| it.order()).collect();
    let nth = nth(&mut typed)?.unwrap_or(all.len() + 1);
    let label = typed.words().ok_or(Refused::Wanted {
        what: "a name",
        example: "Reading room",
    })?;
    typed.done(thing.word())?;
    let of = drawn.free(kind, &label, "", &label);
    let design = if kind == Kind::Zone {
        Design::Zone(Zone {
            label,
            order: place(&orders, nth),
        })
    } else {
        Design::Type(Type { label })
    };
    Ok(Built {
        changes: vec![(of.clone(), design)],
        main: Some(of),
    })
}

fn cable(drawn: Drawn<'_>, mut typed: Typed) -> Result<Built, Refused> {
    let (r20, l, c) = cable_figures(&mut typed);
    let label = typed.words().ok_or(Refused::Wanted {
        what: "a name",
        example: "bell 36ohm/km",
    })?;
    typed.done("a cable")?;
    let r20_ohm_km = r20.ok_or(Refused::Wanted {
        what: "the resistance of one conductor",
        example: "bell 36ohm/km",
    })?;
    let of = drawn.free(Kind::Cable, &label, "", &label);
    // Those of a standard cable, where they are not known.
    let usual = |figure: Figure| figure.row().default;
    let design = Design::Cable(Cable {
        label,
        r20_ohm_km,
        l_uh_m: l.unwrap_or(MicroHenryPerMetre(usual(Figure::CableUhM))),
        c_pf_m: c.unwrap_or(PicoFaradPerMetre(usual(Figure::CablePfM))),
    });
    Ok(Built {
        changes: vec![(of.clone(), design)],
        main: Some(of),
    })
}
