//! `trueround sound`: how a bore, or a surveyed instrument with its dents, answers. Everything is worked out before
//! anything is written.

use crate::args::{LossesOf, RadiationOf, Sound, WavesOf};
use crate::fail::{Done, Fail};
use crate::sound_tables as tables;
use crate::{bore_csv, case};
use acoustics::{Air, Ask, Bore, Losses, Model, Mouthpiece, Radiation, Tube, Valves, Waves};
use instrument::Kind;
use std::path::Path;

/// Runs it.
pub fn run(a: &Sound) -> Done {
    if a.out.exists() && !a.out.is_dir() {
        return Err(Fail::input(format!("--out {}: this is a file. To mend it: name a folder, new or old.", a.out.display())));
    }
    let model = model(a)?;
    if !(a.from_hz > 0.0 && a.to_hz > a.from_hz && a.to_hz <= 10_000.0 && a.step_hz > 0.0 && (a.to_hz - a.from_hz) / a.step_hz <= 200_000.0)
    {
        return Err(Fail::input(format!(
            "--from-hz {} --to-hz {} --step-hz {}: frequencies go up from above 0 to 10000 Hz, at most 200000 of them. To mend it: try --from-hz 10 --to-hz 2000 --step-hz 0.5.",
            a.from_hz, a.to_hz, a.step_hz
        )));
    }
    let (files, told) = match (&a.bore, &a.case) {
        (Some(path), _) => of_bore(a, &model, path)?,
        (None, Some(path)) => of_survey(a, &model, path)?,
        (None, None) => return Err(Fail::input("Name a survey, or a bore with --bore BORE.csv.")),
    };
    write(&a.out, &files)?;
    for line in told {
        anstream::println!("{line}");
    }
    let names: Vec<&str> = files.iter().map(|f| f.0).collect();
    anstream::println!("In {}: {}.", a.out.display(), names.join(", "));
    Ok(())
}

