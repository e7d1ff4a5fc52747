//! Lists of a file that is read: no longer than its limit, so that a stranger's file is refused
//! before it fills the memory.

use super::{MOST_ENTRIES, MOST_ITEMS, Question};
use crate::site::{Entry, Item};
use serde::de::{Deserialize, Deserializer, Error, SeqAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

struct AtMost<T> {
    most: usize,
    what: &'static str,
    of: PhantomData<T>,
}

impl<'de, T: Deserialize<'de>> Visitor<'de> for AtMost<T> {
    type Value = Vec<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a list of at most {} {}", self.most, self.what)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Vec<T>, A::Error> {
        let mut out = Vec::new();
        while let Some(row) = list.next_element()? {
            if out.len() == self.most {
                let (most, what) = (self.most, self.what);
                let words = format!("more than {most} {what}; at most {most} are read");
                return Err(A::Error::custom(words));
            }
            out.push(row);
        }
        Ok(out)
    }
}

fn at_most<'de, D: Deserializer<'de>, T: Deserialize<'de>>(
    from: D,
    most: usize,
    what: &'static str,
) -> Result<Vec<T>, D::Error> {
    let of = PhantomData;
    from.deserialize_seq(AtMost { most, what, of })
}

pub(super) fn items<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<Item>, D::Error> {
    at_most(from, MOST_ITEMS, "items")
}

pub(super) fn entries<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<Entry>, D::Error> {
    at_most(from, MOST_ENTRIES, "entries")
}

pub(super) fn questions<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<Question>, D::Error> {
    at_most(from, MOST_ITEMS, "questions")
}
