//! The input values of an assessment: what was measured, and a wide prior for what was not.

use crate::profile::Fit;
use crate::{crack_stop, force, force_table, geometry, wall_strain};
use instrument::{Dent, Shape, Site};
use metal::ductility;
use units::text::mm;
use units::{Known, Origin, Text, Unit, text};

/// An input's place in the list.
pub type InputIndex = usize;
/// Depth, mm; or a ratio where it was not measured.
pub const DEPTH: InputIndex = 0;
/// Width round the tube, mm; or a ratio.
pub const ACROSS: InputIndex = 1;
/// Width along the tube, mm; or a ratio.
pub const ALONG: InputIndex = 2;
/// Width over s: how the section runs between bottom and edge.
pub const SHAPE: InputIndex = 3;
/// Sharpest curvature round the tube from a profile, 1/mm.
pub const CURVATURE_ACROSS: InputIndex = 4;
/// Sharpest curvature along the tube from a profile, 1/mm.
pub const CURVATURE_ALONG: InputIndex = 5;
/// Inside radius of the fold or the sharpest edge, mm.
pub const FOLD: InputIndex = 6;
/// Wall, mm.
pub const WALL: InputIndex = 7;
/// Bore, mm.
pub const BORE: InputIndex = 8;
/// Temper, numbers hard.
pub const TEMPER: InputIndex = 9;
/// Strength over its expected value.
pub const STRENGTH: InputIndex = 10;
/// Bearable strain over its expected value.
pub const CAPACITY: InputIndex = 11;
/// Kinematic share of the hardening.
pub const KINEMATIC: InputIndex = 12;
/// Strain of earlier work over twice this dent's.
pub const EARLIER: InputIndex = 13;
/// Force over the model's.
pub const FORMULA: InputIndex = 14;
/// Stiffness of a bend over that of a straight tube.
pub const BEND: InputIndex = 15;
/// Harm of strain under pressure over that of strain under tension.
pub const PRESSED: InputIndex = 16;
/// Model's force over the table's.
pub const TABLE: InputIndex = 17;
/// Over-push over the model's.
pub const OVERPUSH: InputIndex = 18;
/// Strain of the dent by the model over the closed form's.
pub const STRAINED: InputIndex = 19;
/// Stretching of the outside on the way back over that of reverse bending.
pub const BACK: InputIndex = 20;
/// Strain at a stopped crack's end, or at a hole, over that around it.
pub const HOLE: InputIndex = 21;
/// What the fold's radius is called where it is taken for granted.
pub const FOLD_RADIUS_NOT_MEASURED: &str = "inside radius of the fold (not measured)";
/// How many inputs.
pub const COUNT: usize = 22;

/// How a depth or a width was come by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The input is the value itself.
    Itself,
    /// The input is a ratio to the tube's diameter (depth).
    Diameter,
    /// The input is a ratio to the depth that a flat body of this width makes (depth).
    Width,
    /// The input is a ratio to the chord of the depth (width round the tube).
    Depth,
    /// The input is a ratio to the other width.
    OtherWidth,
}

/// A measurement that nobody took.
#[derive(Clone, Debug)]
pub struct MissingMeasurement {
    /// The input that stands for it, if any.
    pub input: Option<InputIndex>,
    /// What to measure.
    pub what: &'static str,
    /// What was used instead.
    pub instead: Text,
}

/// The inputs of one dent.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The values; none where an input plays no part.
    pub known: [Option<Known>; COUNT],
    /// How the depth was come by.
    pub depth_by: By,
    /// How the width round the tube was come by.
    pub across_by: By,
    /// How the width along the tube was come by.
    pub along_by: By,
    /// What was not measured.
    pub missing: Vec<MissingMeasurement>,
}

