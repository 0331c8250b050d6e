//! Prints the "Hardening fits" table of docs/validation.md.
//!
//! `cargo run -p metal --example hardening_fits`

fn main() {
    print!("{}", metal::fits_table::fits_table());
}
