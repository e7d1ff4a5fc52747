//! What is handed on: pictures and the writers of every kind of document.
//!
//! Never here: files, the clock, figures of its own.

pub mod picture;
