//! The list of methods, and the answer for a whole survey.

use crate::access::RunPaths;
use crate::bench::Case;
use crate::choose::{best_first, nearest_reasons};
use crate::constraints::Constraints;
use crate::covered;
use crate::left_on::{Covered, WorkedAs};
use crate::method::{DentMethods, Method, Rejected};
use crate::notes::{self, Notes};
use crate::openings::{self, Ends};
use crate::openings::{Openings, nonsense};
use crate::path::DentPlace;
use crate::place::{lies_over, overlays_off};
use crate::practice::MAY_STAY_MM;
use crate::rack::Rack;
use crate::remembered::{self, Record, Remembered, Seen};
use crate::{
    MethodKind, ToolChoice, ball_train, burnishing, curved_rod, draw_ring, expander, filled, hammering, magnet, mandrel, pull_outside,
    raising, rolling, straight_rod,
};
use dent::Assessment;
use instrument::{Finish, Overlay, Role, Survey};
use rayon::prelude::*;
use std::collections::HashMap;
use units::text::{mm, newtons};
use units::{Text, text};

/// What a method says of a dent.
type Answer = fn(&Case) -> (Vec<Method>, Vec<Rejected>);

/// Every method, those first that ask no pose. A new method is a new file and a line here.
pub const ALL: [(MethodKind, Answer); 13] = [
    (MethodKind::Mandrel, mandrel::methods),
    (MethodKind::BallTrain, ball_train::methods),
    (MethodKind::Magnet, magnet::methods),
    (MethodKind::Rolling, rolling::methods),
    (MethodKind::Hammering, hammering::methods),
    (MethodKind::StraightRod, straight_rod::methods),
    (MethodKind::CurvedRod, curved_rod::methods),
    (MethodKind::Burnishing, burnishing::methods),
    (MethodKind::Raising, raising::methods),
    (MethodKind::DrawRing, draw_ring::methods),
    (MethodKind::Expander, expander::methods),
    (MethodKind::FilledBend, filled::methods),
    (MethodKind::PullOutside, pull_outside::methods),
];

/// A dent whose station is known worse than this part of its run stands in nobody's way on paper: nobody
/// knows where.
const PLACED: f64 = 0.2;

/// All methods to each dent of a survey, over all openings, with the tools of a rack (those that are sound, see
/// [`Rack::problems`]). A dent without an assessment, or in a run that the survey does not have, gets no methods
/// and the reason.
pub fn methods(survey: &Survey, assessments: &[Assessment], rack: &Rack) -> Vec<DentMethods> {
    methods_within(survey, assessments, rack, &Constraints::wishes(survey))
}

/// The same within what is decided: joints that stay shut, flames that stay out, tools that are away.
pub fn methods_within(survey: &Survey, assessments: &[Assessment], rack: &Rack, constraints: &Constraints) -> Vec<DentMethods> {
    methods_after(None, survey, assessments, rack, constraints).0
}

