//! A tool that the rack does not have, as its pieces: the words are made from the sizes, never read back.

use crate::ToolBody;
use crate::stands::{self, Load};
use serde::{Deserialize, Serialize};
use units::text::{mm, newtons};
use units::{Text, text};

/// One thing to make or buy: a ball, a shaft, a mandrel, a press.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolPiece {
    /// What it is, with the sizes that it is made to.
    pub body: ToolBody,
    /// Why this, and why this size.
    pub because: Text,
    /// The load of the step that it is made for; none for what is bought by its own limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<Load>,
}

impl ToolPiece {
    /// A piece whose load is not reckoned.
    pub fn new(body: ToolBody, because: Text) -> Self {
        Self { body, because, load: None }
    }

    /// With the load that it is made for; or why it does not stand that.
    pub fn under(self, load: Load) -> Result<Self, Text> {
        match stands::fails(&self.body, &load) {
            Some(why) => Err(why),
            None => Ok(Self { load: Some(load), ..self }),
        }
    }

    /// In words, with its sizes ("rod 9.0 mm, 310 mm long, head 14.5 mm").
    pub fn words(&self) -> Text {
        match self.load {
            Some(Load { count, .. }) if count > 1 => text!("{} × {}", format!("{count}"), tool_words(&self.body)),
            _ => tool_words(&self.body),
        }
    }

    /// Whether a shop buys it: nobody makes a flexible shaft, a cable or a press.
    pub fn is_bought(&self) -> bool {
        matches!(
            self.body,
            ToolBody::FlexibleShaft { .. }
                | ToolBody::Cable { .. }
                | ToolBody::Press { .. }
                | ToolBody::DrawBench { .. }
                | ToolBody::Magnet { .. }
                | ToolBody::Torch { .. }
                | ToolBody::Fill { .. }
        )
    }

    /// "make" or "buy".
    pub fn verb(&self) -> &'static str {
        if self.is_bought() { "buy" } else { "make" }
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
    pub fn one(body: ToolBody, because: Text) -> Self {
        Self { pieces: vec![ToolPiece::new(body, because)] }
    }

    /// One piece alone, with its load; or why it does not stand that.
    pub fn one_under(body: ToolBody, because: Text, load: Load) -> Result<Self, Text> {
        Ok(Self { pieces: vec![ToolPiece::new(body, because).under(load)?] })
    }

    /// In words: "balls 74.00, 76.50 mm and a flexible shaft 12.0 mm, 1400 mm long, going round 72 mm".
    pub fn words(&self) -> Text {
        pieces_words(self.pieces.iter().map(|p| &p.body))
    }

    /// Whether the same things are to be made, whatever asks for them.
    pub fn same_pieces(&self, other: &Self) -> bool {
        self.pieces.iter().map(|p| &p.body).eq(other.pieces.iter().map(|p| &p.body))
    }

    /// Why, each reason once.
    pub fn because(&self) -> Text {
        let mut said: Vec<&Text> = Vec::new();
        for p in &self.pieces {
            if !said.contains(&&p.because) {
                said.push(&p.because);
            }
        }
        Text::join(said, "; ")
    }
}

/// Things to make or buy, in words; balls together.
pub fn pieces_words<'b>(bodies: impl IntoIterator<Item = &'b ToolBody>) -> Text {
    let (mut balls, mut rest) = (Vec::new(), Vec::new());
    for body in bodies {
        match *body {
            ToolBody::Ball { diameter_mm } => balls.push(mm(diameter_mm, BALL_DECIMALS)),
            _ => rest.push(tool_words(body)),
        }
    }
    let many = if balls.len() > 1 { "s" } else { "" };
    let balls = (!balls.is_empty()).then(|| text!("ball{} {}", many, Text::list(&balls)));
    Text::join(balls.into_iter().chain(rest), " and a ")
}

/// Balls come in steps of a quarter millimetre.
const BALL_DECIMALS: u8 = 2;

