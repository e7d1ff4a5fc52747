//! The `linewright` program.

fn main() {}
