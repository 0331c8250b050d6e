//! The instrument as it lies: the way of the air from the receiver to the bell's rim, every bow bent as its axis says,
//! flattened into one plane; and beside each valve its loop, laid flat where there is room for it. It is a map, not a
//! portrait: what turns out of the plane is drawn straight.

pub mod braces;
mod loops;
pub mod parts;

use instrument::{AirPart, Instrument, Kind, Role, RunId};
use parts::{P, Part, Pen, Place, tube};
use std::f64::consts::FRAC_PI_2;

/// The instrument laid flat, mm.
#[derive(Debug)]
pub struct Lie<'a> {
    /// The way of the air.
    pub parts: Vec<Part<'a>>,
    /// The valves' loops.
    pub loops: Vec<Part<'a>>,
    /// From each end of a loop to its valve.
    pub leads: Vec<(P, P)>,
    /// The upper left corner of what is drawn.
    pub low: P,
    /// The lower right corner.
    pub high: P,
}

impl<'a> Lie<'a> {
    /// With the bell to the right; none where the survey's runs do not lead from the receiver to the bell.
    pub fn of(instrument: &'a Instrument) -> Option<Self> {
        Self::heading(instrument, 0.0)
    }

    /// As the player sees it: the bell up where the instrument stands in the lap or hangs on the shoulder with its bell up, else to
    /// the right.
    pub fn as_played(instrument: &'a Instrument) -> Option<Self> {
        let up = matches!(instrument.kind, Kind::Tuba | Kind::Euphonium | Kind::Baritone | Kind::AltoHorn);
        Self::heading(instrument, if up { -FRAC_PI_2 } else { 0.0 })
    }

    fn heading(instrument: &'a Instrument, bell_rad: f64) -> Option<Self> {
        let method = instrument.air_path()?;
        let drawn = draw(&method, 0.0).1;
        // A second time, turned so that the bell points where it is wanted.
        let (parts, _) = draw(&method, bell_rad - drawn);
        let (loops, leads) = loops::lay(instrument, &parts);
        let mut lie = Self { parts, loops, leads, low: (f64::MAX, f64::MAX), high: (f64::MIN, f64::MIN) };
        for p in lie.parts.iter().chain(&lie.loops).flat_map(|p| &p.at) {
            lie.low = (lie.low.0.min(p.point.0 - p.half_mm), lie.low.1.min(p.point.1 - p.half_mm));
            lie.high = (lie.high.0.max(p.point.0 + p.half_mm), lie.high.1.max(p.point.1 + p.half_mm));
        }
        (lie.low.0 < lie.high.0 && lie.low.1 < lie.high.1).then_some(lie)
    }

    /// Every run that is drawn.
    pub fn runs(&self) -> impl Iterator<Item = &Part<'a>> {
        self.parts.iter().chain(&self.loops)
    }

    /// Where a place of a run's wall lies.
    pub fn place(&self, run: &RunId, at_mm: f64, clock_deg: f64) -> Option<P> {
        let part = self.runs().find(|p| p.run.id == *run)?;
        let here = part.at.iter().min_by(|a, b| (a.at_mm - at_mm).abs().total_cmp(&(b.at_mm - at_mm).abs()))?;
        let off = 0.8 * here.half_mm * clock_deg.to_radians().cos();
        Some((here.point.0 + off * here.side.0, here.point.1 + off * here.side.1))
    }
}

/// Draws the way of the air, starting with a heading; returns the heading at the bell too.
fn draw<'a>(method: &[AirPart<'a>], heading: f64) -> (Vec<Part<'a>>, f64) {
    let mut pen = Pen { point: (0.0, 0.0), heading };
    let mut parts = Vec::new();
    for part in method {
        if part.run.role == Role::Casing {
            parts.push(casing(part, &mut pen));
            continue;
        }
        // A slide that is pushed in begins inside the tube before it.
        pen.forward(-(part.run.length_mm() - part.adds_mm).max(0.0));
        parts.push(tube(part.run, part.enters, &mut pen));
    }
    (parts, pen.heading)
}

