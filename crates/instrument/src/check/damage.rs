//! What is wrong with a dent: first each field against the range that is believed of it ([`crate::fields`]),
//! then what only shows against the tube.

use crate::fields::{self, Field, Held, Range, Said};
use crate::problem::Found;
use crate::{Dent, Instrument, Run, RunId, Survey};
use units::measured::Gauge;
use units::text;
use units::text::mm;

/// How far a station may lie beyond an end of its run, mm: how well the run's own length is taken.
const BEYOND_MM: f64 = 1.0;

pub(super) fn dent(found: &mut Found, survey: &Survey, d: &Dent) {
    let path = |field: &Field| format!("dents.{}.{}", d.id, field.key);
    let Some(r) = survey.instrument.run(&d.run) else {
        found.error(
            path(&fields::dent::RUN),
            format!("dent {} is in a run “{}” that is not there", d.id, d.run),
            run_hint(&survey.instrument, &d.run),
        );
        // A wrong name hides no other mistake.
        return dent_alone(found, d, None);
    };
    dent_alone(found, d, Some(r));
    let length = r.length_mm();
    let at = d.at_mm.as_ref().map_or(length / 2.0, |k| k.value);
    let outside = r.outside_diameter_at(at);
    if let Some(depth) = &d.depth_mm
        && depth.value.is_finite()
    {
        if depth.value >= outside {
            found.error(
                path(&fields::dent::DEPTH),
                text!("dent {}: {} is deeper than the tube is wide ({})", d.id, mm(depth.value, 1), mm(outside, 1)),
                "measure the depth below the true surface again",
            );
        } else if depth.value > 0.6 * outside && outside < 100.0 {
            found.warning(
                path(&fields::dent::DEPTH),
                text!("dent {}: {} is more than half of the tube's {}", d.id, mm(depth.value, 1), mm(outside, 1)),
                "look whether the unit is right",
            );
        }
    }
    let round = std::f64::consts::PI * outside;
    for (field, w, most) in [(&fields::dent::ALONG, &d.width_along_mm, length), (&fields::dent::ACROSS, &d.width_across_mm, round)] {
        if let Some(w) = w
            && w.value.is_finite()
            && w.value > most
        {
            found.error(
                path(field),
                text!("dent {}: {} is wider than the tube itself ({})", d.id, mm(w.value, 1), mm(most, 1)),
                "measure it again",
            );
        }
    }
    if let Some(o) = &d.pushed_in_by
        && survey.instrument.overlay(o).is_none()
    {
        found.error(
            path(&fields::dent::PUSHED_IN_BY),
            format!("dent {} names a brace, ferrule or guard “{o}” that is not there", d.id),
            "name a brace, ferrule, guard or patch of the instrument",
        );
    }
    if d.depth_mm.is_none() && d.profile_across.is_empty() && d.profile_along.is_empty() {
        found.warning(
            path(&fields::dent::DEPTH),
            format!("dent {}: nobody measured its depth", d.id),
            "a bridge gauge takes it in a minute; without it every figure is wide",
        );
    }
}

/// What shows of a dent without its tube.
pub(super) fn dent_alone(found: &mut Found, d: &Dent, run: Option<&Run>) {
    let path = |field: &Field| format!("dents.{}.{}", d.id, field.key);
    ranges(found, &format!("dent {}", d.id), run, &d.said(), path);
    let points = || d.profile_along.iter().chain(&d.profile_across).map(|p| p.depth_mm).filter(|mm| mm.is_finite());
    let (low, deepest) = points().fold((0.0_f64, 0.0_f64), |(low, deep), mm| (low.min(mm), deep.max(mm)));
    if -low > deepest {
        let field = if d.profile_across.is_empty() { &fields::dent::PROFILE_ALONG } else { &fields::dent::PROFILE_ACROSS };
        found.error(
            path(field),
            text!("dent {}: its profile rises {} above the surface and goes {} below", d.id, mm(-low, 1), mm(deepest, 1)),
            "depths are counted inwards: turn the signs round",
        );
    }
    let Some(depth) = d.depth_mm.as_ref().filter(|k| k.value > 0.0 && k.value.is_finite()) else { return };
    // Taken at its deepest, a dent is nowhere deeper; three standard deviations of both gauges are left to the hand.
    if deepest > depth.value + 3.0 * depth.sd.hypot(Gauge::DEPTH.sd_mm) {
        found.error(
            path(&fields::dent::DEPTH),
            text!("dent {}: a depth of {} stands beside a profile that goes down {}", d.id, mm(depth.value, 1), mm(deepest, 1)),
            "measure again which is right, and leave the other out",
        );
    }
    for (field, width) in [(&fields::dent::ALONG, &d.width_along_mm), (&fields::dent::ACROSS, &d.width_across_mm)] {
        if let Some(width) = width.as_ref().filter(|w| w.value > 0.0 && w.value + 2.0 * w.sd < depth.value && d.crease.is_none()) {
            found.error(
                path(field),
                text!("dent {}: {} wide and {} deep is a hole, not a dent", d.id, mm(width.value, 1), mm(depth.value, 1)),
                "measure its width from edge to edge at the true surface, and look whether the units are right",
            );
        }
    }
}

