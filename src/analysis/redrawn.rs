//! A reading that is older than the drawing it is held against. Whether the drawing was wrong, and the
//! reading counts as it is, or the line was changed on site, and does not, no file can tell: it is said,
//! until the line is read again or somebody says which. What was tried out and applied is still to be
//! done on site: until the line is read again nothing of it can be judged.
//!
//! Never here: what is said of it.

use crate::site::{Design, Do, Edit, Entry, EntryId, LineId, Ref, Site, TRIED_OUT, in_order};
use jiff::Timestamp;
use std::collections::{HashMap, HashSet};

/// What was drawn anew of a line since it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Redrawn {
    /// When the line was read.
    pub read: Timestamp,
    /// The last edit since then.
    pub entry: EntryId,
    /// When that was.
    pub at: Timestamp,
    /// It was tried out and applied: what is drawn is still to be done on site.
    pub to_be_done: bool,
}

/// The edits that change what a line should read, by line, in order.
#[derive(Clone, Debug, Default)]
pub(super) struct Edits(HashMap<LineId, Vec<EntryId>>);

/// What of a design a meter sees.
#[derive(PartialEq)]
enum Seen {
    Nothing,
    Place(Design),
    Volts(Option<u64>),
}

impl Edits {
    /// Gathers the edits of a site that change what its lines should read.
    pub fn of(site: &Site) -> Self {
        let log = site.log();
        let mut edits: Vec<(&Entry, &Edit)> = log
            .beside_lines()
            .filter_map(|entry| match &entry.what {
                Do::Edit(edit) if log.counts(&entry.id) => Some((entry, edit)),
                _ => None,
            })
            .collect();
        edits.sort_by(|a, b| in_order(a.0, b.0));
        let mut out: HashMap<LineId, Vec<EntryId>> = HashMap::new();
        for (entry, edit) in edits {
            for line in touched(site, edit) {
                out.entry(line).or_default().push(entry.id.clone());
            }
        }
        Self(out)
    }

    /// What was drawn anew of a line since a reading of it; none where all is drawn as it was then.
    pub fn since(&self, site: &Site, line: &LineId, read: &Entry) -> Option<Redrawn> {
        let own = self.0.get(line)?;
        let log = site.log();
        // A figure that was corrected was read when it was read.
        let taken = log.measured(read);
        let later: Vec<(&Entry, &Edit)> = own
            .iter()
            .filter_map(|id| log.get(id))
            .filter(|entry| in_order(taken, entry).is_lt())
            .filter_map(|entry| match &entry.what {
                Do::Edit(edit) => Some((entry, edit)),
                _ => None,
            })
            .collect();
        // What was changed and changed back is as it was.
        let mut known: HashSet<&Ref> = HashSet::new();
        let mut changed: HashSet<&Ref> = HashSet::new();
        for (_, edit) in &later {
            let before = edit.was.first().map(|(_, design)| design);
            if known.insert(&edit.of)
                && seen(site, line, before) != seen(site, line, site.elements().settled(&edit.of))
            {
                changed.insert(&edit.of);
            }
        }
        let tried = |entry: &Entry| {
            let why = entry.why.as_deref();
            why.is_some_and(|why| why.starts_with(TRIED_OUT))
        };
        let mut last = later
            .iter()
            .rev()
            .filter(|(_, edit)| changed.contains(&edit.of));
        let (entry, _) = last.next()?;
        Some(Redrawn {
            read: taken.at,
            entry: entry.id.clone(),
            at: entry.at,
            to_be_done: tried(entry) || last.any(|(entry, _)| tried(entry)),
        })
    }
}

/// The lines of which an edit may change what they should read.
fn touched(site: &Site, edit: &Edit) -> HashSet<LineId> {
    let mut out = HashSet::new();
    match &edit.of {
        Ref::Line(line) => {
            out.insert(line.clone());
        }
        Ref::Node(_) => {
            let designs = edit.was.iter().map(|(_, design)| design);
            let lines = designs.chain([&edit.now]).map(|it| it.parent().into());
            out.extend(lines);
        }
        Ref::Output(id) => {
            let plan = site.plan();
            let output = plan.outputs.iter().find(|it| it.id == *id);
            let lines = output.map_or(0..0, |it| it.lines.clone());
            out.extend(lines.map(|at| plan.lines[at].id.clone()));
        }
        _ => {}
    }
    out
}

/// What a meter at the rack of a line sees of a design: places by what hangs there and on which run, the
/// line and its output by their voltage. Names, order and which other taps there are change no reading.
fn seen(site: &Site, line: &LineId, design: Option<&Design>) -> Seen {
    let volts = |it: &crate::site::Output| Seen::Volts(Some(it.volts.get().to_bits()));
    match design {
        Some(design) if design.node().is_some_and(|it| it.line == line) => {
            let mut place = design.clone();
            if let Some(it) = place.node_mut() {
                it.label.clear();
                *it.order = 0.0;
            }
            if let Design::Loudspeaker(it) = &mut place {
                it.taps_w = None;
                it.r#type = "".into();
            }
            Seen::Place(place)
        }
        Some(Design::Line(it)) => match site.elements().settled(&Ref::Output(it.output.clone())) {
            Some(Design::Output(it)) => volts(it),
            _ => Seen::Volts(None),
        },
        Some(Design::Output(it)) => volts(it),
        _ => Seen::Nothing,
    }
}
