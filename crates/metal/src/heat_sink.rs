//! Joints near a flame: how hot they get, whether they need a heat sink, and where it goes.

use crate::heat_line::{BadLine, History, Line, Sink, Torch, transient_along};
use units::Source;

/// Source of the margin and of the place of the sink.
pub const PRACTICE: Source = Source::common_practice(
    "a joint is safe 30 °C below its filler's solidus; the sink lies against the joint on the flame's side, because a sink close to the flame steals the heat that the work needs",
);

/// How far below its solidus a joint is to stay, °C.
pub const MARGIN_DEGC: f64 = 30.0;

/// Width of a wet cloth or clamp, mm.
pub const SINK_WIDTH_MM: f64 = 15.0;

/// Steps in time: enough that halving them moves a joint's peak by under 2 % (test).
const STEPS: usize = 60;

/// A joint near the flame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Protection {
    /// Distance of the joint from the edge of the flame, mm (0 where the flame covers it).
    pub distance_mm: f64,
    /// Hottest that the joint gets with no sink, °C.
    pub peak_degc: f64,
    /// When it first reaches its limit with no sink, s; none where it never does.
    pub reaches_limit_s: Option<f64>,
    /// Where the sink goes: none where none is needed, or where there is no room for one (see `too_close`).
    pub sink: Option<SinkPlace>,
    /// The joint needs protection and there is no room for a sink: it will open.
    pub too_close: bool,
}

/// A heat sink in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SinkPlace {
    /// Its middle, mm from the line's start.
    pub at_mm: f64,
    /// From the edge of the flame to the edge of the sink, mm.
    pub from_flame_mm: f64,
    /// Hottest that the joint gets with it, °C.
    pub peak_degc: f64,
    /// Heat that the flame must put into the metal at last to hold its place, with the sink over without (the flame must
    /// have that much in hand); none where the flame is given by its heat.
    pub heat_ratio: Option<f64>,
}

/// How joints, each (place mm, solidus °C of its filler), fare while the flame burns for `heat_s` and for as long after: the heat
/// still spreads when the flame is off, so a joint's peak can come later.
///
/// # Errors
/// [`BadLine`] where the line or what is on it is not usable.
pub fn protect(line: &Line, torch: Torch, joints: &[(f64, f64)], heat_s: f64) -> Result<Vec<Protection>, BadLine> {
    let length = line.length_mm();
    if joints.iter().any(|(at, solidus)| !(*at >= 0.0 && *at <= length && solidus.is_finite())) {
        return Err(BadLine::OffLine);
    }
    let bare = transient_along(line, torch, &[], heat_s, heat_s, STEPS)?;
    joints.iter().map(|(at, solidus)| protect_one(line, torch, heat_s, &bare, *at, solidus - MARGIN_DEGC)).collect()
}

fn protect_one(line: &Line, torch: Torch, heat_s: f64, bare: &History, joint_mm: f64, limit_degc: f64) -> Result<Protection, BadLine> {
    let offset = joint_mm - torch.at_mm();
    let distance_mm = (offset.abs() - torch.width_mm() / 2.0).max(0.0);
    let peak_degc = bare.peak_degc(joint_mm);
    let reaches_limit_s = bare.reaches_s(joint_mm, limit_degc);
    if peak_degc < limit_degc {
        return Ok(Protection { distance_mm, peak_degc, reaches_limit_s, sink: None, too_close: false });
    }
    if distance_mm < SINK_WIDTH_MM {
        return Ok(Protection { distance_mm, peak_degc, reaches_limit_s, sink: None, too_close: true });
    }
    let sink = Sink::wet_cloth(joint_mm - offset.signum() * SINK_WIDTH_MM / 2.0, SINK_WIDTH_MM);
    let with = transient_along(line, torch, &[sink], heat_s, heat_s, STEPS)?;
    let heat_ratio = match torch {
        Torch::Flux { .. } => None,
        Torch::Held { .. } => {
            // The last step in which the flame burns.
            let last = |h: &History| h.torch_watts.iter().copied().rfind(|w| *w > 0.0);
            last(&with).zip(last(bare)).map(|(a, b)| a / b)
        }
    };
    let place =
        SinkPlace { at_mm: sink.at_mm, from_flame_mm: distance_mm - SINK_WIDTH_MM, peak_degc: with.peak_degc(joint_mm), heat_ratio };
    Ok(Protection { distance_mm, peak_degc, reaches_limit_s, sink: Some(place), too_close: false })
}

