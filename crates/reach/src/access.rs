//! The ways in to a run and to a dent, with what was already tried there.

use crate::body::Body;
use crate::fits::{Fits, Jams};
use crate::opened::Opened;
use crate::openings::Ends;
use crate::path::{DentPlace, Path};
use crate::tube::Section;
use instrument::{End, Instrument};
use std::cell::{Cell, OnceCell, RefCell};
use units::Text;

/// The ways in to one run.
#[derive(Debug, Default)]
pub struct RunPaths {
    /// Paths by either end.
    pub paths: Vec<Path>,
    /// Where the way outwards is blocked, by end.
    pub blocked: Vec<(End, Text)>,
}

impl RunPaths {
    /// All ways in to a run.
    pub fn new(instrument: &Instrument, ends: &Ends, dents: &[DentPlace]) -> Self {
        let mut all = Self::default();
        for (side, found) in [End::Start, End::Finish].into_iter().zip(ends.iter().cloned()) {
            all.paths.extend(found.entries.into_iter().map(|e| Path::new(instrument, e, dents)));
            all.blocked.extend(found.kept.into_iter().chain(found.blocked).map(|b| (side, b)));
        }
        all
    }
}

/// Tolerance of the cross-sections' spacing for curved bodies, mm; poses within it are settled by closer ones.
pub const CURVED_TOLERANCE_MM: f64 = 0.1;

/// A rod tried at an opening, how far past true its head goes, mm, and what came of it.
pub type Tried = (Body, f64, Result<Fits, Jams>);

/// A way in to one dent.
pub struct Access<'a> {
    /// The path to its run.
    pub path: &'a Path,
    /// Where the dent lies, mm from the mouth.
    pub u_mm: f64,
    /// Which of the tube's narrowings the dent is.
    pub target: Option<usize>,
    /// Sets of things to open, overlays over the dent with them; each is enough.
    pub opens: Vec<Vec<Opened>>,
    /// Largest ball that gets to the dent once the other dents on the way are true, mm, and where it is tight.
    pub clear_ball_mm: (f64, f64),
    /// Largest ball that gets to the dent now.
    pub ball_mm: f64,
    /// Cross-sections for curved bodies.
    pub(crate) curved: OnceCell<Vec<Section>>,
    /// Whether what was tried here is asked after: the three below.
    pub asked: Cell<bool>,
    /// Rods already tried here: several methods ask after the same rod.
    pub tried: RefCell<Vec<Tried>>,
    /// The thickest plain bar that is known to get there, mm.
    pub slim: Cell<f64>,
    /// The thinnest plain bar that is known to jam, mm, and where.
    pub stout: Cell<Option<(f64, Jams)>>,
}

impl Access<'_> {
    /// The end of the dent's run by which the tool enters it.
    pub fn side(&self) -> End {
        self.path.entry.legs.last().map_or(End::Start, |l| l.enters)
    }

    /// Dents on the way that leave a ball or head of this size no passage, by index in the survey.
    pub fn blocking(&self, size_mm: f64) -> Vec<usize> {
        self.path
            .tube
            .dents
            .iter()
            .enumerate()
            .filter(|(i, d)| Some(*i) != self.target && d.at_mm - d.half_width_mm < self.u_mm)
            .filter(|(_, d)| 2.0 * self.path.tube.radius_mm(d.at_mm) - d.depth_mm < size_mm)
            .map(|(i, _)| self.path.dent_of[i])
            .collect()
    }

    /// Cross-sections close enough for bodies of curvature up to 1/40 mm.
    pub fn curved_sections(&self) -> &[Section] {
        self.curved.get_or_init(|| self.path.tube.sections(self.curved_to_mm(), 1.0 / 40.0, CURVED_TOLERANCE_MM))
    }

    /// How far they go, mm from the mouth: to the dent's far edge.
    pub fn curved_to_mm(&self) -> f64 {
        let half = self.target.and_then(|t| self.path.tube.dents.get(t)).map_or(0.0, |d| d.half_width_mm);
        (self.u_mm + half).min(self.path.tube.length_mm())
    }
}
