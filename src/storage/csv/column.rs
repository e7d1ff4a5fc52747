//! The columns that a kind of file may have, and what their cells are.

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holds {
    /// Words.
    Text,
    /// One plain number.
    Number,
    /// Numbers parted by `|`, space or `/`.
    Numbers,
    /// A reading, or words.
    Reading,
    /// Readings or capacitances joined by `+`.
    Parts,
}

/// A column that a kind of file may have.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    /// As it stands in the header, in lower case.
    pub name: &'static str,
    /// Whether a file without it is refused.
    pub needed: bool,
    /// What its cells are.
    pub holds: Holds,
}

/// A column that a file must have.
pub(super) const fn needed(name: &'static str, holds: Holds) -> Column {
    Column {
        name,
        needed: true,
        holds,
    }
}

/// A column that a file may leave out; its cells count as blank then.
pub(super) const fn optional(name: &'static str, holds: Holds) -> Column {
    Column {
        name,
        needed: false,
        holds,
    }
}
