//! Cautions that stand beside a step. Each is the usual one of the trade; local codes and licensed practice come first.

use serde::{Deserialize, Serialize};

/// A caution. It is the usual one of the trade; local codes and licensed practice come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Caution {
    /// Open flame.
    Flame,
    /// Lead in soft solder.
    Lead,
    /// Cadmium in old silver braze.
    Cadmium,
    /// Chromium plate: no grinding, no heat.
    Chromium,
    /// Burning lacquer.
    LacquerFume,
    /// Acid (pickle, flux).
    Acid,
    /// Solvent.
    Solvent,
    /// A tool under force that can slip or fly.
    FlyingTool,
    /// Metal dust and buffing.
    Dust,
    /// Brittle metal may split.
    Splinter,
    /// Molten metal or pitch in a tube.
    MoltenFill,
    /// Lead in a fill alloy.
    FillLead,
    /// Cadmium in the fill alloy for 70 °C.
    FillCadmium,
    /// Hot pitch.
    HotPitch,
    /// A soldered place beside the flame lets go too.
    LetsGo,
    /// The torch is too weak for the joint.
    WeakTorch,
    /// The flame spoils a finish that the customer wants kept.
    FinishWanted,
}

/// What stands under every caution.
pub const DEFERS: &str = "Local codes and licensed practice come first.";

impl Caution {
    /// All cautions.
    pub const ALL: [Self; 17] = [
        Self::Flame,
        Self::Lead,
        Self::Cadmium,
        Self::Chromium,
        Self::LacquerFume,
        Self::Acid,
        Self::Solvent,
        Self::FlyingTool,
        Self::Dust,
        Self::Splinter,
        Self::MoltenFill,
        Self::FillLead,
        Self::FillCadmium,
        Self::HotPitch,
        Self::LetsGo,
        Self::WeakTorch,
        Self::FinishWanted,
    ];

    /// In one word or two.
    pub fn name(self) -> &'static str {
        match self {
            Self::Flame => "flame",
            Self::Lead => "lead",
            Self::Cadmium => "cadmium",
            Self::Chromium => "chromium",
            Self::LacquerFume => "lacquer fume",
            Self::Acid => "acid",
            Self::Solvent => "solvent",
            Self::FlyingTool => "tool under force",
            Self::Dust => "dust",
            Self::Splinter => "brittle metal",
            Self::MoltenFill => "molten fill",
            Self::FillLead => "lead in the fill",
            Self::FillCadmium => "cadmium in the fill",
            Self::HotPitch => "hot pitch",
            Self::LetsGo => "a joint beside it lets go",
            Self::WeakTorch => "torch too small",
            Self::FinishWanted => "finish to be kept",
        }
    }

    /// What to take care of. Limits are eight-hour means from memory of 29 CFR 1910.1025, .1026 and .1027; they are quoted,
    /// not judged: nothing here says what the air of a shop holds.
    pub fn text(self) -> &'static str {
        match self {
            Self::Flame => {
                "Open flame: clear the bench of solvent, rag and lacquer, keep water and an extinguisher within reach, wear eye protection, let nobody leave hot metal unmarked."
            }
            Self::Lead => {
                "Soft solder with lead, or of unknown kind and so taken as leaded: draw the fume off at the joint, do not file or buff it dry, wash hands before food or smoke, keep it away from the mouthpiece end. Limit from memory of 29 CFR 1910.1025: 50 µg/m³ over eight hours, action level 30."
            }
            Self::Cadmium => {
                "Silver braze that may hold cadmium (old or of unknown kind): do not overheat it, work under extraction with a respirator meant for it, or send it out. Limit from memory of 29 CFR 1910.1027: 5 µg/m³ over eight hours."
            }
            Self::Chromium => {
                "Chromium plate: do not grind, buff through or heat it; stripping belongs to a licensed plater. Limit for hexavalent chromium from memory of 29 CFR 1910.1026: 5 µg/m³ over eight hours."
            }
            Self::LacquerFume => "Burning lacquer: strip it first where the flame will reach, work under extraction.",
            Self::Acid => {
                "Pickle and flux: goggles, gloves, acid into water, rinse and neutralise, baking soda at hand; nothing shut up in the tube."
            }
            Self::Solvent => "Solvent: no flame in the room, moving air, gloves, rags into a closed can.",
            Self::FlyingTool => {
                "A tool under force can slip or fly: stand out of its line, eye protection, the work held and not hugged, nobody in front."
            }
            Self::Dust => {
                "Metal and buffing dust: extraction and mask, no gloves or loose sleeves at the wheel, hold the work below its centre line."
            }
            Self::Splinter => "Brittle metal may split without warning: eye protection, short strokes, stop at the first tick.",
            Self::MoltenFill => {
                "Molten fill: a drop of water in the tube flashes to steam and throws it. Dry tube, ladle and plug until they are warm right through, face shield, leather gloves and apron, nobody over the open end. Never put a torch to a filled or plugged tube: it bursts. Melt it out with hot water or an oven, an end open and pointing down."
            }
            Self::FillLead => {
                "The fill alloy holds lead: heat it no hotter than it needs to pour, do not file or sand it, wash hands before food or smoke, keep the swabs, skimmings and water as hazardous waste, and let no bead stay in the mouthpiece end. Limit from memory of 29 CFR 1910.1025: 50 µg/m³ over eight hours, action level 30."
            }
            Self::FillCadmium => {
                "The fill alloy for 70 °C holds cadmium too: never put a flame to it, never overheat it, work under extraction, or take the cadmium-free alloy for 95 °C. Limit from memory of 29 CFR 1910.1027: 5 µg/m³ over eight hours."
            }
            Self::HotPitch => {
                "Hot pitch sticks and burns deep, boils over and catches fire: a pot with a lid, half full at most, on a covered heater and not over an open flame, sand or a lid against fire and never water, long sleeves, gloves and face shield, moving air."
            }
            Self::LetsGo => {
                "A soldered place too near the flame for a heat sink melts too: bind it with wire or clamp it before the flame is lit, do not move the work until it has set, solder it again as the plan says."
            }
            Self::WeakTorch => {
                "The torch is too small for this joint and does not bring it to its heat: take a larger one, or two at once. A small flame held on for long softens and burns more than a large one that is quickly done."
            }
            Self::FinishWanted => {
                "The customer wants this finish kept, and this flame spoils it: there is no way without. Ask before you light it, strip or shield what it reaches."
            }
        }
    }

    /// The caution as it is printed: what to take care of, and that local codes come first.
    pub fn printed(self) -> String {
        format!("{} {DEFERS}", self.text())
    }
}

/// Each caution once, in a fixed order.
pub fn sorted(mut all: Vec<Caution>) -> Vec<Caution> {
    all.sort_unstable();
    all.dedup();
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_caution_defers_to_the_law_of_the_place() {
        for c in Caution::ALL {
            assert!(c.printed().ends_with(DEFERS) && c.text().len() > 40, "{c:?}");
        }
    }

    #[test]
    fn the_limits_are_those_of_the_list_of_published_figures() {
        // From memory of 29 CFR 1910.1025/.1027/.1026.
        assert!(Caution::Lead.text().contains("50 µg/m³") && Caution::Lead.text().contains("action level 30"));
        assert!(Caution::Cadmium.text().contains("5 µg/m³") && Caution::Chromium.text().contains("5 µg/m³"));
    }
}
