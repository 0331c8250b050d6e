//! Reads and writes the files that people keep: surveys (`*.survey.toml`), the rack, the shop.
//!
//! Reading gives what could be read *and* the problems, each with its line, the field, what is wrong and how to mend it.
//! One of the few crates that know TOML; everything above it sees plain data.

pub mod contract;
pub mod contract_form;
pub mod contract_rows;
pub mod damage;
mod document;
mod entries;
pub mod file;
pub mod given;
pub mod kept;
pub mod located;
pub mod parts;
pub mod problem;
pub mod quantity;
pub mod rack;
pub mod rack_file;
pub mod rack_form;
mod rack_table;
pub mod read;
mod shape;
pub mod shop;
pub mod shop_file;
pub mod shop_form;
mod syntax;
pub mod words;
pub mod write;

pub use contract::{ContractRead, MAX_CONTRACT_BYTES, read_contract};
pub use problem::{Problem, text_of};
pub use rack::{MAX_RACK_BYTES, read_rack, read_rack_csv};
pub use rack_table::{rack_csv, rack_with_table};
pub use read::{MAX_SURVEY_BYTES, Read, read_survey};
pub use shop::{MAX_SHOP_BYTES, read_shop};
pub use write::{pattern_file_named, write_survey};

/// The JSON Schema of survey files, from the types that read them.
pub fn survey_schema() -> serde_json::Value {
    schemars::schema_for!(file::SurveyFile).to_value()
}

/// The JSON Schema of rack files.
pub fn rack_schema() -> serde_json::Value {
    schemars::schema_for!(rack_file::RackFile).to_value()
}

/// The JSON Schema of shop files.
pub fn shop_schema() -> serde_json::Value {
    schemars::schema_for!(shop_file::ShopFile).to_value()
}
