//! Keys that move the cursor and turn the pages of the panel.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    DESK [Up] "Up" => Up,
        "one row up";
    DESK [Down] "Down" => Down,
        "one row down";
    DESK [PageUp] "PageUp" => PageUp,
        "a screen up";
    DESK [PageDown] "PageDown" => PageDown,
        "a screen down";
    DESK [Home] "Home" => First,
        "the first row";
    DESK [End] "End" => Last,
        "the last row";
    [Survey] [Left] "Left" => Fold,
        "fold this branch, or go to the row it hangs on";
    [Survey] [Right] "Right" => Unfold,
        "open this branch";
    DESK [Tab] "Tab" => NextPage,
        "next page of the panel";
    DESK [BackTab] "Shift-Tab" => PreviousPage,
        "previous page of the panel";
};
