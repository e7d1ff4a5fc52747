//! What is said of a line that was read before its drawing was changed. Whether the drawing was wrong or the
//! line was changed on site, no program can know.

use super::Session;
use super::tree::output_title;
use crate::quantity::show;
use crate::site::{Design, Do, Entry, EntryId, TRIED_OUT};

/// So many labels are named.
const MOST_LABELS: usize = 2;

impl Session {
    /// What edits that were just recorded leave behind the drawing, for the message: none where no line
    /// was read before.
    pub(super) fn redrawn_words(&self, ids: &[EntryId]) -> Option<String> {
        let plan = self.site.plan();
        let mut labels = Vec::new();
        let (mut to_be_done, mut read) = (false, None);
        for (at, line) in plan.lines.iter().enumerate() {
            let redrawn = self.analyst.line(at).redrawn.as_ref();
            if let Some(it) = redrawn.filter(|it| ids.contains(&it.entry)) {
                labels.push(line.label.clone());
                to_be_done |= it.to_be_done;
                read = Some(it.read);
            }
        }
        let (named, time) = (show::few(&labels, MOST_LABELS), self.clock(read?));
        Some(match (to_be_done, labels.len()) {
            (true, _) => {
                format!(
                    ". Still to be done there, then j; {named} was read before, {time}: read it again"
                )
            }
            (false, 1) => {
                format!(
                    ". {named} was read before that, {time}: read it again, or say in g v why it counts"
                )
            }
            (false, _) => {
                format!(". Read before that: {named}; read again, or say in g v why they count")
            }
        })
    }

    /// What an edit leaves to be done that moves a line to another output and was tried out: a drawing
    /// moves no cores.
    pub(super) fn moved_words(&self, entry: &Entry) -> Option<String> {
        let tried = entry.why.as_deref()?.starts_with(TRIED_OUT);
        let Do::Edit(edit) = &entry.what else {
            return None;
        };
        let was = edit.was.first().map(|(_, design)| design);
        let (Some(Design::Line(was)), Design::Line(now)) = (was, &edit.now) else {
            return None;
        };
        let plan = self.site.plan();
        let output = plan.outputs.iter().position(|it| it.id == now.output)?;
        (tried && was.output != now.output).then(|| {
            format!(
                ". Still to be done there: both amplifiers isolated, its cores to {}",
                output_title(plan, output)
            )
        })
    }

    /// The row of the panel of a line that was read before it was drawn as it is.
    pub(super) fn redrawn_row(&self, at: usize) -> Option<String> {
        let it = self.analyst.line(at).redrawn.as_ref()?;
        let (read, drawn) = (self.clock(it.read), self.clock(it.at));
        Some(match it.to_be_done {
            true => format!(
                "read {read}, before it was drawn so {drawn}: set it so there, j, read it again"
            ),
            false => format!(
                "read {read}, before the drawing was changed {drawn}: read it again, or g v says why it \
                 counts"
            ),
        })
    }
}
