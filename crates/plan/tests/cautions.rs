//! Cautions stand where the hazard is: the table of hazards and facts, case by case; plans in which each stands and in which it does
//! not; and whatever the damage, each flame has its cautions and nothing else has them.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test's helpers fail the test")]

#[path = "common/case.rs"]
mod case;

use case::{Bench, bent_tube, overrule, plan_of};
use fixtures::{Dice, conditions_anywhere, cracked, creased, dent, dents_anywhere, pattern, survey};
use instrument::{Condition, ConditionKind, Finish, FitState, Instrument, JointKind, Kind, OverlayKind};
use metal::{Fill, Filler};
use plan::caution::{Act, Facts};
use plan::{Caution, Decision, Level, Overrules, Plan, Step, StepKind};
use reach::MethodKind;

fn does(acts: &[Act]) -> Facts {
    Facts { acts: acts.to_vec(), ..Facts::default() }
}

fn flame() -> Facts {
    does(&[Act::LightsFlame])
}

/// Each hazard, facts that raise it, and facts close to them that must not.
#[allow(clippy::too_many_lines, reason = "a table")]
fn table() -> Vec<(Caution, Vec<Facts>, Vec<Facts>)> {
    use Caution as C;
    let near = |filler: Filler| Facts { fillers: vec![filler], ..flame() };
    let flows = |filler: Filler| Facts { fluxed: vec![filler], ..flame() };
    let cold = |filler: Filler| Facts { fillers: vec![filler], ..Facts::default() };
    let hot = |finish: Finish| Facts { heated: vec![finish], ..flame() };
    let cut = |act: Act, finish: Finish| Facts { abraded: vec![finish], ..does(&[act]) };
    let renewed = |finish: Finish| Facts { renewed: vec![finish], ..Facts::default() };
    let fill = |fill: Fill| Facts { fill: Some(fill), ..Facts::default() };
    let beryllium = |f: Facts| Facts { may_be_beryllium: true, ..f };
    let flush = Facts::default;
    vec![
        (C::Flame, vec![flame()], vec![flush(), fill(Fill::Pitch), does(&[Act::Strikes])]),
        (C::GasCylinder, vec![flame()], vec![flush(), fill(Fill::Alloy95)]),
        (C::FireWatch, vec![flame()], vec![flush(), does(&[Act::Buffs])]),
        (C::Ventilation, vec![flame(), fill(Fill::Alloy70), does(&[Act::Dissolves])], vec![flush(), does(&[Act::Strikes])]),
        (
            C::PenetratingOil,
            vec![Facts { flame_in_plan: true, ..does(&[Act::Oils]) }, Facts { oiled: true, ..flame() }],
            vec![does(&[Act::Oils]), flame(), Facts { oiled: true, ..does(&[Act::Levers]) }],
        ),
        // Unknown counts as leaded or cadmium-bearing; scraped off cold as well as heated.
        (
            C::Lead,
            vec![near(Filler::UnknownSoft), near(Filler::Sn60Pb40), near(Filler::Sn63Pb37), cold(Filler::UnknownSoft)],
            vec![near(Filler::Sn96Ag4), near(Filler::Sn95Sb5), near(Filler::UnknownSilver), flame(), flush()],
        ),
        (
            C::Cadmium,
            vec![near(Filler::UnknownSilver), near(Filler::Bag1), cold(Filler::Bag1)],
            vec![near(Filler::Bag5), near(Filler::Bag7), near(Filler::UnknownSoft), flame(), flush()],
        ),
        (
            C::SolderFlux,
            vec![flows(Filler::Sn96Ag4), flows(Filler::UnknownSoft)],
            vec![flows(Filler::Bag5), near(Filler::Sn96Ag4), flush()],
        ),
        (C::BrazeFlux, vec![flows(Filler::Bag5), flows(Filler::UnknownSilver)], vec![flows(Filler::Sn96Ag4), near(Filler::Bag5), flush()]),
        // Flushing with hot water is no acid, nor is soft solder's flux, nor an anneal.
        (C::Acid, vec![flows(Filler::Bag5), flows(Filler::Bag1)], vec![flush(), flows(Filler::Sn60Pb40), flame()]),
        (
            C::Chromium,
            vec![
                hot(Finish::ChromePlate),
                cut(Act::Buffs, Finish::ChromePlate),
                cut(Act::Files, Finish::ChromePlate),
                cut(Act::Drills, Finish::ChromePlate),
            ],
            vec![hot(Finish::NickelPlate), cut(Act::Levers, Finish::ChromePlate), cut(Act::Buffs, Finish::SilverPlate), flush()],
        ),
        (
            C::Beryllium,
            vec![beryllium(flame()), beryllium(does(&[Act::Buffs])), beryllium(does(&[Act::Files])), beryllium(does(&[Act::Drills]))],
            vec![beryllium(does(&[Act::DrivesBall])), flame(), does(&[Act::Buffs])],
        ),
        (C::LacquerFume, vec![hot(Finish::Lacquer)], vec![hot(Finish::Raw), hot(Finish::SilverPlate), renewed(Finish::Lacquer)]),
        (C::LacquerStripper, vec![hot(Finish::Lacquer), renewed(Finish::Lacquer)], vec![hot(Finish::Raw), renewed(Finish::SilverPlate)]),
        (C::LacquerSpray, vec![renewed(Finish::Lacquer)], vec![hot(Finish::Lacquer), renewed(Finish::GoldPlate), does(&[Act::Buffs])]),
        (
            C::Plating,
            [Finish::SilverPlate, Finish::GoldPlate, Finish::NickelPlate, Finish::ChromePlate].map(renewed).into(),
            vec![renewed(Finish::Lacquer), renewed(Finish::Raw), hot(Finish::SilverPlate)],
        ),
        (C::Solvent, vec![does(&[Act::Dissolves])], vec![flush(), fill(Fill::Alloy95)]),
        (
            C::Eyes,
            [Act::LightsFlame, Act::Strikes, Act::Levers, Act::DrivesBall, Act::PullsCable, Act::Presses, Act::Turns, Act::BlowsAir]
                .into_iter()
                .chain([Act::Drills, Act::Files, Act::Buffs])
                .map(|a| does(&[a]))
                .chain([fill(Fill::Pitch)])
                .collect(),
            vec![flush(), does(&[Act::Plays]), does(&[Act::UsesMagnet])],
        ),
        (C::Hearing, vec![does(&[Act::Strikes])], vec![does(&[Act::DrivesBall]), does(&[Act::Levers]), flame()]),
        (C::Vise, vec![does(&[Act::HoldsInVise])], vec![does(&[Act::DrivesBall]), flush()]),
        (C::FlyingTool, vec![does(&[Act::Levers])], vec![does(&[Act::Strikes]), does(&[Act::UsesMagnet])]),
        (C::DrivenBall, vec![does(&[Act::DrivesBall])], vec![does(&[Act::Levers]), does(&[Act::UsesMagnet])]),
        (C::Press, vec![does(&[Act::Presses])], vec![does(&[Act::DrivesBall]), does(&[Act::PullsCable])]),
        (C::Cable, vec![does(&[Act::PullsCable])], vec![does(&[Act::DrivesBall]), does(&[Act::Presses])]),
        (C::Magnet, vec![does(&[Act::UsesMagnet])], vec![does(&[Act::DrivesBall]), flush()]),
        (C::CompressedAir, vec![does(&[Act::BlowsAir])], vec![does(&[Act::Plays]), flush()]),
        (C::SmallParts, vec![does(&[Act::Drills]), does(&[Act::Files])], vec![does(&[Act::Buffs]), does(&[Act::Turns])]),
        (C::Dust, vec![does(&[Act::Buffs])], vec![does(&[Act::Drills]), flame()]),
        (C::Lathe, vec![does(&[Act::Turns])], vec![does(&[Act::Files]), does(&[Act::Buffs])]),
        (C::Splinter, vec![Facts { brittle: true, ..flush() }], vec![flush(), does(&[Act::Strikes])]),
        (C::MoltenFill, Fill::ALL.map(fill).into(), vec![flush(), flame()]),
        (
            C::FillLead,
            vec![fill(Fill::Alloy70), fill(Fill::Alloy95), fill(Fill::Alloy124)],
            vec![fill(Fill::Pitch), near(Filler::UnknownSoft)],
        ),
        (C::FillCadmium, vec![fill(Fill::Alloy70)], vec![fill(Fill::Alloy95), fill(Fill::Pitch), near(Filler::Bag1)]),
        (C::HotPitch, vec![fill(Fill::Pitch)], vec![fill(Fill::Alloy70), fill(Fill::Alloy95), flush()]),
        (C::LetsGo, vec![Facts { lets_go: true, ..flame() }], vec![flame(), Facts { lets_go: true, ..flush() }]),
        (C::WeakTorch, vec![Facts { too_weak: true, ..flame() }], vec![flame(), flush()]),
        (C::FinishWanted, vec![Facts { spoils_wanted: true, ..flame() }], vec![flame(), hot(Finish::SilverPlate)]),
        (
            C::Rinse,
            vec![Facts { residue: true, ..does(&[Act::Plays]) }, Facts { residue: true, ..does(&[Act::BlowsAir]) }],
            vec![does(&[Act::Plays]), Facts { residue: true, ..does(&[Act::Strikes]) }],
        ),
    ]
}

