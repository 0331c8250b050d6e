//! What is wrong with work that is asked for by name: whether the places that it names are there. Whether the shop knows such a job,
//! only the shop can say.

use crate::problem::Found;
use crate::work::MOST_TIMES;
use crate::{JointKind, Survey, Work};

pub(super) fn work(found: &mut Found, survey: &Survey, one: &Work) {
    let whose = format!("work {}", one.id);
    let path = |field: &str| format!("works.{}.{field}", one.id);
    if one.job.trim().is_empty() {
        found.error(path("job"), format!("{whose} names no job"), "write the key of a job of the shop's list, like job = \"clean_inside\"");
    }
    if one.count == 0 || one.count > MOST_TIMES {
        found.error(
            path("count"),
            format!("{whose}: {} times is not possible", one.count),
            format!("write a count from 1 to {MOST_TIMES}, or leave it out for one"),
        );
    }
    if let Some(run) = one.run.as_ref().filter(|r| survey.instrument.run(r).is_none()) {
        found.error(path("run"), format!("{whose}: there is no run “{run}”"), super::run_hint(&survey.instrument, run));
    }
    match one.joint.as_ref().map(|id| (id, survey.instrument.joint(id))) {
        Some((id, None)) => found.error(path("joint"), format!("{whose}: there is no joint “{id}”"), "name a joint of the instrument"),
        Some((id, Some(joint))) if joint.kind == JointKind::Fixed => found.error(
            path("joint"),
            format!("{whose}: the joint “{id}” is made of one piece"),
            "name a joint that comes apart, or leave it out",
        ),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::check::work_problems;
    use crate::patterns::pattern;
    use crate::{Kind, Survey, Work};

    #[test]
    fn what_cannot_be_is_said_of_its_field() {
        let survey = Survey::of(pattern(Kind::Trumpet).unwrap());
        let says = |w: &Work| work_problems(&survey, w).into_iter().map(|p| p.path).collect::<Vec<_>>();
        let fine = Work { run: Some(survey.instrument.runs[0].id.clone()), ..Work::new("w1", "clean_inside") };
        assert!(says(&fine).is_empty());
        let wrong = Work { count: 41, run: Some("nowhere".into()), joint: Some("nothing".into()), ..Work::new("w2", " ") };
        assert_eq!(says(&wrong), ["works.w2.job", "works.w2.count", "works.w2.run", "works.w2.joint"]);
        assert_eq!(says(&Work { count: 0, ..fine }), ["works.w1.count"]);
    }
}
