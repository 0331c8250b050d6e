//! Where the dents are and what comes apart, on the instrument as the player sees it: a dot for each dent, to the depth's color, with
//! its number set apart on a leader; a black number for each step that opens a joint or takes a part off.

use crate::canvas::{BRASS, COVER, Canvas, Drawing, GREY, INK, P, Pen, Type, depth_colour};
use crate::lie::Lie;
use crate::marks::Mark;
use crate::overview::overview;
use crate::placing::{Tag, place};
use dent::Assessment;
use instrument::{End, Survey};
use reach::Opened;
use units::LengthUnit;

/// Radius of a dent's dot, mm.
pub const DOT_MM: f64 = 0.85;
/// Side of a brace's foot, mm.
const FOOT_MM: f64 = 1.3;
/// Height of a tag, mm; its type is 3 mm high, 8.5 point.
const TAG_MM: f64 = 4.2;
const NUMBER: Type = Type { size: 3.0, bold: true, ..Type::TEXT.middle() };

/// What comes apart: the words in its tag, and what it is.
pub type Apart = (String, Opened);

/// What a picture needs.
#[derive(Clone, Copy, Debug)]
pub struct MapView<'a> {
    /// The instrument and its damage.
    pub survey: &'a Survey,
    /// How deep each dent is.
    pub assessments: &'a [Assessment],
    /// The dents' labels.
    pub marks: &'a [Mark],
    /// What comes apart.
    pub apart: &'a [Apart],
    /// Unit of its scale bar.
    pub unit: LengthUnit,
}

/// Room for numbers beside the instrument, and above and below it, mm.
pub const EDGE_MM: P = (13.0, 7.0);

/// How wide and how high the instrument lies, mm; none where it is laid in rows.
pub fn extent_mm(survey: &Survey) -> Option<P> {
    let lie = Lie::as_played(&survey.instrument)?;
    Some((lie.high.0 - lie.low.0, lie.high.1 - lie.low.1))
}

/// A tag with what it is for.
struct Named {
    dot: P,
    words: String,
    /// A dent: whether it is worked, and how deep it is, mm. None: what comes apart.
    dent: Option<(bool, f64)>,
}

/// The picture, on a sheet of this size. Where the survey's runs do not lead from the receiver to the bell, the tubes laid in rows.
pub fn map(view: &MapView, sheet: P) -> Drawing {
    let Some(lie) = Lie::as_played(&view.survey.instrument) else {
        return overview(view.survey, view.marks, view.unit, sheet.0);
    };
    let edge = EDGE_MM;
    let thing = (lie.high.0 - lie.low.0, lie.high.1 - lie.low.1);
    let scale = (thing.0 / (sheet.0 - 2.0 * edge.0)).max(thing.1 / (sheet.1 - 2.0 * edge.1)).max(0.5);
    let from = ((sheet.0 - thing.0 / scale) / 2.0, (sheet.1 - thing.1 / scale) / 2.0);
    let to = |p: P| -> P { (from.0 + (p.0 - lie.low.0) / scale, from.1 + (p.1 - lie.low.1) / scale) };

    let mut canvas = Canvas::new(sheet.0, sheet.1);
    for (a, b) in &lie.leads {
        canvas.line(to(*a), to(*b), Pen::new(0.25, GREY).dashed("1.2 0.8"));
    }
    // Loops first, so that the way of the air lies over them; its wide end last.
    for part in lie.loops.iter().chain(&lie.parts) {
        let across = |k: f64| part.at.iter().map(move |p| (p.point.0 + k * p.half_mm * p.side.0, p.point.1 + k * p.half_mm * p.side.1));
        let backwards: Vec<P> = across(-1.0).collect();
        let outline: Vec<P> = across(1.0).chain(backwards.into_iter().rev()).map(to).collect();
        canvas.polygon(&outline, BRASS, Some(Pen::NARROW));
    }

    braces(&mut canvas, view, &lie, &to);
    let (mut named, elsewhere) = dents(view, &lie, &to);
    apart_part(dot_radius_apart(&mut named), view, &lie, &to);
    let size = |words: &str| (NUMBER.width_mm(words) + 1.4, TAG_MM);
    let tags: Vec<Tag> = named.iter().map(|n| Tag { dot: n.dot, size: size(&n.words) }).collect();
    // Squares: it is asked some hundred thousand times, of thousands of stations.
    let metal: Vec<(P, f64)> = lie.runs().flat_map(|r| &r.at).map(|p| (to(p.point), (p.half_mm / scale + 1.5).powi(2))).collect();
    let on_metal = |p: P, (q, square): &(P, f64)| (p.0 - q.0).powi(2) + (p.1 - q.1).powi(2) < *square;
    let busy = |p: P| if metal.iter().any(|m| on_metal(p, m)) { 9.0 } else { 0.0 };
    let at = place(&tags, sheet, DOT_MM, &busy);
    for (n, p) in named.iter().zip(&at) {
        canvas.line(n.dot, *p, Pen::NARROW);
    }
    for (n, p) in named.iter().zip(&at) {
        let (w, h) = size(&n.words);
        let corner = (p.0 - w / 2.0, p.1 - h / 2.0);
        match n.dent {
            Some((worked, depth)) => {
                canvas.circle(n.dot, DOT_MM, depth_colour(depth), Pen::NARROW);
                canvas.rect(corner, (w, h), "#ffffff", if worked { Pen::NARROW } else { Pen::NARROW.dashed("0.8 0.6") });
                canvas.text((p.0, p.1 + 1.05), &n.words, NUMBER);
            }
            None => {
                canvas.rect((n.dot.0 - 0.7, n.dot.1 - 0.7), (1.4, 1.4), INK, Pen::NARROW);
                canvas.rect(corner, (w, h), INK, Pen::NARROW);
                canvas.text((p.0, p.1 + 1.05), &n.words, Type { colour: "#ffffff", ..NUMBER });
            }
        }
    }
    let mut y = canvas.height_mm;
    for words in elsewhere {
        y += 4.0;
        canvas.text((0.0, y), &words, Type::SMALL);
    }
    if y > canvas.height_mm {
        canvas.height_mm = y + 1.5;
    }
    canvas.finish(&format!("{}: where the dents are and what comes apart", view.survey.title))
}

