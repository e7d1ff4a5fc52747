//! What a line, or a side of it that is opened, should read at direct current by its drawing, and whether
//! that rests on windings, which no drawing has.
//!
//! Never here: what it reads and why.

use crate::circuit::{Conditions, Network};
use crate::quantity::{Hertz, Ohm, Value, show};
use crate::site::{Cut, Figures, LinePlan, NodeIs, NodePlan};

/// A line or a side of it as drawn, at direct current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direct {
    /// What it should read.
    pub reads: Value,
    /// Windings are in it: their resistance is taken as a share of the impedance.
    pub by_windings: bool,
}

impl Direct {
    /// Of the line whole, or of the side that a cut leaves; none where the drawing does not tell: behind a level
    /// control, of which only the ratio is drawn, with a device of which nothing is known, and at a place with
    /// the line whole.
    #[must_use]
    pub fn of(line: &LinePlan, figures: &Figures, cut: Option<&Cut>) -> Option<Self> {
        let whole = Network::of(line, &Conditions::of(figures, Hertz(0.0)));
        let (network, part): (Network, Vec<&NodePlan>) = match cut {
            None => (whole, line.nodes.iter().collect()),
            Some(Cut::Near(node)) => {
                let at = line.node(node)?;
                (whole.near_of(at), part(line, at, false))
            }
            Some(Cut::Far(node)) => {
                let at = line.node(node)?;
                (whole.far_of(at), part(line, at, true))
            }
            Some(Cut::Whole(_)) => return None,
        };
        // The first place of a far side has its run, and a control in that, on the other.
        let first = match cut {
            Some(Cut::Far(node)) => Some(node),
            _ => None,
        };
        let tells = |node: &&NodePlan| {
            let control = node.control && first != Some(&node.id);
            !control
                && !matches!(
                    node.is,
                    NodeIs::Device {
                        ohm: None,
                        farad: None
                    }
                )
        };
        part.iter().all(tells).then(|| Self {
            reads: network
                .solve()
                .input()
                .modulus()
                .map_or(Value::Open, Value::Ohm),
            by_windings: part.iter().any(|node| node.has_winding()),
        })
    }

    /// `about 90.3 ohm`, `22.0 kohm`, `open`.
    #[must_use]
    pub fn words(&self) -> String {
        let windings = self.by_windings && self.ohm().is_some();
        let about = if windings { "about " } else { "" };
        format!("{about}{}", show::value(self.reads))
    }

    /// The figure alone, where there is one.
    #[must_use]
    pub const fn ohm(&self) -> Option<Ohm> {
        match self.reads {
            Value::Ohm(ohm) => Some(ohm),
            _ => None,
        }
    }
}

/// The nodes of one side of an opening.
fn part(line: &LinePlan, at: usize, is_far: bool) -> Vec<&NodePlan> {
    let nodes = line.nodes.iter().zip(line.beyond(at));
    let nodes = nodes.filter(|(_, beyond)| *beyond == is_far);
    nodes.map(|(node, _)| node).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, node};
    use crate::quantity::Farad;
    use crate::site::NodeId;

    /// Two blocked loudspeakers of 10 W at 100 V and an end-of-line resistor of 22 kohm, no cable between.
    fn supervised() -> LinePlan {
        let mut all = line(vec![
            loudspeaker(10.0, None, 0.0),
            loudspeaker(10.0, Some(0), 0.0),
            node(
                NodeIs::Device {
                    ohm: Some(Ohm(22_000.0)),
                    farad: None,
                },
                Some(1),
                Some(0.0),
            ),
        ]);
        for (at, it) in all.nodes.iter_mut().enumerate() {
            it.id = NodeId::from(format!("N-{at}").as_str());
            if let NodeIs::Loudspeaker { dc_block, .. } = &mut it.is {
                *dc_block = true;
            }
        }
        all
    }

    fn of(line: &LinePlan, cut: Option<Cut>) -> Option<Direct> {
        Direct::of(line, &Figures::default(), cut.as_ref())
    }

    #[test]
    fn an_end_of_line_resistor_behind_blocked_loudspeakers_is_all_there_is() {
        let mut line = supervised();
        let whole = of(&line, None).unwrap();
        assert!(
            (whole.ohm().unwrap().get() - 22_000.0).abs() < 1.0,
            "{whole:?}"
        );
        assert!(!whole.by_windings);
        let place = line.nodes[2].id.clone();
        let near = of(&line, Some(Cut::Near(place.clone()))).unwrap();
        assert_eq!(near.reads, Value::Open);
        let far = of(&line, Some(Cut::Far(place.clone()))).unwrap();
        assert!((far.ohm().unwrap().get() - 22_000.0).abs() < 1.0);
        assert_eq!(of(&line, Some(Cut::Whole(place))), None);
        // One that is not blocked: 1000 ohm, its winding 0.08 of that, beside the resistor.
        if let NodeIs::Loudspeaker { dc_block, .. } = &mut line.nodes[0].is {
            *dc_block = false;
        }
        let wound = of(&line, None).unwrap();
        let want = 80.0 * 22_000.0 / 22_080.0;
        assert!(
            (wound.ohm().unwrap().get() / want - 1.0).abs() < 1e-3,
            "{wound:?}"
        );
        assert!(wound.by_windings);
    }

    #[test]
    fn behind_a_control_and_with_a_device_of_which_nothing_is_known_there_is_no_figure() {
        let mut line = supervised();
        let place = line.nodes[1].id.clone();
        line.nodes[1].control = true;
        assert_eq!(of(&line, None), None);
        // Opened before it, the control is on the side of the rack and passes nothing on.
        assert_eq!(
            of(&line, Some(Cut::Near(place.clone()))).map(|it| it.reads),
            Some(Value::Open)
        );
        assert!(of(&line, Some(Cut::Far(place))).is_some());
        let mut line = supervised();
        let device = |ohm, farad| NodeIs::Device { ohm, farad };
        line.nodes[2].is = device(None, None);
        assert_eq!(of(&line, None), None);
        line.nodes[2].is = device(None, Some(Farad(1e-6)));
        assert_eq!(of(&line, None).map(|it| it.reads), Some(Value::Open));
    }
}
