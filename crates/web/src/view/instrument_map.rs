//! The instrument as it lies: the way of the air from the receiver to the bell's rim, every bow bent as its axis says,
//! flattened into one plane; and beside each valve its loop, laid flat where there is room for it, with broken lines to the
//! valve that it belongs to. It is a map, not a portrait: what turns out of the plane is drawn straight.

use super::map_parts::{P, Part, Pen, Place, girths, tube};
use super::valve_loops;
use instrument::{AirPart, Instrument, Role, RunId};
use maud::{Markup, html};
use std::f64::consts::FRAC_PI_2;
use std::fmt::Write as _;

/// The map of an instrument.
pub struct InstrumentMap<'a> {
    /// The way of the air.
    parts: Vec<Part<'a>>,
    /// The valves' loops.
    loops: Vec<Part<'a>>,
    /// From each end of a loop to its valve.
    leads: Vec<(P, P)>,
    low: P,
    high: P,
}

impl<'a> InstrumentMap<'a> {
    /// The map; none where the survey's runs do not lead from the receiver to the bell.
    pub fn of(instrument: &'a Instrument) -> Option<Self> {
        let method = instrument.air_path()?;
        let drawn = draw(&method, 0.0).1;
        // A second time, turned so that the bell points to the right.
        let (parts, _) = draw(&method, -drawn);
        let (loops, leads) = valve_loops::lay(instrument, &parts);
        let mut map = Self { parts, loops, leads, low: (f64::MAX, f64::MAX), high: (f64::MIN, f64::MIN) };
        for p in map.parts.iter().chain(&map.loops).flat_map(|p| &p.at) {
            map.low = (map.low.0.min(p.point.0 - p.half_mm), map.low.1.min(p.point.1 - p.half_mm));
            map.high = (map.high.0.max(p.point.0 + p.half_mm), map.high.1.max(p.point.1 + p.half_mm));
        }
        (map.low.0 < map.high.0 && map.low.1 < map.high.1).then_some(map)
    }

    /// Whether the air takes a run with the valves at rest.
    pub fn on_the_way(&self, run: &RunId) -> bool {
        self.parts.iter().any(|p| p.run.id == *run)
    }

    /// Whether valve loops are drawn.
    pub fn has_loops(&self) -> bool {
        !self.loops.is_empty()
    }

    /// Where a place of a run's wall is on the map.
    pub fn place(&self, run: &RunId, at_mm: f64, clock_deg: f64) -> Option<P> {
        let part = self.parts.iter().chain(&self.loops).find(|p| p.run.id == *run)?;
        let here = part.at.iter().min_by(|a, b| (a.at_mm - at_mm).abs().total_cmp(&(b.at_mm - at_mm).abs()))?;
        let off = 0.8 * here.half_mm * clock_deg.to_radians().cos();
        Some((here.point.0 + off * here.side.0, here.point.1 + off * here.side.1))
    }

    /// The map as SVG. With `linked`, every run leads to itself opened on the survey's page, and says how wide it is. `inside` is drawn on top; sizes there are
    /// in parts of [`InstrumentMap::unit`].
    pub fn svg(&self, linked: bool, words: &str, inside: Markup) -> Markup {
        let edge = 1.6 * self.unit();
        let (w, h) = (self.high.0 - self.low.0 + 2.0 * edge, self.high.1 - self.low.1 + 2.0 * edge);
        let view = format!("{:.0} {:.0} {w:.0} {h:.0}", self.low.0 - edge, self.low.1 - edge);
        html! {
            svg.lie viewBox=(view) role=(if linked { "group" } else { "img" }) aria-label=(words) data-unit=(format!("{:.1}", self.unit())) {
                @for (from, to) in &self.leads { path.lead d=(path([*from, *to].into_iter())) {} }
                @for part in self.parts.iter().chain(&self.loops) {
                    @if linked { a href={ "?tube=" (part.run.id) "#tube" } aria-label={ "Open " (part.run.name) } { (drawn(part, true)) } }
                    @else { (drawn(part, false)) }
                }
                g.dents { (inside) }
            }
        }
    }

    /// What on the map is not as on the instrument, in words.
    pub fn caveat(&self) -> &'static str {
        if self.has_loops() {
            "Lengths and widths are to scale; all is laid flat into one plane, and each valve's loop beside its valve (broken lines), not where it sits."
        } else {
            "Lengths and widths are to scale; all is laid flat into one plane."
        }
    }

    /// Radius of a dent's dot, mm on the map.
    pub fn unit(&self) -> f64 {
        (self.high.0 - self.low.0).max(self.high.1 - self.low.1) / 50.0
    }
}

