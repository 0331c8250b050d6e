//! A dent as it is typed at the bench, and as plain data. What was typed is kept beside what it means, so that the next
//! person sees the same words.

use instrument::{Crack, Crease, Dent, DentId, Direction, EarlierRepair};
use serde::{Deserialize, Serialize};
use units::measured::{Gauge, parse_measured_mm, show_measured_mm};
use units::{Known, Origin, Unit};

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
        let edge_radius_mm = length("edge", &self.edge, "edge radius", Gauge { sd_mm: 0.3, ..Gauge::WIDTH });
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

    /// The words that a dent from a survey file would have been typed with. Profile points have no field on the page and
    /// stay with the dent's data.
    pub fn from_dent(d: &Dent) -> Self {
        let show = |k: &Option<Known>, gauge: Gauge| k.as_ref().map_or(String::new(), |k| show_measured_mm(k, &gauge));
        Self {
            run: d.run.0.clone(),
            at_mm: d.at_mm.as_ref().map(|k| k.value),
            clock_deg: d.clock_deg.as_ref().map(|k| k.value),
            depth: show(&d.depth_mm, Gauge::DEPTH),
            along: show(&d.width_along_mm, Gauge::WIDTH),
            across: show(&d.width_across_mm, Gauge::WIDTH),
            edge: show(&d.edge_radius_mm, Gauge { sd_mm: 0.3, ..Gauge::WIDTH }),
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
}
