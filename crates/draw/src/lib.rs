//! Drawings: runs straightened as strips, the tube with the tool in place, tools to make.
//! SVG for people, DXF for the lathe's CAD.
//!
//! Pure: values in, text out. One unit of a drawing is one millimetre of paper; a drawing says its scale and shows a
//! bar for it. Colour never carries meaning alone: line kind, shape or a word says the same, so that a black and white
//! print reads the same. Knows nothing of files, of page layout or of prices.

pub mod balloon;
mod callouts;
pub mod canvas;
pub mod chart;
pub mod dxf;
pub mod graph;
pub mod labels;
mod laid;
pub mod lie;
pub mod map;
pub mod marks;
mod method_parts;
pub mod overview;
pub mod placing;
pub mod plane_view;
pub mod plate;
mod plate_on_paper;
pub mod scale;
pub mod setup;
mod signature;
pub mod size;
pub mod strip;
pub mod tool_in_tube;
pub mod tool_to_make;
mod tube_section;

pub use canvas::{Canvas, Drawing, depth_step};
pub use map::{MapView, map};
pub use marks::{Mark, label, marks};
pub use overview::overview;
pub use setup::{SetupView, setup};
pub use signature::signature;
pub use size::size_words;
pub use strip::{strip, strip_sheet};
pub use tool_in_tube::{ToolView, tool_in_tube};
pub use tool_to_make::{piece_dxf, piece_half, piece_svg, piece_wide, tool_to_make_dxf, tool_to_make_svg};
