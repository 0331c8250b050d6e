//! The metal about a flame, held to closed forms: straight fields along a run, distances by hand, sections and volumes.

use super::hottest::{along, hot_length_mm};
use super::*;
use instrument::Overlay;
use instrument::{Axis, Cover, Joint, JointId, Kind, Profile, patterns};
use metal::heat_net::Flame;
use std::f64::consts::PI;
use units::Origin;

#[test]
fn the_pieces_are_short_enough() {
    let mut worst: f64 = 0.0;
    for kind in [Kind::Tuba, Kind::Trumpet, Kind::Horn] {
        let i = patterns::pattern(kind).unwrap();
        let parts = Parts::new(&i);
        for (run, r) in i.runs.iter().enumerate() {
            let middle = (0.3 * r.length_mm()).max(8.0);
            let Some(flame) = parts.stretch(run, middle - 8.0, middle + 8.0) else { continue };
            let peaks = |piece: f64, growth: f64| {
                let a = parts.about_in(&[flame], &[], Taken { conductivity: 1.1, round_mm: None, window_mm: WINDOW_MM }, piece, growth);
                let burn = a.net.burn(Flame { watts: 400.0, degc: 280.0, hold_s: 20.0, gentle_s: 10.0 }, &[]);
                (a, burn.peak_degc)
            };
            let (coarse, fine) = (peaks(PIECE_MM, PIECE_GROWTH), peaks(0.5 * PIECE_MM, 0.5 * PIECE_GROWTH));
            for other in 0..i.runs.len() {
                for part in [0.0, 0.25, 0.5, 0.75, 1.0] {
                    let x = part * i.runs[other].length_mm();
                    let at = |p: &(Assembly, Vec<f64>)| along(&p.0.cells[other], x, &p.1);
                    if let (Some(c), Some(f)) = (at(&coarse), at(&fine))
                        && f > 60.0
                    {
                        let d = ((c - f) / (f - AIR_DEGC)).abs();
                        worst = worst.max(d);
                    }
                }
            }
        }
    }
    assert!(worst < 0.10, "{worst}");
}

/// C: weights between two middles give back the station (a straight field is met exactly), sum to one, and at a run's very
/// ends, where a brace's foot or a meeting can stand, the outermost piece carries all of it.
#[test]
fn a_foot_stands_on_the_pieces_about_it() {
    let cell = |from_mm: f64, to_mm: f64, id: PieceId| Cell { from_mm, to_mm, id };
    let cold = [cell(0.0, 4.0, 1), cell(4.0, 10.0, 2), cell(10.0, 20.0, 3)];
    let middle = |id: PieceId| cold[id - 1].middle_mm();
    for x in [2.0, 3.0, 4.0, 5.5, 7.0, 9.0, 10.0, 12.5, 15.0] {
        let on = stands_on(&cold, x);
        assert!((on.iter().map(|o| o.1).sum::<f64>() - 1.0).abs() < 1e-12, "{x}: {on:?}");
        assert!((on.iter().map(|o| o.1 * middle(o.0)).sum::<f64>() - x).abs() < 1e-9, "{x}: {on:?}");
    }
    for (x, id) in [(0.0, 1), (1.0, 1), (16.0, 3), (20.0, 3)] {
        assert_eq!(stands_on(&cold, x), vec![(id, 1.0)], "{x}");
        assert_eq!(at_station(&cold, x).map(|c| c.id), Some(id), "{x}");
    }
    assert!(stands_on(&cold, -1.0).is_empty() && stands_on(&cold, 21.0).is_empty());
    assert!(at_station(&cold, -1.0).is_none() && at_station(&cold, 21.0).is_none());
    // What is under the flame is all at one heat: its edge, not its middle, is where the next piece's temperature starts.
    let hot = [cell(0.0, 4.0, 1), cell(4.0, 10.0, 0), cell(10.0, 20.0, 3)];
    assert_eq!(stands_on(&hot, 6.0), vec![(0, 1.0)]);
    assert_eq!(stands_on(&hot, 11.25), vec![(3, 0.25), (0, 0.75)]);
    assert_eq!(stands_on(&hot, 3.5), vec![(1, 0.25), (0, 0.75)]);
}

