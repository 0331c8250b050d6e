//! A dimensioned drawing of a tool to turn, bend or buy.

use crate::canvas::Drawing;
use crate::dxf::dxf;
use crate::plate::{Entity, Layer, Plate, V};
use crate::plate_on_paper::{Room, paper};
use crate::scale;
use crate::size::{fine_words, size_words};
use reach::stands::{HOLE_ROOM_MM, Material, NECK, SAFETY, standing, thread_of};
use reach::{Led, Load, ToolBody, ToolPiece};
use units::LengthUnit;
use units::force::{N_PER_LBF, show_force};
use units::length::{MM_PER_INCH, show_length};

/// The drawing of a piece to make, with its hole or thread, its material, its tolerances and what it bears; none for what is bought.
pub fn piece_svg(piece: &ToolPiece, unit: LengthUnit) -> Option<Drawing> {
    svg(&piece.body, piece.load.as_ref(), unit, WHOLE)
}

/// The same for half the width of a page, less high.
pub fn piece_half(piece: &ToolPiece, unit: LengthUnit, width_mm: f64) -> Option<Drawing> {
    svg(
        &piece.body,
        piece.load.as_ref(),
        unit,
        Room { thing: (width_mm - 34.0, 24.0), whole: (width_mm - 4.0, 42.0), sheet: width_mm, beside: false },
    )
}

/// The same for the whole width of a page, its notes beside it.
pub fn piece_wide(piece: &ToolPiece, unit: LengthUnit, width_mm: f64) -> Option<Drawing> {
    let half = width_mm / 2.0;
    svg(
        &piece.body,
        piece.load.as_ref(),
        unit,
        Room { thing: (half - 34.0, 20.0), whole: (half - 6.0, 36.0), sheet: width_mm, beside: true },
    )
}

const WHOLE: Room = Room { thing: (150.0, 62.0), whole: (176.0, 80.0), sheet: 176.0, beside: false };

/// The same as DXF.
pub fn piece_dxf(piece: &ToolPiece, unit: LengthUnit) -> Option<String> {
    let size = longest_mm(&piece.body)?;
    Some(dxf(&plate_under(&piece.body, piece.load.as_ref(), unit, (size / 60.0).clamp(1.5, 8.0))?))
}

/// The drawing as SVG, on paper at most 176 mm wide; none for a thing that is bought, not drawn (a torch, a press, a cable).
pub fn tool_to_make_svg(body: &ToolBody, unit: LengthUnit) -> Option<Drawing> {
    svg(body, None, unit, WHOLE)
}

fn svg(body: &ToolBody, load: Option<&Load>, unit: LengthUnit, room: Room) -> Option<Drawing> {
    // A ball says all in its number: a small picture is enough.
    let round = matches!(body, ToolBody::Ball { .. } | ToolBody::BallSet { .. } | ToolBody::Roller { .. } | ToolBody::PullStud { .. });
    let (w, h) = (room.thing.0, if round { room.thing.1.min(26.0) } else { room.thing.1 });
    // The text's height in mm of the thing follows from the scale, and the scale from the room that the text takes.
    let rough = plate_under(body, load, unit, 1.0)?;
    let (low, high) = rough.bounds();
    let mut s = scale::fitting((high.0 - low.0, high.1 - low.1), (w, h), 0.2);
    let mut drawn = plate_under(body, load, unit, 3.2 * s)?;
    for _ in 0..4 {
        let (low, high) = drawn.bounds();
        let fits = scale::fitting((high.0 - low.0, high.1 - low.1), room.whole, 0.2);
        if fits <= s {
            break;
        }
        s = fits;
        drawn = plate_under(body, load, unit, 3.2 * s)?;
    }
    Some(paper(&drawn, s, unit, room))
}

/// The drawing as DXF at full size, in millimetres whatever unit the texts are in; none where [`tool_to_make_svg`] gives none.
pub fn tool_to_make_dxf(body: &ToolBody, unit: LengthUnit) -> Option<String> {
    let size = longest_mm(body)?;
    Some(dxf(&plate(body, unit, (size / 60.0).clamp(1.5, 8.0))?))
}

