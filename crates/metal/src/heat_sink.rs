//! Soldered places near a flame: whether they stay, need a heat sink, or let go because there is no room for one.

use units::Source;

/// Source of the margin and of the place of the sink.
pub const PRACTICE: Source = Source::common_practice(
    "a joint is safe 30 °C below its filler's solidus; the sink lies against the joint on the flame's side, because a sink close to the flame steals the heat that the work needs; a cloth or clamp is 15 mm wide",
);

/// How far below its solidus a joint is to stay, °C.
pub const MARGIN_DEGC: f64 = 30.0;

/// Width of a wet cloth or clamp, mm.
pub const SINK_WIDTH_MM: f64 = 15.0;

/// What a soldered place near a flame needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It stays cool enough.
    Nothing,
    /// A heat sink or wet cloth between it and the flame.
    Sink,
    /// It gets too hot and there is no room for a sink: it lets go.
    LetsGo,
}

/// What a soldered place needs that gets to `peak_degc`, or at the top of what is likely to `high_degc`, without a sink. Its
/// filler begins to melt at `solidus_degc`; from the edge of the flame to it there are `distance_mm` of metal.
pub fn need(peak_degc: f64, high_degc: f64, solidus_degc: f64, distance_mm: f64) -> Need {
    let hot = peak_degc >= solidus_degc - MARGIN_DEGC || high_degc >= solidus_degc;
    match (hot, distance_mm < SINK_WIDTH_MM) {
        (false, _) => Need::Nothing,
        (true, false) => Need::Sink,
        (true, true) => Need::LetsGo,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_safe_thirty_degrees_below_its_solidus() {
        // Leaded solder, 183 °C: safe up to 153 °C.
        assert_eq!(need(152.0, 160.0, 183.0, 40.0), Need::Nothing);
        assert_eq!(need(153.0, 160.0, 183.0, 40.0), Need::Sink);
        // What may come to melting is protected, however cool it stays in the middle of what is likely.
        assert_eq!(need(140.0, 182.0, 183.0, 40.0), Need::Nothing);
        assert_eq!(need(140.0, 183.0, 183.0, 40.0), Need::Sink);
    }

    #[test]
    fn a_sink_needs_fifteen_millimetres() {
        assert_eq!(need(200.0, 210.0, 183.0, 15.0), Need::Sink);
        assert_eq!(need(200.0, 210.0, 183.0, 14.9), Need::LetsGo);
        assert_eq!(need(100.0, 110.0, 183.0, 0.0), Need::Nothing);
    }
}
