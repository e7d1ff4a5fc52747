//! A revised schedule into its own site: what changed, came or went, as edits.
//!
//! Readings are not touched: an item that is gone is retired, never deleted, and comes back under
//! its old id. What a schedule has no column for stays as the site has it, and a blank of the
//! schedule (a rating, a line voltage, a length, a cable, taps) does not wipe out what the site knows.

use super::unsaid::Unsaid;
use crate::site::{
    Design, Do, Edit, Entry, EntryId, Item, Kind, Ref, Retired, Site, TypeId, UNNAMED_TYPE,
    whole_second,
};
use jiff::Timestamp;
use std::collections::{HashMap, HashSet};

/// Whether a schedule's items are a revision of this site, not another building: it has the same
/// id, or at least half of the lines of the shorter of the two are on both under one label in one
/// zone. A site without lines may take any schedule.
#[must_use]
pub fn is_revision(site: &Site, items: &[Item]) -> bool {
    let here: HashSet<(&str, &str)> = site
        .plan()
        .lines
        .iter()
        .map(|line| (line.label.as_str(), line.zone_label.as_str()))
        .collect();
    // In a fresh schedule a zone's id is its label.
    let there: HashSet<(&str, &str)> = items
        .iter()
        .filter_map(|item| match &item.is {
            Design::Line(line) => Some((line.label.as_str(), line.zone.as_str())),
            _ => None,
        })
        .collect();
    here.is_empty() || here.intersection(&there).count() * 2 >= here.len().min(there.len()).max(1)
}

/// A revised schedule as edits of its own site: designs that differ, items that are new, and lines
/// and nodes that are gone (retired). `items` are those of a schedule, with what that left blank; give it the
/// site's own label unless it is to be renamed. No entry: nothing differs.
#[must_use]
pub fn revise(
    site: &Site,
    (items, unsaid): (Vec<Item>, &Unsaid),
    mut ids: impl FnMut() -> EntryId,
    at: Timestamp,
    by: &str,
) -> Vec<Entry> {
    let mut matching = Matching::new(site);
    let mut wanted: Vec<(Ref, Design)> = Vec::new();
    let mut there: Vec<String> = Vec::new();
    for item in items {
        if matches!(
            item.is.kind(),
            Kind::Visit | Kind::Instrument | Kind::Figure
        ) {
            continue;
        }
        let of = matching.find(&item);
        wanted.push((of, item.is));
        there.push(item.id);
    }
    for ((of, design), id) in wanted.iter_mut().zip(&there) {
        matching.point(design);
        if let Some(old) = old_design(site, of) {
            keep_known(old, design);
            unsaid.keep(id, old, design);
        }
    }
    keep_orders(site, &mut wanted);
    let listed: HashSet<Ref> = wanted.iter().map(|(of, _)| of.clone()).collect();
    let gone = gone(site, &listed);
    let mut act = None;
    wanted
        .into_iter()
        .chain(gone)
        .filter(|(of, now)| site.elements().settled(of) != Some(now))
        .map(|(of, now)| {
            let id = ids();
            let act = act.get_or_insert_with(|| id.0.clone()).clone();
            Entry {
                at: whole_second(at),
                id,
                by: by.to_owned(),
                what: Do::Edit(Edit {
                    was: site.elements().standing(&of).to_vec(),
                    of,
                    now,
                    undoes: None,
                }),
                act: Some(act),
                row: None,
                corrects: None,
                why: Some("revised schedule".to_owned()),
            }
        })
        .collect()
}

