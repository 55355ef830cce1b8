//! What serde has against a value, kept apart by kind until it is put into words.

use crate::scene::tree::NodeId;
use serde::de::{self, Expected, Unexpected};
use std::fmt;

/// Where an error belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    Value(NodeId),
    /// The name of a field: the record, and the field's index.
    Name(NodeId, usize),
}

#[derive(Clone, Debug)]
pub enum What {
    Other(String),
    Type { due: String, found: String },
    UnknownField { name: String, fitting: &'static [&'static str] },
    UnknownVariant { name: String, fitting: &'static [&'static str] },
    Missing(&'static str),
    Twice(&'static str),
}

#[derive(Clone, Debug)]
pub struct Error {
    pub at: Option<At>,
    pub what: What,
}

impl Error {
    /// Belongs there, unless it belongs to something further in.
    pub fn at(mut self, at: At) -> Self {
        self.at.get_or_insert(at);
        self
    }

    fn new(what: What) -> Self {
        Self { at: None, what }
    }

    pub fn wrong(due: impl Into<String>, found: impl Into<String>) -> Self {
        Self::new(What::Type { due: due.into(), found: found.into() })
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.what {
            What::Other(message) => f.write_str(message),
            What::Type { due, found } => write!(f, "{found} where {due} is due"),
            What::UnknownField { name, .. } => write!(f, "there is no field `{name}` here"),
            What::UnknownVariant { name, .. } => write!(f, "`{name}` is not one of what fits here"),
            What::Missing(name) => write!(f, "the field `{name}` is missing"),
            What::Twice(name) => write!(f, "the field `{name}` is there twice"),
        }
    }
}

impl std::error::Error for Error {}

fn found(unexpected: &Unexpected<'_>) -> String {
    match unexpected {
        Unexpected::Str(text) => format!("the text {text:?}"),
        Unexpected::Bool(value) => format!("`{value}`"),
        Unexpected::Unsigned(n) => format!("the number {n}"),
        Unexpected::Signed(n) => format!("the number {n}"),
        Unexpected::Float(n) => format!("the number {n}"),
        Unexpected::Seq => "a list".to_owned(),
        Unexpected::Map => "a record or map".to_owned(),
        Unexpected::Unit => "`()`".to_owned(),
        other => other.to_string(),
    }
}

/// serde's words for what is due, in plainer ones.
fn due(expected: &dyn Expected) -> String {
    let text = expected.to_string();
    match text.as_str() {
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number, zero or more,".to_owned(),
        "i8" | "i16" | "i32" | "i64" => "a whole number".to_owned(),
        "f32" | "f64" => "a number".to_owned(),
        "a string" => "a text in quotes".to_owned(),
        "a boolean" => "`true` or `false`".to_owned(),
        "a sequence" => "a list `[…]`".to_owned(),
        "a map" => "a map `{…}`".to_owned(),
        _ => text
            .strip_prefix("a tuple of size ")
            .map(|n| format!("{n} values in round brackets"))
            .or_else(|| {
                text.strip_prefix("struct ").map(|_| "a record `(name: value, …)`".to_owned())
            })
            .or_else(|| text.strip_prefix("enum ").map(|_| "one of several choices".to_owned()))
            .unwrap_or(text),
    }
}

impl de::Error for Error {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::new(What::Other(message.to_string()))
    }
    fn invalid_type(unexpected: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::wrong(due(expected), found(&unexpected))
    }
    fn invalid_value(unexpected: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::wrong(due(expected), found(&unexpected))
    }
    fn invalid_length(length: usize, expected: &dyn Expected) -> Self {
        let values = if length == 1 { "value" } else { "values" };
        Self::wrong(due(expected), format!("{length} {values}"))
    }
    fn unknown_variant(name: &str, fitting: &'static [&'static str]) -> Self {
        Self::new(What::UnknownVariant { name: name.to_owned(), fitting })
    }
    fn unknown_field(name: &str, fitting: &'static [&'static str]) -> Self {
        Self::new(What::UnknownField { name: name.to_owned(), fitting })
    }
    fn missing_field(name: &'static str) -> Self {
        Self::new(What::Missing(name))
    }
    fn duplicate_field(name: &'static str) -> Self {
        Self::new(What::Twice(name))
    }
}
