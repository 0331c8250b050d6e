//! A dent as it is typed at the bench, and as plain data. What was typed is kept beside what it means, so that the next
//! person sees the same words.

use instrument::{Crack, Crease, Dent, DentId, Direction, EarlierRepair};
use serde::{Deserialize, Serialize};
use units::measured::{Gauge, parse_measured_mm, show_measured};
use units::{Known, LengthUnit, Origin, Unit};

/// A dent as typed. Empty fields were not measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Typed {
    /// Run.
    pub run: String,
    /// Station, mm, from the tap.
    pub at_mm: Option<f64>,
    /// Clock, degrees, from the tap.
    pub clock_deg: Option<f64>,
    /// Depth.
    pub depth: String,
    /// Width along.
    pub along: String,
    /// Width across.
    pub across: String,
    /// Edge radius.
    pub edge: String,
    /// Wall.
    pub wall: String,
    /// Hardness, `110 HV` or `110`.
    pub hardness: String,
    /// Crease: empty, `along`, `across`, `oblique`.
    pub crease: String,
    /// Crack: empty, `closed`, `through`.
    pub crack: String,
    /// Overlay that pushed it in.
    pub pushed: String,
    /// Earlier repair, in words.
    pub repair: String,
    /// Note.
    pub note: String,
}

/// A dent as the record keeps it.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Kept {
    /// As typed.
    pub typed: Typed,
    /// What it means.
    pub dent: Dent,
}

/// A field that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unread {
    /// The field's name on the page; empty where none is meant.
    pub field: String,
    /// What is wrong and how to mend it.
    pub words: String,
}

/// Where a dent's edge is judged by a radius gauge: ± 0.3 mm. Common practice, no source.
const EDGE: Gauge = Gauge { sd_mm: 0.3, ..Gauge::WIDTH };

/// The lengths of a dent: as typed, as meant, and how they are measured.
fn lengths<'a>(typed: &'a mut Typed, dent: &'a mut Dent) -> [(&'a mut String, &'a mut Option<Known>, Gauge); 5] {
    [
        (&mut typed.depth, &mut dent.depth_mm, Gauge::DEPTH),
        (&mut typed.along, &mut dent.width_along_mm, Gauge::WIDTH),
        (&mut typed.across, &mut dent.width_across_mm, Gauge::WIDTH),
        (&mut typed.edge, &mut dent.edge_radius_mm, EDGE),
        (&mut typed.wall, &mut dent.wall_mm, Gauge::WALL),
    ]
}

fn is_64ths(mm: f64) -> bool {
    let n = mm / LengthUnit::Inch.in_mm() * 64.0;
    (n - n.round()).abs() < 1e-6
}

impl Kept {
    /// A dent from a survey file.
    pub fn from_dent(dent: &Dent) -> Self {
        Self { typed: Typed::from_dent(dent), dent: dent.clone() }
    }

    /// What the page shows: the words as typed where they mean what is kept, else what is kept in the reader's unit.
    pub fn shown(&self, unit: LengthUnit) -> Typed {
        let (mut typed, mut dent) = (self.typed.clone(), self.dent.clone());
        let means = |text: &str, known: &Known, gauge: &Gauge| {
            parse_measured_mm(text, gauge).is_ok_and(|read| {
                read.origin == known.origin && (read.value - known.value).abs() < 1e-9 && (read.sd - known.sd).abs() < 1e-9
            })
        };
        for (text, known, gauge) in lengths(&mut typed, &mut dent) {
            // Millimetres that are a whole number of 64ths of an inch are read as the fraction that they are.
            let fraction = |known: &Known| unit == LengthUnit::Inch && text.ends_with("mm") && is_64ths(known.value);
            if let Some(known) = known
                && (!means(text, known, &gauge) || fraction(known))
            {
                *text = show_measured(known, &gauge, unit);
            }
        }
        typed
    }
}

