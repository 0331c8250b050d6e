//! Ready-made instruments to measure over: whole instruments with every run, joint, ferrule, brace and guard.
//!
//! **Invented**: no real instrument was measured for them. Dimensions are plausible for their kind and agree with each
//! other; every value has the origin [`units::Origin::Pattern`] with a spread by common practice (no source). What does
//! not change a repair (water keys, finger hooks, caps, valve stems) is left out.

mod alto_horn;
mod baritone;
mod bugle;
mod builder;
mod cornet;
mod euphonium;
mod flugelhorn;
mod horn;
mod practice;
mod slide;
mod sousaphone;
mod trombone;
mod trumpet;
mod tuba;
mod tube;
mod valves;

use crate::{Instrument, Kind};

/// A pattern: its name, its kind, and what builds it.
type Entry = (&'static str, Kind, fn() -> Instrument);

/// The first of a kind is the one that [`pattern`] gives.
const ALL: [Entry; 13] = [
    ("trumpet", Kind::Trumpet, trumpet::trumpet),
    ("cornet", Kind::Cornet, cornet::cornet),
    ("flugelhorn", Kind::Flugelhorn, flugelhorn::flugelhorn),
    ("trombone", Kind::Trombone, trombone::tenor),
    ("bass trombone", Kind::Trombone, trombone::bass),
    ("horn", Kind::Horn, horn::double),
    ("single horn", Kind::Horn, horn::single),
    ("alto horn", Kind::AltoHorn, alto_horn::alto_horn),
    ("baritone", Kind::Baritone, baritone::baritone),
    ("euphonium", Kind::Euphonium, euphonium::euphonium),
    ("tuba", Kind::Tuba, tuba::tuba),
    ("sousaphone", Kind::Sousaphone, sousaphone::sousaphone),
    ("bugle", Kind::Bugle, bugle::bugle),
];

/// The kinds that have a pattern.
pub const KINDS: [Kind; 11] = [
    Kind::Trumpet,
    Kind::Cornet,
    Kind::Flugelhorn,
    Kind::Trombone,
    Kind::Horn,
    Kind::AltoHorn,
    Kind::Baritone,
    Kind::Euphonium,
    Kind::Tuba,
    Kind::Sousaphone,
    Kind::Bugle,
];

/// The usual pattern of a kind: a tenor trombone for a trombone, a double horn for a horn. None for [`Kind::Other`].
pub fn pattern(kind: Kind) -> Option<Instrument> {
    ALL.iter().find(|(_, k, _)| *k == kind).map(|(_, _, build)| build())
}

/// A pattern by its name, as in [`names`].
pub fn named(name: &str) -> Option<Instrument> {
    ALL.iter().find(|(n, ..)| *n == name).map(|(_, _, build)| build())
}

/// The names of all patterns.
pub fn names() -> impl Iterator<Item = &'static str> {
    ALL.iter().map(|(name, ..)| *name)
}

/// All patterns with their names.
pub fn all() -> Vec<(&'static str, Instrument)> {
    ALL.iter().map(|(name, _, build)| (*name, build())).collect()
}
