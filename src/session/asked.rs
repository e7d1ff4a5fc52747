//! What is asked once before it is done: the same key, pressed once more, does it. Any other key is a no.
//!
//! Never here: what is recorded and taken back with one key, which is nearly all there is.

use super::Session;
use super::keys::Action;
use super::mode::Draft;
use crate::quantity::show;
use crate::site::LineId;
use jiff::SignedDuration;

/// So many labels are named in a question.
const MOST_LABELS: usize = 3;

/// So long a question stands before a key may answer it, where what it asks about is a signature. \[assumed\]
const TO_READ: SignedDuration = SignedDuration::from_secs(1);

impl Session {
    /// Asks before a key does what it is pressed for; false where it was asked just now, by this key.
    pub(super) fn asks_first(&mut self, action: Action, question: String) -> bool {
        if self.asked.take() == Some(action) {
            return false;
        }
        self.asked = Some(action);
        self.asked_at = self.now;
        self.alarm(question);
        true
    }

    /// Whether it was asked so short a time ago that nobody has read it.
    pub(super) fn was_asked_just_now(&self) -> bool {
        let (Some(asked), Some(now)) = (self.asked_at, self.now) else {
            return false;
        };
        // A clock that was put back keeps no key waiting.
        let since = now.duration_since(asked);
        !since.is_negative() && since < TO_READ
    }

    /// Whether a reading is asked about before it is recorded: all there is to ask, at once. What corrects
    /// a figure was read before.
    pub(super) fn asks_of_reading(&mut self, draft: &Draft) -> bool {
        if draft.corrects.is_some() {
            return false;
        }
        let questions = [
            self.question_of_line_on(draft),
            self.question_of_tester(draft),
            self.question_of_opened(draft),
            self.question_of_redrawn(draft),
        ];
        let questions: Vec<String> = questions.into_iter().flatten().collect();
        if questions.is_empty() {
            return false;
        }
        let question = format!("{} Enter once more records it", questions.join(" "));
        self.asks_first(Action::Enter, question)
    }

    /// Labels of the lines of a draft, those of a paste with it, for which something holds.
    pub(super) fn drafted(&self, draft: &Draft, holds: impl Fn(usize) -> bool) -> Vec<String> {
        let lines = draft.more.iter().map(|(line, _)| line);
        let label = |line: &LineId| {
            let at = self.site.plan().line(line)?;
            holds(at).then(|| self.label_of(line))
        };
        [&draft.line]
            .into_iter()
            .chain(lines)
            .filter_map(label)
            .collect()
    }

    /// A line that stands opened for a split is not read whole.
    fn question_of_opened(&self, draft: &Draft) -> Option<String> {
        if draft.cut.is_some() {
            return None;
        }
        let labels = self.drafted(draft, |at| self.open_split_ahead(at).is_some());
        let verb = if labels.len() == 1 { "stands" } else { "stand" };
        (!labels.is_empty()).then(|| {
            format!(
                "{} {verb} opened for a split: read whole all the same? w, then b once it is closed.",
                show::few(&labels, MOST_LABELS)
            )
        })
    }

    /// What was tried out and applied is to be done, and said, before it is read: readings before and
    /// after it would else be of one line.
    fn question_of_redrawn(&self, draft: &Draft) -> Option<String> {
        let labels = self.drafted(draft, |at| {
            let redrawn = self.analyst.line(at).redrawn.as_ref();
            let line = &self.site.plan().lines[at].id;
            redrawn.is_some_and(|it| it.to_be_done)
                && self.state(line) == self.analyst.line(at).state
        });
        (!labels.is_empty()).then(|| {
            format!(
                "{}: is it set as drawn by now? Then Esc, and say so first: j.",
                show::few(&labels, MOST_LABELS)
            )
        })
    }
}
