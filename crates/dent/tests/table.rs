//! The force table against runs of its own model that had no part in making it (crates/fem/data/fresh_rows.csv), and each of its
//! constants against what it stands for.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use dent::force;
use dent::force_table::{Answer, ERROR, GROUPS, HEAD, Question, TableError, look_up, look_up_in, mixed};

const E: f64 = 112_000.0;

/// A run of the model: crates/fem/examples/tabulate.rs.
struct Run {
    held: bool,
    d_over_t: f64,
    yield_strain: f64,
    exponent: f64,
    ball: f64,
    depth: f64,
    /// Force in, force out (both over σ₀t²), over-push over D to stand true exactly, strain in, strain back.
    model: [f64; 5],
}

fn runs(text: &str) -> Vec<Run> {
    let rows = text.lines().filter(|l| l.starts_with("cradle,") || l.starts_with("held,"));
    rows.map(|l| {
        let v: Vec<f64> = l.split(',').skip(1).map(|w| w.parse().unwrap()).collect();
        let [d_over_t, yield_strain, exponent, ball, _aim, depth, _loaded, f_in, f_out, over, left, s_in, s_back, _both]: [f64; 14] =
            v.try_into().unwrap();
        // What is left of the dent is added to the over-push (make_table.rs).
        Run { held: l.starts_with("held"), d_over_t, yield_strain, exponent, ball, depth, model: [f_in, f_out, over + left, s_in, s_back] }
    })
    .collect()
}

/// The runs of which the error is stated, and those that were made after it was.
fn fresh() -> Vec<Run> {
    runs(include_str!("../../fem/data/fresh_rows.csv"))
}

fn held_back() -> Vec<Run> {
    runs(include_str!("../../fem/data/held_back_rows.csv"))
}

impl Run {
    fn question(&self) -> Question {
        Question {
            mean_diameter_mm: 20.0,
            wall_mm: 20.0 / self.d_over_t,
            e_mpa: E,
            yield_mpa: E * self.yield_strain,
            // σ₀ (1 + 0.05/0.02)ⁿ, the model's own curve.
            flow_at_5_percent_mpa: E * self.yield_strain * 3.5_f64.powf(self.exponent),
            ball_mm: 20.0 * self.ball,
            depth_mm: 20.0 * self.depth,
        }
    }

    /// ln(table/model), in the order of `model`.
    fn miss(&self) -> [f64; 5] {
        let q = self.question();
        let a = look_up_in(&q, self.held).unwrap();
        let unit = q.yield_mpa * q.wall_mm * q.wall_mm;
        let said = [a.force_in_n / unit, a.force_out_n / unit, a.over_push_mm / 20.0, a.strain_in, a.strain_back];
        std::array::from_fn(|k| (said[k] / self.model[k]).ln())
    }

    /// The bands of `ERROR`.
    fn band(&self) -> usize {
        if !self.held {
            0
        } else if self.d_over_t <= 160.0 {
            1
        } else {
            2
        }
    }

    fn inside(&self) -> bool {
        look_up_in(&self.question(), self.held).unwrap().outside == [false; 5]
    }
}

/// The errors that the table states are those of the fresh runs.
#[test]
fn the_error_is_that_of_fresh_runs() {
    for (band, stated) in ERROR.iter().enumerate() {
        let all: Vec<[f64; 5]> = fresh().iter().filter(|r| r.band() == band && r.inside()).map(Run::miss).collect();
        assert_eq!(all.len(), stated.runs, "band {band}");
        let rms = |k: usize| (all.iter().map(|m| m[k] * m[k]).sum::<f64>() / all.len() as f64).sqrt();
        let TableError { force_out_rms, force_out_max, force_in_rms, over_push_rms, strain_in_rms, strain_back_rms, .. } = *stated;
        let found = [rms(0), rms(1), rms(2), rms(3), rms(4), all.iter().map(|m| m[1].abs()).fold(0.0, f64::max)];
        let said = [force_in_rms, force_out_rms, over_push_rms, strain_in_rms, strain_back_rms, force_out_max];
        assert!(found.iter().zip(said).all(|(f, s)| (f - s).abs() < 6e-4), "band {band}: found {found:.3?}, stated {said:?}");
    }
}

