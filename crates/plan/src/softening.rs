//! Whether the metal is softened before it is worked.

use crate::case::Case;
use dent::{Advice, Assessment};

/// Whether the metal is used up cold: its ductility spent by what lies behind it and the way back, folded sharp, or likelier to crack
/// than is accepted where nothing gentler is left. Below that an anneal only saves some risk, and the choice weighs what it costs. (Weighed
/// beyond that by money alone, two of a horn's dents went cold at one crack in five each: nobody signs that for the price of an anneal.)
pub fn spent(a: &Assessment) -> bool {
    let used_up = !(a.ductility_used.value < 1.0) || !(a.crack_likelihood.value <= dent::ACCEPTED_AT_LAST);
    a.advice == Advice::AnnealBetweenPasses || a.form == dent::Form::VShaped || used_up
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
