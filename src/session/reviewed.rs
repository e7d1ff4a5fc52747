//! The review as it was asked for: its rows in the order that is kept until it is asked for again.

use super::scope::Part;
use crate::review::{Item, Matter, Signing, Why};
use crate::site::{EntryId, Ref};
use std::collections::BTreeMap;

/// A row of the review.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The item as it stands now; as it stood last where it is gone.
    pub item: Item,
    /// It stood in the way when the list was asked for, or came since: its place is above.
    pub above: bool,
    /// It is in the review no more: read, ticked, put back.
    pub gone: bool,
}

/// The review as it was asked for, its order frozen.
#[derive(Clone, Debug, Default)]
pub(super) struct Reviewed {
    /// The rows, those that stood in the way first.
    pub rows: Vec<Row>,
    /// The row under the cursor; 0 is that of the signature.
    pub at: usize,
    /// The last signature for this that was not withdrawn, and whether it stands, in words.
    pub signed: Option<String>,
    /// What is being signed: said on the screen before it begins.
    pub signing: Option<Signing>,
    /// The signatures that stand, every figure as sealed, each with what it is for.
    pub intact: Vec<(EntryId, Ref)>,
    /// Those of them after which something was recorded and taken back.
    pub touched: Vec<(EntryId, Ref)>,
    /// Those that something changed after, and nobody signed again.
    pub broken: Vec<(EntryId, Ref)>,
    /// What the review is of, where that is a part of the site.
    pub part: Option<Ref>,
    /// What can be signed for, as it stood when that was asked for.
    pub parts: Vec<Part>,
    /// The reasons given last, each kind of word with its own.
    pub reasons: BTreeMap<u8, String>,
}

impl Reviewed {
    /// How many stand in the way now.
    pub fn in_the_way(&self) -> usize {
        let open = |row: &&Row| !row.gone && row.item.open;
        self.rows.iter().filter(open).count()
    }

    /// The row under the cursor; none on that of the signature.
    pub fn under(&self) -> Option<&Row> {
        self.rows.get(self.at.checked_sub(1)?)
    }
}

/// What makes an item one and the same at two times: a line that was out may be close now.
pub(super) fn key(item: &Item) -> (Matter, Ref) {
    let matter = match item.matter {
        Matter::Flagged(why) if why != Why::Question => Matter::Flagged(Why::Stop),
        other => other,
    };
    (matter, item.of.clone())
}
