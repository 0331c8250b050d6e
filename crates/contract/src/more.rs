//! What more money or time buys, and what a change of the plan changes.

use crate::assigned::Assigned;
use crate::model::{Contract, Day, Standing};
use crate::planning::{Effort, Planned, plan};
use crate::posed::key;
use crate::schedule::Visit;
use crate::solve::Choices;
use plan::Level;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What became of an instrument between two plans.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// Its tag.
    pub tag: String,
    /// Offer, bench and first day before; none: it was left.
    pub before: Option<Place>,
    /// The same after.
    pub after: Option<Place>,
}

/// Where an instrument stands in a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// The offer.
    pub level: Level,
    /// The bench.
    pub bench: String,
    /// The day on which its work begins (ISO 8601); none where it lies beyond the days that are planned.
    pub day: Option<String>,
}

impl Change {
    /// Whether more than the day changes.
    pub fn is_of_substance(&self) -> bool {
        let of = |p: &Option<Place>| p.as_ref().map(|p| (p.level, p.bench.clone()));
        of(&self.before) != of(&self.after)
    }
}

/// What a plan is compared by: an earlier one as it was written down.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Earlier {
    /// What was to be done.
    pub assigned: Vec<Assigned>,
    /// When.
    pub visits: Vec<Visit>,
}

impl Earlier {
    /// Its choices, to begin another search with.
    pub fn choices(&self) -> Choices {
        self.assigned.iter().map(|a| (a.tag.clone(), (key(a.level), a.bench.clone()))).collect()
    }
}

fn place(assigned: &[Assigned], visits: &[Visit], tag: &str) -> Option<Place> {
    let a = assigned.iter().find(|a| a.tag == tag)?;
    let visit = visits.iter().find(|v| v.tag == tag && v.tool.is_none());
    let day = visit.and_then(|v| v.when.first()).map(|s| s.date.clone());
    Some(Place { level: a.level, bench: a.bench.clone(), day })
}

/// What changes from one plan to another, in the order of the instruments; what stays is not in it.
pub fn difference(contract: &Contract, before: &Planned, after: &Planned) -> Vec<Change> {
    changes(contract, (&before.assigned, &before.visits), after)
}

/// What changes from an earlier plan that was written down. What was done since has no place in the plan any more: it is no
/// change.
pub fn since(contract: &Contract, before: &Earlier, after: &Planned) -> Vec<Change> {
    let open = |c: &Change| contract.horn(&c.tag).is_none_or(|h| !matches!(h.standing, Standing::Done { .. }));
    changes(contract, (&before.assigned, &before.visits), after).into_iter().filter(open).collect()
}

fn changes(contract: &Contract, before: (&[Assigned], &[Visit]), after: &Planned) -> Vec<Change> {
    let of = |tag: &str| Change {
        tag: tag.to_owned(),
        before: place(before.0, before.1, tag),
        after: place(&after.assigned, &after.visits, tag),
    };
    contract.horns.iter().map(|h| of(&h.tag)).filter(|c| c.before != c.after).collect()
}

/// What could be added.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Added {
    /// Money.
    Money {
        /// So much.
        amount: Decimal,
    },
    /// One more day at a bench.
    BenchDay {
        /// The bench.
        bench: String,
    },
    /// Another week at all benches.
    Week,
}

impl Added {
    /// What is asked of a contract as a rule: $100 and $1,000 more, one more day of each bench, a week more for all.
    pub fn usual(contract: &Contract) -> Vec<Self> {
        let mut all = vec![Self::Money { amount: Decimal::ONE_HUNDRED }, Self::Money { amount: Decimal::ONE_THOUSAND }];
        all.extend(contract.benches.iter().map(|b| Self::BenchDay { bench: b.id.clone() }));
        all.push(Self::Week);
        all
    }
}

/// What an addition buys.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bought {
    /// What is added.
    pub added: Added,
    /// Points gained.
    pub points: f64,
    /// Instruments that then get more than before.
    pub more: Vec<Change>,
    /// Instruments that then get less.
    pub less: Vec<Change>,
    /// Whether its search was ended before its end: it buys at least so much.
    #[serde(default)]
    pub cut: bool,
}

/// A contract with something added. A day more is one as long as the bench's longest; its date is not known to this crate, so it stands
/// as the last one again.
pub fn with(contract: &Contract, added: &Added) -> Contract {
    let mut c = contract.clone();
    let mut lengthen = |id: Option<&str>, days: usize| {
        for b in c.benches.iter_mut().filter(|b| id.is_none_or(|id| b.id == id)) {
            let longest = b.days.iter().map(|d| d.minutes).fold(0.0, f64::max);
            if let Some(last) = b.days.last().cloned() {
                b.days.extend(std::iter::repeat_n(Day { minutes: longest, ..last }, days));
            }
        }
    };
    match added {
        Added::Money { amount } => c.budget += amount,
        Added::BenchDay { bench } => lengthen(Some(bench), 1),
        Added::Week => lengthen(None, 5),
    }
    c
}

/// What each addition buys, searched from the plan that stands; more money from what less money bought, which it buys too. Where whoever
/// asks says stop, what was found so far is [cut](Bought::cut), and what comes after it is not in the list.
pub fn what_more_buys(contract: &Contract, planned: &Planned, all: &[Added], keep_going: &(dyn Fn() -> bool + Sync)) -> Vec<Bought> {
    let mut bought = Vec::new();
    // The best that was bought with less money: it keeps everything that a plan with more must keep.
    let mut with_less: Option<(Decimal, Planned)> = None;
    for added in all {
        if !keep_going() {
            break;
        }
        let more = with(contract, added);
        let cheaper =
            with_less.as_ref().filter(|(had, _)| matches!(added, Added::Money { amount } if amount >= had)).map(|(_, found)| found);
        let start = cheaper.unwrap_or(planned).choices();
        let effort = Effort { nodes: 10_000, gap: 1e-4, start: Some(&start), before: None };
        let Ok(found) = plan(&more, &effort, keep_going, &mut |_| {}) else { continue };
        let cut = !keep_going();
        let then = cheaper.filter(|cheaper| cheaper.value > found.value).cloned().unwrap_or(found);
        if let Added::Money { amount } = added {
            with_less = Some((*amount, then.clone()));
        }
        // What staying near the plan before costs is not bought by more money or time.
        let had = planned.value + planned.for_staying;
        if then.value <= had {
            // Another plan of the same worth is nothing bought.
            bought.push(Bought { added: added.clone(), points: 0.0, more: vec![], less: vec![], cut });
            continue;
        }
        let value = |p: &Planned, tag: &str| p.of(tag).map_or(0.0, |a| a.value);
        let changes = difference(contract, planned, &then);
        let (more, rest): (Vec<Change>, Vec<Change>) = changes.into_iter().partition(|c| value(&then, &c.tag) > value(planned, &c.tag));
        let less = rest.into_iter().filter(|c| value(&then, &c.tag) < value(planned, &c.tag)).collect();
        bought.push(Bought { added: added.clone(), points: then.value - had, more, less, cut });
    }
    bought
}