/// A round place of radius r₀ in a wide wall that loses h on one side carries off 2π k t m r₀ K₁(m r₀)/K₀(m r₀) a degree at
/// rest, and h π r₀² from itself. K₀(0.2) = 1.7527, K₁(0.2) = 4.7760, K₀(0.3) = 1.3725, K₁(0.3) = 3.0560 (Abramowitz &
/// Stegun, table 9.8).
#[test]
fn a_strip_stands_for_a_round_place_in_a_wide_wall() {
    let (k, t, h, outside): (f64, f64, f64, f64) = (121.0, 0.7e-3, 30.0, 150.0);
    let m = (h / (k * t)).sqrt();
    for (mr, k0, k1) in [(0.2, 1.7527, 4.7760), (0.3, 1.3725, 3.0560)] {
        let r = mr / m;
        let disc = 2.0 * std::f64::consts::PI * k * t * mr * k1 / k0 + h * std::f64::consts::PI * r * r;
        let taken = Taken { conductivity: 1.0, round_mm: Some(2e3 * r), window_mm: WINDOW_MM };
        let breadth = taken.share(outside) * std::f64::consts::PI * outside * 1e-3;
        let strip = breadth * (2.0 * (h * k * t).sqrt() + h * 2.0 * r);
        assert!((strip / disc - 1.0).abs() < 0.12, "{mr}: {strip} {disc}");
    }
    assert_eq!(Taken { conductivity: 1.0, round_mm: None, window_mm: WINDOW_MM }.share(150.0), 1.0);
    assert_eq!(Taken { conductivity: 1.0, round_mm: Some(20.0), window_mm: WINDOW_MM }.share(12.0), 1.0);
}

fn cell(from_mm: f64, to_mm: f64, id: PieceId) -> Cell {
    Cell { from_mm, to_mm, id }
}

/// A run with a flame from 4 to 10 mm, and another run that meets it at 32 mm, from its station 8 down.
fn two_runs() -> Assembly {
    let first = vec![cell(0.0, 4.0, 1), cell(4.0, 10.0, 0), cell(10.0, 20.0, 2), cell(20.0, 32.0, 3), cell(32.0, 32.0, 4)];
    let second = vec![cell(0.0, 8.0, 5), cell(8.0, 8.0, 4)];
    let steps = [(1, 0, 2.0), (0, 2, 5.0), (2, 3, 11.0), (3, 4, 6.0), (5, 4, 4.0)];
    let net = Net::new(Loss::Even(10.0), AIR_DEGC);
    Assembly { net, cells: vec![first, second], away: Away::new(6, &steps) }
}

/// By hand: along the metal from the edge of the flame.
#[test]
fn distances_are_along_the_metal() {
    let a = two_runs();
    for (run, x, mm) in [(0, 6.0, 0.0), (0, 4.0, 0.0), (0, 12.0, 2.0), (0, 20.0, 10.0), (0, 25.0, 15.0), (0, 31.0, 21.0), (0, 1.0, 3.0)] {
        assert!((a.away_mm(run, x) - mm).abs() < 1e-9, "{run} {x}: {}", a.away_mm(run, x));
    }
    // 22 mm to where the runs meet, and back from station 8 of the other.
    for (x, mm) in [(7.0, 23.0), (5.0, 25.0), (1.0, 29.0), (0.0, 30.0)] {
        assert!((a.away_mm(1, x) - mm).abs() < 1e-9, "{x}: {}", a.away_mm(1, x));
    }
}

#[test]
fn the_shorter_way_round_counts() {
    // A ring: 0 to 3 over 1 is 7 mm, over 2 it is 5 mm.
    let away = Away::new(4, &[(0, 1, 3.0), (1, 3, 4.0), (0, 2, 1.0), (2, 3, 4.0)]);
    assert_eq!((away.mm, away.by), (vec![0.0, 3.0, 1.0, 5.0], vec![0, 0, 0, 2]));
}

