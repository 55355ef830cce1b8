//! serde over the tree.

use super::error::{At, Error};
use super::filler::Filler;
use super::number::{Number, number};
use crate::scene::tree::{Kind, Node, NodeId, Tree};
use serde::de::{
    self, DeserializeSeed, Error as _, Expected, Unexpected, Visitor, value::StrDeserializer,
};
use std::collections::{BTreeMap, BTreeSet};

/// What is passed over or filled in, so that reading goes on.
#[derive(Clone, Debug, Default)]
pub struct Fixes {
    /// Values to take as any value of the type that is due.
    pub fill: BTreeSet<NodeId>,
    /// Fields to leave out: the record, and the field's index.
    pub skip: BTreeSet<(NodeId, usize)>,
    /// Fields to add to a record.
    pub add: BTreeMap<NodeId, BTreeSet<&'static str>>,
}

/// Reads one value of a tree.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    pub tree: &'a Tree,
    pub text: &'a str,
    pub fixes: &'a Fixes,
    pub id: NodeId,
    /// The record's name has been read as a choice's: `Tower(id: …)` for `Tower((id: …))`.
    pub name_read: bool,
}

impl<'a> Reader<'a> {
    fn on(self, id: NodeId) -> Self {
        Self { id, name_read: false, ..self }
    }

    fn node(self) -> Result<&'a Node, Error> {
        self.tree.node(self.id).ok_or_else(|| Error::custom("the document is empty"))
    }

    fn filled(self) -> bool {
        self.fixes.fill.contains(&self.id)
    }

    fn here(self) -> impl Fn(Error) -> Error {
        move |error| error.at(At::Value(self.id))
    }

    fn seq<'de, V: Visitor<'de>>(self, items: &'a [NodeId], visitor: V) -> Result<V::Value, Error> {
        let mut access = Items { reader: self, items };
        let due: &dyn Expected = &visitor;
        let due = due.to_string();
        let value = visitor.visit_seq(&mut access)?;
        if access.items.is_empty() {
            Ok(value)
        } else {
            Err(Error::invalid_length(items.len(), &due.as_str()))
        }
    }

    fn record<'de, V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_map(Fields {
            reader: self,
            next: 0,
            added: self.fixes.add.get(&self.id).into_iter().flatten().copied().collect(),
            value: None,
        })
    }

    fn any<'de, V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        let node = self.node()?;
        match &node.kind {
            Kind::Text(text) => visitor.visit_str(text),
            Kind::Char(c) => visitor.visit_char(*c),
            Kind::Number => {
                let raw = self.text.get(node.range.clone()).unwrap_or("");
                match number(raw) {
                    Some(Number::Unsigned(n)) => visitor.visit_u64(n),
                    Some(Number::Signed(n)) => visitor.visit_i64(n),
                    Some(Number::Float(n)) => visitor.visit_f64(n),
                    None => Err(Error::custom(format!("`{raw}` is not a number"))),
                }
            }
            Kind::Word(word) => match word.as_str() {
                "true" => visitor.visit_bool(true),
                "false" => visitor.visit_bool(false),
                "None" => visitor.visit_none(),
                word => Err(Error::invalid_type(
                    Unexpected::Other(&format!("the word `{word}`")),
                    &visitor,
                )),
            },
            Kind::Record { .. } => self.record(visitor),
            Kind::Tuple { name: Some(name), items } if name == "Some" && items.len() == 1 => {
                visitor.visit_some(self.on(items[0]))
            }
            Kind::Tuple { name: None, items } if items.is_empty() => visitor.visit_unit(),
            Kind::Tuple { items, .. } | Kind::List(items) => self.seq(items, visitor),
            Kind::Map(entries) => visitor.visit_map(Entries { reader: self, entries }),
            Kind::Bytes => Err(Error::invalid_type(Unexpected::Other("a byte string"), &visitor)),
            Kind::Span => Err(Error::invalid_type(Unexpected::Other("a range"), &visitor)),
        }
    }

    fn named(self, due: &str, found: Option<&String>) -> Result<(), Error> {
        match found {
            Some(found) if !self.name_read && !due.is_empty() && found != due => {
                Err(Error::wrong(format!("`{due}`"), format!("`{found}`")))
            }
            _ => Ok(()),
        }
    }
}

