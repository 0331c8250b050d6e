//! What a tube is filled with before it is worked from outside, so that its wall cannot fall in: alloys that melt in hot
//! water, and pitch.

use serde::{Deserialize, Serialize};

/// A fill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fill {
    /// Fusible alloy for 70 °C: contains lead and cadmium.
    Alloy70,
    /// Fusible alloy for 95 °C: contains lead, no cadmium.
    Alloy95,
    /// Fusible alloy for 124 °C: contains lead, no cadmium.
    Alloy124,
    /// Pitch, with its filler (plaster or brick dust) and a little tallow.
    Pitch,
}

impl Fill {
    /// All fills.
    pub const ALL: [Self; 4] = [Self::Alloy70, Self::Alloy95, Self::Alloy124, Self::Pitch];

    /// As it was written until the name bore a unit; files say so still.
    pub fn earlier_name(self) -> &'static str {
        match self {
            Self::Alloy70 => "70 °C alloy",
            Self::Alloy95 => "95 °C alloy",
            Self::Alloy124 => "124 °C alloy",
            Self::Pitch => "pitch",
        }
    }

    /// As it is written and said.
    pub fn name(self) -> &'static str {
        match self {
            Self::Alloy70 => "alloy 70",
            Self::Alloy95 => "alloy 95",
            Self::Alloy124 => "alloy 124",
            Self::Pitch => "pitch",
        }
    }

    /// Where it is wholly molten, °C; pitch: where it pours. Published: makers' sheets of low-melting fill alloys for bends (70 °C,
    /// contains lead and cadmium; 95 °C, cadmium-free; 124 °C). Pitch tempered with tallow: common practice.
    pub fn melts_degc(self) -> f64 {
        match self {
            Self::Alloy70 => 70.0,
            Self::Alloy95 => 95.0,
            Self::Alloy124 => 124.0,
            Self::Pitch => 120.0,
        }
    }

    /// Whether boiling water melts it out: else it asks for an oven (from memory: water boils at 100 °C at sea level).
    pub fn melts_in_water(self) -> bool {
        self.melts_degc() < 100.0
    }

    /// Whether it is one of the fusible alloys.
    pub fn is_alloy(self) -> bool {
        self != Self::Pitch
    }

    /// Whether it contains lead: all three alloys are bismuth, lead and more.
    pub fn contains_lead(self) -> bool {
        self.is_alloy()
    }

    /// Whether it contains cadmium.
    pub fn contains_cadmium(self) -> bool {
        self == Self::Alloy70
    }

    /// Density, kg/m³. From memory: data sheets of fusible alloys (Bi-Pb-Sn-Cd, Bi-Pb-Sn and Bi-Pb eutectics); pitch with half its
    /// weight of plaster: common practice.
    pub fn density_kg_m3(self) -> f64 {
        match self {
            Self::Alloy70 => 9_400.0,
            Self::Alloy95 => 9_700.0,
            Self::Alloy124 => 10_400.0,
            Self::Pitch => 1_300.0,
        }
    }

    /// What it bears under the wall while a light blow or a roller passes, N/mm²: the alloys' indentation hardness, 9 to 10
    /// by Brinell (from memory, the same sheets); pitch: common practice. It flows under a load that stays, pitch within seconds.
    pub fn bears_mpa(self) -> f64 {
        match self {
            Self::Alloy70 | Self::Alloy95 => 90.0,
            Self::Alloy124 => 100.0,
            Self::Pitch => 15.0,
        }
    }
}

/// How warm the fill is when the tube is worked, °C: chilled after pouring, then let come up (makers' sheets).
pub const WORKED_AT_DEGC: f64 = 15.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// Makers' sheets: 70 °C with lead and cadmium, 95 °C cadmium-free, 124 °C; worked at about 15 °C.
    #[test]
    fn melting_and_poisons_are_the_makers() {
        assert_eq!(Fill::ALL.map(Fill::melts_degc)[..3], [70.0, 95.0, 124.0]);
        assert_eq!(Fill::ALL.map(Fill::contains_cadmium), [true, false, false, false]);
        assert_eq!(Fill::ALL.map(Fill::contains_lead), [true, true, true, false]);
        assert_eq!(Fill::ALL.map(Fill::melts_in_water), [true, true, false, false]);
        assert!((WORKED_AT_DEGC - 15.0).abs() < 1e-9);
        assert!(Fill::ALL.iter().all(|f| f.name().contains(if f.is_alloy() { "alloy" } else { "pitch" })));
    }

    /// C: an alloy of mass parts w is 1/Σ(w/ρ) dense where its metals keep their volumes: bismuth 9780, lead 11 340, tin 7290,
    /// cadmium 8650 kg/m³ (CRC Handbook, from memory). Within 3 %: these alloys change a little on freezing.
    #[test]
    fn densities_are_those_of_the_metals_mixed() {
        let mix = |parts: [f64; 4]| {
            let v: f64 = parts.iter().zip([9780.0, 11_340.0, 7290.0, 8650.0]).map(|(w, d)| w / d).sum();
            parts.iter().sum::<f64>() / v
        };
        for (fill, parts) in
            [(Fill::Alloy70, [50.0, 26.7, 13.3, 10.0]), (Fill::Alloy95, [52.5, 32.0, 15.5, 0.0]), (Fill::Alloy124, [55.5, 44.5, 0.0, 0.0])]
        {
            assert!((fill.density_kg_m3() / mix(parts) - 1.0).abs() < 0.03, "{fill:?}: {}", mix(parts));
        }
        assert!((Fill::Pitch.density_kg_m3() / 1300.0 - 1.0).abs() < 0.01);
    }

    /// From memory: mean pressure of a Brinell indentation is 9.81 N/mm² a number; 9.2 and 10.2 HB.
    #[test]
    fn bearing_is_the_hardness() {
        assert!((Fill::Alloy70.bears_mpa() / (9.2 * 9.81) - 1.0).abs() < 0.05);
        assert!((Fill::Alloy95.bears_mpa() / (9.2 * 9.81) - 1.0).abs() < 0.05);
        assert!((Fill::Alloy124.bears_mpa() / (10.2 * 9.81) - 1.0).abs() < 0.05);
        // Pitch takes the print of a thumb: far softer than any of them.
        assert!(Fill::Pitch.bears_mpa() < 0.2 * Fill::Alloy70.bears_mpa() && Fill::Pitch.bears_mpa() > 10.0);
    }
}
