//! The instrument as it lies (`draw::lie`) as a page's picture: each run a link to its strip, broken lines from a loop to its valve.

use draw::lie::Lie;
use draw::lie::braces::Brace;
use draw::lie::parts::{P, Part, Place, girths};
use instrument::{Instrument, RunId, Survey};
use maud::{Markup, html};
use std::fmt::Write as _;

/// The map of an instrument.
pub struct InstrumentMap<'a> {
    lie: Lie<'a>,
    /// The braces: each with the bars between its feet and the feet themselves.
    braces: Vec<Brace<'a>>,
}

impl<'a> InstrumentMap<'a> {
    /// The map; none where the survey's runs do not lead from the receiver to the bell.
    pub fn of(instrument: &'a Instrument) -> Option<Self> {
        let lie = Lie::of(instrument)?;
        let braces = lie.braces(instrument);
        Some(Self { lie, braces })
    }

    /// Without the braces that a survey says are missing.
    #[must_use]
    pub fn lacking(mut self, survey: &Survey) -> Self {
        self.braces.retain(|b| !survey.lacks(&b.overlay.id));
        self
    }

    /// Whether the air takes a run with the valves at rest.
    pub fn on_the_way(&self, run: &RunId) -> bool {
        self.lie.parts.iter().any(|p| p.run.id == *run)
    }

    /// Whether valve loops are drawn.
    pub fn has_loops(&self) -> bool {
        !self.lie.loops.is_empty()
    }

    /// Where a place of a run's wall is on the map.
    pub fn place(&self, run: &RunId, at_mm: f64, clock_deg: f64) -> Option<P> {
        self.lie.place(run, at_mm, clock_deg)
    }

    /// The map as SVG. With `linked`, every run leads to itself opened on the survey's page, and says how wide it is. `inside` is drawn on top; sizes there are
    /// in parts of [`InstrumentMap::unit`].
    pub fn svg(&self, linked: bool, words: &str, inside: Markup) -> Markup {
        let (low, high) = self.edges(0.0);
        let view = format!("{:.0} {:.0} {:.0} {:.0}", low.0, low.1, high.0 - low.0, high.1 - low.1);
        html! {
            svg.lie viewBox=(view) role=(if linked { "group" } else { "img" }) aria-label=(words) data-unit=(format!("{:.1}", self.unit())) {
                @for (from, to) in &self.lie.leads { path.lead d=(path([*from, *to].into_iter())) {} }
                @for part in self.lie.runs() {
                    @if linked { a href={ "?tube=" (part.run.id) "#tube" } aria-label={ "Open " (part.run.name) } { (drawn(part, true)) } }
                    @else { (drawn(part, false)) }
                }
                @for b in &self.braces { (brace(b, self.unit())) }
                g.dents { (inside) }
            }
        }
    }

    /// The picture's corners, so far inside its edge.
    pub fn edges(&self, inside: f64) -> (P, P) {
        let (low, high, edge) = (self.lie.low, self.lie.high, 1.6 * self.unit() - inside);
        ((low.0 - edge, low.1 - edge), (high.0 + edge, high.1 + edge))
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
        (self.lie.high.0 - self.lie.low.0).max(self.lie.high.1 - self.lie.low.1) / 46.0
    }
}

/// A brace at its place: its feet, and a bar where they lie near each other.
fn brace(b: &Brace, unit: f64) -> Markup {
    let foot = 0.5 * unit;
    let mut d = String::new();
    for (p, q) in &b.bars {
        // Writing into a string cannot fail.
        let _ = write!(d, "M{:.0} {:.0}L{:.0} {:.0}", p.0, p.1, q.0, q.1);
    }
    for p in &b.feet {
        let _ = write!(d, "M{:.0} {:.0}h{foot:.0}v{foot:.0}h-{foot:.0}z", p.0 - foot / 2.0, p.1 - foot / 2.0);
    }
    html! { path.brace d=(d) {} }
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
        let (x, y) = (tenths(x), tenths(y));
        // A sign parts two numbers as well as a space does.
        let between = if y.starts_with('-') { "" } else { " " };
        // Writing into a string cannot fail.
        let _ = write!(d, "{}{x}{between}{y}", if i == 0 { "M" } else { "L" });
    }
    d
}

/// To a tenth, a whole number without one.
fn tenths(v: f64) -> String {
    let said = format!("{v:.1}");
    said.strip_suffix(".0").map_or_else(|| said.clone(), str::to_owned)
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

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Condition, ConditionKind, Kind, OverlayKind};

    #[test]
    fn braces_stand_on_the_picture_but_not_those_that_are_missing() {
        let mut survey = Survey::of(fixtures::pattern(Kind::Trumpet));
        let drawn = |survey: &Survey| {
            let map = InstrumentMap::of(&survey.instrument).map(|m| m.lacking(survey));
            map.map_or_else(String::new, |m| m.svg(false, "x", html! {}).into_string())
        };
        let braces: Vec<_> = survey.instrument.overlays.iter().filter(|o| o.kind == OverlayKind::Brace).cloned().collect();
        let shown = |survey: &Survey| drawn(survey).matches("class=\"brace\"").count();
        assert!(!braces.is_empty());
        assert_eq!(shown(&survey), braces.len());
        survey.conditions.push(Condition { overlay: Some(braces[0].id.clone()), ..Condition::new("gone", ConditionKind::MissingBrace) });
        assert_eq!(shown(&survey), braces.len() - 1);
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
}
