//! Keys of the survey, and those that act on the line under the cursor wherever one stands.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Survey] [Char('w')] "w" => StartWalk "w walk",
        "walk this line: what is heard at each loudspeaker, splits";
    [Survey] [Char('f')] "f" => Filter "f filter",
        "show only lines that want a look; again: unread, then OFF, then all";
    [Survey] [Char('l')] "l" => Later "l later",
        "leave an unread line for later, with a reason; next unread line";
    WORK [Char('n')] "n" => Note,
        "a note on what the cursor is on";
    WORK [Char('t')] "t" => NextInstrument,
        "read with the next instrument of the bag; on a walk: whose tone is heard";
    [Rack] [Char('t')] "t" => NextInstrument,
        "the known resistor is read with the next meter of the bag, its leads zeroed";
    [Survey] [Char(' ')] "Space" => NextTick,
        "to the next tick that waits on the rack list of this amplifier";
};
