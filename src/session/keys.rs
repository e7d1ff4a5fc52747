//! The one key table: mode and place, key, action, hint. Footer, help and dispatch all read it.
//!
//! To add a key: add its action to [`Action`], a row here, and its arm in `update.rs`.

use super::key::Key;
use super::mode::DraftKind;

/// What the keyboard is doing; each mode's data lives in [`super::Mode`].
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

/// Keys that one row of the table answers to.
#[derive(Clone, Copy, Debug)]
pub enum Keys {
    /// These keys.
    These(&'static [Key]),
    /// Any digit, point or comma.
    Digits,
    /// Any character that can be printed.
    Printable,
}

/// One row of the key table.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The mode it holds in.
    pub mode: ModeName,
    /// The places it holds in.
    pub places: &'static [Place],
    /// The keys.
    pub keys: Keys,
    /// How the keys are written on the screen.
    pub shown: &'static str,
    /// What they do.
    pub action: Action,
    /// The footer's word; empty where the footer leaves it to the help.
    pub brief: &'static str,
    /// The help's sentence.
    pub help: &'static str,
}

use Action as A;
use Key::{
    BackTab, Backspace, Char, Clear, Delete, Down, End, Enter, Esc, F1, Home, Left, PageDown,
    PageUp, Right, Tab, Up,
};
use ModeName as M;
use Place::{Amplifier, Building, Drawing, Help, Kit, Rack, Review, Survey, Walk};

/// Where a line stands under the cursor.
const WORK: &[Place] = &[Survey, Walk, Drawing, Building, Amplifier];
/// Where a reading that was made can be taken up again.
const READINGS: &[Place] = &[Survey, Walk, Rack, Drawing, Building, Amplifier];
/// Wherever something can be done.
const DESK: &[Place] = &[
    Survey, Walk, Rack, Drawing, Building, Amplifier, Review, Kit,
];
/// Everywhere.
const ALL: &[Place] = &[
    Survey, Walk, Rack, Drawing, Building, Amplifier, Review, Kit, Help,
];
/// Where the design is changed.
const DESIGN: &[Place] = &[Survey, Drawing, Building, Amplifier];

macro_rules! row {
    ($mode:ident $places:expr, $keys:expr, $shown:literal, $action:ident, $brief:literal, $help:literal) => {
        Row {
            mode: M::$mode,
            places: $places,
            keys: $keys,
            shown: $shown,
            action: A::$action,
            brief: $brief,
            help: $help,
        }
    };
}

