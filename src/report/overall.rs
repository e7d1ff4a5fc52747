//! What pages ask of an assessment as a whole: how much is read, heard and open, a limit by its name.
//!
//! Never here: what a line is worth.

use super::rows::Assessment;

/// Said where no line is noted as OFF and nothing tells of the others.
pub(super) const NONE_OFF: &str =
    "No line is noted as OFF the amplifier; what was not ticked is not known.";

impl Assessment {
    /// How many of its lines were read, whatever the reading is worth.
    pub(super) fn lines_read(&self) -> usize {
        let lines = self.lines.iter();
        lines.filter(|row| row.measured.is_some()).count()
    }

    /// How many things stand in the way of signing.
    pub(super) fn open_things(&self) -> usize {
        self.review.iter().filter(|row| row.open).count()
    }

    /// Loudspeakers of the line of this label that nobody listened to, of how many; none where there is no such line.
    pub(super) fn unheard(&self, line: &str) -> Option<[usize; 2]> {
        let row = self.lines.iter().find(|row| row.line == line)?;
        Some([row.heard[1].saturating_sub(row.asked), row.heard[1]])
    }

    /// A limit or assumption in force, by its name in the site file and in its unit; nothing where it is
    /// not among those told.
    pub(super) fn limit(&self, name: &str) -> f64 {
        let row = self.limits.iter().find(|row| row.name == name);
        row.map_or(0.0, |row| row.value)
    }
}
