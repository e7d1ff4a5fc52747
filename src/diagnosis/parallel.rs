//! Work shared among the machine's cores.
//!
//! Never here: what the work is.

use std::cell::Cell;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Parts of a list, whatever the number of cores: sums over parts come out to the same digit on
/// every machine.
const PARTS: usize = 8;

thread_local! {
    static ONE_OF_MANY: Cell<bool> = const { Cell::new(false) };
}

/// Work that is one piece of many that are shared among the cores already: what it would share
/// itself it does alone, with the same digits.
pub fn one_of_many<R>(work: impl FnOnce() -> R) -> R {
    let before = ONE_OF_MANY.replace(true);
    let result = work();
    ONE_OF_MANY.set(before);
    result
}

/// Splits a list into consecutive parts and does them at once, each core the next that is left;
/// what they come to stands in their order. Where no thread can be had one core does them all.
pub(super) fn in_parts<T: Sync, R: Send>(list: &[T], work: impl Fn(&[T]) -> R + Sync) -> Vec<R> {
    let size = list.len().div_ceil(PARTS).max(1);
    let parts: Vec<&[T]> = list.chunks(size).collect();
    if ONE_OF_MANY.get() {
        return parts.into_iter().map(work).collect();
    }
    let cores = thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let next = AtomicUsize::new(0);
    let some = || {
        let mut done = Vec::new();
        loop {
            let place = next.fetch_add(1, Ordering::Relaxed);
            let Some(part) = parts.get(place) else {
                return done;
            };
            done.push((place, work(part)));
        }
    };
    let mut done = thread::scope(|scope| {
        let others: Vec<_> = (1..cores.min(parts.len()))
            .filter_map(|_| thread::Builder::new().spawn_scoped(scope, some).ok())
            .collect();
        let mut done = some();
        for other in others {
            match other.join() {
                Ok(more) => done.extend(more),
                // A defect there is a defect here.
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        done
    });
    done.sort_by_key(|(place, _)| *place);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::in_parts;

    #[test]
    fn the_parts_come_back_in_their_order() {
        let list: Vec<usize> = (0..101).collect();
        let parts = in_parts(&list, <[usize]>::to_vec);
        assert_eq!(parts.concat(), list);
        assert!(in_parts(&[] as &[u8], <[u8]>::len).is_empty());
    }
}
