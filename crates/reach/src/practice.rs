//! What the trade expects of each method: minutes, risk and truth. Common practice, no source: base figures
//! for a rounded dent 2 mm deep and 300 mm² wide, scaled by the dent's size and form, but for setting up. The shop's own history
//! replaces the minutes in the quote. Where a tool moves over the dent ([`crate::strokes`]) the base figure is for setting up,
//! trying and looking, and each pass and stroke comes on top: what asks more force takes more strokes, and so more time.

use crate::MethodKind;
use dent::{Assessment, Form};
use units::ThreePoint;

/// A hollow of this depth may stay of a dent that is brought back: it is eased or buffed, and no light shows it, mm. Common practice, no
/// source.
pub const MAY_STAY_MM: f64 = 0.15;

/// Base figures of a method.
struct Base {
    minutes: (f64, f64, f64),
    risk: f64,
    finish_quality: f64,
}

fn base(kind: MethodKind) -> Base {
    let (minutes, risk, finish_quality) = match kind {
        MethodKind::StraightRod => ((2.0, 3.5, 7.0), 0.030, 0.90),
        MethodKind::CurvedRod => ((3.0, 5.5, 11.0), 0.035, 0.88),
        MethodKind::Mandrel => ((2.0, 4.0, 8.0), 0.020, 0.96),
        MethodKind::BallTrain => ((5.0, 9.0, 18.0), 0.025, 0.93),
        MethodKind::Rolling => ((2.5, 5.0, 10.0), 0.015, 0.95),
        MethodKind::Hammering => ((2.5, 5.0, 11.0), 0.045, 0.88),
        MethodKind::Magnet => ((3.0, 5.5, 12.0), 0.005, 0.88),
        MethodKind::PullOutside => ((14.0, 22.0, 45.0), 0.120, 0.50),
        // Rubbed stroke by stroke: it leaves polish marks and moves nothing else.
        MethodKind::Burnishing => ((6.0, 11.0, 24.0), 0.012, 0.92),
        // All round at once and true, but what is stretched too far is not taken back.
        MethodKind::Expander => ((4.0, 7.0, 15.0), 0.080, 0.90),
        // Setting up the bench is most of it.
        MethodKind::DrawRing => ((12.0, 20.0, 40.0), 0.040, 0.97),
        // The work over the fill alone: what raises it first, filling and melting out come on top.
        MethodKind::FilledBend => ((6.0, 12.0, 25.0), 0.020, 0.96),
        MethodKind::Raising => ((6.0, 11.0, 24.0), 0.045, 0.89),
    };
    Base { minutes, risk, finish_quality }
}

/// What of the base minutes is setting up: the tool taken from the rack and put into the vise, a cord threaded and balls laid out and
/// greased, a lamp led in. It does not grow with the dent, and the next dent of the same run that is worked from the same side finds it
/// done. A stud is soldered on for each dent, and what a fill takes is reckoned by itself.
fn setting_up(kind: MethodKind) -> (f64, f64, f64) {
    match kind {
        MethodKind::StraightRod | MethodKind::Magnet => (1.0, 1.5, 3.0),
        MethodKind::CurvedRod | MethodKind::Expander => (1.5, 2.5, 5.0),
        MethodKind::Mandrel | MethodKind::Rolling | MethodKind::Hammering => (1.0, 2.0, 4.0),
        MethodKind::BallTrain | MethodKind::Burnishing | MethodKind::Raising => (2.0, 4.0, 8.0),
        MethodKind::DrawRing => (8.0, 13.0, 26.0),
        MethodKind::PullOutside | MethodKind::FilledBend => (0.0, 0.0, 0.0),
    }
}

/// Minutes of setting up for a method, which the next dent beside it finds done.
pub fn set_up(kind: MethodKind) -> ThreePoint {
    let (least, likely, most) = setting_up(kind);
    ThreePoint::new(least, likely, most)
}

/// (time, risk) factors and loss of truth by form.
fn form(form: Form) -> (f64, f64, f64) {
    match form {
        Form::Smooth => (0.9, 0.8, 0.0),
        Form::Rounded => (1.0, 1.0, 0.0),
        Form::Sharp => (1.4, 1.6, 0.06),
        Form::VShaped => (1.9, 2.2, 0.14),
    }
}

/// What a dent's form takes of the truth of any method.
pub fn lost_by_form(of: Form) -> f64 {
    form(of).2
}

/// Minutes of bench work on a dent, without opening and closing. `strokes` counts extra strokes or balls.
pub fn minutes(kind: MethodKind, a: &Assessment, in_bend: bool, strokes: usize) -> ThreePoint {
    let b = base(kind).minutes;
    let area = (a.width_along_mm.value * a.width_across_mm.value).max(1.0);
    let size = ((a.depth_mm.value.max(0.05) / 2.0).sqrt() * (area / 300.0).powf(0.25)).clamp(0.5, 4.0);
    let bend = if in_bend { 1.25 } else { 1.0 };
    let each = ThreePoint::new(0.5, 1.0, 2.0).times(strokes as f64);
    let s = setting_up(kind);
    ThreePoint::new(b.0 - s.0, b.1 - s.1, b.2 - s.2).times(size * form(a.form).0 * bend).plus(set_up(kind)).plus(each)
}

/// Seconds of a look and a feel after each pass, and of each stroke. Common practice, no source.
fn seconds(kind: MethodKind) -> (f64, f64) {
    match kind {
        MethodKind::StraightRod | MethodKind::CurvedRod => (15.0, 4.0),
        MethodKind::Rolling => (10.0, 2.0),
        MethodKind::Hammering => (15.0, 1.0),
        MethodKind::Magnet => (10.0, 3.0),
        MethodKind::Mandrel => (15.0, 8.0),
        _ => (15.0, 3.0),
    }
}

