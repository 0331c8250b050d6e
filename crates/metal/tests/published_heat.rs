//! Heat in an assembly held to closed forms. Rank (C): closed form, from Incropera & DeWitt, Fundamentals of Heat and Mass
//! Transfer, and Carslaw & Jaeger, Conduction of Heat in Solids.

use metal::heat_net::{Flame, Loss, Net, Piece};
use std::f64::consts::PI;

const K: f64 = 121.0;
const RHO_C: f64 = 8530.0 * 375.0 * 1e-9;
const CELL_MM: f64 = 1.0;
const HELD: Flame = Flame { watts: f64::INFINITY, degc: 220.0, hold_s: 3000.0, gentle_s: 0.0 };

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want} ± {tolerance}");
}

fn piece(length_mm: f64, bore_mm: f64, wall_mm: f64) -> Piece {
    Piece { length_mm, bore_mm, wall_mm, extra_mm2: 0.0, extra_conducts_mm2: 0.0, share: 1.0, conductivity_w_mk: K, capacity_j_mm3k: RHO_C }
}

/// A line of pieces of `bore` and `wall`, one after another from `from`; the last goes on where `on` says so.
fn line(net: &mut Net, from: usize, length_mm: f64, bore: f64, wall: f64, on: bool) -> Vec<usize> {
    let mut before = from;
    let mut all = Vec::new();
    for _ in 0..(length_mm / CELL_MM).round() as usize {
        let i = net.add(&piece(CELL_MM, bore, wall));
        net.join(before, i);
        all.push(i);
        before = i;
    }
    if on {
        net.goes_on(before, &piece(CELL_MM, bore, wall));
    }
    all
}

/// Fin constant 1/mm and conductance at the base W/K of a tube that loses `h` outside only.
fn fin(h: f64, bore: f64, wall: f64) -> (f64, f64) {
    let (p, a) = (PI * (bore + 2.0 * wall), PI * (bore + wall) * wall);
    ((h * p / (K * a) * 1e-3).sqrt(), (h * p * K * a * 1e-9).sqrt())
}

/// Thermal diffusivity k/(ρ c); W/(m K) is 10⁻³ W/(mm K).
fn diffusivity_mm2_s() -> f64 {
    K * 1e-3 / RHO_C
}

/// A surface brought to `surface` `after_s` ago: T_s + (T_i − T_s) erf(x/(2√(α τ))).
fn half_space_degc(x_mm: f64, alpha: f64, after_s: f64, start: f64, surface: f64) -> f64 {
    surface + (start - surface) * libm::erf(x_mm / (2.0 * (alpha * after_s).sqrt()))
}

/// The infinite fin: T = T_b e^(−m x), and the heat that enters it √(h P k A) T_b.
#[test]
fn one_long_tube_is_an_infinite_fin() {
    let h = 40.0;
    let mut net = Net::new(Loss::Even(h), 20.0);
    let cells = line(&mut net, 0, 120.0, 60.0, 0.4, true);
    let burn = net.burn(HELD, &[]);
    let (m, conductance) = fin(h, 60.0, 0.4);
    for x in [10.5, 40.5, 90.5, 119.5] {
        let rise = burn.peak_degc[cells[x as usize]] - 20.0;
        near(rise / 200.0, (-m * x).exp(), 0.002, "rise over the base's");
    }
    near(burn.watts_last / 200.0, conductance, 0.005 * conductance, "W/K at the base");
}

/// (M) Incropera & DeWitt, example of very long rods: 5 mm diameter, base 100 °C, air 25 °C, h 100 W/(m² K);
/// copper (398 W/(m K)) loses 8.3 W, 2024 aluminium (180) 5.6 W, AISI 316 (14) 1.6 W.
#[test]
fn heat_of_very_long_rods() {
    for (conductivity_w_mk, watts) in [(398.0, 8.3), (180.0, 5.6), (14.0, 1.6)] {
        let rod = Piece { conductivity_w_mk, ..piece(CELL_MM, 0.0, 2.5) };
        let mut net = Net::new(Loss::Even(100.0), 25.0);
        let mut before = 0;
        for _ in 0..80 {
            let i = net.add(&rod);
            net.join(before, i);
            before = i;
        }
        net.goes_on(before, &rod);
        near(net.burn(Flame { degc: 100.0, ..HELD }, &[]).watts_last, watts, 0.05, "W");
    }
}

