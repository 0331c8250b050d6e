//! Kinds of steps, and what tells steps of one kind apart: the keys of the shop's time standards.

use reach::MethodKind;
use serde::{Deserialize, Serialize};

/// What kind of step. The shop's time standards are kept by this kind. As text (`into`) its key in files and the record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, strum::IntoStaticStr)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum StepKind {
    /// Flush and degrease.
    Clean,
    /// Free a stuck slide, valve, cap or mouthpiece.
    Free,
    /// Take apart by hand (slides, caps, pistons).
    Strip,
    /// Stop a crack from running.
    StabiliseCrack,
    /// Open a soldered joint.
    OpenJoint,
    /// Take an overlay off.
    OverlayOff,
    /// Anneal.
    Anneal,
    /// Work a dent.
    Dent,
    /// Ease a crease before the field of its dent.
    Crease,
    /// Fill a bend so that its wall holds while it is worked from outside.
    Fill,
    /// Work ridges down from outside over the fill.
    OverFill,
    /// Melt the fill out again.
    MeltOut,
    /// Make a tool.
    MakeTool,
    /// Patch.
    Patch,
    /// Replace a run.
    ReplaceRun,
    /// Put an overlay back.
    OverlayBack,
    /// Close a joint.
    CloseJoint,
    /// Braze a broken brace.
    BrazeBrace,
    /// Fit a new brace.
    NewBrace,
    /// Make a brace.
    MakeBrace,
    /// Clean a pulled joint and line its tubes up.
    Align,
    /// Straighten a tube or a bell.
    Straighten,
    /// Straighten a leg of a hand slide.
    StraightenSlide,
    /// Round an oval tube.
    RoundOut,
    /// True a moving fit.
    TrueFit,
    /// Check something (a fit, a passage, tightness).
    AcceptanceCheck,
    /// Take out tool marks, buff, touch up the finish.
    Finish,
    /// Assemble.
    Assemble,
    /// A job of the shop's own list that no other kind of step is: [`crate::Step::standard_job`] says which.
    OtherWork,
}

/// What is opened, as far as its time goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OpeningKind {
    /// A soft-soldered joint.
    SoftJoint,
    /// A silver-brazed joint.
    SilverJoint,
    /// A pressed joint.
    PressedJoint,
    /// A ferrule that is taken off by itself.
    Ferrule,
    /// A ferrule that slides off, or back on, where its joint is apart: in the joint's own heat.
    FerruleAtJoint,
    /// A brace.
    Brace,
    /// A guard.
    Guard,
    /// A rim wire or garland.
    Rim,
    /// A patch of an earlier repair.
    OldPatch,
}

/// What tells steps of one kind apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Within {
    /// The method by which a dent is worked.
    Method(MethodKind),
    /// What is opened or put back.
    Opening(OpeningKind),
}
