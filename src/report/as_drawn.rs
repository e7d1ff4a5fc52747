//! What is drawn of a node beyond what its line is reckoned from in the JSON: enough to build it anew.
//!
//! Never here: figures of its own.

use crate::quantity::{Farad, Ohm, Watt, show};
use crate::review::own_label_of;
use crate::site::{CableMake, Conductor, NodeIs, NodePlan, Ref, Site, UNNAMED_TYPE};

/// What else is drawn of a node.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawnRow {
    /// Of a loudspeaker every tap it has, W; none where nobody knows.
    pub taps_w: Option<Vec<f64>>,
    /// The name of its make; empty where it has none.
    pub make: String,
    /// A capacitor in it blocks direct current.
    pub dc_block: bool,
    /// Of a device what it is made of, in words; empty of anything else.
    pub device: String,
    /// Of a cable that is no standard size its name, and what it is made of, in words.
    pub cable: Option<[String; 2]>,
}

impl DrawnRow {
    pub(super) fn of(site: &Site, node: &NodePlan) -> Self {
        let cable = match Conductor::named(&node.cable) {
            Some(_) => None,
            None => {
                let name = own_label_of(site, &Ref::Cable(node.cable.as_str().into()));
                Some([name, cable_words(&node.make)])
            }
        };
        let out = Self {
            cable,
            ..Self::default()
        };
        match &node.is {
            NodeIs::Loudspeaker {
                taps, of, dc_block, ..
            } => {
                let watts = |it: &Vec<Watt>| it.iter().map(|it| it.get()).collect();
                let make = own_label_of(site, &Ref::Type(of.clone()));
                Self {
                    taps_w: taps.as_ref().map(watts),
                    make: if make == UNNAMED_TYPE {
                        String::new()
                    } else {
                        make
                    },
                    dc_block: *dc_block,
                    ..out
                }
            }
            NodeIs::Junction => out,
            NodeIs::Device { ohm, farad } => Self {
                device: device_words(*ohm, *farad),
                ..out
            },
        }
    }
}

fn cable_words(make: &CableMake) -> String {
    format!(
        "one conductor {} ohm/km at 20 C, loop {} uH/m, between the cores {} pF/m",
        make.r20.get(),
        make.l.get(),
        make.c.get()
    )
}

/// `22.0 kohm, 100 nF in series`.
fn device_words(ohm: Option<Ohm>, farad: Option<Farad>) -> String {
    // Without what binary fractions add at the end.
    let farad = farad.map(|it| format!("{} nF", (it.get() * 1e15).round() / 1e6));
    match (ohm.map(show::ohm), farad) {
        (Some(ohm), Some(farad)) => format!("{ohm} and {farad} in series"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => "not known what is in it".to_owned(),
    }
}
