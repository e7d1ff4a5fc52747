//! That no fault explains the readings best says nothing of a loudspeaker that was not heard as it should
//! be: the sentence then says what the reading shows, and where to look.
//!
//! Never here: how likely anything is.

use super::evidence::Evidence;
use super::hints::NOTHING_WRONG;
use super::kind::FaultKind;
use super::posterior::Posterior;
use super::prepared::Prepared;
use crate::quantity::show;
use crate::site::Heard;

/// So many loudspeakers are named.
const MOST_NAMED: usize = 3;

impl Posterior {
    /// The same, in words that hold beside these answers.
    pub(super) fn beside_answers(mut self, prepared: &Prepared, evidence: &Evidence) -> Self {
        let mut heard = evidence.heard();
        heard.retain(|it| it.heard != Heard::Heard);
        heard.sort_by_key(|it| it.at);
        let told = heard.iter().map(|it| {
            let label = &prepared.nodes[it.at].1;
            format!("{label} was {}", it.heard.word())
        });
        let told: Vec<String> = told.collect();
        if told.is_empty() {
            return self;
        }
        let mut hints = self.hints.iter_mut();
        if let Some(none) = hints.find(|it| it.fault == FaultKind::None && it.text == NOTHING_WRONG)
        {
            let told = show::few(&told, MOST_NAMED);
            none.text = format!("no fault that the reading shows; {told}: look there");
        }
        self
    }
}