/// Three fins that meet: the first of length L from the flame to the meeting, the other two endless and of other bores. At
/// the meeting T_b/(cosh m L + G/G₁ sinh m L), G the sum of the two conductances √(h P k A), G₁ that of the first.
#[test]
fn three_tubes_that_meet() {
    let h = 30.0;
    let mut net = Net::new(Loss::Even(h), 20.0);
    let first = line(&mut net, 0, 50.0, 12.0, 0.5, false);
    let meeting = first[first.len() - 1];
    let thick = line(&mut net, meeting, 250.0, 20.0, 1.2, true);
    let thin = line(&mut net, meeting, 250.0, 11.0, 0.4, true);
    let burn = net.burn(HELD, &[]);
    let ((m1, g1), (m2, g2), (m3, g3)) = (fin(h, 12.0, 0.5), fin(h, 20.0, 1.2), fin(h, 11.0, 0.4));
    let at_meeting = 1.0 / ((m1 * 50.0).cosh() + (g2 + g3) / g1 * (m1 * 50.0).sinh());
    // The last cell of the first tube stands half a cell short of the meeting and carries its share of the surface.
    for x in [20.5, 60.5, 120.5] {
        near((burn.peak_degc[thick[x as usize]] - 20.0) / 200.0, at_meeting * (-m2 * x).exp(), 0.008, "thick tube");
        near((burn.peak_degc[thin[x as usize]] - 20.0) / 200.0, at_meeting * (-m3 * x).exp(), 0.008, "thin tube");
    }
}

/// A rod between a flame's stretch and a tube that goes on both ways: a fin of length L that ends on two endless ones.
#[test]
fn a_rod_carries_heat_to_the_next_tube() {
    let h = 20.0;
    let (d, l) = (5.0, 25.0);
    let mut net = Net::new(Loss::Even(h), 20.0);
    let foot = net.add(&piece(CELL_MM, 14.0, 0.5));
    line(&mut net, foot, 250.0, 14.0, 0.5, true);
    line(&mut net, foot, 250.0, 14.0, 0.5, true);
    net.rod(&[(0, 1.0), (foot, 1.0)], d, l, K, RHO_C);
    let burn = net.burn(HELD, &[]);
    let (p, a) = (PI * d, PI / 4.0 * d * d);
    let (m, g_rod) = ((h * p / (K * a) * 1e-3).sqrt(), (h * p * K * a * 1e-9).sqrt());
    let load = 2.0 * fin(h, 14.0, 0.5).1;
    let want = 1.0 / ((m * l).cosh() + load / g_rod * (m * l).sinh());
    // The rod is one piece: its loss is taken at its middle.
    near((burn.peak_degc[foot] - 20.0) / 200.0, want, 0.01 * want, "rise at the far foot over the near one's");
}

/// A flame of constant heat on a tube that loses none: the surface of a half space under constant flux,
/// θ = 2 q √(α t/π)/k, with half of the heat going either way.
#[test]
fn a_constant_heat_takes_its_time() {
    let mut net = Net::new(Loss::Even(0.0), 20.0);
    line(&mut net, 0, 400.0, 12.0, 0.5, false);
    line(&mut net, 0, 400.0, 12.0, 0.5, false);
    let section = PI * 12.5 * 0.5;
    let alpha = diffusivity_mm2_s();
    for (watts, degc) in [(60.0, 220.0), (90.0, 420.0), (40.0, 220.0)] {
        let burn = net.burn(Flame { watts, degc, hold_s: 0.0, gentle_s: 0.0 }, &[]);
        // W/(k A) in K/mm: k in W/(mm K).
        let slope = watts / (K * 1e-3 * section);
        let want = PI / alpha * ((degc - 20.0) / slope).powi(2);
        near(burn.reached_s.unwrap() / want, 1.0, 0.05, "time to heat");
        near(burn.joules, burn.stored_j, 1e-6 * burn.joules, "heat given and stored, J");
        near(burn.joules / (watts * burn.burned_s), 1.0, 0.05, "all of the heat until it is reached");
    }
}

/// A stretch that is held at its heat from the start, no loss: after the flame the heat spreads on. While it burns the half
/// space's erf is a lower bound of each peak; the later peak lies above it but below the flame.
#[test]
fn a_sudden_flame_is_a_half_space() {
    let mut net = Net::new(Loss::Even(0.0), 20.0);
    let cells = line(&mut net, 0, 500.0, 12.0, 0.5, false);
    let alpha = diffusivity_mm2_s();
    // Held for long: what spreads after it, with the flame's stretch empty and the end closed, no longer lifts the near peaks.
    let burn = net.burn(Flame { watts: f64::INFINITY, degc: 600.0, hold_s: 60.0, gentle_s: 0.0 }, &[]);
    for x in [10.5, 25.5] {
        near(burn.peak_degc[cells[x as usize]], half_space_degc(x, alpha, 60.0, 20.0, 600.0), 5.0, "°C");
    }
}

/// A torch weaker than what the tube carries off at rest never gets it there.
#[test]
fn a_weak_torch_never_gets_there() {
    let h = 30.0;
    let mut net = Net::new(Loss::Even(h), 20.0);
    line(&mut net, 0, 200.0, 60.0, 0.6, true);
    line(&mut net, 0, 200.0, 60.0, 0.6, true);
    // At rest it carries off 2 √(h P k A) a degree.
    let at_rest = 2.0 * fin(h, 60.0, 0.6).1 * 200.0;
    let weak = net.burn(Flame { watts: 0.95 * at_rest, degc: 220.0, hold_s: 20.0, gentle_s: 10.0 }, &[]);
    assert!(weak.reached_s.is_none() && weak.burned_s == 600.0);
    near((weak.peak_degc[0] - 20.0) / 200.0, 0.95, 0.02, "rise over the wanted");
    let strong = net.burn(Flame { watts: 1.3 * at_rest, degc: 220.0, hold_s: 20.0, gentle_s: 10.0 }, &[]);
    assert!(strong.reached_s.is_some_and(|r| r > 10.0));
    near(strong.burned_s - strong.reached_s.unwrap(), 20.0, 1e-6, "held, s");
}