fn longest_mm(body: &ToolBody) -> Option<f64> {
    Some(match *body {
        ToolBody::StraightRod { length_mm, .. }
        | ToolBody::CurvedRod { length_mm, .. }
        | ToolBody::Mandrel { length_mm, .. }
        | ToolBody::Burnisher { length_mm, .. }
        | ToolBody::Expander { length_mm, .. }
        | ToolBody::Stake { length_mm, .. } => length_mm,
        ToolBody::DrawRing { bore_mm } => ring_outside_mm(bore_mm),
        ToolBody::Ball { diameter_mm } | ToolBody::Roller { diameter_mm } => diameter_mm,
        ToolBody::PullStud { foot_mm } => foot_mm,
        ToolBody::BallSet { smallest_mm, largest_mm, .. } => smallest_mm + largest_mm,
        _ => return None,
    })
    .filter(|x| x.is_finite() && *x > 0.0)
}

/// The plate of a body; `text_mm` is the height of its texts in mm of the thing.
pub fn plate(body: &ToolBody, unit: LengthUnit, text_mm: f64) -> Option<Plate> {
    longest_mm(body)?;
    let d = |mm: f64| format!("⌀ {}", size_words(mm, unit));
    let l = |mm: f64| show_length(mm, unit);
    let mut p;
    match *body {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } => {
            p = Plate::new(format!("Straight rod {}, head {}, {} long", d(diameter_mm), d(head_mm), l(length_mm)), text_mm);
            straight_rod(&mut p, diameter_mm, length_mm, head_mm);
            let top = head_mm.max(diameter_mm) / 2.0 + 2.0 * text_mm;
            p.dimension_across((0.0, diameter_mm / 2.0), (length_mm, head_mm / 2.0), top, l(length_mm));
            p.dimension_up((0.0, -diameter_mm / 2.0), (0.0, diameter_mm / 2.0), -1.5 * text_mm, d(diameter_mm));
            if head_mm > diameter_mm {
                let x = length_mm - head_mm / 2.0;
                p.dimension_up((x, -head_mm / 2.0), (x, head_mm / 2.0), length_mm + 1.5 * text_mm, d(head_mm));
            }
            p.notes = rod_notes(head_mm > diameter_mm);
        }
        ToolBody::CurvedRod { diameter_mm, length_mm, radius_mm, head_mm } => {
            p = Plate::new(
                format!(
                    "Curved rod {}, head {}, {} along the bent part, center-line radius {}",
                    d(diameter_mm),
                    d(head_mm),
                    l(length_mm),
                    l(radius_mm)
                ),
                text_mm,
            );
            curved_rod(&mut p, diameter_mm, length_mm, radius_mm, head_mm, &d, &l);
            p.notes = rod_notes(head_mm > diameter_mm);
        }
        ToolBody::Mandrel { small_mm, large_mm, length_mm } => {
            let words = if (large_mm - small_mm).abs() < 0.005 { d(small_mm) } else { format!("{} to {}", d(small_mm), d(large_mm)) };
            p = Plate::new(format!("Mandrel {words}, working part {} long", l(length_mm)), text_mm);
            let (s, b) = (small_mm / 2.0, large_mm / 2.0);
            p.outline(&[(0.0, -s), (length_mm, -b), (length_mm, b), (0.0, s)]);
            p.line(Layer::Centre, (-text_mm, 0.0), (length_mm + text_mm, 0.0));
            p.dimension_across((0.0, s), (length_mm, b), s.max(b) + 2.0 * text_mm, l(length_mm));
            p.dimension_up((0.0, -s), (0.0, s), -1.5 * text_mm, d(small_mm));
            p.dimension_up((length_mm, -b), (length_mm, b), length_mm + 1.5 * text_mm, d(large_mm));
            p.notes = vec![
                "Steel, turned and polished, edges broken; a shank to suit the vise beyond the large end (common practice, no source)."
                    .into(),
            ];
        }
        ToolBody::Ball { diameter_mm } => {
            p = Plate::new(format!("Ball {}", d(diameter_mm)), text_mm);
            ball(&mut p, (0.0, 0.0), diameter_mm, d(diameter_mm));
            p.notes = Vec::new();
        }
        ToolBody::Roller { diameter_mm } => {
            p = Plate::new(format!("Roller {}", d(diameter_mm)), text_mm);
            ball(&mut p, (0.0, 0.0), diameter_mm, d(diameter_mm));
            p.notes = vec!["Steel, hardened and polished; its breadth and handle to suit the hand.".into()];
        }
        ToolBody::PullStud { foot_mm } => {
            p = Plate::new(format!("Pull stud, foot {}", d(foot_mm)), text_mm);
            ball(&mut p, (0.0, 0.0), foot_mm, d(foot_mm));
            p.notes = vec![format!("Foot filed to the hollow and tinned; neck ⌀ {}, an eye to suit the puller.", l(NECK * foot_mm))];
        }
        ToolBody::BallSet { smallest_mm, largest_mm, step_mm } => {
            p = Plate::new(format!("Balls {} to {} in steps of {}", d(smallest_mm), d(largest_mm), l(step_mm)), text_mm);
            ball(&mut p, (0.0, 0.0), smallest_mm, d(smallest_mm));
            let x = (smallest_mm + largest_mm) / 2.0 + 16.0 * text_mm;
            ball(&mut p, (x, 0.0), largest_mm, d(largest_mm));
            p.notes = vec!["Hardened steel balls, polished (common practice, no source).".into()];
        }
        ToolBody::Burnisher { diameter_mm, length_mm, head_mm } => {
            p = Plate::new(format!("Inside burnisher {}, nose {}, {} long", d(diameter_mm), d(head_mm), l(length_mm)), text_mm);
            straight_rod(&mut p, diameter_mm, length_mm, head_mm);
            let top = head_mm.max(diameter_mm) / 2.0 + 2.0 * text_mm;
            p.dimension_across((0.0, diameter_mm / 2.0), (length_mm, head_mm / 2.0), top, l(length_mm));
            p.dimension_up((0.0, -diameter_mm / 2.0), (0.0, diameter_mm / 2.0), -1.5 * text_mm, d(diameter_mm));
            if head_mm > diameter_mm {
                let x = length_mm - head_mm / 2.0;
                p.dimension_up((x, -head_mm / 2.0), (x, head_mm / 2.0), length_mm + 1.5 * text_mm, d(head_mm));
            }
            p.notes = vec![
                "Tool steel, the vise's length included; nose hardened and mirror polished, no step to the shank (common practice, no source)."
                    .into(),
            ];
        }
        ToolBody::Expander { smallest_mm, largest_mm, jaws_mm, length_mm, limit_n } => {
            p = Plate::new(
                format!("Expanding plug {} to {}, jaws {}, goes {} in", d(smallest_mm), d(largest_mm), l(jaws_mm), l(length_mm)),
                text_mm,
            );
            expander(&mut p, (smallest_mm, largest_mm), jaws_mm, length_mm, &d, &l);
            p.notes = vec![
                format!(
                    "Jaws of tool steel, split in at least four, hardened, outside polished, held by a spring ring; cone of {:.0}° a side.",
                    reach::expander::CONE_DEG
                ),
                format!(
                    "Draw bar and screw for a pull of {}. Nut with a washer at the tube's end (common practice, no source).",
                    show_force(limit_n, unit)
                ),
            ];
        }
        ToolBody::DrawRing { bore_mm } => {
            p = Plate::new(format!("Draw ring, bore ⌀ {}", fine_words(bore_mm, unit)), text_mm);
            draw_ring(&mut p, bore_mm, &format!("⌀ {}", fine_words(bore_mm, unit)), &d);
            p.notes =
                vec!["Tool steel, hardened; mouth and land polished, the corner between them rounded (common practice, no source).".into()];
        }
        ToolBody::Stake { crown_radius_mm, face_mm, diameter_mm, length_mm } => {
            p = Plate::new(
                format!("Stake, face {} of crown radius {}, arm {}, {} long", l(face_mm), l(crown_radius_mm), d(diameter_mm), l(length_mm)),
                text_mm,
            );
            stake(&mut p, (crown_radius_mm, face_mm), diameter_mm, length_mm, &d, &l);
            p.notes = vec![
                "Steel. The arm's length is free of the vise, the grip comes on top. Face crowned both ways, polished, edges rounded (common practice, no source)."
                    .into(),
            ];
        }
        _ => return None,
    }
    Some(p)
}