#[test]
fn every_hazard_stands_where_its_facts_are_and_nowhere_else() {
    let table = table();
    for c in Caution::ALL {
        let rows: Vec<_> = table.iter().filter(|(hazard, ..)| *hazard == c).collect();
        let [(_, shows, not)] = rows[..] else { panic!("{c:?} stands {} times in the table", rows.len()) };
        assert!(!shows.is_empty() && !not.is_empty(), "{c:?}");
        for facts in shows {
            assert!(Caution::of(facts).contains(&c), "{c:?} is not raised by {facts:?}");
        }
        for facts in not {
            assert!(!Caution::of(facts).contains(&c), "{c:?} is raised by {facts:?}");
        }
    }
    assert_eq!(Caution::of(&Facts::default()), [], "nothing dangerous is done");
}

fn has(s: &Step, c: Caution) -> bool {
    s.cautions.contains(&c)
}

fn steps(plan: &Plan, kind: StepKind) -> Vec<&Step> {
    plan.steps.iter().filter(|s| s.kind == kind).collect()
}

/// A pattern with one filler in all its soft joints and overlays.
fn soldered(kind: Kind, filler: Filler) -> Instrument {
    let mut i = pattern(kind);
    for j in &mut i.joints {
        if let JointKind::SoftSoldered { filler: f } = &mut j.kind {
            *f = filler;
        }
    }
    for f in i.overlays.iter_mut().filter_map(|o| o.filler.as_mut()) {
        *f = filler;
    }
    i
}

