//! The names a row of the key table is made of: what the keyboard is doing, where the engineer stands,
//! and what a key does there.

/// What the keyboard is doing; each mode's data lives in [`Mode`](crate::session::Mode).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ModeName {
    /// Keys are commands.
    Key,
    /// A reading is being typed.
    Reading,
    /// Words are being typed.
    Text,
    /// The list behind `g` is open.
    GoList,
}

/// Where on the program the engineer is.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize,
)]
pub enum Place {
    /// The tree beside the panel: reading line after line.
    #[default]
    Survey,
    /// One line as its cable: what is heard at each loudspeaker, and splits.
    Walk,
    /// The short lists at the rack: one amplifier and its lines.
    Rack,
    /// One line as its cable, to be changed.
    Drawing,
    /// Every line and output of the building on one picture.
    Building,
    /// One amplifier: what it carries, which line grew, what would come of a change.
    Amplifier,
    /// What stands in the way of signing, and the signature.
    Review,
    /// Instruments, visits and the figures that are assumed.
    Kit,
    /// The keys of the place, over it.
    Help,
}

/// What a key does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Action {
    StartReading,
    StartOpen,
    StartOhmmeter,
    StartInsulation,
    StartRepair,
    StartWalk,
    Answer,
    Break,
    GoNext,
    TakeUpLast,
    Up,
    Down,
    PageUp,
    PageDown,
    First,
    Last,
    Fold,
    Unfold,
    Enter,
    Escape,
    NextPage,
    PreviousPage,
    Filter,
    Tick,
    TickEverywhere,
    NextTick,
    NotHere,
    Later,
    Note,
    NextInstrument,
    Undo,
    Redo,
    Find,
    GoList,
    GoSite,
    GoRack,
    GoOrder,
    GoNextUnread,
    GoBack,
    GoForward,
    SaveElsewhere,
    Print,
    JoinOlder,
    TakeOver,
    Help,
    Quit,
    Type,
    Ohmmeter,
    InsulationKind,
    KnownResistor,
    Phase,
    ReadingNote,
    Backspace,
    ClearTyped,
    CaretLeft,
    CaretRight,
    CaretFirst,
    CaretLast,
    Add,
    Another,
    Change,
    Gone,
    TryOut,
    GoDrawing,
    GoBuilding,
    GoAmplifier,
    GoReview,
    GoKit,
    /// Begins to say which visit begins.
    NewVisit,
    Accept,
    LeaveOpen,
    Scope,
}

impl Action {
    /// Whether this does something on a line only. Where the cursor is on no line, the footer leaves it out.
    #[must_use]
    pub const fn wants_line(self) -> bool {
        matches!(
            self,
            Self::StartReading
                | Self::StartOpen
                | Self::StartOhmmeter
                | Self::StartInsulation
                | Self::StartRepair
                | Self::StartWalk
                | Self::Later
        )
    }
}
