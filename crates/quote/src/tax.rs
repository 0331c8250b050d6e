//! The tax of a bill: by what a line is for, on what is paid of it, rounded where the shop rounds.

use crate::line::{Line, LineKind};
use crate::rounding::in_steps;
use crate::shop::{Shop, TaxRounding};
use rust_decimal::Decimal;
use units::money::to_cents;

/// Sets the tax of each line and returns their sum: the lines' taxes always add up to it. Labor and parts each have their rate; supplies and
/// rush theirs. A discount lowers what is taxed in proportion: the tax on its line is the tax that the others no longer carry.
pub(crate) fn set(lines: &mut [Line], shop: &Shop) -> Decimal {
    let exact = exact(lines, shop);
    let cents: Vec<Decimal> = match shop.tax_rounding {
        TaxRounding::Sum => in_steps(&exact, to_cents(exact.iter().sum()), Decimal::new(1, 2)),
        TaxRounding::Line => exact.iter().map(|t| to_cents(*t)).collect(),
    };
    for (line, tax) in lines.iter_mut().zip(&cents) {
        line.tax = *tax;
    }
    cents.iter().sum()
}

/// The tax of each line before it is rounded.
fn exact(lines: &[Line], shop: &Shop) -> Vec<Decimal> {
    let rate = |rate: Decimal| if shop.terms.exempt.is_empty() { rate.max(Decimal::ZERO) } else { Decimal::ZERO };
    let (mut taxed, mut amount) = (Decimal::ZERO, Decimal::ZERO);
    let mut all = Vec::with_capacity(lines.len());
    for l in lines {
        let (on_labour, on_parts) = match l.kind {
            LineKind::Supplies => (rate(shop.tax_on_labour), rate(shop.tax_on_supplies)),
            LineKind::Rush => (rate(shop.tax_on_rush), rate(shop.tax_on_parts)),
            _ => (rate(shop.tax_on_labour), rate(shop.tax_on_parts)),
        };
        let tax = match l.kind {
            LineKind::Rounding => Decimal::ZERO,
            LineKind::Discount if amount.is_zero() => Decimal::ZERO,
            LineKind::Discount => taxed * (l.labour + l.parts) / amount,
            _ => l.labour * on_labour + l.parts * on_parts,
        };
        taxed += tax;
        amount += l.labour + l.parts;
        all.push(tax);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cents(c: i64) -> Decimal {
        Decimal::new(c, 2)
    }

    fn shop(rounding: TaxRounding) -> Shop {
        let rate = Decimal::new(725, 4);
        Shop { tax_on_parts: rate, tax_on_supplies: rate, tax_rounding: rounding, ..Shop::common_practice() }
    }

    fn parts(amounts: &[i64]) -> Vec<Line> {
        amounts.iter().map(|c| Line { parts: cents(*c), ..Line::new(LineKind::Parts, "a part") }).collect()
    }

    /// Worked by hand: three parts of $10.10 at 7.25 %. Each is taxed 0.73225, which is 0.73; three of them 2.19. Their sum, $30.30, is
    /// taxed 2.19675, which is 2.20. The shop's rule says which; the lines add up under both.
    #[test]
    fn the_case_that_rounding_breaks() {
        let mut lines = parts(&[1010, 1010, 1010]);
        assert_eq!(set(&mut lines, &shop(TaxRounding::Line)), cents(219));
        assert_eq!(lines.iter().map(|l| l.tax).collect::<Vec<_>>(), [cents(73), cents(73), cents(73)]);
        assert_eq!(set(&mut lines, &shop(TaxRounding::Sum)), cents(220));
        assert_eq!(lines.iter().map(|l| l.tax).collect::<Vec<_>>(), [cents(74), cents(73), cents(73)]);
        // The other way round: three of $10.14 are taxed 0.73515, which is 0.74, together 2.22; their sum 2.20545, which is 2.21.
        let mut lines = parts(&[1014, 1014, 1014]);
        assert_eq!(set(&mut lines, &shop(TaxRounding::Line)), cents(222));
        assert_eq!(set(&mut lines, &shop(TaxRounding::Sum)), cents(221));
        assert_eq!(lines.iter().map(|l| l.tax).sum::<Decimal>(), cents(221));
    }

    /// Worked by hand: $100 of labor without tax and $100 of parts at 7.25 % are taxed 7.25. A discount of $50 takes a quarter of both: tax
    /// is paid on $75 of parts, 5.4375.
    #[test]
    fn a_discount_lowers_what_is_taxed_in_proportion() {
        let mut lines = vec![Line { labour: cents(10_000), parts: cents(10_000), ..Line::new(LineKind::Work, "work") }];
        lines.push(Line { labour: cents(-2500), parts: cents(-2500), ..Line::new(LineKind::Discount, "Discount") });
        assert_eq!(set(&mut lines, &shop(TaxRounding::Sum)), cents(544));
        assert_eq!((lines[0].tax, lines[1].tax), (cents(725), cents(-181)));
        let mut exempt = shop(TaxRounding::Sum);
        exempt.terms.exempt = "certificate E-2210".to_owned();
        assert_eq!(set(&mut lines, &exempt), Decimal::ZERO);
    }
}
