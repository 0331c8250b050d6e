//! Dents and conditions as people give them. What a field is stands in [`instrument::fields`], once; here it is read
//! ([`read`]), written ([`write`]), filled in on a form ([`form`]) and told to a JSON Schema ([`schema`]). A file, the
//! tablet and an import differ only in how they bring key and value: what they bring goes through the same reading.

pub mod filled;
pub mod form;
pub mod read;
mod refusal;
pub mod schema;
pub mod write;

pub use filled::{Filled, Written};
pub use form::Form;
pub use read::{condition, dent};
pub use refusal::{Refusal, condition_refusals, dent_refusals};
