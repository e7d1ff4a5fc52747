//! The site: what stands in the building and what was read on it. Plain data.
//!
//! Never here: maths of a line, files, the clock.

mod assemble;
mod check;
mod clock;
mod conductor;
mod corrections;
mod earlier;
mod elements;
mod entry;
#[cfg(test)]
pub(crate) mod example;
mod figures;
mod hands;
mod history;
mod id;
mod item;
mod item_ref;
mod lists;
mod log;
mod named;
mod node;
mod plan;
mod problem;
mod rows;
mod standing;
mod strikes;
mod tangle;

pub use check::{check, entry_problems, unsound};
pub use clock::{in_order, whole_second};
pub use conductor::{AWG, COPPER_OHM_MM2_KM, Conductor, DEFAULT_CABLE, IEC_60228};
pub use elements::Elements;
pub use entry::{
    AMPLIFIER_TONE, Check, Cut, Decide, Decision, Do, Edit, Entry, Heard, Insulate, Leg, Listen,
    Note, Read, Repair, Seal, TRIED_OUT, Tick, TickIs, Void,
};
pub use figures::{Figure, Figures, Row, Source};
pub use hands::Hands;
pub use history::{CORES_OFF, CORES_ON, History, SPLIT_CLOSED, SPLIT_OPENED};
pub use id::{
    AmplifierId, CableId, EntryId, InstrumentId, LineId, NodeId, OutputId, RACK, SiteId, Stamp,
    StateId, TypeId, VisitId, WriterId, ZoneId, escape, short_hash,
};
pub use item::{
    Amplifier, Cable, Design, Device, FigureDesign, Instrument, Item, Junction, LONGEST_LABEL,
    Line, Loudspeaker, Output, Reads, Retired, SiteDesign, Type, UNNAMED_TYPE, Visit, Zone,
};
pub use item_ref::{Kind, Ref};
pub use lists::{
    ALL_HEARD, AMPLIFIER_OFF, CONTROLS_UP, DISCHARGED, FIRST_POWER, ISOLATED, JOINTS_CLOSED,
    LEADS_ZEROED, LISTS, LOCKS_OFF, ListItem, ListOf, ListWhen, METER_OFF, NEIGHBOURS_DEAD,
    PROVED_DEAD, list_item,
};
pub use log::Log;
pub use node::{Node, NodeMut};
pub use plan::{AmplifierPlan, CableMake, LinePlan, NodeIs, NodePlan, OutputPlan, Plan};
pub use problem::{Problem, What, Whence};
pub use tangle::{Tangle, TangleIs};

use crate::quantity::{Fraction, Hertz, Ohm};
use std::sync::{Arc, OnceLock};

/// A site: what stands, what was recorded, and the plan put together from it.
#[derive(Clone, Debug)]
pub struct Site {
    id: SiteId,
    elements: Elements,
    log: Log,
    plan: Arc<Plan>,
    figures: Figures,
    visits: Vec<VisitId>,
    /// Whose instruments are whose: reckoned when first asked for after a strike or an edit came in,
    /// followed from there.
    hands: OnceLock<Hands>,
}

/// What follows from elements: the plan, the figures in force, the visits. It can be put together while
/// somebody else still looks whether the elements fit.
#[derive(Debug)]
pub struct Drawn {
    plan: Plan,
    figures: Figures,
    visits: Vec<VisitId>,
}

impl Drawn {
    /// What follows from these elements, as if all of them fitted together.
    #[must_use]
    pub fn of(elements: &Elements) -> Self {
        let figures = assemble::figures(elements);
        Self {
            plan: assemble::assemble(elements, &figures),
            figures,
            visits: assemble::visits(elements),
        }
    }
}

impl Site {
    /// A site from its parts. Edits in the log are history here: the elements hold their result.
    #[must_use]
    pub fn new(id: SiteId, mut elements: Elements, log: Log) -> Self {
        elements.look();
        let drawn = Drawn::of(&elements);
        Self::of_drawn(id, elements, log, drawn)
    }

    /// A site of elements that were found to [`Elements::fit`], with what was drawn of them.
    #[must_use]
    pub fn of_drawn(id: SiteId, elements: Elements, log: Log, drawn: Drawn) -> Self {
        let Drawn {
            plan,
            figures,
            visits,
        } = drawn;
        Self {
            id,
            elements: elements.looked_at(),
            log,
            plan: Arc::new(plan),
            figures,
            visits,
            hands: OnceLock::new(),
        }
    }

    /// A building of which only the name is known, begun by a writer: what stands in it is typed.
    #[must_use]
    pub fn begun(label: &str, writer: &WriterId) -> Self {
        let design = Design::Site(SiteDesign {
            label: label.to_owned(),
            time_zone: None,
            note: None,
        });
        let mut elements = Elements::from_iter(birth_items());
        elements.add(Ref::Site, Stamp::of_import(&design), design);
        let id = SiteId(format!("s-{}", short_hash(writer.as_str().as_bytes())));
        Self::new(id, elements, Log::default())
    }

    /// Its identity.
    #[must_use]
    pub const fn id(&self) -> &SiteId {
        &self.id
    }

