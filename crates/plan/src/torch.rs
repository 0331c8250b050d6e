//! The torch that the shop has, and what of it enters the metal.

use metal::heat_torch;
use reach::{Rack, ToolBody};
use units::{Known, Origin, Unit};

/// The torch that the plan reckons with: the strongest on the rack, because a large flame is drawn back and a small one is
/// not made larger.
#[derive(Clone, Debug, PartialEq)]
pub struct Torch {
    /// What the shop calls it; none where the rack has none.
    pub name: Option<String>,
    /// Its power, W; none where nobody said.
    pub watts: Option<f64>,
}

impl Torch {
    /// The strongest of a rack; one whose power is said before one whose power is not.
    pub fn of(rack: &Rack) -> Self {
        let watts = |body: &ToolBody| if let ToolBody::Torch { watts } = body { Some(watts.filter(|w| *w > 0.0)) } else { None };
        let best =
            rack.tools.iter().filter_map(|t| Some((t, watts(&t.body)?))).max_by(|a, b| a.1.unwrap_or(0.0).total_cmp(&b.1.unwrap_or(0.0)));
        match best {
            Some((tool, watts)) => Self { name: Some(tool.name.clone()), watts },
            None => Self { name: None, watts: None },
        }
    }

    /// Heat that enters the metal, W, and the standard deviation of its logarithm.
    pub fn enters_w(&self) -> (f64, f64) {
        heat_torch::into_metal_w(self.watts)
    }

    /// The heat that enters as an input of a figure.
    pub fn known(&self) -> Known {
        let (w, log_sd) = self.enters_w();
        let origin = if self.watts.is_some() { Origin::Shop } else { Origin::Assumed };
        Known::new("heat of the torch that enters the metal", w, log_sd * w, Unit::W, origin)
    }

    /// In words, for the step.
    pub fn words(&self) -> String {
        match (&self.name, self.watts) {
            (Some(name), Some(w)) => format!("{name}, {w:.0} W"),
            (Some(name), None) => format!("{name}; the rack does not say its power, so times and temperatures are wide"),
            (None, _) => {
                "the rack has no torch: reckoned with a hand torch of 500 to 4500 W, so times and temperatures are wide".to_owned()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reach::{Tool, ToolId};

    fn rack(torches: &[Option<f64>]) -> Rack {
        let tools = torches.iter().enumerate().map(|(i, watts)| Tool {
            id: ToolId(format!("t{i}")),
            name: format!("torch {i}"),
            place: String::new(),
            wear_mm: 0.0,
            condition: String::new(),
            away_until: None,
            body: ToolBody::Torch { watts: *watts },
        });
        Rack { tools: tools.collect(), hand_push_n: 150.0, lean_n: 400.0 }
    }

    #[test]
    fn the_strongest_torch_counts_and_none_is_said() {
        assert_eq!(Torch::of(&rack(&[Some(900.0), Some(2400.0), None])).watts, Some(2400.0));
        assert_eq!(Torch::of(&rack(&[Some(900.0), Some(2400.0), None])).name.as_deref(), Some("torch 1"));
        let unknown = Torch::of(&rack(&[None]));
        assert!(unknown.words().contains("does not say") && unknown.known().origin == Origin::Assumed);
        let none = Torch::of(&rack(&[]));
        assert!(none.name.is_none() && none.words().contains("no torch"));
        // A fifth of the power enters: 2400 W give 480 W.
        let known = Torch::of(&rack(&[Some(2400.0)])).known();
        assert!((known.value - 480.0).abs() < 1e-9 && (known.sd - 0.36 * 480.0).abs() < 1e-9 && known.origin == Origin::Shop);
        assert_eq!(Torch::of(&rack(&[Some(2400.0)])).words(), "torch 0, 2400 W");
        assert_eq!(Torch::of(&rack(&[Some(0.0)])).watts, None);
    }
}