/// One tool in words, with its sizes.
pub fn tool_words(body: &ToolBody) -> Text {
    // Diameters to the tenth, lengths and radii to the millimetre; what must fit a bore to the hundredth.
    let (d, l) = (|size: f64| mm(size, 1), |size: f64| mm(size, 0));
    match *body {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } => {
            text!("rod {}, {} long, head {}", d(diameter_mm), l(length_mm), d(head_mm))
        }
        ToolBody::CurvedRod { diameter_mm, length_mm, radius_mm, head_mm } => {
            text!("rod {}, {} long, bent to a centre-line radius of {}, head {}", d(diameter_mm), l(length_mm), l(radius_mm), d(head_mm))
        }
        ToolBody::Mandrel { small_mm, large_mm, length_mm } if large_mm > small_mm => {
            text!("mandrel {} to {} over {}", mm(small_mm, 2).bare(), mm(large_mm, 2), l(length_mm))
        }
        ToolBody::Mandrel { small_mm, length_mm, .. } => text!("mandrel {}, {} long", mm(small_mm, 2), l(length_mm)),
        ToolBody::BallSet { smallest_mm, largest_mm, step_mm } => text!(
            "balls {} to {} in steps of {}",
            mm(smallest_mm, BALL_DECIMALS).bare(),
            mm(largest_mm, BALL_DECIMALS),
            mm(step_mm, BALL_DECIMALS)
        ),
        ToolBody::Ball { diameter_mm } => text!("ball {}", mm(diameter_mm, BALL_DECIMALS)),
        ToolBody::Cable { length_mm, limit_n } => text!("cable {} long, for {}", l(length_mm), newtons(limit_n, 0)),
        ToolBody::FlexibleShaft { diameter_mm, length_mm, least_radius_mm, .. } => {
            text!("flexible shaft {}, {} long, going round {}", d(diameter_mm), l(length_mm), l(least_radius_mm))
        }
        ToolBody::Magnet { pull_n, .. } => text!("magnet that pulls {}", newtons(pull_n, 0)),
        ToolBody::Hammer { face_radius_mm } => text!("dent hammer, face radius {}", l(face_radius_mm)),
        ToolBody::Roller { diameter_mm } => text!("roller {}", d(diameter_mm)),
        ToolBody::Stake { crown_radius_mm, face_mm, diameter_mm, length_mm } => {
            text!("stake, arm {}, {} long, face {} of crown radius {}", d(diameter_mm), l(length_mm), l(face_mm), l(crown_radius_mm))
        }
        ToolBody::Dolly { crown_radius_mm, face_mm } => text!("dolly, face {} of crown radius {}", l(face_mm), l(crown_radius_mm)),
        ToolBody::PullStud { foot_mm } => text!("pull stud with a {} foot", l(foot_mm)),
        ToolBody::Press { limit_n, travel_mm } => {
            let travel = travel_mm.map_or_else(Text::default, |travel| text!(" with a travel of {}", l(travel)));
            text!("press for {}{}", newtons(limit_n, 0), travel)
        }
        ToolBody::Torch { watts: Some(w) } => text!("torch of {} W", format!("{w:.0}")),
        ToolBody::Torch { watts: None } => "torch".into(),
        ToolBody::Burnisher { diameter_mm, length_mm, head_mm } => {
            text!("inside burnisher {}, {} long, polished nose {}", d(diameter_mm), l(length_mm), d(head_mm))
        }
        ToolBody::Expander { smallest_mm, largest_mm, jaws_mm, length_mm, limit_n } => text!(
            "expanding plug {} to {}, jaws {}, going {} in, screw for {}",
            mm(smallest_mm, 1).bare(),
            d(largest_mm),
            l(jaws_mm),
            l(length_mm),
            newtons(limit_n, 0)
        ),
        ToolBody::DrawRing { bore_mm } => text!("draw ring {}", mm(bore_mm, 2)),
        ToolBody::DrawBench { length_mm, limit_n } => text!("draw bench for {} with a travel of {}", newtons(limit_n, 0), l(length_mm)),
        ToolBody::Fill { fill } => fill.name().into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::LengthUnit;

    fn words(bodies: &[ToolBody]) -> String {
        pieces_words(bodies).metric()
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
        assert_eq!(pieces_words(&[ball(50.8), ball(76.2), shaft]).show(LengthUnit::Inch).split(" and a ").next(), Some("balls 2, 3 in"));
        let mandrel = ToolBody::Mandrel { small_mm: 94.6, large_mm: 121.25, length_mm: 65.0 };
        let press = ToolBody::Press { limit_n: 1500.0, travel_mm: Some(66.0) };
        assert_eq!(words(&[mandrel, press]), "mandrel 94.60 to 121.25 mm over 65 mm and a press for 1500 N with a travel of 66 mm");
        assert_eq!(words(&[ToolBody::Mandrel { small_mm: 9.0, large_mm: 9.0, length_mm: 60.0 }]), "mandrel 9.00 mm, 60 mm long");
        assert_eq!(words(&[ToolBody::PullStud { foot_mm: 8.0 }]), "pull stud with a 8 mm foot");
        assert_eq!(words(&[]), "");
    }
}
