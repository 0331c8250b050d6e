//! What holds for one job beside the shop's prices: whether it goes before others, what is taken off, whether the customer pays tax.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use units::money::to_cents;

/// How much is taken off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Off {
    /// A part of the bill before tax.
    Part(Decimal),
    /// An amount before tax.
    Amount(Decimal),
}

/// A discount that the shop gives.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Discount {
    /// How much.
    pub off: Off,
    /// Why; the customer reads it.
    pub reason: String,
}

/// The terms of a job.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Terms {
    /// Whether it goes before others, at the shop's surcharge.
    #[serde(default)]
    pub rush: bool,
    /// The day on which it is wanted, as it stands on the quote; empty: not said.
    #[serde(default)]
    pub wanted: String,
    /// What is taken off.
    #[serde(default)]
    pub discount: Option<Discount>,
    /// Why the customer pays no tax (the number of a certificate); empty: tax is paid.
    #[serde(default)]
    pub exempt: String,
    /// Whether the job belongs to a contract that pays the tools to make, once for all its instruments: this job is not charged with them.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tools_by_contract: bool,
}

impl Terms {
    /// The line of the rush surcharge.
    pub fn rush_words(&self) -> String {
        if self.wanted.is_empty() { "Rush".to_owned() } else { format!("Rush, ready by {}", self.wanted) }
    }
}

impl Discount {
    /// What is taken off an amount before tax: to the cent, never more than all.
    pub fn off_of(&self, before_tax: Decimal) -> Decimal {
        let off = match self.off {
            Off::Part(part) => before_tax * part,
            Off::Amount(amount) => amount,
        };
        to_cents(off).clamp(Decimal::ZERO, before_tax.max(Decimal::ZERO))
    }

    /// As a line of the bill: `Discount 10 %: school contract`.
    pub fn words(&self) -> String {
        let how_much = match self.off {
            Off::Part(part) => format!(" {} %", (part * Decimal::ONE_HUNDRED).normalize()),
            Off::Amount(_) => String::new(),
        };
        if self.reason.is_empty() { format!("Discount{how_much}") } else { format!("Discount{how_much}: {}", self.reason) }
    }
}

impl Off {
    /// As typed: a part in per cent, or an amount.
    ///
    /// # Errors
    /// Where it is neither, or more than all.
    pub fn read(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let bare = ["%", "percent", "per cent"].into_iter().find_map(|sign| text.strip_suffix(sign)).map(str::trim);
        let number = |t: &str| units::money::parse_money(t).map_err(|e| e.to_string());
        match bare {
            Some(part) => match number(part)? {
                part if part <= Decimal::ONE_HUNDRED => Ok(Self::Part(part / Decimal::ONE_HUNDRED)),
                _ => Err(format!("“{text}” is more than all of it; write a part up to 100 %")),
            },
            None => number(text).map(|amount| Self::Amount(to_cents(amount))),
        }
    }

    /// As it is typed.
    pub fn typed(&self) -> String {
        match self {
            Self::Part(part) => format!("{} %", (part * Decimal::ONE_HUNDRED).normalize()),
            Self::Amount(amount) => amount.normalize().to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_read_and_shown_again() {
        assert_eq!(Off::read("10 %"), Ok(Off::Part(Decimal::new(10, 2))));
        assert_eq!(Off::read("12.5%"), Ok(Off::Part(Decimal::new(125, 3))));
        assert_eq!(Off::read("$25"), Ok(Off::Amount(Decimal::new(2500, 2))));
        for text in ["10 %", "12.5 %", "25", "19.95"] {
            assert_eq!(Off::read(text).unwrap().typed(), text);
        }
        for text in ["", "101 %", "-5", "much"] {
            assert!(Off::read(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_discount_never_takes_more_than_all() {
        let of = |off: &str, cents: i64| {
            let d = Discount { off: Off::read(off).unwrap(), reason: "school contract".to_owned() };
            (d.off_of(Decimal::new(cents, 2)), d.words())
        };
        // 10 % of $123.45 is $12.345: halves go up.
        assert_eq!(of("10 %", 12_345), (Decimal::new(1235, 2), "Discount 10 %: school contract".to_owned()));
        assert_eq!(of("$200", 12_345), (Decimal::new(12_345, 2), "Discount: school contract".to_owned()));
    }
}
