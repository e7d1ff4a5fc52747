//! What is signed and still stands as it was signed: it is said before a key changes it, and after it was
//! changed.

use super::Session;
use super::design::Thing;
use super::keys::{Action, Place};
use super::mode::{DraftKind, Mode, Purpose};
use crate::quantity::show;
use crate::review::{self, SealState, Standing};
use crate::site::{Do, Entry, EntryId, LineId, Ref, VisitId, in_order};

/// So many of the things that were signed for are named when one change breaks all their seals.
const MOST_SCOPES: usize = 3;

/// The longest label of a visit that the first row has room for.
const LONGEST_VISIT: usize = 12;

/// Signatures that stand otherwise than before.
#[derive(Default)]
struct Moved {
    /// Those that stood and do so no more, each with the first thing that changed.
    broken: Vec<(SealState, Ref)>,
    /// Those that did not, and of which all that changed was taken back.
    back: Vec<SealState>,
}

/// What is said of signatures after entries came, before what was recorded.
pub(super) struct SealSaid {
    /// In full.
    pub words: String,
    /// A seal was broken: the same without who signed, for what and when, which stands in the review.
    pub broken: Option<String>,
}

/// From so many columns on both visits are named in it.
const WIDE: usize = 76;

impl Session {
    /// Looks which signatures stand.
    ///
    /// Digests of a whole site take a while on a large one, so only a site that was signed pays, and
    /// only where something may have changed it.
    pub(super) fn look_at_seal(&mut self) {
        self.moved_since(None);
    }

    /// Looks which signatures stand, after something of one line alone where one is named, and which of
    /// them do otherwise than they did.
    fn moved_since(&mut self, line: Option<&LineId>) -> Moved {
        let was = std::mem::take(&mut self.review.intact);
        let mut fallen = std::mem::take(&mut self.review.broken);
        let mut touched = std::mem::take(&mut self.review.touched);
        let was_broken: Vec<EntryId> = fallen.iter().map(|(id, _)| id.clone()).collect();
        let at = line.and_then(|line| self.site.plan().line(line));
        // A signature for another part is not touched by it.
        let elsewhere = |scope: &Ref| at.is_some_and(|at| !review::has_line(&self.site, scope, at));
        let log = self.site.log();
        let asked = review::seals_among(&self.site, |id, seal| {
            log.counts(id) && !elsewhere(&seal.scope)
        });
        let mut moved = Moved::default();
        let mut intact = was.clone();
        for all in [&mut intact, &mut fallen, &mut touched] {
            all.retain(|(_, scope)| elsewhere(scope));
        }
        for it in asked {
            let stood = was.iter().any(|(id, _)| *id == it.entry.id);
            let had_fallen = was_broken.contains(&it.entry.id);
            let own = (it.entry.id.clone(), it.seal.scope.clone());
            match it.standing(&self.site) {
                Standing::Intact => intact.push(own),
                Standing::TakenBack => {
                    // Its figures are as sealed: it stands, and what is done next is warned of as before.
                    intact.push(own.clone());
                    if !self.is_signed_again(&own.0, &own.1) {
                        touched.push(own);
                        moved.back.extend(had_fallen.then_some(it));
                    }
                }
                Standing::Broken => {
                    fallen.push(own);
                    if let (true, Some(first)) = (stood, it.breaks.first()) {
                        let of = first.of.clone();
                        moved.broken.push((it, of));
                    }
                }
            }
        }
        fallen.retain(|(id, scope)| !self.is_signed_again(id, scope));
        self.review.intact = intact;
        self.review.broken = fallen;
        self.review.touched = touched;
        moved
    }

    /// Whether anything of the site was signed, on whatever visit.
    pub(super) fn was_signed(&self) -> bool {
        let log = self.site.log();
        let mut entries = log.entries().iter();
        entries.any(|it| matches!(it.what, Do::Seal(_)) && log.counts(&it.id))
    }

