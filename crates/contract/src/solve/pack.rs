//! Chosen options shifted from bench to bench until every bench holds.

use super::compiled::{Chosen, Compiled};
use super::mix::Mix;

/// By pick: the picks of the same option on other benches.
pub(super) fn siblings(c: &Compiled) -> Vec<Vec<u32>> {
    let of = |k: usize| {
        let (from, to) = c.of[c.picks[k].horn];
        (from..to).filter(|j| *j != k && c.picks[*j].option == c.picks[k].option).map(|j| j as u32).collect()
    };
    (0..c.picks.len()).map(of).collect()
}

/// A shift of a horn from one pick to another.
#[derive(Clone, Copy)]
struct Shift {
    horn: usize,
    to: usize,
    out: (usize, i64),
    into: (usize, i64),
}

/// Minutes beyond the benches', after shifts.
fn over(room: &[i64], shifts: &[Shift]) -> i64 {
    let mut sum = 0;
    for (b, r) in room.iter().enumerate() {
        let mut left = *r;
        for s in shifts {
            if s.out.0 == b {
                left += s.out.1;
            }
            if s.into.0 == b {
                left -= s.into.1;
            }
        }
        sum += (-left).max(0);
    }
    sum
}

/// Shifts and swaps until every bench holds; whether they do. Gives up where one round of them frees nothing.
pub(super) fn pack(c: &Compiled, siblings: &[Vec<u32>], chosen: &mut Chosen) -> bool {
    /// Swaps are tried among so many shifts at most: their number grows with the square.
    const MOST: usize = 250;
    if chosen.cost > c.budget {
        return false;
    }
    for _ in 0..40 {
        let room: Vec<i64> = c.minutes.iter().zip(&chosen.minutes).map(|(there, used)| there - used).collect();
        let now = over(&room, &[]);
        if now == 0 {
            return true;
        }
        let spare: i64 = room.iter().map(|r| (*r).max(0)).sum();
        // Nowhere to go: benches differ in pace by less than this.
        if spare * 2 < now {
            return false;
        }
        let mut shifts: Vec<Shift> = Vec::new();
        for (horn, pick) in chosen.pick.iter().enumerate() {
            let Some(k) = *pick else { continue };
            let from = &c.picks[k];
            for j in &siblings[k] {
                let to = &c.picks[*j as usize];
                shifts.push(Shift { horn, to: *j as usize, out: (from.bench, from.minutes), into: (to.bench, to.minutes) });
            }
        }
        let mut best: (i64, [Option<Shift>; 2]) = (now, [None; 2]);
        for (n, a) in shifts.iter().enumerate() {
            let left = over(&room, &[*a]);
            if left < best.0 {
                best = (left, [Some(*a), None]);
            }
            if best.0 == 0 {
                break;
            }
            if shifts.len() > MOST || room[a.out.0] >= 0 {
                continue;
            }
            for b in shifts.iter().enumerate().filter(|(m, _)| *m != n).map(|x| x.1) {
                if b.horn != a.horn && b.out.0 == a.into.0 {
                    let left = over(&room, &[*a, *b]);
                    if left < best.0 {
                        best = (left, [Some(*a), Some(*b)]);
                    }
                }
            }
        }
        if best.1[0].is_none() {
            return false;
        }
        for s in best.1.into_iter().flatten() {
            chosen.set(c, s.horn, Some(s.to));
        }
    }
    false
}

/// Packs again and again from starts in which a few horns stand elsewhere, as many times as `tries`; whether one held.
pub(super) fn pack_hard(c: &Compiled, siblings: &[Vec<u32>], chosen: &mut Chosen, tries: u64) -> bool {
    let movable: Vec<usize> = (0..c.horns()).filter(|h| chosen.pick[*h].is_some_and(|k| !siblings[k].is_empty())).collect();
    if movable.is_empty() || chosen.cost > c.budget {
        return false;
    }
    for n in 0..tries {
        let mut dice = Mix(n);
        let mut other = chosen.clone();
        for _ in 0..3 + dice.below(4) {
            let h = movable[dice.below(movable.len())];
            if let Some(k) = other.pick[h] {
                other.set(c, h, Some(siblings[k][dice.below(siblings[k].len())] as usize));
            }
        }
        if pack(c, siblings, &mut other) {
            *chosen = other;
            return true;
        }
    }
    false
}