/// Runs made after the error was stated: the interval of the table alone holds nine of ten.
#[test]
fn nine_of_ten_later_runs_lie_in_the_table_s_interval() {
    let later: Vec<Run> = held_back().into_iter().filter(Run::inside).collect();
    let mut sets = [0_usize; 3];
    let mut held = [0_usize; 3];
    for r in &later {
        let a = look_up_in(&r.question(), r.held).unwrap();
        let (force, over) = (mixed(a.held, a.thin, |e| e.force_out_rms), mixed(a.held, a.thin, |e| e.over_push_rms));
        // What the Figure of the force counts in all: the table and the doubt of tool, form and working.
        let (all, miss) = (force.hypot(force::DOUBT), r.miss());
        for (k, (miss, sd)) in [(miss[1], force), (miss[2], over), (miss[1], all)].into_iter().enumerate() {
            sets[k] += 1;
            held[k] += usize::from(miss.abs() <= 1.645 * sd);
        }
    }
    println!("force {} of {}, over-push {}, force with all doubts {}", held[0], sets[0], held[1], held[2]);
    let part = |k: usize| held[k] as f64 / sets[k] as f64;
    assert!(later.len() >= 20);
    assert!((0.8..=1.0).contains(&part(0)) && (0.8..=1.0).contains(&part(1)) && part(2) >= 0.9, "{held:?} of {sets:?}");
}

/// A tube in the middle of the cradle's table.
const BRANCH: Question = Question {
    mean_diameter_mm: 20.0,
    wall_mm: 0.5,
    e_mpa: E,
    yield_mpa: 235.0,
    flow_at_5_percent_mpa: 300.0,
    ball_mm: 10.0,
    depth_mm: 2.0,
};

fn branch(yield_strain: f64, exponent: f64, ball: f64, depth: f64) -> Answer {
    let yield_mpa = E * yield_strain;
    let flow_at_5_percent_mpa = yield_mpa * 3.5_f64.powf(exponent);
    look_up(&Question { yield_mpa, flow_at_5_percent_mpa, ball_mm: 20.0 * ball, depth_mm: 20.0 * depth, ..BRANCH }).unwrap()
}

/// Once away is a factor of 1.5 beyond the edge, an exponent 0.1 beyond it (what `Answer::away` says of itself), in each group; D/t in
/// force_table.rs. The edges are those of crates/fem/examples/tabulate.rs.
#[test]
fn once_away_is_half_as_much_again() {
    let far = 1.5_f64.ln() / 0.405;
    for (group, edge, beyond, away) in [
        (1, branch(0.0048, 0.2, 0.5, 0.1), branch(0.0048 * 1.5, 0.2, 0.5, 0.1), far),
        (2, branch(0.002, 0.5, 0.5, 0.1), branch(0.002, 0.6, 0.5, 0.1), 1.0),
        (3, branch(0.002, 0.2, 0.2, 0.1), branch(0.002, 0.2, 0.2 / 1.5, 0.1), far),
        (4, branch(0.002, 0.2, 0.5, 0.008), branch(0.002, 0.2, 0.5, 0.008 / 1.5), far),
    ] {
        assert!((beyond.away - edge.away - away).abs() < 2e-3, "{}: {} and {}", GROUPS[group], edge.away, beyond.away);
        assert!(beyond.outside[group] && beyond.outside.iter().filter(|o| **o).count() == 1, "{beyond:?}");
    }
    assert_eq!(GROUPS[HEAD], "ball over diameter");
}