/// Sharp, deep dents all along the bows: some are annealed, next to braces and guards.
fn battered(instrument: Instrument) -> Bench {
    let runs: Vec<_> = instrument.runs.iter().filter(|r| !r.role.must_stay_hard() && r.length_mm() > 60.0).cloned().collect();
    let dents = runs.iter().enumerate().map(|(n, r)| {
        let bore = r.bore_at(0.5 * r.length_mm()).value;
        dent(&format!("d{n}"), &r.id.0, 0.5 * r.length_mm(), 0.3 * bore, 0.6 * bore, 0.5 * bore)
    });
    let dents = dents.collect();
    Bench::new(survey(instrument, dents))
}

/// The anneal is asked for, so that the case does not hang on what it costs.
fn annealed(bench: &Bench) -> Plan {
    let all = bench.survey.dents.iter().map(|d| plan::Overrule {
        decision: Decision::AnnealDent { dent: d.id.clone() },
        who: "Ottilie".to_owned(),
        why: "a test".to_owned(),
    });
    bench.plan_with(&Overrules { all: all.collect() })
}

/// An anneal next to solder that may be leaded says so; the same next to lead-free solder, or with nothing soldered near, does not.
#[test]
fn an_anneal_near_old_solder_warns_of_lead() {
    let old = annealed(&battered(soldered(Kind::Tuba, Filler::UnknownSoft)));
    let (with, without): (Vec<&Step>, Vec<&Step>) = steps(&old, StepKind::Anneal).into_iter().partition(|s| has(s, Caution::Lead));
    assert!(!with.is_empty(), "no anneal warns: {:?}", steps(&old, StepKind::Anneal).len());
    let in_danger = |s: &&Step| s.heat.as_ref().unwrap().neighbours.iter().any(|n| n.sink || n.too_close);
    assert!(without.iter().all(|s| !in_danger(s)), "solder that nearly melts beside the flame is old");
    let new = annealed(&battered(soldered(Kind::Tuba, Filler::Sn96Ag4)));
    assert!(!steps(&new, StepKind::Anneal).is_empty());
    assert!(new.steps.iter().all(|s| !has(s, Caution::Lead) && !has(s, Caution::Cadmium)), "nothing here is leaded");
    let bare = annealed(&Bench::new(survey(bent_tube(20.0), vec![dent("d", "tube", 345.0, 6.0, 12.0, 10.0)])));
    let bare = steps(&bare, StepKind::Anneal);
    assert!(!bare.is_empty() && bare.iter().all(|s| has(s, Caution::Flame) && !has(s, Caution::Lead)), "{bare:?}");
}