    /// How the signatures stand, for the first row of every screen.
    pub(super) fn seal_words(&self) -> Option<String> {
        let whole = |all: &[(EntryId, Ref)]| all.iter().any(|it| it.1 == Ref::Site);
        let of_this = |it: &(EntryId, Ref)| self.is_of_this_visit(&it.0);
        match (self.review.broken.len(), self.review.intact.as_slice()) {
            (0, []) => None,
            // What was signed on an earlier visit is not what is read on this one.
            (0, [.., last]) if !self.review.intact.iter().any(of_this) => {
                let visit = self.visit_signed(&last.0).unwrap_or_default();
                let label = review::label_of(&self.site, &Ref::Visit(visit));
                let now = review::label_of(&self.site, &Ref::Visit(self.site.visit()));
                // A long label would take the room of the counts.
                let short = |label: String, else_: &str| match label.chars().count() > LONGEST_VISIT
                {
                    true => else_.to_owned(),
                    false => label,
                };
                let now = short(now, "new visit");
                Some(match self.size.0 < WIDE {
                    true => format!("{now} not signed"),
                    false => format!("{now}; {} signed", short(label, "earlier one")),
                })
            }
            (0, all) => {
                let signed = if whole(all) { "signed" } else { "part signed" };
                Some(match self.review.touched.is_empty() {
                    true => signed.to_owned(),
                    false => format!("{signed}, change undone"),
                })
            }
            (1, _) => Some("SEAL BROKEN".to_owned()),
            (many, _) => Some(format!("{many} SEALS BROKEN")),
        }
    }

    /// The visit that a signature is of.
    fn visit_signed(&self, id: &EntryId) -> Option<VisitId> {
        self.site.log().get(id).and_then(|entry| match &entry.what {
            Do::Seal(seal) => Some(seal.visit.clone()),
            _ => None,
        })
    }

    /// Whether a signature is of the visit that is read now: what is read, heard, ticked or said on it is
    /// no part of what was signed on an earlier one.
    fn is_of_this_visit(&self, id: &EntryId) -> bool {
        self.visit_signed(id) == Some(self.site.visit())
    }

    /// Whether what would be recorded changes what was signed on whatever visit: the design, or an entry
    /// that was there then.
    fn changes_what_was(&self, seal: &EntryId) -> bool {
        let log = self.site.log();
        match &self.mode {
            Mode::Text(words) => words.purpose.is_design(),
            Mode::Reading(draft) => {
                let corrected = draft.corrects.as_ref().and_then(|id| log.get(id));
                let seal = log.get(seal);
                corrected
                    .zip(seal)
                    .is_some_and(|(it, seal)| in_order(it, seal).is_lt())
            }
            Mode::Key | Mode::GoList => false,
        }
    }

    /// Whether a later signature stands for what one was for, which makes that one history.
    fn is_signed_again(&self, id: &EntryId, scope: &Ref) -> bool {
        let log = self.site.log();
        let mut entries = log.entries().iter();
        log.get(id).is_some_and(|own| {
            entries.any(|entry| match &entry.what {
                Do::Seal(seal) => {
                    (seal.scope == *scope || seal.scope == Ref::Site)
                        && log.counts(&entry.id)
                        && in_order(own, entry).is_lt()
                }
                _ => false,
            })
        })
    }

    /// After entries came: whether they broke a seal that stood, or took back all that did.
    pub(super) fn seal_after(&mut self, whats: &[Do]) -> Option<SealSaid> {
        let again = |what: &Do| matches!(what, Do::Seal(_) | Do::Void(_) | Do::Edit(_));
        if self.review.intact.is_empty() && !whats.iter().any(again) {
            return None;
        }
        // The thing that was recorded of, where it is among what changed.
        let line = whats.iter().find_map(Do::line).cloned();
        let alone = whats.iter().all(|what| what.line() == line.as_ref());
        let Moved { broken, back } = self.moved_since(line.as_ref().filter(|_| alone));
        let Some((it, of)) = broken.first() else {
            let it = back.first()?;
            let labels = show::few(&it.labels(&self.site), MOST_SCOPES);
            return Some(SealSaid {
                words: format!("{labels}: figures as sealed again;"),
                broken: None,
            });
        };
        let label = match line {
            Some(line) => self.label_of(&line),
            None => review::label_of(&self.site, of),
        };
        let (name, at) = (&it.seal.name, self.day_and_clock(it.entry.at));
        let scopes: Vec<String> = broken
            .iter()
            .map(|(it, _)| review::scope_words(&self.site, &it.seal.scope))
            .collect();
        let of = show::few(&scopes, MOST_SCOPES);
        // Each may have a name and a day of its own: of several what they are for is said.
        let (seals, signed) = match broken.len() {
            1 => (
                "SEAL BROKEN".to_owned(),
                format!("{name} signed for {of}, {at}"),
            ),
            count => (format!("{count} SEALS BROKEN"), format!("{of} were signed")),
        };
        let said = |signed: &str| format!("{seals}: {label} changed since {signed};");
        Some(SealSaid {
            words: said(&signed),
            broken: Some(said("it was signed")),
        })
    }