/// The plate with what a shop needs to turn it: the hole or thread by which it is led, material, tolerances, what it bears.
fn plate_under(body: &ToolBody, load: Option<&Load>, unit: LengthUnit, text_mm: f64) -> Option<Plate> {
    let mut p = plate(body, unit, text_mm)?;
    let l = |mm: f64| show_length(mm, unit);
    if let (ToolBody::Ball { diameter_mm }, Some(led)) = (body, load.and_then(|l| l.led)) {
        hole(&mut p, *diameter_mm, led, &l);
    }
    p.notes.push(Material::of(body).words().show(unit));
    let working = match body {
        // It has to slide, and to leave no more air than a slide mandrel may.
        ToolBody::Mandrel { .. } => format!("0/-{}", show_length(0.05, unit)),
        _ => format!("±{}", show_length(0.05, unit)),
    };
    p.notes.push(format!(
        "Tolerances: working diameter {working}; all else ISO 2768-f. Edges broken {} × 45°. Working surface polished.",
        show_length(0.3, unit)
    ));
    if let Some(load) = load {
        let blows = if load.blows { ", in blows, which count twice" } else { "" };
        let free = if load.free_mm > 0.0 { format!(" {} out of the vise", l(load.free_mm)) } else { String::new() };
        if let Some(s) = standing(body, load) {
            let springs = if s.springs_mm > 0.0 { format!("; springs {} at its end", l(s.springs_mm)) } else { String::new() };
            p.notes.push(format!(
                "Made for {}{free}{blows}: {} {}, {:.0} allowed ({:.0} over {SAFETY}){springs}.",
                show_force(load.force_n, unit),
                stress(s.stress_mpa, unit).1,
                s.place,
                stress(s.yield_mpa / SAFETY, unit).0,
                stress(s.yield_mpa, unit).0
            ));
        }
        if load.count > 1 {
            p.notes.push(format!("{} wanted.", load.count));
        }
    }
    if Material::of(body) == Material::DrillRod {
        p.notes.push(
            "Hardening: hot metal and oil that flares: face shield, gloves, lid at hand, fume drawn off; your local rules come first."
                .into(),
        );
    }
    Some(p)
}

