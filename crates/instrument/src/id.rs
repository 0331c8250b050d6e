//! Names by which the parts of a survey refer to each other.

use serde::{Deserialize, Serialize};

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl From<&str> for $name {
            fn from(s: &str) -> Self {
                Self(s.to_owned())
            }
        }
        impl From<String> for $name {
            fn from(s: String) -> Self {
                Self(s)
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

id!(
    /// A run of tube.
    RunId
);
id!(
    /// A joint between two runs.
    JointId
);
id!(
    /// An overlay (ferrule, brace, guard, rim wire).
    OverlayId
);
id!(
    /// A moving fit.
    FitId
);
id!(
    /// A dent.
    DentId
);
id!(
    /// A condition of the metal (red rot, season cracking, a thin place).
    ConditionId
);
id!(
    /// Work asked for by name.
    WorkId
);
