//! Letters of the list behind `g`.

use super::*;

pub(super) const ROWS: &[Row] = rows! { GoList:
    DESK [Char('n')] "n" => GoNextUnread "n next unread",
        "the next unread line";
    DESK [Char('s')] "s" => GoSite "s survey",
        "survey, the whole site";
    DESK [Char('w')] "w" => StartWalk "w walk",
        "walk the line under the cursor";
    DESK [Char('r')] "r" => GoRack "r rack list",
        "rack list: what is ticked before and after";
    DESK [Char('o')] "o" => GoOrder "o order",
        "order: by rack, by zone, worst first";
    DESK [Char('b')] "b" => GoBuilding "b building",
        "the whole building: every line and output on one picture";
    DESK [Char('a')] "a" => GoAmplifier "a amplifier",
        "this amplifier: what it carries, which line grew, what would come of a change";
    DESK [Char('v')] "v" => GoReview "v review",
        "review: what stands in the way of signing, worst first as it stands then";
    DESK [Char('d')] "d" => GoDrawing "d drawing",
        "the drawing of this line, to be changed place by place";
    DESK [Char('i')] "i" => GoKit "i instruments",
        "instruments, visits, and the figures that are assumed";
    DESK [Char('y')] "y" => NewVisit "y new visit",
        "yet another visit: readings and ticks begin anew with it; on another day it is offered";
    DESK [Char('l')] "l" => Find "l find",
        "find by part of a label, the same as /";
    DESK [Char('g')] "g" => GoBack "g back",
        "back to where you were";
    DESK [Char('f')] "f" => GoForward "f forward",
        "forward again";
    DESK [Char('e')] "e" => SaveElsewhere "e save elsewhere",
        "save the site in another folder and go on there";
    DESK [Char('p')] "p" => Print "p print, copy",
        "print: write the hand-over record as a PDF, or a copy of the site for a colleague";
    DESK [Char('j')] "j" => JoinOlder "j join older",
        "join what a version put in the file's place lacks, or what its journals hold";
    DESK [Char('t')] "t" => TakeOver "t take over",
        "write here, when whoever held the site has closed";
    DESK [Char('k'), Char('?')] "k" => Help "k keys",
        "the keys of this place";
    DESK [Esc] "Esc" => Escape "Esc close",
        "close the list";
};
