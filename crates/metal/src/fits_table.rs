//! The table of all hardening fits, as docs/validation.md shows it.

use crate::hardening::{Curve, uniform_elongation};
use crate::{Alloy, Temper};
use std::fmt::Write;

/// Constants of every fit, and fitted less tabulated values (N/mm²; points of strain), as a Markdown table.
pub fn fits_table() -> String {
    let mut out = String::from(
        "| alloy | temper | K N/mm² | ε₀ | n | yield: table, fit − table | tensile: table, fit − table | uniform strain %: table, fit − table |\n|---|---|---|---|---|---|---|---|\n",
    );
    for alloy in Alloy::ALL {
        for numbers in [0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0] {
            let temper = Temper(numbers);
            let c = Curve::fit(alloy, temper);
            let u = uniform_elongation(alloy.elongation(temper)).value.ln_1p();
            // Writing to a String cannot fail.
            let _ = writeln!(
                out,
                "| {} | {} | {:.0} | {:.4} | {:.3} | {:.0}, {:+.1} | {:.0}, {:+.1} | {:.1}, {:+.1} |",
                alloy.name(),
                temper.name(),
                c.k_mpa,
                c.offset,
                c.n,
                alloy.yield_mpa(temper).value,
                tenth(c.residuals.yield_mpa),
                alloy.tensile_mpa(temper).value,
                tenth(c.residuals.tensile_mpa),
                100.0 * u,
                tenth(100.0 * c.residuals.uniform_strain),
            );
        }
    }
    out
}

/// Rounded to a tenth, with no sign on a zero.
fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0 + 0.0
}