/// 280 °C under the flame; on the one side 20 a millimetre to the next piece's middle and 10 from there on, on the other 40.
const PEAKS: [f64; 6] = [280.0, 200.0, 180.0, 70.0, 40.0, 20.0];

/// C: where straight fields cross a limit. 180 − 10 (x − 15) is 130 at 20 and 100 at 23; 280 − 40 (4 − x) is 220 at 2.5.
#[test]
fn hot_lengths_end_where_the_field_crosses_the_limit() {
    let a = two_runs();
    let first = &a.cells[0];
    assert!((hot_length_mm(first, &PEAKS, 130.0) - 20.0).abs() < 1e-9);
    assert!((hot_length_mm(first, &PEAKS, 100.0) - 23.0).abs() < 1e-9);
    // Above the outermost piece on the one side: from 2.5 to 10 and 3 mm of 20 a millimetre beyond.
    assert!((hot_length_mm(first, &PEAKS, 220.0) - (7.5 + 3.0)).abs() < 1e-9);
    assert!((hot_length_mm(first, &PEAKS, 280.0) - 6.0).abs() < 1e-9);
    assert_eq!(hot_length_mm(first, &PEAKS, 280.1), 0.0);
    // All of it, and all of the other run up to where 20 °C is held by its piece.
    assert!((hot_length_mm(first, &PEAKS, 40.0) - 32.0).abs() < 1e-9);
    assert!((hot_length_mm(&a.cells[1], &PEAKS, 30.0) - 2.0).abs() < 1e-9);
    assert!((hot_length_mm(&a.cells[1], &PEAKS, 20.0) - 8.0).abs() < 1e-9);
    let all = a.hotter_mm(&PEAKS, |run| [Some(130.0), None][run]);
    assert!(all.len() == 1 && all[0].0 == 0 && (all[0].1 - 20.0).abs() < 1e-9, "{all:?}");
    // A run that stays below its limit is none of it.
    assert_eq!(a.hotter_mm(&PEAKS, |run| [None, Some(50.0)][run]), vec![]);
    // The same seen from the flame: 10 mm to 20, 13 to 23; 3 mm beyond against 1.5 on the other side.
    for (limit, mm) in [(130.0, 10.0), (100.0, 13.0), (220.0, 3.0), (280.1, 0.0)] {
        assert!((a.hot_from_flame_mm(0, &PEAKS, limit) - mm).abs() < 1e-9, "{limit}: {}", a.hot_from_flame_mm(0, &PEAKS, limit));
    }
    // On the other run 30 °C is at station 6, 22 + 2 mm away.
    assert!((a.hot_from_flame_mm(1, &PEAKS, 30.0) - 24.0).abs() < 1e-9);
    // Colder on the side that the first field went: the other side is the furthest.
    let turned = [280.0, 270.0, 30.0, 25.0, 22.0, 20.0];
    assert!((a.hot_from_flame_mm(0, &turned, 270.0) - 2.0).abs() < 1e-9);
}

