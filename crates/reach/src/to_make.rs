//! A tool that the rack does not have, as its pieces: the words are made from the sizes, never read back.

use crate::ToolBody;
use crate::stands::{self, Load};
use crate::tool_words::{pieces_words, tool_words};
use serde::{Deserialize, Serialize};
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

impl ToolBody {
    /// Whether a shop buys it: nobody makes a flexible shaft, a cable or a press.
    pub fn is_bought(&self) -> bool {
        matches!(
            self,
            Self::FlexibleShaft { .. }
                | Self::Cable { .. }
                | Self::Press { .. }
                | Self::DrawBench { .. }
                | Self::Magnet { .. }
                | Self::Torch { .. }
                | Self::Fill { .. }
        )
    }
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

    /// Whether a shop buys it ([`ToolBody::is_bought`]).
    pub fn is_bought(&self) -> bool {
        self.body.is_bought()
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
        assert_eq!(words(&[ball(74.0)]), "ball 74 mm");
        assert_eq!(words(&[ball(12.5), ball(13.0)]), "balls 12.5, 13 mm");
        assert_eq!(
            words(&[ball(74.0), ball(76.5), shaft.clone()]),
            "balls 74, 76.5 mm and a flexible shaft 12 mm, 1400 mm long, minimum bend radius 72 mm"
        );
        assert_eq!(pieces_words(&[ball(50.8), ball(76.2), shaft]).show(LengthUnit::Inch).split(" and a ").next(), Some("balls 2, 3 in"));
        let mandrel = ToolBody::Mandrel { small_mm: 94.6, large_mm: 121.25, length_mm: 65.0 };
        let press = ToolBody::Press { limit_n: 1500.0, travel_mm: Some(66.0) };
        assert_eq!(words(&[mandrel, press]), "mandrel 94.6 to 121.25 mm over 65 mm and a press for 1500 N with a travel of 66 mm");
        assert_eq!(words(&[ToolBody::Mandrel { small_mm: 9.0, large_mm: 9.0, length_mm: 60.0 }]), "mandrel 9 mm, 60 mm long");
        assert_eq!(words(&[ToolBody::PullStud { foot_mm: 8.0 }]), "pull stud with a 8 mm foot");
        assert_eq!(words(&[]), "");
    }
}