    /// What would be recorded next is about something signed. A note that comes later is no part of
    /// what was.
    pub(super) fn breaks_a_seal(&self) -> bool {
        let concerned =
            |it: &&(EntryId, Ref)| self.is_of_this_visit(&it.0) || self.changes_what_was(&it.0);
        let mut scopes = self.review.intact.iter().filter(concerned).map(|it| &it.1);
        scopes.any(|scope| match &self.mode {
            Mode::Reading(draft) if draft.kind == DraftKind::Check => false,
            Mode::Reading(draft) => self.is_within(scope, &Ref::Line(draft.line.clone())),
            Mode::Text(words) => self.words_are_within(scope, &words.purpose),
            // One key answers, or ticks.
            Mode::Key if self.place == Place::Walk => {
                let line = self.cursor_line();
                line.is_some_and(|line| self.is_within(scope, &Ref::Line(line)))
            }
            Mode::Key if self.place == Place::Rack => {
                let under = self.amplifier_under();
                under.is_some_and(|at| review::amplifiers_in(&self.site, scope).contains(&at))
            }
            Mode::Key | Mode::GoList => false,
        })
    }

    fn words_are_within(&self, scope: &Ref, purpose: &Purpose) -> bool {
        // Nor is a new visit a part of what was signed on an earlier one.
        if matches!(purpose, Purpose::Note(_) | Purpose::Add(Thing::Visit, _)) {
            return false;
        }
        if let Some(line) = purpose.line() {
            return self.is_within(scope, &Ref::Line(line.clone()));
        }
        match purpose {
            Purpose::Add(_, of)
            | Purpose::Change(of)
            | Purpose::Gone(of)
            | Purpose::Accept(of)
            | Purpose::Snag(of)
            | Purpose::Skip(of) => self.is_within(scope, of),
            Purpose::NotHere(_, all) => all.iter().any(|of| self.is_within(scope, of)),
            _ => false,
        }
    }

    /// Whether something may belong to what is signed and unchanged since.
    pub(super) fn touches_signed(&self, of: &Ref) -> bool {
        let mut scopes = self.review.intact.iter();
        scopes.any(|(_, scope)| self.is_within(scope, of))
    }

    /// Whether something may belong to what was signed for: in doubt it does.
    fn is_within(&self, scope: &Ref, of: &Ref) -> bool {
        let plan = self.site.plan();
        match of {
            _ if *scope == Ref::Site => true,
            Ref::Line(line) => {
                let at = plan.line(line);
                at.is_none_or(|at| review::has_line(&self.site, scope, at))
            }
            Ref::Node(_) => {
                let standing = self.site.elements().settled(of);
                standing
                    .is_none_or(|design| self.is_within(scope, &Ref::Line(design.parent().into())))
            }
            Ref::Zone(zone) => {
                let mut lines = review::lines_in(&self.site, scope).into_iter();
                lines.any(|at| plan.lines[at].zone == *zone)
            }
            Ref::Output(output) => {
                let mut outputs = review::outputs_in(&self.site, scope).into_iter();
                outputs.any(|at| plan.outputs[at].id == *output)
            }
            Ref::Amplifier(amplifier) => {
                let mut all = review::amplifiers_in(&self.site, scope).into_iter();
                all.any(|at| plan.amplifiers[at].id == *amplifier)
            }
            _ => true,
        }
    }

    /// Whether a key that changes something at once would break a seal: it says so first, and does it
    /// when it is pressed again.
    pub(super) fn warns_first(&mut self, action: Action) -> bool {
        !self.review.intact.is_empty()
            && self.asks_first(
                action,
                "signed: this breaks the seal. The same key once more does it".to_owned(),
            )
    }

    /// Whether what `u` takes back was there when it was signed; the signature itself is withdrawn.
    pub(super) fn undoes_signed(&self) -> bool {
        let entries = self.acts.on_top();
        let log = self.site.log();
        let is_seal = |entry: &Entry| matches!(entry.what, Do::Seal(_));
        let seal = log.entries().iter().rfind(|it| is_seal(it));
        let before = |entry: &Entry| {
            !is_seal(entry) && seal.is_some_and(|seal| in_order(entry, seal).is_lt())
        };
        let mut known = entries.iter().filter_map(|id| log.get(id));
        known.any(before)
    }
}
