//! Finds the first number in a value that JSON cannot hold.
//!
//! JSON has no infinity and no "not a number"; the usual writer turns both into `null`, which
//! reads as "not known". This walk over the same serialisation finds them first, and says where.

use std::fmt;

use serde::ser::{
    Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant, SerializeTuple,
    SerializeTupleStruct, SerializeTupleVariant, Serializer,
};

use crate::problem::Problem;

/// Checks that every number in a value is finite. Cost: one pass, no copy.
///
/// # Errors
/// Names the first that is not by its place, such as `zones[3].slope_mean_deg`.
pub(crate) fn check_finite<T: Serialize + ?Sized>(value: &T) -> Result<(), Problem> {
    value.serialize(Walk).map_err(|stray| {
        Problem::error(stray.place.trim_start_matches('.'))
            .found(stray.found)
            .expected("a finite number")
            .remedy("this is a fault of the program: please report it with the site folder")
    })
}

/// What was found where; the place grows from the inside out.
#[derive(Debug)]
struct Stray {
    place: String,
    found: String,
}

impl Stray {
    fn within(mut self, outer: &str) -> Self {
        self.place.insert_str(0, outer);
        self
    }
}

impl fmt::Display for Stray {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.found)
    }
}

impl std::error::Error for Stray {}

impl serde::ser::Error for Stray {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self { place: String::new(), found: message.to_string() }
    }
}

type Walked = Result<(), Stray>;

fn number(value: f64) -> Walked {
    if value.is_finite() {
        Ok(())
    } else {
        Err(Stray { place: String::new(), found: value.to_string() })
    }
}

/// The walk itself.
struct Walk;

/// The walk inside a list, which counts.
struct Items(usize);

/// The walk inside a map, which remembers the key.
struct Entries(String);

macro_rules! sound {
    ($($method:ident: $kind:ty),*) => { $(
        fn $method(self, _: $kind) -> Walked {
            Ok(())
        }
    )* };
}

impl Serializer for Walk {
    type Ok = ();
    type Error = Stray;
    type SerializeSeq = Items;
    type SerializeTuple = Items;
    type SerializeTupleStruct = Items;
    type SerializeTupleVariant = Items;
    type SerializeMap = Entries;
    type SerializeStruct = Self;
    type SerializeStructVariant = Self;

    sound! {
        serialize_bool: bool, serialize_char: char, serialize_str: &str, serialize_bytes: &[u8],
        serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64,
        serialize_u8: u8, serialize_u16: u16, serialize_u32: u32, serialize_u64: u64,
        serialize_unit_struct: &'static str
    }

    fn serialize_f32(self, value: f32) -> Walked {
        number(f64::from(value))
    }

    fn serialize_f64(self, value: f64) -> Walked {
        number(value)
    }

    fn serialize_none(self) -> Walked {
        Ok(())
    }

    fn serialize_unit(self) -> Walked {
        Ok(())
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Walked {
        value.serialize(self)
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, _: &'static str) -> Walked {
        Ok(())
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Walked {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Walked {
        value.serialize(self).map_err(|stray| stray.within(&format!(".{variant}")))
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Items, Stray> {
        Ok(Items(0))
    }

    fn serialize_tuple(self, _: usize) -> Result<Items, Stray> {
        Ok(Items(0))
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Items, Stray> {
        Ok(Items(0))
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Items, Stray> {
        Ok(Items(0))
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Entries, Stray> {
        Ok(Entries(String::new()))
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Self, Stray> {
        Ok(self)
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self, Stray> {
        Ok(self)
    }
}

impl Items {
    fn next<T: Serialize + ?Sized>(&mut self, value: &T) -> Walked {
        let place = self.0;
        self.0 += 1;
        value.serialize(Walk).map_err(|stray| stray.within(&format!("[{place}]")))
    }
}

macro_rules! list {
    ($($form:ident: $method:ident),*) => { $(
        impl $form for Items {
            type Ok = ();
            type Error = Stray;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Walked {
                self.next(value)
            }

            fn end(self) -> Walked {
                Ok(())
            }
        }
    )* };
}

list! {
    SerializeSeq: serialize_element, SerializeTuple: serialize_element,
    SerializeTupleStruct: serialize_field, SerializeTupleVariant: serialize_field
}

macro_rules! record {
    ($($form:ident),*) => { $(
        impl $form for Walk {
            type Ok = ();
            type Error = Stray;

            fn serialize_field<T: Serialize + ?Sized>(
                &mut self,
                key: &'static str,
                value: &T,
            ) -> Walked {
                value.serialize(Walk).map_err(|stray| stray.within(&format!(".{key}")))
            }

            fn end(self) -> Walked {
                Ok(())
            }
        }
    )* };
}

record! { SerializeStruct, SerializeStructVariant }

impl SerializeMap for Entries {
    type Ok = ();
    type Error = Stray;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Walked {
        let name = serde_json::to_value(key).unwrap_or_default();
        self.0 = name.as_str().map_or_else(|| name.to_string(), str::to_owned);
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Walked {
        value.serialize(Walk).map_err(|stray| stray.within(&format!(".{}", self.0)))
    }

    fn end(self) -> Walked {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use proptest::prelude::*;

    use super::*;

    #[derive(serde::Serialize)]
    struct Row {
        share: Option<f64>,
        by_group: BTreeMap<String, f64>,
        pairs: Vec<(u8, f32)>,
    }

    fn place(row: &Row) -> String {
        check_finite(&[row]).unwrap_err().item
    }

    #[test]
    fn the_place_is_named() {
        let sound = || Row { share: None, by_group: BTreeMap::new(), pairs: vec![(1, 1.0)] };
        assert!(check_finite(&[sound()]).is_ok());
        assert_eq!(place(&Row { share: Some(f64::NAN), ..sound() }), "[0].share");
        let by_group = BTreeMap::from([("A".into(), 0.0), ("G".into(), f64::INFINITY)]);
        assert_eq!(place(&Row { by_group, ..sound() }), "[0].by_group.G");
        let pairs = vec![(1, 1.0), (2, f32::NEG_INFINITY)];
        assert_eq!(place(&Row { pairs, ..sound() }), "[0].pairs[1][1]");
    }

    proptest! {
        #[test]
        fn agrees_with_a_plain_look_at_each_number(numbers in prop::collection::vec(any::<f64>(), 0..9)) {
            prop_assert_eq!(check_finite(&numbers).is_ok(), numbers.iter().all(|n| n.is_finite()));
        }
    }
}