/// A tap on a strip marks a station to about 3 mm and a clock angle to about 10°. Common practice, no source.
const TAP_SD_MM: f64 = 3.0;
const TAP_SD_DEG: f64 = 10.0;
/// A portable hardness tester on a thin wall: ± 7 %. Common practice, no source.
const HV_PART: f64 = 0.07;

impl Typed {
    /// What was typed as plain data, with the fields that cannot be read. An unreadable field counts as not measured, so
    /// that nothing else is lost while somebody is still typing.
    pub fn dent(&self, name: &str) -> (Dent, Vec<Unread>) {
        let mut unread = Vec::new();
        let mut length = |field: &str, text: &str, what: &'static str, gauge: Gauge| -> Option<Known> {
            if text.trim().is_empty() {
                return None;
            }
            match parse_measured_mm(text, &gauge) {
                Ok(known) => Some(known.named(what)),
                Err(e) => {
                    unread.push(Unread { field: field.to_owned(), words: e.to_string() });
                    None
                }
            }
        };
        let depth_mm = length("depth", &self.depth, "depth", Gauge::DEPTH);
        let width_along_mm = length("along", &self.along, "width along", Gauge::WIDTH);
        let width_across_mm = length("across", &self.across, "width across", Gauge::WIDTH);
        let edge_radius_mm = length("edge", &self.edge, "edge radius", EDGE);
        let wall_mm = length("wall", &self.wall, "wall", Gauge::WALL);
        let hardness_hv = self.hardness(&mut unread);
        let direction = match self.crease.as_str() {
            "along" => Some(Direction::Along),
            "across" => Some(Direction::Across),
            "oblique" => Some(Direction::Oblique),
            _ => None,
        };
        let finite = |x: Option<f64>| x.filter(|v| v.is_finite());
        let dent = Dent {
            id: DentId(name.to_owned()),
            run: self.run.as_str().into(),
            at_mm: finite(self.at_mm).map(|v| Known::new("station", v, TAP_SD_MM, Unit::Mm, Origin::Measured)),
            clock_deg: finite(self.clock_deg).map(|v| Known::new("clock", v.rem_euclid(360.0), TAP_SD_DEG, Unit::Deg, Origin::Measured)),
            depth_mm,
            width_along_mm,
            width_across_mm,
            edge_radius_mm,
            profile_along: vec![],
            profile_across: vec![],
            crease: direction.map(|direction| Crease { direction, length_mm: None }),
            crack: match self.crack.as_str() {
                "closed" => Some(Crack { direction: Direction::Along, length_mm: None, through: Some(false) }),
                "through" => Some(Crack { direction: Direction::Along, length_mm: None, through: Some(true) }),
                _ => None,
            },
            earlier_repair: (!self.repair.trim().is_empty())
                .then(|| EarlierRepair { note: self.repair.trim().to_owned(), thinned_mm: None }),
            hardness_hv,
            wall_mm,
            pushed_in_by: (!self.pushed.is_empty()).then(|| self.pushed.as_str().into()),
            note: self.note.clone(),
        };
        (dent, unread)
    }

    /// As [`Typed::dent`], over a dent that is kept: a field that comes back as it was shown keeps its value, so that a form
    /// opened and saved unchanged changes nothing. Also what is to be kept as typed.
    pub fn over(&self, name: &str, before: Option<&Kept>) -> (Kept, Vec<Unread>) {
        let (dent, unread) = self.dent(name);
        let mut kept = Kept { typed: self.clone(), dent };
        let Some(before) = before else { return (kept, unread) };
        let (mut was_typed, mut was) = (before.typed.clone(), before.dent.clone());
        let (mut in_mm, mut in_inch) = (before.shown(LengthUnit::Mm), before.shown(LengthUnit::Inch));
        let (mut of_mm, mut of_inch) = (was.clone(), was.clone());
        let seen = lengths(&mut in_mm, &mut of_mm).into_iter().zip(lengths(&mut in_inch, &mut of_inch));
        let old = lengths(&mut was_typed, &mut was).into_iter().zip(seen);
        for ((text, known, _), ((old_text, old_known, _), (a, b))) in lengths(&mut kept.typed, &mut kept.dent).into_iter().zip(old) {
            if *text == *a.0 || *text == *b.0 {
                text.clone_from(old_text);
                known.clone_from(old_known);
            }
        }
        let (was_typed, was) = (&before.typed, &before.dent);
        if self.at_mm == was_typed.at_mm {
            kept.dent.at_mm.clone_from(&was.at_mm);
        }
        if self.clock_deg == was_typed.clock_deg {
            kept.dent.clock_deg.clone_from(&was.clock_deg);
        }
        if self.hardness == was_typed.hardness {
            kept.dent.hardness_hv.clone_from(&was.hardness_hv);
        }
        if self.crease == was_typed.crease {
            kept.dent.crease.clone_from(&was.crease);
        }
        if self.crack == was_typed.crack {
            kept.dent.crack.clone_from(&was.crack);
        }
        if self.repair == was_typed.repair {
            kept.dent.earlier_repair.clone_from(&was.earlier_repair);
        }
        // Profile points have no field on the page.
        kept.dent.profile_along.clone_from(&was.profile_along);
        kept.dent.profile_across.clone_from(&was.profile_across);
        (kept, unread)
    }

    fn hardness(&self, unread: &mut Vec<Unread>) -> Option<Known> {
        let text = self.hardness.trim().to_lowercase();
        if text.is_empty() {
            return None;
        }
        let hv = text.trim_end_matches("hv").trim().parse::<f64>().ok().filter(|hv| (20.0..=400.0).contains(hv));
        if hv.is_none() {
            unread.push(Unread {
                field: "hardness".to_owned(),
                words: format!("“{}” cannot be read; write a Vickers hardness like 110 HV", self.hardness),
            });
        }
        hv.map(|hv| Known::new("hardness", hv, HV_PART * hv, Unit::Hv, Origin::Measured))
    }

    /// The words that a dent from a survey file would have been typed with, near enough: what they mean stands beside them.
    fn from_dent(d: &Dent) -> Self {
        let show = |k: &Option<Known>, gauge: Gauge| k.as_ref().map_or(String::new(), |k| show_measured(k, &gauge, LengthUnit::Mm));
        Self {
            run: d.run.0.clone(),
            at_mm: d.at_mm.as_ref().map(|k| k.value),
            clock_deg: d.clock_deg.as_ref().map(|k| k.value),
            depth: show(&d.depth_mm, Gauge::DEPTH),
            along: show(&d.width_along_mm, Gauge::WIDTH),
            across: show(&d.width_across_mm, Gauge::WIDTH),
            edge: show(&d.edge_radius_mm, EDGE),
            wall: show(&d.wall_mm, Gauge::WALL),
            hardness: d.hardness_hv.as_ref().map_or(String::new(), |k| format!("{:.0} HV", k.value)),
            crease: d
                .crease
                .as_ref()
                .map_or("", |c| match c.direction {
                    Direction::Along => "along",
                    Direction::Across => "across",
                    Direction::Oblique => "oblique",
                })
                .to_owned(),
            crack: d.crack.as_ref().map_or("", |c| if c.through == Some(true) { "through" } else { "closed" }).to_owned(),
            pushed: d.pushed_in_by.as_ref().map_or(String::new(), |o| o.0.clone()),
            repair: d.earlier_repair.as_ref().map_or(String::new(), |r| r.note.clone()),
            note: d.note.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_read_and_what_is_not_is_told() {
        let typed = Typed {
            run: "bell-stem".into(),
            depth: "1/8\"".into(),
            along: "about 30 mm".into(),
            across: "wide".into(),
            hardness: "110".into(),
            ..Typed::default()
        };
        let (dent, unread) = typed.dent("d1");
        assert_eq!(dent.depth_mm.unwrap().value, 3.175);
        assert_eq!(dent.width_along_mm.unwrap().origin, Origin::ByEye);
        assert!(dent.width_across_mm.is_none());
        assert_eq!(dent.hardness_hv.unwrap().value, 110.0);
        assert_eq!(unread.iter().map(|u| u.field.as_str()).collect::<Vec<_>>(), ["across"]);
    }

    #[test]
    fn a_dent_from_a_file_reads_back_the_same() {
        let typed = Typed {
            run: "bow".into(),
            at_mm: Some(20.0),
            clock_deg: Some(90.0),
            depth: "4 mm".into(),
            along: "about 30 mm".into(),
            crease: "along".into(),
            crack: "through".into(),
            ..Typed::default()
        };
        let (dent, _) = typed.dent("d1");
        assert_eq!(Typed::from_dent(&dent), typed);
    }

    fn from_file() -> Kept {
        let inch = |text: &str, gauge: Gauge| parse_measured_mm(text, &gauge).ok();
        let typed = Typed { run: "bow".into(), crease: "along".into(), note: "as it came".into(), ..Typed::default() };
        let mut dent = typed.dent("d1").0;
        dent.depth_mm = inch("3/32 in", Gauge::DEPTH);
        dent.width_along_mm = inch("about 1 1/2 in", Gauge::WIDTH);
        dent.width_across_mm = inch("20 mm", Gauge::WIDTH);
        dent.wall_mm = inch("0.021 in", Gauge::WALL);
        dent.at_mm = Some(Known::new("station", 4.875 * 25.4, 1.0, Unit::Mm, Origin::Measured));
        dent.hardness_hv = Some(Known::new("hardness", 112.4, 3.0, Unit::Hv, Origin::Measured));
        dent.crease.as_mut().unwrap().length_mm = inch("1/2 in", Gauge::WIDTH);
        dent.profile_along = vec![];
        Kept::from_dent(&dent)
    }

    #[test]
    fn a_dent_in_inches_is_shown_as_it_was_meant() {
        let kept = from_file();
        let (mm, inch) = (kept.shown(LengthUnit::Mm), kept.shown(LengthUnit::Inch));
        assert_eq!((mm.depth.as_str(), inch.depth.as_str()), ("2.38 mm", "3/32 in"));
        assert_eq!(inch.along, "about 1 1/2 in");
        // What reads back exactly stays in the unit in which it was meant.
        assert_eq!((mm.across.as_str(), inch.across.as_str()), ("20 mm", "20 mm"));
    }

    #[test]
    fn a_form_opened_and_saved_unchanged_changes_nothing() {
        for unit in [LengthUnit::Mm, LengthUnit::Inch] {
            let first = from_file();
            let mut kept = first.clone();
            for _ in 0..3 {
                let sent = kept.shown(unit);
                let (again, unread) = sent.over("d1", Some(&kept));
                assert!(unread.is_empty());
                assert_eq!(again.dent, first.dent);
                assert_eq!(again.typed, first.typed);
                kept = again;
            }
            // One field changed changes that field alone.
            let sent = Typed { across: "22 mm".into(), ..kept.shown(unit) };
            let (again, _) = sent.over("d1", Some(&kept));
            assert_eq!(again.dent.width_across_mm.as_ref().unwrap().value, 22.0);
            assert_eq!(Dent { width_across_mm: first.dent.width_across_mm.clone(), ..again.dent }, first.dent);
        }
    }

    #[test]
    fn words_that_cannot_be_read_stay_as_typed() {
        let typed = Typed { run: "bow".into(), depth: "4 stone".into(), ..Typed::default() };
        let (kept, unread) = typed.over("d1", None);
        assert_eq!(unread.len(), 1);
        assert_eq!(kept.shown(LengthUnit::Inch).depth, "4 stone");
        assert_eq!(kept.shown(LengthUnit::Inch).over("d1", Some(&kept)).1.len(), 1);
    }
}