/// The same, and what it followed from; where the answers of the same survey, assessments and rack within other decisions are given
/// with what they followed from, only those are worked out again that the decisions change.
pub fn methods_after(
    earlier: Option<(&[DentMethods], &Remembered)>,
    survey: &Survey,
    assessments: &[Assessment],
    rack: &Rack,
    constraints: &Constraints,
) -> (Vec<DentMethods>, Remembered) {
    let instrument = &survey.instrument;
    let openings = Openings::new(instrument, constraints);
    let tools = notes::tools(rack, constraints);
    let moved = earlier.map(|(_, from)| from.moved(&tools)).unwrap_or_default();
    let by_dent: HashMap<&str, &Assessment> = assessments.iter().map(|a| (a.dent.0.as_str(), a)).collect();
    let sites: Vec<_> = survey.dents.iter().map(|d| survey.site(d)).collect();
    let mut places = Vec::new();
    for (i, (dent, site)) in survey.dents.iter().zip(&sites).enumerate() {
        let (Some(site), Some(a), Some(run)) = (site, by_dent.get(dent.id.0.as_str()), openings.run_index(&dent.run.0)) else { continue };
        if not_numbers(a).is_some() || site.at_mm.sd > PLACED * instrument.runs[run].axis.length_mm() {
            continue;
        }
        places.push(DentPlace {
            dent: i,
            run,
            at_mm: site.at_mm.value,
            clock_rad: site.clock_deg.as_ref().map(|c| c.value.to_radians()),
            depth_mm: a.depth_mm.value.max(0.0),
            half_width_mm: 0.5 * a.width_along_mm.value,
        });
    }
    let sound_run = |dent: &instrument::Dent| openings.run_index(&dent.run.0).filter(|r| nonsense(&instrument.runs[*r]).is_none());
    let mut ends: HashMap<usize, Ends> = HashMap::new();
    for run in survey.dents.iter().filter_map(sound_run) {
        ends.entry(run).or_insert_with(|| openings::ends(&openings, run));
    }
    let mut answers: Vec<Option<(DentMethods, Option<Record>)>> = Vec::with_capacity(survey.dents.len());
    let mut work = Vec::new();
    for (i, (dent, site)) in survey.dents.iter().zip(sites).enumerate() {
        let known = site.zip(by_dent.get(dent.id.0.as_str()).copied()).zip(sound_run(dent));
        answers.push(match known {
            None => {
                let why = openings.run_index(&dent.run.0).and_then(|r| nonsense(&instrument.runs[r]));
                let unplaced = "the survey does not place this dent on a run of the instrument, or it was not assessed";
                Some((nothing(dent, &why.unwrap_or_else(|| unplaced.into())), None))
            }
            Some(((site, assessment), run)) => match not_numbers(assessment) {
                Some(why) => Some((nothing(dent, &why.into()), None)),
                None => {
                    let seen = Seen::new(survey, &openings, &ends[&run], (dent, &site), constraints);
                    let record = earlier.and_then(|(answers, from)| Some((from, from.record(i)?, answers.get(i)?)));
                    let sees = record.filter(|(_, record, _)| record.sees(&seen));
                    let same = sees.filter(|(from, record, _)| from.same(record, &moved, constraints));
                    if same.is_none() {
                        work.push((i, dent, site, assessment, run, (seen, record.map(|r| r.1), sees.map(|_| &moved[..]))));
                    }
                    same.map(|(_, record, answer)| (answer.clone(), Some(record.clone())))
                }
            },
        });
    }
    let mut runs: Vec<usize> = work.iter().map(|w| w.4).collect();
    runs.sort_unstable();
    runs.dedup();
    let paths: HashMap<usize, RunPaths> = runs.into_par_iter().map(|run| (run, RunPaths::new(instrument, &ends[&run], &places))).collect();
    // Those with long methods in first: a hard one begun last would keep one core busy alone.
    work.sort_by_key(|w| std::cmp::Reverse(paths[&w.4].paths.iter().map(|p| p.sections.len()).sum::<usize>()));
    let one = |(i, dent, site, assessment, run, (seen, record, moved)): (usize, _, _, _, usize, (Seen, Option<&Record>, _))| {
        let notes = Notes::new(&tools, record.map(Record::known), moved);
        let on_bench = |site| Case::new(survey, rack, &notes, &openings, &paths[&run], (i, dent), site, assessment, &instrument.runs[run]);
        let again = instrument::Site::clone(&site);
        let case = on_bench(site);
        let (stays_on, off) = may_stay_on(&case, &openings, constraints);
        let with_it_on = || covered::left_on(on_bench(again), stays_on.as_ref().ok()?, off.ok()?);
        let answer = answer(case, with_it_on(), stays_on.as_ref().err(), constraints);
        (i, (answer, Some(Record::new(seen, notes))))
    };
    // Each core takes the next as it is done with one: some dents are a hundred times as hard as others.
    for (i, answered) in work.into_iter().par_bridge().map(one).collect::<Vec<_>>() {
        answers[i] = Some(answered);
    }
    let (answers, records) = answers.into_iter().flatten().unzip();
    (answers, Remembered::new(&tools, constraints, records))
}

