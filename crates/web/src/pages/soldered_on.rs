//! What is soldered onto the tubes, found by where it is: a list in the order of the air's way, fetched when it is opened, and the places
//! for the picture's taps (`assets/parts.js`). The sheet itself stands below its tube ([`super::sheets`]).

use super::job_head::head;
use super::sheets::anchor;
use crate::app::App;
use crate::auth::Signed;
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::unit_format::UnitFormat;
use ::survey::parts::Part;
use axum::Extension;
use axum::extract::{Path, Query, State};
use instrument::{Cover, Instrument, Overlay, OverlayKind, Run};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::Value;

/// The side that faces the viewer of the picture, where something goes all round.
const FACING_DEG: f64 = 270.0;

/// Every place where something is soldered on: in the order of the tubes, then along each.
fn places(instrument: &Instrument) -> Vec<(&Run, &Overlay, &Cover)> {
    let mut all = Vec::new();
    for run in &instrument.runs {
        let on = |o: &&Overlay| o.kind != OverlayKind::RimWire;
        let mut here: Vec<_> = instrument
            .overlays
            .iter()
            .filter(on)
            .flat_map(|o| o.covers.iter().filter(|c| c.run == run.id).map(move |c| (run, o, c)))
            .collect();
        here.sort_by(|a, b| a.2.from_mm.total_cmp(&b.2.from_mm));
        all.extend(here);
    }
    all
}

fn sheet(overlay: &Overlay) -> String {
    anchor(&Part::Overlay(overlay.id.clone()))
}

/// The middle of a range of the clock that goes the way of the clock.
fn middle_deg((from, to): (f64, f64)) -> f64 {
    let wide = (to - from).rem_euclid(360.0);
    (from + wide / 2.0).rem_euclid(360.0)
}

/// The places for the picture's taps. A ferrule sits on a joint, two places to each: on the picture they would cover what is looked for.
pub(super) fn parts(instrument: &Instrument) -> Vec<Value> {
    let tenths = |mm: f64| (10.0 * mm).round() / 10.0;
    places(instrument)
        .into_iter()
        .filter(|(_, o, _)| o.kind != OverlayKind::Ferrule)
        .map(|(run, o, c)| {
            serde_json::json!({
                "sheet": sheet(o),
                "name": o.name,
                "run": run.id,
                "at_mm": tenths((c.from_mm + c.to_mm) / 2.0),
                "clock_deg": c.clock_deg.map_or(FACING_DEG, middle_deg),
            })
        })
        .collect()
}

/// The line that opens the list; nothing where nothing is soldered on.
pub(super) fn list_of(job: i64, instrument: &Instrument) -> Markup {
    let count = instrument.overlays.iter().filter(|o| o.kind != OverlayKind::RimWire).count();
    let from = format!("/jobs/{job}/survey/soldered-on");
    html! {
        @if !places(instrument).is_empty() {
            details id="soldered-on" data-from=(from) {
                summary { "Braces, guards and ferrules by where they are (" (count) ")" }
                div.inside { a href=(from) { "The list" } }
            }
        }
    }
}

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// Only the list, without the page round it: for a page that is open already.
    #[serde(default)]
    part: String,
}

/// The list's page, or the part of it that is put into the survey's page.
///
/// # Errors
/// Where there is no such job, or no survey yet.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Outcome<Markup> {
    app.blocking(move |app| {
        let line = app.store().board_line(id)?;
        let Some((body, dents)) = app.store().survey(id)? else {
            return Err(Problem::Missing(format!("job {id} has no survey yet")));
        };
        let instrument = assemble(&body, &dents)?.instrument;
        let inside = list(signed.fmt, id, &instrument);
        if !asked.part.is_empty() {
            return Ok(inside);
        }
        Ok(layout::page(
            &signed,
            "Soldered on",
            html! { (head(&line, "survey")) p { a href={ "/jobs/" (id) "/survey" } { "Back to the survey" } } h2 { "Braces, guards and ferrules by where they are" } (inside) },
        ))
    })
    .await
}

fn list(fmt: UnitFormat, job: i64, instrument: &Instrument) -> Markup {
    html! {
        ul.plain.lines { @for (run, o, c) in &places(instrument) {
            li { a href={ "/jobs/" (job) "/survey?tube=" (run.id) "#" (sheet(o)) } data-sheet=(sheet(o)) data-run=(run.id) { (o.name) } " " span.soft.small { (run.name) ", " (fmt.size(c.from_mm)) " to " (fmt.size(c.to_mm)) @if let Some((from, to)) = c.clock_deg { ", clock " (clock(from)) " to " (clock(to)) } } }
        } }
    }
}

/// A place of the clock in hours and minutes, to the half hour: `12:30`.
fn clock(deg: f64) -> String {
    let halves = (deg.rem_euclid(360.0) / 15.0).round().rem_euclid(24.0);
    let hours = (halves / 2.0).floor();
    format!("{:.0}:{}", if hours < 1.0 { 12.0 } else { hours }, if halves % 2.0 > 0.5 { "30" } else { "00" })
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Kind, patterns};

    #[test]
    fn parts_stand_in_the_order_of_the_tubes_and_along_each() {
        let tuba = patterns::pattern(Kind::Tuba).unwrap();
        let all = places(&tuba);
        let order = |run: &Run| tuba.runs.iter().position(|r| r.id == run.id).unwrap();
        assert!(all.len() > 10);
        assert!(all.windows(2).all(|w| (order(w[0].0), w[0].2.from_mm) <= (order(w[1].0), w[1].2.from_mm)));
        // A brace stands at each tube that it ties.
        let brace = tuba.overlays.iter().find(|o| o.kind == OverlayKind::Brace && o.covers.len() == 2).unwrap();
        assert_eq!(all.iter().filter(|(_, o, _)| o.id == brace.id).count(), 2);
    }

    #[test]
    fn the_middle_of_a_range_goes_the_way_of_the_clock() {
        assert!((middle_deg((330.0, 30.0)) - 0.0).abs() < 1e-9);
        assert!((middle_deg((120.0, 240.0)) - 180.0).abs() < 1e-9);
        assert_eq!([0.0, 95.0, 270.0, 10.0, 359.0, 345.0].map(clock), ["12:00", "3:00", "9:00", "12:30", "12:00", "11:30"]);
    }
}
