//! An edit of the design in words: what it was and what it is now, field by field.
//!
//! Never here: whether it fits the rest of the drawing.

use super::scope::{label_of, own_label_of};
use crate::quantity::{Fraction, Watt, show};
use crate::site::{Design, Do, Edit, RACK, Ref, Site};

/// A field: its name, and what it says; empty where it says nothing.
type Row = (&'static str, String);

/// What an edit changed, in one line, without the item's name.
pub(super) fn edit_words(site: &Site, edit: &Edit) -> String {
    let back = match turned(site, edit) {
        0 => "",
        turns if turns % 2 == 1 => "taken back, ",
        _ => "done again, ",
    };
    let words = match (edit.was.as_slice(), &edit.now) {
        (_, Design::Retired(it)) => format!("taken out: {}", it.why),
        ([], now) => format!("added{}", listed(&fields(site, now))),
        ([(_, Design::Retired(_))], now) => {
            format!("put back{}", listed(&fields(site, now)))
        }
        ([(_, was)], now) => changed(&fields(site, was), &fields(site, now)),
        (several, now) => format!(
            "one of {} designs chosen{}",
            several.len(),
            listed(&fields(site, now))
        ),
    };
    format!("{back}{words}")
}

/// How often an edit was turned over: what takes back what was taken back does it again.
fn turned(site: &Site, edit: &Edit) -> usize {
    let (mut turns, mut undoes) = (0, edit.undoes.as_ref());
    while let Some(id) = undoes
        && turns <= site.log().entries().len()
    {
        turns += 1;
        undoes = match site.log().get(id).map(|entry| &entry.what) {
            Some(Do::Edit(edit)) => edit.undoes.as_ref(),
            _ => None,
        };
    }
    turns
}

fn listed(fields: &[Row]) -> String {
    let said: Vec<String> = fields
        .iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(name, text)| format!("{name} {text}"))
        .collect();
    if said.is_empty() {
        String::new()
    } else {
        format!(": {}", said.join(", "))
    }
}

fn changed(was: &[Row], now: &[Row]) -> String {
    let of = |rows: &[Row], name: &str| {
        let row = rows.iter().find(|row| row.0 == name);
        row.map_or_else(String::new, |row| row.1.clone())
    };
    let mut names: Vec<&str> = was.iter().map(|row| row.0).collect();
    let more = now.iter().map(|row| row.0);
    names.extend(more.filter(|name| !was.iter().any(|row| row.0 == *name)));
    let shown = |text: String| {
        if text.is_empty() {
            "not known".to_owned()
        } else {
            text
        }
    };
    let parts: Vec<String> = names
        .into_iter()
        .filter_map(|name| {
            let (a, b) = (of(was, name), of(now, name));
            (a != b).then(|| format!("{name} {} -> {}", shown(a), shown(b)))
        })
        .collect();
    if parts.is_empty() {
        "set anew, nothing changed".to_owned()
    } else {
        parts.join(", ")
    }
}

fn yes(it: bool) -> String {
    if it { "yes" } else { "no" }.to_owned()
}

fn maybe<T>(it: Option<T>, words: impl Fn(T) -> String) -> String {
    it.map_or_else(String::new, words)
}

/// What a node and its run say, with what is its own before the line it stands on.
fn of_node(site: &Site, design: &Design, is: &str, own: Vec<Row>) -> Vec<Row> {
    let Some(it) = design.node() else {
        return own;
    };
    let from = match it.from.is_rack() {
        true => RACK.to_owned(),
        false => own_label_of(site, &Ref::Node(it.from.clone())),
    };
    let mut rows = vec![
        ("is", is.to_owned()),
        ("label", it.label.to_owned()),
        ("fed from", from),
        ("run", maybe(it.run, show::metre)),
        ("cable", label_of(site, &Ref::Cable(it.cable.clone()))),
        ("control", yes(it.control)),
        ("order", it.order.to_string()),
    ];
    rows.extend(own);
    rows.push(("line", label_of(site, &Ref::Line(it.line.clone()))));
    rows
}

