//! What of a step raises which caution: the facts, and the one table that reads them. Which facts call for which caution is common
//! practice, no source, unless told.

use super::hazard::Caution;
use instrument::Finish;
use metal::{Fill, Filler};

/// What is done in a step, as far as it may hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    /// A flame is lit.
    LightsFlame,
    /// Something is struck: hammered, planished.
    Strikes,
    /// A tool is levered, pushed, turned out or drawn under force.
    Levers,
    /// A ball is driven through.
    DrivesBall,
    /// A cable pulls.
    PullsCable,
    /// A press or a draw bench drives.
    Presses,
    /// A magnet works a ball through the wall.
    UsesMagnet,
    /// Tool or work is held in the vise.
    HoldsInVise,
    /// A hole is drilled.
    Drills,
    /// Metal is sawn, filed or scraped.
    Files,
    /// Metal is buffed or sanded.
    Buffs,
    /// Something is turned on the lathe.
    Turns,
    /// Air is put into a stopped tube.
    BlowsAir,
    /// Somebody blows into it, or it is put together for that.
    Plays,
    /// Penetrating oil is put on.
    Oils,
    /// A solvent is used.
    Dissolves,
}

/// The facts of a step that decide its cautions.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// What is done.
    pub acts: Vec<Act>,
    /// Old and new fillers that the flame melts, brings close to melting beside it, or finds left on the metal; and those that are
    /// scraped off cold.
    pub fillers: Vec<Filler>,
    /// Fillers that flow in this step: their flux goes with them.
    pub fluxed: Vec<Filler>,
    /// What lies on the metal that the flame reaches.
    pub heated: Vec<Finish>,
    /// What lies on the metal that is drilled, filed or buffed.
    pub abraded: Vec<Finish>,
    /// Finishes that are put on anew.
    pub renewed: Vec<Finish>,
    /// What a tube is filled with in this step, or what is melted out of it.
    pub fill: Option<Fill>,
    /// Whether the metal that is heated or worked off may be beryllium copper.
    pub may_be_beryllium: bool,
    /// Whether the metal may split under the tool.
    pub brittle: bool,
    /// Whether penetrating oil was put on what the flame reaches.
    pub oiled: bool,
    /// Whether a flame is lit anywhere in the plan.
    pub flame_in_plan: bool,
    /// Whether earlier steps leave acid, flux, oil or polish in the tubes.
    pub residue: bool,
    /// Whether something soldered beside the flame lets go.
    pub lets_go: bool,
    /// Whether the torch does not bring it to its heat.
    pub too_weak: bool,
    /// Whether the flame spoils a finish that the customer wants kept.
    pub spoils_wanted: bool,
}

impl Facts {
    /// Whether this is done.
    pub fn does(&self, act: Act) -> bool {
        self.acts.contains(&act)
    }

    /// Whether any of these is done.
    fn does_any(&self, acts: &[Act]) -> bool {
        acts.iter().any(|a| self.does(*a))
    }

    /// Whether metal is worked off.
    fn abrades(&self) -> bool {
        self.does_any(&[Act::Drills, Act::Files, Act::Buffs])
    }
}

impl Caution {
    /// The cautions of a step with these facts, each once, in their order.
    pub fn of(facts: &Facts) -> Vec<Self> {
        Self::ALL.into_iter().filter(|c| c.raised_by(facts)).collect()
    }

    /// The table: whether these facts raise the caution.
    pub fn raised_by(self, f: &Facts) -> bool {
        let flame = f.does(Act::LightsFlame);
        let has = |all: &[Finish], one: Finish| all.contains(&one);
        match self {
            Self::Flame | Self::GasCylinder | Self::FireWatch => flame,
            Self::Ventilation => flame || f.fill.is_some() || f.does(Act::Dissolves),
            // It is washed off where it was put on, and looked at again where the flame is lit.
            Self::PenetratingOil => (f.does(Act::Oils) && f.flame_in_plan) || (flame && f.oiled),
            // Nobody knows the age and kind of old solder: unknown soft solder is taken as leaded, unknown silver as cadmium-bearing.
            Self::Lead => f.fillers.iter().any(|x| x.contains_lead()),
            Self::Cadmium => f.fillers.iter().any(|x| x.contains_cadmium()),
            Self::SolderFlux => flame && f.fluxed.iter().any(|x| x.is_soft()),
            Self::BrazeFlux => flame && f.fluxed.iter().any(|x| !x.is_soft()),
            // At brazing heat the metal scales and is pickled; soft solder's flux is rinsed off. Flushing is no acid.
            Self::Acid => flame && f.fluxed.iter().any(|x| !x.is_soft()),
            Self::Chromium => (flame && has(&f.heated, Finish::ChromePlate)) || (f.abrades() && has(&f.abraded, Finish::ChromePlate)),
            Self::Beryllium => f.may_be_beryllium && (flame || f.abrades()),
            Self::LacquerFume => flame && has(&f.heated, Finish::Lacquer),
            Self::LacquerStripper => (flame && has(&f.heated, Finish::Lacquer)) || has(&f.renewed, Finish::Lacquer),
            Self::LacquerSpray => has(&f.renewed, Finish::Lacquer),
            Self::Plating => f.renewed.iter().any(|x| is_plate(*x)),
            Self::Solvent => f.does(Act::Dissolves),
            Self::Eyes => {
                let throws = [Act::Strikes, Act::Levers, Act::DrivesBall, Act::PullsCable, Act::Presses, Act::Turns, Act::BlowsAir];
                flame || f.fill.is_some() || f.abrades() || f.does_any(&throws)
            }
            Self::Hearing => f.does(Act::Strikes),
            Self::Vise => f.does(Act::HoldsInVise),
            Self::FlyingTool => f.does(Act::Levers),
            Self::DrivenBall => f.does(Act::DrivesBall),
            Self::Press => f.does(Act::Presses),
            Self::Cable => f.does(Act::PullsCable),
            Self::Magnet => f.does(Act::UsesMagnet),
            Self::CompressedAir => f.does(Act::BlowsAir),
            Self::SmallParts => f.does_any(&[Act::Drills, Act::Files]),
            Self::Dust => f.does(Act::Buffs),
            Self::Lathe => f.does(Act::Turns),
            Self::Splinter => f.brittle,
            Self::MoltenFill => f.fill.is_some(),
            Self::FillLead => f.fill.is_some_and(Fill::contains_lead),
            Self::FillCadmium => f.fill.is_some_and(Fill::contains_cadmium),
            Self::HotPitch => f.fill == Some(Fill::Pitch),
            Self::LetsGo => flame && f.lets_go,
            Self::WeakTorch => flame && f.too_weak,
            Self::FinishWanted => flame && f.spoils_wanted,
            Self::Rinse => f.residue && f.does_any(&[Act::Plays, Act::BlowsAir]),
        }
    }
}

/// Whether a finish comes out of a plating bath.
fn is_plate(finish: Finish) -> bool {
    match finish {
        Finish::SilverPlate | Finish::GoldPlate | Finish::NickelPlate | Finish::ChromePlate => true,
        Finish::Raw | Finish::Lacquer => false,
    }
}
