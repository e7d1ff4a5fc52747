//! What README.md and the pages of docs/ say is held against the program: every screen is the real
//! one, every shell line runs, every figure is reckoned or has its source, every link leads somewhere.
//!
//! Screens and outputs are never pasted by hand: `cargo test --test docs -- --ignored` writes them in.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod blocks;
mod dependencies;
#[path = "../common/desk.rs"]
mod desk;
mod figures;
mod links;
mod method;
#[path = "../common/pen.rs"]
mod pen;
mod screens;
#[cfg(unix)]
mod shell;

#[test]
#[ignore = "writes the pages"]
fn put_the_real_ones_into_the_pages() {
    method::write();
    screens::write();
    #[cfg(unix)]
    shell::write();
}
