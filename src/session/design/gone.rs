//! Items that are not there: a loudspeaker that was not found, a line that was taken out. Nothing is deleted:
//! the item is retired with the reason, and what it fed is fed by what fed it.

use super::built::Built;
use super::drawn::Drawn;
use super::refused::Refused;
use crate::quantity::Metre;
use crate::site::{Design, Elements, Kind, Ref, Retired};

/// An item retired.
pub(super) fn gone(elements: &Elements, of: &Ref, why: &str) -> Result<Built, Refused> {
    let drawn = Drawn(elements);
    let design = drawn.standing(of).ok_or_else(|| Refused::gone(of))?;
    let why = why.trim();
    if why.is_empty() {
        return Err(Refused::Wanted {
            what: "the reason",
            example: "not found above the ceiling",
        });
    }
    let retired = |design: &Design| {
        Design::Retired(Retired {
            why: why.to_owned(),
            was: Box::new(design.clone()),
        })
    };
    let in_use = |what| {
        Err(Refused::InUse {
            label: design.label().unwrap_or_default().to_owned(),
            what,
        })
    };
    let named = |wanted: &dyn Fn(&Design) -> bool| {
        let mut items = drawn.0.items();
        items.any(|(_, it)| !matches!(it, Design::Retired(_)) && wanted(it))
    };
    let mut built = Built::default();
    match design {
        Design::Amplifier(_) => {
            for (output, it) in drawn.below(Kind::Output, of.id()) {
                if !drawn.below(Kind::Line, output.id()).is_empty() {
                    return in_use("lines");
                }
                built.set(output, retired(it));
            }
        }
        Design::Output(_) if !drawn.below(Kind::Line, of.id()).is_empty() => {
            return in_use("lines");
        }
        Design::Zone(_)
            if named(&|it| matches!(it, Design::Line(it) if it.zone.as_str() == of.id())) =>
        {
            return in_use("lines");
        }
        Design::Type(_)
            if named(
                &|it| matches!(it, Design::Loudspeaker(it) if it.r#type.as_str() == of.id()),
            ) =>
        {
            return in_use("loudspeakers");
        }
        Design::Cable(_)
            if named(&|it| it.node().is_some_and(|it| it.cable.as_str() == of.id())) =>
        {
            return in_use("runs");
        }
        Design::Line(_) => {
            for (node, it) in drawn.below(Kind::Node, of.id()) {
                built.set(node, retired(it));
            }
        }
        Design::Loudspeaker(_) | Design::Junction(_) | Design::Device(_) => {
            rehang(drawn, of, design, &mut built);
        }
        Design::Site(_) => return in_use("its building"),
        _ => {}
    }
    built.set(of.clone(), retired(design));
    built.main = match design.parent() {
        "" => None,
        line if of.kind() == Kind::Node => Some(Ref::Line(line.into())),
        output if of.kind() == Kind::Line => Some(Ref::Output(output.into())),
        _ => None,
    };
    Ok(built)
}

/// What it fed hangs on what fed it, over both runs; a length that is not known makes none of both.
pub(super) fn rehang(drawn: Drawn<'_>, of: &Ref, design: &Design, built: &mut Built) {
    let Some(own) = design.node() else {
        return;
    };
    for (next, it) in drawn.below(Kind::Node, design.parent()) {
        let mut it = it.clone();
        let Some(row) = it.node_mut().filter(|row| row.from.as_str() == of.id()) else {
            continue;
        };
        *row.from = own.from.clone();
        *row.run = match (own.run, *row.run) {
            (Some(a), Some(b)) => Some(Metre(a.get() + b.get())),
            _ => None,
        };
        built.set(next, it);
    }
}
