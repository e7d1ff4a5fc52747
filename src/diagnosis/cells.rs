//! Sums kept by cell: whatever falls into one cell is added up there, found by the cell's key.
//!
//! Never here: what a cell is.

use super::quick::Quick;
use std::hash::{Hash, Hasher};

/// Rows of sums, one a cell, found by its key.
#[derive(Clone, Debug)]
pub(super) struct Cells<K> {
    /// Places of rows by the last bits of a key's hash, the next free slot where one is taken.
    slots: Vec<u32>,
    keys: Vec<K>,
    sums: Vec<f64>,
    width: usize,
}

const FREE: u32 = u32::MAX;
/// Room for the cells of a line of some 20 loudspeakers.
const SLOTS: usize = 1 << 13;

impl<K: Copy + Ord + Hash> Cells<K> {
    /// No cells yet; each will have this many sums.
    pub fn new(width: usize) -> Self {
        Self {
            slots: vec![FREE; SLOTS],
            keys: Vec::new(),
            sums: Vec::new(),
            width,
        }
    }

    /// How many sums a row has.
    pub const fn width(&self) -> usize {
        self.width
    }

    /// The sums of a cell, all 0 before anything was added.
    #[inline]
    pub fn at(&mut self, key: K) -> &mut [f64] {
        let place = match self.slot(&key) {
            Ok(place) => place,
            Err(slot) => self.enter(slot, key),
        };
        &mut self.sums[place * self.width..][..self.width]
    }

    /// The place of a key's row, or the slot where it belongs.
    #[inline]
    fn slot(&self, key: &K) -> Result<usize, usize> {
        let mut hasher = Quick::default();
        key.hash(&mut hasher);
        let last = self.slots.len() - 1;
        #[allow(clippy::cast_possible_truncation)]
        let mut slot = hasher.finish() as usize & last;
        loop {
            let place = self.slots[slot];
            if place == FREE {
                return Err(slot);
            }
            if self.keys[place as usize] == *key {
                return Ok(place as usize);
            }
            slot = (slot + 1) & last;
        }
    }

    #[cold]
    fn enter(&mut self, slot: usize, key: K) -> usize {
        let place = self.keys.len();
        self.slots[slot] = u32::try_from(place).unwrap_or(FREE);
        self.keys.push(key);
        self.sums.resize(self.sums.len() + self.width, 0.0);
        if self.keys.len() * 2 > self.slots.len() {
            self.slots = vec![FREE; self.slots.len() * 2];
            for (place, key) in (0u32..).zip(&self.keys) {
                if let Err(slot) = self.slot(key) {
                    self.slots[slot] = place;
                }
            }
        }
        place
    }

    /// Adds to the sums of a cell.
    pub fn add(&mut self, key: K, more: &[f64]) {
        for (sum, more) in self.at(key).iter_mut().zip(more) {
            *sum += more;
        }
    }

    /// Every cell, in the order of their keys whenever they were met: so sums over them come to the
    /// same digits.
    pub fn sorted(&self) -> impl Iterator<Item = (K, &[f64])> {
        let mut order: Vec<usize> = (0..self.keys.len()).collect();
        order.sort_unstable_by_key(|place| self.keys[*place]);
        order.into_iter().map(|place| {
            let sums = &self.sums[place * self.width..][..self.width];
            (self.keys[place], sums)
        })
    }

    /// Adds the sums of another table to these.
    pub fn join(&mut self, other: &Self) {
        for (key, more) in other.keys.iter().zip(other.sums.chunks(other.width)) {
            self.add(*key, more);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_keep_their_sums_however_many_there_are_and_come_back_in_order() {
        let mut cells = Cells::new(2);
        let many = 40_000i64;
        for key in (0..many).rev().chain(0..many) {
            cells.add((key * 1024, 3), &[1.0, 0.5]);
        }
        let keys: Vec<i64> = cells.sorted().map(|((key, _), _)| key / 1024).collect();
        assert_eq!(keys, (0..many).collect::<Vec<i64>>());
        assert!(cells.sorted().all(|(_, sums)| sums == [2.0, 1.0]));
    }
}