/// Old silver braze counts as cadmium-bearing, a known braze without it does not.
#[test]
fn old_braze_warns_of_cadmium_and_brazing_of_fluorides() {
    for (filler, cadmium) in [(Filler::UnknownSilver, true), (Filler::Bag1, true), (Filler::Bag7, false)] {
        let mut i = pattern(Kind::Tuba);
        for j in i.joints.iter_mut().filter(|j| j.kind.is_soft().is_some()) {
            j.kind = JointKind::SilverBrazed { filler };
        }
        let dents = ["top-bow", "small-bow"].map(|run| dent(run, run, 100.0, 7.0, 30.0, 28.0));
        let plan = plan_of(survey(i, dents.into()));
        let opened: Vec<_> = steps(&plan, StepKind::OpenJoint).into_iter().filter(|s| s.flame).collect();
        for s in &opened {
            assert_eq!(has(s, Caution::Cadmium), cadmium, "{filler:?}");
            assert!(has(s, Caution::BrazeFlux) && has(s, Caution::Acid) && !has(s, Caution::SolderFlux), "{s:?}");
        }
        let i = pattern(Kind::Trombone);
        let brace = i.overlays.iter().find(|o| o.kind == OverlayKind::Brace).unwrap().id.clone();
        let mut s = survey(i, vec![]);
        s.conditions = vec![Condition { overlay: Some(brace), ..Condition::new("broken", ConditionKind::BrokenBrace) }];
        let plan = plan_of(s);
        let brazed: Vec<_> = plan.steps.iter().filter(|s| matches!(s.kind, StepKind::BrazeBrace | StepKind::MakeBrace)).collect();
        for s in brazed {
            assert!(s.flame && has(s, Caution::Flame) && has(s, Caution::BrazeFlux) && has(s, Caution::FireWatch), "{s:?}");
            assert_eq!(has(s, Caution::Cadmium), s.kind == StepKind::BrazeBrace, "the old braze at the break");
        }
    }
}

/// A dent that is annealed between its passes has a flame within its step.
#[test]
fn a_flame_between_the_passes_of_a_dent_has_its_cautions() {
    let mut seen = [false; 2];
    for kind in [Kind::Tuba, Kind::Euphonium, Kind::Trumpet] {
        let plan = annealed(&battered(soldered(kind, Filler::UnknownSoft)));
        for s in steps(&plan, StepKind::Dent) {
            let between = s.what.metric().contains("Anneal between passes");
            let pulled = plan.choices.iter().any(|c| s.dents.contains(&c.dent) && c.method.kind == MethodKind::PullOutside);
            assert_eq!(s.flame, between || pulled, "{}", s.what.metric());
            assert_eq!(s.relit > 0, between, "{}", s.what.metric());
            for c in [Caution::Flame, Caution::GasCylinder, Caution::FireWatch] {
                assert_eq!(has(s, c), s.flame, "{c:?}: {}", s.what.metric());
            }
            seen[usize::from(between)] = true;
        }
        // Each of them counts among the times that the flame is lit.
        let relit: u32 = plan.steps.iter().map(|s| s.relit).sum();
        assert_eq!(plan.lit(), plan.order.as_ref().unwrap().heats + relit as usize);
    }
    assert_eq!(seen, [true, true], "the cases have both");
}

