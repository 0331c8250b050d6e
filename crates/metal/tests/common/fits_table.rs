//! The tables of all hardening fits and of all capacities, as docs/validation.md shows them.

use metal::hardening::{Curve, uniform_elongation};
use metal::{Alloy, Temper};
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

/// What bends the tables allow and what the code takes the metal to bear, as a Markdown table: strains on the outer fibre, so that
/// both are the same thing (equivalent strain is 2/√3 of it); the code's median with its 90 % interval.
pub fn capacity_table() -> String {
    use metal::bend_table::{Way, outer_fibre_strain};
    use metal::ductility::{Kind, capacity, stretch};
    let mut out = String::from(
        "| alloy (bent: table of) | temper | good way: R/T, fibre | code | bad way: R/T, fibre | code | stretched through |\n|---|---|---|---|---|---|---|\n",
    );
    for alloy in Alloy::ALL {
        let table = alloy.bend_table();
        for numbers in [0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0] {
            let temper = Temper(numbers);
            let row = table.rows.iter().find(|r| (r.numbers_hard - numbers).abs() < 1e-9);
            let bent = |way: Way, kind: Kind| {
                let measured = row.map_or_else(
                    || "not listed".to_owned(),
                    |r| {
                        let radius = if way == Way::Good { r.good } else { r.bad };
                        radius.map_or_else(
                            || format!("folds flat, {:.3} or more", outer_fibre_strain(0.0)),
                            |r| format!("{r}, {:.3}", outer_fibre_strain(r)),
                        )
                    },
                );
                let c = capacity(alloy, temper, kind);
                let variance = (c.sd / c.value).powi(2).ln_1p();
                let fibre = c.value * (-variance / 2.0).exp() * 3.0_f64.sqrt() / 2.0;
                let wide = (units::figure::Z90 * variance.sqrt()).exp();
                format!("{measured} | {fibre:.3} ({:.3} to {:.3})", fibre / wide, fibre * wide)
            };
            // Writing to a String cannot fail.
            let _ = writeln!(
                out,
                "| {} ({}) | {} | {} | {} | {:.3} |",
                alloy.name(),
                table.of,
                temper.name(),
                bent(Way::Good, Kind::FOLD_ACROSS),
                bent(Way::Bad, Kind::FOLD_ALONG),
                stretch(alloy, temper).value,
            );
        }
    }
    out
}

/// Rounded to a tenth, with no sign on a zero.
fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0 + 0.0
}