/// C: straight lines through the values at the middles, and what a foot stands on is weighed the same.
#[test]
fn the_field_is_straight_between_middles() {
    let a = two_runs();
    for (x, degc) in [(6.0, 280.0), (12.0, 240.0), (15.0, 180.0), (20.0, 130.0), (26.0, 70.0), (29.0, 55.0), (32.0, 40.0), (3.0, 240.0)] {
        let got = along(&a.cells[0], x, &PEAKS).unwrap();
        assert!((got - degc).abs() < 1e-9, "{x}: {got}");
        let weighed: f64 = stands_on(&a.cells[0], x).iter().map(|o| o.1 * PEAKS[o.0]).sum();
        assert!((weighed - degc).abs() < 1e-9, "{x}: {weighed}");
    }
    // From the outermost middle on it stays.
    assert_eq!(along(&a.cells[0], 0.0, &PEAKS), Some(200.0));
    assert!(along(&a.cells[0], -0.1, &PEAKS).is_none() && along(&a.cells[0], 32.1, &PEAKS).is_none());
    let on = |from_mm: f64, to_mm: f64| Stretch { run: 0, from_mm, to_mm };
    let hottest = a.hottest(&[on(12.0, 29.0)], &PEAKS).unwrap();
    assert!(hottest.run == 0 && hottest.at_mm == 12.0 && (hottest.degc - 240.0).abs() < 1e-9 && (hottest.away_mm - 2.0).abs() < 1e-9);
    // Inside a stretch, not only at its ends.
    let bump = [280.0, 200.0, 50.0, 90.0, 40.0, 20.0];
    let hottest = a.hottest(&[on(15.0, 31.0)], &bump).unwrap();
    assert!(hottest.at_mm == 26.0 && hottest.degc == 90.0, "{hottest:?}");
    // Of two stretches the hotter.
    assert_eq!(a.hottest(&[on(25.0, 29.0), on(12.0, 14.0)], &PEAKS).unwrap().at_mm, 12.0);
    assert!(a.hottest(&[on(40.0, 50.0)], &PEAKS).is_none());
}

/// A cloth of a width before a place covers the pieces whose middles lie there, towards the flame.
#[test]
fn a_cloth_lies_between_the_flame_and_the_place() {
    let a = two_runs();
    let place = |run: usize, at_mm: f64| Hottest { run, at_mm, degc: 100.0, away_mm: a.away_mm(run, at_mm) };
    // Station 25 is 15 mm away; the middles on the way are 16 (behind it) and 5 mm away.
    assert_eq!(a.cloth(&place(0, 25.0), 10.0), vec![2]);
    assert_eq!(a.cloth(&place(0, 25.0), 9.9), Vec::<PieceId>::new());
    // The place's own piece, its middle just before it.
    assert_eq!(a.cloth(&place(0, 27.0), 5.0), vec![3]);
    // Round the corner: the other run's piece at 26 mm, the meeting at 22, the first run's at 16.
    assert_eq!(a.cloth(&place(1, 2.0), 15.0), vec![5, 4, 3]);
    assert_eq!(a.cloth(&place(1, 2.0), 6.5), vec![5, 4]);
    // Under the flame there is no room for one.
    assert_eq!(a.cloth(&place(0, 6.0), 10.0), Vec::<PieceId>::new());
}

/// Pieces lie end to end over all that is looked at, those under the flame as they are, and none is longer than the rule at
/// its nearer end allows by more than the remainder that is shared out.
#[test]
fn pieces_lie_end_to_end() {
    let entry = Entry { from_mm: 30.0, to_mm: 40.0, left_mm: 100.0 };
    let reach = Reached { from_mm: 0.0, to_mm: 120.0, entries: vec![entry], window_mm: 100.0 };
    assert_eq!([10.0, 30.0, 35.0, 40.0, 55.0].map(|x| reach.away_mm(x)), [20.0, 0.0, 0.0, 0.0, 15.0]);
    assert!(reach.holds(0.0) && reach.holds(120.0) && !reach.holds(-0.1) && !reach.holds(120.1));
    let flame = [Stretch { run: 0, from_mm: 30.0, to_mm: 40.0 }];
    let pieces = cuts(&reach, flame.iter(), 4.0, 0.08);
    assert!(pieces.windows(2).all(|w| (w[0].1 - w[1].0).abs() < 1e-12));
    assert!(pieces[0].0 == 0.0 && pieces[pieces.len() - 1].1 == 120.0);
    assert_eq!(pieces.iter().filter(|p| p.2).copied().collect::<Vec<_>>(), vec![(30.0, 40.0, true)]);
    for (from, to, hot) in &pieces {
        let near = reach.away_mm(*from).min(reach.away_mm(*to));
        assert!(*hot || (to - from > 1.99 && to - from <= 1.5 * (4.0 + 0.08 * near) + 1e-9), "{from} {to}");
    }
    // The first beyond the flame is as long as the rule says at the flame, and they grow from there.
    let first = pieces.iter().position(|p| p.2).unwrap() + 1;
    assert!((pieces[first].1 - pieces[first].0 - 4.0).abs() < 1e-9, "{:?}", pieces[first]);
    // 80 mm in pieces that grow by 8 %: n with 4 (1.08ⁿ − 1)/0.08 = 80 is 12.4 (geometric sum, C).
    assert!((11..=14).contains(&pieces[first..].len()), "{}", pieces[first..].len());
    // Two flames that overlap are one after the other, not twice; one that lies outside is none.
    let two = [(20.0, 30.0), (25.0, 35.0), (130.0, 140.0)].map(|(from_mm, to_mm)| Stretch { run: 0, from_mm, to_mm });
    let hot: Vec<(f64, f64, bool)> = cuts(&reach, two.iter(), 4.0, 0.08).into_iter().filter(|p| p.2).collect();
    assert_eq!(hot, vec![(20.0, 30.0, true), (30.0, 35.0, true)]);
}

