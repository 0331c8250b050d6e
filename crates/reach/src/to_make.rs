//! A tool that the rack does not have, as its pieces: the words are made from the sizes, never read back.

use crate::ToolBody;
use serde::{Deserialize, Serialize};
use units::LengthUnit;
use units::length::show_inch;

/// One thing to make or buy: a ball, a shaft, a mandrel, a press.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolPiece {
    /// What it is, with the sizes that it is made to.
    pub body: ToolBody,
    /// Why this, and why this size.
    pub because: String,
}

impl ToolPiece {
    /// In words, with its sizes ("rod 9.0 mm, 310 mm long, head 14.5 mm").
    pub fn words(&self, unit: LengthUnit) -> String {
        tool_words(&self.body, unit)
    }
}

/// What a method asks to be made or bought: the balls of a train and what drives them, a mandrel and a press that leads it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolToMake {
    /// Piece by piece, what works on the dent before what drives it.
    pub pieces: Vec<ToolPiece>,
}

impl ToolToMake {
    /// One piece alone.
    pub fn one(body: ToolBody, because: String) -> Self {
        Self { pieces: vec![ToolPiece { body, because }] }
    }

    /// In words: "balls 74.00, 76.50 mm and a flexible shaft 12.0 mm, 1400 mm long, going round 72 mm".
    pub fn words(&self, unit: LengthUnit) -> String {
        pieces_words(self.pieces.iter().map(|p| &p.body), unit)
    }

    /// Whether the same things are to be made, whatever asks for them.
    pub fn same_pieces(&self, other: &Self) -> bool {
        self.pieces.iter().map(|p| &p.body).eq(other.pieces.iter().map(|p| &p.body))
    }

    /// Why, each reason once.
    pub fn because(&self) -> String {
        let mut said: Vec<&str> = Vec::new();
        for p in &self.pieces {
            if !said.contains(&p.because.as_str()) {
                said.push(&p.because);
            }
        }
        said.join("; ")
    }
}

/// Sizes as a person reads them: millimetres with so many decimals, or inches of the same size.
#[derive(Clone, Copy)]
struct Sizes(LengthUnit);

impl Sizes {
    /// The number alone, its unit to follow.
    fn number(self, mm: f64, decimals: usize) -> String {
        let rounded = format!("{mm:.decimals$}");
        match self.0 {
            LengthUnit::Mm => rounded,
            // The size that is told in millimetres, so that both drawings make the same thing.
            LengthUnit::Inch => show_inch(rounded.parse().unwrap_or(mm)).trim_end_matches(" in").to_owned(),
        }
    }

    fn unit(self) -> &'static str {
        match self.0 {
            LengthUnit::Mm => "mm",
            LengthUnit::Inch => "in",
        }
    }

    fn size(self, mm: f64, decimals: usize) -> String {
        format!("{} {}", self.number(mm, decimals), self.unit())
    }
}

/// Things to make or buy, in words; balls together.
pub fn pieces_words<'b>(bodies: impl IntoIterator<Item = &'b ToolBody>, unit: LengthUnit) -> String {
    let s = Sizes(unit);
    let (mut balls, mut rest) = (Vec::new(), Vec::new());
    for body in bodies {
        match *body {
            ToolBody::Ball { diameter_mm } => balls.push(s.number(diameter_mm, BALL_DECIMALS)),
            _ => rest.push(tool_words(body, unit)),
        }
    }
    let many = if balls.len() > 1 { "s" } else { "" };
    let balls = (!balls.is_empty()).then(|| format!("ball{many} {} {}", balls.join(", "), s.unit()));
    balls.into_iter().chain(rest).collect::<Vec<_>>().join(" and a ")
}

/// Balls come in steps of a quarter millimetre.
const BALL_DECIMALS: usize = 2;