/// Chord ratio of a dent's width round the tube where it was not measured: its edge runs out beyond the chord that a flat
/// body would make. Common practice, no source.
const CHORD_RATIO: (f64, f64) = (1.3, 0.45);
/// Width along over width round the tube where only one was measured. Common practice, no source.
const WIDTH_RATIO: (f64, f64) = (1.2, 0.42);
/// Depth over diameter of a dent that a repairer writes down without a depth. Common practice, no source.
const DEPTH_RATIO: (f64, f64) = (0.06, 0.036);
/// Depth over that of the flat body's chord (width/1.3) where only a width was measured. Common practice, no source.
const DEPTH_FROM_WIDTH: (f64, f64) = (1.0, 0.6);
/// Inside radius of a fold over the wall where it was not measured. Common practice, no source.
const FOLD_RATIO: (f64, f64) = (1.5, 0.6);

/// Harm that strain does under pressure over what it does under tension, for a crack, by three laws: none (Cockcroft & Latham, J. Inst.
/// Metals 96 (1968), from memory: damage is the work of the greatest tensile stress); all (every plastic strain counts alike); and
/// that of one reversal in low-cycle fatigue, −0.24 (Manson–Coffin in Morrow's form, from memory: the half range Δε/2 = ε_f (2N)^c,
/// c = −0.6: at the end of the second reversal a range of 2 · 2^−0.6 = 1.32 ε_f is borne, which is a weight of 1/1.32 − 1). Their
/// mean; the doubt reaches from none to half. Strain pressed and stretched again is so neither forgotten nor counted as new.
const PRESSING: (f64, f64) = (0.25, 0.15);

/// A usable positive measurement, mm: one that an instrument can have. A spread that is not a number counts as a tenth of
/// the value; one as large as the value is held at nine tenths of it, because the quantity is positive.
fn usable(k: Option<&Known>) -> Option<Known> {
    let k = k?;
    if !(1e-3..=1e4).contains(&k.value) {
        return None;
    }
    let sd = if k.sd.is_finite() && k.sd >= 0.0 { k.sd.min(0.9 * k.value) } else { 0.1 * k.value };
    Some(Known { sd, ..k.clone() })
}

fn ratio(name: &'static str, (value, sd): (f64, f64)) -> Known {
    Known::new(name, value, sd, Unit::One, Origin::Assumed)
}

