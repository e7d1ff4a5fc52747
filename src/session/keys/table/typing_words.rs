//! Keys while words are typed.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Text:
    DESK [Enter] "Enter" => Enter "Enter done",
        "take what is typed";
    DESK [Esc] "Esc" => Escape "Esc drop",
        "drop what is typed";
    DESK [Backspace] "Backspace" => Backspace,
        "take the character before the caret back";
    DESK [Clear] "Ctrl-U" => ClearTyped,
        "all that is typed goes; the entry stays open";
    DESK [Left] "Left" => CaretLeft,
        "caret left";
    DESK [Right] "Right" => CaretRight,
        "caret right";
    DESK [Up, BackTab] "Up" => Up,
        "find: the match before; design: the kind, item or proposal before; repaired: what was found before";
    DESK [Down, Tab] "Down Tab" => Down "Tab next",
        "find: the next match; design: the next kind, item or proposal; repaired: what was found";
    DESK [PageDown] "PageDown" => NextPage,
        "next page of the panel";
    DESK [PageUp] "PageUp" => PreviousPage,
        "previous page of the panel";
    DESK [Home] "Home" => CaretFirst,
        "caret before the first character";
    DESK [End] "End" => CaretLast,
        "caret behind the last character";
    DESK [Char('?'), F1] "? F1" => Help,
        "these keys; a ? behind other words is one of them";
    DESK Printable "any" => Type,
        "the words";
};