#[test]
fn flushing_a_dirty_instrument_is_no_acid() {
    let mut s = survey(bent_tube(20.0), vec![dent("d", "tube", 80.0, 2.0, 20.0, 14.0)]);
    s.cleaned = None;
    let plan = plan_of(s);
    let [clean] = steps(&plan, StepKind::Clean)[..] else { panic!("it is cleaned") };
    assert_eq!(clean.cautions, []);
}

/// What was freed with oil is washed before the flame; where no flame is lit, the oil is no matter.
#[test]
fn penetrating_oil_is_washed_off_before_a_flame() {
    let mut i = soldered(Kind::Tuba, Filler::Sn96Ag4);
    i.fits.iter_mut().for_each(|f| f.state = Some(FitState::Stuck));
    let oiled: Vec<_> = i.fits.iter().flat_map(|f| [f.inner.clone(), f.outer.clone()]).collect();
    let hot = annealed(&battered(i.clone()));
    assert!(hot.steps.iter().any(|s| s.flame));
    assert!(steps(&hot, StepKind::Free).iter().all(|s| has(s, Caution::PenetratingOil)));
    for s in hot.steps.iter().filter(|s| s.flame) {
        let on_oiled = s.run.iter().chain(s.heat.as_ref().map(|h| &h.run)).any(|r| oiled.contains(r));
        assert!(!on_oiled || has(s, Caution::PenetratingOil), "{}", s.what.metric());
    }
    let cold = plan_of(survey(i, vec![]));
    let freed = steps(&cold, StepKind::Free);
    assert!(!freed.is_empty() && cold.steps.iter().all(|s| !s.flame));
    assert!(freed.iter().all(|s| !has(s, Caution::PenetratingOil) && has(s, Caution::FlyingTool)), "{freed:?}");
}

/// A burnt finish is put on anew at the best level alone: lacquer is sprayed, plate is for the plater.
#[test]
fn a_finish_that_is_put_on_anew_warns_of_its_bath_or_its_spray() {
    for (finish, expected) in
        [(Finish::Lacquer, Some(Caution::LacquerSpray)), (Finish::SilverPlate, Some(Caution::Plating)), (Finish::Raw, None)]
    {
        let mut i = soldered(Kind::Tuba, Filler::Sn96Ag4);
        i.runs.iter_mut().for_each(|r| r.finish = finish);
        let bench = battered(i);
        let renews = [Caution::LacquerSpray, Caution::Plating];
        for level in [Level::Good, Level::Beautiful] {
            let plan = bench.plan_to(level);
            let burnt = plan.steps.iter().filter_map(|s| s.heat.as_ref()).any(|h| h.burnt_mm().next().is_some());
            for s in steps(&plan, StepKind::Finish) {
                let wanted = expected.filter(|_| level == Level::Beautiful && burnt);
                let said: Vec<Caution> = s.cautions.iter().copied().filter(|c| renews.contains(c)).collect();
                assert_eq!(said, wanted.into_iter().collect::<Vec<_>>(), "{finish:?} {level:?}");
            }
        }
    }
}

/// What the survey says may be beryllium copper is not ground or heated without a word; the same part without that is.
#[test]
fn what_may_be_beryllium_copper_is_not_heated_or_ground_without_a_word() {
    for may_be in [true, false] {
        let mut i = soldered(Kind::Tuba, Filler::Sn96Ag4);
        i.runs.iter_mut().for_each(|r| r.may_be_beryllium = may_be);
        let plan = annealed(&battered(i));
        let anneals = steps(&plan, StepKind::Anneal);
        assert!(!anneals.is_empty() && anneals.iter().all(|s| has(s, Caution::Beryllium) == may_be));
        // A tool that only pushes makes no dust.
        assert!(steps(&plan, StepKind::Dent).iter().filter(|s| !s.flame).all(|s| !has(s, Caution::Beryllium)));
    }
}

