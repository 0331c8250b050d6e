//! In which states an instrument is asked: its valves, its sides, the positions of its hand slide.

use crate::passage;
use instrument::{Instrument, RunId};

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Way {
    /// The valves that are pressed: their casings.
    pub pressed: Vec<RunId>,
    /// Position of the hand slide: 1 pushed in, also where there is none.
    pub position: u8,
    /// By how much each of its legs is pulled, mm.
    pub pulled_mm: f64,
    /// Whether the air takes the longer side of a double instrument.
    pub longer_side: bool,
}

/// All of them, the open one first: the valves on each side with the hand slide in, then its positions with the valves up.
pub(crate) fn ways(instrument: &Instrument, open_mm: f64) -> Vec<Way> {
    let sides: &[bool] = if passage::is_double(instrument) { &[false, true] } else { &[false] };
    let pressings = combinations(&passage::valves(instrument));
    let valves = sides.iter().flat_map(|longer_side| {
        let of = |pressed: &Vec<RunId>| Way { pressed: pressed.clone(), position: 1, pulled_mm: 0.0, longer_side: *longer_side };
        pressings.iter().map(of).collect::<Vec<_>>()
    });
    let pulled = (2..=7).filter_map(|position| {
        let pulled_mm = passage::pulled_mm(instrument, open_mm, position)?;
        Some(Way { pressed: vec![], position, pulled_mm, longer_side: false })
    });
    valves.chain(pulled).collect()
}

/// Nothing, each valve, the usual pairs and all of the first three; the fourth valve and the fourth with the second.
fn combinations(valves: &[RunId]) -> Vec<Vec<RunId>> {
    // On the way of the air the third may come first: by name.
    let named = |word: &str| valves.iter().find(|v| v.0.starts_with(word));
    let three = [named("first"), named("second"), named("third"), named("fourth")];
    if three[0].is_none() || three[1].is_none() {
        // Valves that are called otherwise: each alone, and all.
        let mut all: Vec<Vec<RunId>> = vec![vec![]];
        all.extend(valves.iter().map(|v| vec![v.clone()]));
        if valves.len() > 1 {
            all.push(valves.to_vec());
        }
        return all;
    }
    const USED: [&[usize]; 9] = [&[], &[1], &[0], &[0, 1], &[1, 2], &[0, 2], &[0, 1, 2], &[3], &[1, 3]];
    USED.iter().filter_map(|used| used.iter().map(|i| three[*i].cloned()).collect::<Option<Vec<RunId>>>()).collect()
}
