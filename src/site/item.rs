//! Design items: what stands in the building, one row each, flat.

use super::id::{AmplifierId, CableId, LineId, NodeId, OutputId, Stamp, TypeId, ZoneId};
use super::item_ref::Kind;
use super::rows::{no, rows};
use crate::quantity::{
    Farad, Fraction, Hertz, Metre, MicroHenryPerMetre, Ohm, OhmPerKm, PicoFaradPerMetre, Volt, Watt,
};
use serde::{Deserialize, Serialize};

/// What a make of loudspeaker is called of which neither its name nor its taps are known.
pub const UNNAMED_TYPE: &str = "unnamed";

/// The most characters of a label.
pub const LONGEST_LABEL: usize = 200;

/// An item and which edit set it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Item {
    /// Unique within its kind.
    pub id: String,
    /// What set this design.
    pub stamp: Stamp,
    /// The design.
    pub is: Design,
}

/// The design of one item.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Design {
    Site(SiteDesign),
    Figure(FigureDesign),
    Visit(Visit),
    Amplifier(Amplifier),
    Output(Output),
    Zone(Zone),
    Type(Type),
    Cable(Cable),
    Instrument(Instrument),
    Line(Line),
    Loudspeaker(Loudspeaker),
    Junction(Junction),
    Device(Device),
    Retired(Retired),
}

impl Design {
    /// The kind; a retired item keeps the kind it had.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self {
            Self::Site(_) => Kind::Site,
            Self::Figure(_) => Kind::Figure,
            Self::Visit(_) => Kind::Visit,
            Self::Amplifier(_) => Kind::Amplifier,
            Self::Output(_) => Kind::Output,
            Self::Zone(_) => Kind::Zone,
            Self::Type(_) => Kind::Type,
            Self::Cable(_) => Kind::Cable,
            Self::Instrument(_) => Kind::Instrument,
            Self::Line(_) => Kind::Line,
            Self::Loudspeaker(_) | Self::Junction(_) | Self::Device(_) => Kind::Node,
            Self::Retired(retired) => retired.was.kind(),
        }
    }

    /// What is drawn: of a retired item what it was.
    #[must_use]
    pub fn drawn(&self) -> &Self {
        match self {
            Self::Retired(it) => it.was.drawn(),
            other => other,
        }
    }

    /// The label, where the item has one (a figure has none).
    #[must_use]
    pub fn label(&self) -> Option<&str> {
        Some(match self {
            Self::Site(it) => &it.label,
            Self::Figure(_) => return None,
            Self::Visit(it) => &it.label,
            Self::Amplifier(it) => &it.label,
            Self::Output(it) => &it.label,
            Self::Zone(it) => &it.label,
            Self::Type(it) => &it.label,
            Self::Cable(it) => &it.label,
            Self::Instrument(it) => &it.label,
            Self::Line(it) => &it.label,
            Self::Loudspeaker(it) => &it.label,
            Self::Junction(it) => &it.label,
            Self::Device(it) => &it.label,
            Self::Retired(it) => return it.was.label(),
        })
    }

    /// The number that places the item among its siblings; 0 where it has none.
    #[must_use]
    pub fn order(&self) -> f64 {
        match self {
            Self::Amplifier(it) => it.order,
            Self::Output(it) => it.order,
            Self::Zone(it) => it.order,
            Self::Line(it) => it.order,
            Self::Loudspeaker(it) => it.order,
            Self::Junction(it) => it.order,
            Self::Device(it) => it.order,
            Self::Retired(it) => it.was.order(),
            _ => 0.0,
        }
    }

    /// The id of the item this one belongs to; empty for those at the top.
    #[must_use]
    pub fn parent(&self) -> &str {
        match self {
            Self::Output(it) => it.amplifier.as_str(),
            Self::Line(it) => it.output.as_str(),
            Self::Loudspeaker(it) => it.line.as_str(),
            Self::Junction(it) => it.line.as_str(),
            Self::Device(it) => it.line.as_str(),
            Self::Retired(it) => it.was.parent(),
            _ => "",
        }
    }
}

