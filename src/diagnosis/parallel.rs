//! Work shared among the machine's cores.
//!
//! Never here: what the work is.

use std::thread;

/// Parts of a list, whatever the number of cores: sums over parts come out to the same digit on
/// every machine.
const PARTS: usize = 8;

/// Splits a list into consecutive parts and does them at once; what they come to stands in their
/// order. Where no thread can be had they are done one after the other.
pub(super) fn in_parts<T: Sync, R: Send>(list: &[T], work: impl Fn(&[T]) -> R + Sync) -> Vec<R> {
    let size = list.len().div_ceil(PARTS).max(1);
    let mut parts = list.chunks(size);
    let Some(own) = parts.next() else {
        return Vec::new();
    };
    thread::scope(|scope| {
        let work = &work;
        let others: Vec<_> = parts
            .map(|part| {
                let started = thread::Builder::new().spawn_scoped(scope, move || work(part));
                (part, started)
            })
            .collect();
        let mut done = vec![work(own)];
        for (part, started) in others {
            // A part whose thread could not be had, or did not come back, is done here.
            let result = started.ok().and_then(|it| it.join().ok());
            done.push(result.unwrap_or_else(|| work(part)));
        }
        done
    })
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
