//! The bench card and the customer's quote as PDF.
