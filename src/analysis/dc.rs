//! What an ohmmeter at the rack should read of a line as drawn.
//!
//! Never here: how well a reading fits that; the diagnosis weighs it.

use crate::circuit::{Conditions, Network};
use crate::diagnosis::{Posterior, Test};
use crate::quantity::{Hertz, Ohm, show};
use crate::site::{Figures, LinePlan, NodeIs, Site};

/// The resistance of a line as drawn, at direct current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnDc {
    /// In ohms; none where nothing conducts: every loudspeaker has a blocking capacitor.
    pub ohm: Option<Ohm>,
    /// Windings are in it, whose resistance no drawing tells: it may well be half as much or twice.
    pub about: bool,
}

impl DrawnDc {
    /// `about 11.2 ohm`, `22013 ohm`, `open`.
    #[must_use]
    pub fn words(self) -> String {
        let about = if self.about { "about " } else { "" };
        self.ohm.map_or_else(
            || "open".to_owned(),
            |ohm| format!("{about}{}", show::ohm(ohm)),
        )
    }
}

/// That of a line; none where a level control is on it, of which a drawing does not tell what it lets
/// through.
#[must_use]
pub fn drawn_dc(line: &LinePlan, figures: &Figures) -> Option<DrawnDc> {
    if line.nodes.iter().any(|node| node.control) {
        return None;
    }
    let network = Network::of(line, &Conditions::of(figures, Hertz(0.0)));
    let winds = |is: &NodeIs| {
        matches!(
            is,
            NodeIs::Loudspeaker {
                dc_block: false,
                ..
            }
        )
    };
    Some(DrawnDc {
        ohm: network.solve().input().modulus(),
        about: line.nodes.iter().any(|node| winds(&node.is)),
    })
}

/// Which reading of a line, not the latest at the rack, is most likely a mistake, and what to do; where
/// it is one with direct current and the drawing tells its figure, that too: it is all that shows an
/// end-of-line unit.
#[must_use]
pub fn doubt(site: &Site, at: usize, suspects: &Posterior) -> Option<String> {
    let words = suspects.doubt()?;
    let dc = matches!(suspects.doubtful(), Some((Test::Dc, _)));
    let line = &site.plan().lines[at];
    let drawn = dc.then(|| drawn_dc(line, site.figures())).flatten();
    Some(match drawn.filter(|it| !it.about) {
        Some(it) if it.ohm.is_none() => format!("{words}; as drawn it is open"),
        Some(it) => format!(
            "{words}; as drawn it is {}: look at the end of the line",
            it.words()
        ),
        None => words,
    })
}