/// Straight runs of yellow brass, bore and wall as given, soft-soldered one to the next over 10 mm.
fn line(runs: &[(f64, f64, f64)]) -> Instrument {
    let mut i = patterns::pattern(Kind::Trumpet).unwrap();
    let run = i.runs[0].clone();
    let joint: Joint = i.joints.iter().find(|j| matches!(j.kind, JointKind::SoftSoldered { .. })).unwrap().clone();
    i.overlays.clear();
    i.fits.clear();
    i.runs = runs
        .iter()
        .enumerate()
        .map(|(n, (length, bore, wall))| Run {
            id: format!("r{n}").as_str().into(),
            axis: Axis::straight(*length),
            bore_mm: Profile::constant(*bore, 0.0, Origin::Measured),
            wall_mm: Profile::constant(*wall, 0.0, Origin::Measured),
            alloy: Alloy::YellowBrass,
            ..run.clone()
        })
        .collect();
    i.joints = (1..runs.len())
        .map(|n| Joint {
            id: JointId(format!("j{n}")),
            a: RunEnd { run: format!("r{}", n - 1).as_str().into(), end: End::Finish },
            b: RunEnd { run: format!("r{n}").as_str().into(), end: End::Start },
            overlap_mm: 10.0,
            ..joint.clone()
        })
        .collect();
    i
}

/// Run, from, to, clock.
type Lies<'a> = (&'a str, f64, f64, Option<(f64, f64)>);

fn overlay(kind: OverlayKind, covers: &[Lies]) -> Overlay {
    let covers = covers.iter().map(|(run, from_mm, to_mm, clock_deg)| Cover {
        run: (*run).into(),
        from_mm: *from_mm,
        to_mm: *to_mm,
        clock_deg: *clock_deg,
    });
    let like = patterns::pattern(Kind::Trumpet).unwrap().overlays[0].clone();
    Overlay { id: "o".into(), kind, covers: covers.collect(), ..like }
}

/// C: ring sections are differences of circles; a wire's volume is its section times its length.
#[test]
fn sections_are_differences_of_circles() {
    let i = line(&[(200.0, 12.0, 0.5)]);
    let ring = |inner: f64, outer: f64| 0.25 * PI * (outer * outer - inner * inner);
    assert!((section_mm2(&i.runs[0], 50.0) - ring(12.0, 13.0)).abs() < 1e-9);
    let lying =
        |kind: OverlayKind, clock: Option<(f64, f64)>| lying_mm2(&overlay(kind, &[("r0", 40.0, 60.0, clock)]), &i.runs[0], 50.0, clock);
    let thick = [
        (OverlayKind::Ferrule, usual::FERRULE_MM),
        (OverlayKind::Brace, usual::FLANGE_MM),
        (OverlayKind::Guard, usual::SHEET_MM),
        (OverlayKind::Garland, usual::SHEET_MM),
        (OverlayKind::Patch, usual::PATCH_MM),
    ];
    for (kind, t) in thick {
        assert!((lying(kind, None) - ring(13.0, 13.0 + 2.0 * t)).abs() < 1e-9, "{kind:?}");
    }
    let all = lying(OverlayKind::Guard, None);
    // A third of the way round, over the top as well; from and to the same place by a whole turn is all of it, without a turn nothing.
    for (clock, part) in [((30.0, 150.0), 1.0 / 3.0), ((300.0, 60.0), 1.0 / 3.0), ((0.0, 360.0), 1.0), ((90.0, 90.0), 0.0)] {
        assert!((lying(OverlayKind::Guard, Some(clock)) - part * all).abs() < 1e-9, "{clock:?}");
    }
    let wire = lying(OverlayKind::RimWire, None) * 20.0;
    assert!((wire - 0.25 * PI * 2.5 * 2.5 * PI * 13.0).abs() < 1e-9, "{wire}");
}

