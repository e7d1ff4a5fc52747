//! What can be added by typing, and what may be said of it. Panel, parser and help read this table.

use crate::site::{Design, Ref};
use serde::{Deserialize, Serialize};

/// What can be added by typing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Thing {
    /// An amplifier with its outputs.
    Amplifier,
    /// One more output of an amplifier.
    Output,
    /// A line.
    Line,
    /// A loudspeaker with the cable run that feeds it.
    Loudspeaker,
    /// A joint box.
    Junction,
    /// An end-of-line unit or the like.
    Device,
    /// A zone.
    Zone,
    /// A cable that is no standard size.
    Cable,
    /// A type of loudspeaker.
    Type,
    /// An instrument of the bag.
    Instrument,
    /// A visit: ticks and readings begin anew with it.
    Visit,
}

/// One field: how it is written and what it says.
pub(in crate::session) type Field = (&'static str, &'static str);

/// One field of an item as it stands: its name in the panel, and what it says.
pub(in crate::session) type Row = (&'static str, String);

const LABEL: Field = ("first word", "label; none: the next");
const RUN: [Field; 5] = [
    ("9m", "cable run that feeds it"),
    ("1.5mm2 16awg", "cable; c:NAME the site's own"),
    ("f:LS-3", "fed from; f:rack"),
    ("b:LS-5", "into the run before LS-5"),
    ("control", "a level control before it"),
];

impl Thing {
    /// All, from the rack outwards.
    pub(in crate::session) const ALL: [Self; 11] = [
        Self::Amplifier,
        Self::Output,
        Self::Line,
        Self::Loudspeaker,
        Self::Junction,
        Self::Device,
        Self::Zone,
        Self::Cable,
        Self::Type,
        Self::Instrument,
        Self::Visit,
    ];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Amplifier => "amplifier",
            Self::Output => "output",
            Self::Line => "line",
            Self::Loudspeaker => "loudspeaker",
            Self::Junction => "joint box",
            Self::Device => "device",
            Self::Zone => "zone",
            Self::Cable => "cable",
            Self::Type => "type",
            Self::Instrument => "instrument",
            Self::Visit => "visit",
        }
    }

    /// The next or the one before, round the end.
    pub(in crate::session) fn step(self, forward: bool) -> Self {
        let count = Self::ALL.len();
        let at = Self::ALL.iter().position(|it| *it == self).unwrap_or(0);
        Self::ALL[(at + if forward { 1 } else { count - 1 }) % count]
    }

    /// What may be typed of it.
    pub(in crate::session) fn fields(self) -> Vec<Field> {
        let mut out = vec![LABEL];
        match self {
            Self::Amplifier => out.extend([
                ("2x240w", "outputs, each rated so"),
                ("100v", "their line voltage"),
                ("va", "carries voice alarm"),
            ]),
            Self::Output => out.extend([
                ("240w", "rating; none: not known"),
                ("100v", "line voltage"),
                ("20%", "share to keep free, if its own"),
                ("elv", "true extra-low voltage"),
            ]),
            Self::Line => out.extend([
                ("more words", "zone; a new one is added"),
                ("o:A1/2", "its output"),
                ("l:R-04", "with loudspeakers like R-04"),
                ("n:3", "place in the list"),
                ("ins", "insulation is asked for"),
            ]),
            Self::Loudspeaker => {
                out.push(("6w", "tap"));
                out.extend(RUN);
                out.extend([
                    ("t:NAME", "type; a new one is added"),
                    ("s:3/6/12", "its taps; s: not known"),
                    ("block", "open at direct current"),
                ]);
            }
            Self::Junction => out.extend(RUN),
            Self::Device => {
                out.extend([("22k 100nf", "in series")]);
                out.extend(RUN);
            }
            Self::Zone => out.extend([("n:3", "place in the list")]),
            Self::Cable => out.extend([
                ("18ohm/km", "one conductor, at 20 C"),
                ("0.65uh/m", "loop"),
                ("100pf/m", "between the cores"),
            ]),
            Self::Type => {}
            Self::Instrument => out.extend([
                ("reads:dc", "or impedance, insulation"),
                ("5%", "accuracy"),
                ("sn:A-17", "serial number"),
                ("cal:DATE", "calibrated, 2026-01-05"),
                ("due:DATE", "when it is due again"),
                ("1000hz", "its test tone"),
                ("source:100", "ohm behind its tone"),
                ("range:100k", "above it reads open"),
                ("step:0.1", "scale step, if coarse"),
            ]),
            Self::Visit => out.extend([("return", "handed over before")]),
        }
        out
    }

    /// The kind of thing that a design is; none for what is not typed so.
    pub(in crate::session) fn of(design: &Design) -> Option<Self> {
        Some(match design {
            Design::Amplifier(_) => Self::Amplifier,
            Design::Output(_) => Self::Output,
            Design::Line(_) => Self::Line,
            Design::Loudspeaker(_) => Self::Loudspeaker,
            Design::Junction(_) => Self::Junction,
            Design::Device(_) => Self::Device,
            Design::Zone(_) => Self::Zone,
            Design::Cable(_) => Self::Cable,
            Design::Type(_) => Self::Type,
            Design::Instrument(_) => Self::Instrument,
            Design::Visit(_) => Self::Visit,
            _ => return None,
        })
    }

    /// What belongs below an item: an output's lines, a line's loudspeakers.
    pub(in crate::session) const fn below(of: &Ref) -> Self {
        match of {
            Ref::Amplifier(_) => Self::Output,
            Ref::Output(_) => Self::Line,
            Ref::Line(_) | Ref::Node(_) => Self::Loudspeaker,
            Ref::Visit(_) => Self::Visit,
            Ref::Instrument(_) | Ref::Figure(_) => Self::Instrument,
            _ => Self::Amplifier,
        }
    }
}
