//! Soft solders and brazing fillers, and where they melt.

use serde::{Deserialize, Serialize};
use units::Source;

/// A filler metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Filler {
    /// Sn63Pb37, contains lead.
    Sn63Pb37,
    /// Sn60Pb40, contains lead.
    Sn60Pb40,
    /// Sn96Ag4.
    Sn96Ag4,
    /// Sn95Sb5.
    Sn95Sb5,
    /// BAg-1, contains cadmium.
    Bag1,
    /// BAg-5.
    Bag5,
    /// BAg-7.
    Bag7,
    /// A soft solder of unknown kind: taken as leaded until shown otherwise.
    UnknownSoft,
    /// A silver braze of unknown kind: taken as cadmium-bearing until shown otherwise.
    UnknownSilver,
}

impl Filler {
    /// All fillers.
    pub const ALL: [Self; 9] = [
        Self::Sn63Pb37,
        Self::Sn60Pb40,
        Self::Sn96Ag4,
        Self::Sn95Sb5,
        Self::Bag1,
        Self::Bag5,
        Self::Bag7,
        Self::UnknownSoft,
        Self::UnknownSilver,
    ];

    /// The known soft solders.
    const SOFT: [Self; 4] = [Self::Sn63Pb37, Self::Sn60Pb40, Self::Sn96Ag4, Self::Sn95Sb5];
    /// The known silver brazes.
    const SILVER: [Self; 3] = [Self::Bag1, Self::Bag5, Self::Bag7];

    /// Name by standard.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sn63Pb37 => "Sn63Pb37",
            Self::Sn60Pb40 => "Sn60Pb40",
            Self::Sn96Ag4 => "Sn96Ag4",
            Self::Sn95Sb5 => "Sn95Sb5",
            Self::Bag1 => "BAg-1",
            Self::Bag5 => "BAg-5",
            Self::Bag7 => "BAg-7",
            Self::UnknownSoft => "unknown soft solder",
            Self::UnknownSilver => "unknown silver braze",
        }
    }

    /// Where it begins to melt, °C: above this a joint may let go. An unknown filler is taken as the lowest of its kind.
    pub fn solidus_degc(self) -> f64 {
        match self {
            Self::Sn63Pb37 | Self::Sn60Pb40 => 183.0,
            Self::Sn96Ag4 => 221.0,
            Self::Sn95Sb5 => 233.0,
            Self::Bag1 => 607.0,
            Self::Bag5 => 677.0,
            Self::Bag7 => 618.0,
            Self::UnknownSoft => Self::SOFT.iter().map(|f| f.solidus_degc()).fold(f64::INFINITY, f64::min),
            Self::UnknownSilver => Self::SILVER.iter().map(|f| f.solidus_degc()).fold(f64::INFINITY, f64::min),
        }
    }

    /// Temperature at which it is worked, °C: above its liquidus by what it takes to run. Common practice, no source.
    pub fn worked_at_degc(self) -> f64 {
        const ABOVE_LIQUIDUS_DEGC: f64 = 40.0;
        self.liquidus_degc() + ABOVE_LIQUIDUS_DEGC
    }

    /// Where it is wholly molten, °C: a joint needs this to open or to flow. An unknown filler is taken as the highest of
    /// its kind, so that the heat planned for it is enough.
    pub fn liquidus_degc(self) -> f64 {
        match self {
            Self::Sn63Pb37 => 183.0,
            Self::Sn60Pb40 => 190.0,
            Self::Sn96Ag4 => 221.0,
            Self::Sn95Sb5 => 240.0,
            Self::Bag1 => 618.0,
            Self::Bag5 => 743.0,
            Self::Bag7 => 652.0,
            Self::UnknownSoft => Self::SOFT.iter().map(|f| f.liquidus_degc()).fold(0.0, f64::max),
            Self::UnknownSilver => Self::SILVER.iter().map(|f| f.liquidus_degc()).fold(0.0, f64::max),
        }
    }

    /// Whether it is a soft solder (else a silver braze).
    pub fn is_soft(self) -> bool {
        self == Self::UnknownSoft || Self::SOFT.contains(&self)
    }

    /// Whether it contains lead; an unknown soft solder counts as leaded until shown otherwise.
    pub fn contains_lead(self) -> bool {
        matches!(self, Self::Sn63Pb37 | Self::Sn60Pb40 | Self::UnknownSoft)
    }

    /// Whether it contains cadmium; an unknown silver braze counts as cadmium-bearing until shown otherwise.
    pub fn contains_cadmium(self) -> bool {
        matches!(self, Self::Bag1 | Self::UnknownSilver)
    }

    /// Whether nobody knows which one it is.
    pub fn is_unknown(self) -> bool {
        matches!(self, Self::UnknownSoft | Self::UnknownSilver)
    }

    /// Where the melting range comes from.
    pub fn source(self) -> Source {
        match self {
            Self::UnknownSoft => Source::common_practice("unknown soft solder: the widest range of the common ones, taken as leaded"),
            Self::UnknownSilver => {
                Source::common_practice("unknown silver braze: the widest range of the common ones, taken as cadmium-bearing")
            }
            f if f.is_soft() => Source::from_memory("ASTM B32, solder metal"),
            _ => Source::from_memory("AWS A5.8, filler metals for brazing"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_filler_is_the_worst_of_its_kind() {
        for f in Filler::ALL.into_iter().filter(|f| !f.is_unknown()) {
            let u = if f.is_soft() { Filler::UnknownSoft } else { Filler::UnknownSilver };
            assert!(u.solidus_degc() <= f.solidus_degc() && u.liquidus_degc() >= f.liquidus_degc());
            assert!(f.solidus_degc() <= f.liquidus_degc());
        }
        assert!(Filler::UnknownSoft.contains_lead() && Filler::UnknownSilver.contains_cadmium());
    }
}
