//! Random choices for the tests and the bench.

use fixtures::Dice;
use plan::choose::{MethodCost, Openable, Problem};

/// A small choice of any shape: shut openables, requirements, dents that wait for each other, dents that may stay.
#[allow(dead_code, reason = "each test file uses its own part")]
pub fn any_small(dice: &mut Dice) -> Problem {
    let (openables, dents) = (2 + dice.below(7), 1 + dice.below(6));
    let open = (0..openables)
        .map(|i| Openable {
            cost: if dice.below(25) == 0 { f64::INFINITY } else { dice.between(0.0, 50.0) },
            requires: if dice.below(3) == 0 { vec![dice.below(i + 1)] } else { vec![] },
        })
        .collect();
    let methods = (0..dents)
        .map(|d| {
            (0..=dice.below(4))
                .map(|_| MethodCost {
                    cost: dice.between(0.0, 50.0),
                    opens: (0..dice.below(4)).map(|_| dice.below(openables)).collect(),
                    after: if dents > 1 && dice.below(4) == 0 { vec![(d + 1 + dice.below(dents - 1)) % dents] } else { vec![] },
                    works: dice.below(6) != 0,
                })
                .collect()
        })
        .collect();
    Problem { openables: open, dents: methods }
}

/// An instrument: a chain of tubes with a joint between each two, a heat that two neighbouring joints share, overlays that
/// slide off at a joint, tools to make; a dent is reached from openings on either side, the nearer the better, some past
/// another dent.
#[allow(dead_code, reason = "each test file uses its own part")]
pub fn instrument(dice: &mut Dice, dents: usize, joints: usize, overlays: usize) -> Problem {
    let tools = dents / 6;
    let heats = joints.div_ceil(2);
    // Joints, then their heats, then overlays, then tools.
    let mut openables: Vec<Openable> =
        (0..joints).map(|j| Openable { cost: dice.between(25.0, 70.0), requires: vec![joints + j / 2] }).collect();
    openables.extend((0..heats).map(|_| Openable { cost: dice.between(4.0, 12.0), requires: vec![] }));
    openables.extend(
        (0..overlays).map(|_| Openable {
            cost: dice.between(8.0, 40.0),
            requires: if dice.below(2) == 0 { vec![dice.below(joints)] } else { vec![] },
        }),
    );
    openables.extend((0..tools).map(|_| Openable { cost: dice.between(40.0, 110.0), requires: vec![] }));
    let (first_overlay, first_tool) = (joints + heats, joints + heats + overlays);
    let methods = (0..dents)
        .map(|d| {
            let place = dice.between(0.0, joints as f64);
            let over: Vec<usize> = if overlays > 0 && dice.below(5) == 0 { vec![first_overlay + dice.below(overlays)] } else { vec![] };
            let (base, blocked) = (dice.between(5.0, 40.0), dice.below(6) == 0 && dents > 1);
            let other = if dents > 1 { (d + 1 + dice.below(dents - 1)) % dents } else { 0 };
            let mut methods = Vec::new();
            for side in [-1.0, 1.0] {
                for far in 0..6 {
                    let joint = place.floor() + if side > 0.0 { 1.0 } else { 0.0 } + side * f64::from(far);
                    let mut opens = over.clone();
                    // Beyond the chain's ends lies an open end: nothing to unsolder.
                    if joint >= 1.0 && joint < joints as f64 {
                        opens.push(joint as usize);
                    } else if far > 0 && !(0.0..=joints as f64 + 1.0).contains(&joint) {
                        continue;
                    }
                    let cost = base + 6.0 * f64::from(far) + dice.between(0.0, 6.0);
                    let after = if blocked && far > 0 { vec![other] } else { vec![] };
                    methods.push(MethodCost { cost, opens: opens.clone(), after: after.clone(), works: true });
                    if tools > 0 && dice.below(4) == 0 {
                        opens.push(first_tool + dice.below(tools));
                        methods.push(MethodCost { cost: cost * 0.6, opens, after, works: true });
                    }
                }
            }
            methods.push(MethodCost { cost: base + dice.between(60.0, 120.0), opens: vec![], after: vec![], works: true });
            methods
        })
        .collect();
    Problem { openables, dents: methods }
}