/// What of an assessment is not a number that can be worked with.
fn not_numbers(a: &Assessment) -> Option<&'static str> {
    let sound = |f: &units::Figure| f.value.is_finite() && f.value >= 0.0 && f.value < 1e7;
    match a {
        _ if !sound(&a.depth_mm) => Some("its depth is not a number of mm"),
        _ if !sound(&a.width_along_mm) || !sound(&a.width_across_mm) => Some("its widths are not numbers of mm"),
        _ if !sound(&a.passage_mm) => Some("the passage under it is not a number of mm"),
        _ if !sound(&a.force_inside_n) || !sound(&a.overpush_mm) => Some("the force or the over-push that it needs is not a number"),
        _ => None,
    }
}

fn nothing(dent: &instrument::Dent, why: &Text) -> DentMethods {
    let rejected = ALL.iter().map(|(method, _)| Rejected { kind: *method, opening: String::new(), because: why.clone() }).collect();
    DentMethods { dent: dent.id.clone(), methods: Vec::new(), rejected, after_anneal: Vec::new(), rejected_after_anneal: Vec::new() }
}

/// Leaves out what does not touch the wall that it is to work, with the figures.
fn keep_what_touches(case: &Case, methods: &mut Vec<Method>, rejected: &mut Vec<Rejected>) {
    let lacks = |w: &Method| w.contact.as_ref().and_then(|c| c.lacks(case));
    for w in methods.extract_if(.., |w| lacks(w).is_some()) {
        let opening = w.passage.as_ref().map(|p| p.opening.name.clone()).unwrap_or_default();
        rejected.push(Rejected { kind: w.kind, opening, because: lacks(&w).unwrap_or_default() });
    }
}

/// Leaves out what a repairer does only where nothing else does it: a stud soldered on where a tool of the rack
/// reaches the dent, and what marks a part that runs in a moving fit where a body of its own bore can be led in. What a person
/// asked for stays.
fn keep_what_is_done(case: &Case, others: &[Method], asked: Option<MethodKind>, methods: &mut Vec<Method>, rejected: &mut Vec<Rejected>) {
    let from_rack = |w: &Method| matches!(w.tool, crate::ToolChoice::Rack { .. });
    let leave_out = |methods: &mut Vec<Method>, rejected: &mut Vec<Rejected>, kind: MethodKind, why: Text| {
        let before = methods.len();
        methods.retain(|w| w.kind != kind || asked == Some(kind));
        if methods.len() < before {
            rejected.push(case.rejected(kind, None, why));
        }
    };
    let fills = |w: &Method| matches!(w.kind, MethodKind::Mandrel | MethodKind::BallTrain);
    if case.runs_in_a_fit() && methods.iter().any(fills) {
        for method in [MethodKind::StraightRod, MethodKind::CurvedRod, MethodKind::Hammering, MethodKind::Magnet, MethodKind::Raising] {
            leave_out(
                methods,
                rejected,
                method,
                "the part runs in a moving fit: a body of its own bore brings it true to hundredths, this does not".into(),
            );
        }
    }
    // Thin hard tubes, plated outside: what fits or rubs the bore comes before what is forced along it.
    let hand_slide = matches!(case.site.role, Role::HandSlideInner | Role::HandSlideOuter);
    let plated = case.site.finish == Finish::ChromePlate;
    let gentle = |w: &Method| matches!(w.kind, MethodKind::Mandrel | MethodKind::Burnishing | MethodKind::DrawRing);
    if let Some(method) = methods.iter().find(|w| gentle(w) && (hand_slide || plated)) {
        let part = if plated { "the chrome plate outside crazes" } else { "the thin hard tube is stretched" };
        let why = text!("{} where a ball is driven through; {} does it", part, method_words(method.kind));
        leave_out(methods, rejected, MethodKind::BallTrain, why);
    }
    if let Some(method) = methods.iter().find(|w| gentle(w) && hand_slide) {
        let why = text!("on a hand slide an expander is the last resort: {} does it", method_words(method.kind));
        leave_out(methods, rejected, MethodKind::Expander, why);
    }
    // What a tool of too little force leaves is for where nothing else of the rack brings the dent back.
    let leaves = |w: &Method| w.strokes.is_some_and(|s| s.left_mm > MAY_STAY_MM);
    if let Some(whole) = methods.iter().find(|w| w.kind != MethodKind::PullOutside && from_rack(w) && !leaves(w)).map(|w| w.kind) {
        let (rough, kept): (Vec<Method>, Vec<Method>) =
            std::mem::take(methods).into_iter().partition(|w| leaves(w) && asked != Some(w.kind));
        *methods = kept;
        let mut listed = Vec::new();
        for w in rough {
            if !listed.contains(&w.kind) {
                let left = w.strokes.map_or(0.0, |s| s.left_mm);
                let why = text!(
                    "with {} {} of the dent stay, however many strokes: {} removes it",
                    newtons(w.force_hand_n.value),
                    mm(left, 2),
                    method_words(whole)
                );
                rejected.push(case.rejected(w.kind, None, why));
                listed.push(w.kind);
            }
        }
    }
    if let Some(method) = methods.iter().chain(others).find(|w| w.kind != MethodKind::PullOutside && from_rack(w)).cloned() {
        let why = text!("the last resort is not needed: {} reaches it", method_words(method.kind));
        leave_out(methods, rejected, MethodKind::PullOutside, why);
    }
}

