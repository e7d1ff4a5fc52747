//! Names and places as they are typed: an output, a cable, a type, a zone, the n-th of a list.

use super::built::Built;
use super::drawn::Drawn;
use super::refused::Refused;
use super::taken::Typed;
use super::typed::Unit;
use crate::quantity::{MicroHenryPerMetre, OhmPerKm, PicoFaradPerMetre, Watt};
use crate::site::{
    CableId, Design, Kind, NodeId, OutputId, RACK, Type, TypeId, UNNAMED_TYPE, Zone, ZoneId, escape,
};

/// Resistance, inductance and capacitance of a cable, as far as they are said.
pub(super) fn cable_figures(
    typed: &mut Typed,
) -> (
    Option<OhmPerKm>,
    Option<MicroHenryPerMetre>,
    Option<PicoFaradPerMetre>,
) {
    (
        typed.figure(Unit::OhmPerKm).map(OhmPerKm),
        typed
            .figure(Unit::MicroHenryPerMetre)
            .map(MicroHenryPerMetre),
        typed.figure(Unit::PicoFaradPerMetre).map(PicoFaradPerMetre),
    )
}

/// The place in a list, `n:3`.
pub(super) fn nth(typed: &mut Typed) -> Result<Option<usize>, Refused> {
    let Some(text) = typed.name('n') else {
        return Ok(None);
    };
    match text.parse::<usize>() {
        Ok(nth) if nth > 0 => Ok(Some(nth)),
        _ => Err(Refused::Figure {
            found: format!("n:{text}"),
            wanted: "a place in the list, such as n:3",
        }),
    }
}

/// Taps as typed, `1.5/3/6`; empty is not known.
pub(super) fn taps(text: &str) -> Result<Option<Vec<Watt>>, Refused> {
    if text.is_empty() {
        return Ok(None);
    }
    let wanted = "taps such as s:1.5/3/6, or s: alone for not known";
    text.trim_end_matches(['w', 'W'])
        .split(['/', '|'])
        .map(|tap| {
            crate::quantity::decimal(tap.trim(), crate::quantity::DecimalSign::Either)
                .map(|value| Watt(value.value))
                .map_err(|_| Refused::Figure {
                    found: format!("s:{text}"),
                    wanted,
                })
        })
        .collect::<Result<Vec<_>, _>>()
        .map(Some)
}

/// What a type without a name is called after: its taps.
pub(super) fn plain_type(taps: Option<&[Watt]>) -> String {
    taps.map_or_else(
        || UNNAMED_TYPE.to_owned(),
        |taps| {
            let taps: Vec<String> = taps.iter().map(|tap| tap.get().to_string()).collect();
            format!("taps {}", taps.join(" "))
        },
    )
}

/// The taps that loudspeakers of a type have elsewhere on the site.
pub(super) fn type_taps(drawn: Drawn<'_>, label: Option<&str>) -> Option<Vec<Watt>> {
    let of = drawn.labelled(Kind::Type, "", label?)?;
    drawn.0.items().find_map(|(_, design)| match design {
        Design::Loudspeaker(it) if it.r#type.as_str() == of.id() => it.taps_w.clone(),
        _ => None,
    })
}

/// The type of that name; a new one where there is none.
pub(super) fn type_named(drawn: Drawn<'_>, label: &str, built: &mut Built) -> TypeId {
    if let Some(of) = drawn.labelled(Kind::Type, "", label) {
        return of.id().into();
    }
    let of = drawn.free(Kind::Type, label, "", label);
    let id = of.id().into();
    let label = label.to_owned();
    built.set(of, Design::Type(Type { label }));
    id
}

/// The zone of that name; a new one where there is none.
pub(super) fn zone_named(drawn: Drawn<'_>, label: &str, built: &mut Built) -> ZoneId {
    if let Some(of) = drawn.labelled(Kind::Zone, "", label) {
        return of.id().into();
    }
    let of = drawn.free(Kind::Zone, label, "", label);
    let id = of.id().into();
    let zones = drawn.below(Kind::Zone, "");
    let order = zones.last().map_or(1.0, |(_, it)| it.order() + 1.0);
    let label = label.to_owned();
    built.set(of, Design::Zone(Zone { label, order }));
    id
}

/// The cable that is said, by its size or as `c:NAME`; none where none is.
pub(super) fn cable_said(drawn: Drawn<'_>, typed: &mut Typed) -> Result<Option<CableId>, Refused> {
    Ok(match (typed.conductor(), typed.name('c')) {
        (Some(conductor), _) => Some(CableId(conductor.name())),
        (None, Some(name)) => Some(cable_named(drawn, &name)?),
        (None, None) => None,
    })
}

/// The rack, or a node of a line by its label.
pub(super) fn node_named(drawn: Drawn<'_>, line: &str, label: &str) -> Result<NodeId, Refused> {
    if label.eq_ignore_ascii_case(RACK) {
        return Ok(NodeId::rack());
    }
    let found = drawn.labelled(Kind::Node, line, label);
    found
        .map(|of| NodeId::from(of.id()))
        .ok_or_else(|| Refused::Unknown {
            found: label.to_owned(),
            wanted: "rack, or a label of this line".to_owned(),
        })
}

/// A cable of the site by its name.
fn cable_named(drawn: Drawn<'_>, name: &str) -> Result<CableId, Refused> {
    if let Some(conductor) = crate::site::Conductor::named(name) {
        return Ok(CableId(conductor.name()));
    }
    drawn
        .labelled(Kind::Cable, "", name)
        .map(|of| CableId::from(of.id()))
        .ok_or_else(|| Refused::Unknown {
            found: name.to_owned(),
            wanted: "1.5mm2, 16awg or the name of a cable of the site".to_owned(),
        })
}

/// An output as people write it: `A1/2`, `A1 out 2`, `A3` where it has one only.
pub(super) fn output_named(drawn: Drawn<'_>, name: &str) -> Result<OutputId, Refused> {
    let plain = |text: &str| text.to_lowercase().replace(" out ", "/").replace(' ', "");
    let wanted = plain(name);
    let mut found = None;
    for (amplifier, design) in drawn.below(Kind::Amplifier, "") {
        let outputs = drawn.below(Kind::Output, amplifier.id());
        let alone = outputs.len() == 1;
        let amplifier = plain(&escape(design.label().unwrap_or_default()));
        for (of, design) in outputs {
            let label = plain(&escape(design.label().unwrap_or_default()));
            if format!("{amplifier}/{label}") == wanted || alone && amplifier == wanted {
                found = Some(OutputId::from(of.id()));
            }
        }
    }
    found.ok_or_else(|| Refused::Unknown {
        found: name.to_owned(),
        wanted: "an output such as A1/2".to_owned(),
    })
}
