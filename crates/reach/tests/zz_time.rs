mod common;
use common::*;
#[test]
fn time() {
    let runs = instrument().runs;
    let tubes: Vec<_> = runs.iter().filter(|r| r.id.0 != "casing").collect();
    let n = 60;
    let all = (0..n)
        .map(|i| {
            let run = tubes[i % tubes.len()];
            let part = 0.1 + 0.8 * ((i * 37 % 101) as f64 / 101.0);
            dent(&format!("d{i}"), &run.id.0, part * run.axis.length_mm(), (i * 71 % 360) as f64, 1.0 + (i % 5) as f64)
        })
        .collect();
    let s = survey(all);
    let a: Vec<_> = s.dents.iter().map(|d| assessment(&s, d, 120.0)).collect();
    let r = rack();
    let t = std::time::Instant::now();
    let w = reach::ways(&s, &a, &r);
    eprintln!(
        "{:?} for {} dents, {} ways {} ruled",
        t.elapsed(),
        n,
        w.iter().map(|w| w.ways.len()).sum::<usize>(),
        w.iter().map(|w| w.ruled_out.len()).sum::<usize>()
    );
}
