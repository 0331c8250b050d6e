//! Prints the "Hardening fits" table of docs/validation.md.
//!
//! `cargo run -p metal --example hardening_fits`

fn main() {
    print!("{}", metal::hardening::fits_table());
}
