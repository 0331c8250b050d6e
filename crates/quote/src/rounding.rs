//! Amounts brought to a step, alone or so that they add up.

use rust_decimal::{Decimal, RoundingStrategy};
use units::money::to_cents;

/// Amounts in whole steps that add up to `total`, a whole number of steps: each is cut to the step below, and those that lost most get a
/// step back, as many as lack (the method of largest remainders, as seats are dealt out; from memory).
pub fn in_steps(amounts: &[Decimal], total: Decimal, step: Decimal) -> Vec<Decimal> {
    let mut cut: Vec<Decimal> = amounts.iter().map(|a| (a / step).floor() * step).collect();
    let mut by_loss: Vec<usize> = (0..amounts.len()).collect();
    by_loss.sort_by_key(|i| std::cmp::Reverse(amounts[*i] - cut[*i]));
    let mut lack = total - cut.iter().sum::<Decimal>();
    for i in by_loss {
        if lack < step {
            break;
        }
        cut[i] += step;
        lack -= step;
    }
    cut
}

/// Amounts in whole units of money that add up to their sum all the same ([`in_steps`]). None where the sum has cents itself.
pub fn in_whole(amounts: &[Decimal]) -> Option<Vec<Decimal>> {
    let sum: Decimal = amounts.iter().sum();
    sum.fract().is_zero().then(|| in_steps(amounts, sum, Decimal::ONE))
}

/// The nearest multiple of a step, halves up; the amount itself where the step is not positive.
pub fn to_step(amount: Decimal, step: Decimal) -> Decimal {
    if step <= Decimal::ZERO {
        return to_cents(amount);
    }
    to_cents((amount / step).round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero) * step)
}
