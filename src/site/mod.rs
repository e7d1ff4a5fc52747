//! The site: what stands in the building and what was read on it. Plain data.
//!
//! Never here: maths of a line, files, the clock.

mod conductor;
mod entry;
mod figures;
mod id;
mod item;
mod plan;

pub use conductor::{AWG, COPPER_OHM_MM2_KM, Conductor, DEFAULT_CABLE, IEC_60228};
pub use entry::{
    Check, Cut, Decide, Decision, Do, Edit, Entry, Heard, Insulate, Insulation, Leg, Listen, Note,
    Read, Repair, Seal, Tick, TickIs, Value, Void,
};
pub use figures::{Figure, Figures, Row, Source};
pub use id::{
    AmplifierId, CableId, EntryId, InstrumentId, LineId, NodeId, OutputId, RACK, SiteId, Stamp,
    StateId, TypeId, VisitId, WriterId, ZoneId, escape, short_hash,
};
pub use item::{
    Amplifier, Cable, Design, Device, FigureDesign, Instrument, Item, Junction, Kind, Line,
    Loudspeaker, Output, Reads, Ref, Retired, SiteDesign, Type, Visit, Zone,
};
pub use plan::{AmplifierPlan, CableMake, LinePlan, NodeIs, NodePlan, OutputPlan, Plan};
