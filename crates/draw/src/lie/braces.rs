//! Braces on the map: each with its feet where they stand, and a line between them.

use super::{Lie, P};
use instrument::{Cover, Instrument, Overlay, OverlayKind};

/// A brace longer than this on the map is not drawn across it, mm: its tubes lie nearer to each other on the instrument than laid flat.
/// Common practice, no source: braces of brass instruments are a hand's breadth at the most.
const LONGEST_MM: f64 = 110.0;

/// A brace.
#[derive(Clone, Debug)]
pub struct Brace<'a> {
    /// Which.
    pub overlay: &'a Overlay,
    /// Its feet that are on the map.
    pub feet: Vec<P>,
    /// From foot to foot, where they lie near each other on the map too.
    pub bars: Vec<(P, P)>,
}

impl Lie<'_> {
    /// The braces of the instrument that have a foot on the map.
    pub fn braces<'a>(&self, instrument: &'a Instrument) -> Vec<Brace<'a>> {
        let braces = instrument.overlays.iter().filter(|o| o.kind == OverlayKind::Brace);
        let laid = braces.map(|overlay| {
            let feet: Vec<P> = overlay.covers.iter().filter_map(|c| self.foot(c)).collect();
            let near = |a: &P, b: &P| (a.0 - b.0).hypot(a.1 - b.1) <= LONGEST_MM;
            let bars = feet.windows(2).filter(|w| near(&w[0], &w[1])).map(|w| (w[0], w[1])).collect();
            Brace { overlay, feet, bars }
        });
        laid.filter(|b| !b.feet.is_empty()).collect()
    }

    /// The middle of a foot, on the edge of its tube.
    fn foot(&self, cover: &Cover) -> Option<P> {
        let clock = cover.clock_deg.map_or(0.0, |(from, to)| {
            let span = (to - from).rem_euclid(360.0);
            from + span / 2.0
        });
        self.place(&cover.run, (cover.from_mm + cover.to_mm) / 2.0, clock)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::{Kind, patterns};

    /// Every brace of the patterns that ties two tubes of the map has its feet on those tubes.
    #[test]
    fn each_foot_stands_on_its_tube() {
        for kind in [Kind::Trumpet, Kind::Trombone, Kind::Baritone, Kind::Tuba, Kind::Horn] {
            let instrument = patterns::pattern(kind).unwrap();
            let map = Lie::of(&instrument).unwrap();
            let braces = map.braces(&instrument);
            assert!(!braces.is_empty(), "{kind:?}");
            for b in &braces {
                for (foot, cover) in b.feet.iter().zip(&b.overlay.covers) {
                    let part = map.runs().find(|p| p.run.id == cover.run).unwrap();
                    let on = part.at.iter().any(|p| (p.point.0 - foot.0).hypot(p.point.1 - foot.1) <= p.half_mm + 3.0);
                    assert!(on, "{kind:?}: {} is not on its {}", b.overlay.id, cover.run);
                }
                assert!(b.bars.iter().all(|(p, q)| (p.0 - q.0).hypot(p.1 - q.1) <= LONGEST_MM));
            }
            // Some reach from tube to tube even laid flat.
            assert!(braces.iter().any(|b| !b.bars.is_empty()), "{kind:?}: {:?}", braces.iter().map(|b| &b.feet).collect::<Vec<_>>());
        }
    }
}
