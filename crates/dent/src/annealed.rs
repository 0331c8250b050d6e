//! What the wall asks once the dent has been annealed as it lies: the same questions, with the annealed metal's curve.
//!
//! The anneal takes the dent's own work out of the wall and leaves its form. The force table knows walls dented and pushed back in one
//! metal. Own model (`cargo run -p fem --release --example annealed`; docs/validation.md): a wall dented hard, annealed and pushed out asks
//! 0.86 to 1.03 of the force and 0.90 to 1.03 of the over-push of one that was soft before it was dented, although the latter's dent
//! has hardened it: a dent made in hard metal is wider at its foot. So the table is asked with the soft curve as it stands, and what it misses is doubt.

use crate::inputs::{self, Inputs};
use crate::model::{self, Case};
use crate::spread::{Laid, Spread};
use crate::{AfterAnneal, Assessment, force};
use instrument::{Dent, Site};
use metal::{Temper, anneal};
use units::figure::Z90;
use units::{Known, Origin, Source, Unit};

/// Source of the force after an anneal.
pub const FORCE: Source = Source::own_model(
    "force table of the own finite-element model asked with the annealed curve: a wall dented hard, annealed and pushed out needs 0.86 to 1.03 of that in six runs (docs/validation.md); how far the heat softens it by metal::anneal",
);

/// Source of the over-push after an anneal.
pub const OVERPUSH: Source = Source::own_model(
    "over-push table of the own finite-element model asked with the annealed curve: a wall dented hard, annealed and pushed out springs 0.90 to 1.03 of that in six runs (docs/validation.md)",
);

/// What the table misses of a wall annealed after it was dented, one standard deviation as a part: root mean square of the
/// logarithm over the six runs: force 0.073, over-push 0.062.
pub const DOUBT: f64 = 0.073;

/// Temper after the bench's anneal: how far it softens is not well known ([`anneal::Annealed::tempers`]).
pub fn temper_after(site: &Site) -> Known {
    let value = if site.temper.value.is_finite() { site.temper.value.clamp(0.0, 8.0) } else { 2.0 };
    let after = anneal::on_the_bench(site.alloy, Temper(value));
    let (soft, hard) = after.tempers;
    let sd = (hard.0 - after.temper.0).max(after.temper.0 - soft.0) / Z90;
    Known::new("temper after the anneal", after.temper.0, sd, Unit::NumbersHard, Origin::Computed)
}

/// The dent and its place as they are after an anneal: no work in the metal, nor a hardness that was measured before; none where the
/// assessment does not say what the anneal leaves.
#[must_use]
pub fn bench(dent: &Dent, site: &Site, a: &Assessment) -> Option<(Dent, Site)> {
    let soft = a.after_anneal.as_ref()?;
    let dent = Dent { hardness_hv: None, earlier_repair: None, ..dent.clone() };
    Some((dent, Site { temper: soft.temper.clone(), ..site.clone() }))
}

/// Force, over-push and passes after an anneal. `back` is the strain of the way back, which the dent's form decides.
pub fn after(case: &Case, site: &Site, back: f64) -> AfterAnneal {
    let temper = temper_after(site);
    let mut soft = case.inputs.clone();
    let strength = site.alloy.yield_mpa(Temper(temper.value));
    let part = if strength.value > 0.0 { strength.sd / strength.value } else { 0.1 };
    soft.known[inputs::STRENGTH] = Some(Known::new("strength over the table's", 1.0, part, Unit::One, Origin::Handbook));
    soft.known[inputs::TEMPER] = Some(temper.clone());
    soft.known[inputs::EARLIER] = None;
    // What plays no part is not run.
    for input in [inputs::SHAPE, inputs::CURVATURE_ACROSS, inputs::CURVATURE_ALONG, inputs::FOLD, inputs::CAPACITY, inputs::KINEMATIC] {
        soft.known[input] = None;
    }
    for input in [inputs::PRESSED, inputs::STRAINED, inputs::BACK, inputs::HOLE] {
        soft.known[input] = None;
    }
    let asked = |inputs: &Inputs, x: &[f64; inputs::COUNT]| Case { inputs, ..*case }.unworked(x);
    let base = asked(&soft, &soft.values());
    let covered = base.force;
    soft.doubt(covered.doubt(), covered.overpush_doubt().hypot(DOUBT), covered.table_doubt().hypot(DOUBT));
    let s = Spread::of(&soft, base, |x| asked(&soft, x));
    const SIZE: [usize; 4] = [inputs::DEPTH, inputs::ACROSS, inputs::ALONG, inputs::BORE];
    let with = |more: &[usize]| [&SIZE[..], &[inputs::WALL, inputs::TEMPER, inputs::STRENGTH], more].concat();
    let (formula, source) = covered.reason();
    let source = if source == force::TABLE { FORCE } else { source };
    AfterAnneal {
        temper,
        force_inside_n: s.figure(
            Laid::Positive,
            Unit::N,
            format!("{formula}; the curve that of the annealed metal"),
            source,
            &with(&[inputs::FORMULA, inputs::BEND, inputs::TABLE]),
            |o| o.force_n,
        ),
        overpush_mm: s.figure(
            Laid::Positive,
            Unit::Mm,
            "depth × table(D/t, σ₀/E, n, ball 0.62 D, d/D), σ₀ and n those of the annealed metal",
            OVERPUSH,
            &with(&[inputs::OVERPUSH]),
            |o| o.overpush_mm,
        ),
        passes: s.figure(
            Laid::Positive,
            Unit::One,
            "way back/4 % a pass, then tries until what is buffed out is left, with the over-push after the anneal",
            metal::springback::PASSES,
            &with(&[inputs::OVERPUSH]),
            |o| model::passes(back, o.overpush_mm),
        ),
    }
}
