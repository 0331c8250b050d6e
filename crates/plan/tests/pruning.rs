//! Leaving dominated methods out costs no plan anything: 300 random instruments, planned with all methods and with those that
//! are left.

use fixtures::{Dice, dents_anywhere, pattern, rack, survey};
use instrument::Kind;
use plan::{Overrules, Standards};

#[test]
fn no_plan_is_dearer_for_what_is_left_out() {
    const KINDS: [Kind; 6] = [Kind::Trumpet, Kind::Trombone, Kind::Horn, Kind::Euphonium, Kind::Tuba, Kind::Flugelhorn];
    let (mut dice, mut fewer) = (Dice(41), 0);
    for turn in 0..300 {
        let instrument = pattern(KINDS[turn % KINDS.len()]);
        let count = 1 + dice.below(3);
        let dents = dents_anywhere(&mut dice, &instrument, count, |dice, bore, of| {
            let depth = dice.between(0.02, 0.3) * bore.min(60.0);
            let width = dice.between(0.4, 1.0) * bore;
            of(depth, width.clamp(5.0, 60.0), (0.8 * width).clamp(5.0, 45.0))
        });
        let mut survey = survey(instrument, dents);
        survey.wishes.keep_finish = turn % 4 == 0;
        let mut standards = Standards::common_practice();
        // Shops differ: what a method is worth against another does too.
        standards.labour_per_hour = dice.between(30.0, 140.0);
        standards.untrue_place = dice.between(5.0, 200.0);
        let assessments = dent::assess_all(&survey);
        let rack = rack();
        let heats = plan::Heats::new(&survey.instrument, &rack);
        let none = Overrules::default();
        let cost = |keep_dominated: bool| {
            let mut constraints = none.constraints(&survey);
            constraints.keep_dominated = keep_dominated;
            let methods = reach::methods_within(&survey, &assessments, &rack, &constraints);
            let count: usize = methods.iter().map(|w| w.methods.len() + w.after_anneal.len()).sum();
            // The cost that the choice goes by, wishes and advice in it.
            let choice = plan::choice(&survey, &assessments, &methods, &heats, &standards, &none);
            (choice.solve().unwrap_or_else(|| unreachable!("every dent may stay")).cost, count)
        };
        let ((with, few), (without, all)) = (cost(false), cost(true));
        assert!(with <= without + 1e-6 * without.abs().max(1.0), "turn {turn}: {with} with {few} ways, {without} with {all}");
        fewer += all - few;
    }
    assert!(fewer > 300, "only {fewer} ways are left out: the test says little");
}
