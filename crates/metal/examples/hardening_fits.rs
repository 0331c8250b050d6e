//! Prints the tables "Hardening fits" and "What the wall bears" of docs/validation.md.
//!
//! `cargo run -p metal --example hardening_fits`

#[path = "../tests/common/fits_table.rs"]
mod fits_table;

fn main() {
    println!("{}", fits_table::fits_table());
    print!("{}", fits_table::capacity_table());
}
