//! Looks at every number and text of a row without making anything of it: a row that is sound costs
//! hardly more than reading it.
//!
//! The two questions are those of [`super::unfit`].

use serde::ser::{self, Serialize, Serializer};
use std::fmt;

/// What a row holds that no file may.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Amiss {
    /// A number that is not finite.
    Number,
    /// A text of so many characters.
    Text(usize),
    /// It has no plain form.
    Formless,
}

impl fmt::Display for Amiss {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self:?}")
    }
}

impl std::error::Error for Amiss {}

impl ser::Error for Amiss {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self::Formless
    }
}

/// The first thing amiss in a row, texts over so many characters among them.
pub(super) fn amiss(row: &impl Serialize, longest: usize) -> Option<Amiss> {
    row.serialize(Scan { longest }).err()
}

#[derive(Clone, Copy)]
struct Scan {
    longest: usize,
}

impl Scan {
    fn text(self, text: &str) -> Result<(), Amiss> {
        // No text has more characters than bytes.
        if text.len() <= self.longest {
            return Ok(());
        }
        match text.chars().count() {
            long if long > self.longest => Err(Amiss::Text(long)),
            _ => Ok(()),
        }
    }
}

macro_rules! nothing {
    ($($method:ident $type:ty),*) => { $(
        fn $method(self, _: $type) -> Result<(), Amiss> { Ok(()) }
    )* };
}

impl Serializer for Scan {
    type Ok = ();
    type Error = Amiss;
    type SerializeSeq = Self;
    type SerializeTuple = Self;
    type SerializeTupleStruct = Self;
    type SerializeTupleVariant = Self;
    type SerializeMap = Self;
    type SerializeStruct = Self;
    type SerializeStructVariant = Self;

    nothing!(serialize_bool bool, serialize_i8 i8, serialize_i16 i16, serialize_i32 i32,
        serialize_i64 i64, serialize_u8 u8, serialize_u16 u16, serialize_u32 u32, serialize_u64 u64,
        serialize_char char, serialize_bytes &[u8], serialize_unit_struct &'static str);

    fn serialize_f32(self, number: f32) -> Result<(), Amiss> {
        self.serialize_f64(f64::from(number))
    }

    fn serialize_f64(self, number: f64) -> Result<(), Amiss> {
        number.is_finite().then_some(()).ok_or(Amiss::Number)
    }

    fn serialize_str(self, text: &str) -> Result<(), Amiss> {
        self.text(text)
    }

    fn serialize_none(self) -> Result<(), Amiss> {
        Ok(())
    }

    fn serialize_some<T: ?Sized + Serialize>(self, value: &T) -> Result<(), Amiss> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Amiss> {
        Ok(())
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, _: &'static str) -> Result<(), Amiss> {
        Ok(())
    }

    fn serialize_newtype_struct<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), Amiss> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: ?Sized + Serialize>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        value: &T,
    ) -> Result<(), Amiss> {
        value.serialize(self)
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Self, Amiss> {
        Ok(self)
    }

    fn serialize_tuple(self, _: usize) -> Result<Self, Amiss> {
        Ok(self)
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Self, Amiss> {
        Ok(self)
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self, Amiss> {
        Ok(self)
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Self, Amiss> {
        Ok(self)
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Self, Amiss> {
        Ok(self)
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self, Amiss> {
        Ok(self)
    }
}

macro_rules! parts {
    ($($part:ident $method:ident),*) => { $(
        impl ser::$part for Scan {
            type Ok = ();
            type Error = Amiss;
            fn $method<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Amiss> {
                value.serialize(*self)
            }
            fn end(self) -> Result<(), Amiss> { Ok(()) }
        }
    )* };
}

parts!(
    SerializeSeq serialize_element,
    SerializeTuple serialize_element,
    SerializeTupleStruct serialize_field,
    SerializeTupleVariant serialize_field
);

macro_rules! named {
    ($($part:ident),*) => { $(
        impl ser::$part for Scan {
            type Ok = ();
            type Error = Amiss;
            fn serialize_field<T: ?Sized + Serialize>(
                &mut self,
                _: &'static str,
                value: &T,
            ) -> Result<(), Amiss> {
                value.serialize(*self)
            }
            fn end(self) -> Result<(), Amiss> { Ok(()) }
        }
    )* };
}

named!(SerializeStruct, SerializeStructVariant);

impl ser::SerializeMap for Scan {
    type Ok = ();
    type Error = Amiss;

    fn serialize_key<T: ?Sized + Serialize>(&mut self, key: &T) -> Result<(), Amiss> {
        key.serialize(*self)
    }

    fn serialize_value<T: ?Sized + Serialize>(&mut self, value: &T) -> Result<(), Amiss> {
        value.serialize(*self)
    }

    fn end(self) -> Result<(), Amiss> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn numbers_and_texts_are_found_however_deep_they_lie() {
        let amiss = |number: f64, text: &str| {
            let row = BTreeMap::from([("a", (Some(vec![number]), text))]);
            amiss(&row, 3)
        };
        assert_eq!(amiss(1e308, "abc"), None);
        assert_eq!(amiss(f64::NAN, "abc"), Some(Amiss::Number));
        assert_eq!(amiss(f64::INFINITY, "abc"), Some(Amiss::Number));
        assert_eq!(amiss(1.0, "abcd"), Some(Amiss::Text(4)));
        // Three characters of two bytes each.
        assert_eq!(amiss(1.0, "\u{e9}\u{e9}\u{e9}"), None);
    }
}
