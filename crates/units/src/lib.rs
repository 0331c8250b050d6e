//! Lengths, forces, angles, temperatures and money; and [`Known`] and [`Figure`], the two shapes in
//! which every number of the project travels: a value that is known to some accuracy, and a value
//! that was computed and carries its interval and its reasons.
//!
//! Knows nothing of metal, tubes, files or screens.

pub mod angle;
pub mod duration;
pub mod figure;
pub mod force;
pub mod known;
pub mod length;
pub mod likelihood;
pub mod measured;
pub mod money;
mod number;
pub mod parse;
pub mod power;
pub mod source;
pub mod temperature;
pub mod text;
pub mod three_point;
pub mod unit;

pub use figure::{Figure, Input, Reason};
pub use known::{Known, Origin};
pub use length::LengthUnit;
pub use parse::{Cause, ParseError};
pub use source::{Rank, Source};
pub use text::Text;
pub use three_point::ThreePoint;
pub use unit::Unit;