/// The same for a tool that moves over the dent in passes and strokes.
pub fn minutes_of_strokes(kind: MethodKind, a: &Assessment, in_bend: bool, s: &crate::Strokes) -> ThreePoint {
    let (look, stroke) = seconds(kind);
    let moving = (s.passes * look + s.strokes * stroke) / 60.0;
    minutes(kind, a, in_bend, 0).plus(ThreePoint::new(0.6, 1.0, 1.8).times(moving))
}

/// Added likelihood of spoiling the part. `fill` is the tool's size over the bore: a small head marks more.
pub fn risk(kind: MethodKind, a: &Assessment, wall_mm: f64, fill: f64) -> f64 {
    let thin = (0.5 / wall_mm.clamp(0.2, 1.5)).clamp(0.6, 2.0);
    let small = 1.0 + 2.0 * (0.8 - fill).clamp(0.0, 0.8);
    (base(kind).risk * form(a.form).1 * thin * small).min(0.9)
}

/// How true it comes. `fill` is the tool's size over the bore: a tool that fills the bore gives its shape back.
/// A part that runs in a moving fit asks for hundredths: only what fills the whole bore gives them.
pub fn finish_quality(kind: MethodKind, a: &Assessment, fill: f64, runs_in_a_fit: bool) -> f64 {
    let loss = 0.35 * (0.95 - fill).clamp(0.0, 0.95);
    let fit = match kind {
        _ if !runs_in_a_fit => 0.0,
        MethodKind::Mandrel | MethodKind::DrawRing => 0.0,
        MethodKind::Expander => 0.05,
        MethodKind::BallTrain | MethodKind::Rolling | MethodKind::Burnishing => 0.12,
        _ => 0.30,
    };
    (base(kind).finish_quality - form(a.form).2 - loss - fit).clamp(0.05, 0.99)
}

/// The bore that a tool has to fill, mm: in a wide tube a dent sees only the wall round it, so no more than
/// three times its width counts.
pub fn bore_to_fill_mm(bore_mm: f64, width_mm: f64) -> f64 {
    bore_mm.min(3.0 * width_mm.max(10.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the trade expects of the further methods against those it knows: said once more, so that nobody changes it by a slip.
    #[test]
    fn the_further_methods() {
        let b = |m: MethodKind| (base(m).minutes.1, base(m).risk, base(m).finish_quality);
        assert!(b(MethodKind::Burnishing) == (11.0, 0.012, 0.92) && b(MethodKind::Expander) == (7.0, 0.080, 0.90));
        assert!(b(MethodKind::DrawRing) == (20.0, 0.040, 0.97) && b(MethodKind::FilledBend) == (12.0, 0.020, 0.96));
        assert!(b(MethodKind::Raising) == (11.0, 0.045, 0.89));
        for m in [MethodKind::Burnishing, MethodKind::Expander, MethodKind::DrawRing, MethodKind::FilledBend, MethodKind::Raising] {
            let (least, likely, most) = base(m).minutes;
            assert!(least < 0.7 * likely && most > 1.8 * likely, "{m:?}");
        }
        assert!((lost_by_form(Form::Smooth), lost_by_form(Form::VShaped)) == (0.0, 0.14));
    }

    /// By hand: a smooth dent of 8 mm on 1200 mm² counts 2 · √2 · 0.9 = 2.546 times what is not setting up: 4 + 5 · 2.546 minutes behind
    /// a ball, 22 · 2.546 at a stud. Setting up is said once more, so that nobody changes it by a slip.
    #[test]
    fn setting_up_does_not_grow_with_the_dent() {
        use crate::MethodKind::*;
        let survey =
            fixtures::survey(fixtures::pattern(instrument::Kind::Tuba), vec![fixtures::dent("d", "top-bow", 120.0, 4.0, 20.0, 20.0)]);
        let mut a = dent::assess_all(&survey).remove(0);
        a.form = Form::Smooth;
        (a.depth_mm.value, a.width_along_mm.value, a.width_across_mm.value) = (8.0, 40.0, 30.0);
        let times = 0.9 * 2.0 * 2.0_f64.sqrt();
        for (kind, likely) in [(BallTrain, 4.0 + 5.0 * times), (PullOutside, 22.0 * times), (DrawRing, 13.0 + 7.0 * times)] {
            assert!((minutes(kind, &a, false, 0).likely - likely).abs() < 1e-9, "{kind:?}");
        }
        let all = [StraightRod, CurvedRod, Mandrel, BallTrain, Rolling, Hammering, Magnet, Burnishing, Expander, Raising];
        assert_eq!(all.map(|m| set_up(m).likely), [1.5, 2.5, 2.0, 4.0, 2.0, 2.0, 1.5, 4.0, 2.5, 4.0]);
        assert!(all.iter().all(|m| base(*m).minutes.1 >= 1.5 * set_up(*m).likely));
    }

    /// By hand: 6 passes of 15 s and 36 strokes of 4 s are 3.9 minutes at a rod; a roller's are 2.2, a hammer's 2.1. Common
    /// practice, said once more so that nobody changes it by a slip.
    #[test]
    fn passes_and_strokes_take_their_seconds() {
        use crate::MethodKind::*;
        let moving = |m: crate::MethodKind| {
            let (look, stroke) = super::seconds(m);
            (6.0 * look + 36.0 * stroke) / 60.0
        };
        let all = [StraightRod, CurvedRod, Rolling, Hammering, Magnet, Mandrel, PullOutside];
        let by_hand = [3.9, 3.9, 2.2, 2.1, 2.8, 6.3, 3.3];
        assert!(all.into_iter().zip(by_hand).all(|(m, t)| (moving(m) - t).abs() < 1e-9), "{:?}", all.map(moving));
    }
}