/// The table. Within one mode and place no key stands twice; the footer shows the rows that have
/// a brief word, in this order, as far as the width goes.
pub const TABLE: &[Row] = &[
    row!(
        Key & [Walk],
        Keys::These(&[Char(' ')]),
        "Space",
        Answer,
        "Space heard",
        "heard as it should be; the next loudspeaker"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('s')]),
        "s",
        Answer,
        "s silent",
        "nothing heard"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('-')]),
        "-",
        Answer,
        "- quiet",
        "quieter than it should be"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('+'), Char('=')]),
        "+",
        Answer,
        "+ loud",
        "louder than it should be"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('z')]),
        "z",
        Answer,
        "z distorted",
        "not clean"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('c')]),
        "c",
        Answer,
        "c unsure",
        "too noisy to tell; no answer"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('p')]),
        "p",
        Answer,
        "",
        "polarity reversed; recorded, and counts as sound"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Char('b')]),
        "b",
        Break,
        "b split",
        "open the line before this place and read both sides; b again: closed"
    ),
    row!(
        Key & [Walk],
        Keys::These(&[Enter]),
        "Enter",
        GoNext,
        "",
        "to the place where the next test tells most"
    ),
    row!(
        Key & [Rack],
        Keys::Digits,
        "0-9 . ,",
        StartReading,
        "digits resistor",
        "the known resistor: 398r400 is 398 read on 400"
    ),
    row!(
        Key & [Walk, Drawing],
        Keys::Digits,
        "0-9 . ,",
        StartReading,
        "digits read",
        "a reading taken at this place, kept; Home first: the line's own, at the rack"
    ),
    row!(
        Key & [Survey, Building, Amplifier],
        Keys::Digits,
        "0-9 . ,",
        StartReading,
        "digits read",
        "start a reading of this line; 0 alone is a short"
    ),
    row!(
        Key & [Survey, Walk],
        Keys::These(&[Char('o')]),
        "o",
        StartOpen,
        "",
        "start an open reading: above the meter's range"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Char('d')]),
        "d",
        StartOhmmeter,
        "",
        "start an ohmmeter (direct-current) reading"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Char('i'), Char('>')]),
        "i >",
        StartInsulation,
        "",
        "start an insulation reading, cores joined against earth; > is above the range"
    ),
    row!(
        Key READINGS,
        Keys::These(&[Char('k'), Char('m'), Char('x'), Char('*')]),
        "k m x",
        TakeUpLast,
        "",
        "correct the last reading: k, m or a range multiplier behind it; x again: the other one"
    ),
    row!(
        Key WORK,
        Keys::These(&[Char('j')]),
        "j",
        StartRepair,
        "",
        "job done: say what was repaired; what is read after it is as left"
    ),
    row!(
        Key & [Building, Amplifier],
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "Enter go there",
        "to this line or output in the survey"
    ),
    row!(
        Key & [Building],
        Keys::These(&[Left]),
        "Left",
        Fold,
        "",
        "one line back"
    ),
    row!(
        Key & [Building],
        Keys::These(&[Right]),
        "Right",
        Unfold,
        "Left Right a line",
        "one line on"
    ),
    row!(
        Key & [Drawing],
        Keys::These(&[Left]),
        "Left",
        Fold,
        "",
        "the drawing of the line before"
    ),
    row!(
        Key & [Drawing],
        Keys::These(&[Right]),
        "Right",
        Unfold,
        "",
        "the drawing of the next line"
    ),
    row!(
        Key & [Amplifier],
        Keys::These(&[Left]),
        "Left",
        Fold,
        "",
        "the amplifier before"
    ),
    row!(
        Key & [Amplifier],
        Keys::These(&[Right]),
        "Right",
        Unfold,
        "Left Right amplifier",
        "the next amplifier"
    ),
    row!(
        Key & [Survey, Building, Amplifier],
        Keys::These(&[Char('h')]),
        "h",
        TryOut,
        "",
        "try out: this line on another output, or on other taps; nothing changes before Enter"
    ),
    row!(
        Key & [Survey, Building, Amplifier],
        Keys::These(&[Char('a')]),
        "a",
        Add,
        "a add",
        "add by typing what belongs here: amplifier, output, line, loudspeaker, ..."
    ),
    row!(
        Key & [Drawing],
        Keys::These(&[Char('a')]),
        "a",
        Add,
        "a add",
        "add a loudspeaker, a joint box, a device behind this place; b: puts it into a run"
    ),
    row!(
        Key & [Survey, Building, Amplifier],
        Keys::These(&[Char('y')]),
        "y",
        Another,
        "",
        "yet another like the last that was added; at first a copy of this line"
    ),
    row!(
        Key & [Drawing],
        Keys::These(&[Char('y')]),
        "y",
        Another,
        "y another",
        "yet another like the last that was added, behind this place"
    ),
    row!(
        Key & [Survey, Building, Amplifier],
        Keys::These(&[Char('e')]),
        "e",
        Change,
        "",
        "change what stands here; Tab goes on to what it belongs to"
    ),
    row!(
        Key & [Drawing],
        Keys::These(&[Char('e')]),
        "e",
        Change,
        "e change",
        "change what stands here: label, tap, run, cable, type; Tab to its type and line"
    ),
    row!(
        Key DESIGN,
        Keys::These(&[Delete]),
        "Delete",
        Gone,
        "",
        "it is not there: say why; it is kept as retired, what it fed hangs on what fed it"
    ),
    row!(
        Key & [Kit],
        Keys::These(&[Char('e')]),
        "e",
        Change,
        "e change",
        "change this instrument, visit or figure; of a figure, default sets it back"
    ),
    row!(
        Key & [Kit],
        Keys::These(&[Char('a')]),
        "a",
        Add,
        "a add",
        "add an instrument; on a visit's row a visit: ticks and readings begin anew with it"
    ),
    row!(
        Key & [Kit],
        Keys::These(&[Enter]),
        "Enter",
        Change,
        "",
        "the same as e"
    ),
    row!(
        Key & [Survey, Drawing],
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "",
        "open or fold a branch; on a line nothing, so a double Enter does no harm"
    ),
    row!(
        Key & [Review],
        Keys::These(&[Char(' ')]),
        "Space",
        Accept,
        "Space accept",
        "accepted as it is, with a reason"
    ),
    row!(
        Key & [Review],
        Keys::These(&[Char('l')]),
        "l",
        LeaveOpen,
        "l later",
        "left open with a reason: a snag with owner and date; unread or not heard: skipped"
    ),
    row!(
        Key & [Review],
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "Enter go there",
        "to where it is settled; on the first row: sign, by name and role"
    ),
    row!(
        Key & [Review],
        Keys::These(&[Char('v')]),
        "v",
        Scope,
        "v part",
        "review and sign a part: an amplifier, a zone; what stands in the way of each"
    ),
    row!(
        Key & [Review],
        Keys::These(&[Char('P')]),
        "P",
        Print,
        "",
        "print: write the hand-over record as a PDF; g p does so from every place"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Char(' ')]),
        "Space",
        Tick,
        "Space tick",
        "done: with the time and your name; the next that waits"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Char('A')]),
        "A",
        TickEverywhere,
        "",
        "what is told or done once for the building: one tick for every amplifier that it waits for"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Char('l')]),
        "l",
        NotHere,
        "l not here",
        "leave it out: it does not exist here, with the reason"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "",
        "to that line in the survey; the amplifier's rows do nothing"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Left]),
        "Left",
        Fold,
        "",
        "the amplifier before"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Right]),
        "Right",
        Unfold,
        "Left Right amplifier",
        "the next amplifier"
    ),
    row!(
        Key DESK,
        Keys::These(&[Up]),
        "Up",
        Up,
        "",
        "one row up"
    ),
    row!(
        Key DESK,
        Keys::These(&[Down]),
        "Down",
        Down,
        "",
        "one row down"
    ),
    row!(
        Key DESK,
        Keys::These(&[PageUp]),
        "PageUp",
        PageUp,
        "",
        "a screen up"
    ),
    row!(
        Key DESK,
        Keys::These(&[PageDown]),
        "PageDown",
        PageDown,
        "",
        "a screen down"
    ),
    row!(
        Key DESK,
        Keys::These(&[Home]),
        "Home",
        First,
        "",
        "the first row"
    ),
    row!(
        Key DESK,
        Keys::These(&[End]),
        "End",
        Last,
        "",
        "the last row"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Left]),
        "Left",
        Fold,
        "",
        "fold this branch, or go to the row it hangs on"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Right]),
        "Right",
        Unfold,
        "",
        "open this branch"
    ),
    row!(
        Key DESK,
        Keys::These(&[Tab]),
        "Tab",
        NextPage,
        "",
        "next page of the panel"
    ),
    row!(
        Key DESK,
        Keys::These(&[BackTab]),
        "Shift-Tab",
        PreviousPage,
        "",
        "previous page of the panel"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Char('w')]),
        "w",
        StartWalk,
        "w walk",
        "walk this line: what is heard at each loudspeaker, splits"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Char('f')]),
        "f",
        Filter,
        "f filter",
        "show only lines that want a look; again: unread, then OFF, then all"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Char('l')]),
        "l",
        Later,
        "l later",
        "leave an unread line for later, with a reason; next unread line"
    ),
    row!(
        Key WORK,
        Keys::These(&[Char('n')]),
        "n",
        Note,
        "",
        "a note on what the cursor is on"
    ),
    row!(
        Key WORK,
        Keys::These(&[Char('t')]),
        "t",
        NextInstrument,
        "",
        "read with the next instrument of the bag; on a walk: whose tone is heard"
    ),
    row!(
        Key & [Rack],
        Keys::These(&[Char('t')]),
        "t",
        NextInstrument,
        "",
        "the known resistor is read with the next meter of the bag, its leads zeroed"
    ),
    row!(
        Key & [Survey],
        Keys::These(&[Char(' ')]),
        "Space",
        NextTick,
        "",
        "to the next tick that waits on the rack list of this amplifier"
    ),
    row!(
        Key DESK,
        Keys::These(&[Char('/')]),
        "/",
        Find,
        "/ find",
        "find by part of a label, in this place: lines, amplifiers and outputs; Esc leads back"
    ),
    row!(
        Key DESK,
        Keys::These(&[Char('g')]),
        "g",
        GoList,
        "g go to",
        "list of places to go to"
    ),
    row!(
        Key DESK,
        Keys::These(&[Char('u')]),
        "u",
        Undo,
        "u undo",
        "take the last act back; the log keeps both"
    ),
    row!(
        Key DESK,
        Keys::These(&[Char('r')]),
        "r",
        Redo,
        "",
        "do again what was taken back"
    ),
    row!(
        Key DESK,
        Keys::These(&[Esc]),
        "Esc",
        Escape,
        "",
        "one step back; never leaves the program"
    ),
    row!(
        Key DESK,
        Keys::These(&[Char('q')]),
        "q",
        Quit,
        "q leave",
        "leave: all is on the disk, and you stand here again next time"
    ),
    row!(Key ALL, Keys::These(&[Char('?'), F1]), "?", Help, "? keys", "the keys of this place; the same key closes them"),
    row!(
        Key & [Help],
        Keys::These(&[Esc, Enter, Char('q')]),
        "Esc",
        Escape,
        "Esc back",
        "back to where you were"
    ),
    row!(Key & [Help], Keys::These(&[Up]), "Up", Up, "", "a row up"),
    row!(
        Key & [Help],
        Keys::These(&[Down]),
        "Down",
        Down,
        "Up Down scroll",
        "a row down"
    ),
    row!(
        Key & [Help],
        Keys::These(&[PageUp]),
        "PageUp",
        PageUp,
        "",
        "a screen up"
    ),
    row!(
        Key & [Help],
        Keys::These(&[PageDown]),
        "PageDown",
        PageDown,
        "",
        "a screen down"
    ),
    row!(
        Reading & [Survey],
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "Enter record, next unread",
        "record; a first impedance goes on to the next unread line"
    ),
    row!(
        Reading & [Walk, Rack, Review, Drawing, Building, Amplifier, Kit],
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "Enter record",
        "record, and stay here"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Esc]),
        "Esc",
        Escape,
        "Esc drop",
        "drop what is typed; u as the very next key brings it back"
    ),
    row!(
        Reading DESK,
        Keys::Digits,
        "0-9 . ,",
        Type,
        "",
        "the figure"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('k'), Char('K'), Char('m'), Char('M')]),
        "k m",
        Type,
        "k thousand  m million",
        "thousand, million"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('x'), Char('*')]),
        "x",
        Type,
        "x10 range",
        "the meter's range multiplier: x10, x100"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('d')]),
        "d",
        Ohmmeter,
        "d ohmmeter",
        "it is an ohmmeter's figure, not an impedance; again: back"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('i')]),
        "i",
        InsulationKind,
        "i insulation",
        "it is an insulation reading (M or k needed); a b leg, v test volts"
    ),
    row!(
        Reading DESK,
        Keys::These(&[
            Char('a'),
            Char('b'),
            Char('v'),
            Char('>'),
            Char(' '),
            Char('o'),
            Char('e'),
            Char('-')
        ]),
        "a b v",
        Type,
        "a b core  v500 volts",
        "insulation: core a or b alone, test volts (v250)"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('t')]),
        "t",
        NextInstrument,
        "t instrument",
        "read with the next instrument of the bag"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('n')]),
        "n",
        ReadingNote,
        "n note",
        "a note that is recorded with the reading"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('p')]),
        "p",
        Phase,
        "p phase",
        "the phase the meter shows, in degrees: 205p-23"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('r')]),
        "r",
        KnownResistor,
        "r resistor",
        "a known resistor, not a line: read 398 on 400 is 398r400"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Backspace]),
        "Backspace",
        Backspace,
        "",
        "take the last character back; with none left, drop"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Clear]),
        "Ctrl-U",
        ClearTyped,
        "",
        "all that is typed goes; the entry stays open"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Up]),
        "Up",
        Up,
        "",
        "what is typed stays with its line; Esc drops it"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Down]),
        "Down",
        Down,
        "",
        "what is typed stays with its line; Esc drops it"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Tab]),
        "Tab",
        NextPage,
        "",
        "next page of the panel"
    ),
    row!(
        Reading DESK,
        Keys::These(&[BackTab]),
        "Shift-Tab",
        PreviousPage,
        "",
        "previous page of the panel"
    ),
    row!(
        Reading DESK,
        Keys::These(&[Char('?'), F1]),
        "?",
        Help,
        "? keys",
        "the keys while typing a reading"
    ),
    row!(
        Text DESK,
        Keys::These(&[Enter]),
        "Enter",
        Enter,
        "Enter done",
        "take what is typed"
    ),
    row!(
        Text DESK,
        Keys::These(&[Esc]),
        "Esc",
        Escape,
        "Esc drop",
        "drop what is typed"
    ),
    row!(
        Text DESK,
        Keys::These(&[Backspace]),
        "Backspace",
        Backspace,
        "",
        "take the character before the caret back"
    ),
    row!(
        Text DESK,
        Keys::These(&[Clear]),
        "Ctrl-U",
        ClearTyped,
        "",
        "all that is typed goes; the entry stays open"
    ),
    row!(
        Text DESK,
        Keys::These(&[Left]),
        "Left",
        CaretLeft,
        "",
        "caret left"
    ),
    row!(
        Text DESK,
        Keys::These(&[Right]),
        "Right",
        CaretRight,
        "",
        "caret right"
    ),
    row!(
        Text DESK,
        Keys::These(&[Up, BackTab]),
        "Up",
        Up,
        "",
        "find: the match before; design: the kind, item or proposal before"
    ),
    row!(
        Text DESK,
        Keys::These(&[Down, Tab]),
        "Down Tab",
        Down,
        "Tab next",
        "find: the next match; design: the next kind, item or proposal; repaired: what was found"
    ),
    row!(
        Text DESK,
        Keys::These(&[PageDown]),
        "PageDown",
        NextPage,
        "",
        "next page of the panel"
    ),
    row!(
        Text DESK,
        Keys::These(&[PageUp]),
        "PageUp",
        PreviousPage,
        "",
        "previous page of the panel"
    ),
    row!(
        Text DESK,
        Keys::These(&[Home]),
        "Home",
        CaretFirst,
        "",
        "caret before the first character"
    ),
    row!(
        Text DESK,
        Keys::These(&[End]),
        "End",
        CaretLast,
        "",
        "caret behind the last character"
    ),
    row!(
        Text DESK,
        Keys::These(&[Char('?'), F1]),
        "? F1",
        Help,
        "",
        "these keys; a ? behind other words is one of them"
    ),
    row!(
        Text DESK,
        Keys::Printable,
        "any",
        Type,
        "",
        "the words"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('n')]),
        "n",
        GoNextUnread,
        "n next unread",
        "the next unread line"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('s')]),
        "s",
        GoSite,
        "s survey",
        "survey, the whole site"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('w')]),
        "w",
        StartWalk,
        "w walk",
        "walk the line under the cursor"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('r')]),
        "r",
        GoRack,
        "r rack list",
        "rack list: what is ticked before and after"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('o')]),
        "o",
        GoOrder,
        "o order",
        "order: by rack, by zone, worst first"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('b')]),
        "b",
        GoBuilding,
        "b building",
        "the whole building: every line and output on one picture"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('a')]),
        "a",
        GoAmplifier,
        "a amplifier",
        "this amplifier: what it carries, which line grew, what would come of a change"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('v')]),
        "v",
        GoReview,
        "v review",
        "review: what stands in the way of signing, worst first as it stands then"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('d')]),
        "d",
        GoDrawing,
        "d drawing",
        "the drawing of this line, to be changed place by place"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('i')]),
        "i",
        GoKit,
        "i instruments",
        "instruments, visits, and the figures that are assumed"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('y')]),
        "y",
        NewVisit,
        "y new visit",
        "yet another visit: readings and ticks begin anew with it; on another day it is offered"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('l')]),
        "l",
        Find,
        "l find",
        "find by part of a label, the same as /"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('g')]),
        "g",
        GoBack,
        "g back",
        "back to where you were"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('f')]),
        "f",
        GoForward,
        "f forward",
        "forward again"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('e')]),
        "e",
        SaveElsewhere,
        "e save elsewhere",
        "save the site in another folder and go on there"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('p')]),
        "p",
        Print,
        "p print record",
        "print: write the hand-over record as a PDF, named by building and day"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('j')]),
        "j",
        JoinOlder,
        "j join older",
        "join what a version put in the file's place lacks, or what its journals hold"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('t')]),
        "t",
        TakeOver,
        "t take over",
        "write here, when whoever held the site has closed"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Char('k'), Char('?')]),
        "k",
        Help,
        "k keys",
        "the keys of this place"
    ),
    row!(
        GoList DESK,
        Keys::These(&[Esc]),
        "Esc",
        Escape,
        "Esc close",
        "close the list"
    ),
];