type Files = Vec<(&'static str, String)>;

fn model(a: &Sound) -> Done<Model> {
    if !(-10.0..=50.0).contains(&a.temperature_c) {
        return Err(Fail::input(format!("--temperature-c {}: the air has from −10 to 50 °C. To mend it: give it in °C.", a.temperature_c)));
    }
    if !(0.0..=100.0).contains(&a.humidity_percent) {
        return Err(Fail::input(format!("--humidity-percent {}: from 0 (dry) to 100.", a.humidity_percent)));
    }
    Ok(Model {
        air: Air { temperature_c: a.temperature_c, humidity: a.humidity_percent / 100.0, ..Air::default() },
        losses: match a.losses {
            LossesOf::None => Losses::None,
            LossesOf::Fast => Losses::Fast,
            LossesOf::Full => Losses::Full,
        },
        radiation: match a.radiation {
            RadiationOf::Unflanged => Radiation::Unflanged,
            RadiationOf::Flanged => Radiation::Flanged,
        },
        waves: match a.waves {
            WavesOf::Plane => Waves::Plane,
            WavesOf::Spherical => Waves::Spherical,
        },
        ..Model::default()
    })
}

/// The mouthpiece that was asked for; `kind` is the survey's.
fn mouthpiece(a: &Sound, kind: Option<Kind>) -> Done<Option<Mouthpiece>> {
    let Some(asked) = a.mouthpiece.as_deref() else { return Ok(None) };
    let word = asked.to_lowercase().replace([' ', '_'], "-");
    let named = match word.as_str() {
        "none" => return Ok(None),
        "usual" => kind,
        other => instrument::patterns::named(&other.replace('-', " ")).map(|i| i.kind),
    };
    match named {
        Some(kind) => Ok(Some(Mouthpiece::usual(kind))),
        None => Err(Fail::input(format!(
            "--mouthpiece {asked}: there is no such. To mend it: name the instrument that it is for (trumpet, trombone, horn, tuba …), or none{}.",
            if kind.is_some() { ", or usual" } else { "" }
        ))),
    }
}

fn frequencies(a: &Sound) -> Vec<f64> {
    let count = ((a.to_hz - a.from_hz) / a.step_hz + 1e-9).floor();
    (0..=count as u32).map(|i| a.from_hz + a.step_hz * f64::from(i)).collect()
}

fn of_bore(a: &Sound, model: &Model, path: &Path) -> Done<(Files, Vec<String>)> {
    let text = case::bore_text(path)?;
    let bore = bore_csv::read(&text).map_err(|all| Fail::Input(all.iter().map(|p| format!("{}: {p}", path.display())).collect()))?;
    let bore = mouthpiece(a, None)?.map_or(bore.clone(), |m| m.in_front_of(&bore, false));
    let tube = Tube::new(&bore, model, a.to_hz);
    let hz = frequencies(a);
    let z = tube.impedance(&hz);
    let resonances = tube.resonances(a.from_hz, a.to_hz);
    let files = vec![
        ("impedance.csv", tables::impedance(&hz, &z)),
        ("resonances.csv", tables::resonances(&resonances)),
        ("impedance.svg", tables::plot("Input impedance", &hz, &[("as the bore is", &z, false)])),
    ];
    let mut told = vec![format!(
        "{} resonances from {} to {} Hz; the bore is {:.1} mm long, in {} pieces.",
        resonances.len(),
        a.from_hz,
        a.to_hz,
        bore.length_mm(),
        tube.segments.len()
    )];
    told.extend(beyond(&bore, model, a.to_hz));
    Ok((files, told))
}

/// What is said where the model is asked beyond what it is good for.
fn beyond(bore: &Bore, model: &Model, to_hz: f64) -> Option<String> {
    let wide = bore.points.last().map_or(0.0, |p| p.diameter_mm * 0.5e-3);
    // The first wave with rings goes along a tube from ka = 3.83 on (closed form: zero of J₁).
    let cutoff = 3.831_7 * model.air.gas().speed / (std::f64::consts::TAU * wide);
    (cutoff < to_hz)
        .then(|| format!("Above {cutoff:.0} Hz waves with rings in them travel in the bell's mouth too: there the figures are rough."))
}

fn of_survey(a: &Sound, model: &Model, path: &Path) -> Done<(Files, Vec<String>)> {
    let survey = case::survey(path)?;
    let kind = survey.instrument.kind;
    let asked = mouthpiece(a, Some(kind))?;
    let assessments = dent::assess_all(&survey);
    // Cents are of played notes: without a mouthpiece nobody plays. The impedance is as asked.
    let without = a.mouthpiece.as_deref().is_some_and(|m| m.eq_ignore_ascii_case("none"));
    let played = if without { None } else { Some(asked.unwrap_or(Mouthpiece::usual(kind))) };
    let refuse = |e: acoustics::NoPassage| {
        let hint = e.hint.metric();
        Fail::input(format!("{}: {}. To mend it: {hint}.", path.display(), e.what.metric()))
    };
    let sound = acoustics::sound(&survey, &assessments, &Ask { model: *model, mouthpiece: played, valves: Valves::All }).map_err(refuse)?;
    let bare = if played == asked {
        None
    } else {
        Some(acoustics::sound(&survey, &assessments, &Ask { model: *model, mouthpiece: asked, valves: Valves::All }).map_err(refuse)?)
    };
    let Some(open) = bare.as_ref().unwrap_or(&sound).states.first() else { return Err(Fail::Machine("no state of the valves".to_owned())) };
    let hz = frequencies(a);
    let (found, true_bore) = (Tube::new(&open.dented, model, a.to_hz), Tube::new(&open.bore, model, a.to_hz));
    let (z, z_true) = (found.impedance(&hz), true_bore.impedance(&hz));
    let files = vec![
        ("impedance.csv", tables::impedance(&hz, &z)),
        ("resonances.csv", tables::resonances(&found.resonances(a.from_hz, a.to_hz))),
        ("impedance-without-dents.csv", tables::impedance(&hz, &z_true)),
        ("resonances-without-dents.csv", tables::resonances(&true_bore.resonances(a.from_hz, a.to_hz))),
        ("notes.csv", tables::notes(&sound)),
        ("dents.csv", tables::dents(&sound)),
        ("impedance.svg", tables::plot("Input impedance", &hz, &[("with its dents", &z, false), ("without", &z_true, true)])),
        ("cents.svg", tables::cents_plot(&sound)),
    ];
    let mut told = vec![sound.sentence.clone()];
    told.extend(tables::ranking(&survey, &sound));
    let mouth = if asked.is_some() { "with the mouthpiece" } else { "from the receiver on, without a mouthpiece" };
    told.push(format!("impedance.csv and resonances.csv: valves up, as it lies on the bench, {mouth}."));
    told.extend(sound.assumed.iter().map(|t| format!("Assumed: {}.", t.metric())));
    told.extend(beyond(&open.bore, model, a.to_hz));
    told.push(job::played::LEFT_OUT.to_owned());
    Ok((files, told))
}

/// Writes the files: first all beside the folder, then moved in, so that a failure leaves nothing half-written.
fn write(out: &Path, files: &Files) -> Done {
    let fail = |e: std::io::Error| Fail::file(out, e);
    let parent = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(parent).map_err(fail)?;
    let work = tempfile::tempdir_in(parent).map_err(fail)?;
    for (name, text) in files {
        std::fs::write(work.path().join(name), text).map_err(fail)?;
    }
    std::fs::create_dir_all(out).map_err(fail)?;
    for (name, _) in files {
        std::fs::rename(work.path().join(name), out.join(name)).map_err(fail)?;
    }
    Ok(())
}