fn method_words(kind: MethodKind) -> &'static str {
    match kind {
        MethodKind::StraightRod => "a straight rod",
        MethodKind::CurvedRod => "a curved rod",
        MethodKind::Mandrel => "a mandrel",
        MethodKind::BallTrain => "a train of balls",
        MethodKind::Rolling => "rolling over a support",
        MethodKind::Hammering => "hammering over a support",
        MethodKind::Magnet => "a magnet's ball",
        MethodKind::PullOutside => "a stud",
        MethodKind::Burnishing => "a burnisher from inside",
        MethodKind::Expander => "an expanding plug",
        MethodKind::DrawRing => "drawing through a ring",
        MethodKind::FilledBend => "work over a fill",
        MethodKind::Raising => "raising on a stake",
    }
}

/// Whether one of these methods brings the dent back with the rack's tools, the last resort apart.
pub fn brought_back(methods: &[Method]) -> bool {
    let by_hand = |w: &&Method| matches!(w.tool, ToolChoice::Rack { .. }) && w.kind != MethodKind::PullOutside;
    methods.iter().filter(by_hand).any(|w| w.strokes.is_none_or(|s| s.left_mm <= MAY_STAY_MM))
}

/// Whether a dent comes to be annealed: it is advised, a person says so, or nothing of the rack brings it back cold although the part
/// may go soft.
fn comes_to_an_anneal(case: &Case, cold: &[Method], said: bool) -> bool {
    use dent::Advice;
    if said {
        return true;
    }
    !case.site.role.must_stay_hard()
        && match case.assessment.advice {
            Advice::AnnealFirst | Advice::AnnealBetweenPasses => true,
            Advice::WorkCold => !brought_back(cold),
            _ => false,
        }
}

/// What may stay on over a dent that is worked from inside, and what comes off besides; or why nothing may.
fn may_stay_on(case: &Case, openings: &Openings, constraints: &Constraints) -> (Result<Covered, Text>, Result<Vec<crate::Opened>, Text>) {
    let mut why = Text::default();
    let may = |o: &&Overlay| {
        covered::may_stay(case.survey, (case.dent, &case.site), case.assessment, o, constraints).map_err(|e| why = e).is_ok()
    };
    let (stay, off): (Vec<&Overlay>, Vec<&Overlay>) = lies_over(case.survey, case.dent, &case.site).into_iter().partition(may);
    (covered::covered(case, &stay).ok_or(why), overlays_off(openings, &off))
}

