//! Keys that look at the design and change it: the survey, drawing, building, amplifier.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Building, Amplifier] [Enter] "Enter" => Enter "Enter go there",
        "to this line or output in the survey";
    [Building] [Left] "Left" => Fold,
        "one line back";
    [Building] [Right] "Right" => Unfold "Left Right a line",
        "one line on";
    [Drawing] [Left] "Left" => Fold,
        "the drawing of the line before";
    [Drawing] [Right] "Right" => Unfold,
        "the drawing of the next line";
    [Amplifier] [Left] "Left" => Fold,
        "the amplifier before";
    [Amplifier] [Right] "Right" => Unfold "Left Right amplifier",
        "the next amplifier";
    [Survey, Building, Amplifier] [Char('h')] "h" => TryOut,
        "try out: this line on another output, or on other taps; nothing changes before Enter";
    [Survey, Building, Amplifier] [Char('a')] "a" => Add "a add",
        "add by typing what belongs here: amplifier, output, line, loudspeaker, ...";
    [Drawing] [Char('a')] "a" => Add "a add",
        "add a loudspeaker, a joint box, a device behind this place; b: puts it into a run";
    [Survey, Building, Amplifier] [Char('y')] "y" => Another,
        "yet another like the last that was added; at first a copy of this line";
    [Drawing] [Char('y')] "y" => Another "y another",
        "yet another like the last that was added, behind this place";
    [Survey, Building, Amplifier] [Char('e')] "e" => Change,
        "change what stands here; Tab goes on to what it belongs to";
    [Drawing] [Char('e')] "e" => Change "e change",
        "change what stands here: label, tap, run, cable, type; Tab to its type and line";
    DESIGN [Delete] "Delete" => Gone,
        "it is not there: say why; it is kept as retired, what it fed hangs on what fed it";
    [Survey, Drawing] [Enter] "Enter" => Enter,
        "open or fold a branch; on a line nothing, so a double Enter does no harm";
};