/// A piece of which a part of the way round takes part carries, stores and loses that part.
#[test]
fn a_share_of_the_way_round_is_that_share_of_the_heat() {
    let heat = |share: f64| {
        let p = Piece { share, ..piece(CELL_MM, 60.0, 0.4) };
        let mut net = Net::new(Loss::Even(40.0), 20.0);
        net.under_flame(&Piece { length_mm: 15.0, ..p });
        let mut before = 0;
        for _ in 0..80 {
            let i = net.add(&p);
            net.join(before, i);
            before = i;
        }
        net.goes_on(before, &p);
        net.burn(HELD, &[])
    };
    let (whole, part) = (heat(1.0), heat(0.3));
    near(part.watts_last / whole.watts_last, 0.3, 1e-9, "heat");
    near(part.joules / whole.joules, 0.3, 1e-9, "heat in all");
    near(part.peak_degc[40], whole.peak_degc[40], 1e-6, "temperature");
}

/// Practice: a joint is brought to its heat in no less than ten seconds; a wet cloth holds its place at 100 °C, the boiling point
/// of water at sea level.
#[test]
fn a_strong_torch_is_drawn_back_and_a_cloth_boils() {
    let mut net = Net::new(Loss::Even(30.0), 20.0);
    net.under_flame(&piece(15.0, 12.0, 0.5));
    let cells = line(&mut net, 0, 80.0, 12.0, 0.5, true);
    let flame = Flame { watts: 5000.0, degc: 280.0, hold_s: 60.0, gentle_s: metal::heat_net::GENTLE_S };
    let bare = net.burn(flame, &[]);
    near(bare.reached_s.unwrap(), 10.0, 0.5, "s");
    let wet = net.burn(flame, &cells[20..35]);
    assert!(bare.peak_degc[cells[20]] > 150.0);
    near(wet.peak_degc[cells[20]], 100.0, 0.1, "°C under the cloth");
    assert!(wet.peak_degc[cells[40]] < 100.0 && wet.watts_last > bare.watts_last);
}

/// By hand: a tube of 20 mm outside and 50 mm long, kept at 220 °C in air of 20 °C. Convection of a level tube 1.32 (ΔT/D)^¼ = 13.2 W/(m² K)
/// (McAdams, from memory), radiation of oxidised brass (emissivity 0.6) σ ε (T² + T_a²)(T + T_a) = 8.80, over π · 0.02 · 0.05 m²: 13.83 W.
#[test]
fn what_a_tube_loses_to_still_air() {
    let mut net = Net::new(Loss::StillAir { emissivity: 0.6 }, 20.0);
    net.under_flame(&piece(50.0, 19.0, 0.5));
    let burn = net.burn(HELD, &[]);
    near(burn.watts_last, 13.826, 0.03, "loss to still air");
    // Twice as long in two pieces: twice as much.
    net.under_flame(&piece(50.0, 19.0, 0.5));
    near(net.burn(HELD, &[]).watts_last, 2.0 * 13.826, 0.06, "of two pieces");
}

/// C: two lumps without loss, C₁ at T₁ let go, C₂ beside it over a conductance g: they meet at the mean, and the cooler one rises
/// towards it as 1 − e^(−t/τ), τ = C₁C₂/((C₁ + C₂) g). After the flame is out the reckoning goes on as long again.
#[test]
fn heat_that_spreads_after_the_flame_is_out() {
    let mut net = Net::new(Loss::Even(0.0), 20.0);
    let p = piece(40.0, 19.0, 0.5);
    net.under_flame(&p);
    let beside = net.add(&p);
    net.join(0, beside);
    let section = PI * 19.5 * 0.5;
    let capacity = RHO_C * section * 40.0;
    // From the flame's edge to the piece's middle, 20 mm.
    let g = K * 1e-3 * section / 20.0;
    let tau = capacity / g / 2.0;
    let flame = Flame { watts: f64::INFINITY, degc: 220.0, hold_s: 30.0, gentle_s: 0.0 };
    let burn = net.burn(flame, &[]);
    // While it is held the other rises as a single lump, τ' = C/g; then both go to their mean for as long again.
    let at_out = 220.0 - 200.0 * (-burn.burned_s / (capacity / g)).exp();
    let mean = 0.5 * (220.0 + at_out);
    let want = mean - (mean - at_out) * (-burn.burned_s / tau).exp();
    near(burn.peak_degc[beside], want, 0.01 * 200.0, "peak of the one beside");
    assert!(burn.peak_degc[beside] > at_out + 5.0, "{} {at_out}", burn.peak_degc[beside]);
}