/// Rounding does not put a case outside: a relative 4·10⁻⁷ beyond the edge (single precision rounds by 6·10⁻⁸), and an exponent that comes
/// out as −6·10⁻¹⁰ for a metal that does not harden.
#[test]
fn a_hair_over_the_edge_is_inside() {
    assert_eq!(branch(0.002, 0.2, 0.2 * (1.0 - 3.9e-7), 0.1).outside, [false; 5]);
    assert!(branch(0.0048 * (1.0 + 1e-5), 0.2, 0.5, 0.1).outside[1]);
    assert_eq!(branch(0.002, -6e-10, 0.5, 0.1).outside, [false; 5]);
    assert!(branch(0.002, -1e-6, 0.5, 0.1).outside[2]);
    // Does not harden at all: inside, and the edge's flow stress is its own (RISE to the power 0).
    let plastic = branch(0.002, 0.0, 0.5, 0.1);
    assert!(plastic.outside == [false; 5] && (plastic.edge.flow_mpa - 0.002 * E).abs() < 1e-9);
}

/// Flow stress of the edge where the exponent lies beyond it: σ₀ 3.5^0.5 (closed form of the model's curve).
#[test]
fn the_edge_s_flow_stress_is_the_curve_s() {
    let beyond = branch(0.002, 0.7, 0.5, 0.1);
    assert!((beyond.edge.flow_mpa - 0.002 * E * 3.5_f64.sqrt()).abs() < 1e-6 && (beyond.edge.yield_strain - 0.002).abs() < 1e-12);
}

/// The table's own error reaches force and over-push of an assessed dent: in a thick tube the cradle's, in the thinnest walls theirs (the
/// over-push counts it beside the 35 % of `force::OVERPUSH_DOUBT`).
#[test]
fn the_error_reaches_the_figures() {
    for (wall_mm, band) in [(0.5, 0), (0.17, 1), (0.06, 2)] {
        let mut s = common::site();
        s.wall_mm = common::mm("wall", wall_mm, 0.01 * wall_mm);
        let a = dent::assess(&common::dent(), &s);
        let sd = |f: &units::Figure, name: &str| f.reason.inputs.iter().find(|i| i.known.name.contains(name)).unwrap().known.sd;
        assert!((sd(&a.force_inside_n, "force over the table's") - ERROR[band].force_out_rms).abs() < 1e-9, "{wall_mm}");
        let over = 0.35 * sd(&a.force_inside_n, "force over the model's") / 0.22;
        assert!((sd(&a.overpush_mm, "over-push over the model's") - over.hypot(ERROR[band].over_push_rms)).abs() < 1e-9, "{wall_mm}");
    }
}

/// The error passes from the held wall's to the thinnest's between D/t 130 and 200, evenly in logarithms, and so does its doubt.
#[test]
fn the_error_passes_to_the_thinnest() {
    let at = |d_over_t: f64| look_up(&Question { wall_mm: 20.0 / d_over_t, ..BRANCH }).unwrap().thin;
    assert!(at(129.9) == 0.0 && at(130.1) > 0.0 && at(199.9) < 1.0 && at(200.1) == 1.0);
    assert!((at((130.0_f64 * 200.0).sqrt()) - 0.5).abs() < 1e-9);
    let of = |e: &TableError| e.force_out_rms;
    assert!((mixed(1.0, 0.25, of) - 0.75 * of(&ERROR[1]) - 0.25 * of(&ERROR[2])).abs() < 1e-12);
    assert!((mixed(0.4, 0.7, of) - 0.6 * of(&ERROR[0]) - 0.4 * mixed(1.0, 0.7, of)).abs() < 1e-12);
}

/// Half way and no more of an answer may rest on filled places: at D/t 80 the model has no answer to a dent of 0.29 D in the cradle,
/// at 47 it has, so that the part that is filled is how far the case lies from the one to the other.
#[test]
fn an_answer_that_rests_on_filled_places_is_outside() {
    let at = |w: f64| {
        let d_over_t = 47.0_f64.powf(1.0 - w) * 80.0_f64.powf(w);
        look_up_in(&Question { wall_mm: 20.0 / d_over_t, depth_mm: 20.0 * 0.29, ..BRANCH }, false).unwrap()
    };
    for w in [0.1, 0.4, 0.49, 0.51, 0.9] {
        let a = at(w);
        assert!((a.away - w).abs() < 1e-4 && a.outside[4] == (w > 0.5), "{w}: {a:?}");
    }
}