/// What each method does with force, and none of the others' cautions.
#[test]
fn each_method_has_the_cautions_of_its_tools() {
    use Caution as C;
    let of_tools = [C::Hearing, C::FlyingTool, C::DrivenBall, C::Press, C::Cable, C::Magnet, C::Vise];
    let mut seen = std::collections::BTreeMap::<MethodKind, usize>::new();
    let mut cases = vec![Bench::new(survey(bent_tube(20.0), vec![dent("d", "tube", 80.0, 2.0, 20.0, 14.0)]))];
    for instrument in [Kind::Trumpet, Kind::Trombone, Kind::Tuba].map(pattern) {
        for run in instrument.runs.iter().filter(|r| r.length_mm() > 40.0) {
            let (at, bore) = (0.5 * run.length_mm(), run.bore_at(0.5 * run.length_mm()).value);
            let d = dent("d", &run.id.0, at, 0.1 * bore, (0.8 * bore).min(0.8 * run.length_mm()), 0.6 * bore);
            cases.push(Bench::new(survey(instrument.clone(), vec![d])));
        }
    }
    for bench in cases {
        for method in <MethodKind as strum::VariantArray>::VARIANTS {
            let found = bench.methods[0].methods.iter().any(|w| w.kind == *method);
            if !found || seen.get(method).is_some_and(|n| *n >= 4) {
                continue;
            }
            let plan = bench.plan_with(&overrule(Decision::UseMethod { dent: "d".into(), method: *method }));
            let [choice] = &plan.choices[..] else { continue };
            let kind = choice.method.kind;
            *seen.entry(kind).or_default() += 1;
            let force = |f| choice.method.tool_forces.contains(&f);
            let (hammer, press, bench_, cable) = (
                force(reach::ToolForce::Hammer),
                force(reach::ToolForce::Press),
                force(reach::ToolForce::DrawBench),
                force(reach::ToolForce::Cable),
            );
            let wanted = |c: Caution| match c {
                C::Hearing => matches!(kind, MethodKind::Hammering | MethodKind::Raising) || (hammer && kind != MethodKind::FilledBend),
                C::DrivenBall => kind == MethodKind::BallTrain,
                C::Magnet => kind == MethodKind::Magnet,
                C::Press => press || bench_,
                C::Cable => cable,
                C::Vise => {
                    use MethodKind as M;
                    matches!(kind, M::StraightRod | M::CurvedRod | M::Mandrel | M::Burnishing | M::Rolling | M::Hammering | M::Raising)
                }
                _ => {
                    use MethodKind as M;
                    !matches!(kind, M::BallTrain | M::Rolling | M::Hammering | M::Raising | M::Magnet)
                }
            };
            for s in steps(&plan, StepKind::Dent) {
                for c in of_tools {
                    assert_eq!(has(s, c), wanted(c), "{c:?} of {kind:?}: {:?}", s.cautions);
                }
            }
            for s in steps(&plan, StepKind::MakeTool) {
                let bought = s.what.metric().starts_with("Buy");
                assert_eq!(has(s, C::Lathe) || has(s, C::SmallParts), !bought, "{}", s.what.metric());
            }
        }
    }
    use MethodKind as M;
    for kind in [M::StraightRod, M::Mandrel, M::BallTrain, M::Hammering, M::PullOutside, M::DrawRing] {
        assert!(seen.contains_key(&kind), "this rack does not come to {kind:?}: {seen:?}");
    }
}

/// Words that a person should read once in a step, not in two cautions of it.
const ONCE: [&str; 9] = [
    "safety glasses",
    "face shield",
    "extraction",
    "extinguisher",
    "Wash your hands",
    "mouthpiece end",
    "respirator",
    "dust mask",
    "baking soda",
];

/// Whether a flame is lit, told without the field that says it.
fn lights(s: &Step) -> bool {
    let of_kind = matches!(s.kind, StepKind::Anneal | StepKind::Patch | StepKind::BrazeBrace | StepKind::MakeBrace);
    of_kind || s.heat.is_some() || s.what.metric().contains("Anneal between passes")
}

