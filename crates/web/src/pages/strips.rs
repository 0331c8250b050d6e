//! The instrument as it lies, then each of its tubes straightened and unrolled, with what is known of the tube below it.

use super::sheets::Sheets;
use crate::unit_format::UnitFormat;
use instrument::{Instrument, OverlayKind, Run};
use maud::{Markup, html};
use units::length::MM_PER_INCH;

/// The instrument as it lies, then its runs straightened: first those that the air takes with the valves at rest.
pub(super) fn runs(sheets: &Sheets<'_>) -> Markup {
    let (fmt, survey) = (sheets.signed.fmt, sheets.survey);
    let instrument = &survey.instrument;
    let lie = crate::view::instrument_map::InstrumentMap::of(instrument);
    let on_map = |r: &Run| lie.as_ref().is_none_or(|l| l.on_the_way(&r.id));
    let (main, side): (Vec<&Run>, Vec<&Run>) =
        instrument.runs.iter().filter(|r| !matches!(r.role, instrument::Role::Piston)).partition(|r| on_map(r));
    let dented = side.iter().any(|r| survey.dents.iter().any(|d| d.run == r.id));
    html! {
        svg width="0" height="0" aria-hidden="true" style="position:absolute" { defs { pattern id="covered" width="8" height="8" patternUnits="userSpaceOnUse" { path d="M0 8L8 0" stroke="#5b4a1f" stroke-width="1" {} } } }
        @if let Some(lie) = &lie {
            figure.lie-box {
                (lie.svg(true, "The instrument as it lies: tap a tube to come to its strip", html! {}))
                figcaption.soft.small { "Tap a tube to come to its strip. " (lie.caveat()) " " @if !side.is_empty() { "The strips of " a href="#side" { "valve slides and casings" } " are below." } }
            }
        }
        @for run in main { (strip(fmt, instrument, run, sheets)) }
        @if !side.is_empty() {
            details id="side" open[dented] {
                summary { strong { "Valve slides, casings and other tubes" } " " span.soft { "(" (side.len()) ")" } }
                @for run in side { (strip(fmt, instrument, run, sheets)) }
            }
        }
        (sheets.without_strip())
        (sheets.joints())
    }
}

/// A run straightened and unrolled: station along, clock down (12 at the top and again at the bottom).
fn strip(fmt: UnitFormat, instrument: &Instrument, run: &Run, sheets: &Sheets<'_>) -> Markup {
    let length = run.length_mm();
    let (width, height) = (1000.0, 120.0);
    // Stations every 20, 50, 100 or 200 mm, or so many inches: at most eight on a strip.
    let (steps, unit_mm) = if fmt.inches() { ([0.5, 1.0, 2.0, 5.0, 10.0], MM_PER_INCH) } else { ([10.0, 20.0, 50.0, 100.0, 200.0], 1.0) };
    let every = unit_mm * steps.into_iter().find(|e| length / (e * unit_mm) <= 8.0).unwrap_or(if fmt.inches() { 20.0 } else { 500.0 });
    let stations: Vec<f64> = (0..).map(|i| f64::from(i) * every).take_while(|s| *s < length - 0.3 * every).collect();
    let x = |mm: f64| (mm / length * width).clamp(0.0, width);
    let y = |deg: f64| deg / 360.0 * height;
    let mut start = 0.0;
    let mut bends = Vec::new();
    for s in &run.axis.segments {
        let end = start + s.length_mm();
        if let instrument::Segment::Bend { angle_deg, .. } = s {
            bends.push((start, end, *angle_deg));
        }
        start = end;
    }
    let bore = (run.bore_mm.at(0.0).value, run.bore_mm.at(length).value);
    let covers = instrument
        .overlays
        .iter()
        .filter(|o| o.kind != OverlayKind::RimWire)
        .flat_map(|o| o.covers.iter().filter(|c| c.run == run.id).map(move |c| (o, c)));
    html! {
        figure.strip-box id={ "run-" (run.id) } {
            figcaption { strong { (run.name) } " " span.soft.small.num { (if fmt.inches() { format!("{} long, bore {:.3}–{:.3} in", units::text::mm(length, 0).show(fmt.0), bore.0 / MM_PER_INCH, bore.1 / MM_PER_INCH) } else { format!("{length:.0} mm long, bore {:.1}–{:.1} mm", bore.0, bore.1) }) } }
            svg.strip viewBox={ "0 0 " (width) " " (height) } preserveAspectRatio="none" data-run=(run.id) data-length=(length) tabindex="0" role="group" aria-label={ (run.name) ", unrolled: tap to set a dent" } {
                rect.wall width=(width) height=(height) {}
                @for (from, to, angle) in &bends { rect.bend x=(x(*from)) width=(x(*to) - x(*from)) height=(height) { title { "bend of " (angle) "°" } } }
                @for (o, c) in covers {
                    @let (a, b) = c.clock_deg.unwrap_or((0.0, 360.0));
                    @if a <= b { rect.cover x=(x(c.from_mm)) y=(y(a)) width=(x(c.to_mm) - x(c.from_mm)) height=(y(b - a)) { title { (o.name) } } }
                    @else {
                        rect.cover x=(x(c.from_mm)) y=(y(a)) width=(x(c.to_mm) - x(c.from_mm)) height=(y(360.0 - a)) { title { (o.name) } }
                        rect.cover x=(x(c.from_mm)) y="0" width=(x(c.to_mm) - x(c.from_mm)) height=(y(b)) { title { (o.name) } }
                    }
                }
                @for s in stations.iter().skip(1) { line.station x1=(x(*s)) x2=(x(*s)) y1="0" y2=(height) {} }
                @for deg in [90.0, 180.0, 270.0] { line.clock x1="0" x2=(width) y1=(y(deg)) y2=(y(deg)) {} }
                g.dents {}
            }
            div.stations aria-hidden="true" { @for s in &stations { span style=(format!("left:{:.2}%", s / length * 100.0)) { ((s / unit_mm * 10.0).round() / 10.0) @if *s == 0.0 { " " (fmt.symbol()) } } } }
            div.clock-words aria-hidden="true" { span { "12" } span { "3" } span { "6" } span { "9" } span { "12" } }
        }
        (sheets.run(run))
    }
}
