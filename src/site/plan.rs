//! The plan: the design items put together, settled and in order, for whoever reckons or draws.
//!
//! Built from the elements by [`super::Site`]; holds what stands (nothing retired, nothing in
//! question) with feeding nodes before the nodes they feed.

use super::conductor::Conductor;
use super::figures::{Figure, Figures};
use super::id::{AmplifierId, InstrumentId, LineId, NodeId, OutputId, TypeId, ZoneId};
use super::item::Instrument;
use crate::quantity::{
    Farad, Fraction, Metre, MicroHenryPerMetre, Ohm, OhmPerKm, PicoFaradPerMetre, Volt, Watt,
};
use std::collections::HashMap;

/// All that stands, in order.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// Amplifiers in order.
    pub amplifiers: Vec<AmplifierPlan>,
    /// Outputs in order of amplifier, then order.
    pub outputs: Vec<OutputPlan>,
    /// Lines in rack order: amplifier, output, order.
    pub lines: Vec<LinePlan>,
    /// Instruments.
    pub instruments: Vec<(InstrumentId, Instrument)>,
    by_line: HashMap<LineId, usize>,
}

/// An amplifier and the places of its outputs in [`Plan::outputs`].
#[derive(Clone, Debug)]
pub struct AmplifierPlan {
    /// Its id.
    pub id: AmplifierId,
    /// Its label.
    pub label: String,
    /// Carries voice alarm.
    pub voice_alarm: bool,
    /// Range in [`Plan::outputs`].
    pub outputs: std::ops::Range<usize>,
}

/// An output and the places of its lines in [`Plan::lines`].
#[derive(Clone, Debug)]
pub struct OutputPlan {
    /// Its id.
    pub id: OutputId,
    /// Label of its amplifier.
    pub amplifier: String,
    /// Its label on the unit.
    pub label: String,
    /// Nominal line voltage.
    pub volts: Volt,
    /// Rating, where known.
    pub rated: Option<Watt>,
    /// Its own share to keep free, over the site's.
    pub headroom: Option<Fraction>,
    /// True extra-low voltage.
    pub elv: bool,
    /// Range in [`Plan::lines`].
    pub lines: std::ops::Range<usize>,
}

impl OutputPlan {
    /// As people call it: `A1 out 2`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} out {}", self.amplifier, self.label)
    }
}

/// A line as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct LinePlan {
    /// Its id.
    pub id: LineId,
    /// Its label.
    pub label: String,
    /// Place of its output in [`Plan::outputs`].
    pub output: usize,
    /// Its zone.
    pub zone: ZoneId,
    /// The zone's name.
    pub zone_label: String,
    /// Nominal line voltage.
    pub volts: Volt,
    /// An insulation reading is asked for.
    pub insulation_asked: bool,
    /// Its nodes in cable order, each after its feeding node.
    pub nodes: Vec<NodePlan>,
}

/// A node of a line with the run that feeds it.
#[derive(Clone, Debug, PartialEq)]
pub struct NodePlan {
    /// Its id.
    pub id: NodeId,
    /// Its label.
    pub label: String,
    /// Place of its feeding node in [`LinePlan::nodes`]; none is the rack.
    pub from: Option<usize>,
    /// Length of the run, where known.
    pub run: Option<Metre>,
    /// The cable's name.
    pub cable: String,
    /// What the cable is made of.
    pub make: CableMake,
    /// A level control at the near end of the run.
    pub control: bool,
    /// What stands there.
    pub is: NodeIs,
}

/// Per-metre data of a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CableMake {
    /// One conductor at 20 C.
    pub r20: OhmPerKm,
    /// Loop inductance.
    pub l: MicroHenryPerMetre,
    /// Capacitance between the cores.
    pub c: PicoFaradPerMetre,
}

impl CableMake {
    /// A cable of a standard conductor, by the figures that a site has for the rest of it.
    #[must_use]
    pub fn standard(conductor: Conductor, figures: &Figures) -> Self {
        Self {
            r20: conductor.r20(),
            l: MicroHenryPerMetre(figures.get(Figure::CableUhM)),
            c: PicoFaradPerMetre(figures.get(Figure::CablePfM)),
        }
    }
}