impl Inputs {
    /// Gathers what is known of a dent; a profile goes before a depth and a width.
    pub fn gather(dent: &Dent, site: &Site, along_fit: Option<&Fit>, across_fit: Option<&Fit>) -> Self {
        let folded = dent.crease.is_some() || [along_fit, across_fit].into_iter().flatten().any(Fit::kinked);
        let mut known: [Option<Known>; COUNT] = Default::default();
        let mut missing = Vec::new();
        let mut lack =
            |input: Option<InputIndex>, what: &'static str, instead: Text| missing.push(MissingMeasurement { input, what, instead });

        // The deeper of two profiles met the bottom.
        let deepest = [along_fit, across_fit].into_iter().flatten().max_by(|a, b| a.depth_mm.value.total_cmp(&b.depth_mm.value));
        let depth =
            deepest.map(|f| from_profile(&f.depth_mm, "depth")).or_else(|| usable(dent.depth_mm.as_ref()).map(|k| k.named("depth")));
        let across = across_fit
            .map(|f| from_profile(&f.width_mm, "width round the tube"))
            .or_else(|| usable(dent.width_across_mm.as_ref()).map(|k| k.named("width round the tube")));
        let along = along_fit
            .map(|f| from_profile(&f.width_mm, "width along the tube"))
            .or_else(|| usable(dent.width_along_mm.as_ref()).map(|k| k.named("width along the tube")));

        let (depth_by, depth) = match depth {
            Some(k) => {
                if k.origin.could_be_measured() {
                    lack(Some(DEPTH), "depth, with a gauge", text!("{} ± {} as judged", mm(k.value, 1), mm(k.sd, 1).bare()));
                }
                (By::Itself, k)
            }
            None if across.is_some() || along.is_some() => {
                lack(Some(DEPTH), "depth", "what a flat body of this width would press in, ± 60 % (common practice)".into());
                (By::Width, ratio("depth over that of a flat body of this width (not measured)", DEPTH_FROM_WIDTH))
            }
            None => {
                lack(Some(DEPTH), "depth", "6 % of the diameter, ± 60 % of that (common practice)".into());
                (By::Diameter, ratio("depth over diameter (not measured)", DEPTH_RATIO))
            }
        };
        let guessed_widths = across.is_none() && along.is_none();
        let across_by = match (&across, &along) {
            (Some(_), _) => By::Itself,
            (None, Some(_)) => By::OtherWidth,
            (None, None) => By::Depth,
        };
        let across = across.unwrap_or_else(|| {
            if guessed_widths {
                lack(Some(ACROSS), "width round the tube", "1.3 times the chord that its depth makes, ± 35 % (common practice)".into());
                ratio("width round the tube over the chord of its depth (not measured)", CHORD_RATIO)
            } else {
                lack(Some(ACROSS), "width round the tube", "the width along it over 1.2, ± 35 % (common practice)".into());
                ratio("width along over width round the tube (not measured)", WIDTH_RATIO)
            }
        });
        let (along_by, along) = match along {
            Some(k) => (By::Itself, k),
            None => {
                lack(Some(ALONG), "width along the tube", "1.2 times the width round it, ± 35 % (common practice)".into());
                (By::OtherWidth, ratio("width along over width round the tube (not measured)", WIDTH_RATIO))
            }
        };
        for (k, input, what) in
            [(&across, ACROSS, "width round the tube, with a gauge"), (&along, ALONG, "width along the tube, with a gauge")]
        {
            if k.unit == Unit::Mm && k.origin.could_be_measured() {
                lack(Some(input), what, text!("{} ± {} as judged", mm(k.value, 1), mm(k.sd, 1).bare()));
            }
        }
        known[DEPTH] = Some(depth);
        known[ACROSS] = Some(across);
        known[ALONG] = Some(along);

        known[CURVATURE_ACROSS] = across_fit.map(|f| from_profile(&f.sharpest_per_mm, "sharpest curvature round the tube"));
        known[CURVATURE_ALONG] = along_fit.map(|f| from_profile(&f.sharpest_per_mm, "sharpest curvature along the tube"));
        if along_fit.is_none() || across_fit.is_none() {
            let k =
                Known::new("width over s: how the dent runs from bottom to edge", geometry::WIDTH_OVER_S, 0.5, Unit::One, Origin::Assumed);
            known[SHAPE] = Some(k);
            lack(
                Some(SHAPE),
                "a profile of points along and round the tube",
                "a dent of Gaussian form, its width over s 4.3 ± 0.5 (common practice)".into(),
            );
        }

        let wall = usable(Some(&site.wall_mm)).unwrap_or_else(|| Known::new("wall", 0.5, 0.15, Unit::Mm, Origin::Assumed)).named("wall");
        let bore = usable(Some(&site.bore_mm)).unwrap_or_else(|| Known::new("bore", 15.0, 5.0, Unit::Mm, Origin::Assumed)).named("bore");
        known[FOLD] = usable(dent.edge_radius_mm.as_ref()).map(|k| k.named("inside radius of the sharpest edge")).or_else(|| {
            folded.then(|| {
                lack(Some(FOLD), "inside radius of the fold", "1.5 walls, ± 40 % (common practice)".into());
                let (r, sd) = FOLD_RATIO;
                Known::new(FOLD_RADIUS_NOT_MEASURED, r * wall.value, sd * wall.value, Unit::Mm, Origin::Assumed)
            })
        });
        for (k, input, what) in [(&wall, WALL, "wall at the dent"), (&bore, BORE, "bore at the dent")] {
            if k.origin.could_be_measured() && k.sd > 0.0 {
                lack(Some(input), what, text!("{} ± {}, {}", mm(k.value, 2), mm(k.sd, 2).bare(), came_from(k.origin)));
            }
        }
        known[WALL] = Some(wall);
        known[BORE] = Some(bore);

        let mut temper = site.temper.clone().named("temper");
        if !temper.value.is_finite() {
            temper = Known::new("temper", 2.0, 1.5, Unit::NumbersHard, Origin::Assumed);
        }
        if !(temper.sd.is_finite() && temper.sd >= 0.0) {
            temper.sd = 1.5;
        }
        temper.sd = temper.sd.min(4.0);
        // Held where the tables end, so that a spread beyond them does not count one-sidedly.
        temper.value = temper.value.clamp(0.0, 8.0);
        if temper.origin.could_be_measured() && temper.sd > 0.0 {
            let text = format!("{} (± {:.1} temper steps), {}", metal::Temper(temper.value).name(), temper.sd, came_from(temper.origin));
            lack(Some(TEMPER), "Vickers hardness at the dent", text.into());
        }
        known[TEMPER] = Some(temper);
        for (unknown, what, instead) in [
            (site.at_mm.origin == Origin::Assumed, "distance from the mouthpiece end", "anywhere on the run"),
            (site.clock_deg.is_none(), "clock angle", "the side on which it is hardest"),
        ] {
            if unknown {
                lack(None, what, instead.into());
            }
        }

        let at = metal::Temper(known[TEMPER].as_ref().map_or(2.0, |k| k.value));
        let strength = site.alloy.yield_mpa(at);
        let part = |v: metal::Value| if v.value > 0.0 { v.sd / v.value } else { 0.1 };
        known[STRENGTH] = Some(Known::new("strength over the table's", 1.0, part(strength), Unit::One, Origin::Handbook));
        let capacity = ductility::capacity(site.alloy, at, ductility::Kind::FOLD_ALONG);
        known[CAPACITY] = Some(match unsound(site) {
            Some(name) => Known::new(name, UNSOUND.0, UNSOUND.1, Unit::One, Origin::ByEye),
            None => Known::new("bearable strain over its expected value", 1.0, part(capacity).min(0.9), Unit::One, Origin::Handbook),
        });
        known[KINEMATIC] = Some(Known::new(
            "kinematic share of the hardening",
            metal::springback::BAUSCHINGER,
            metal::springback::BAUSCHINGER_SD,
            Unit::One,
            Origin::Handbook,
        ));
        if dent.earlier_repair.is_some() {
            known[EARLIER] =
                Some(Known::new("strain of earlier work over that of this dent and back", 1.0, 0.7, Unit::One, Origin::Assumed));
            lack(
                Some(EARLIER),
                "Vickers hardness at the dent (it was worked before)",
                "as much strain as this dent and back, ± 70 % (common practice)".into(),
            );
        }
        known[PRESSED] = Some(Known::new("harm of pressing over that of stretching", PRESSING.0, PRESSING.1, Unit::One, Origin::Handbook));
        let form = if along_fit.is_some() && across_fit.is_some() {
            wall_strain::Known::Profile
        } else if guessed_widths {
            wall_strain::Known::Guessed
        } else {
            wall_strain::Known::Width
        };
        for (input, name, (value, part)) in [
            (STRAINED, "strain of the dent by the model over the closed form's", wall_strain::dent(form)),
            (BACK, "stretching on the way back over that of reverse bending", wall_strain::back()),
        ] {
            known[input] = Some(Known::new(name, value, part * value, Unit::One, Origin::Computed));
        }
        if dent.crack.is_some() || site.crack_near.is_some() {
            let curve = metal::Curve::fit(site.alloy, at);
            let (value, part) = crack_stop::factor(curve.poisson, curve.n);
            known[HOLE] =
                Some(Known::new("strain at a stopped crack's end over that around it", value, part * value, Unit::One, Origin::Handbook));
        }
        if site.crack_near.as_ref().is_some_and(|c| c.distance_mm.is_none()) {
            missing.push(MissingMeasurement {
                input: None,
                what: "where the crack or hole of the run lies",
                instead: "away from this dent".into(),
            });
        }
        known[FORMULA] = Some(Known::new("force over the model's", 1.0, force::DOUBT, Unit::One, Origin::Handbook));
        known[OVERPUSH] = Some(Known::new("over-push over the model's", 1.0, force::OVERPUSH_DOUBT, Unit::One, Origin::Handbook));
        known[TABLE] =
            Some(Known::new("model's force over the table's", 1.0, force_table::ERROR[0].force_out_rms, Unit::One, Origin::Computed));
        let diameter = known[BORE].as_ref().map_or(15.0, |b| b.value);
        known[BEND] = match site.shape {
            Shape::Straight => None,
            Shape::Bent { radius_mm } => {
                let (f, sd) = force::bend_factor(diameter, finite(radius_mm, diameter));
                Some(Known::new("stiffness of the bend over a straight tube's", f, sd, Unit::One, Origin::Handbook))
            }
            Shape::Unsure { bent_part, radius_mm } => {
                let (f, sd) = force::bend_factor(diameter, finite(radius_mm, diameter));
                let p = finite(bent_part, 0.5).clamp(0.0, 1.0);
                // Straight or bent with the chances 1 − p and p: mean and spread of the two together.
                let adds = f - 1.0;
                let spread = (p * (1.0 - p) * adds * adds + p * sd * sd).sqrt();
                Some(Known::new("stiffness of the bend, if there is one", 1.0 + p * adds, spread, Unit::One, Origin::Assumed))
            }
        };
        Self { known, depth_by, across_by, along_by, missing }
    }

