//! Whether the metal is softened before it is worked.

use crate::case::Case;
use dent::{Advice, Assessment};

/// Whether nobody works the metal cold: folded sharp, wanting anneals between its passes, or likelier to crack than is accepted where
/// nothing gentler is left. Below that an anneal saves some risk of a crack and costs its minutes, the finish that it burns and what
/// lets go in it: the choice weighs both. That the middle of what the metal bears is used up is no limit of its own: how likely a crack
/// is says the same with the scatter.
pub fn spent(a: &Assessment) -> bool {
    a.advice == Advice::AnnealBetweenPasses || a.form == dent::Form::VShaped || !(a.crack_likelihood.value <= dent::ACCEPTED_AT_LAST)
}

/// Whether a person or the assessment wants the metal softened. The assessment never does where the part must stay hard; a person may.
pub fn advised(case: &Case, a: &Assessment) -> bool {
    let hard = case.run(&a.run).is_some_and(|r| r.role.must_stay_hard());
    case.overrules.anneal(&a.dent).is_some() || (!hard && matches!(a.advice, Advice::AnnealFirst | Advice::AnnealBetweenPasses))
}

/// Whether the metal may be softened: where that is advised, and where cold no tool of the rack gives the force and the part may go
/// soft.
pub fn anneals(case: &Case, a: &Assessment) -> bool {
    let hard = case.run(&a.run).is_some_and(|r| r.role.must_stay_hard());
    advised(case, a) || (!hard && case.reach(&a.dent).is_some_and(|w| !w.after_anneal.is_empty() && !reach::brought_back(&w.methods)))
}
