//! What a stored type consists of, read off its `Deserialize`: each place of it, and which of them take any text.

use serde::de::value::{Error, StrDeserializer};
use serde::de::{
    DeserializeOwned, DeserializeSeed, Deserializer, EnumAccess, IntoDeserializer, MapAccess,
    SeqAccess, VariantAccess, Visitor,
};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// The places of a type; `*` stands for any place in a list.
pub(super) struct Traced {
    /// Where any text is taken, and no id.
    pub texts: BTreeSet<String>,
    pub all: BTreeSet<String>,
}

/// What is offered for a text, one after the other: free words first, then what a type may insist on.
const OFFERED: &[&str] = &[
    "said in words, with a name",
    "2026-03-02",
    "09:30",
    "1.5",
    "1",
    "11",
    "yes",
    "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef",
];

/// Types whose texts nobody types.
const IDS: &[&str] = &[
    "AccountId",
    "DeviceId",
    "EventId",
    "HandoffId",
    "HoldId",
    "PartyId",
    "TimerId",
];

#[derive(Default)]
struct Log {
    /// How many offers each place has refused.
    refused: BTreeMap<String, usize>,
    ids: BTreeSet<String>,
    all: BTreeSet<String>,
    texts: BTreeSet<String>,
    last: String,
}

/// The places of `K`.
pub(super) fn traced<K: DeserializeOwned>() -> Traced {
    let log = RefCell::new(Log::default());
    loop {
        let root = Trace {
            at: String::new(),
            is_id: false,
            log: &log,
        };
        let Err(why) = K::deserialize(root) else {
            break;
        };
        let mut log = log.borrow_mut();
        let last = log.last.clone();
        let refused = log.refused.entry(last.clone()).or_default();
        *refused += 1;
        assert!(*refused <= OFFERED.len(), "{last}: {why}");
    }
    let log = log.into_inner();
    let is_free = |place: &&String| !log.refused.contains_key(*place) && !log.ids.contains(*place);
    Traced {
        texts: log.texts.iter().filter(is_free).cloned().collect(),
        all: log.all,
    }
}

struct Trace<'l> {
    at: String,
    is_id: bool,
    log: &'l RefCell<Log>,
}

impl<'l> Trace<'l> {
    fn below(&self, step: &str) -> Trace<'l> {
        let at = match self.at.as_str() {
            "" => step.to_owned(),
            at => format!("{at}/{step}"),
        };
        self.log.borrow_mut().all.insert(at.clone());
        Trace {
            at,
            is_id: false,
            log: self.log,
        }
    }
}

macro_rules! numbers {
    ($($method:ident: $visit:ident,)+) => {
        $(fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
            self.log.borrow_mut().last = self.at;
            visitor.$visit(1)
        })+
    };
}

macro_rules! as_text {
    ($($method:ident)+) => {
        $(fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
            self.deserialize_any(visitor)
        })+
    };
}

impl<'de> Deserializer<'de> for Trace<'_> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        let mut log = self.log.borrow_mut();
        log.last.clone_from(&self.at);
        log.texts.insert(self.at.clone());
        if self.is_id {
            log.ids.insert(self.at.clone());
        }
        let refused = log.refused.get(&self.at).copied().unwrap_or_default();
        drop(log);
        match OFFERED.get(refused) {
            Some(text) => visitor.visit_str(text),
            None => visitor.visit_str(super::tag("cast upper").as_str()),
        }
    }

    as_text! { deserialize_str deserialize_string deserialize_char deserialize_bytes deserialize_byte_buf deserialize_identifier }

    numbers! {
        deserialize_i8: visit_i8,
        deserialize_i16: visit_i16,
        deserialize_i32: visit_i32,
        deserialize_i64: visit_i64,
        deserialize_u8: visit_u8,
        deserialize_u16: visit_u16,
        deserialize_u32: visit_u32,
        deserialize_u64: visit_u64,
    }

    fn deserialize_f32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_f32(1.0)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_f64(1.0)
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_bool(true)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_some(self)
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_unit()
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_unit()
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_unit()
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Error> {
        let is_id = IDS.contains(&name);
        visitor.visit_newtype_struct(Trace { is_id, ..self })
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_seq(Elements(vec![self.below("*")]))
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Error> {
        let places = (0..length).rev();
        visitor.visit_seq(Elements(
            places.map(|place| self.below(&place.to_string())).collect(),
        ))
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Error> {
        self.deserialize_tuple(length, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_map(Fields {
            on: self,
            left: &[],
        })
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_map(Fields {
            on: self,
            left: fields,
        })
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        words: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_enum(Word(words[0]))
    }
}

/// What is left of a list, the next one last.
struct Elements<'l>(Vec<Trace<'l>>);

impl<'de> SeqAccess<'de> for Elements<'_> {
    type Error = Error;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Error> {
        self.0.pop().map(|one| seed.deserialize(one)).transpose()
    }
}

/// The fields of a struct that are left.
struct Fields<'l> {
    on: Trace<'l>,
    left: &'static [&'static str],
}

impl<'de> MapAccess<'de> for Fields<'_> {
    type Error = Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Error> {
        let Some(first) = self.left.first() else {
            return Ok(None);
        };
        let name: StrDeserializer<'_, Error> = first.into_deserializer();
        seed.deserialize(name).map(Some)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Error> {
        let (first, rest) = self.left.split_first().unwrap();
        self.left = rest;
        seed.deserialize(self.on.below(first))
    }
}

/// The first word of a list of words. Nothing that is stored of an event has words with contents of their own.
struct Word(&'static str);

impl<'de> EnumAccess<'de> for Word {
    type Error = Error;
    type Variant = Word;

    fn variant_seed<V: DeserializeSeed<'de>>(self, seed: V) -> Result<(V::Value, Word), Error> {
        let name: StrDeserializer<'_, Error> = self.0.into_deserializer();
        Ok((seed.deserialize(name)?, self))
    }
}

impl<'de> VariantAccess<'de> for Word {
    type Error = Error;

    fn unit_variant(self) -> Result<(), Error> {
        Ok(())
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, _: T) -> Result<T::Value, Error> {
        panic!("{} has contents", self.0)
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, Error> {
        panic!("{} has contents", self.0)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        _: &'static [&'static str],
        _: V,
    ) -> Result<V::Value, Error> {
        panic!("{} has contents", self.0)
    }
}