rows! {
    /// The building.
    SiteDesign {
        /// What the drawings call it.
        label: String,
        /// IANA name; times are stored in UTC and shown in this zone.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        time_zone: Option<String>,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// The site's own value for one of the assumed figures (`figures.rs`), named by the item's id.
    FigureDesign {
        /// In the unit that the figure's name carries.
        value: f64,
    }
    /// A stay on the site with one set of instruments.
    Visit {
        /// What people call it.
        label: String,
        /// A return visit: faults are rarer than at a hand-over.
        #[serde(default, skip_serializing_if = "no")]
        returning: bool,
    }
    /// An amplifier.
    Amplifier {
        /// Its label on the rack.
        label: String,
        /// Place among the amplifiers.
        order: f64,
        /// Carries voice alarm; some codes ask more headroom.
        #[serde(default, skip_serializing_if = "no")]
        voice_alarm: bool,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// One output of an amplifier.
    Output {
        /// Its amplifier.
        amplifier: AmplifierId,
        /// Its label on the unit.
        label: String,
        /// Place among the outputs.
        order: f64,
        /// Nominal line voltage.
        volts: Volt,
        /// Rating; without it the output cannot be judged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        rated_w: Option<Watt>,
        /// Share of the rating to keep free, where it differs from the site's.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        headroom: Option<Fraction>,
        /// True extra-low voltage (SELV or PELV): insulation may be tested at 250 V.
        #[serde(default, skip_serializing_if = "no")]
        elv: bool,
    }
    /// A zone.
    Zone {
        /// Its name.
        label: String,
        /// Place among the zones.
        order: f64,
    }
    /// A make of loudspeaker: what its units have in common.
    Type {
        /// Its name on the drawing; `taps 1.5 3 6` where there is none; [`UNNAMED_TYPE`] where its
        /// taps are not known either.
        label: String,
    }
    /// A cable that is not a standard size.
    Cable {
        /// Its name.
        label: String,
        /// Resistance of one conductor at 20 C.
        r20_ohm_km: OhmPerKm,
        /// Loop inductance.
        l_uh_m: MicroHenryPerMetre,
        /// Capacitance between the cores.
        c_pf_m: PicoFaradPerMetre,
    }
    /// An instrument.
    Instrument {
        /// Its label.
        label: String,
        /// What it reads.
        reads: Reads,
        /// Largest relative error; 0.05 is 5 %.
        accuracy: Fraction,
        /// Test frequency.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        hz: Option<Hertz>,
        /// Scale step, where it is coarser than the last digit typed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step_ohm: Option<Ohm>,
        /// Source resistance of its tone.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        source_ohm: Option<Ohm>,
        /// Top of its range: above it reads open.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        range_ohm: Option<Ohm>,
        /// Serial number.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        serial: Option<String>,
        /// When it was calibrated.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        calibrated: Option<jiff::civil::Date>,
        /// When the next calibration is due.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        due: Option<jiff::civil::Date>,
    }
    /// A loudspeaker line.
    Line {
        /// Its label, unique on the site.
        label: String,
        /// Place among the lines of its output.
        order: f64,
        /// The output that feeds it.
        output: OutputId,
        /// Its zone.
        zone: ZoneId,
        /// An insulation reading is asked for.
        #[serde(default, skip_serializing_if = "no")]
        insulation_asked: bool,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// A loudspeaker with the cable run that feeds it.
    Loudspeaker {
        /// Its line.
        line: LineId,
        /// Its label, unique on its line.
        label: String,
        /// Place in the list of its line.
        order: f64,
        /// Feeding node, or `rack`.
        from: NodeId,
        /// Length of the run; not known when absent.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        run_m: Option<Metre>,
        /// A standard size or a cable of the site.
        cable: CableId,
        /// A level control or override relay contact at the near end of the run.
        #[serde(default, skip_serializing_if = "no")]
        control: bool,
        /// Design tap.
        tap_w: Watt,
        /// Every tap it has; not known when absent, fixed when there is one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        taps_w: Option<Vec<Watt>>,
        /// Its type.
        r#type: TypeId,
        /// A series capacitor blocks direct current.
        #[serde(default, skip_serializing_if = "no")]
        dc_block: bool,
    }
    /// A joint box: no load.
    Junction {
        /// Its line.
        line: LineId,
        /// Its label.
        label: String,
        /// Place in the list of its line.
        order: f64,
        /// Feeding node, or `rack`.
        from: NodeId,
        /// Length of the run.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        run_m: Option<Metre>,
        /// A standard size or a cable of the site.
        cable: CableId,
        /// A level control at the near end of the run.
        #[serde(default, skip_serializing_if = "no")]
        control: bool,
    }
    /// A device on the line: an end-of-line unit or the like.
    Device {
        /// Its line.
        line: LineId,
        /// Its label.
        label: String,
        /// Place in the list of its line.
        order: f64,
        /// Feeding node, or `rack`.
        from: NodeId,
        /// Length of the run.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        run_m: Option<Metre>,
        /// A standard size or a cable of the site.
        cable: CableId,
        /// A level control at the near end of the run.
        #[serde(default, skip_serializing_if = "no")]
        control: bool,
        /// Its series resistance.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ohm: Option<Ohm>,
        /// Its series capacitance.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        farad: Option<Farad>,
    }
    /// An item that no longer stands; nothing is ever deleted.
    Retired {
        /// The reason.
        why: String,
        /// What it was.
        was: Box<Design>,
    }
}

/// What an instrument reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Reads {
    /// Modulus of impedance with a tone.
    Impedance,
    /// Direct-current resistance.
    Dc,
    /// Insulation resistance.
    Insulation,
}

impl Reads {
    /// The word that scripts know.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Impedance => "impedance",
            Self::Dc => "dc",
            Self::Insulation => "insulation",
        }
    }

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Impedance => "impedance",
            Self::Dc => "direct current",
            Self::Insulation => "insulation",
        }
    }
}