/// What stands on the site and is not in the schedule, as retired: lines and nodes, and the
/// outputs, amplifiers and zones that thereby lose all they had. What was never on a schedule, such
/// as a standby amplifier or a spare output, stays.
fn gone(site: &Site, listed: &HashSet<Ref>) -> Vec<(Ref, Design)> {
    let standing = || {
        let items = site.elements().items();
        items.filter(|(_, design)| !matches!(design, Design::Retired(_)))
    };
    let mut used: HashSet<Ref> = HashSet::new();
    for (_, design) in standing() {
        if let Design::Line(line) = design {
            used.insert(Ref::Output(line.output.clone()));
            used.insert(Ref::Zone(line.zone.clone()));
        }
    }
    let goes = |of: &Ref| match of.kind() {
        Kind::Line | Kind::Node => !listed.contains(of),
        Kind::Output | Kind::Zone => !listed.contains(of) && used.contains(of),
        _ => false,
    };
    let empty = |amplifier: &str| {
        let outputs: Vec<&Ref> = standing()
            .filter(|(_, design)| {
                matches!(design, Design::Output(it) if it.amplifier.as_str() == amplifier)
            })
            .map(|(of, _)| of)
            .collect();
        !outputs.is_empty() && outputs.iter().all(|of| goes(of))
    };
    standing()
        .filter(|(of, _)| match of {
            Ref::Amplifier(id) => !listed.contains(of) && empty(id.as_str()),
            _ => goes(of),
        })
        .map(|(of, design)| {
            let retired = Design::Retired(Retired {
                why: "not in the revised schedule".to_owned(),
                was: Box::new(design.clone()),
            });
            (of.clone(), retired)
        })
        .collect()
}

/// The design that stands, or stood before it was retired.
fn old_design<'a>(site: &'a Site, of: &Ref) -> Option<&'a Design> {
    match site.elements().standing(of).first() {
        Some((_, Design::Retired(it))) => Some(&it.was),
        Some((_, design)) => Some(design),
        None => None,
    }
}

/// Which item of the site an item of the schedule is: that of its kind, parent and label; one that
/// stands before one that was retired.
struct Matching {
    by_label: HashMap<(Kind, String, String), Ref>,
    taken: HashSet<Ref>,
    /// Ids of the schedule where the site has others.
    renamed: HashMap<Ref, String>,
}

impl Matching {
    fn new(site: &Site) -> Self {
        let mut by_label: HashMap<(Kind, String, String), (bool, Ref)> = HashMap::new();
        let mut taken = HashSet::new();
        for (of, _, design) in site.elements().iter() {
            taken.insert(of.clone());
            let key = key(design, design.parent());
            let stands = !matches!(design, Design::Retired(_));
            let other = by_label.get(&key).is_some_and(|(other, _)| *other);
            if stands || !other {
                by_label.insert(key, (stands, of.clone()));
            }
        }
        Self {
            by_label: by_label
                .into_iter()
                .map(|(key, (_, of))| (key, of))
                .collect(),
            taken,
            renamed: HashMap::new(),
        }
    }

    /// Items come with parents first, so that a parent's id is known.
    fn find(&mut self, item: &Item) -> Ref {
        let kind = item.is.kind();
        let parent = match &item.is {
            Design::Output(it) => self.id(Kind::Amplifier, it.amplifier.as_str()),
            // A line may have moved to another output: its label is unique on the site.
            design if design.kind() == Kind::Node => self.id(Kind::Line, design.parent()),
            _ => String::new(),
        };
        let own = Ref::new(kind, &item.id);
        let of = match self.by_label.get(&key(&item.is, &parent)) {
            Some(of) => of.clone(),
            None => (1..)
                .map(|n| match n {
                    1 => own.clone(),
                    n => Ref::new(kind, &format!("{}~{n}", item.id)),
                })
                .find(|of| !self.taken.contains(of))
                .unwrap_or_else(|| own.clone()),
        };
        self.taken.insert(of.clone());
        if of != own {
            self.renamed.insert(own, of.id().to_owned());
        }
        of
    }

    fn id(&self, kind: Kind, id: &str) -> String {
        self.renamed
            .get(&Ref::new(kind, id))
            .cloned()
            .unwrap_or_else(|| id.to_owned())
    }

    /// Points the references of a design at the ids the site has.
    fn point(&self, design: &mut Design) {
        macro_rules! node {
            ($it:expr) => {{
                $it.line = self.id(Kind::Line, $it.line.as_str()).into();
                $it.from = self.id(Kind::Node, $it.from.as_str()).into();
                $it.cable = self.id(Kind::Cable, $it.cable.as_str()).into();
            }};
        }
        match design {
            Design::Output(it) => {
                it.amplifier = self.id(Kind::Amplifier, it.amplifier.as_str()).into();
            }
            Design::Line(it) => {
                it.output = self.id(Kind::Output, it.output.as_str()).into();
                it.zone = self.id(Kind::Zone, it.zone.as_str()).into();
            }
            Design::Loudspeaker(it) => {
                node!(it);
                it.r#type = self.id(Kind::Type, it.r#type.as_str()).into();
            }
            Design::Junction(it) => node!(it),
            Design::Device(it) => node!(it),
            _ => {}
        }
    }
}

