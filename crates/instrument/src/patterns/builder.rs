//! Puts an instrument together: runs, joints, overlays, fits.

use super::practice;
use super::tube::Tube;
use crate::{Cover, End, Finish, FitKind, Instrument, Joint, JointKind, Kind, MovingFit, Overlay, OverlayKind, Role, Run, RunEnd};
use metal::Filler;
use units::{Known, Origin, Unit};

/// A foot of a brace: the run, the part of its length, the clock on which it stands, degrees.
pub type Foot<'a> = (&'a str, f64, f64);

/// An instrument in the making.
pub struct Builder {
    instrument: Instrument,
    /// Wall where a run has none of its own, mm.
    pub wall_mm: f64,
    finish: Finish,
}

impl Builder {
    pub fn new(kind: Kind, wall_mm: f64, finish: Finish) -> Self {
        Self { instrument: Instrument::new(kind), wall_mm, finish }
    }

    pub fn build(self) -> Instrument {
        self.instrument
    }

    pub fn add(&mut self, tube: Tube) {
        self.instrument.runs.push(tube.build(self.wall_mm, self.finish));
    }

    fn run(&self, id: &str) -> Option<&Run> {
        self.instrument.runs.iter().find(|r| r.id.0 == id)
    }

    fn length_mm(&self, id: &str) -> f64 {
        self.run(id).map_or(0.0, Run::length_mm)
    }

    /// A joint between two ends, named after the runs.
    fn joint_of(&mut self, a: (&str, End), b: (&str, End), kind: JointKind, overlap_mm: f64) -> String {
        let end = |(run, end): (&str, End)| RunEnd { run: run.into(), end };
        let id = format!("{}--{}", a.0, b.0);
        self.instrument.joints.push(Joint {
            id: id.as_str().into(),
            name: practice::name_of(&id),
            a: end(a),
            b: end(b),
            kind,
            overlap_mm,
            open_minutes: None,
            close_minutes: None,
        });
        id
    }

    /// The bell end of `a` to the mouthpiece end of `b`.
    fn joint(&mut self, a: &str, b: &str, kind: JointKind, overlap_mm: f64) -> String {
        self.joint_of((a, End::Finish), (b, End::Start), kind, overlap_mm)
    }

    /// Soft soldered, one slipped into the other. Which solder, a pattern cannot know.
    pub fn solder(&mut self, a: &str, b: &str) {
        self.joint(a, b, JointKind::SoftSoldered { filler: Filler::UnknownSoft }, 10.0);
    }

    /// Soft soldered under a ferrule that covers as much of either end.
    pub fn ferruled(&mut self, a: &str, b: &str, width_mm: f64) {
        let half = width_mm / 2.0;
        let joint = self.joint(a, b, JointKind::SoftSoldered { filler: Filler::UnknownSoft }, half);
        let end = self.length_mm(a);
        let cover = |run: &str, from_mm, to_mm| Cover { run: run.into(), from_mm, to_mm, clock_deg: None };
        let covers = vec![cover(a, (end - half).max(0.0), end), cover(b, 0.0, half.min(self.length_mm(b)))];
        self.overlay(&format!("{joint}-ferrule"), OverlayKind::Ferrule, covers, Some(joint));
    }

    /// Of one piece: never opened.
    pub fn one_piece(&mut self, a: &str, b: &str) {
        self.joint(a, b, JointKind::Fixed, 0.0);
    }

    pub fn thread(&mut self, a: &str, b: &str) {
        self.joint(a, b, JointKind::Threaded, 8.0);
    }

    /// A slide that pulls out by hand; `overlap_mm` when pushed in.
    pub fn slides(&mut self, a: &str, b: &str, overlap_mm: f64) {
        self.joint(a, b, JointKind::SlidingFit, overlap_mm);
    }

