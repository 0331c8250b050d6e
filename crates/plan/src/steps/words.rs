//! How the bench says it.

use instrument::ConditionKind;
use reach::Method;

/// A size for the bench: hundredths where there are any.
pub fn mm(size: f64) -> String {
    let text = format!("{size:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A reason that another may follow: with its full stop.
pub fn sentence(text: &str) -> String {
    if text.is_empty() || text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}

/// How a method is said on the bench.
pub fn method_words(method: Method) -> &'static str {
    match method {
        Method::StraightRod => "straight rod from inside",
        Method::CurvedRod => "curved rod from inside",
        Method::Mandrel => "drawn on a mandrel and rubbed down",
        Method::BallTrain => "balls driven through",
        Method::Rolling => "rolled from outside over a support",
        Method::Hammering => "hammered from outside over a support",
        Method::Magnet => "steel ball and magnet",
        Method::PullOutside => "pulled from outside by a soldered stud",
        Method::Burnishing => "burnished from inside",
        Method::Expander => "expanding plug turned out inside",
        Method::DrawRing => "drawn through a ring over a mandrel",
        Method::FilledBend => "raised, then filled and worked from outside over the fill",
        Method::Raising => "raised on a stake from inside",
    }
}

/// What a condition is.
pub fn condition_words(kind: ConditionKind) -> &'static str {
    match kind {
        ConditionKind::RedRot => "red rot",
        ConditionKind::SeasonCracking => "season cracking",
        ConditionKind::Crack => "a crack",
        ConditionKind::Hole => "a hole",
        ConditionKind::Thin => "thin wall",
    }
}

/// "dent a", "dents a, b and c".
pub fn dents_words(dents: &[&str]) -> String {
    match dents {
        [] => "no dent".to_owned(),
        [one] => format!("dent {one}"),
        [all @ .., last] => format!("dents {} and {last}", all.join(", ")),
    }
}