    /// Sets the doubts of force and over-push and of the table itself, one standard deviation as a part of each: they depend on
    /// how well the table covers the case, which only a first run shows.
    pub fn doubt(&mut self, force: f64, overpush: f64, table: f64) {
        for (input, sd) in [(FORMULA, force), (OVERPUSH, overpush), (TABLE, table)] {
            if let Some(k) = &mut self.known[input] {
                k.sd = sd;
            }
        }
    }

    /// The best estimates; 1 for an input that plays no part.
    pub fn values(&self) -> [f64; COUNT] {
        std::array::from_fn(|i| self.known[i].as_ref().map_or(1.0, |k| k.value))
    }
}

/// Part of the sound metal's bearable strain that rotten or cracking metal still bears, and its standard deviation.
/// Common practice, no source: dezincified copper and season-cracked brass break at the first bend.
pub const UNSOUND: (f64, f64) = (0.3, 0.15);

fn unsound(site: &Site) -> Option<&'static str> {
    if site.red_rot {
        Some("bearable strain of red-rotted metal over sound metal's")
    } else if site.season_cracking {
        Some("bearable strain of season-cracked metal over sound metal's")
    } else {
        None
    }
}

fn finite(x: f64, otherwise: f64) -> f64 {
    if x.is_finite() { x } else { otherwise }
}

