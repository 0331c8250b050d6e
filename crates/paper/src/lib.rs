//! Papers: text, tables and drawings set on pages and written as a tagged PDF. It knows nothing of instruments, reads no file and no clock.
//!
//! Lengths are millimeters from the top left, sizes of type points. Letters are shaped and broken into lines by `parley`, the file is
//! written by `krilla`, drawings (SVG) go through `usvg`; this crate places what they make: [`Block`]s side by side and below each other
//! ([`mod@block`], [`grid`]), over as many pages as they take ([`flow`]).
//!
//! Line heights: the first line of a text reaches from the top of its capitals, the last ends at its baseline; between two lines stands
//! the leading. What is said of spaces is therefore what is seen.

pub mod block;
pub mod flow;
pub mod grid;
mod laid;
mod pdf;
mod setter;
pub mod sheet;
mod structure;
mod words;

pub use block::{Across, Block, Bullets, Frame, Picture, Stack};
pub use flow::{Columns, Flow, Foot};
pub use grid::{Cell, Grid, Rules, Track, Upright};
pub use laid::{Color, Laid, Shape, Stroke};
pub use setter::Setter;
pub use sheet::{Paper, Seen, Sheet, Titled};
pub use structure::Role;
pub use words::{Bit, Type, Words};

/// A paper could not be set: a drawing that is no SVG, or what the writer of the file refused. A defect of the program.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Refused(pub String);
