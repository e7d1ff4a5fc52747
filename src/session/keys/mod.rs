//! The one key table: mode and place, key, action, hint. Footer, help and dispatch all read it.
//!
//! To add a key: its action in [`Action`], a row in the file of its place under `table/`, and its arm in
//! `update/`.
//!
//! Never here: what an action does to the session.

mod footer;
mod names;
mod row;
mod table;

pub use footer::{footer, letters, reading_footer};
pub use names::{Action, ModeName, Place};
pub use row::{Keys, Row};
pub use table::{action, rows, table};
