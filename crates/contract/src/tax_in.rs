//! Whether sales tax is in a contract's amounts.

use quote::Shop;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Whether sales tax is in all amounts of a contract: offers, tools, what is spent, what the plan costs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "state", content = "why")]
pub enum TaxIn {
    /// An earlier program worked the amounts out and did not say.
    #[default]
    NotSaid,
    /// The shop charges none.
    NoneCharged,
    /// It is in them.
    Included,
    /// The customer pays none: the number of a certificate.
    Exempt(String),
}

impl TaxIn {
    /// As a shop charges, the customer's terms in it.
    pub fn of(shop: &Shop) -> Self {
        let rates = [shop.tax_on_labour, shop.tax_on_parts, shop.tax_on_supplies];
        if !shop.terms.exempt.is_empty() {
            Self::Exempt(shop.terms.exempt.clone())
        } else if rates.iter().any(|r| *r > Decimal::ZERO) {
            Self::Included
        } else {
            Self::NoneCharged
        }
    }

    /// In a sentence; empty where nothing is to be said.
    pub fn words(&self) -> String {
        match self {
            Self::NotSaid | Self::NoneCharged => String::new(),
            Self::Included => "Sales tax is in all amounts.".to_owned(),
            Self::Exempt(why) => format!("No sales tax: {why}."),
        }
    }
}
