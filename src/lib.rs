//! linewright: commissioning of constant-voltage loudspeaker lines.
//!
//! The layers, each using only those before it: `quantity`, `site`, `circuit`, `verdict`,
//! `diagnosis`, `drawer`, `analysis`, `review`, `report`, `session`, `storage`, `tui`, `cli`.
//! DEVELOPERS.md draws the house; tests/house holds it.
//!
//! Never here: anything but the list of modules.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::panic))]

pub mod analysis;
pub mod circuit;
pub mod cli;
pub mod diagnosis;
pub mod drawer;
pub mod quantity;
pub mod report;
pub mod review;
pub mod session;
pub mod site;
pub mod storage;
pub mod tui;
pub mod verdict;