/// Distance from the flame's edge beyond which nothing gets hotter than `limit_degc`, towards the line's start and towards its
/// end, mm (to the end of the line where it stays hotter up to there; 0 where nothing gets so hot).
///
/// # Errors
/// [`BadLine`] where the line or what is on it is not usable.
pub fn safe_distance_mm(line: &Line, torch: Torch, limit_degc: f64, heat_s: f64) -> Result<(f64, f64), BadLine> {
    let history = transient_along(line, torch, &[], heat_s, heat_s, STEPS)?;
    let half = torch.width_mm() / 2.0;
    Ok(match history.hotter_than(torch.at_mm(), limit_degc) {
        None => (0.0, 0.0),
        Some((low, high)) => ((torch.at_mm() - half - low).max(0.0), (high - torch.at_mm() - half).max(0.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Alloy, Filler, heat_line::Stretch};

    fn line() -> Line {
        Line::new(vec![Stretch::of(Alloy::YellowBrass, 400.0, (14.0, 14.0), 0.55)])
    }
    fn one(at_mm: f64, solidus: f64) -> Protection {
        protect(&line(), ANNEAL, &[(at_mm, solidus)], 40.0).unwrap()[0]
    }
    const ANNEAL: Torch = Torch::Held { at_mm: 200.0, width_mm: 20.0, degc: 600.0 };

    #[test]
    fn near_joints_need_a_sink_far_ones_do_not() {
        let solidus = Filler::UnknownSoft.solidus_degc();
        let near = one(240.0, solidus);
        let sink = near.sink.unwrap();
        assert!(near.peak_degc > solidus && sink.peak_degc <= 100.0 + 1e-6 && sink.heat_ratio.unwrap() > 1.0);
        assert!((sink.from_flame_mm - 15.0).abs() < 1e-9 && near.reaches_limit_s.is_some());
        let far = one(390.0, solidus);
        assert!(far.sink.is_none() && !far.too_close && far.peak_degc < near.peak_degc);
        assert!(one(215.0, solidus).too_close);
        // A brazed joint at the same place is safe.
        assert!(one(240.0, Filler::UnknownSilver.solidus_degc()).sink.is_none());
    }

    #[test]
    fn the_other_side_is_the_same_mirrored() {
        let (a, b) = (one(240.0, 183.0), one(160.0, 183.0));
        assert!((a.peak_degc - b.peak_degc).abs() < 2.0);
        assert!((a.sink.unwrap().at_mm + b.sink.unwrap().at_mm - 400.0).abs() < 1e-9);
    }

    #[test]
    fn a_joint_at_the_safe_distance_is_at_the_limit() {
        let (back, ahead) = safe_distance_mm(&line(), ANNEAL, 153.0, 40.0).unwrap();
        assert!((back - ahead).abs() < 1.0);
        assert!((one(210.0 + ahead, 183.0).peak_degc - 153.0).abs() < 3.0);
        assert_eq!(safe_distance_mm(&line(), ANNEAL, 700.0, 40.0).unwrap(), (0.0, 0.0));
    }

    #[test]
    fn the_steps_are_fine_enough() {
        let peak = |steps| transient_along(&line(), ANNEAL, &[], 40.0, 40.0, steps).unwrap().peak_degc(240.0) - 20.0;
        assert!((peak(STEPS) / peak(4 * STEPS) - 1.0).abs() < 0.02);
    }

    #[test]
    fn nickel_silver_keeps_its_heat_to_itself() {
        let stretch = Stretch::of(Alloy::NickelSilver, 400.0, (14.0, 14.0), 0.55);
        let (_, brass) = safe_distance_mm(&line(), ANNEAL, 153.0, 40.0).unwrap();
        let (_, nickel) = safe_distance_mm(&Line::new(vec![stretch]), ANNEAL, 153.0, 40.0).unwrap();
        assert!(nickel < 0.7 * brass, "{nickel} {brass}");
    }
}
