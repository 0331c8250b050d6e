//! Charts: ink on a plain sheet, wide and narrow strokes, no type below 3 mm. Each draws values that were worked out elsewhere; whoever
//! shows one shows its table too.

mod axis;
mod before_after;
mod cents;
mod crack;
mod heat;
mod ratio;
mod reliability;
mod rows;
mod time;

pub(crate) use axis::even;
pub use before_after::{BeforeAfterRow, before_after_chart};
pub use cents::{BAND_CENTS, CentsRow, cents_chart};
pub use crack::{CrackRow, crack_chart};
pub use heat::{HEAT_KEY, HeatMark, HeatView, heat_chart};
pub use ratio::{FEW_STEPS, RatioRow, ratio_chart};
pub use reliability::{ReliabilityPoint, reliability_chart};
pub use time::{TimeRow, time_chart};
