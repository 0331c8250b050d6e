//! Prints the tables "Hardening fits" and "What the wall bears" of docs/validation.md.
//!
//! `cargo run -p metal --example hardening_fits`

fn main() {
    println!("{}", metal::fits_table::fits_table());
    print!("{}", metal::fits_table::capacity_table());
}
