//! What to do with the metal, and why, in words that hold the numbers.

use crate::{Advice, Effect, Form, effects, form};
use instrument::{Dent, Finish, Role, Site};
use metal::stress_corrosion::SeasonCracking;
use metal::{Temper, ductility};
use units::text::{given_mm, mm};
use units::{Source, Text, text};

/// Source of the rules.
pub const ADVICE: Source = Source::common_practice(
    "cold up to 10 % likelihood of a crack, then with an anneal up to 10 %, then with anneals between passes up to 25 %; a fold is annealed unless the metal is soft; a crack is stopped first; a hole or a crack longer than half the diameter is patched; a leadpipe with red rot is replaced unless it is known not to go through; what must stay hard is never annealed: it is worked cold up to 25 %, beyond that replaced, left where it is only seen, or patched",
);

/// Likelihood of a crack that a repairer accepts. See [`ADVICE`].
pub const ACCEPTED: f64 = 0.10;
/// Likelihood accepted where nothing gentler is left. See [`ADVICE`].
pub const ACCEPTED_AT_LAST: f64 = 0.25;
/// Temper below which metal counts as soft enough for a fold, numbers hard. See [`ADVICE`].
const SOFT: f64 = 0.5;
/// Depth that nobody sees, mm. Common practice, no source.
const UNSEEN_MM: f64 = 0.1;

/// What the advice depends on.
#[derive(Clone, Copy, Debug)]
pub struct Grounds<'a> {
    /// Depth, mm.
    pub depth_mm: f64,
    /// Outside diameter, mm.
    pub diameter_mm: f64,
    /// Form.
    pub form: Form,
    /// Effective strain at the worst place.
    pub strain: f64,
    /// How much more a stopped crack or a hole sees.
    pub concentration: f64,
    /// Strain of dent and way back.
    pub spent: f64,
    /// Strain of the way back alone.
    pub back: f64,
    /// Strain that the metal bears.
    pub capacity: f64,
    /// Likelihood of a crack, cold.
    pub cold: f64,
    /// Likelihood of a crack after an anneal.
    pub annealed: f64,
    /// Likelihood of a crack in one of two halves of the way back, an anneal before each.
    pub halves: f64,
    /// Temper, numbers hard.
    pub temper: f64,
    /// Why it matters.
    pub effects: &'a [Effect],
}

/// The advice and its reason.
pub fn advice(dent: &Dent, site: &Site, g: &Grounds) -> (Advice, Text) {
    let (advice, mut because) = choose(dent, site, g);
    if let (Advice::AnnealFirst | Advice::AnnealBetweenPasses, Some((joint, distance))) = (advice, site.joints_near.first()) {
        let name = joint.0.replace("--", " to ").replace('-', " ");
        because += text!(" Soldered joint {} is {} away: keep it cool or support it.", name, mm(*distance, 0));
    }
    (advice, because)
}

