//! Where a dent is worked out to lie, and what lies over it.

use crate::opened::Opened;
use crate::openings::Openings;
use instrument::{Dent, Overlay, OverlayId, OverlayKind, Run, Shape, Site, Survey};
use units::text::mm;
use units::{Text, text};

/// The station for which the ways are worked out: where the place is not known and the run is partly bent,
/// the middle of its tightest bend (the harder case).
pub fn planned_station(run: &Run, site: &Site) -> (f64, Option<f64>, Text) {
    let length = run.axis.length_mm();
    let given = site.at_mm.value.clamp(0.0, length);
    if let Shape::Unsure { bent_part, radius_mm } = site.shape {
        let reach = 2.0 * site.at_mm.sd;
        let mut from = 0.0;
        let mut hardest: Option<(f64, f64)> = None;
        for s in &run.axis.segments {
            let to = from + s.length_mm();
            if let instrument::Segment::Bend { radius_mm, .. } = s {
                let (lo, hi) = (from.max(given - reach), to.min(given + reach));
                if lo <= hi && hardest.is_none_or(|h| *radius_mm < h.1) {
                    hardest = Some((0.5 * (lo + hi), *radius_mm));
                }
            }
            from = to;
        }
        let (at, radius) = hardest.unwrap_or((given, radius_mm));
        let bent = format!("{:.0}", 100.0 * bent_part);
        let words = " Where on the run it lies is not known well: worked out for the bend of radius";
        let note = text!("{} {} ({} % of the run is bent), the harder case.", words, mm(radius, 0), bent);
        return (at, Some(radius), note);
    }
    let mut note = Text::default();
    if site.at_mm.sd > 0.2 * length {
        note = text!(
            " Where on the run it lies is not known well (± {}): worked out for {} from the mouthpiece end.",
            mm(site.at_mm.sd, 0),
            mm(given, 0)
        );
    }
    (given, run.axis.bend_at(given), note)
}

/// What lies over a dent, or pushed it in, and is not worked with the metal. A rolled-in rim wire and an old patch are.
pub fn lies_over<'s>(survey: &'s Survey, dent: &Dent, site: &Site) -> Vec<&'s Overlay> {
    let ids: Vec<&OverlayId> = site.under.iter().chain(&dent.pushed_in_by).collect();
    let over = |o: &&Overlay| ids.contains(&&o.id) && !survey.lacks(&o.id) && !matches!(o.kind, OverlayKind::RimWire | OverlayKind::Patch);
    survey.instrument.overlays.iter().filter(over).collect()
}

/// All that is opened so that some overlays come off, or why they do not.
pub fn overlays_off(openings: &Openings, over: &[&Overlay]) -> Result<Vec<Opened>, Text> {
    let mut all = Vec::new();
    for o in over {
        all.extend(openings.overlay_off(&o.id)?);
    }
    all.sort();
    all.dedup();
    Ok(all)
}