/// The braces at their places: a foot on each tube, a bar between feet that lie near each other; a brace that comes off has its number
/// from what comes apart.
fn braces(canvas: &mut Canvas, view: &MapView, lie: &Lie, to: &dyn Fn(P) -> P) {
    for brace in lie.braces(&view.survey.instrument).iter().filter(|b| !view.survey.lacks(&b.overlay.id)) {
        for (a, b) in &brace.bars {
            canvas.line(to(*a), to(*b), Pen::WIDE);
        }
        for foot in &brace.feet {
            let p = to(*foot);
            canvas.rect((p.0 - FOOT_MM / 2.0, p.1 - FOOT_MM / 2.0), (FOOT_MM, FOOT_MM), COVER, Pen::NARROW);
        }
    }
}

/// The dents on the picture, and the words on those that have no place on it.
fn dents(view: &MapView, lie: &Lie, to: &dyn Fn(P) -> P) -> (Vec<Named>, Vec<String>) {
    let (mut named, mut off) = (Vec::new(), Vec::new());
    for mark in view.marks {
        let Some(dent) = view.survey.dent(&mark.dent) else { continue };
        let depth = view.assessments.iter().find(|a| a.dent == dent.id).map_or(0.0, |a| a.depth_mm.value);
        let at = view.survey.site(dent).and_then(|s| lie.place(&dent.run, s.at_mm.value, s.clock_deg.as_ref().map_or(90.0, |c| c.value)));
        match at {
            Some(p) => named.push(Named { dot: to(p), words: mark.label.clone(), dent: Some((mark.worked, depth)) }),
            None => off.push(format!(
                "{} ({})",
                mark.label,
                view.survey.instrument.run(&dent.run).map_or(dent.run.0.as_str(), |r| r.name.as_str())
            )),
        }
    }
    let words = if off.is_empty() { Vec::new() } else { vec![format!("Not on the picture: {}", off.join(", "))] };
    (named, words)
}

/// Dots that would lie on each other are moved apart by as little as makes them two.
fn dot_radius_apart(named: &mut Vec<Named>) -> &mut Vec<Named> {
    let least = 2.0 * DOT_MM + 0.3;
    for _ in 0..60 {
        let mut moved = false;
        for i in 0..named.len() {
            for j in 0..i {
                let (a, b) = (named[i].dot, named[j].dot);
                let d = (a.0 - b.0, a.1 - b.1);
                let far = d.0.hypot(d.1);
                if far < least {
                    let u = if far > 1e-6 { (d.0 / far, d.1 / far) } else { (1.0, 0.0) };
                    let by = (least - far) / 2.0 + 1e-3;
                    named[i].dot = (a.0 + by * u.0, a.1 + by * u.1);
                    named[j].dot = (b.0 - by * u.0, b.1 - by * u.1);
                    moved = true;
                }
            }
        }
        if !moved {
            break;
        }
    }
    named
}

/// Adds what comes apart; what is opened at one place shares a tag.
fn apart_part(named: &mut Vec<Named>, view: &MapView, lie: &Lie, to: &dyn Fn(P) -> P) {
    let instrument = &view.survey.instrument;
    let place = |what: &Opened| -> Option<P> {
        let (run, at) = match what {
            Opened::Joint(id) => {
                let end = &instrument.joint(id)?.a;
                (end.run.clone(), if end.end == End::Start { 0.0 } else { instrument.run(&end.run)?.length_mm() })
            }
            Opened::Overlay(id) => {
                let cover = instrument.overlay(id)?.covers.first()?;
                (cover.run.clone(), (cover.from_mm + cover.to_mm) / 2.0)
            }
        };
        lie.place(&run, at, 90.0).map(to)
    };
    let mut places: Vec<(P, Vec<String>)> = Vec::new();
    for (words, what) in view.apart {
        let Some(p) = place(what) else { continue };
        match places.iter_mut().find(|(q, _)| (q.0 - p.0).hypot(q.1 - p.1) < 2.5) {
            Some((_, all)) => all.push(words.clone()),
            None => places.push((p, vec![words.clone()])),
        }
    }
    named.extend(places.into_iter().map(|(dot, words)| Named { dot, words: words.join(", "), dent: None }));
}