/// Over 300 surveys with anything wrong anywhere: a step with a flame has the flame's cautions, a step without has none; nothing is
/// said twice; the plan's list says the same as its steps.
#[test]
fn each_flame_has_its_cautions_and_nothing_else_has_them() {
    let mut dice = Dice(20_261_126);
    let kinds = [Kind::Trumpet, Kind::Trombone, Kind::Horn, Kind::Euphonium, Kind::Tuba, Kind::Cornet, Kind::Bugle];
    let finishes = [Finish::Raw, Finish::Lacquer, Finish::SilverPlate, Finish::NickelPlate, Finish::ChromePlate];
    let (mut flames, mut without, mut raised) = (0, 0, std::collections::BTreeSet::new());
    for n in 0..300 {
        let mut i = soldered(kinds[dice.below(kinds.len())], Filler::ALL[dice.below(Filler::ALL.len())]);
        let finish = finishes[dice.below(finishes.len())];
        i.runs.iter_mut().for_each(|r| r.finish = finish);
        if n % 3 == 0
            && let Some(f) = i.fits.first_mut()
        {
            f.state = Some(FitState::Stuck);
        }
        let dents = some_dents(&mut dice, &i);
        let mut s = survey(i, dents);
        s.conditions = conditions_anywhere(&mut dice, &s.instrument, 3);
        s.wishes.keep_finish = n % 7 == 0;
        let plan = Bench::new(s).plan_to(Level::ALL[n % 3]);
        for s in &plan.steps {
            assert_eq!(s.flame, lights(s), "{n}: {}", s.what.metric());
            let of_flame = [Caution::Flame, Caution::GasCylinder, Caution::FireWatch];
            for c in of_flame {
                assert_eq!(has(s, c), s.flame, "{n}: {c:?} beside {}", s.what.metric());
            }
            assert!(!s.flame || (has(s, Caution::Ventilation) && has(s, Caution::Eyes)), "{n}: {}", s.what.metric());
            let only_hot = [
                Caution::SolderFlux,
                Caution::BrazeFlux,
                Caution::Acid,
                Caution::LacquerFume,
                Caution::LetsGo,
                Caution::WeakTorch,
                Caution::FinishWanted,
            ];
            assert!(s.flame || only_hot.iter().all(|c| !has(s, *c)), "{n}: {:?} beside {}", s.cautions, s.what.metric());
            for words in ONCE {
                let said = s.cautions.iter().filter(|c| c.text().contains(words)).count();
                assert!(said <= 1, "{n}: “{words}” is said {said} times beside {}: {:?}", s.what.metric(), s.cautions);
            }
            assert!(s.cautions.windows(2).all(|w| w[0] < w[1]), "each once, in order: {:?}", s.cautions);
            if s.flame {
                flames += 1
            } else {
                without += 1
            }
            raised.extend(s.cautions.iter().copied());
        }
        let list = plan.cautions();
        for c in Caution::ALL {
            let beside: Vec<u32> = plan.steps.iter().filter(|s| has(s, c)).map(|s| s.number).collect();
            let listed: Vec<_> = list.iter().filter(|r| r.caution == c).collect();
            assert!(listed.len() <= 1 && listed.iter().all(|r| r.steps == beside) && listed.is_empty() == beside.is_empty(), "{n}: {c:?}");
        }
    }
    println!("{flames} steps with a flame, {without} without; raised somewhere: {raised:?}");
    assert!(flames > 300 && without > 1000, "{flames} {without}");
}

/// A few dents, some creased, some cracked, some too sharp to be worked cold.
fn some_dents(dice: &mut Dice, i: &Instrument) -> Vec<instrument::Dent> {
    let count = 1 + dice.below(4);
    dents_anywhere(dice, i, count, |dice, bore, make| {
        let d = make(dice.between(0.03, 0.3) * bore, dice.between(0.4, 0.9) * bore, dice.between(0.4, 0.7) * bore);
        match dice.below(6) {
            0 => creased(d),
            1 => cracked(d),
            _ => d,
        }
    })
}