/// What stands at a node.
#[derive(Clone, Debug, PartialEq)]
pub enum NodeIs {
    /// A loudspeaker.
    Loudspeaker {
        /// Design tap.
        tap: Watt,
        /// Every tap it has; none when nobody knows.
        taps: Option<Vec<Watt>>,
        /// Its type.
        of: TypeId,
        /// Open at direct current.
        dc_block: bool,
    },
    /// A joint box.
    Junction,
    /// An end-of-line unit or the like: series resistance and capacitance.
    Device {
        /// Resistance in series.
        ohm: Option<Ohm>,
        /// Capacitance in series.
        farad: Option<Farad>,
    },
}

impl NodeIs {
    /// Its word in JSON, which never changes.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Loudspeaker { .. } => "loudspeaker",
            Self::Junction => "junction",
            Self::Device { .. } => "device",
        }
    }
}

impl NodePlan {
    /// Whether direct current goes through a loudspeaker here, from core to core.
    #[must_use]
    pub const fn has_winding(&self) -> bool {
        matches!(
            self.is,
            NodeIs::Loudspeaker {
                dc_block: false,
                ..
            }
        )
    }

    /// Whether a loudspeaker stands here.
    #[must_use]
    pub const fn is_loudspeaker(&self) -> bool {
        matches!(self.is, NodeIs::Loudspeaker { .. })
    }
}

impl LinePlan {
    /// Sum of the design taps.
    #[must_use]
    pub fn design_load(&self) -> Watt {
        Watt(
            self.nodes
                .iter()
                .map(|node| node.tap().map_or(0.0, Watt::get))
                .sum(),
        )
    }

    /// How many loudspeakers.
    #[must_use]
    pub fn loudspeakers(&self) -> usize {
        self.nodes
            .iter()
            .filter(|node| node.is_loudspeaker())
            .count()
    }

    /// Place of the node with this id.
    #[must_use]
    pub fn node(&self, id: &NodeId) -> Option<usize> {
        self.nodes.iter().position(|node| node.id == *id)
    }

    /// Which nodes lie at or beyond the one at this place.
    #[must_use]
    pub fn beyond(&self, at: usize) -> Vec<bool> {
        let mut beyond = vec![false; self.nodes.len()];
        for (place, node) in self.nodes.iter().enumerate() {
            // Nodes stand after those that feed them.
            beyond[place] = place == at || node.from.is_some_and(|from| beyond[from]);
        }
        beyond
    }
}

impl NodePlan {
    /// The design tap of a loudspeaker.
    #[must_use]
    pub const fn tap(&self) -> Option<Watt> {
        match &self.is {
            NodeIs::Loudspeaker { tap, .. } => Some(*tap),
            _ => None,
        }
    }

    /// The taps it may be on by mistake: its others, or twice, half and a quarter where nobody
    /// knows what it has.
    #[must_use]
    pub fn other_taps(&self) -> Vec<Watt> {
        match &self.is {
            NodeIs::Loudspeaker {
                tap,
                taps: Some(taps),
                ..
            } => taps.iter().copied().filter(|other| other != tap).collect(),
            NodeIs::Loudspeaker {
                tap, taps: None, ..
            } => [2.0, 0.5, 0.25]
                .map(|times| Watt(tap.get() * times))
                .to_vec(),
            _ => Vec::new(),
        }
    }
}

impl Plan {
    /// Puts the parts together; `lines` are in rack order.
    #[must_use]
    pub fn new(
        amplifiers: Vec<AmplifierPlan>,
        outputs: Vec<OutputPlan>,
        lines: Vec<LinePlan>,
        instruments: Vec<(InstrumentId, Instrument)>,
    ) -> Self {
        let by_line = lines
            .iter()
            .enumerate()
            .map(|(at, line)| (line.id.clone(), at))
            .collect();
        Self {
            amplifiers,
            outputs,
            lines,
            instruments,
            by_line,
        }
    }

    /// Place of a line in [`Plan::lines`].
    #[must_use]
    pub fn line(&self, id: &LineId) -> Option<usize> {
        self.by_line.get(id).copied()
    }

    /// Place of the line with this label.
    #[must_use]
    pub fn line_labelled(&self, label: &str) -> Option<usize> {
        self.lines.iter().position(|line| line.label == label)
    }

    /// The instrument with this id.
    #[must_use]
    pub fn instrument(&self, id: &InstrumentId) -> Option<&Instrument> {
        self.instruments
            .iter()
            .find(|(own, _)| own == id)
            .map(|(_, it)| it)
    }
}
