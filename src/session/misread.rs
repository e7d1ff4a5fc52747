//! What a reading that was just recorded may have been meant as, said when the cursor has gone on to the next line.
//!
//! Never here: what it is taken for, which is what was typed.

use super::Session;
use crate::analysis::{Side, lookalikes};
use crate::site::Read;

impl Session {
    /// Another figure that the same keys may have been meant for and that would fit: a lost multiplier, two digits
    /// swapped.
    pub(super) fn meant(&self, at: usize, read: &Read) -> Option<String> {
        let expected = self.analyst.line(at).design.expected;
        let alike = lookalikes(&read.text, expected, self.analyst.limits());
        alike.first().map(|it| format!("{}: x corrects", it.text()))
    }

    /// A far side that reads open, which no one fault on it makes it do.
    pub(super) fn opens_all(&self, read: &Read) -> bool {
        let plan = self.site.plan();
        let (Some(at), Some(cut)) = (plan.line(&read.line), &read.cut) else {
            return false;
        };
        let side = Side::of(&plan.lines[at], self.site.figures(), cut, read.hz);
        side.is_some_and(|it| it.is_open_against_all(Some(read.value)))
    }
}
