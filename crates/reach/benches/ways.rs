//! `ways` on a tuba with many dents.
fn main() {}