    /// The designs that stand.
    #[must_use]
    pub const fn elements(&self) -> &Elements {
        &self.elements
    }

    /// All entries.
    #[must_use]
    pub const fn log(&self) -> &Log {
        &self.log
    }

    /// What stands, in order.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// [`Self::plan`], shared, for whoever keeps it longer than the site is borrowed.
    #[must_use]
    pub fn shared_plan(&self) -> Arc<Plan> {
        Arc::clone(&self.plan)
    }

    /// The figures in force.
    #[must_use]
    pub const fn figures(&self) -> &Figures {
        &self.figures
    }

    /// The building's name.
    #[must_use]
    pub fn label(&self) -> &str {
        self.elements
            .settled(&Ref::Site)
            .and_then(Design::label)
            .unwrap_or("unnamed site")
    }

    /// Frequency of the impedance readings that count.
    #[must_use]
    pub fn test_hz(&self) -> Hertz {
        Hertz(self.figures.get(Figure::TestHz))
    }

    /// Takes an entry in. False when this very entry is there already.
    pub fn apply(&mut self, entry: Entry) -> bool {
        let edits = matches!(entry.what, Do::Edit(_));
        let new = self.add(entry);
        if edits && new {
            self.put_together();
        }
        new
    }

    /// Takes several entries in, such as the edits of one act: the plan is put together once.
    pub fn apply_all(&mut self, entries: Vec<Entry>) {
        for entry in entries {
            self.add(entry);
        }
        self.put_together();
    }

    fn add(&mut self, entry: Entry) -> bool {
        let edit = match &entry.what {
            Do::Edit(edit) => Some((edit.clone(), Stamp(entry.id.0.clone()))),
            _ => None,
        };
        // Strikes, corrections and edits may take somebody's reading, or make another meter of it.
        let plain = !matches!(entry.what, Do::Edit(_) | Do::Void(_)) && entry.corrects.is_none();
        let hands = self.hands.take().filter(|_| plain);
        let new = self.log.add(entry);
        if let Some((mut hands, last)) = hands.zip(self.log.entries().last()) {
            hands.add(self, last);
            self.hands = OnceLock::from(hands);
        }
        if let Some((edit, stamp)) = edit.filter(|_| new) {
            self.elements.replace(&edit.of, &edit.was, stamp, edit.now);
        }
        new
    }

    /// Puts together anew all that follows from the elements.
    fn put_together(&mut self) {
        self.elements.look();
        let drawn = Drawn::of(&self.elements);
        self.plan = Arc::new(drawn.plan);
        self.figures = drawn.figures;
        self.visits = drawn.visits;
    }

    /// The visits, first to last.
    #[must_use]
    pub fn visits(&self) -> &[VisitId] {
        &self.visits
    }

    /// The latest visit.
    #[must_use]
    pub fn visit(&self) -> VisitId {
        self.visits.last().cloned().unwrap_or_default()
    }

    /// Whether the latest visit is a return to a building that was handed over before.
    #[must_use]
    pub fn returning(&self) -> bool {
        let visit = Ref::Visit(self.visit());
        matches!(self.elements.settled(&visit), Some(Design::Visit(it)) if it.returning)
    }
}

/// Largest relative error of a plain hand meter, the one taken where none is named: 5 %. Common
/// practice, no source.
pub const PLAIN_ACCURACY: Fraction = Fraction(0.05);

/// The items every new site starts with, the same on every copy: one visit and the plain
/// instruments of a bag.
#[must_use]
pub fn birth_items() -> Vec<Item> {
    let instrument = |label: &str, reads, hz, source_ohm, range_ohm| {
        Design::Instrument(Instrument {
            label: label.to_owned(),
            reads,
            accuracy: PLAIN_ACCURACY,
            hz,
            step_ohm: None,
            source_ohm,
            range_ohm,
            serial: None,
            calibrated: None,
            due: None,
        })
    };
    let (hz, source, range) = (Hertz(1000.0), Ohm(100.0), Ohm(100_000.0));
    [
        (
            "visit-1",
            Design::Visit(Visit {
                label: "visit-1".to_owned(),
                returning: false,
            }),
        ),
        (
            "meter",
            instrument(
                "meter",
                Reads::Impedance,
                Some(hz),
                Some(source),
                Some(range),
            ),
        ),
        (
            "ohmmeter",
            instrument("ohmmeter", Reads::Dc, None, None, None),
        ),
        (
            "insulation",
            instrument("insulation", Reads::Insulation, None, None, None),
        ),
    ]
    .map(|(id, is)| Item {
        id: id.to_owned(),
        stamp: Stamp::of_import(&is),
        is,
    })
    .to_vec()
}

impl Stamp {
    /// The stamp of a design at its first import: equal designs get equal stamps on every copy.
    #[must_use]
    pub fn of_import(design: &Design) -> Self {
        // Plain data with finite numbers always has a JSON form; Debug text is as good a key if not.
        let text = serde_json::to_string(design).unwrap_or_else(|_| format!("{design:?}"));
        Self(format!("i-{}", short_hash(text.as_bytes())))
    }
}
