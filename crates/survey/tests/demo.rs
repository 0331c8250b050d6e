//! The demo's surveys read without an error, and hold what the scenario tells.

use fixtures::demo::{path, read};

#[test]
fn every_demo_reads() {
    let mut seen = 0;
    for entry in std::fs::read_dir(path("")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if let Some(name) = name.strip_suffix(".survey.toml") {
            let survey = read(name);
            assert!(!survey.dents.is_empty(), "{name}");
            for dent in &survey.dents {
                assert!(survey.site(dent).is_some(), "{name}: {}", dent.id);
            }
            seen += 1;
        }
    }
    assert!(seen >= 5);
}

#[test]
fn the_tuba_holds_what_the_scenario_tells() {
    let survey = read("ox-tuba");
    assert!((38..=44).contains(&survey.dents.len()), "about forty dents: {}", survey.dents.len());
    let under = |id: &str| -> Vec<String> {
        let dent = survey.dent(&id.into()).unwrap();
        survey.site(dent).unwrap().under.into_iter().map(|o| o.0).collect()
    };
    assert_eq!(under("d24"), ["top-bow--third-branch-ferrule"]);
    assert_eq!(under("d11"), ["bottom-bow-guard"]);
    assert_eq!(under("d20"), ["second-branch-brace"]);
    // Nothing lies over the others.
    for d in survey.dents.iter().filter(|d| !["d24", "d11", "d20"].contains(&d.id.0.as_str())) {
        assert_eq!(under(&d.id.0), [""; 0], "{}", d.id);
    }
    let dent = |id: &str| survey.dent(&id.into()).unwrap();
    assert_eq!(dent("d20").pushed_in_by.as_ref().unwrap().0, "second-branch-brace");
    assert!(dent("d17").crease.is_some() && dent("d17").profile_across.len() > 10 && dent("d17").profile_along.len() > 10);
    let cracked = dent("d21");
    assert!(cracked.crack.is_some() && survey.site(cracked).unwrap().temper.value > 2.0, "a crack in a hard spot");
    assert_eq!(survey.site(dent("d39")).unwrap().role, instrument::Role::Casing);
    let fit = |id: &str| survey.instrument.fit(&id.into()).unwrap().state;
    assert_eq!(fit("tuning-slide-first-leg"), Some(instrument::FitState::Stuck));
    assert_eq!(fit("third-valve"), Some(instrument::FitState::Binds));
    // Some stations, clocks and widths were not taken, some depths were judged by eye.
    assert!(survey.dents.iter().any(|d| d.at_mm.is_none()) && survey.dents.iter().any(|d| d.width_across_mm.is_none()));
    assert!(survey.dents.iter().any(|d| d.depth_mm.as_ref().is_some_and(|k| k.origin == units::Origin::ByEye)));
}

#[test]
fn the_smaller_demos_hold_what_the_scenario_tells() {
    let trumpet = read("linnet-trumpet");
    let bore = trumpet.instrument.run(&"leadpipe".into()).unwrap().bore_at(240.0).value;
    assert!((bore - 0.459 * 25.4).abs() < 1e-9);
    let bow = trumpet.dents.iter().find(|d| d.run.0 == "bell-bow").unwrap();
    assert!(bow.crease.is_some());
    let near = trumpet.dents.iter().find(|d| d.run.0 == "leadpipe").unwrap();
    let joints = trumpet.site(near).unwrap().joints_near;
    assert_eq!(joints[0].0.0, "receiver--leadpipe");

    let trombone = read("heron-trombone");
    assert_eq!(trombone.instrument.fit(&"hand-slide-upper".into()).unwrap().state, Some(instrument::FitState::Binds));

    let rot = read("leadpipe-red-rot");
    let site = rot.site(&rot.dents[0]).unwrap();
    assert!(site.red_rot && site.red_rot_through == Some(true));

    let barely = read("barely-measured");
    let site = barely.site(&barely.dents[0]).unwrap();
    assert!(site.at_mm.sd > 50.0, "a station that nobody gave is wide");
}