/// A casing stands across the way; the air goes through its middle.
fn casing<'a>(part: &AirPart<'a>, pen: &mut Pen) -> Part<'a> {
    pen.forward(part.adds_mm / 2.0);
    let (run, along) = (part.run, pen.heading + FRAC_PI_2);
    let length = run.length_mm();
    let place = |at_mm: f64| Place {
        at_mm,
        point: (pen.point.0 + (at_mm - length / 2.0) * along.cos(), pen.point.1 + (at_mm - length / 2.0) * along.sin()),
        side: (pen.heading.cos(), pen.heading.sin()),
        half_mm: run.outside_diameter_at(at_mm) / 2.0,
    };
    let at = vec![place(0.0), place(length)];
    pen.forward(part.adds_mm / 2.0);
    Part { run, at }
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Kind, patterns};

    #[test]
    fn every_pattern_lies_on_its_map_with_the_bell_to_the_right() {
        for kind in [Kind::Trumpet, Kind::Cornet, Kind::Trombone, Kind::Euphonium, Kind::Tuba, Kind::Horn, Kind::Sousaphone, Kind::Bugle] {
            let instrument = patterns::pattern(kind).unwrap();
            let map = Lie::of(&instrument).unwrap_or_else(|| panic!("{kind:?} has no map"));
            let bell = instrument.runs.iter().find(|r| r.role == Role::BellFlare).unwrap();
            let (start, end) = (map.place(&bell.id, 0.0, 90.0).unwrap(), map.place(&bell.id, bell.length_mm(), 90.0).unwrap());
            assert!(end.0 > start.0, "{kind:?}");
            assert!(map.high.0 - map.low.0 < 4000.0 && map.high.1 - map.low.1 < 4000.0, "{kind:?}");
        }
    }

    #[test]
    fn every_valve_has_its_loop_on_the_map_and_no_loop_lies_over_another_tube() {
        for kind in [Kind::Trumpet, Kind::Cornet, Kind::Euphonium, Kind::Tuba, Kind::Horn, Kind::Sousaphone] {
            let instrument = patterns::pattern(kind).unwrap();
            let map = Lie::of(&instrument).unwrap();
            for run in instrument.runs.iter().filter(|r| r.role == Role::TuningSlideCrook) {
                assert!(map.place(&run.id, 0.0, 90.0).is_some(), "{kind:?}: {} is not on the map", run.id);
            }
            // Middle of one tube against the axis of every other: loops keep clear of the way and of each other.
            let parts: Vec<&Part<'_>> = map.parts.iter().chain(&map.loops).collect();
            let valve = |p: &Part<'_>| p.run.id.0.split('-').next().map(str::to_owned);
            for one in &map.loops {
                for other in parts.iter().filter(|o| valve(o) != valve(one) && o.run.role != Role::Casing && one.run.role != Role::Knuckle)
                {
                    let middle = one.at[one.at.len() / 2];
                    let over = other.at.iter().find(|p| {
                        let off = (middle.point.0 - p.point.0, middle.point.1 - p.point.1);
                        let across = off.0 * p.side.0 + off.1 * p.side.1;
                        let along = off.0 * p.side.1 - off.1 * p.side.0;
                        along.abs() < 6.0 && across.abs() < p.half_mm
                    });
                    assert!(over.is_none(), "{kind:?}: the middle of {} lies on {}", one.run.id, other.run.id);
                }
            }
        }
    }

    #[test]
    fn without_valves_there_is_no_loop() {
        for kind in [Kind::Trombone, Kind::Bugle] {
            let instrument = patterns::pattern(kind).unwrap();
            assert!(Lie::of(&instrument).unwrap().loops.is_empty(), "{kind:?}");
        }
    }

    #[test]
    fn a_half_circle_comes_back_beside_itself() {
        let instrument = patterns::pattern(Kind::Tuba).unwrap();
        let map = Lie::of(&instrument).unwrap();
        let bow: RunId = "bottom-bow".into();
        let run = instrument.run(&bow).unwrap();
        let (a, b) = (map.place(&bow, 0.0, 90.0).unwrap(), map.place(&bow, run.length_mm(), 90.0).unwrap());
        // The legs of a bow of radius 108 mm with straight ends of one length lie 216 mm apart.
        assert!(((a.0 - b.0).hypot(a.1 - b.1) - 216.0).abs() < 1.0);
    }
}
