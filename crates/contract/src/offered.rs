//! The offers of all instruments of a contract, worked out on all cores.

use crate::model::{Contract, Standing};
use crate::offers::Offered;
use crate::tax_in::TaxIn;
use instrument::Survey;
use quote::Shop;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Why the offers of a contract were not worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unworked {
    /// Whoever asked said stop.
    Stopped,
    /// What was done or begun is none of its instrument's offers: a sentence each.
    NoSuchOffer(Vec<String>),
}

/// Puts the offers of its instruments into a contract, with the tools that they name and the shop's name, currency and limit.
/// `surveys` and `plays` stand in the order of its instruments; `offers_of` works an instrument's offers out; `progress` is
/// told how many are worked out.
///
/// # Errors
/// Where whoever asked said stop, or what was done or begun is none of its instrument's offers.
pub fn work_out(
    mut contract: Contract,
    surveys: &[Survey],
    plays: &[Option<bool>],
    shop: &Shop,
    offers_of: &(dyn Fn(&Survey) -> Offered + Sync),
    keep_going: &(dyn Fn() -> bool + Sync),
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Contract, Unworked> {
    contract.shop.clone_from(&shop.name);
    contract.currency.clone_from(&shop.currency);
    contract.tax = TaxIn::of(shop);
    contract.advise_against_above = shop.advise_against_above;
    let done = AtomicUsize::new(0);
    let offered: Option<Vec<Offered>> = surveys
        .par_iter()
        .map(|survey| {
            let offered = keep_going().then(|| offers_of(survey))?;
            progress(done.fetch_add(1, Ordering::Relaxed) + 1);
            Some(offered)
        })
        .collect();
    let offered = offered.ok_or(Unworked::Stopped)?;
    for ((horn, offered), plays) in contract.horns.iter_mut().zip(offered).zip(plays) {
        horn.plays = plays.unwrap_or(offered.plays);
        horn.offers = offered.offers;
        for tool in offered.tools {
            if !contract.tools.iter().any(|t| t.id == tool.id) {
                contract.tools.push(tool);
            }
        }
    }
    let stands = |s: &Standing| match s {
        Standing::Done { level, .. } | Standing::Begun { level, .. } | Standing::Agreed { level } => Some(*level),
        Standing::Open => None,
    };
    // What was done or begun has had its tools made.
    let worked = |s: &Standing| stands(s).filter(|_| !matches!(s, Standing::Agreed { .. }));
    let made: Vec<String> = contract.horns.iter().filter_map(|h| h.offer(worked(&h.standing)?)).flat_map(|o| o.tools.clone()).collect();
    contract.tools.iter_mut().filter(|t| made.contains(&t.id)).for_each(|t| t.there = true);
    // They were paid from the budget, at what they cost now where nobody knows better.
    contract.tools_paid = contract.tools.iter().filter(|t| t.there).map(|t| t.cost).sum();
    let without: Vec<String> = contract
        .horns
        .iter()
        .filter_map(|h| stands(&h.standing).filter(|l| h.offer(*l).is_none()).map(|l| (h, l)))
        .map(|(h, level)| {
            format!(
                "{}: its survey gives no offer “{}” that could be agreed, done or begun. To mend it: look at its dents, its job, and its row in the table of what is done.",
                h.tag,
                level.key()
            )
        })
        .collect();
    if without.is_empty() { Ok(contract) } else { Err(Unworked::NoSuchOffer(without)) }
}
