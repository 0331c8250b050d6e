//! Why a contract cannot be kept: what its musts need, what there is, and what would make it fit.

use crate::bare::{Bench, Problem};
use crate::model::{Contract, Horn, Standing};
use crate::posed::problem;
use crate::solve::{Ask, solve};
use rust_decimal::Decimal;
use serde::Serialize;

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trouble {
    /// Whether it is certain that none can be; else none was found in the time given.
    pub certain: bool,
    /// Instruments that must be done.
    pub musts: usize,
    /// The dearest of them by their cheapest offer: tag and money.
    pub dearest: Vec<(String, Decimal)>,
    /// What the cheapest offers of all of them cost, tools apart.
    pub least_cost: Decimal,
    /// What there is.
    pub budget: Decimal,
    /// What the shortest offers of all of them take on the quickest bench that can, minutes.
    pub least_min: f64,
    /// What the benches have until the deadline.
    pub there_min: f64,
    /// Musts that no bench has the skill for.
    pub nobody: Vec<String>,
    /// With the benches as they are: the budget that would do; none where none would.
    pub budget_needed: Option<Decimal>,
    /// With the budget as it is: by how much all benches' hours would have to grow; none where no hours would do.
    pub hours_needed: Option<f64>,
}

/// Whether the musts alone hold in a problem with another budget and other minutes.
fn musts_hold(problem: &Problem, budget: Decimal, k: f64) -> bool {
    let mut p = problem.clone();
    p.budget = budget;
    p.benches = p.benches.iter().map(|b| Bench { id: b.id.clone(), minutes: b.minutes * k }).collect();
    p.instruments.retain(|i| i.must);
    // Only whether: the cheapest is worth most.
    let most = p.instruments.iter().flat_map(|i| &i.options).map(|o| o.cost).max().unwrap_or_default();
    for o in p.instruments.iter_mut().flat_map(|i| &mut i.options) {
        o.value = f64::try_from(most - o.cost).unwrap_or(0.0);
    }
    solve(&p, &Ask { nodes: 3_000, gap: 1.0, start: None }, &|| true, &mut |_| {}).answer.is_some()
}

/// Whether an instrument has to be done: the contract's minimum is owed, or the customer agreed to it.
fn binds(contract: &Contract, horn: &Horn) -> bool {
    match horn.standing {
        Standing::Done { .. } => false,
        Standing::Agreed { .. } => true,
        Standing::Open | Standing::Begun { .. } => horn.owed(contract.minimum),
    }
}

pub(crate) fn trouble(contract: &Contract, there: &[f64], certain: bool) -> Trouble {
    let part = crate::likely::stretch(
        &there
            .iter()
            .filter(|t| **t > 0.0)
            .map(|t| crate::likely::Load { mean_min: *t, variance: (0.05 * t).powi(2), there_min: *t })
            .collect::<Vec<_>>(),
        contract.spread,
        contract.likelihood,
    );
    let given: Vec<f64> = there.iter().map(|t| t * part.min(1.0)).collect();
    let p = problem(contract, &given);
    let musts: Vec<_> = p.instruments.iter().filter(|i| i.must).collect();
    let cheapest = |i: &crate::bare::Instrument| i.options.iter().map(|o| o.cost).min().unwrap_or_default();
    let shortest = |i: &crate::bare::Instrument| i.options.iter().flat_map(|o| o.minutes.values().copied()).reduce(f64::min);
    let mut dearest: Vec<(String, Decimal)> = musts.iter().map(|i| (i.id.clone(), cheapest(i))).collect();
    dearest.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    dearest.truncate(5);
    let all = Decimal::from(1_000_000_000);
    let nobody: Vec<String> = musts.iter().filter(|i| shortest(i).is_none()).map(|i| i.id.clone()).collect();
    let budget_needed = (nobody.is_empty() && musts_hold(&p, all, 1.0)).then(|| {
        let (mut low, mut high) = (
            Decimal::ZERO,
            musts.iter().flat_map(|i| &i.options).map(|o| o.cost).sum::<Decimal>() + p.tools.iter().map(|t| t.cost).sum::<Decimal>(),
        );
        while high - low > Decimal::from(5) {
            let middle = (low + high) / Decimal::TWO;
            if musts_hold(&p, middle, 1.0) { high = middle } else { low = middle }
        }
        (contract.spent() + high).ceil()
    });
    let hours_needed = (nobody.is_empty() && musts_hold(&p, p.budget, 100.0)).then(|| {
        let (mut low, mut high) = (0.0, 100.0);
        while high - low > 0.01 {
            let middle = 0.5 * (low + high);
            if musts_hold(&p, p.budget, middle) { high = middle } else { low = middle }
        }
        high
    });
    Trouble {
        certain,
        musts: contract.horns.iter().filter(|h| binds(contract, h)).count(),
        dearest,
        least_cost: musts.iter().map(|i| cheapest(i)).sum(),
        budget: p.budget,
        least_min: musts.iter().filter_map(|i| shortest(i)).sum(),
        there_min: there.iter().sum(),
        nobody,
        budget_needed,
        hours_needed,
    }
}

impl Trouble {
    /// In plain words, a sentence each.
    pub fn words(&self, currency: &str) -> Vec<String> {
        use units::duration::show_minutes;
        use units::money::show_whole;
        let mut words = vec![if self.certain {
            format!("The {} instruments that must be done do not fit.", self.musts)
        } else {
            format!("No plan was found in which the {} instruments that must be done fit.", self.musts)
        }];
        if !self.nobody.is_empty() {
            words.push(format!("No bench has the skills for {}. Give a bench the skill, or take the must off.", self.nobody.join(", ")));
        }
        words.push(format!(
            "Their cheapest repairs cost {} without tools. There is {}.",
            show_whole(self.least_cost, currency),
            show_whole(self.budget, currency)
        ));
        words.push(format!(
            "Their shortest repairs take {} in all. The benches have {}, reserve and all.",
            show_minutes(self.least_min),
            show_minutes(self.there_min)
        ));
        if !self.dearest.is_empty() {
            let dearest: Vec<String> = self.dearest.iter().map(|(tag, cost)| format!("{tag} {}", show_whole(*cost, currency))).collect();
            words.push(format!("The dearest: {}.", dearest.join(", ")));
        }
        match (self.budget_needed, self.hours_needed) {
            (Some(b), _) if b > self.budget => {
                words.push(format!("It would fit with a budget of {} and the same benches.", show_whole(b, currency)))
            }
            (_, Some(k)) if k > 1.0 => {
                words.push(format!("It would fit with {:.0} % more bench time and the same budget.", (k - 1.0) * 100.0))
            }
            (None, None) => words.push("More of one alone would not do: it takes more money and more bench time.".to_owned()),
            _ => {}
        }
        words
    }
}