fn came_from(origin: Origin) -> &'static str {
    match origin {
        Origin::Pattern => "from the instrument's pattern",
        Origin::ByEye => "as judged",
        _ => "assumed",
    }
}

/// A fit's figure as a measured input.
fn from_profile(f: &units::Figure, name: &'static str) -> Known {
    Known { origin: Origin::Measured, ..f.known(name) }
}

/// Width of a dent over the chord of the flat body that pressed it, for [`By::Width`].
pub fn chord_ratio() -> f64 {
    CHORD_RATIO.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What docs/sources.md says of what has no better source; a change here is a change there.
    #[test]
    fn priors_are_those_of_the_page() {
        let page = include_str!("../../../docs/sources.md");
        let (h, sd) = PRESSING;
        // Morrow's form for two reversals, c = −0.6: Δε = 2 ε_f 2^c borne, so strain stretched after it was pressed counts 1/(2 · 2^c).
        let morrow = 1.0 / (2.0 * 2.0_f64.powf(-0.6)) - 1.0;
        let laws = [morrow, 0.0, 1.0];
        let mean = laws.iter().sum::<f64>() / 3.0;
        assert!((h - mean).abs() < 0.01 && (0.1..=0.3).contains(&sd), "{h} {mean}");
        let (u, sd) = UNSOUND;
        assert!(page.contains(&format!("rotten or season-cracked metal bears {u} ± {sd} of sound metal's strain")), "{u} {sd}");
        assert!((u - 0.3).abs() < 1e-12 && (sd - 0.15).abs() < 1e-12);
    }
}
