//! The design by typing: one line of words becomes items of the site, and an item becomes words
//! again to be changed.
//!
//! ```text
//!   text --typed--> parts --build (what stands above fills the gaps)--> items --> edits, one act
//!   item --describe--> text
//! ```
//!
//! An unsound design is refused before it is sent; what was typed stays in the entry.
//!
//! Never here: figures of a line, the disk.

mod acts;
mod build;
mod built;
mod change;
mod describe;
mod drawn;
mod gone;
mod kit;
mod line;
mod moved;
mod names;
mod node;
mod pasted;
mod place;
mod refused;
mod retap;
mod send;
mod sound;
mod start;
mod taken;
mod thing;
mod typed;
mod under;
mod undo;
mod volts;

pub use thing::Thing;

pub(super) use acts::Desk;
pub(super) use built::Built;
pub(super) use describe::rows;
pub(super) use drawn::Drawn;
pub(super) use kit::return_visit;
