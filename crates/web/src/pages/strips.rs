//! One tube of the instrument opened: its wall unrolled to scale, and below it what is known of the tube, of its joints and of
//! what stands on it. The page draws one tube at a time; its script has the others from [`all`].

use super::sheets::{Sheets, lettered, may_survey};
use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::redisplay::Redisplay;
use axum::Extension;
use axum::extract::{Path, State};
use draw::lie::parts::girths;
use instrument::{Role, Run};
use maud::{Markup, html};
use std::f64::consts::PI;
use units::length::MM_PER_INCH;

/// Every tube opened, one after the other, without a page round them: for the page that is open already, so that a tube opens
/// without a network too.
///
/// # Errors
/// Where the job has no survey.
pub async fn all(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let line = app.store().board_line(id)?;
        let (body, dents) = app.store().survey(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
        let survey = assemble(&body, &dents)?;
        let redisplay = Redisplay::default();
        let sheets = Sheets { signed: &signed, job: id, survey: &survey, may: may_survey(&signed, line.job.state), redisplay: &redisplay };
        Ok(html! { @for run in &survey.instrument.runs { (tube(&sheets, run)) } })
    })
    .await
}

/// A tube opened.
pub(super) fn tube(sheets: &Sheets<'_>, run: &Run) -> Markup {
    let fmt = sheets.signed.fmt;
    let length = run.length_mm();
    let bore = (run.bore_mm.at(0.0).value, run.bore_mm.at(length).value);
    let size = format!(
        "{} long, bore {} to {}",
        fmt.text(&units::text!("{}", units::text::mm(length, 0))),
        fmt.tenths(bore.0),
        fmt.tenths(bore.1)
    );
    html! {
        section.tube id={ "tube-" (run.id) } data-tube=(run.id) aria-labelledby={ "tube-" (run.id) "-name" } {
            h2 id={ "tube-" (run.id) "-name" } tabindex="-1" { (run.name) } p.soft.small.num { (size) }
            @if !matches!(run.role, Role::Piston) { (strip(sheets, run)) }
            div.tube-parts { (sheets.run(run)) (sheets.on(run)) }
        }
    }
}

/// A run straightened and unrolled: along it the distance from the mouthpiece end, across it the clock (12 at the top and again
/// at the bottom). One millimeter is as long along as across where the run is as wide as in the middle of its length.
fn strip(sheets: &Sheets<'_>, run: &Run) -> Markup {
    let (fmt, instrument) = (sheets.signed.fmt, &sheets.survey.instrument);
    let length = run.length_mm();
    let girth = PI * run.outside_diameter_at(length / 2.0);
    // Distances every 20, 50, 100 or 200 mm, or so many inches: at most eight on a strip.
    let (steps, unit_mm) = if fmt.inches() { ([0.5, 1.0, 2.0, 5.0, 10.0], MM_PER_INCH) } else { ([10.0, 20.0, 50.0, 100.0, 200.0], 1.0) };
    let every = unit_mm * steps.into_iter().find(|e| length / (e * unit_mm) <= 8.0).unwrap_or(if fmt.inches() { 20.0 } else { 500.0 });
    let stations: Vec<f64> = (0..).map(|i| f64::from(i) * every).take_while(|s| *s < length - 0.3 * every).collect();
    let x = |mm: f64| mm.clamp(0.0, length);
    let y = |deg: f64| deg / 360.0 * girth;
    let at = |v: f64| format!("{v:.1}");
    let mut start = 0.0;
    let mut bends = Vec::new();
    for s in &run.axis.segments {
        let end = start + s.length_mm();
        if let instrument::Segment::Bend { angle_deg, .. } = s {
            bends.push((start, end, *angle_deg));
        }
        start = end;
    }
    let covers = || lettered(instrument, run).flat_map(|(l, o)| o.covers.iter().filter(|c| c.run == run.id).map(move |c| (l, o, c)));
    html! {
        figure.strip-box {
            div.letters aria-hidden="true" { @for (letter, _, c) in covers() { span style=(format!("left:{:.2}%", x((c.from_mm + c.to_mm) / 2.0) / length * 100.0)) { (letter) } } }
            div.wall-box {
                div.clock-words aria-hidden="true" { span { "12" } span { "3" } span { "6" } span { "9" } span { "12" } }
            svg.strip viewBox={ "0 0 " (at(length)) " " (at(girth)) } style=(format!("aspect-ratio:{:.0}/{:.0}", length.max(1.0), girth.max(1.0))) preserveAspectRatio="none" data-run=(run.id) data-length=(length) data-girths=(girths(run)) tabindex="0" role="group" aria-label={ (run.name) ", unrolled: tap to set a dent" } {
                rect.wall width=(at(length)) height=(at(girth)) {}
                @for (from, to, angle) in &bends { rect.bend x=(at(x(*from))) width=(at(x(*to) - x(*from))) height=(at(girth)) { title { "bend of " (angle) "°" } } }
                @for (_, o, c) in covers() {
                    @let (a, b) = c.clock_deg.unwrap_or((0.0, 360.0));
                    @let across = if a <= b { vec![(a, b)] } else { vec![(a, 360.0), (0.0, b)] };
                    @for (a, b) in across { rect.cover x=(at(x(c.from_mm))) y=(at(y(a))) width=(at(x(c.to_mm) - x(c.from_mm))) height=(at(y(b - a))) { title { (o.name) } } }
                }
                @for s in stations.iter().skip(1) { line.station x1=(at(*s)) x2=(at(*s)) y1="0" y2=(at(girth)) {} }
                @for deg in [90.0, 180.0, 270.0] { line.clock x1="0" x2=(at(length)) y1=(at(y(deg))) y2=(at(y(deg))) {} }
                g.dents {}
            }
            }
            div.stations aria-hidden="true" { @for s in &stations { span style=(format!("left:{:.2}%", s / length * 100.0)) { ((s / unit_mm * 10.0).round() / 10.0) @if *s == 0.0 { " " (fmt.symbol()) } } } }
            figcaption.soft.small { span.scale {} }
        }
    }
}
