//! Which facts belong to which line or item of a scope, on a visit.
//!
//! Never here: what they are worth.

use super::super::scope::{amplifiers_in, lines_in, outputs_in};
use super::canon::{sha256, text_of};
use crate::site::{
    Decide, Design, Do, Entry, EntryId, InstrumentId, LineId, Ref, Site, VisitId, in_order,
};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Designs as they were before some edits; none where the item was not there.
pub(super) type Before = HashMap<Ref, Option<Design>>;

/// The facts of a scope, put in order by line or item.
pub(super) struct Facts<'a> {
    site: &'a Site,
    designs: BTreeMap<Ref, Vec<(&'a Ref, &'a Design)>>,
    entries: HashMap<Ref, Vec<&'a Entry>>,
}

/// The visit of an entry; none of one that belongs to no visit.
fn visit_of_entry<'a>(site: &'a Site, entry: &'a Entry) -> Option<&'a str> {
    Some(match &entry.what {
        Do::Read(it) => site.visit_of(&it.state),
        Do::Insulate(it) => site.visit_of(&it.state),
        Do::Listen(it) => site.visit_of(&it.state),
        Do::Repair(it) => site.visit_of(&it.after),
        Do::Decide(Decide { state, .. }) => site.visit_of(state),
        Do::Tick(it) => it.visit.as_str(),
        Do::Check(it) => it.visit.as_str(),
        Do::Void(_) | Do::Note(_) | Do::Edit(_) | Do::Seal(_) => return None,
    })
}

/// Visits up to one, by id.
fn visits_until<'a>(site: &'a Site, visit: &VisitId) -> BTreeSet<&'a str> {
    let mut out = BTreeSet::new();
    for it in site.visits() {
        out.insert(it.as_str());
        if it == visit {
            break;
        }
    }
    out
}

/// Whether an entry is a fact of a visit or of one before it. A note has no visit: it is when it is
/// no later than the signature. An edit is none: what it left standing is.
fn belongs(
    site: &Site,
    entry: &Entry,
    visits: &BTreeSet<&str>,
    until: Timestamp,
    depth: usize,
) -> bool {
    let struck = |id: &EntryId| {
        depth < 16
            && site
                .log()
                .get(id)
                .is_some_and(|entry| belongs(site, entry, visits, until, depth + 1))
    };
    if entry.corrects.as_ref().is_some_and(struck) {
        return true;
    }
    match &entry.what {
        Do::Edit(_) | Do::Seal(_) => false,
        Do::Note(_) => entry.at <= until,
        Do::Void(void) => void.of.iter().any(struck),
        _ => visit_of_entry(site, entry).is_some_and(|visit| visits.contains(visit)),
    }
}

/// What an entry is about beside lines.
fn others(entry: &Entry) -> Vec<Ref> {
    let refs: Vec<Ref> = match &entry.what {
        Do::Tick(tick) => tick.of.clone(),
        Do::Decide(decide) => vec![decide.of.clone()],
        Do::Note(note) => vec![note.of.clone()],
        Do::Check(check) => vec![Ref::Instrument(check.instrument.clone())],
        _ => Vec::new(),
    };
    refs.into_iter()
        .filter(|of| !matches!(of, Ref::Line(_) | Ref::Node(_)))
        .collect()
}

impl<'a> Facts<'a> {
    /// Of a scope, on a visit, with some designs as they were before.
    pub fn of(
        site: &'a Site,
        scope: &Ref,
        visit: &VisitId,
        until: Timestamp,
        before: &'a Before,
    ) -> Self {
        let mut all: BTreeMap<&'a Ref, &'a Design> = site
            .elements()
            .iter()
            .map(|(of, _, design)| (of, design))
            .collect();
        for (of, design) in before {
            match design {
                Some(design) => all.insert(of, design),
                None => all.remove(of),
            };
        }
        let visits = visits_until(site, visit);
        let inside = Inside::of(site, scope, &visits);
        let mut designs: BTreeMap<Ref, Vec<(&'a Ref, &'a Design)>> = BTreeMap::new();
        for (of, design) in &all {
            let owner = match of {
                Ref::Node(_) => Ref::Line(LineId::from(design.parent())),
                Ref::Figure(_) => continue,
                other => (*other).clone(),
            };
            if inside.has(&owner, design) {
                designs.entry(owner).or_default().push((of, design));
            }
        }
        let mut entries: HashMap<Ref, Vec<&'a Entry>> = HashMap::new();
        for entry in site.log().entries() {
            if !belongs(site, entry, &visits, until, 0) {
                continue;
            }
            let touched = site.log().touched(entry).into_iter().map(Ref::Line);
            let mut about: Vec<Ref> = touched.chain(others(entry)).collect();
            if let Do::Void(void) = &entry.what {
                let struck = void.of.iter().filter_map(|id| site.log().get(id));
                about.extend(struck.flat_map(others));
            }
            about.sort();
            about.dedup();
            for of in about {
                entries.entry(of).or_default().push(entry);
            }
        }
        for of in entries.values_mut() {
            of.sort_by(|a, b| in_order(a, b));
        }
        Self {
            site,
            designs,
            entries,
        }
    }

