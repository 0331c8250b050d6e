//! Writes the papers of the demo's large cases, and of survey files that are named, to a folder; says how long each took.

use fixtures::demo;
use plan::Overrules;
use report::{JobView, Paper};
use std::time::Instant;
use units::LengthUnit;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let folder = args.next().ok_or("name a folder to write to")?;
    let mut cases: Vec<(String, instrument::Survey)> = Vec::new();
    for path in args {
        let survey = survey::read_survey(&std::fs::read_to_string(&path)?).map_err(|p| format!("{path}: {p:?}"))?.survey;
        let name = std::path::Path::new(&path).file_name().map_or(path.clone(), |n| n.to_string_lossy().replace(".survey.toml", ""));
        cases.push((name, survey));
    }
    if cases.is_empty() {
        cases = demo::CASES.iter().map(|name| ((*name).to_owned(), demo::read(name))).collect();
    }
    let (rack, shop) = demo::rack_and_shop();
    for (case, survey) in cases {
        let folder = std::path::Path::new(&folder).join(&case);
        std::fs::create_dir_all(&folder)?;
        let job = job::work_out(survey, rack.clone(), shop.clone(), &Overrules::default());
        let worth = job.worth_knowing();
        let save = |name: &str, start: Instant, pdf: Vec<u8>| {
            println!("{case} {name}: {} kB, {:?}", pdf.len() / 1000, start.elapsed());
            std::fs::write(folder.join(name), pdf)
        };
        for (name, unit, paper) in [("mm", LengthUnit::Mm, Paper::A4), ("in", LengthUnit::Inch, Paper::Letter)] {
            let view = JobView { worth: Some(&worth), ..JobView::of(&job, unit, paper) };
            let start = Instant::now();
            save(&format!("bench-card-{name}.pdf"), start, report::bench_card_pdf(&view)?)?;
            let start = Instant::now();
            save(&format!("reasons-{name}.pdf"), start, report::reasons_pdf(&view)?)?;
            let start = Instant::now();
            save(&format!("quote-{name}.pdf"), start, report::quote_pdf(&view)?)?;
        }
    }
    Ok(())
}
