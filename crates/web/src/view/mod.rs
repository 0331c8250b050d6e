//! What pages are made of: words of figures, drawings, the instrument's map, lists and fields that several pages show.

pub mod contract_frame;
pub mod contract_jobs;
pub mod contract_result;
pub mod drawings;
pub mod figures;
pub mod form;
pub mod history_tabs;
pub mod instrument_fields;
pub mod instrument_map;
pub mod job_lines;
pub mod names;
pub mod qr;
pub mod range;
pub mod shop_frame;

mod spread;
