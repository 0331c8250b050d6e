//! Sharpness as a number, and its name.

use crate::Form;
use units::Source;

/// Source of the sharpness and its names.
pub const SHARPNESS: Source = Source::common_practice(
    "wall over the sharpest radius of the dent's own profile: smooth below 0.05 (more than 20 walls), rounded to 0.2 (5 walls), sharp to 0.5 (2 walls, the least bend radius of hard brass), V-shaped above, or where a profile shows a kink or the survey a crease",
);

/// The name of a sharpness. `folded`: the survey has a crease, or a kinked profile is the likelier one.
pub fn form(sharpness: f64, folded: bool) -> Form {
    match sharpness {
        _ if folded => Form::VShaped,
        s if s >= 0.5 => Form::VShaped,
        s if s >= 0.2 => Form::Sharp,
        s if s >= 0.05 => Form::Rounded,
        _ => Form::Smooth,
    }
}

/// The name in words.
pub fn words(form: Form) -> &'static str {
    match form {
        Form::Smooth => "smooth",
        Form::Rounded => "rounded",
        Form::Sharp => "sharp",
        Form::VShaped => "V-shaped",
    }
}
