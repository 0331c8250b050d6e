//! A small elastic-plastic finite-element model of a tube wall under a ball.
//!
//! In: a tube, its metal, a ball and how far the ball goes. Out: force against depth, springback, and the force
//! that brings the wall back from inside. Twenty-node bricks with reduced integration in the plane of the wall, large
//! rotations and strains (logarithmic strain), isotropic hardening, a rigid frictionless ball, `LDLᵀ` in the envelope of the matrix.
//!
//! Invariants: development only (the program that ships uses the *table* this crate's example `tabulate` writes,
//! never this crate); knows no file and no clock; N, mm and N/mm² throughout; a step that does not converge is an
//! [`Error`], never a silent number.
//!
//! Where it stops: no friction, no Bauschinger effect, no anisotropy of drawn tube, no fracture, no residual
//! stress from drawing or spinning, a straight tube of even wall.

// Tensors are written in index notation, as the papers write them.
#![allow(clippy::needless_range_loop, clippy::type_complexity, clippy::manual_is_multiple_of)]

pub mod ccx_deck;
pub mod ccx_walk;
pub mod contact;
pub mod element;
pub mod log_strain;
pub mod material;
pub mod mesh;
pub mod model;
pub mod sparse;
pub mod tensor;
pub mod tube;
pub mod walk;

/// Why a run stopped.
#[derive(Debug, Clone, PartialEq)]
pub enum Error {
    /// The load step had to be cut below its smallest size; the text says where.
    NotConverged(String),
    /// The sparse factorisation met a zero pivot or ran out of memory.
    Factorisation(String),
    /// An element turned inside out or the strain left the model's range.
    Inverted,
    /// The request makes no sense (a ball of no size, a mesh of no elements); the text says what to mend.
    BadInput(String),
}

impl std::fmt::Display for Error {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotConverged(where_) => write!(f, "no equilibrium found {where_}; use smaller steps or a finer mesh"),
            Self::Factorisation(what) => write!(f, "the stiffness matrix cannot be factorised ({what}); is the body held?"),
            Self::Inverted => write!(f, "an element turned inside out; use smaller steps or a finer mesh"),
            Self::BadInput(what) => write!(f, "{what}"),
        }
    }
}

impl std::error::Error for Error {}
