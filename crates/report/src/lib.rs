//! The bench card and its reasons, the customer's quote and the invoice as PDF, set by the crate `paper`; no network, no file, no clock.
//!
//! Invariants: everything on paper comes from a [`JobView`] or an [`Invoice`]; nothing is computed here but words and lengths in the
//! unit chosen. Each paper's module says what stands on it (`made`), [`mod@look`] how that looks, [`typeset`] brings it onto its pages.

mod card;
pub mod charts;
pub mod contract_files;
pub mod contract_page;
#[cfg(test)]
mod contract_papers_test;
pub mod invoice;
pub mod job_view;
mod look;
#[cfg(test)]
mod papers_test;
pub mod quote_page;
pub mod reasons;
pub mod said;
pub mod supplement_page;
pub mod typeset;
pub mod words;

pub use card::bench_card_pdf;
pub use charts::{Chart, charts};
pub use contract_files::ContractFile;
pub use contract_page::{ContractView, contract_report_pdf, work_list_pdf};
pub use invoice::{Invoice, invoice_pdf};
pub use job_view::{JobView, Paper};
pub use quote_page::{Signed, quote_pdf, signed_quote_pdf};
pub use reasons::reasons_pdf;
pub use supplement_page::{SupplementView, supplement_pdf};
pub use typeset::ReportError;