/// C: mass is kept, and a stretch that is thick on a part of its length conducts as the two in a row: 1/A = Σ part/Aᵢ.
#[test]
fn a_piece_holds_all_that_lies_on_it() {
    let mut i = line(&[(200.0, 12.0, 0.5)]);
    i.overlays = vec![overlay(OverlayKind::Ferrule, &[("r0", 46.0, 60.0, None)])];
    let parts = Parts::new(&i);
    let taken = |round_mm: Option<f64>| Taken { conductivity: 1.1, round_mm, window_mm: WINDOW_MM };
    let (tube, ferrule) = (0.25 * PI * (13.0 * 13.0 - 12.0 * 12.0), 0.25 * PI * (14.6 * 14.6 - 13.0 * 13.0));
    let p = parts.piece(0, 40.0, 50.0, &[], taken(None));
    assert!((p.extra_mm2 - 0.4 * ferrule).abs() < 1e-9 && p.length_mm == 10.0 && (p.bore_mm, p.wall_mm, p.share) == (12.0, 0.5, 1.0));
    let conducts = 1.0 / (0.6 / tube + 0.4 / (tube + ferrule));
    assert!((p.extra_conducts_mm2 + tube - conducts).abs() < 1e-9);
    // C26000 (its data sheet): 121 W/(m K); 8530 kg/m³ with 375 J/(kg K) is 3.2 mJ/(mm³ K).
    assert!((p.conductivity_w_mk / 1.1 - 121.0).abs() < 1.5 && (p.capacity_j_mm3k / 3.2e-3 - 1.0).abs() < 0.03, "{p:?}");
    // Beside it there is nothing, and nothing where it is off.
    assert_eq!(parts.piece(0, 60.0, 70.0, &[], taken(None)).extra_mm2, 0.0);
    assert_eq!(parts.piece(0, 40.0, 46.0, &[], taken(None)).extra_mm2, 0.0);
    assert_eq!(parts.piece(0, 40.0, 50.0, &[Opened::Overlay("o".into())], taken(None)).extra_mm2, 0.0);
    // A flame from one side, 10 mm wide: with 30 mm either side more than this tube's 41 mm round. On a tube of 100 mm, 70 of 317 mm.
    assert_eq!(parts.piece(0, 40.0, 50.0, &[], taken(Some(10.0))).share, 1.0);
    let wide = line(&[(200.0, 100.0, 0.5)]);
    let wide = Parts::new(&wide).piece(0, 40.0, 50.0, &[], taken(Some(10.0)));
    assert!((wide.share - 70.0 / (PI * 101.0)).abs() < 1e-9);
}

