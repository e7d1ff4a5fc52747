//! The survey at the keyboard, told as stories: what stands before, the keys, what stands after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;

mod another_hand;
mod another_reading;
mod before_enter;
mod disk;
mod getting_about;
mod reading;
mod repairs;
mod undo;
mod where_one_stands;