/// A run as it is drawn.
fn drawn(part: &Part, to_tap: bool) -> Markup {
    let across = |p: &Place, k: f64| (p.point.0 + k * p.half_mm * p.side.0, p.point.1 + k * p.half_mm * p.side.1);
    let there = part.at.iter().map(|p| across(p, 1.0));
    let outline = there.chain(part.at.iter().rev().map(|p| across(p, -1.0)));
    let axis = path(part.at.iter().map(|p| p.point));
    html! {
        path.tube d={ (path(outline)) "Z" } { title { (part.run.name) } }
        path.axis d=(axis) data-run=(part.run.id) data-length=(format!("{:.1}", part.run.length_mm())) data-girths=[to_tap.then(|| girths(part.run))] data-side=[(to_tap && turned(part)).then_some("-1")] {}
    }
}

/// Whether 12 o'clock lies to the left of the drawn line, from the run's first station on, and not to its right.
fn turned(part: &Part) -> bool {
    let [a, b, ..] = part.at.as_slice() else { return false };
    let along = (b.point.0 - a.point.0, b.point.1 - a.point.1);
    // Right of it, with y downwards.
    let right = (-along.1, along.0);
    right.0 * a.side.0 + right.1 * a.side.1 < 0.0
}

/// How far a drawn line may pass beside a station, mm: a third of a pixel where a trumpet fills the page.
const BESIDE_MM: f64 = 0.25;

fn path(points: impl Iterator<Item = P>) -> String {
    let mut d = String::new();
    for (i, (x, y)) in thinned(&points.collect::<Vec<_>>()).into_iter().enumerate() {
        // Writing into a string cannot fail.
        let _ = write!(d, "{}{x:.1} {y:.1}", if i == 0 { "M" } else { "L" });
    }
    d
}

/// The points without those that lie on the line between their neighbors: a straight tube needs two, not forty.
fn thinned(points: &[P]) -> Vec<P> {
    let mut kept = Vec::new();
    let mut from = 0;
    while from < points.len() {
        kept.push(points[from]);
        let straight = |to: &usize| points[from + 1..*to].iter().all(|p| off(*p, points[from], points[*to]) < BESIDE_MM);
        from = (from + 1..points.len()).take_while(straight).last().unwrap_or(points.len());
    }
    kept
}

/// How far a point lies from the line through two others, or from the first where they are one.
fn off(p: P, a: P, b: P) -> f64 {
    let (along, to) = ((b.0 - a.0, b.1 - a.1), (p.0 - a.0, p.1 - a.1));
    let length = along.0.hypot(along.1);
    if length < 1e-9 { to.0.hypot(to.1) } else { (along.0 * to.1 - along.1 * to.0).abs() / length }
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
            let map = InstrumentMap::of(&instrument).unwrap_or_else(|| panic!("{kind:?} has no map"));
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
            let map = InstrumentMap::of(&instrument).unwrap();
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
    fn a_straight_line_keeps_its_ends_and_a_bend_its_shape() {
        let line: Vec<P> = (0..=40).map(|i| (f64::from(i), 0.5 * f64::from(i))).collect();
        assert_eq!(thinned(&line), [line[0], line[40]]);
        let arc: Vec<P> =
            (0..=64).map(|i| (f64::from(i) * std::f64::consts::PI / 64.0).sin_cos()).map(|(s, c)| (50.0 * c, 50.0 * s)).collect();
        let kept = thinned(&arc);
        assert!(kept.len() < 30 && kept.len() > 10, "{}", kept.len());
        let near = |p: &P| kept.windows(2).map(|w| off(*p, w[0], w[1])).fold(f64::MAX, f64::min);
        assert!(arc.iter().all(|p| near(p) < 2.0 * BESIDE_MM));
    }

    #[test]
    fn without_valves_there_is_no_loop() {
        for kind in [Kind::Trombone, Kind::Bugle] {
            let instrument = patterns::pattern(kind).unwrap();
            assert!(!InstrumentMap::of(&instrument).unwrap().has_loops(), "{kind:?}");
        }
    }

    #[test]
    fn a_half_circle_comes_back_beside_itself() {
        let instrument = patterns::pattern(Kind::Tuba).unwrap();
        let map = InstrumentMap::of(&instrument).unwrap();
        let bow: RunId = "bottom-bow".into();
        let run = instrument.run(&bow).unwrap();
        let (a, b) = (map.place(&bow, 0.0, 90.0).unwrap(), map.place(&bow, run.length_mm(), 90.0).unwrap());
        // The legs of a bow of radius 108 mm with straight ends of one length lie 216 mm apart.
        assert!(((a.0 - b.0).hypot(a.1 - b.1) - 216.0).abs() < 1.0);
    }
}
