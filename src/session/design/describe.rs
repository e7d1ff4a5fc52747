//! An item in words: the line that is typed to have it again, and its fields one by one.

use super::drawn::Drawn;
use super::kit;
use super::thing::{Row, Thing};
use super::typed::{cable_text, quoted};
use crate::quantity::{Farad, Metre, Watt, show};
use crate::site::{Conductor, Design, Kind, NodeId, OutputId, RACK, Ref, escape};

/// A number with nothing that it does not need; reads back to the same.
fn plain(value: f64) -> String {
    value.to_string()
}

/// A capacitance with nothing that it does not need, nF.
fn nanofarad(farad: Farad) -> f64 {
    (farad.get() * 1e15).round() / 1e6
}

/// The line that is typed to have an item as it is.
pub(super) fn text(drawn: Drawn<'_>, of: &Ref, design: &Design) -> String {
    let mut out = vec![quoted(design.label().unwrap_or_default())];
    match design {
        Design::Amplifier(it) if it.voice_alarm => out.push("va".to_owned()),
        Design::Output(it) => {
            if let Some(rated) = it.rated_w {
                out.push(format!("{}w", plain(rated.get())));
            }
            out.push(format!("{}v", plain(it.volts.get())));
            if let Some(share) = it.headroom {
                out.push(format!("{}%", plain((share.get() * 1e6).round() / 1e4)));
            }
            if it.elv {
                out.push("elv".to_owned());
            }
        }
        Design::Line(it) => {
            out.push(quoted(&drawn.label(&Ref::Zone(it.zone.clone()))));
            out.push(format!("o:{}", quoted(&output_text(drawn, &it.output))));
            out.extend(nth_text(drawn, of, design));
            if it.insulation_asked {
                out.push("ins".to_owned());
            }
        }
        Design::Loudspeaker(it) => {
            out.push(format!("{}w", plain(it.tap_w.get())));
            out.extend(run_texts(drawn, design));
            let make = drawn.label(&Ref::Type(it.r#type.clone()));
            out.push(format!("t:{}", quoted(&make)));
            if let Some(taps) = &it.taps_w {
                out.push(format!("s:{}", taps_text(taps)));
            }
            if it.dc_block {
                out.push("block".to_owned());
            }
        }
        Design::Junction(_) => out.extend(run_texts(drawn, design)),
        Design::Device(it) => {
            if let Some(ohm) = it.ohm {
                out.push(format!("{}ohm", plain(ohm.get())));
            }
            if let Some(farad) = it.farad {
                out.push(format!("{}nf", plain(nanofarad(farad))));
            }
            out.extend(run_texts(drawn, design));
        }
        Design::Zone(_) => out.extend(nth_text(drawn, of, design)),
        Design::Cable(it) => out.extend([
            format!("{}ohm/km", plain(it.r20_ohm_km.get())),
            format!("{}uh/m", plain(it.l_uh_m.get())),
            format!("{}pf/m", plain(it.c_pf_m.get())),
        ]),
        _ => {}
    }
    out.join(" ")
}

fn taps_text(taps: &[Watt]) -> String {
    let taps: Vec<String> = taps.iter().map(|tap| plain(tap.get())).collect();
    taps.join("/")
}

/// `A1/2`.
pub(super) fn output_text(drawn: Drawn<'_>, output: &OutputId) -> String {
    let of = Ref::Output(output.clone());
    let amplifier = drawn.standing(&of).map_or("", Design::parent);
    let amplifier = drawn.label(&Ref::Amplifier(amplifier.into()));
    format!("{}/{}", escape(&amplifier), escape(&drawn.label(&of)))
}

/// `n:3`, the place among its siblings.
fn nth_text(drawn: Drawn<'_>, of: &Ref, design: &Design) -> Option<String> {
    let all = drawn.below(of.kind(), design.parent());
    let at = all.iter().position(|(other, _)| other == of)?;
    Some(format!("n:{}", at + 1))
}

fn run_texts(drawn: Drawn<'_>, design: &Design) -> Vec<String> {
    let mut out = Vec::new();
    let Some(node) = design.node() else {
        return out;
    };
    out.extend(node.run.map(|run| format!("{}m", plain(run.get()))));
    let size = Conductor::named(node.cable.as_str());
    out.push(cable_text(size, || {
        drawn.label(&Ref::Cable(node.cable.clone()))
    }));
    out.push(format!("f:{}", quoted(&fed_from(drawn, node.from))));
    if node.control {
        out.push("control".to_owned());
    }
    out
}

/// What feeds a node, by its label.
pub(super) fn fed_from(drawn: Drawn<'_>, from: &NodeId) -> String {
    match from.is_rack() {
        true => RACK.to_owned(),
        false => drawn.label(&Ref::Node(from.clone())),
    }
}

/// The fields of an item for the panel.
pub(in crate::session) fn rows(drawn: Drawn<'_>, of: &Ref, design: &Design) -> Vec<Row> {
    if let Design::Figure(it) = design {
        return vec![("value", plain(it.value))];
    }
    let mut out = vec![("label", design.label().unwrap_or_default().to_owned())];
    out.extend(kit::rows(design));
    let yes = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
    let unknown = || "not known".to_owned();
    match design {
        Design::Amplifier(it) => {
            out.push(("voice alarm", yes(it.voice_alarm)));
            let outputs = drawn.below(Kind::Output, of.id()).len();
            if outputs > 0 {
                out.push(("outputs", outputs.to_string()));
            }
        }
        Design::Output(it) => {
            let amplifier = drawn.label(&Ref::Amplifier(it.amplifier.clone()));
            out.push(("amplifier", amplifier));
            out.push(("rating", it.rated_w.map_or_else(unknown, show::marked_watt)));
            out.push(("line voltage", show::volt(it.volts)));
            if let Some(share) = it.headroom {
                out.push(("keep free", show::percent(share)));
            }
            if it.elv {
                out.push(("extra-low", yes(true)));
            }
        }
        Design::Line(it) => {
            out.push(("zone", drawn.label(&Ref::Zone(it.zone.clone()))));
            out.push(("output", output_text(drawn, &it.output)));
            let nodes = drawn.below(Kind::Node, of.id()).len();
            if nodes > 0 {
                out.push(("places", nodes.to_string()));
            }
            if it.insulation_asked {
                out.push(("insulation", "asked for".to_owned()));
            }
        }
        Design::Loudspeaker(it) => {
            out.push(("line", drawn.label(&Ref::Line(it.line.clone()))));
            out.push(("tap", show::marked_watt(it.tap_w)));
            out.extend(run_rows(drawn, design));
            out.push(("type", drawn.label(&Ref::Type(it.r#type.clone()))));
            let taps = it.taps_w.as_ref();
            out.push(("taps", taps.map_or_else(unknown, |it| taps_text(it) + " W")));
            if it.dc_block {
                out.push(("blocks DC", yes(true)));
            }
        }
        Design::Junction(_) => out.extend(run_rows(drawn, design)),
        Design::Device(it) => {
            if let Some(ohm) = it.ohm {
                out.push(("resistance", show::ohm(ohm)));
            }
            if let Some(farad) = it.farad {
                out.push(("capacitance", format!("{} nF", plain(nanofarad(farad)))));
            }
            out.extend(run_rows(drawn, design));
        }
        Design::Cable(it) => {
            out.push((
                "resistance",
                format!("{} ohm/km", plain(it.r20_ohm_km.get())),
            ));
            out.push(("inductance", format!("{} uH/m", plain(it.l_uh_m.get()))));
            out.push(("capacitance", format!("{} pF/m", plain(it.c_pf_m.get()))));
        }
        _ => {}
    }
    out
}

fn run_rows(drawn: Drawn<'_>, design: &Design) -> Vec<Row> {
    let Some(node) = design.node() else {
        return Vec::new();
    };
    let run = node.run.map_or_else(|| "not known".to_owned(), metres);
    let cable = drawn.label(&Ref::Cable(node.cable.clone()));
    let from = fed_from(drawn, node.from);
    let mut out = vec![("run", run), ("cable", cable), ("from", from)];
    if node.control {
        out.push(("level control", "yes".to_owned()));
    }
    out
}

/// All its decimals, as it was typed.
fn metres(run: Metre) -> String {
    format!("{} m", plain(run.get()))
}

/// An item in a few words, for messages: `LS-4 on R-04`, `line R-04`.
pub(super) fn title(drawn: Drawn<'_>, of: &Ref, design: &Design) -> String {
    let label = design.label().unwrap_or(of.id());
    match design {
        Design::Retired(it) => title(drawn, of, &it.was),
        Design::Output(it) => {
            let amplifier = drawn.label(&Ref::Amplifier(it.amplifier.clone()));
            format!("{amplifier} out {label}")
        }
        Design::Loudspeaker(_) | Design::Junction(_) | Design::Device(_) => {
            let line = drawn.label(&Ref::Line(design.parent().into()));
            format!("{label} on {line}")
        }
        Design::Site(_) => format!("site {label}"),
        Design::Figure(it) => format!("{label} {}", plain(it.value)),
        _ => Thing::of(design).map_or_else(
            || label.to_owned(),
            |thing| format!("{} {label}", thing.word()),
        ),
    }
}