/// Each field by itself.
pub(super) fn ranges(found: &mut Found, whose: &str, run: Option<&Run>, said: &[Said<'_>], path: impl Fn(&Field) -> String) {
    let again = "measure it again, or leave it out";
    for (field, held) in said {
        let key = field.key;
        let (value, unit) = match held {
            Held::Known(k) if !(k.value.is_finite() && k.sd >= 0.0 && k.sd.is_finite()) => {
                found.error(path(field), format!("{whose}: {key} is not a number"), again);
                continue;
            }
            Held::Known(k) => (k.value, k.unit.symbol()),
            Held::Mm(mm) => (*mm, "mm"),
            Held::ClockRange((a, b)) => {
                if !(a.is_finite() && b.is_finite()) {
                    found.error(path(field), format!("{whose}: a clock angle is not a number"), "give it like 3 o'clock or 90°");
                }
                continue;
            }
            Held::Points(points) => {
                if points.iter().any(|p| !(p.x_mm.is_finite() && p.depth_mm.is_finite())) {
                    found.error(path(field), format!("{whose}: a profile point is not a number"), "give every point as distance and depth");
                } else if points.windows(2).any(|w| !(w[0].x_mm < w[1].x_mm)) {
                    found.error(
                        path(field),
                        format!("{whose}: the profile's distances do not rise"),
                        "list the points from one edge to the other",
                    );
                } else if points.len() < 5 {
                    found.warning(
                        path(field),
                        format!("{whose}: {} profile points are too few for a curve", points.len()),
                        "take at least five",
                    );
                }
                continue;
            }
            _ => continue,
        };
        match field.range {
            Range::Any => {}
            Range::AboveZero => {
                if !(value > 0.0) {
                    found.error(path(field), format!("{whose}: {key} of {value} {unit} is not above zero"), again);
                }
            }
            Range::Within(least, most) => {
                if !(least..=most).contains(&value) {
                    found.error(
                        path(field),
                        format!("{whose}: {key} of {value} {unit} is not possible"),
                        format!("give one between {least} and {most} {unit}"),
                    );
                }
            }
            Range::OnTheRun => {
                let Some(run) = run else { continue };
                let length = run.length_mm();
                if !(-BEYOND_MM..=length + BEYOND_MM).contains(&value) {
                    found.error(
                        path(field),
                        text!("{}: {} lies outside run {}, which is {} long", whose, mm(value, 1), run.id, mm(length, 1)),
                        text!("give a distance between 0 and {}, from the mouthpiece end", mm(length, 1)),
                    );
                }
            }
        }
    }
}

/// How to hint an unknown run: the nearest name where one is near, else the runs that share a word with it, else some.
pub fn run_hint(instrument: &Instrument, wanted: &RunId) -> String {
    let wanted = wanted.0.to_lowercase();
    let ids = || instrument.runs.iter().map(|r| r.id.0.as_str());
    let nearest = ids().map(|id| (strsim::osa_distance(&wanted, &id.to_lowercase()), id)).min();
    if let Some((distance, id)) = nearest
        && distance <= 1 + id.len() / 6
    {
        return format!("did you mean {id}?");
    }
    let words: Vec<&str> = wanted.split(|c: char| !c.is_alphanumeric()).filter(|w| w.len() > 2).collect();
    let near: Vec<&str> = ids().filter(|id| words.iter().any(|w| id.to_lowercase().contains(w))).take(6).collect();
    if near.is_empty() {
        let some: Vec<&str> = ids().take(12).collect();
        format!("name one of the runs: {}{}", some.join(", "), if instrument.runs.len() > 12 { ", …" } else { "" })
    } else {
        format!("did you mean {}?", near.join(" or "))
    }
}
