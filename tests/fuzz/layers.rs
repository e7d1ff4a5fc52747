//! The layers that a stranger's bytes reach: `storage` and what it stands on. The layer rule lets it see no
//! other, so these three are a library by themselves, built in seconds.

#[path = "../../src/quantity/mod.rs"]
pub mod quantity;
#[path = "../../src/site/mod.rs"]
pub mod site;
#[path = "../../src/storage/mod.rs"]
pub mod storage;
