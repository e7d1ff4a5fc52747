//! What was answered as recorded is on the disk, whatever happens in between.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod another_hand;
mod bench;
mod beside;
mod changed;
mod crash;
mod cut;
mod damaged;
mod faults;
mod faulty;
mod keeper;
mod opening;
mod simulated;
mod versions;