/// A ball's hole or thread, dashed across its middle.
fn hole(p: &mut Plate, ball: f64, led: Led, l: &impl Fn(f64) -> String) {
    let (across, deep, words) = match led {
        Led::Cord { cord_mm } => {
            let hole = cord_mm + HOLE_ROOM_MM;
            (hole, ball, format!("through hole ⌀ {} for a {} cord, mouths rounded R 1", l(hole), l(cord_mm)))
        }
        Led::Screwed => match thread_of(ball) {
            Some((thread, _)) => (thread, 0.6 * ball, format!("tapped M{thread}, {} deep", l((0.6 * ball).round()))),
            None => return,
        },
    };
    let (r, from) = (0.5 * across, -0.5 * ball);
    for y in [-r, r] {
        p.line(Layer::Centre, (from, y), (from + deep, y));
    }
    p.line(Layer::Centre, (from + deep, -r), (from + deep, r));
    p.text((0.0, -0.5 * ball - 2.6 * p.text_mm), words);
}

/// Outside of a ring with enough steel round its bore. Common practice, no source.
fn ring_outside_mm(bore_mm: f64) -> f64 {
    (1.8 * bore_mm).max(bore_mm + 16.0)
}

/// The jaws at the right, shut above the axis and open below it, on their bar.
fn expander(p: &mut Plate, (shut, open): (f64, f64), jaws: f64, length: f64, d: &impl Fn(f64) -> String, l: &impl Fn(f64) -> String) {
    let t = p.text_mm;
    let (s, o, bar) = (shut / 2.0, open / 2.0, 0.22 * shut);
    let from = length - jaws;
    p.outline(&[(0.0, -bar), (from, -bar), (from, bar), (0.0, bar)]);
    let edge = 0.1 * jaws;
    p.outline(&[(from, bar), (length, 1.5 * bar), (length, s - edge), (length - edge, s), (from + edge, s), (from, s - edge)]);
    p.outline(&[(from, -bar), (length, -1.8 * bar), (length, edge - o), (length - edge, -o), (from + edge, -o), (from, edge - o)]);
    p.line(Layer::Centre, (-t, 0.0), (length + t, 0.0));
    p.dimension_across((0.0, bar), (length, s), s + 2.0 * t, l(length));
    p.dimension_across((from, -o), (length, -o), -o - 3.0 * t, l(jaws));
    p.dimension_up((length, 0.0), (length, s), length + 1.5 * t, format!("shut {}", d(shut)));
    p.dimension_up((length, -o), (length, 0.0), length + 1.5 * t, format!("open {}", d(open)));
}

