//! The tube of a method laid in space in the tool's direction, as `reach` lays it when it solves a pose.

use dent::Assessment;
use glam::DVec3;
use instrument::{Dent, End, Run, RunId, Survey};
use reach::openings::{Entry, Leg};
use reach::path::{DentPlace, Path};
use reach::{Method, Passage};

/// A method's tube.
pub struct Laid<'a> {
    /// The tube from the opening on.
    pub path: Path,
    /// Its assessment.
    pub assessment: &'a Assessment,
    /// Its run.
    pub run: &'a Run,
    /// The end by which the tool enters that run.
    pub enters: End,
    /// Where the dent lies, mm from the mouth.
    pub at_mm: f64,
    /// Its station in its run, mm.
    pub station_mm: f64,
    /// Its clock in its run, degrees; none where nobody knows.
    pub clock_deg: Option<f64>,
    /// Which of the tube's narrowings it is.
    pub target: Option<usize>,
    survey: &'a Survey,
}

/// A dent whose station is known worse than this part of its run is not drawn on the way (as `reach` leaves it out).
const PLACED: f64 = 0.2;

impl<'a> Laid<'a> {
    /// Lays the tube of a method; none where the method speaks of runs or dents that the survey does not have.
    pub fn of(survey: &'a Survey, assessments: &'a [Assessment], method: &Method) -> Option<Self> {
        let dent = survey.dent(&method.dent)?;
        let assessment = assessments.iter().find(|a| a.dent == dent.id)?;
        let run = survey.instrument.run(&dent.run)?;
        let site = survey.site(dent)?;
        let index = |id: &RunId| survey.instrument.runs.iter().position(|r: &Run| r.id == *id);
        let (legs, at, name) = match &method.passage {
            Some(Passage { opening, parts, .. }) => {
                let legs: Option<Vec<Leg>> = parts.iter().map(|p| Some(Leg { run: index(&p.run)?, enters: p.enters })).collect();
                (legs?, opening.at.clone(), opening.name.clone())
            }
            None => {
                let at = instrument::RunEnd { run: run.id.clone(), end: End::Start };
                (vec![Leg { run: index(&run.id)?, enters: End::Start }], at, String::new())
            }
        };
        let last = legs.last().copied()?;
        if last.run != index(&run.id)? {
            return None;
        }
        let station_mm = method.passage.as_ref().and_then(|p| p.parts.last()).map_or(site.at_mm.value, |p| p.to_mm);
        let station_mm = station_mm.clamp(0.0, run.length_mm());
        let clock_deg = site.clock_deg.as_ref().map(|c| c.value);
        let places = places(survey, assessments, dent, station_mm);
        let mine = survey.dents.iter().position(|d| d.id == dent.id)?;
        let path = Path::new(&survey.instrument, Entry { at, name, opens: Vec::new(), legs }, &places);
        if !(path.tube.length_mm() > 0.0) {
            return None;
        }
        let target = path.dent_of.iter().position(|d| *d == mine);
        let at_mm = path.u_of(station_mm);
        Some(Self { path, assessment, run, enters: last.enters, at_mm, station_mm, clock_deg, target, survey })
    }

    /// The direction of the dent's side; 12 o'clock where its clock is not known.
    pub fn side(&self) -> DVec3 {
        let clock = self.path.clock_of(self.clock_deg.unwrap_or(0.0).to_radians());
        self.path.tube.frame(self.at_mm).clock(clock)
    }

    /// Wall at a place, mm.
    pub fn wall_mm(&self, u_mm: f64) -> f64 {
        let legs = &self.path.entry.legs;
        let i = self.path.leg_from_mm.iter().rposition(|from| *from <= u_mm + 1e-9).unwrap_or(0);
        let Some(run) = legs.get(i).and_then(|l| self.survey.instrument.runs.get(l.run)) else { return 0.0 };
        let along = u_mm - self.path.leg_from_mm.get(i).copied().unwrap_or(0.0);
        let station = if legs[i].enters == End::Start { along } else { run.length_mm() - along };
        run.wall_at(station).value.max(0.0)
    }

    /// Inside radius at the dent, mm.
    pub fn radius_mm(&self) -> f64 {
        self.path.tube.radius_mm(self.at_mm)
    }

    /// A point's place across the tube at the dent: (towards 3 o'clock, towards 12 o'clock), mm, in the run's own clock.
    pub fn across(&self, p: DVec3) -> (f64, f64) {
        let frame = self.path.tube.frame(self.at_mm);
        let o = p - frame.at;
        let sign = if self.enters == End::Start { 1.0 } else { -1.0 };
        (sign * o.dot(frame.binormal), o.dot(frame.normal))
    }
}

fn places(survey: &Survey, assessments: &[Assessment], target: &Dent, station_mm: f64) -> Vec<DentPlace> {
    let mut places = Vec::new();
    for (i, dent) in survey.dents.iter().enumerate() {
        let Some(run) = survey.instrument.runs.iter().position(|r| r.id == dent.run) else { continue };
        let (Some(site), Some(a)) = (survey.site(dent), assessments.iter().find(|a| a.dent == dent.id)) else { continue };
        let mine = dent.id == target.id;
        if !mine && site.at_mm.sd > PLACED * survey.instrument.runs[run].length_mm() {
            continue;
        }
        places.push(DentPlace {
            dent: i,
            run,
            at_mm: if mine { station_mm } else { site.at_mm.value },
            clock_rad: site.clock_deg.as_ref().map(|c| c.value.to_radians()),
            depth_mm: a.depth_mm.value.max(0.0),
            half_width_mm: (0.5 * a.width_along_mm.value).max(0.5),
        });
    }
    places
}
