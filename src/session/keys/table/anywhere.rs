//! Keys that hold wherever something can be done, and the key of the help, which holds everywhere.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    DESK [Char('/')] "/" => Find "/ find",
        "find by part of a label, in this place: lines, amplifiers and outputs; Esc leads back";
    DESK [Char('g')] "g" => GoList "g go to",
        "list of places to go to";
    DESK [Char('u')] "u" => Undo "u undo",
        "take the last act back; the log keeps both";
    DESK [Char('r')] "r" => Redo,
        "do again what was taken back";
    DESK [Esc] "Esc" => Escape,
        "one step back; never leaves the program";
    DESK [Char('q')] "q" => Quit "q leave",
        "leave: all is on the disk, and you stand here again next time";
    ALL [Char('?'), F1] "?" => Help "? keys",
        "the keys of this place; the same key closes them";
};