fn choose(dent: &Dent, site: &Site, g: &Grounds) -> (Advice, Text) {
    let p = |x: f64| percent(x);
    let balance = text!(
        "{} dent in {} {}: {} % strain at the worst place. {} % total strain after removal; the limit here is about {} %",
        form::words(g.form),
        Temper(g.temper).name(),
        site.alloy.name(),
        hundredths(g.strain),
        hundredths(g.spent),
        hundredths(g.capacity)
    );
    if site.red_rot {
        let through = match site.red_rot_through {
            Some(true) => "goes through the wall",
            Some(false) => "does not go through yet",
            None => "must be taken to go through: it starts inside, and what shows outside has come through",
        };
        let where_ = if site.role == Role::Leadpipe { "red rot in a leadpipe" } else { "red rot" };
        let text = text!(
            "{} that {}. Dezincified metal is brittle, and an anneal does not restore its zinc. {}. A crack starts with {} likelihood cold",
            where_,
            through,
            balance,
            p(g.cold)
        );
        return match (site.role, site.red_rot_through) {
            (Role::Leadpipe, Some(true) | None) | (_, Some(true)) => (Advice::ReplaceRun, text + ". Replace it."),
            _ => (Advice::Patch, text + ". Leave the rotten metal where it is and patch over it."),
        };
    }
    if site.season_cracking {
        let crack = SeasonCracking::Begun.words();
        let text = text!("{}. {}. A crack starts with {} likelihood cold", crack, balance, p(g.cold));
        if g.annealed > 0.5 {
            return (Advice::ReplaceRun, text + " and more likely than not even after an anneal. Replace it.");
        }
        return (Advice::StabiliseThenWork, text + ".");
    }
    if let Some(crack) = &dent.crack {
        let length = crack.length_mm.as_ref().map(|l| l.value).filter(|l| l.is_finite());
        let said = length.map_or_else(|| "of unknown length".into(), |l| text!("{} long", mm(l, 1)));
        let half = g.diameter_mm / 2.0;
        if crack.through == Some(true) && length.is_some_and(|l| l > half) {
            return (
                Advice::Patch,
                text!(
                    "The crack is {}, goes through, and is longer than half the diameter ({}): solder alone does not hold it. Bring the dent up to the patch's seat. {}.",
                    said,
                    mm(half, 1),
                    balance
                ),
            );
        }
        let through = match crack.through {
            Some(true) => "goes through",
            Some(false) => "does not go through",
            None => "may go through (nobody looked)",
        };
        return (
            Advice::StabiliseThenWork,
            text!(
                "The crack, {}, {}. Stop its ends first: it runs on as soon as the metal moves ({} likelihood cold). Even at a stopped end the strain is about {} times that around it. {}.",
                said,
                through,
                p(g.cold),
                text!("{}", format!("{:.1}", g.concentration)),
                balance
            ),
        );
    }
    let only_seen = g.effects == [Effect::Cosmetic];
    if only_seen && g.depth_mm < UNSEEN_MM {
        return (
            Advice::Leave,
            text!("{} deep and only seen: below what light on the metal shows ({}).", mm(g.depth_mm, 2), given_mm(UNSEEN_MM)),
        );
    }
    let balance = match &site.crack_near {
        Some(near) if g.concentration > 1.0 => text!(
            "{}. The {} beside it ({}) raises that by {} at its end",
            balance,
            if near.hole { "hole" } else { "crack" },
            near.id.0.replace('-', " "),
            text!("{}", format!("{:.1}", g.concentration))
        ),
        _ => balance,
    };
    if let Some(why) = site.role.why_hard() {
        return stays_hard(site, g, only_seen, &balance, why);
    }
    let folded = g.form == Form::VShaped;
    if g.cold <= ACCEPTED && !(folded && g.temper > SOFT) {
        return (
            Advice::WorkCold,
            text!("{}. A crack starts with {} likelihood; at most {} is accepted.", balance, p(g.cold), p(ACCEPTED)),
        );
    }
    let why = if folded {
        "The fold holds most of the strain on one line: anneal it and open it from its ends before the smooth field around it"
    } else {
        "Cold it is too much"
    };
    if g.annealed <= ACCEPTED {
        return (
            Advice::AnnealFirst,
            text!("{}. {}. A crack starts with {} likelihood cold, {} after an anneal.", balance, why, p(g.cold), p(g.annealed)),
        );
    }
    if g.halves <= ACCEPTED_AT_LAST {
        return (
            Advice::AnnealBetweenPasses,
            text!(
                "{}. {}. A crack starts with {} likelihood cold and {} after one anneal. With an anneal before each half of the way back ({} % strain) it is {}.",
                balance,
                why,
                p(g.cold),
                p(g.annealed),
                hundredths(g.back),
                p(g.halves)
            ),
        );
    }
    let text = text!(
        "{}. Even with an anneal before each half of the way back a crack starts with {} likelihood (at most {} is accepted)",
        balance,
        p(g.halves),
        p(ACCEPTED_AT_LAST)
    );
    if only_seen {
        return (Advice::Leave, text + ". It only shows. Leave it, or patch it if the customer wishes.");
    }
    (Advice::Patch, text + ". Patch it, or let in a new piece.")
}