/// A ring in section: land, mouth and outside.
fn draw_ring(p: &mut Plate, bore: f64, words: &str, d: &impl Fn(f64) -> String) {
    let t = p.text_mm;
    let (r, out) = (bore / 2.0, ring_outside_mm(bore) / 2.0);
    let thick = (out - r).max(8.0);
    let land = 0.35 * thick;
    let rise = (thick - land) * reach::draw_ring::MOUTH_DEG.to_radians().tan();
    for s in [1.0, -1.0] {
        p.outline(&[(0.0, s * r), (land, s * r), (thick, s * (r + rise)), (thick, s * out), (0.0, s * out)]);
    }
    p.line(Layer::Outline, (0.0, -r), (0.0, r));
    p.line(Layer::Outline, (thick, -r - rise), (thick, r + rise));
    p.line(Layer::Centre, (-t, 0.0), (thick + t, 0.0));
    p.dimension_up((0.0, -r), (0.0, r), -1.5 * t, words.to_owned());
    p.dimension_up((thick, -out), (thick, out), thick + 1.5 * t, d(2.0 * out));
    p.text((0.5 * thick, -out - 1.6 * t), format!("mouth {:.0}° a side", reach::draw_ring::MOUTH_DEG));
}

/// From the vise at the left; the crowned face at the right, looking up.
fn stake(p: &mut Plate, (crown, face): (f64, f64), arm: f64, length: f64, d: &impl Fn(f64) -> String, l: &impl Fn(f64) -> String) {
    let t = p.text_mm;
    let (r, half) = (arm / 2.0, face / 2.0);
    let crown = crown.max(half);
    let middle = length - half;
    // The head stands on the arm by a third of its breadth, up to the edge of the face.
    let edge = r + face / 3.0;
    let below = (crown * crown - half * half).max(0.0).sqrt();
    let foot = (0.7 * half).max(r.min(half));
    for w in [(length, edge), (length - half + foot, -r), (0.0, -r), (0.0, r), (middle - foot, r), (length - face, edge)].windows(2) {
        p.line(Layer::Outline, w[0], w[1]);
    }
    let angle = (half / crown).clamp(-1.0, 1.0).asin().to_degrees();
    p.entities.push(Entity::Arc {
        layer: Layer::Outline,
        centre: (middle, edge - below),
        radius_mm: crown,
        from_deg: 90.0 - angle,
        to_deg: 90.0 + angle,
    });
    p.line(Layer::Centre, (-t, 0.0), (length + t, 0.0));
    let top = edge + crown - below;
    p.dimension_across((length - face, edge), (length, edge), top + 2.0 * t, l(face));
    p.dimension_across((0.0, r), (length, r), -r - 3.0 * t, l(length));
    p.dimension_up((0.0, -r), (0.0, r), -1.5 * t, d(arm));
    p.text((middle, top + 4.6 * t), format!("crown R {}", l(crown)));
}

fn rod_notes(head: bool) -> Vec<String> {
    let mut notes = vec!["Steel rod, straight length to the vise or hand included; edges broken (common practice, no source).".to_owned()];
    if head {
        notes.push("Head round, hardened and polished; brazed or screwed to the shank without a step.".into());
    }
    notes
}

/// From the hand at the left to the head at the right.
fn straight_rod(p: &mut Plate, diameter: f64, length: f64, head: f64) {
    let r = diameter / 2.0;
    let h = head.max(diameter) / 2.0;
    let centre = length - h;
    // Where the shank runs into the head.
    let meet = centre - (h * h - r * r).max(0.0).sqrt();
    p.line(Layer::Outline, (0.0, -r), (0.0, r));
    p.line(Layer::Outline, (0.0, r), (meet, r));
    p.line(Layer::Outline, (0.0, -r), (meet, -r));
    let angle = (r / h).clamp(-1.0, 1.0).asin().to_degrees();
    p.entities.push(Entity::Arc {
        layer: Layer::Outline,
        centre: (centre, 0.0),
        radius_mm: h,
        from_deg: 180.0 + angle,
        to_deg: 180.0 - angle,
    });
    p.line(Layer::Centre, (-p.text_mm, 0.0), (length + p.text_mm, 0.0));
}