macro_rules! scalar {
    ($($method:ident)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
            if self.filled() {
                return Filler.$method(visitor);
            }
            self.any(visitor).map_err(self.here())
        }
    )*};
}

impl<'de> de::Deserializer<'de> for Reader<'_> {
    type Error = Error;

    scalar! {
        deserialize_any deserialize_bool deserialize_i8 deserialize_i16 deserialize_i32
        deserialize_i64 deserialize_u8 deserialize_u16 deserialize_u32 deserialize_u64
        deserialize_f32 deserialize_f64 deserialize_char deserialize_str deserialize_string
        deserialize_bytes deserialize_byte_buf deserialize_unit deserialize_identifier
        deserialize_ignored_any
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match &self.node()?.kind {
            _ if self.filled() => visitor.visit_none(),
            Kind::Word(word) if word == "None" => visitor.visit_none(),
            Kind::Tuple { name: Some(name), items } if name == "Some" && items.len() == 1 => {
                visitor.visit_some(self.on(items[0]))
            }
            _ => visitor.visit_some(self),
        }
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
        match &self.node()?.kind {
            _ if self.filled() => visitor.visit_newtype_struct(Filler),
            Kind::Tuple { name: found, items } if items.len() == 1 => self
                .named(name, found.as_ref())
                .and_then(|()| visitor.visit_newtype_struct(self.on(items[0]))),
            _ => visitor.visit_newtype_struct(self),
        }
        .map_err(self.here())
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match &self.node()?.kind {
            _ if self.filled() => Filler.deserialize_seq(visitor),
            Kind::List(items) => self.seq(items, visitor),
            Kind::Tuple { .. } | Kind::Record { .. } => {
                Err(Error::wrong("a list `[…]`", "round brackets"))
            }
            _ => self.any(visitor),
        }
        .map_err(self.here())
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, Error> {
        match &self.node()?.kind {
            _ if self.filled() => Filler.deserialize_tuple(len, visitor),
            Kind::Tuple { name: None, items } => self.seq(items, visitor),
            Kind::List(_) => {
                Err(Error::wrong(format!("{len} values in round brackets"), "square brackets"))
            }
            _ => self.any(visitor),
        }
        .map_err(self.here())
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        len: usize,
        visitor: V,
    ) -> Result<V::Value, Error> {
        self.deserialize_tuple(len, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match &self.node()?.kind {
            _ if self.filled() => Filler.deserialize_map(visitor),
            Kind::Map(entries) => visitor.visit_map(Entries { reader: self, entries }),
            Kind::Record { .. } | Kind::Tuple { .. } => {
                Err(Error::wrong("a map `{\"name\": …}`", "round brackets"))
            }
            _ => self.any(visitor),
        }
        .map_err(self.here())
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        let record = "a record `(name: value, …)`";
        match &self.node()?.kind {
            _ if self.filled() => Filler.deserialize_struct(name, fields, visitor),
            Kind::Record { name: found, .. } => {
                self.named(name, found.as_ref()).and_then(|()| self.record(visitor))
            }
            Kind::Tuple { name: found, items } if items.is_empty() => {
                self.named(name, found.as_ref()).and_then(|()| self.record(visitor))
            }
            Kind::Tuple { .. } => Err(Error::wrong(record, "values without names")),
            Kind::Map(_) => Err(Error::wrong(record, "a map `{…}`")),
            Kind::List(_) => Err(Error::wrong(record, "a list")),
            _ => self.any(visitor),
        }
        .map_err(self.here())
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        let found = match &self.node()?.kind {
            _ if self.filled() => return Filler.deserialize_enum(name, variants, visitor),
            Kind::Word(word) => Ok(word),
            Kind::Record { name: Some(found), .. } | Kind::Tuple { name: Some(found), .. } => {
                Ok(found)
            }
            Kind::Text(text) if variants.contains(&text.as_str()) => {
                Err(Error::wrong(format!("`{text}` without quotes"), "a text"))
            }
            _ => Err(Error::wrong(format!("one of {}", variants.join(", ")), "something else")),
        };
        found
            .and_then(|variant| visitor.visit_enum(Variant { reader: self, variant }))
            .map_err(self.here())
    }
}

struct Items<'a> {
    reader: Reader<'a>,
    items: &'a [NodeId],
}