/// What a key does in a mode and place; none where it does nothing.
#[must_use]
pub fn action(mode: ModeName, place: Place, key: Key) -> Option<Action> {
    rows(mode, place)
        .find(|row| row.answers(key))
        .map(|row| row.action)
}

/// The rows that hold in a mode and place, in the order of the table.
pub fn rows(mode: ModeName, place: Place) -> impl Iterator<Item = &'static Row> {
    TABLE
        .iter()
        .filter(move |row| row.mode == mode && row.places.contains(&place))
}

impl Action {
    /// It does something on a line only: where the cursor is on none, the footer keeps quiet of it.
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

impl Row {
    /// A letter of a reading: it stands beside what is typed, as far as there is room.
    fn is_letter(&self) -> bool {
        self.mode == M::Reading && self.shown.starts_with(|c: char| c.is_ascii_lowercase())
    }
}

/// The letters that mean something in a reading of this kind, as far as the width goes, and how many
/// of them that are.
#[must_use]
pub fn letters(place: Place, kind: DraftKind, width: usize) -> (String, usize) {
    let mut out = String::new();
    let mut taken = 0;
    for brief in letters_of(place, kind) {
        let gap = if out.is_empty() { "" } else { "  " };
        if out.len() + gap.len() + brief.len() > width {
            break;
        }
        out.push_str(gap);
        out.push_str(brief);
        taken += 1;
    }
    (out, taken)
}

fn letters_of(place: Place, kind: DraftKind) -> impl Iterator<Item = &'static str> {
    rows(M::Reading, place)
        .filter(move |row| {
            row.is_letter()
                && !row.brief.is_empty()
                && match (row.action, kind) {
                    (A::Type, DraftKind::Insulation) => row.shown != "x",
                    (A::Type, _) => row.shown != "a b v",
                    (A::Phase, _) => kind == DraftKind::Impedance,
                    (A::KnownResistor, _) => kind != DraftKind::Insulation,
                    (A::Ohmmeter | A::InsulationKind, _) => kind != DraftKind::Check,
                    _ => true,
                }
        })
        .map(|row| row.brief)
}