fn key(design: &Design, parent: &str) -> (Kind, String, String) {
    let kind = design.kind();
    // There is one site; a line's label is unique on it, wherever it hangs.
    let (parent, label) = match kind {
        Kind::Site => ("", ""),
        Kind::Line => ("", design.label().unwrap_or("")),
        _ => (parent, design.label().unwrap_or("")),
    };
    (kind, parent.to_owned(), label.to_owned())
}

/// What a schedule has no column for, or left blank, stays as it is known.
fn keep_known(old: &Design, new: &mut Design) {
    match (old, new) {
        (Design::Site(old), Design::Site(new)) => {
            new.time_zone.clone_from(&old.time_zone);
            new.note.clone_from(&old.note);
        }
        (Design::Amplifier(old), Design::Amplifier(new)) => {
            new.voice_alarm |= old.voice_alarm;
            new.note.clone_from(&old.note);
        }
        (Design::Output(old), Design::Output(new)) => {
            new.rated_w = new.rated_w.or(old.rated_w);
            new.headroom = old.headroom;
            new.elv |= old.elv;
        }
        (Design::Line(old), Design::Line(new)) => {
            new.insulation_asked |= old.insulation_asked;
            new.note.clone_from(&old.note);
        }
        (Design::Loudspeaker(old), Design::Loudspeaker(new)) => {
            new.run_m = new.run_m.or(old.run_m);
            let fits = |taps: &Vec<_>| taps.contains(&new.tap_w);
            if new.taps_w.is_none() && old.taps_w.as_ref().is_some_and(fits) {
                new.taps_w.clone_from(&old.taps_w);
                if new.r#type == TypeId::from(UNNAMED_TYPE) {
                    new.r#type = old.r#type.clone();
                }
            }
        }
        (Design::Junction(old), Design::Junction(new)) => new.run_m = new.run_m.or(old.run_m),
        (Design::Device(old), Design::Device(new)) => new.run_m = new.run_m.or(old.run_m),
        _ => {}
    }
}

/// Siblings that stand in the order of the schedule already keep their numbers, new ones go
/// between; where the order itself changed, all are numbered anew.
fn keep_orders(site: &Site, wanted: &mut [(Ref, Design)]) {
    let mut siblings: HashMap<(Kind, String), Vec<usize>> = HashMap::new();
    for (at, (of, design)) in wanted.iter().enumerate() {
        if set_order(&mut design.clone(), 0.0) {
            siblings
                .entry((of.kind(), design.parent().to_owned()))
                .or_default()
                .push(at);
        }
    }
    for group in siblings.into_values() {
        let old: Vec<Option<f64>> = group
            .iter()
            .map(|at| {
                let (of, design) = &wanted[*at];
                let standing = site.elements().settled(of)?;
                let same =
                    standing.parent() == design.parent() && !matches!(standing, Design::Retired(_));
                same.then(|| standing.order())
            })
            .collect();
        let known: Vec<f64> = old.iter().copied().flatten().collect();
        if known.is_empty() || known.windows(2).any(|pair| pair[0] >= pair[1]) {
            continue;
        }
        let mut last = known[0] - 1.0;
        for (nth, at) in group.iter().enumerate() {
            let order = old[nth].unwrap_or_else(|| {
                let next = old[nth..].iter().copied().flatten().next();
                next.map_or(last + 1.0, |next| f64::midpoint(last, next))
            });
            set_order(&mut wanted[*at].1, order);
            last = order;
        }
    }
}

/// False for kinds without an order.
fn set_order(design: &mut Design, order: f64) -> bool {
    let place = match design {
        Design::Amplifier(it) => &mut it.order,
        Design::Output(it) => &mut it.order,
        Design::Zone(it) => &mut it.order,
        Design::Line(it) => &mut it.order,
        Design::Loudspeaker(it) => &mut it.order,
        Design::Junction(it) => &mut it.order,
        Design::Device(it) => &mut it.order,
        _ => return false,
    };
    *place = order;
    true
}
