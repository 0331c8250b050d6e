//! The tables and plots of `trueround sound`.

use acoustics::resonance::Resonance;
use acoustics::sound::{Sound, fingering};
use acoustics::{Apart, hearing};
use draw::graph::{Bar, Curve};
use instrument::Survey;
use std::fmt::Write;

/// An impedance as it comes out of the sweep.
type Z<'a> = &'a [acoustics::Complex64];

/// `hz,re,im`, Pa s/m³.
pub fn impedance(hz: &[f64], z: Z) -> String {
    let mut out = String::from("hz,re,im\n");
    for (f, z) in hz.iter().zip(z) {
        // Writing into a string does not fail.
        let _ = writeln!(out, "{f},{:e},{:e}", z.re, z.im);
    }
    out
}

/// `mode,hz,magnitude,q`.
pub fn resonances(all: &[Resonance]) -> String {
    let mut out = String::from("mode,hz,magnitude,q\n");
    for r in all {
        let _ = writeln!(out, "{},{:.4},{:.6e},{:.3}", r.mode, r.hz, r.magnitude, r.q);
    }
    out
}

/// A row for each mode of each state of the valves, all dents together.
pub fn notes(sound: &Sound) -> String {
    let mut out = String::from(
        "valves,mode,note,note_hz,hz_without_dents,hz_with_dents,cents,cents_low,cents_high,off_note_without_dents,magnitude,q\n",
    );
    for state in &sound.states {
        for m in &state.modes {
            let (name, hz) = m.note.as_ref().map_or((String::new(), String::new()), |n| (n.name.clone(), format!("{:.2}", n.hz)));
            let off = m.off_note.map_or(String::new(), |o| format!("{o:.1}"));
            let (f, c, r) = (field(&fingering(state)), &m.cents, &m.sound);
            let _ = writeln!(
                out,
                "{f},{},{name},{hz},{:.3},{:.3},{:.2},{:.2},{:.2},{off},{:.4e},{:.1}",
                m.mode, r.hz, m.dented_hz, c.value, c.low, c.high, r.magnitude, r.q
            );
        }
    }
    out
}

/// A row for each dent, state of the valves and mode.
pub fn dents(sound: &Sound) -> String {
    let mut out = String::from("dent,valves,mode,note,cents,cents_low,cents_high,apart\n");
    for d in &sound.dents {
        if let Some(why) = d.apart {
            let _ = writeln!(out, "{},,,,0,0,0,{}", field(&d.dent.0), field(why.words()));
        }
        for m in &d.modes {
            let Some(state) = sound.states.get(m.state) else { continue };
            let note = state.modes.iter().find(|o| o.mode == m.mode).and_then(|o| o.note.as_ref()).map_or("", |n| n.name.as_str());
            let c = &m.cents;
            let _ = writeln!(
                out,
                "{},{},{},{note},{:.3},{:.3},{:.3},",
                field(&d.dent.0),
                field(&fingering(state)),
                m.mode,
                c.value,
                c.low,
                c.high
            );
        }
    }
    out
}

/// A text as a field of CSV.
fn field(text: &str) -> String {
    if text.contains([',', '"', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}

/// The dents by what they do, the gravest first: those that can be heard each in a line, the rest in one.
pub fn ranking(survey: &Survey, sound: &Sound) -> Vec<String> {
    let mut told = Vec::new();
    let mut quiet = Vec::new();
    for (d, _) in sound.ranked() {
        let run = survey.dent(&d.dent).map_or("", |s| s.run.0.as_str());
        match d.worst.map(|w| &d.modes[w]) {
            Some(m) if acoustics::sound::bound(&m.cents) >= hearing::BEST_EAR => {
                let mode = sound.states.get(m.state).and_then(|s| s.modes.iter().find(|o| o.mode == m.mode));
                let note = mode.map_or(String::new(), |o| sound.name(m.state, o));
                let c = &m.cents;
                told.push(format!("{} ({run}): {note} by {:+.1} cents ({:+.1} to {:+.1}).", d.dent, c.value, c.low, c.high));
            }
            Some(_) => quiet.push(d.dent.0.clone()),
            None => told.push(format!("{} ({run}): {}.", d.dent, d.apart.map_or("its place is not known", Apart::words))),
        }
    }
    if !quiet.is_empty() {
        told.push(format!("Each alone not heard by anybody: {}.", quiet.join(", ")));
    }
    told
}

/// |Z| over the frequency.
pub fn plot(title: &str, hz: &[f64], all: &[(&str, Z, bool)]) -> String {
    let points: Vec<Vec<(f64, f64)>> = all.iter().map(|(_, z, _)| hz.iter().zip(*z).map(|(f, z)| (*f, z.norm())).collect()).collect();
    let curves: Vec<Curve> = all.iter().zip(&points).map(|((name, _, dashed), points)| Curve { name, points, dashed: *dashed }).collect();
    draw::graph::curves(title, true, "Pa s/m³", &curves, 260.0, 120.0).svg
}

/// Cents by note of the open instrument, or of the valves that are off most.
pub fn cents_plot(sound: &Sound) -> String {
    let state = sound.worst.map_or(0, |w| w.0);
    let modes: Vec<_> =
        sound.states.get(state).map_or(vec![], |s| s.modes.iter().filter(|m| acoustics::notes::PLAYED.contains(&m.mode)).collect());
    let names: Vec<String> = modes.iter().map(|m| m.note.as_ref().map_or(m.mode.to_string(), |n| n.name.clone())).collect();
    let bars: Vec<Bar> =
        modes.iter().zip(&names).map(|(m, name)| Bar { name, value: m.cents.value, low: m.cents.low, high: m.cents.high }).collect();
    let valves = sound.states.get(state).map(fingering).filter(|f| !f.is_empty()).unwrap_or_else(|| "valves up".to_owned());
    let title = format!("What the dents do to each note, {valves}");
    draw::graph::bars(&title, "cents", &bars, (hearing::BEST_EAR, "nobody hears it"), 200.0, 90.0).svg
}
