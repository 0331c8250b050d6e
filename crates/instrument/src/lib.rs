//! An instrument and its damage as plain data: runs of tube with their axes, bores, walls and tempers;
//! joints, overlays and moving fits; dents and conditions; patterns to start from.
//!
//! Lengths in millimetres, angles in degrees. Knows nothing of files, tools or plans.

pub mod air_path;
pub mod axis;
pub mod check;
pub mod condition;
pub mod damage;
pub mod fields;
pub mod finish;
pub mod fit;
pub mod id;
pub mod joint;
pub mod lies;
pub mod overlay;
pub mod patterns;
mod problem;
pub mod profile;
pub mod role;
pub mod run;
pub mod site;
pub mod survey;
pub mod work;

pub use air_path::AirPart;
pub use axis::{Axis, Segment};
pub use condition::{Concerns, Condition, ConditionKind};
pub use damage::{Crack, Crease, Dent, Direction, EarlierRepair, ProfilePoint};
pub use finish::Finish;
pub use fit::{FitKind, FitState, MovingFit};
pub use id::{ConditionId, DentId, FitId, JointId, OverlayId, RunId, WorkId};
pub use joint::{End, Joint, JointKind, RunEnd};
pub use lies::Lies;
pub use overlay::{Cover, Overlay, OverlayKind};
pub use profile::{Interpolation, Point, Profile};
pub use role::Role;
pub use run::Run;
pub use site::{CrackNear, Shape, Site};
pub use survey::{Instrument, Kind, Survey, Wishes};
pub use work::Work;
