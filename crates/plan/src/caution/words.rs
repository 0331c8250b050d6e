//! The words of the cautions: what to do, as it is said at the bench. Common practice, no source, unless told. Things that several
//! cautions would ask for (safety glasses, extraction, washing hands) stand in one of them, so that a step does not say them twice.

use super::hazard::Caution;
use serde::Serialize;

/// What stands under the cautions, once.
pub const DEFERS: &str = "Local codes and licensed practice come first.";

/// A limit of the law: quoted, not judged. Nothing here says what the air of a shop holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Limit {
    /// What it says.
    pub text: &'static str,
    /// Where.
    pub source: &'static str,
}

impl Caution {
    /// In one word or two.
    pub fn name(self) -> &'static str {
        match self {
            Self::Flame => "flame",
            Self::GasCylinder => "gas cylinder",
            Self::Ventilation => "ventilation",
            Self::FireWatch => "fire watch",
            Self::PenetratingOil => "penetrating oil",
            Self::Lead => "lead",
            Self::Cadmium => "cadmium",
            Self::SolderFlux => "soldering flux",
            Self::BrazeFlux => "brazing flux",
            Self::Chromium => "chromium",
            Self::Beryllium => "beryllium copper",
            Self::LacquerFume => "burning lacquer",
            Self::LacquerStripper => "lacquer stripper",
            Self::LacquerSpray => "spraying lacquer",
            Self::Plating => "plating",
            Self::Acid => "acid",
            Self::Solvent => "solvent",
            Self::Eyes => "eyes",
            Self::Hearing => "hearing",
            Self::Vise => "vise",
            Self::FlyingTool => "tool under force",
            Self::DrivenBall => "driven ball",
            Self::Press => "press",
            Self::Cable => "cable under pull",
            Self::Magnet => "magnet",
            Self::CompressedAir => "air pressure",
            Self::SmallParts => "drilling and filing",
            Self::Dust => "dust",
            Self::Lathe => "lathe",
            Self::Splinter => "brittle metal",
            Self::MoltenFill => "molten fill",
            Self::FillLead => "lead in the fill",
            Self::FillCadmium => "cadmium in the fill",
            Self::HotPitch => "hot pitch",
            Self::LetsGo => "a joint beside it lets go",
            Self::WeakTorch => "torch too small",
            Self::FinishWanted => "finish to be kept",
            Self::Rinse => "rinse before playing",
        }
    }

    /// What to do, in one or two sentences.
    pub fn text(self) -> &'static str {
        match self {
            Self::Flame => {
                "Open flame: clear solvent, rags and paper off the bench, and keep water and an extinguisher within reach. Mark hot metal so that nobody picks it up."
            }
            Self::GasCylinder => {
                "Chain the gas cylinder upright and check its fittings for leaks with soapy water before you light up. Shut it at the cylinder when the flame is out."
            }
            Self::Ventilation => "Run the extraction or work in moving air, and keep your face out of the smoke.",
            Self::FireWatch => "When the flame is out, look for anything that smolders. Stay and watch for half an hour.",
            Self::PenetratingOil => "Penetrating oil burns: wash all of it off, inside and out, before any flame comes near.",
            Self::Lead => {
                "This solder is leaded, or nobody knows: do not overheat it, and never file, sand or buff it dry. Wash your hands before you eat, drink or smoke, and keep it away from the mouthpiece end."
            }
            Self::Cadmium => {
                "This silver braze may hold cadmium, whose fume harms lungs and kidneys: do not overheat it, and do not file it dry. Wear a respirator rated for cadmium, or send the work out."
            }
            Self::SolderFlux => {
                "Soldering flux spits and burns: keep it off your skin. Rinse it off, inside and out, when the work is cold."
            }
            Self::BrazeFlux => {
                "Hot brazing flux gives off fluorides: heat it no longer than the braze needs. Soak the glassy rest off in hot water and do not chip it."
            }
            Self::Chromium => {
                "Do not grind, sand, buff or heat chromium plate, because its dust and fume harm the lungs. Send the part out to be stripped first."
            }
            Self::Beryllium => {
                "This part may be beryllium copper, and its dust scars the lungs for good: no dry grinding, sanding, filing or buffing. Find out what it is, or leave it to a shop that is set up for it."
            }
            Self::LacquerFume => "Lacquer burns with harmful smoke: take it off beyond where the flame reaches before you light up.",
            Self::LacquerStripper => {
                "Lacquer stripper burns the skin: wear chemical gloves, and let it dry nowhere in the tube. Rinse all of it off before any flame or heat."
            }
            Self::LacquerSpray => {
                "Spray lacquer in a spray booth only, with nothing that sparks or burns near it. Wear a respirator for organic vapor."
            }
            Self::Plating => {
                "Plating and stripping plate are for a licensed plater only: the baths hold cyanide or chromium. Send the part out, clean and marked."
            }
            Self::Acid => {
                "Pickle is acid: wear acid gloves, and pour acid into water, never water into acid. Neutralize with baking soda and shut none of it up in a tube."
            }
            Self::Solvent => "Solvent: no flame or spark in the room. Wear gloves, and put the rags into a closed metal can.",
            Self::Eyes => {
                "Wear safety glasses for the whole step. Put a face shield over them for molten metal, hot pitch, acid or the wheel."
            }
            Self::Hearing => "Wear hearing protection while you hammer or planish, and give it to whoever works beside you.",
            Self::Vise => "Clamp tool and work so that neither can turn or drop. Keep your fingers out from between tool, tube and jaws.",
            Self::FlyingTool => {
                "A tool under force can slip or fly: stand out of its line, with nobody in front of it. Take the force off before you look inside."
            }
            Self::DrivenBall => {
                "A driven ball can shoot out: stop the far end with a cloth or a bag. Nobody looks into the tube while it is driven."
            }
            Self::Press => "Keep your hands clear of the press and stand to its side. What slips under it flies out.",
            Self::Cable => "A cable that breaks whips back: look it over before each pull. Nobody stands in its line.",
            Self::Magnet => {
                "Strong magnets slam together and pinch: keep your fingers from between magnet and ball. Nobody with a pacemaker or another implant handles them or stands near."
            }
            Self::CompressedAir => {
                "Use the least air that shows the leak, and hold the stoppers so that none flies out. Never blow air at skin."
            }
            Self::SmallParts => {
                "Clamp small parts to drill or file them; do not hold them in your fingers. Brush the chips away and do not blow them."
            }
            Self::Dust => {
                "Metal and buffing dust: run the dust collector and wear a dust mask. Nothing loose at the wheel: no gloves, sleeves or hair."
            }
            Self::Lathe => {
                "At the lathe wear nothing that it can catch. Take the chuck key out before you start it, and stop it before you measure."
            }
            Self::Splinter => "Brittle metal splits without warning: work in short strokes, and stop at the first tick.",
            Self::MoltenFill => {
                "Dry tube, ladle and plug until they are warm through, because a drop of water throws the melt: leather gloves and apron. Never put a torch to a filled or plugged tube: it bursts."
            }
            Self::FillLead => {
                "This fill alloy holds lead: pour it no hotter than it runs, and do not file or sand it. Wash your hands before you eat, drink or smoke, and let no bead stay in the tube."
            }
            Self::FillCadmium => {
                "This fill alloy holds cadmium: no flame near it, and never overheat it. Take the cadmium-free alloy if you have it."
            }
            Self::HotPitch => {
                "Hot pitch sticks, burns deep and catches fire: pot half full, lid at hand, covered heater. Smother a fire with the lid or sand, never with water."
            }
            Self::LetsGo => {
                "A soldered place beside the flame melts too: bind it with wire or clamp it before you light up. Do not move the work until it has set."
            }
            Self::WeakTorch => {
                "This torch is too small for the joint: take a larger one, or two at once. A small flame held on for long burns and softens more than a large one."
            }
            Self::FinishWanted => "The customer wants this finish kept, and this flame spoils it. Ask before you light it.",
            Self::Rinse => "Rinse acid, flux, oil and polish out with warm water and dry the tubes before anybody blows or plays it.",
        }
    }

    /// The limit of the law that is quoted with it. Each was read in the text of the rule or in a page that quotes it (2026-11-26); see
    /// `docs/sources.md`. None is quoted for fluorides: no text of that rule was at hand.
    pub fn limit(self) -> Option<Limit> {
        let (text, source) = match self {
            Self::Lead | Self::FillLead => {
                ("50 µg of lead in a cubic meter of air, mean of eight hours; action level 30", "29 CFR 1910.1025")
            }
            Self::Cadmium | Self::FillCadmium => ("5 µg of cadmium in a cubic meter of air, mean of eight hours", "29 CFR 1910.1027"),
            Self::Chromium => {
                ("5 µg of hexavalent chromium in a cubic meter of air, mean of eight hours; action level 2.5", "29 CFR 1910.1026")
            }
            Self::Beryllium => ("action level 0.1 µg of beryllium in a cubic meter of air, mean of eight hours", "29 CFR 1910.1024"),
            Self::Hearing => ("90 dBA over eight hours; a hearing program from 85 dBA", "29 CFR 1910.95"),
            Self::CompressedAir => ("air for cleaning below 30 psi (2 bar), with chip guards and protection", "29 CFR 1910.242(b)"),
            Self::FireWatch => {
                ("a fire watch of at least half an hour after welding or cutting where one is required", "29 CFR 1910.252(a)(2)(iii)(B)")
            }
            _ => return None,
        };
        Some(Limit { text, source })
    }

    /// The caution as it stands alone: what to do, the limit as quoted, and that local codes come first.
    pub fn printed(self) -> String {
        let limit = self.limit().map_or_else(String::new, |l| format!(" Limit as quoted from {}: {}.", l.source, l.text));
        format!("{}{limit} {DEFERS}", self.text())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    /// Sentences of the bench: one or two, whole, none over thirty words.
    #[test]
    fn each_caution_is_one_or_two_whole_sentences() {
        for c in Caution::ALL {
            let sentences: Vec<&str> = c.text().split_inclusive(['.', '?']).map(str::trim).filter(|s| !s.is_empty()).collect();
            assert!((1..=2).contains(&sentences.len()), "{c:?}: {sentences:?}");
            for s in sentences {
                let words = s.split_whitespace().count();
                assert!((4..=30).contains(&words), "{c:?}, {words} words: {s}");
                assert!(s.starts_with(char::is_uppercase) && s.ends_with('.'), "{c:?}: {s}");
            }
            assert!(c.printed().ends_with(DEFERS) && !c.text().contains("codes"), "{c:?}");
        }
    }

    #[test]
    fn no_two_cautions_share_a_name_a_key_or_their_words() {
        let all = Caution::ALL;
        for of in [|c: &Caution| c.name(), |c: &Caution| c.key(), |c: &Caution| c.text()] {
            assert_eq!(all.iter().map(of).collect::<HashSet<_>>().len(), all.len());
        }
        // The key is what serde writes.
        for c in all {
            assert_eq!(serde_json::to_value(c).unwrap(), c.key());
        }
    }

    /// Eight-hour means and action levels of 29 CFR 1910 (subpart Z), dBA of table G-16 and paragraph (c) of .95, psi of .242(b).
    #[test]
    fn the_limits_are_those_of_the_rules() {
        let of = |c: Caution| c.limit().unwrap().text;
        assert!(of(Caution::Lead).starts_with("50 µg") && of(Caution::Lead).ends_with("action level 30"));
        assert!(of(Caution::Cadmium).starts_with("5 µg") && of(Caution::Chromium).starts_with("5 µg"));
        assert!(of(Caution::Chromium).ends_with("2.5") && of(Caution::Beryllium).starts_with("action level 0.1 µg"));
        assert!(of(Caution::Hearing).starts_with("90 dBA") && of(Caution::Hearing).ends_with("85 dBA"));
        assert!(of(Caution::CompressedAir).contains("below 30 psi") && of(Caution::FireWatch).contains("at least half an hour"));
        assert_eq!(Caution::ALL.iter().filter(|c| c.limit().is_some()).count(), 9);
        assert!(Caution::BrazeFlux.limit().is_none(), "no source was at hand");
    }
}
