//! What may hurt: the cautions by name.

use serde::{Deserialize, Serialize};

/// A caution. It is the usual one of the trade; local codes and licensed practice come first. As text (serde) its key in `plan.json`
/// and in the record: keys stay, new ones may come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, strum::IntoStaticStr, strum::VariantArray)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Caution {
    /// Open flame.
    Flame,
    /// Gas cylinder and its fittings.
    GasCylinder,
    /// Smoke and fume: moving air.
    Ventilation,
    /// Smoldering after the flame is out.
    FireWatch,
    /// Penetrating oil where a flame follows.
    PenetratingOil,
    /// Lead in soft solder, known or not ruled out.
    Lead,
    /// Cadmium in silver braze, known or not ruled out.
    Cadmium,
    /// Flux of soft solder.
    SolderFlux,
    /// Fluorides in brazing flux.
    BrazeFlux,
    /// Chromium plate: no grinding, no heat.
    Chromium,
    /// Beryllium copper, not ruled out.
    Beryllium,
    /// Burning lacquer.
    LacquerFume,
    /// Lacquer stripper.
    LacquerStripper,
    /// Spraying lacquer.
    LacquerSpray,
    /// Plating baths.
    Plating,
    /// Acid: pickle.
    Acid,
    /// Solvent.
    Solvent,
    /// Eyes.
    Eyes,
    /// Hearing.
    Hearing,
    /// Tool and work in the vise.
    Vise,
    /// A rod or another tool under force that can slip or fly.
    FlyingTool,
    /// A driven ball.
    DrivenBall,
    /// A press or a draw bench.
    Press,
    /// A cable under pull.
    Cable,
    /// A strong magnet.
    Magnet,
    /// Air under pressure.
    CompressedAir,
    /// Drilling and filing small parts.
    SmallParts,
    /// Metal dust and buffing.
    Dust,
    /// The lathe.
    Lathe,
    /// Brittle metal may split.
    Splinter,
    /// Molten metal or pitch in a tube.
    MoltenFill,
    /// Lead in a fill alloy.
    FillLead,
    /// Cadmium in a fill alloy.
    FillCadmium,
    /// Hot pitch.
    HotPitch,
    /// A soldered place beside the flame lets go too.
    LetsGo,
    /// The torch is too weak for the joint.
    WeakTorch,
    /// The flame spoils a finish that the customer wants kept.
    FinishWanted,
    /// Residue in the tubes before somebody blows into them.
    Rinse,
}

const VARIANTS: &[Caution] = <Caution as strum::VariantArray>::VARIANTS;

impl Caution {
    /// All cautions, in the order in which they are read.
    pub const ALL: [Self; VARIANTS.len()] = {
        let mut all = [Self::Flame; VARIANTS.len()];
        let mut i = 0;
        while i < all.len() {
            all[i] = VARIANTS[i];
            i += 1;
        }
        all
    };

    /// Its key in `plan.json` and in the record.
    pub fn key(self) -> &'static str {
        self.into()
    }
}
