//! Items -> plan: finds parents, sorts, puts feeding nodes before the nodes they feed.
//!
//! What cannot be placed (a ring, a parent that is not there) is left out here and named by
//! `check`.

use super::conductor::Conductor;
use super::elements::Elements;
use super::figures::{Figure, Figures};
use super::id::{VisitId, ZoneId, counter};
use super::item::Design;
use super::item_ref::{Kind, Ref};
use super::node::Node;
use super::plan::{AmplifierPlan, CableMake, LinePlan, NodeIs, NodePlan, OutputPlan, Plan};
use std::collections::HashMap;

/// The plan of all settled items.
pub(super) fn assemble(elements: &Elements, figures: &Figures) -> Plan {
    let mut amplifiers = Vec::new();
    let mut outputs_of: HashMap<&str, Vec<_>> = HashMap::new();
    let mut lines_of: HashMap<&str, Vec<_>> = HashMap::new();
    let mut nodes_of: HashMap<&str, Vec<(&str, Node<'_>, &Design)>> = HashMap::new();
    let mut zones: HashMap<&str, &str> = HashMap::new();
    let mut cables: HashMap<&str, CableMake> = HashMap::new();
    let mut instruments = Vec::new();
    for (of, design) in elements.items() {
        match design {
            Design::Amplifier(it) => amplifiers.push((of.id(), it)),
            Design::Output(it) => {
                outputs_of
                    .entry(it.amplifier.as_str())
                    .or_default()
                    .push((of.id(), it));
            }
            Design::Line(it) => lines_of
                .entry(it.output.as_str())
                .or_default()
                .push((of.id(), it)),
            Design::Zone(it) => {
                zones.insert(of.id(), &it.label);
            }
            Design::Cable(it) => {
                let make = CableMake {
                    r20: it.r20_ohm_km,
                    l: it.l_uh_m,
                    c: it.c_pf_m,
                };
                cables.insert(of.id(), make);
            }
            Design::Instrument(it) => instruments.push((of.id().into(), it.clone())),
            _ => {
                if let Some(row) = design.node() {
                    nodes_of
                        .entry(row.line.as_str())
                        .or_default()
                        .push((of.id(), row, design));
                }
            }
        }
    }
    let make = |name: &str| {
        cables
            .get(name)
            .copied()
            .or_else(|| Some(CableMake::standard(Conductor::named(name)?, figures)))
    };
    amplifiers.sort_by(|a, b| a.1.order.total_cmp(&b.1.order).then_with(|| a.0.cmp(b.0)));
    let (mut amp_plans, mut output_plans, mut line_plans) = (Vec::new(), Vec::new(), Vec::new());
    for (amp_id, amplifier) in amplifiers {
        let mut outputs = outputs_of.remove(amp_id).unwrap_or_default();
        outputs.sort_by(|a, b| a.1.order.total_cmp(&b.1.order).then_with(|| a.0.cmp(b.0)));
        let first_output = output_plans.len();
        for (output_id, output) in outputs {
            let mut lines = lines_of.remove(output_id).unwrap_or_default();
            lines.sort_by(|a, b| a.1.order.total_cmp(&b.1.order).then_with(|| a.0.cmp(b.0)));
            let first_line = line_plans.len();
            for (line_id, line) in lines {
                let zone_label = zones.get(line.zone.as_str()).copied();
                line_plans.push(LinePlan {
                    id: line_id.into(),
                    label: line.label.clone(),
                    output: output_plans.len(),
                    zone: ZoneId(line.zone.0.clone()),
                    zone_label: zone_label.unwrap_or(line.zone.as_str()).to_owned(),
                    volts: output.volts,
                    insulation_asked: line.insulation_asked,
                    nodes: cable_order(nodes_of.remove(line_id).unwrap_or_default(), &make),
                });
            }
            output_plans.push(OutputPlan {
                id: output_id.into(),
                amplifier: amplifier.label.clone(),
                label: output.label.clone(),
                volts: output.volts,
                rated: output.rated_w,
                headroom: output.headroom,
                elv: output.elv,
                lines: first_line..line_plans.len(),
            });
        }
        amp_plans.push(AmplifierPlan {
            id: amp_id.into(),
            label: amplifier.label.clone(),
            voice_alarm: amplifier.voice_alarm,
            outputs: first_output..output_plans.len(),
        });
    }
    Plan::new(amp_plans, output_plans, line_plans, instruments)
}

/// Rows of a line in cable order: down each branch before the next, siblings by `order`.
fn cable_order(
    mut rows: Vec<(&str, Node<'_>, &Design)>,
    make: &impl Fn(&str) -> Option<CableMake>,
) -> Vec<NodePlan> {
    rows.sort_by(|a, b| b.1.order.total_cmp(&a.1.order).then_with(|| b.0.cmp(a.0)));
    let mut fed: HashMap<&str, Vec<usize>> = HashMap::new();
    for (at, (_, row, _)) in rows.iter().enumerate() {
        fed.entry(row.from.as_str()).or_default().push(at);
    }
    let mut out: Vec<NodePlan> = Vec::with_capacity(rows.len());
    // Siblings lie in falling order, so the first is taken last and drawn first.
    let mut waiting: Vec<(usize, Option<usize>)> = fed
        .remove(super::id::RACK)
        .unwrap_or_default()
        .into_iter()
        .map(|at| (at, None))
        .collect();
    while let Some((at, from)) = waiting.pop() {
        let (id, row, design) = &rows[at];
        let Some(make) = make(row.cable.as_str()) else {
            continue;
        };
        let here = out.len();
        out.push(NodePlan {
            id: (*id).into(),
            label: row.label.to_owned(),
            from,
            run: row.run,
            cable: row.cable.to_string(),
            make,
            control: row.control,
            is: match design {
                Design::Loudspeaker(it) => NodeIs::Loudspeaker {
                    tap: it.tap_w,
                    taps: it.taps_w.clone(),
                    of: it.r#type.clone(),
                    dc_block: it.dc_block,
                },
                Design::Device(it) => NodeIs::Device {
                    ohm: it.ohm,
                    farad: it.farad,
                },
                _ => NodeIs::Junction,
            },
        });
        let next = fed.remove(*id).unwrap_or_default();
        waiting.extend(next.into_iter().map(|at| (at, Some(here))));
    }
    out
}

/// The site's own figures, from their items.
pub(super) fn figures(elements: &Elements) -> Figures {
    Figures::with(
        elements
            .items_of(Kind::Figure)
            .filter_map(|(of, design)| match (of, design) {
                (Ref::Figure(name), Design::Figure(it)) => Some((Figure::named(name)?, it.value)),
                _ => None,
            }),
    )
}

/// The visits, first to last: by the number their id ends in, then by id.
pub(super) fn visits(elements: &Elements) -> Vec<VisitId> {
    let mut out: Vec<VisitId> = elements
        .items_of(Kind::Visit)
        .filter_map(|(of, design)| match (of, design) {
            (Ref::Visit(id), Design::Visit(_)) => Some(id.clone()),
            _ => None,
        })
        .collect();
    out.sort_by(|a, b| {
        let by_number = counter(a.as_str()).cmp(&counter(b.as_str()));
        by_number.then_with(|| a.cmp(b))
    });
    out
}
