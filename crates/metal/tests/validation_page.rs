//! The page of validation shows the fits that the code makes.

#[path = "common/fits_table.rs"]
mod fits_table;

#[test]
fn the_hardening_table_is_up_to_date() {
    let page = include_str!("../../../docs/validation.md");
    let table = fits_table::fits_table();
    assert!(
        page.contains(&table),
        "docs/validation.md is out of date: put this between the marks of 'Hardening fits' (cargo run -p metal --example hardening_fits)\n{table}"
    );
}

#[test]
fn the_capacity_table_is_up_to_date() {
    let page = include_str!("../../../docs/validation.md");
    let table = fits_table::capacity_table();
    assert!(page.contains(&table), "docs/validation.md should hold\n{table}");
}
