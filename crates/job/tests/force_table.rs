//! The force table covers the work: at least 95 % of the dents of the demo's cases, and of dents all over every pattern, lie inside it.

use fixtures::demo;

use dent::force;
use instrument::Kind::{AltoHorn, Baritone, Bugle, Cornet, Euphonium, Flugelhorn, Horn, Sousaphone, Trombone, Trumpet, Tuba};
use instrument::Survey;

/// Dents inside the table and all dents; names those outside.
fn count(name: &str, survey: &Survey) -> (usize, usize) {
    let (mut inside, mut all) = (0, 0);
    for d in &survey.dents {
        let Some(site) = survey.site(d) else { continue };
        let i = dent::force_case(d, &site);
        let f = force::force_inside(&i);
        all += 1;
        if f.outside == [false; 5] {
            inside += 1;
        } else {
            println!("{name} {}: D/t {:.1}, d/D {:.4}, {}", d.id.0, i.diameter_mm / i.wall_mm, i.depth_mm / i.diameter_mm, f.reason().0);
        }
    }
    println!("{name}: {inside} of {all}");
    (inside, all)
}

#[test]
fn the_table_covers_the_work() {
    let (mut demo, mut patterns) = ((0, 0), (0, 0));
    let add = |sum: &mut (usize, usize), (a, b): (usize, usize)| *sum = (sum.0 + a, sum.1 + b);
    for case in demo::CASES {
        add(&mut demo, count(case, &demo::read(case)));
    }
    for kind in [Trumpet, Cornet, Flugelhorn, Trombone, Horn, AltoHorn, Baritone, Euphonium, Tuba, Sousaphone, Bugle] {
        for turn in 0..3 {
            add(&mut patterns, count(&format!("{kind:?}"), &fixtures::dents_all_over(kind, 60, turn)));
        }
    }
    let part = |(inside, all): (usize, usize)| inside as f64 / all as f64;
    println!("demo {demo:?} {:.3}, patterns {patterns:?} {:.3}", part(demo), part(patterns));
    assert!(demo.1 >= 50 && patterns.1 >= 1900);
    assert!(part((demo.0 + patterns.0, demo.1 + patterns.1)) >= 0.95);
    assert!(part(patterns) >= 0.95);
    assert!(part(demo) >= 0.95, "{demo:?}");
}