/// Every field of a design, in trade words and order.
fn fields(site: &Site, design: &Design) -> Vec<Row> {
    let label = |of: Ref| label_of(site, &of);
    let text = |it: &Option<String>| it.clone().unwrap_or_default();
    match design {
        Design::Site(it) => vec![
            ("label", it.label.clone()),
            ("time zone", text(&it.time_zone)),
            ("note", text(&it.note)),
        ],
        Design::Figure(it) => vec![("value", it.value.to_string())],
        Design::Visit(it) => vec![
            ("label", it.label.clone()),
            ("returning", yes(it.returning)),
        ],
        Design::Amplifier(it) => vec![
            ("label", it.label.clone()),
            ("voice alarm", yes(it.voice_alarm)),
            ("note", text(&it.note)),
            ("order", it.order.to_string()),
        ],
        Design::Output(it) => vec![
            ("amplifier", label(Ref::Amplifier(it.amplifier.clone()))),
            ("label", it.label.clone()),
            ("line voltage", show::volt(it.volts)),
            ("rating", maybe(it.rated_w, show::marked_watt)),
            (
                "headroom",
                maybe(it.headroom, |it: Fraction| show::percent(it)),
            ),
            ("extra-low voltage", yes(it.elv)),
            ("order", it.order.to_string()),
        ],
        Design::Zone(it) => vec![("label", it.label.clone()), ("order", it.order.to_string())],
        Design::Type(it) => vec![("label", it.label.clone())],
        Design::Cable(it) => vec![
            ("label", it.label.clone()),
            ("resistance", format!("{} ohm/km", it.r20_ohm_km.get())),
            ("inductance", format!("{} uH/m", it.l_uh_m.get())),
            ("capacitance", format!("{} pF/m", it.c_pf_m.get())),
        ],
        Design::Instrument(it) => vec![
            ("label", it.label.clone()),
            ("reads", it.reads.words().to_owned()),
            ("accuracy", show::percent(it.accuracy)),
            ("frequency", maybe(it.hz, show::hertz)),
            ("step", maybe(it.step_ohm, show::ohm)),
            ("source", maybe(it.source_ohm, show::ohm)),
            ("range", maybe(it.range_ohm, show::ohm)),
            ("serial number", text(&it.serial)),
            ("calibrated", maybe(it.calibrated, |day| day.to_string())),
            ("due", maybe(it.due, |day| day.to_string())),
        ],
        Design::Line(it) => vec![
            ("label", it.label.clone()),
            ("output", label(Ref::Output(it.output.clone()))),
            ("zone", label(Ref::Zone(it.zone.clone()))),
            ("insulation asked", yes(it.insulation_asked)),
            ("note", text(&it.note)),
            ("order", it.order.to_string()),
        ],
        Design::Loudspeaker(it) => {
            let taps = |taps: &Vec<Watt>| {
                let taps: Vec<String> = taps.iter().map(|it| show::marked_watt(*it)).collect();
                taps.join("/")
            };
            let own = vec![
                ("tap", show::marked_watt(it.tap_w)),
                ("taps", it.taps_w.as_ref().map_or_else(String::new, taps)),
                ("type", label(Ref::Type(it.r#type.clone()))),
                ("blocks direct current", yes(it.dc_block)),
            ];
            of_node(site, design, "loudspeaker", own)
        }
        Design::Junction(_) => of_node(site, design, "junction", Vec::new()),
        Design::Device(it) => {
            let own = vec![
                ("resistance", maybe(it.ohm, show::ohm)),
                (
                    "capacitance",
                    maybe(it.farad, |farad| {
                        format!("{} nF", (farad.get() * 1e15).round() / 1e6)
                    }),
                ),
            ];
            of_node(site, design, "device", own)
        }
        Design::Retired(it) => fields(site, &it.was),
    }
}