/// By hand: two runs of 60 and 50 mm end to end, a brace from station 14 of the first to 34 of the second. From a flame at 30 to
/// 40 the joint is 20 mm away; the brace's first foot 16, and its second, over a rod of 25 mm, 41.
#[test]
fn heat_goes_over_joints_and_braces_as_far_as_the_window() {
    let mut i = line(&[(60.0, 12.0, 0.5), (50.0, 13.0, 0.6)]);
    i.overlays = vec![overlay(OverlayKind::Brace, &[("r0", 10.0, 18.0, None), ("r1", 30.0, 38.0, None)])];
    let parts = Parts::new(&i);
    let flame = [parts.stretch(0, 30.0, 40.0).unwrap()];
    let (joint, brace) = (Opened::Joint(JointId("j1".to_owned())), Opened::Overlay("o".into()));
    let second = |off: &[Opened], window: f64| parts.reached(&flame, off, window)[1].as_ref().map(|r| (r.from_mm, r.to_mm));
    assert_eq!(second(&[], 30.0), Some((0.0, 10.0)));
    assert_eq!(second(std::slice::from_ref(&brace), 60.0), Some((0.0, 40.0)));
    assert_eq!(second(std::slice::from_ref(&joint), 60.0), Some((15.0, 50.0)));
    assert_eq!(second(&[], 60.0), Some((0.0, 50.0)));
    assert_eq!(second(&[joint.clone(), brace.clone()], 60.0), None);
    assert_eq!(second(&[], 20.0), None);
    let first = parts.reached(&flame, &[], 25.0)[0].as_ref().map(|r| (r.from_mm, r.to_mm));
    assert_eq!(first, Some((5.0, 60.0)));
    let taken = Taken { conductivity: 1.0, round_mm: None, window_mm: WINDOW_MM };
    let all = parts.about(&flame, &[], taken);
    // Over the joint to station 10 it is 30 mm; to station 33, over the brace, 42 against 53. A foot stands on whole pieces: within one.
    assert!((all.away_mm(1, 10.0) - 30.0).abs() < 1e-6, "{}", all.away_mm(1, 10.0));
    assert!((all.away_mm(1, 33.0) - 42.0).abs() < 5.0, "{}", all.away_mm(1, 33.0));
    let apart = parts.about(&flame, &[brace], taken);
    assert!((apart.away_mm(1, 33.0) - 53.0).abs() < 1e-6, "{}", apart.away_mm(1, 33.0));
    // A piece more for the rod than without it.
    assert_eq!(all.net.len(), apart.net.len() + 1);
}

/// Cut off where the window ends, a tube is as warm as one that is followed to its end; a tube that ends there is warmer, since
/// nothing flows on.
#[test]
fn a_cut_end_goes_on_and_a_real_one_does_not() {
    let at_end = |length: f64, window_mm: f64, joined: bool| {
        let i = if joined { line(&[(length, 12.0, 0.5), (300.0, 12.0, 0.5)]) } else { line(&[(length, 12.0, 0.5)]) };
        let parts = Parts::new(&i);
        let flame = [parts.stretch(0, 0.0, 10.0).unwrap()];
        let a = parts.about(&flame, &[], Taken { conductivity: 1.0, round_mm: None, window_mm });
        let burn = a.net.burn(Flame { watts: f64::INFINITY, degc: 280.0, hold_s: 100.0, gentle_s: 10.0 }, &[]);
        along(&a.cells[0], 50.0, &burn.peak_degc).unwrap() - AIR_DEGC
    };
    let (whole, cut, ends) = (at_end(400.0, 250.0, false), at_end(400.0, 40.0, false), at_end(50.0, 250.0, false));
    assert!((cut / whole - 1.0).abs() < 0.08, "{cut} {whole}");
    assert!(ends > 1.25 * whole, "{ends} {whole}");
    // The same where the window ends at a joint to another run: what is beyond still draws heat.
    let (whole, cut) = (at_end(50.0, 250.0, true), at_end(50.0, 40.0, true));
    assert!((cut / whole - 1.0).abs() < 0.08 && cut < 0.9 * ends, "{cut} {whole} {ends}");
    // And apart it draws none.
    let i = line(&[(50.0, 12.0, 0.5), (300.0, 12.0, 0.5)]);
    let parts = Parts::new(&i);
    let flame = [parts.stretch(0, 0.0, 10.0).unwrap()];
    let a = parts.about(&flame, &[Opened::Joint(JointId("j1".to_owned()))], Taken { conductivity: 1.0, round_mm: None, window_mm: 250.0 });
    let burn = a.net.burn(Flame { watts: f64::INFINITY, degc: 280.0, hold_s: 100.0, gentle_s: 10.0 }, &[]);
    // (The overlap's metal is off as well: the bare end is as a run of its own.)
    assert!((along(&a.cells[0], 50.0, &burn.peak_degc).unwrap() - AIR_DEGC - ends).abs() < 1e-6);
}

