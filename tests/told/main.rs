//! What a reader of the record is told: which lines are bad, why, what was done, what is left, with
//! which meter.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;
#[path = "../common/paper.rs"]
mod paper;
#[path = "../common/pen.rs"]
mod pen;

mod beside;
mod causes;
mod done;
mod insulation;
mod left;
mod outputs;
mod page;
