//! Keys while a reading is typed.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Reading:
    [Survey] [Enter] "Enter" => Enter "Enter record, next unread",
        "record; a first impedance goes on to the next unread line";
    [Walk, Rack, Review, Drawing, Building, Amplifier, Kit] [Enter]
        "Enter" => Enter "Enter record",
        "record, and stay here";
    DESK [Esc] "Esc" => Escape "Esc drop",
        "drop what is typed; u as the very next key brings it back";
    DESK Digits "0-9 . ," => Type,
        "the figure";
    DESK [Char('k'), Char('K'), Char('m'), Char('M')] "k m" => Type "k thousand  m million",
        "thousand, million";
    DESK [Char('x'), Char('*')] "x" => Type "x10 range",
        "the meter's range multiplier: x10, x100";
    DESK [Char('d')] "d" => Ohmmeter "d ohmmeter",
        "it is an ohmmeter's figure, not an impedance; again: back";
    DESK [Char('i')] "i" => InsulationKind "i insulation",
        "it is an insulation reading (M or k needed); a b leg, v test volts";
    DESK [Char('a'), Char('b'), Char('v'), Char('>'), Char(' '), Char('o'), Char('e'), Char('-')]
        "a b v" => Type "a b core  v500 volts",
        "insulation: core a or b alone, test volts (v250)";
    DESK [Char('t')] "t" => NextInstrument "t instrument",
        "read with the next instrument of the bag";
    DESK [Char('n')] "n" => ReadingNote "n note",
        "a note that is recorded with the reading";
    DESK [Char('p')] "p" => Phase "p phase",
        "the phase the meter shows, in degrees: 205p-23";
    DESK [Char('r')] "r" => KnownResistor "r resistor",
        "a known resistor, not a line: read 398 on 400 is 398r400";
    DESK [Backspace] "Backspace" => Backspace,
        "take the last character back; with none left, drop";
    DESK [Clear] "Ctrl-U" => ClearTyped,
        "all that is typed goes; the entry stays open";
    DESK [Up] "Up" => Up,
        "what is typed stays with its line; Esc drops it";
    DESK [Down] "Down" => Down,
        "what is typed stays with its line; Esc drops it";
    DESK [Tab] "Tab" => NextPage,
        "next page of the panel";
    DESK [BackTab] "Shift-Tab" => PreviousPage,
        "previous page of the panel";
    DESK [Char('?'), F1] "?" => Help "? keys",
        "the keys while typing a reading";
};
