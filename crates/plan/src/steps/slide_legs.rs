//! Which moving fits are one slide: two legs on one crook are freed, trued and tried together.

use instrument::{FitKind, Instrument, JointId, MovingFit, RunId};

/// The fits of an instrument by their places in it, those of one slide together, in the order of the first of each.
pub fn slides(instrument: &Instrument) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (i, fit) in instrument.fits.iter().enumerate() {
        let with = groups.iter_mut().find(|g| g.iter().any(|k| one_slide(instrument, &instrument.fits[*k], fit)));
        match with {
            Some(group) => group.push(i),
            None => groups.push(vec![i]),
        }
    }
    groups
}

/// Whether two fits are the legs of one slide: what moves, or what is moved over it, ends on the same crook.
fn one_slide(instrument: &Instrument, a: &MovingFit, b: &MovingFit) -> bool {
    let legs = |f: &MovingFit| matches!(f.kind, FitKind::TuningSlide | FitKind::HandSlide);
    let on_one_crook = |x: &RunId, y: &RunId| x == y || crooks(instrument, x).iter().any(|c| crooks(instrument, y).contains(c));
    a.kind == b.kind && legs(a) && (on_one_crook(&a.inner, &b.inner) || on_one_crook(&a.outer, &b.outer))
}

/// The crooks at the ends of a run.
fn crooks(instrument: &Instrument, run: &RunId) -> Vec<RunId> {
    use instrument::Role;
    let crook = |id: &RunId| instrument.run(id).is_some_and(|r| matches!(r.role, Role::TuningSlideCrook | Role::HandSlideCrook));
    let other = |j: &instrument::Joint| match () {
        () if j.a.run == *run => Some(j.b.run.clone()),
        () if j.b.run == *run => Some(j.a.run.clone()),
        () => None,
    };
    instrument.joints.iter().filter_map(other).filter(crook).collect()
}

/// What the bench calls the fits of one slide together: "tuning slide, both legs" for the legs of one, else their names.
pub fn name(fits: &[&MovingFit]) -> String {
    let names: Vec<&str> = fits.iter().map(|f| f.name.as_str()).collect();
    match names[..] {
        [one] => one.to_owned(),
        [a, b] => {
            let shared: Vec<&str> = a.split(' ').zip(b.split(' ')).take_while(|(x, y)| x == y).map(|(x, _)| x).collect();
            if shared.is_empty() { format!("{a} and {b}") } else { format!("{}, both legs", shared.join(" ")) }
        }
        _ => names.join(", "),
    }
}

/// The joint at which the first of some fits runs.
pub fn joint(instrument: &Instrument, fits: &[&MovingFit]) -> Option<JointId> {
    let (inner, outer) = fits.first().map(|f| (&f.inner, &f.outer))?;
    let joins = |j: &&instrument::Joint| (j.a.run == *inner && j.b.run == *outer) || (j.a.run == *outer && j.b.run == *inner);
    instrument.joints.iter().find(joins).map(|j| j.id.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use fixtures::pattern;
    use instrument::Kind;

    /// What a repairer counts: a trumpet of three valves has four slides, a tuba of four has five, a trombone its hand slide and its
    /// tuning slide, each with two legs; a piston is a fit by itself.
    #[test]
    fn two_legs_are_one_slide() {
        for (kind, wanted) in [(Kind::Trumpet, 4), (Kind::Tuba, 5), (Kind::Trombone, 2)] {
            let instrument = pattern(kind);
            let groups = slides(&instrument);
            let is_slide = |g: &&Vec<usize>| matches!(instrument.fits[g[0]].kind, FitKind::TuningSlide | FitKind::HandSlide);
            let of_slides: Vec<&Vec<usize>> = groups.iter().filter(is_slide).collect();
            assert!(of_slides.len() == wanted && of_slides.iter().all(|g| g.len() == 2), "{kind:?}: {groups:?}");
            let mut all: Vec<usize> = groups.concat();
            all.sort_unstable();
            assert_eq!(all, (0..instrument.fits.len()).collect::<Vec<_>>(), "{kind:?}");
        }
    }

    #[test]
    fn a_slide_is_called_by_its_name() {
        let instrument = pattern(Kind::Trumpet);
        let leg = |id: &str| instrument.fits.iter().find(|f| f.id.0 == id).unwrap();
        let both = [leg("tuning-slide-first-leg"), leg("tuning-slide-second-leg")];
        assert_eq!((name(&both), name(&both[..1])), ("tuning slide, both legs".to_owned(), "tuning slide first leg".to_owned()));
        assert_eq!(joint(&instrument, &both), joint(&instrument, &both[..1]));
    }
}
