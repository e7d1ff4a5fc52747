//! Keys of the help.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Help] [Esc, Enter, Char('q')] "Esc" => Escape "Esc back",
        "back to where you were";
    [Help] [Up] "Up" => Up,
        "a row up";
    [Help] [Down] "Down" => Down "Up Down scroll",
        "a row down";
    [Help] [PageUp] "PageUp" => PageUp,
        "a screen up";
    [Help] [PageDown] "PageDown" => PageDown,
        "a screen down";
};
