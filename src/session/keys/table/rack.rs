//! Keys of the rack list.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Rack] [Char(' ')] "Space" => Tick "Space tick",
        "done: with the time and your name; the next that waits";
    [Rack] [Char('A')] "A" => TickEverywhere,
        "what is told or done once for the building: one tick for every amplifier that it waits for";
    [Rack] [Char('l')] "l" => NotHere "l not here",
        "leave it out: it does not exist here, with the reason";
    [Rack] [Enter] "Enter" => Enter,
        "to that line in the survey; the amplifier's rows do nothing";
    [Rack] [Left] "Left" => Fold,
        "the amplifier before";
    [Rack] [Right] "Right" => Unfold "Left Right amplifier",
        "the next amplifier";
};
