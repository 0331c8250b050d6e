//! Writes the papers of the demo's tuba to a folder and says how long each took.

#[path = "../tests/fixture/mod.rs"]
mod fixture;

use report::{JobView, Paper};
use std::time::Instant;
use units::LengthUnit;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder to write to")?;
    std::fs::create_dir_all(&folder)?;
    let job = fixture::tuba();
    let save = |name: &str, start: Instant, pdf: Vec<u8>| {
        println!("{name}: {} kB, {:?}", pdf.len() / 1000, start.elapsed());
        std::fs::write(std::path::Path::new(&folder).join(name), pdf)
    };
    for (name, unit, paper) in [("mm", LengthUnit::Mm, Paper::A4), ("in", LengthUnit::Inch, Paper::Letter)] {
        let view = JobView::of(job, unit, paper);
        let start = Instant::now();
        save(&format!("bench-card-{name}.pdf"), start, report::bench_card_pdf(&view)?)?;
        let start = Instant::now();
        save(&format!("quote-{name}.pdf"), start, report::quote_pdf(&view)?)?;
    }
    Ok(())
}
