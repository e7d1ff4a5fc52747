//! One item, named: its kind and its id.

use super::id::{
    AmplifierId, CableId, InstrumentId, LineId, NodeId, OutputId, TypeId, VisitId, ZoneId,
};
use serde::{Deserialize, Serialize};

/// What kind of thing an item is; ids are unique within one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Kind {
    Site,
    Figure,
    Visit,
    Instrument,
    Amplifier,
    Output,
    Zone,
    Type,
    Cable,
    Line,
    Node,
}

impl Kind {
    /// Its word in sentences and in JSON, which never changes.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Figure => "figure",
            Self::Visit => "visit",
            Self::Instrument => "instrument",
            Self::Amplifier => "amplifier",
            Self::Output => "output",
            Self::Zone => "zone",
            Self::Type => "type",
            Self::Cable => "cable",
            Self::Line => "line",
            Self::Node => "node",
        }
    }
}

/// One item, named.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Ref {
    Site,
    Figure(String),
    Visit(VisitId),
    Instrument(InstrumentId),
    Amplifier(AmplifierId),
    Output(OutputId),
    Zone(ZoneId),
    Type(TypeId),
    Cable(CableId),
    Line(LineId),
    Node(NodeId),
}

impl Ref {
    /// The item of `kind` with this id.
    #[must_use]
    pub fn new(kind: Kind, id: &str) -> Self {
        match kind {
            Kind::Site => Self::Site,
            Kind::Figure => Self::Figure(id.into()),
            Kind::Visit => Self::Visit(id.into()),
            Kind::Instrument => Self::Instrument(id.into()),
            Kind::Amplifier => Self::Amplifier(id.into()),
            Kind::Output => Self::Output(id.into()),
            Kind::Zone => Self::Zone(id.into()),
            Kind::Type => Self::Type(id.into()),
            Kind::Cable => Self::Cable(id.into()),
            Kind::Line => Self::Line(id.into()),
            Kind::Node => Self::Node(id.into()),
        }
    }

    /// The kind of the item.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Site => Kind::Site,
            Self::Figure(_) => Kind::Figure,
            Self::Visit(_) => Kind::Visit,
            Self::Instrument(_) => Kind::Instrument,
            Self::Amplifier(_) => Kind::Amplifier,
            Self::Output(_) => Kind::Output,
            Self::Zone(_) => Kind::Zone,
            Self::Type(_) => Kind::Type,
            Self::Cable(_) => Kind::Cable,
            Self::Line(_) => Kind::Line,
            Self::Node(_) => Kind::Node,
        }
    }

    /// The id as written in the file; `site` for the site itself.
    #[must_use]
    pub fn id(&self) -> &str {
        match self {
            Self::Site => "site",
            Self::Figure(id) => id,
            Self::Visit(id) => id.as_str(),
            Self::Instrument(id) => id.as_str(),
            Self::Amplifier(id) => id.as_str(),
            Self::Output(id) => id.as_str(),
            Self::Zone(id) => id.as_str(),
            Self::Type(id) => id.as_str(),
            Self::Cable(id) => id.as_str(),
            Self::Line(id) => id.as_str(),
            Self::Node(id) => id.as_str(),
        }
    }
}
