//! What was learned laid on a shop's figures: the plan takes the minutes from there, the quote the range.

use super::learned::Learned;
use crate::basis::{Correction, RestsOn};
use crate::shop::Shop;
use crate::times::Times;
use instrument::Kind;
use plan::{Factor, Timed};
use units::ThreePoint;

/// The shop with what it has learned, for a kind of instrument, and what the owner corrected.
#[must_use]
pub fn applied(mut shop: Shop, learned: Option<&Learned>, correction: Option<&Correction>, family: Kind) -> Shop {
    let correction = correction.filter(|c| c.is_sound());
    shop.standards.timed = learned.map_or_else(Timed::default, |l| l.timed(family));
    shop.learned = learned.map(Learned::times);
    shop.correction = correction.copied();
    if let Some(c) = correction {
        let timed = &mut shop.standards.timed;
        let others = timed.others.get_or_insert(Factor::NONE);
        others.mean *= c.mean;
        timed.standards.iter_mut().for_each(|s| s.factor.mean *= c.mean);
    }
    shop
}

/// A job's time from its steps', with what they have in common: as learned, or by the shop's setting.
pub fn times_of(shop: &Shop, minutes: impl IntoIterator<Item = ThreePoint>) -> Times {
    let times = match &shop.learned {
        Some(l) => Times::of_common(minutes, l.common_log_variance),
        None => Times::of(minutes, shop.correlation),
    };
    shop.correction.map_or(times, |c| times.spread_by(c.spread))
}

/// What a shop's times rest on.
pub fn rests_on(shop: &Shop) -> RestsOn {
    RestsOn { learned: shop.learned.map(|l| l.basis), correction: shop.correction }
}
