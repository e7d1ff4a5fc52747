//! The hash by which a cell is found in a table of sums.
//!
//! Never here: what the cells are.

use std::hash::Hasher;

/// Places of cells in a table: the numbers are our own and nobody's to choose, so that a multiply a
/// number will do.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Quick(u64);

impl Hasher for Quick {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u64(u64::from(*byte));
        }
    }

    fn write_i32(&mut self, number: i32) {
        self.write_i64(i64::from(number));
    }

    fn write_u32(&mut self, number: u32) {
        self.write_u64(u64::from(number));
    }

    fn write_i64(&mut self, number: i64) {
        self.write_u64(u64::from_ne_bytes(number.to_ne_bytes()));
    }

    fn write_u64(&mut self, number: u64) {
        let mixed = (self.0.rotate_left(26) ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}