/// A part that must stay hard: no anneal, whatever it would save; what is done instead.
fn stays_hard(site: &Site, g: &Grounds, only_seen: bool, balance: &Text, why: &str) -> (Advice, Text) {
    use Role::{BellFlare, BellStem, Casing, HandSlideInner, HandSlideOuter, Piston, Rim, TuningSlideInner, TuningSlideOuter};
    let instead = match site.role {
        HandSlideInner | TuningSlideInner => {
            "drawn on a mandrel that fits its bore, or burnished from inside, in small cold passes, the fit tried between them"
        }
        HandSlideOuter | TuningSlideOuter => {
            "rolled or burnished over a mandrel that fits its bore, in small cold passes, the fit tried between them"
        }
        Casing => "over a close mandrel in small cold passes, its piston tried between them",
        Piston => "a piston is not dented out: it is trued by its maker or replaced",
        BellStem | BellFlare | Rim => "over a mandrel or a stake, in small cold passes, looked at with a glass between them",
        _ => "in small cold passes",
    };
    let plate = match (site.finish, site.role) {
        (Finish::ChromePlate, HandSlideInner) => {
            " An anneal would also burn its chromium plate, and a ball driven through it stretches the tube under the plate, which flakes: no ball."
        }
        (Finish::ChromePlate | Finish::NickelPlate | Finish::SilverPlate | Finish::GoldPlate, _) => " An anneal would also burn its plate.",
        _ => "",
    };
    let hard = text!("{}. It is not annealed: {}.{}", balance, why, plate);
    let cold = percent(g.cold);
    if site.role != Piston && g.cold <= ACCEPTED {
        return (
            Advice::WorkCold,
            text!("{} Instead {}. A crack starts with {} likelihood; at most {} is accepted.", hard, instead, cold, percent(ACCEPTED)),
        );
    }
    if site.role != Piston && g.cold <= ACCEPTED_AT_LAST {
        return (
            Advice::WorkCold,
            text!(
                "{} Instead {}. A crack starts with {} likelihood. That is more than the usual {}; up to {} is accepted where an anneal is ruled out.",
                hard,
                instead,
                cold,
                percent(ACCEPTED),
                percent(ACCEPTED_AT_LAST)
            ),
        );
    }
    let text = text!("{} Cold a crack starts with {} likelihood, at most {} is accepted", hard, cold, percent(ACCEPTED_AT_LAST));
    if effects::moves(site.role) {
        return (Advice::ReplaceRun, if site.role == Piston { text!("{} Here {}.", hard, instead) } else { text + ". Replace the tube." });
    }
    if only_seen {
        return (Advice::Leave, text + ". It only shows. Leave it, or let a person overrule: annealed it is workable, and soft.");
    }
    (Advice::Patch, text + ". Patch it, let in a new piece, or overrule: annealed it is workable, and soft.")
}

/// A probability in words.
fn percent(p: f64) -> String {
    match p * 100.0 {
        x if x < 1.0 => "< 1 %".to_owned(),
        x if x > 99.0 => "over 99 %".to_owned(),
        x => format!("{x:.0} %"),
    }
}

/// A strain in per cent.
fn hundredths(strain: f64) -> String {
    let x = 100.0 * strain;
    if x < 9.95 { format!("{:.1}", x) } else { format!("{:.0}", x) }
}

/// Likelihood that a crack starts in one of two equal halves of the way back, with an anneal before each.
pub fn halves(back: f64, back_sd: f64, capacity: f64, capacity_sd: f64) -> f64 {
    let one = ductility::crack_likelihood(back / 2.0, back_sd / 2.0, capacity, capacity_sd);
    // The same metal both times: the second half adds little; twice is the upper bound.
    (2.0 * one).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rules_are_those_that_are_said() {
        let said = |p: f64| format!("up to {:.0} %", 100.0 * p);
        assert!(ADVICE.text.contains(&format!("cold {} likelihood of a crack, then with an anneal {}", said(ACCEPTED), said(ACCEPTED))));
        assert!(ADVICE.text.contains(&format!("anneals between passes {}", said(ACCEPTED_AT_LAST))));
        assert!(ADVICE.text.contains(&format!("worked cold {}", said(ACCEPTED_AT_LAST))));
    }

    /// Whole per cents, and no certainty that the model does not have; strains to two figures.
    #[test]
    fn shares_are_said_as_they_are() {
        assert_eq!([0.0, 0.009_9, 0.01, 0.014, 0.099].map(percent), ["< 1 %", "< 1 %", "1 %", "1 %", "10 %"]);
        assert_eq!([0.5, 0.99, 0.990_1, 1.0].map(percent), ["50 %", "99 %", "over 99 %", "over 99 %"]);
        assert_eq!([0.0, 0.031_2, 0.099, 0.1, 0.126].map(hundredths), ["0.0", "3.1", "9.9", "10", "13"]);
    }

    /// By hand: half of 0.2 ± 0.04 against 0.2 ± 0.03, lognormal: ln(1/2)/√(0.198² + 0.149²) = −2.80, Φ = 0.0026, twice that; more than certain is
    /// certain.
    #[test]
    fn two_halves_are_twice_one() {
        assert!((halves(0.2, 0.04, 0.2, 0.03) - 0.0052).abs() < 0.0015, "{}", halves(0.2, 0.04, 0.2, 0.03));
        assert_eq!(halves(2.0, 0.1, 0.2, 0.03), 1.0);
    }
}