/// Three tubes in one port meet in one place, whichever joint names them.
#[test]
fn ends_that_meet_meet_in_one_place() {
    let mut i = line(&[(60.0, 12.0, 0.5), (60.0, 12.0, 0.5), (60.0, 12.0, 0.5), (60.0, 12.0, 0.5)]);
    // r0's end with r1's and r2's starts; r3 stays with r2's end.
    i.joints[1].a = i.joints[0].a.clone();
    let parts = Parts::new(&i);
    let flame = [parts.stretch(0, 20.0, 30.0).unwrap()];
    let a = parts.about(&flame, &[], Taken { conductivity: 1.0, round_mm: None, window_mm: WINDOW_MM });
    let end = |run: usize, x: f64| at_station(&a.cells[run], x).unwrap();
    let last = a.cells[0].last().unwrap();
    assert!(last.from_mm == 60.0 && last.to_mm == 60.0);
    assert!((a.cells[1][0].id, a.cells[2][0].id) == (last.id, last.id) && a.cells[3][0].id == a.cells[2].last().unwrap().id);
    assert_eq!((end(1, 0.0).id, end(2, 0.0).id), (last.id, last.id));
    // From the one branch heat flows on into another tube, the other ends: it stays warmer.
    let burn = a.net.burn(Flame { watts: f64::INFINITY, degc: 280.0, hold_s: 60.0, gentle_s: 10.0 }, &[]);
    let at = |run: usize, x: f64| along(&a.cells[run], x, &burn.peak_degc).unwrap();
    assert!(at(1, 0.0) == at(2, 0.0) && at(1, 0.0) == at(0, 60.0) && at(1, 20.0) > at(2, 20.0) && at(2, 60.0) == at(3, 0.0));
    assert!(at(3, 10.0) < at(2, 40.0));
    assert!((a.away_mm(3, 5.0) - 95.0).abs() < 1e-6 && (a.away_mm(1, 5.0) - 35.0).abs() < 1e-6);
}

/// A stretch at a run's end, and what is none.
#[test]
fn stretches_stay_on_their_runs() {
    let i = line(&[(60.0, 12.0, 0.5), (50.0, 13.0, 0.6)]);
    let parts = Parts::new(&i);
    let end = |end: End| RunEnd { run: "r0".into(), end };
    let on = |from_mm: f64, to_mm: f64| Some(Stretch { run: 0, from_mm, to_mm });
    assert_eq!((parts.at_end(&end(End::Start), 8.0), parts.at_end(&end(End::Finish), 8.0)), (on(0.0, 8.0), on(52.0, 60.0)));
    assert_eq!(parts.at_end(&end(End::Start), 0.0), on(0.0, 0.01));
    assert!(parts.at_end(&RunEnd { run: "none".into(), end: End::Start }, 8.0).is_none());
    assert!(
        parts.stretch(0, 5.0, 5.0).is_none() && parts.stretch(0, f64::NAN, 5.0).is_none() && parts.stretch(0, 1.0, f64::INFINITY).is_none()
    );
    assert_eq!((parts.run(&"r1".into()), parts.run_of(1).id.0.as_str()), (Some(1), "r1"));
    assert!([sane(2.0, 1.0), sane(0.0, 1.0), sane(-1.0, 1.0), sane(f64::NAN, 1.0)] == [2.0, 1.0, 1.0, 1.0]);
    // What is held by hand only carries no heat.
    use JointKind::{Fixed, Pressed, SilverBrazed, SlidingFit, SoftSoldered, Threaded};
    let filler = metal::Filler::Sn60Pb40;
    assert!([SoftSoldered { filler }, SilverBrazed { filler }, Pressed, Fixed].into_iter().all(carries));
    assert!(![SlidingFit, Threaded].into_iter().any(carries));
}
