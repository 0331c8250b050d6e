//! Prints the methods to each dent of a case, with what was chosen: for looking with the eye of a repairer.
//! RACK=/path/of/a/rack.toml or .csv for another rack than the demo's.
//! `cargo run --example methods -p job -- demo/ox-tuba.survey.toml [d1 d2 ...]`, LONG=1 for the reasons.
#![allow(clippy::unwrap_used, clippy::panic, reason = "an example that cannot go on may stop")]

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let read = |p: &str| std::fs::read_to_string(p).unwrap();
    let survey = survey::read_survey(&read(&args[0])).unwrap_or_else(|p| panic!("{p:?}")).survey;
    let rack_file = std::env::var("RACK").unwrap_or_else(|_| "demo/rack.toml".into());
    let (rack, problems) =
        if rack_file.ends_with("csv") { survey::read_rack_csv(&read(&rack_file)) } else { survey::read_rack(&read(&rack_file)) };
    println!("{problems:?}");
    let (shop, _) = survey::read_shop(&read("demo/shop.toml"));
    let a = dent::assess_all(&survey);
    let t = std::time::Instant::now();
    let methods = reach::methods(&survey, &a, &rack);
    println!("ways in {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let job = job::work_out(survey, rack, shop, &plan::Overrules::default());
    println!("job in {:?}", t.elapsed());
    let long = std::env::var("LONG").is_ok();
    for (w, a) in methods.iter().zip(&a) {
        if args.len() > 1 && !args[1..].contains(&w.dent.0) {
            continue;
        }
        let d = job.survey.dent(&w.dent).unwrap();
        let site = job.survey.site(d);
        println!(
            "== {} {} at {:?} bore {:.1} depth {:.2} w {:.0}x{:.0} F {:.0} form {:?} pass {:.1} advice {:?}",
            w.dent,
            d.run,
            d.at_mm.as_ref().map(|k| k.value),
            site.map_or(0.0, |s| s.bore_mm.value),
            a.depth_mm.value,
            a.width_along_mm.value,
            a.width_across_mm.value,
            a.force_inside_n.value,
            a.form,
            a.passage_mm.value,
            a.advice
        );
        let chosen = job.plan.choices.iter().find(|c| c.dent == w.dent);
        for x in &w.methods {
            let star = if chosen.is_some_and(|c| {
                c.method.kind == x.kind
                    && c.method.size_mm == x.size_mm
                    && c.method.opens == x.opens
                    && c.method.force_hand_n.value == x.force_hand_n.value
            }) {
                "*"
            } else {
                " "
            };
            let tool = match &x.tool {
                reach::ToolChoice::Rack { tools } => tools.iter().map(|t| t.0.clone()).collect::<Vec<_>>().join("+"),
                reach::ToolChoice::ToMake { make, with } => {
                    format!("MAKE {} with {:?}", make.words().metric(), with.iter().map(|t| t.0.clone()).collect::<Vec<_>>())
                }
            };
            let opens: Vec<String> = x
                .opens
                .iter()
                .map(|o| match o {
                    reach::Opened::Joint(j) => j.0.clone(),
                    reach::Opened::Overlay(j) => format!("({})", j.0),
                })
                .collect();
            println!(
                " {star} {:?} {:.1} mm F {:.0}/{:.0} {:.0} min risk {:.3} truth {:.2} [{}] opens {} after {:?}",
                x.kind,
                x.size_mm,
                x.force_hand_n.value,
                x.force_limit_n,
                x.minutes.mean(),
                x.risk,
                x.finish_quality,
                tool,
                opens.join(","),
                x.after.iter().map(|d| d.0.clone()).collect::<Vec<_>>()
            );
            if long {
                println!("       {}", x.because.metric());
            }
        }
        if chosen.is_none() {
            println!("  NOT CHOSEN {:?}", job.plan.not_done.iter().find(|n| n.dent.as_ref() == Some(&w.dent)).map(|n| n.because.clone()));
        }
        if long || w.methods.is_empty() {
            for r in &w.rejected {
                println!("   no {:?} [{}]: {}", r.kind, r.opening, r.because.metric());
            }
        }
    }
    for (t, d) in &job.plan.tools_to_make {
        println!("make {} for {:?}", t.words().metric(), d.iter().map(|d| d.0.clone()).collect::<Vec<_>>());
    }
    for r in &job.plan.replacements {
        println!("replace {}: {} ({})", r.run, r.replace, r.because.metric());
    }
    for o in &job.quote.offers {
        println!("{}: {}, {:.1} h, {} dents, {} left", o.name, o.bill.total, o.times.p50_min / 60.0, o.dents.len(), o.left.len());
    }
}