impl<'de> de::SeqAccess<'de> for &mut Items<'_> {
    type Error = Error;
    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Error> {
        let Some((first, rest)) = self.items.split_first() else { return Ok(None) };
        self.items = rest;
        seed.deserialize(self.reader.on(*first)).map(Some)
    }
}

struct Entries<'a> {
    reader: Reader<'a>,
    entries: &'a [(NodeId, NodeId)],
}

impl<'de> de::MapAccess<'de> for Entries<'_> {
    type Error = Error;
    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Error> {
        let Some(&(key, _)) = self.entries.first() else { return Ok(None) };
        seed.deserialize(self.reader.on(key)).map(Some)
    }
    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Error> {
        let Some((&(_, value), rest)) = self.entries.split_first() else {
            return Err(Error::custom("a value without a key"));
        };
        self.entries = rest;
        seed.deserialize(self.reader.on(value))
    }
}

struct Fields<'a> {
    reader: Reader<'a>,
    next: usize,
    /// Names of fields to add, the last first.
    added: Vec<&'static str>,
    /// Value of the name just given; none: any value.
    value: Option<NodeId>,
}

impl<'de> de::MapAccess<'de> for Fields<'_> {
    type Error = Error;
    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Error> {
        let id = self.reader.id;
        if let Kind::Record { fields, .. } = &self.reader.node()?.kind {
            while let Some(field) = fields.get(self.next) {
                let index = self.next;
                self.next += 1;
                if !self.reader.fixes.skip.contains(&(id, index)) {
                    self.value = Some(field.value);
                    return seed
                        .deserialize(StrDeserializer::<Error>::new(&field.name))
                        .map(Some)
                        .map_err(|error| error.at(At::Name(id, index)));
                }
            }
        }
        self.value = None;
        let Some(name) = self.added.pop() else { return Ok(None) };
        seed.deserialize(StrDeserializer::<Error>::new(name)).map(Some)
    }
    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Error> {
        match self.value {
            Some(value) => seed.deserialize(self.reader.on(value)),
            None => seed.deserialize(Filler),
        }
    }
}

struct Variant<'a> {
    reader: Reader<'a>,
    variant: &'a str,
}

impl<'de> de::EnumAccess<'de> for Variant<'_> {
    type Error = Error;
    type Variant = Self;
    fn variant_seed<V: DeserializeSeed<'de>>(self, seed: V) -> Result<(V::Value, Self), Error> {
        Ok((seed.deserialize(StrDeserializer::<Error>::new(self.variant))?, self))
    }
}

impl<'de> de::VariantAccess<'de> for Variant<'_> {
    type Error = Error;
    fn unit_variant(self) -> Result<(), Error> {
        match self.reader.node()?.kind {
            Kind::Word(_) => Ok(()),
            _ => Err(Error::wrong(
                format!("`{}` alone", self.variant),
                format!("`{}(…)`", self.variant),
            )),
        }
    }
    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Error> {
        let name = self.variant;
        match &self.reader.node()?.kind {
            Kind::Tuple { items, .. } if items.len() == 1 => {
                seed.deserialize(self.reader.on(items[0]))
            }
            Kind::Record { .. } => seed.deserialize(Reader { name_read: true, ..self.reader }),
            Kind::Tuple { items, .. } => Err(Error::wrong(
                format!("one value in `{name}(…)`"),
                format!("{} values", items.len()),
            )),
            _ => Err(Error::wrong(format!("`{name}(…)`"), format!("`{name}` alone"))),
        }
    }
    fn tuple_variant<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, Error> {
        match &self.reader.node()?.kind {
            Kind::Tuple { items, .. } if items.len() == len => self.reader.seq(items, visitor),
            Kind::Tuple { items, .. } => Err(Error::wrong(
                format!("{len} values in `{}(…)`", self.variant),
                items.len().to_string(),
            )),
            _ => Err(Error::wrong(
                format!("{len} values in `{}(…)`", self.variant),
                "something else",
            )),
        }
    }
    fn struct_variant<V: Visitor<'de>>(
        self,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match &self.reader.node()?.kind {
            Kind::Record { .. } => self.reader.record(visitor),
            Kind::Tuple { items, .. } if items.is_empty() => self.reader.record(visitor),
            _ => Err(Error::wrong(format!("`{}(name: value, …)`", self.variant), "something else")),
        }
    }
}