/// The bent part as an arc about a middle below it, symmetric, the head at the right.
fn curved_rod(p: &mut Plate, diameter: f64, length: f64, radius: f64, head: f64, d: &impl Fn(f64) -> String, l: &impl Fn(f64) -> String) {
    let h = head.max(diameter) / 2.0;
    let radius = radius.max(diameter);
    // The length runs to the tip; the centre line of the shank ends in the head's middle.
    let angle = ((length - h) / radius).clamp(0.05, 5.5).to_degrees();
    let (from, to) = (90.0 - angle / 2.0, 90.0 + angle / 2.0);
    let at = |deg: f64, r: f64| -> V { (r * deg.to_radians().cos(), r * deg.to_radians().sin()) };
    for r in [radius - diameter / 2.0, radius + diameter / 2.0] {
        p.entities.push(Entity::Arc { layer: Layer::Outline, centre: (0.0, 0.0), radius_mm: r, from_deg: from, to_deg: to });
    }
    p.entities.push(Entity::Arc { layer: Layer::Centre, centre: (0.0, 0.0), radius_mm: radius, from_deg: from, to_deg: to });
    p.line(Layer::Outline, at(to, radius - diameter / 2.0), at(to, radius + diameter / 2.0));
    p.entities.push(Entity::Circle { layer: Layer::Outline, centre: at(from, radius), radius_mm: h });
    // The radius: from a point a little above the middle of the arc's circle, so that the sheet stays small.
    let start = at(90.0, radius - (radius * 0.6).min(14.0 * p.text_mm).max(0.35 * length.min(radius)));
    let tip = at(90.0, radius);
    p.line(Layer::Dimension, start, tip);
    p.entities.push(Entity::Arrow { tip, towards: (0.0, 1.0) });
    let t = p.text_mm;
    p.text((start.0, start.1 - 0.9 * t), format!("R {} to the center line", l(radius)));
    p.text((0.0, radius + h + 1.4 * t), format!("{} along the center line to the tip, {angle:.0}°", l(length)));
    let middle = at(from, radius);
    p.line(Layer::Dimension, (middle.0 + h * 0.7, middle.1 - h * 0.7), (middle.0 + h * 0.7 + 2.0 * t, middle.1 - h * 0.7 - 2.0 * t));
    p.text((middle.0 + h * 0.7 + 2.0 * t, middle.1 - h * 0.7 - 3.0 * t), format!("head {}", d(head)));
    let end = at(to, radius);
    p.line(Layer::Dimension, end, (end.0 - 2.0 * t, end.1 - 2.0 * t));
    p.text((end.0 - 2.0 * t, end.1 - 3.0 * t), format!("shank {}", d(diameter)));
}

/// A stress in the unit of the paper: its number, and the same with its unit. Pounds to the square inch to the nearest hundred.
fn stress(mpa: f64, unit: LengthUnit) -> (f64, String) {
    match unit {
        LengthUnit::Mm => (mpa, format!("{mpa:.0} N/mm²")),
        LengthUnit::Inch => {
            let psi = 100.0 * (mpa * MM_PER_INCH * MM_PER_INCH / N_PER_LBF / 100.0).round();
            (psi, format!("{psi:.0} psi"))
        }
    }
}

fn ball(p: &mut Plate, centre: V, diameter: f64, words: String) {
    let r = diameter / 2.0;
    p.entities.push(Entity::Circle { layer: Layer::Outline, centre, radius_mm: r });
    let over = r + p.text_mm;
    p.line(Layer::Centre, (centre.0 - over, centre.1), (centre.0 + over, centre.1));
    p.line(Layer::Centre, (centre.0, centre.1 - over), (centre.0, centre.1 + over));
    p.dimension_up((centre.0, centre.1 - r), (centre.0, centre.1 + r), centre.0 + r + 2.0 * p.text_mm, words);
}
