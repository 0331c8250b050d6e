//! The assessment of one dent.

use instrument::{DentId, FitId, RunId};
use serde::{Deserialize, Serialize};
use units::{Figure, Known, Text};

/// The form of a dent's bottom, from its computed sharpness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Shallow and wide.
    Smooth,
    /// Rounded with a firm edge.
    Rounded,
    /// Tight at its bottom or edge.
    Sharp,
    /// V-shaped: two flanks meet in a fold.
    VShaped,
}

/// Why the dent matters. A dent can matter in several ways; the first listed is the gravest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Effect {
    /// In the way of a moving fit.
    MovingFit {
        /// The fit.
        fit: FitId,
    },
    /// Narrows the bore enough to matter to the air or to the cleaning swab.
    Bore,
    /// Moves a note so far that players notice, by the acoustics of the whole bore.
    Pitch {
        /// The note that it moves most, with the valves.
        note: String,
        /// By how many cents.
        cents: f64,
    },
    /// At a joint or an overlay: holds stress or keeps the parts from seating.
    Joint,
    /// Weakens the tube (a crack, a hole, a crease).
    Structural,
    /// Only seen.
    Cosmetic,
}

/// What to do with the metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// Leave it.
    Leave,
    /// Work it cold.
    WorkCold,
    /// Anneal, then work it.
    AnnealFirst,
    /// Work it with an anneal between passes.
    AnnealBetweenPasses,
    /// Stabilise the crack, then work it.
    StabiliseThenWork,
    /// Patch it.
    Patch,
    /// Replace the run (or a section of it).
    ReplaceRun,
}

/// A measurement that nobody took, and what its absence does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Missing {
    /// What to measure ("width round the tube").
    pub what: String,
    /// What was used instead and how wide it is.
    pub instead: Text,
    /// The part of the force's variance that comes from it, 0 to 1.
    pub share: f64,
}

/// What the wall asks after an anneal ([`crate::annealed`]).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AfterAnneal {
    /// Temper that is left.
    pub temper: Known,
    /// Force that moves the wall from inside, N.
    pub force_inside_n: Figure,
    /// How far past true it must be pushed so that it springs back to true, mm.
    pub overpush_mm: Figure,
    /// Number of passes.
    pub passes: Figure,
}

/// Everything computed for one dent. Each figure's interval is 90 %.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Assessment {
    /// The dent.
    pub dent: DentId,
    /// Its run.
    pub run: RunId,
    /// Depth, mm.
    pub depth_mm: Figure,
    /// Width along the axis, mm.
    pub width_along_mm: Figure,
    /// Width round the tube, mm.
    pub width_across_mm: Figure,
    /// Depth over the tube's outside diameter.
    pub depth_over_diameter: Figure,
    /// Smallest radius of curvature round the tube (R₁), mm; negative where the wall is bent inwards past flat.
    pub radius_across_mm: Figure,
    /// Smallest radius of curvature along the tube (R₂), mm.
    pub radius_along_mm: Figure,
    /// Sharpness: wall thickness over the smallest radius of curvature.
    pub sharpness: Figure,
    /// What that sharpness is called.
    pub form: Form,
    /// Largest sphere that passes the dent, mm.
    pub passage_mm: Figure,
    /// Part of the bore's area that is left, 0 to 1.
    pub area_left: Figure,
    /// Bending strain round the tube (ε₁).
    pub strain_across: Figure,
    /// Bending strain along the tube (ε₂).
    pub strain_along: Figure,
    /// Membrane strain (ε₃).
    pub strain_membrane: Figure,
    /// Effective strain at the worst place.
    pub strain_effective: Figure,
    /// Where the worst place is ("bottom, inside surface").
    pub worst_place: String,
    /// Plastic strain that the metal had before the dent (implied by its temper).
    pub strain_forming: Figure,
    /// Accumulated plastic strain after forming, dent and bringing it back.
    pub strain_accumulated: Figure,
    /// Accumulated dent and reversal strain over what the temper can bear; above 1 it is used up.
    pub ductility_used: Figure,
    /// Likelihood that a crack starts while it is brought back cold.
    pub crack_likelihood: Figure,
    /// The same after an anneal.
    pub crack_likelihood_annealed: Figure,
    /// How far past true it must be pushed so that it springs back to true, mm.
    pub overpush_mm: Figure,
    /// Number of passes.
    pub passes: Figure,
    /// Force that moves the wall from inside, N.
    pub force_inside_n: Figure,
    /// What of that an anneal changes; none in a record from before it was worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_anneal: Option<AfterAnneal>,
    /// Why it matters, gravest first; never empty.
    pub effects: Vec<Effect>,
    /// What to do with the metal.
    pub advice: Advice,
    /// Why that advice.
    pub advice_because: Text,
    /// What was not measured, the most harmful first.
    pub missing: Vec<Missing>,
}

impl Assessment {
    /// The assessment as the tool meets it: cold as it stands, or with force, over-push and passes after an anneal. None where nobody
    /// worked out what the anneal leaves.
    #[must_use]
    pub fn softened(&self) -> Option<Self> {
        let soft = self.after_anneal.as_ref()?;
        Some(Self {
            force_inside_n: soft.force_inside_n.clone(),
            overpush_mm: soft.overpush_mm.clone(),
            passes: soft.passes.clone(),
            ..self.clone()
        })
    }

    /// How far past true, mm, cold or after an anneal.
    #[must_use]
    pub fn overpush(&self, annealed: bool) -> &Figure {
        self.after_anneal.as_ref().filter(|_| annealed).map_or(&self.overpush_mm, |s| &s.overpush_mm)
    }

    /// Force on the wall, N, cold or after an anneal.
    #[must_use]
    pub fn force_inside(&self, annealed: bool) -> &Figure {
        self.after_anneal.as_ref().filter(|_| annealed).map_or(&self.force_inside_n, |s| &s.force_inside_n)
    }

    /// Number of passes, cold or after an anneal.
    #[must_use]
    pub fn pass_count(&self, annealed: bool) -> &Figure {
        self.after_anneal.as_ref().filter(|_| annealed).map_or(&self.passes, |s| &s.passes)
    }
}
