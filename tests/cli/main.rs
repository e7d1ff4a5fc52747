//! The real program as scripts run it: what it prints where, with which exit status, and what it
//! leaves on the disk.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bench;
mod choose;
mod copies;
mod handover;
mod house;
mod json;
mod load;
mod log;
mod report;
mod schedule;
mod shape;
mod signing;
mod streams;
mod text;
mod ticks;
mod unwritten;