/// All methods to one dent: cold, what lies over it off; with that left on (`with_it_on`), or why it is not; and after an anneal where
/// one comes into question.
fn answer(case: Case, with_it_on: Option<Case>, why_off: Option<&Text>, constraints: &Constraints) -> DentMethods {
    let stays = with_it_on.is_some();
    let from_inside = with_it_on.map(|case| one_answer(&case, &[], constraints)).unwrap_or_default();
    let mut answer = match &case.off {
        // It stays on, whatever anybody does: what works from inside says for itself, for the rest why it cannot stay.
        Err(why) => {
            let why = why_off.filter(|w| !w.is_empty()).map_or_else(|| why.clone(), |w| text!("{}; {}", why, w));
            let mut none = nothing(case.dent, &why);
            none.rejected.retain(|r| !(stays && r.kind.from_inside()));
            none
        }
        Ok(_) => {
            let (methods, rejected) = one_answer(&case, &from_inside.0, constraints);
            DentMethods { dent: case.dent.id.clone(), methods, rejected, after_anneal: Vec::new(), rejected_after_anneal: Vec::new() }
        }
    };
    // Asked of what is done with it off: with it on there is no anneal to weigh.
    let anneal = case.off.is_ok() && comes_to_an_anneal(&case, &answer.methods, constraints.anneal.contains(&case.dent.id));
    if !from_inside.0.is_empty() {
        answer.methods.extend(from_inside.0);
        answer.methods = worth_showing(std::mem::take(&mut answer.methods), &case, constraints);
    }
    // What does not work with it off does not work with it on either: that is said once.
    let said: Vec<(MethodKind, String)> = answer.rejected.iter().map(|r| (r.kind, r.opening.clone())).collect();
    answer.rejected.extend(from_inside.1.into_iter().filter(|r| !said.contains(&(r.kind, r.opening.clone()))));
    if !anneal {
        return answer;
    }
    if let Some(((dent, site), soft)) = dent::annealed::bench(case.dent, &case.site, case.assessment).zip(case.assessment.softened()) {
        (answer.after_anneal, answer.rejected_after_anneal) = one_answer(&case.softened(&dent, site, &soft), &[], constraints);
    }
    answer
}

/// `others`: methods to the same dent that the last resort is for where none of them does it.
fn one_answer(case: &Case, others: &[Method], constraints: &Constraints) -> (Vec<Method>, Vec<Rejected>) {
    let mut methods = Vec::new();
    let mut rejected = Vec::new();
    let first = match case.worked_as() {
        WorkedAs::Bare => 0,
        WorkedAs::Annealed => ALL.len(),
        WorkedAs::Covered => 2 * ALL.len(),
    };
    let with_it_on = case.worked_as() == WorkedAs::Covered;
    for (place, (_, method)) in ALL.into_iter().enumerate().filter(|(_, (kind, _))| !with_it_on || kind.from_inside()) {
        let (mut found, out) = remembered::ask(case, first + place, method);
        for w in &mut found {
            w.tool_forces = w.tool.forces(case.rack, &w.tool_forces);
        }
        case.note_reached(&found);
        methods.extend(found);
        rejected.extend(out);
    }
    let asked = constraints.methods.get(&case.dent.id).copied();
    if let Some(said) = &constraints.make_no_tools {
        let made = |w: &Method| matches!(w.tool, crate::ToolChoice::ToMake { .. });
        for w in methods.extract_if(.., |w| made(w)) {
            let crate::ToolChoice::ToMake { make, .. } = &w.tool else { continue };
            rejected.push(case.rejected(w.kind, None, text!("it needs {} made ({})", make.words(), said.words())));
        }
    }
    keep_what_touches(case, &mut methods, &mut rejected);
    keep_what_is_done(case, others, asked, &mut methods, &mut rejected);
    if case.accesses.is_empty() {
        let why = if case.blocked.is_empty() { "no end of tube leads to it".into() } else { Text::join(&case.blocked, "; ") };
        rejected.extend(ALL.iter().filter(|(m, _)| *m != MethodKind::PullOutside).map(|(method, _)| Rejected {
            kind: *method,
            opening: String::new(),
            because: why.clone(),
        }));
    }
    (worth_showing(methods, case, constraints), nearest_reasons(rejected))
}

fn worth_showing(methods: Vec<Method>, case: &Case, constraints: &Constraints) -> Vec<Method> {
    if constraints.keep_dominated { methods } else { best_first(methods, &case.survey.instrument) }
}