/// The footer while a reading is typed: what Enter and Esc do, then the letters that found no room
/// beside what is typed.
#[must_use]
pub fn reading_footer(place: Place, kind: DraftKind, beside: usize, width: usize) -> String {
    let ends = rows(M::Reading, place)
        .filter(|row| !row.is_letter())
        .map(|row| row.brief)
        .filter(|brief| !brief.is_empty())
        // Only an impedance hands on to the next line.
        .map(|brief| match kind {
            DraftKind::Impedance => brief,
            _ => brief.trim_end_matches(", next unread"),
        });
    let letters = letters_of(place, kind).skip(beside);
    flow(ends.chain(letters).collect(), width)
}

/// The footer: brief words as far as they fit, the way to all keys always last.
#[must_use]
pub fn footer(mode: ModeName, place: Place, on_line: bool, width: usize) -> String {
    let briefs: Vec<&'static str> = rows(mode, place)
        // The list itself stands on the screen.
        .filter(|row| mode != M::GoList || row.action == A::Escape)
        .filter(|row| on_line || !row.action.wants_line())
        // On a line reading comes first; on what it hangs on, what can be added there.
        .filter(|row| !on_line || row.action != A::Add || place == Drawing || place == Kit)
        .map(|row| row.brief)
        .filter(|brief| !brief.is_empty())
        .collect();
    flow(briefs, width)
}

