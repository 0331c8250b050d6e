//! Tools to make or buy, in words.

use crate::ToolBody;
use units::text::{mm, newtons};
use units::{Text, text};

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
            text!("rod {}, {} long, bent to a center-line radius of {}, head {}", d(diameter_mm), l(length_mm), l(radius_mm), d(head_mm))
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
        ToolBody::Cable { length_mm, limit_n } => text!("cable {} long, for {}", l(length_mm), newtons(limit_n)),
        ToolBody::FlexibleShaft { diameter_mm, length_mm, least_radius_mm, .. } => {
            text!("flexible shaft {}, {} long, minimum bend radius {}", d(diameter_mm), l(length_mm), l(least_radius_mm))
        }
        ToolBody::Magnet { pull_n, .. } => text!("magnet that pulls {}", newtons(pull_n)),
        ToolBody::Hammer { face_radius_mm } => text!("dent hammer, face radius {}", l(face_radius_mm)),
        ToolBody::Roller { diameter_mm } => text!("roller {}", d(diameter_mm)),
        ToolBody::Stake { crown_radius_mm, face_mm, diameter_mm, length_mm } => {
            text!("stake, arm {}, {} long, face {} of crown radius {}", d(diameter_mm), l(length_mm), l(face_mm), l(crown_radius_mm))
        }
        ToolBody::Dolly { crown_radius_mm, face_mm } => text!("dolly, face {} of crown radius {}", l(face_mm), l(crown_radius_mm)),
        ToolBody::PullStud { foot_mm } => text!("pull stud with a {} foot", l(foot_mm)),
        ToolBody::Press { limit_n, travel_mm } => {
            let travel = travel_mm.map_or_else(Text::default, |travel| text!(" with a travel of {}", l(travel)));
            text!("press for {}{}", newtons(limit_n), travel)
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
            newtons(limit_n)
        ),
        ToolBody::DrawRing { bore_mm } => text!("draw ring {}", mm(bore_mm, 2)),
        ToolBody::DrawBench { length_mm, limit_n } => text!("draw bench for {} with a travel of {}", newtons(limit_n), l(length_mm)),
        ToolBody::Fill { fill } => fill.name().into(),
    }
}