    /// The lines and items of the scope.
    pub fn things(&self) -> impl Iterator<Item = &Ref> {
        self.designs.keys()
    }

    /// Whether the scope has it.
    pub fn has(&self, of: &Ref) -> bool {
        self.designs.contains_key(of)
    }

    /// The entries of a thing, in order.
    pub fn entries(&self, of: &Ref) -> &[&'a Entry] {
        self.entries.get(of).map_or(&[], Vec::as_slice)
    }

    /// The digest of a thing with these entries.
    pub fn digest(&self, of: &Ref, entries: &[&Entry]) -> String {
        let designs = self.designs.get(of).map_or(&[][..], Vec::as_slice);
        sha256(&text_of(of, designs, entries))
    }

    /// The digest of a thing as it stands.
    pub fn digest_now(&self, of: &Ref) -> String {
        self.digest(of, self.entries(of))
    }

    /// The items that a thing is made of.
    pub fn items(&self, of: &Ref) -> Vec<&'a Ref> {
        let designs = self.designs.get(of).map_or(&[][..], Vec::as_slice);
        designs.iter().map(|(item, _)| *item).collect()
    }

    /// The site.
    pub const fn site(&self) -> &'a Site {
        self.site
    }
}

/// What a scope takes in.
struct Inside {
    whole: bool,
    own: BTreeSet<Ref>,
    outputs: BTreeSet<String>,
    scope: Ref,
}

impl Inside {
    fn of(site: &Site, scope: &Ref, visits: &BTreeSet<&str>) -> Self {
        let plan = site.plan();
        let mut own: BTreeSet<Ref> = BTreeSet::from([Ref::Site, scope.clone()]);
        own.extend(visits.iter().map(|it| Ref::Visit((*it).into())));
        for at in lines_in(site, scope) {
            let line = &plan.lines[at];
            own.insert(Ref::Line(line.id.clone()));
            own.insert(Ref::Zone(line.zone.clone()));
            for node in &line.nodes {
                own.insert(Ref::Cable(node.cable.as_str().into()));
                if let crate::site::NodeIs::Loudspeaker { of, .. } = &node.is {
                    own.insert(Ref::Type(of.clone()));
                }
            }
        }
        let mut outputs = BTreeSet::new();
        for at in outputs_in(site, scope) {
            own.insert(Ref::Output(plan.outputs[at].id.clone()));
            outputs.insert(plan.outputs[at].id.to_string());
        }
        for at in amplifiers_in(site, scope) {
            own.insert(Ref::Amplifier(plan.amplifiers[at].id.clone()));
        }
        Self {
            whole: *scope == Ref::Site,
            own,
            outputs,
            scope: scope.clone(),
        }
    }

    fn has(&self, owner: &Ref, design: &Design) -> bool {
        // Later visits are no part of what was signed on this one.
        if matches!(owner, Ref::Visit(_)) {
            return self.own.contains(owner);
        }
        // Every instrument: which was used stands in the entries.
        if self.whole || matches!(owner, Ref::Instrument(InstrumentId(_))) {
            return true;
        }
        // A retired line is still one that was signed for.
        let retired_here = match (design.drawn(), &self.scope) {
            (Design::Line(it), Ref::Zone(zone)) => it.zone == *zone,
            (Design::Line(it), Ref::Amplifier(_) | Ref::Output(_)) => {
                self.outputs.contains(it.output.as_str())
            }
            _ => false,
        };
        self.own.contains(owner) || retired_here
    }
}