fn flow(briefs: Vec<&'static str>, width: usize) -> String {
    let (last, rest) = match briefs.iter().position(|brief| brief.starts_with('?')) {
        Some(at) => (
            Some(briefs[at]),
            [&briefs[..at], &briefs[at + 1..]].concat(),
        ),
        None => (None, briefs),
    };
    let reserved = last.map_or(0, |last| last.len() + 2);
    let mut out = String::from(" ");
    for brief in rest {
        let gap = if out.len() > 1 { 2 } else { 0 };
        if out.len() + gap + brief.len() + reserved > width {
            break;
        }
        out.push_str(&"  "[..gap]);
        out.push_str(brief);
    }
    if let Some(last) = last {
        let fill = width.saturating_sub(out.len() + last.len() + 1);
        out.push_str(&" ".repeat(fill));
        out.push_str(last);
    }
    out
}

impl Row {
    fn answers(&self, key: Key) -> bool {
        match self.keys {
            Keys::These(keys) => keys.contains(&key),
            Keys::Digits => matches!(key, Char(c) if c.is_ascii_digit() || c == '.' || c == ','),
            Keys::Printable => matches!(key, Char(c) if !c.is_control()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MODES: [M; 4] = [M::Key, M::Reading, M::Text, M::GoList];

    #[test]
    fn no_key_stands_twice_in_a_place() {
        let keys = (' '..='~').map(Char).chain([
            Enter,
            Esc,
            Tab,
            BackTab,
            Backspace,
            Key::Delete,
            Up,
            Down,
            Left,
            Right,
            Home,
            End,
            PageUp,
            PageDown,
            F1,
        ]);
        for key in keys {
            for mode in MODES {
                for place in ALL.iter().copied() {
                    let found: Vec<_> = rows(mode, place)
                        .filter(|row| !matches!(row.keys, Keys::Printable) && row.answers(key))
                        .map(|row| row.action)
                        .collect();
                    assert!(found.len() <= 1, "{mode:?} {place:?} {key:?}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn digits_points_commas_and_the_letters_of_a_figure_are_never_commands() {
        for c in "0123456789.,".chars() {
            assert_eq!(action(M::Key, Survey, Char(c)), Some(A::StartReading));
        }
        for c in "kmx".chars() {
            assert_eq!(action(M::Key, Survey, Char(c)), Some(A::TakeUpLast));
        }
        assert_eq!(action(M::Key, Survey, Char('v')), None);
    }

    #[test]
    fn every_footer_fits_its_width_and_names_the_way_to_all_keys() {
        for width in [60, 80, 100, 160] {
            for place in ALL.iter().copied() {
                let line = footer(M::Key, place, true, width);
                assert!(line.len() <= width, "{width}: {line:?}");
                assert!(line.ends_with("? keys"), "{line:?}");
            }
            for mode in [M::Reading, M::Text, M::GoList] {
                assert!(footer(mode, Survey, true, width).len() <= width);
            }
        }
    }

    #[test]
    fn every_key_has_its_sentence_for_the_help() {
        for row in TABLE {
            assert!(
                !row.help.is_empty() && !row.shown.is_empty(),
                "{:?}",
                row.action
            );
        }
    }
}
