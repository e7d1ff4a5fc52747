//! Rows of a sound schedule -> the items of a new site.

use super::schedule_node::{DEFAULT_VOLTS, Is, Node};
use crate::quantity::{Metre, Volt, Watt};
use crate::site::{
    Amplifier, AmplifierId, Cable, Design, Device, Item, Junction, Line, LineId, Loudspeaker,
    NodeId, Output, OutputId, SiteDesign, SiteId, Stamp, Type, TypeId, Zone, birth_items,
    short_hash,
};
use std::collections::{HashMap, HashSet};

/// Orders of things by their first row: 1, 2, ..
#[derive(Default)]
struct Orders(HashMap<String, f64>);

impl Orders {
    /// The next order within a parent.
    fn next(&mut self, parent: &str) -> f64 {
        let last = self.0.entry(parent.to_owned()).or_default();
        *last += 1.0;
        *last
    }
}

/// The site's id and all its items; labels within a kind are unique, so an id is its label.
pub(super) fn items(nodes: &[Node], cables: &[Cable], site_label: &str) -> (SiteId, Vec<Item>) {
    let mut rated: HashMap<(&str, &str), f64> = HashMap::new();
    let mut volts: HashMap<(&str, &str), f64> = HashMap::new();
    for node in nodes {
        let output = (node.amplifier.as_str(), node.output.as_str());
        if let Some(value) = node.rated {
            rated.entry(output).or_insert(value);
        }
        if let Some(value) = node.volts {
            volts.entry(output).or_insert(value);
        }
    }
    // One row that says so says it of all of its amplifier, output or line.
    let (mut alarms, mut low, mut asked) = (HashSet::new(), HashSet::new(), HashSet::new());
    for node in nodes {
        if node.voice_alarm {
            alarms.insert(node.amplifier.as_str());
        }
        if node.elv {
            low.insert((node.amplifier.as_str(), node.output.as_str()));
        }
        if node.insulation {
            asked.insert(node.line.as_str());
        }
    }
    let mut list = List::default();
    let mut orders = Orders::default();
    for cable in cables {
        list.add(&cable.label, || Design::Cable(cable.clone()));
    }
    for node in nodes {
        let (amplifier, output) = (node.amplifier.as_str(), node.output.as_str());
        let amplifier_id = AmplifierId::from(amplifier);
        let output_id = OutputId::of(&amplifier_id, output);
        let line_id = LineId::from(node.line.as_str());
        list.add_once("amplifier", amplifier, || {
            Design::Amplifier(Amplifier {
                label: amplifier.to_owned(),
                order: orders.next("amplifiers"),
                voice_alarm: alarms.contains(amplifier),
                note: None,
            })
        });
        list.add_once("output", output_id.as_str(), || {
            Design::Output(Output {
                amplifier: amplifier_id.clone(),
                label: output.to_owned(),
                order: orders.next(&format!("outputs of {amplifier}")),
                volts: Volt(
                    volts
                        .get(&(amplifier, output))
                        .copied()
                        .unwrap_or(DEFAULT_VOLTS),
                ),
                rated_w: rated.get(&(amplifier, output)).map(|v| Watt(*v)),
                headroom: None,
                elv: low.contains(&(amplifier, output)),
            })
        });
        list.add_once("zone", &node.zone, || {
            Design::Zone(Zone {
                label: node.zone.clone(),
                order: orders.next("zones"),
            })
        });
        list.add_once("line", &node.line, || {
            Design::Line(Line {
                label: node.line.clone(),
                order: orders.next(&format!("lines of {output_id}")),
                output: output_id.clone(),
                zone: node.zone.as_str().into(),
                insulation_asked: asked.contains(node.line.as_str()),
                note: None,
            })
        });
        if let Is::Loudspeaker { make, .. } = &node.is {
            list.add_once("type", make, || {
                Design::Type(Type {
                    label: make.clone(),
                })
            });
        }
        let order = orders.next(&format!("nodes of {line_id}"));
        list.add(NodeId::of(&line_id, &node.label).as_str(), || {
            node_design(node, &line_id, order)
        });
    }
    // The building's name is left out of its id: two engineers who type it differently still hold
    // copies of one site.
    let facts: Vec<(&str, &Design)> = list
        .items
        .iter()
        .map(|item| (item.id.as_str(), &item.is))
        .collect();
    let text = serde_json::to_string(&facts).unwrap_or_else(|_| format!("{facts:?}"));
    let id = SiteId(format!("s-{}", short_hash(text.as_bytes())));

    let site = Design::Site(SiteDesign {
        label: site_label.to_owned(),
        time_zone: None,
        note: None,
    });
    let mut out = vec![Item {
        id: "site".to_owned(),
        stamp: Stamp::of_import(&site),
        is: site,
    }];
    out.extend(birth_items());
    out.extend(list.items);
    (id, out)
}

fn node_design(node: &Node, line: &LineId, order: f64) -> Design {
    let from = node
        .from
        .as_ref()
        .map_or_else(NodeId::rack, |label| NodeId::of(line, label));
    let (line, label) = (line.clone(), node.label.clone());
    let (run_m, cable, control) = (
        node.run.map(Metre),
        node.cable.as_str().into(),
        node.control,
    );
    match &node.is {
        Is::Loudspeaker {
            tap,
            taps,
            make,
            dc_block,
        } => Design::Loudspeaker(Loudspeaker {
            line,
            label,
            order,
            from,
            run_m,
            cable,
            control,
            tap_w: Watt(*tap),
            taps_w: taps
                .as_ref()
                .map(|taps| taps.iter().copied().map(Watt).collect()),
            r#type: TypeId(make.clone()),
            dc_block: *dc_block,
        }),
        Is::Junction => Design::Junction(Junction {
            line,
            label,
            order,
            from,
            run_m,
            cable,
            control,
        }),
        Is::Device { ohm, farad } => Design::Device(Device {
            line,
            label,
            order,
            from,
            run_m,
            cable,
            control,
            ohm: *ohm,
            farad: *farad,
        }),
    }
}

#[derive(Default)]
struct List {
    items: Vec<Item>,
    there: HashSet<(&'static str, String)>,
}

impl List {
    fn add(&mut self, id: &str, design: impl FnOnce() -> Design) {
        let is = design();
        self.items.push(Item {
            id: id.to_owned(),
            stamp: Stamp::of_import(&is),
            is,
        });
    }

    fn add_once(&mut self, kind: &'static str, id: &str, design: impl FnOnce() -> Design) {
        if self.there.insert((kind, id.to_owned())) {
            self.add(id, design);
        }
    }
}