    /// A tube brazed into a casing's wall; at its upper ports or its lower ones.
    pub fn enters_casing(&mut self, run: &str, casing: &str, port: End) {
        self.joint_of((run, End::Finish), (casing, port), JointKind::Fixed, 2.0);
    }

    /// As [`Builder::enters_casing`], the tube that leads away.
    pub fn leaves_casing(&mut self, casing: &str, run: &str, port: End) {
        self.joint_of((casing, port), (run, End::Start), JointKind::Fixed, 2.0);
    }

    pub fn fit(&mut self, id: &str, kind: FitKind, inner: &str, outer: &str, clearance_mm: (f64, f64)) {
        self.instrument.fits.push(MovingFit {
            id: id.into(),
            name: practice::name_of(id),
            kind,
            inner: inner.into(),
            outer: outer.into(),
            clearance_mm: Some(Known::new("clearance", clearance_mm.0, clearance_mm.1, Unit::Mm, Origin::Pattern)),
            state: None,
        });
    }

    fn overlay(&mut self, id: &str, kind: OverlayKind, covers: Vec<Cover>, slides_off_at: Option<String>) {
        let held = !matches!(kind, OverlayKind::RimWire);
        self.instrument.overlays.push(Overlay {
            id: id.into(),
            name: practice::name_of(id),
            kind,
            covers,
            filler: held.then_some(Filler::UnknownSoft),
            slides_off_at: slides_off_at.map(Into::into),
            off_minutes: None,
            back_minutes: None,
        });
    }

    /// A brace with a foot on each run; the feet grow with the tube, as flanges do.
    pub fn brace(&mut self, id: &str, feet: &[Foot]) {
        let covers = feet
            .iter()
            .filter_map(|(id, part, clock)| {
                let run = self.run(id)?;
                let (length, at) = (run.length_mm(), part * run.length_mm());
                let outside = run.outside_diameter_at(at);
                let (half_along, half_round) = practice::foot_mm(outside);
                let half_along = half_along.min(length / 2.0);
                let half_deg = (half_round / (outside / 2.0)).to_degrees().min(80.0);
                let at = at.clamp(half_along, length - half_along);
                let clock_deg = Some(((clock - half_deg).rem_euclid(360.0), (clock + half_deg).rem_euclid(360.0)));
                Some(Cover { run: (*id).into(), from_mm: at - half_along, to_mm: at + half_along, clock_deg })
            })
            .collect();
        self.overlay(id, OverlayKind::Brace, covers, None);
    }

    /// A guard over the outside of a bow that turns towards its marked line.
    pub fn guard(&mut self, run: &str) {
        let length = self.length_mm(run);
        let covers = vec![Cover { run: run.into(), from_mm: 0.15 * length, to_mm: 0.85 * length, clock_deg: Some((125.0, 235.0)) }];
        self.overlay(&format!("{run}-guard"), OverlayKind::Guard, covers, None);
    }

    /// A bell's rim, rolled from the flare itself, and the wire in it.
    pub fn rim(&mut self, bell: &str) {
        let Some(last) = self.run(bell).map(|r| (r.bore_mm.at(r.length_mm()).value, r.wall_mm.at(r.length_mm()).value)) else { return };
        self.add(Tube::new("rim", Role::Rim).straight(practice::RIM_MM).bore(last.0, last.0 + practice::RIM_MM).wall(last.1));
        self.one_piece(bell, "rim");
        let covers = vec![Cover { run: "rim".into(), from_mm: 0.0, to_mm: practice::RIM_MM, clock_deg: None }];
        self.overlay("rim-wire", OverlayKind::RimWire, covers, None);
    }

    /// A band round a bell below its rim.
    pub fn garland(&mut self, bell: &str, width_mm: f64) {
        let length = self.length_mm(bell);
        let covers = vec![Cover { run: bell.into(), from_mm: length - width_mm, to_mm: length, clock_deg: None }];
        self.overlay("garland", OverlayKind::Garland, covers, None);
    }
}