/// One tool in words, with its sizes.
pub fn tool_words(body: &ToolBody, unit: LengthUnit) -> String {
    let s = Sizes(unit);
    // Diameters to the tenth, lengths and radii to the millimetre; what must fit a bore to the hundredth.
    let (d, l) = (|mm: f64| s.size(mm, 1), |mm: f64| s.size(mm, 0));
    match *body {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } => {
            format!("rod {}, {} long, head {}", d(diameter_mm), l(length_mm), d(head_mm))
        }
        ToolBody::CurvedRod { diameter_mm, length_mm, radius_mm, head_mm } => {
            format!("rod {}, {} long, bent to a centre-line radius of {}, head {}", d(diameter_mm), l(length_mm), l(radius_mm), d(head_mm))
        }
        ToolBody::Mandrel { small_mm, large_mm, length_mm } if large_mm > small_mm => {
            format!("mandrel {} to {} over {}", s.number(small_mm, 2), s.size(large_mm, 2), l(length_mm))
        }
        ToolBody::Mandrel { small_mm, length_mm, .. } => format!("mandrel {}, {} long", s.size(small_mm, 2), l(length_mm)),
        ToolBody::BallSet { smallest_mm, largest_mm, step_mm } => format!(
            "balls {} to {} in steps of {}",
            s.number(smallest_mm, BALL_DECIMALS),
            s.size(largest_mm, BALL_DECIMALS),
            s.size(step_mm, BALL_DECIMALS)
        ),
        ToolBody::Ball { diameter_mm } => format!("ball {}", s.size(diameter_mm, BALL_DECIMALS)),
        ToolBody::Cable { length_mm, limit_n } => format!("cable {} long, for {limit_n:.0} N", l(length_mm)),
        ToolBody::FlexibleShaft { diameter_mm, length_mm, least_radius_mm, .. } => {
            format!("flexible shaft {}, {} long, going round {}", d(diameter_mm), l(length_mm), l(least_radius_mm))
        }
        ToolBody::Magnet { pull_n, .. } => format!("magnet that pulls {pull_n:.0} N"),
        ToolBody::Hammer { face_radius_mm } => format!("dent hammer, face radius {}", l(face_radius_mm)),
        ToolBody::Roller { diameter_mm } => format!("roller {}", d(diameter_mm)),
        ToolBody::Stake { crown_radius_mm, face_mm, diameter_mm, length_mm } => {
            format!("stake, arm {}, {} long, face {} of crown radius {}", d(diameter_mm), l(length_mm), l(face_mm), l(crown_radius_mm))
        }
        ToolBody::Dolly { crown_radius_mm, face_mm } => format!("dolly, face {} of crown radius {}", l(face_mm), l(crown_radius_mm)),
        ToolBody::PullStud { foot_mm } => format!("pull stud with a {} foot", l(foot_mm)),
        ToolBody::Press { limit_n, travel_mm } => {
            let travel = travel_mm.map_or_else(String::new, |mm| format!(" with a travel of {}", l(mm)));
            format!("press for {limit_n:.0} N{travel}")
        }
        ToolBody::Torch { watts: Some(w) } => format!("torch of {w:.0} W"),
        ToolBody::Torch { watts: None } => "torch".to_owned(),
        ToolBody::Burnisher { diameter_mm, length_mm, head_mm } => {
            format!("inside burnisher {}, {} long, polished nose {}", d(diameter_mm), l(length_mm), d(head_mm))
        }
        ToolBody::Expander { smallest_mm, largest_mm, jaws_mm, length_mm, limit_n } => format!(
            "expanding plug {} to {}, jaws {}, going {} in, screw for {limit_n:.0} N",
            s.number(smallest_mm, 1),
            d(largest_mm),
            l(jaws_mm),
            l(length_mm)
        ),
        ToolBody::DrawRing { bore_mm } => format!("draw ring {}", s.size(bore_mm, 2)),
        ToolBody::DrawBench { length_mm, limit_n } => format!("draw bench for {limit_n:.0} N with a travel of {}", l(length_mm)),
        ToolBody::Fill { fill } => fill.name().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use units::prose::lengths_in;

    fn words(bodies: &[ToolBody]) -> String {
        pieces_words(bodies, LengthUnit::Mm)
    }

    /// As they have stood on the papers since the first plan.
    #[test]
    fn pieces_in_words() {
        let shaft = ToolBody::FlexibleShaft { diameter_mm: 12.0, length_mm: 1400.0, least_radius_mm: 72.0, limit_n: 1152.0 };
        let ball = |diameter_mm| ToolBody::Ball { diameter_mm };
        assert_eq!(words(&[ball(74.0)]), "ball 74.00 mm");
        assert_eq!(words(&[ball(12.5), ball(13.0)]), "balls 12.50, 13.00 mm");
        assert_eq!(
            words(&[ball(74.0), ball(76.5), shaft.clone()]),
            "balls 74.00, 76.50 mm and a flexible shaft 12.0 mm, 1400 mm long, going round 72 mm"
        );
        assert_eq!(pieces_words(&[ball(50.8), ball(76.2), shaft], LengthUnit::Inch).split(" and a ").next(), Some("balls 2, 3 in"));
        let mandrel = ToolBody::Mandrel { small_mm: 94.6, large_mm: 121.25, length_mm: 65.0 };
        let press = ToolBody::Press { limit_n: 1500.0, travel_mm: Some(66.0) };
        assert_eq!(words(&[mandrel, press]), "mandrel 94.60 to 121.25 mm over 65 mm and a press for 1500 N with a travel of 66 mm");
        assert_eq!(words(&[ToolBody::Mandrel { small_mm: 9.0, large_mm: 9.0, length_mm: 60.0 }]), "mandrel 9.00 mm, 60 mm long");
        assert_eq!(words(&[ToolBody::PullStud { foot_mm: 8.0 }]), "pull stud with a 8 mm foot");
        assert_eq!(words(&[]), "");
    }

    proptest! {
        /// In inches a tool is told as its millimetres are told everywhere else.
        #[test]
        fn inches_are_those_of_the_sentence(d in 0.5_f64..300.0, more in 0.0_f64..90.0, l in 30.0_f64..1500.0, r in 4.0_f64..400.0, n in 50.0_f64..5e3) {
            let bodies = [
                ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: d + more },
                ToolBody::CurvedRod { diameter_mm: d, length_mm: l, radius_mm: r, head_mm: d + more },
                ToolBody::Mandrel { small_mm: d, large_mm: d + more, length_mm: l },
                ToolBody::Ball { diameter_mm: d },
                ToolBody::FlexibleShaft { diameter_mm: d, length_mm: l, least_radius_mm: r, limit_n: n },
                ToolBody::Burnisher { diameter_mm: d, length_mm: l, head_mm: d + more },
                ToolBody::Stake { crown_radius_mm: r, face_mm: more, diameter_mm: d, length_mm: l },
                ToolBody::Expander { smallest_mm: d, largest_mm: d + more, jaws_mm: 12.0, length_mm: l, limit_n: n },
                ToolBody::DrawRing { bore_mm: d },
                ToolBody::Press { limit_n: n, travel_mm: Some(l) },
            ];
            for body in bodies {
                prop_assert_eq!(tool_words(&body, LengthUnit::Inch), lengths_in(&tool_words(&body, LengthUnit::Mm), LengthUnit::Inch));
            }
        }
    }
}
