//! How long a person takes over what the shop takes, and what an hour of theirs costs.
//!
//! Common practice, no source: a customer's price is the shop's time at the shop's rate, whoever does it. A person's pace moves the day on
//! which it is done and what the shop earns with it, never the price. A rate of their own, where the owner set one, is the price of
//! their hour: a quote that is given while the job lies on their bench is made with it.

use super::learned::Learned;
use crate::shop::{Person, Shop};
use crate::times::normal_quantile;
use rust_decimal::Decimal;

/// A person's pace over the shop's times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Time taken over the shop's, in the median.
    pub over_shop: f64,
    /// Between these it lies with 90 % credibility; none where nothing was timed.
    pub range: Option<(f64, f64)>,
    /// Steps of theirs that it rests on.
    pub steps: u32,
}

impl Pace {
    /// In words.
    pub fn words(&self) -> String {
        let over = self.over_shop;
        let told = if (0.95..=1.05).contains(&over) {
            "as long as the shop's times".to_owned()
        } else {
            format!("{over:.2} times the shop's times")
        };
        match self.steps {
            0 => format!("{told}, as set; none of their steps was timed yet"),
            1 => format!("{told}, from 1 finished step"),
            n => format!("{told}, from {n} finished steps"),
        }
    }
}

/// A person's pace: as learned; else as the owner set it; else as everybody's.
pub fn pace_of(shop: &Shop, learned: Option<&Learned>, name: &str) -> Pace {
    let set = person(shop, name).map(|p| p.pace).filter(|p| *p > 0.0 && p.is_finite());
    let range = |mean: f64, variance: f64| {
        let half = normal_quantile(0.95) * variance.max(0.0).sqrt();
        Some(((mean - half).exp(), (mean + half).exp()))
    };
    let Some(l) = learned else { return Pace { over_shop: set.unwrap_or(1.0), range: None, steps: 0 } };
    if let Some(p) = l.people.iter().find(|p| p.name == name) {
        return Pace { over_shop: p.log_mean.exp(), range: range(p.log_mean, p.log_variance), steps: p.steps };
    }
    // Nobody timed them: the pace that was set over the shop's mix, or the mix itself.
    let mean = set.filter(|p| (p - 1.0).abs() > 1e-9).map_or(0.0, |p| p.ln() - l.mix_log);
    Pace { over_shop: mean.exp(), range: range(mean, l.person_variance), steps: 0 }
}

/// The person of a name.
pub fn person<'a>(shop: &'a Shop, name: &str) -> Option<&'a Person> {
    shop.people.iter().find(|p| p.name == name)
}

/// The shop whose hour is that of a person, where the owner set one.
#[must_use]
pub fn at_rate_of(mut shop: Shop, name: Option<&str>) -> Shop {
    let rate: Option<Decimal> = name.and_then(|n| person(&shop, n)).and_then(|p| p.per_hour).filter(|r| *r > Decimal::ZERO);
    if let Some(rate) = rate.and_then(|r| f64::try_from(r).ok()) {
        shop.standards.labour_per_hour = rate;
    }
    shop
}
