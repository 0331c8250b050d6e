//! A value with its place in the file.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::ops::Range;
use toml::Spanned;

/// A value that remembers where it stood.
#[derive(Clone, Debug)]
pub struct Located<T> {
    /// The value.
    pub value: T,
    /// Bytes of the file.
    pub span: Range<usize>,
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Located<T> {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let spanned = Spanned::<T>::deserialize(d)?;
        Ok(Self { span: spanned.span(), value: spanned.into_inner() })
    }
}

impl<T: JsonSchema> JsonSchema for Located<T> {
    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
    fn inline_schema() -> bool {
        T::inline_schema()
    }
}
