//! Every place of the screen and the keys that lead there from a line.
#![allow(dead_code)]

use linewright::session::Place;

pub const PLACES: [(Place, &str); 8] = [
    (Place::Survey, "gs"),
    (Place::Walk, "gw"),
    (Place::Rack, "gr"),
    (Place::Drawing, "gd"),
    (Place::Building, "gb"),
    (Place::Amplifier, "ga"),
    (Place::Review, "gv"),
    (Place::Kit, "gi"),
];
