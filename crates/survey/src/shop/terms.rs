//! Taxes, and what comes on top of a bill: supplies, rush, deposit. Left out, nothing is charged, and nothing needs to be said of it.

use super::Reader;
use crate::located::Located;
use crate::shop_file::{Part, ShopFile, TaxEntry};
use quote::{Shop, TaxRounding};
use rust_decimal::Decimal;

impl Reader<'_> {
    pub(super) fn taxes(&mut self, tax: &TaxEntry, shop: &mut Shop) {
        self.part(tax.labour.as_ref(), "tax.labour", 1, &mut shop.tax_on_labour);
        self.part(tax.parts.as_ref(), "tax.parts", 1, &mut shop.tax_on_parts);
        (shop.tax_on_supplies, shop.tax_on_rush) = (shop.tax_on_parts, shop.tax_on_labour);
        self.where_said(tax.supplies.as_ref(), "tax.supplies", &mut shop.tax_on_supplies);
        self.where_said(tax.rush.as_ref(), "tax.rush", &mut shop.tax_on_rush);
        if let Some(rounding) = &tax.rounding {
            match TaxRounding::read(rounding.value.trim()) {
                Some(rule) => shop.tax_rounding = rule,
                None => {
                    let what = format!("“{}” says nothing of rounding", rounding.value);
                    self.problem(&rounding.span, "tax.rounding", what, "write \"sum\" (once, on the sum) or \"line\" (on each line)");
                }
            }
        }
    }

    pub(super) fn on_top(&mut self, file: &ShopFile, shop: &mut Shop) {
        self.where_said(file.supplies.as_ref(), "supplies", &mut shop.supplies);
        self.where_said(file.rush.as_ref(), "rush", &mut shop.rush);
        self.where_said(file.deposit.as_ref(), "deposit", &mut shop.deposit);
        if let Some(from) = &file.deposit_from {
            self.money(Some(from), "deposit_from", &mut shop.deposit_from);
        }
    }

    fn where_said(&mut self, part: Option<&Located<Part>>, field: &'static str, into: &mut Decimal) {
        if part.is_some() {
            self.part(part, field, 1, into);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::shop::read_shop;
    use quote::TaxRounding;
    use rust_decimal::Decimal;

    #[test]
    fn what_comes_on_top_is_read_and_supplies_are_taxed_as_parts() {
        let (shop, problems) = read_shop(
            "trueround_shop = 1\nsupplies = \"4 %\"\nrush = 0.3\ndeposit = \"50 %\"\ndeposit_from = \"$200\"\n[tax]\nparts = \"7.25 %\"\nlabour = \"1 %\"\nrounding = \"line\"\n",
        );
        assert!(problems.iter().all(|p| p.warning), "{problems:?}");
        assert_eq!((shop.supplies, shop.rush, shop.deposit), (Decimal::new(4, 2), Decimal::new(3, 1), Decimal::new(50, 2)));
        assert_eq!((shop.deposit_from, shop.tax_rounding), (Decimal::from(200), TaxRounding::Line));
        assert_eq!((shop.tax_on_supplies, shop.tax_on_rush), (Decimal::new(725, 4), Decimal::new(1, 2)));
        let said = read_shop("trueround_shop = 1\n[tax]\nparts = \"7.25 %\"\nsupplies = 0\nrush = \"2 %\"\n").0;
        assert_eq!((said.tax_on_supplies, said.tax_on_rush), (Decimal::ZERO, Decimal::new(2, 2)));
        for (bad, words) in [("rush = \"300 %\"", "100 %"), ("[tax]\nrounding = \"never\"", "sum"), ("deposit_from = \"lots\"", "lots")] {
            let problems = read_shop(&format!("trueround_shop = 1\n{bad}\n")).1;
            assert!(problems.iter().any(|p| !p.warning && p.to_string().contains(words)), "{bad}: {problems:?}");
        }
    }
}
