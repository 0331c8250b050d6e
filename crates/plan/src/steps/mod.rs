//! The steps of a solution. One file a phase, in the order of the bench: `open`, `work` (with `fill`), `patch`, `close` (with
//! `resoldering`), `accept`, `finish`, `other_work`. A phase only says what its steps do ([`Does`]); what must wait for what is worked out in one
//! place, `precedence`, when all steps stand.

use crate::case::Case;
use crate::flame::Flaming;
use crate::heat;
use crate::model::Model;
use crate::price;
use crate::step::Step;
use crate::step_kind::StepKind;
use chosen::Chosen;
pub use draft::Draft;
use instrument::{Dent, MovingFit, RunId};
use reach::Opened;
use units::text::mm;
use units::{Text, ThreePoint, text};

pub mod accept;
pub mod ball_checks;
mod cautions;
pub mod chosen;
mod close;
mod draft;
mod fill;
mod finish;
mod known;
mod mends;
mod open;
mod other_work;
mod patch;
mod precedence;
mod reduction;
mod resoldering;
pub mod slide_legs;
pub mod words;
mod work;

pub use words::{dents_words, method_words, size, some_of};

fn step(kind: StepKind, what: impl Into<Text>, minutes: ThreePoint, because: impl Into<Text>) -> Step {
    Step {
        number: 0,
        setting: 0,
        kind,
        what: what.into(),
        dents: vec![],
        run: None,
        opened: None,
        joint: None,
        condition: None,
        work: vec![],
        standard_job: None,
        minutes,
        within: None,
        standard: None,
        flame: false,
        relit: 0,
        further_tool: 0,
        heat: None,
        cautions: vec![],
        checks: vec![],
        after: vec![],
        because: because.into(),
    }
}

struct Builder<'c, 'a> {
    case: &'c Case<'a>,
    model: &'c Model<'a>,
    chosen: &'c Chosen<'a>,
    draft: Draft,
}

/// Makes the steps of a solution.
pub fn draft<'a>(case: &Case<'a>, model: &Model<'a>, chosen: &Chosen<'a>) -> Draft {
    let mut b = Builder { case, model, chosen, draft: Draft::default() };
    b.begin();
    b.make_tools();
    b.open();
    b.anneals();
    b.mends();
    b.work();
    b.fills();
    b.patches();
    b.replace();
    b.check_bores();
    b.close();
    b.solder_braces();
    b.resolder();
    b.fits();
    b.check_tight();
    b.check_mends();
    b.finish();
    b.other_work();
    b.assemble();
    b.cautions();
    precedence::set(case, chosen, &mut b.draft);
    b.draft
}

impl Builder<'_, '_> {
    fn minutes(&self, kind: StepKind) -> ThreePoint {
        self.case.standards.minutes_of(kind)
    }

    /// Puts a flame on a step: its heat, and the time it takes beyond the usual.
    fn heat(&self, s: &mut Step, flame: Option<Flaming>) {
        let Some(heat) = flame.and_then(|f| heat::heat(self.case, &f)) else { return };
        if let Some(flame_s) = &heat.flame_s {
            s.minutes = s.minutes.plus(price::flame_minutes(flame_s));
        }
        s.heat = Some(heat);
    }

    /// A flame that is lit when all that is opened is apart.
    fn with_off(&self, flame: Option<Flaming>) -> Option<Flaming> {
        let mut flame = flame?;
        flame.off.extend(self.chosen.opened.iter().cloned());
        flame.off.sort();
        flame.off.dedup();
        Some(flame)
    }

    /// The flame that opens or closes something, with all that is opened in the same heat.
    fn solder_flame(&self, what: &Opened, heat: usize) -> Option<Flaming> {
        let mut flame = self.case.heats.solder_flame(what)?;
        let along = self.chosen.opened.iter().filter(|o| self.model.heat_of(o) == Some(heat));
        for o in along {
            if !flame.aims.contains(o) {
                flame.aims.push(o.clone());
            }
        }
        Some(flame)
    }

    /// The moving fits of each slide, valve or rotor of which something is true, by their places in the instrument.
    fn slides_with(&self, concerned: impl Fn(&MovingFit) -> bool) -> Vec<Vec<usize>> {
        let instrument = self.case.instrument();
        let concerned = |i: &usize| concerned(&instrument.fits[*i]);
        let slides = slide_legs::slides(instrument).into_iter().map(|legs| legs.into_iter().filter(concerned).collect());
        slides.filter(|legs: &Vec<usize>| !legs.is_empty()).collect()
    }

    /// The runs that something to be opened touches.
    fn touched(&self, what: &Opened) -> Vec<RunId> {
        self.case.touches(what).into_iter().map(|t| t.run).collect()
    }
}

/// One of a kind takes the standard's time; each further one in the same go adds a third. Common practice, no source.
fn each_further(count: usize) -> f64 {
    1.0 + count.saturating_sub(1) as f64 / 3.0
}

fn place_words(case: &Case, dent: &Dent) -> Text {
    let name = case.run_name(&dent.run);
    match &dent.at_mm {
        Some(at) => text!("{}, {}", name, mm(at.value, 0)),
        None => name.into(),
    }
}
