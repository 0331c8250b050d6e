//! What stands above and below the drawing.

use super::*;

impl SideView<'_> {
    pub(super) fn title(&self) -> String {
        let laid = self.laid;
        let bend = laid.run.axis.bend_at(laid.station_mm);
        let shape = bend.map_or_else(|| "straight".to_owned(), |r| format!("bend, center-line radius {}", show_length(r, self.view.unit)));
        format!("Dent {}: {} at {}, {shape}", self.view.method.dent, laid.run.name, show_length(laid.station_mm, self.view.unit))
    }

    pub(super) fn words_above(&self) -> Vec<String> {
        let (a, unit) = (self.laid.assessment, self.view.unit);
        let mut words = vec![format!(
            "dent as found (dashed): {} deep, {} along, {} round",
            show_length(a.depth_mm.value, unit),
            show_length(a.width_along_mm.value, unit),
            show_length(a.width_across_mm.value, unit)
        )];
        if self.view.method.kind == MethodKind::Raising {
            words.push("laid on the stake, the metal round the dent struck down with a mallet".to_owned());
        }
        for body in &self.bodies {
            match *body {
                ToolBody::Hammer { .. } if self.view.method.kind == MethodKind::Raising => {}
                ToolBody::Burnisher { .. } => words.push("polished nose, rubbed to and fro along the tube".to_owned()),
                ToolBody::Expander { jaws_mm, .. } => {
                    words.push(format!("expanding plug, jaws {} long, turned out all round", show_length(jaws_mm, unit)));
                }
                ToolBody::DrawRing { bore_mm } => {
                    words.push(format!("draw ring, bore {}: tube and mandrel are pulled through it", fine_words(bore_mm, unit)));
                }
                ToolBody::Fill { fill } => words.push(format!("filled with {}, worked from outside", fill.name())),
                ToolBody::Roller { diameter_mm } => words.push(format!("roller {}, rolled to and fro", size_words(diameter_mm, unit))),
                ToolBody::Hammer { face_radius_mm } => {
                    words.push(format!("hammer from outside, face crown radius {}", show_length(face_radius_mm, unit)));
                }
                ToolBody::Magnet { .. } => words.push("magnet outside, drawn from the rim of the dent inwards".to_owned()),
                ToolBody::PullStud { foot_mm } => {
                    words.push(format!("stud soldered on, foot {}, pulled outwards", size_words(foot_mm, unit)))
                }
                _ => {}
            }
        }
        words
    }

    pub(super) fn words_below(&self) -> Vec<String> {
        let (method, unit) = (self.view.method, self.view.unit);
        let mut lines = Vec::new();
        if let Some(p) = &method.passage {
            lines.push(format!("{} along the tube from the opening: {}", show_length(p.length_mm, unit), p.opening.name));
        }
        if !method.train.is_empty() {
            let balls: Vec<String> = method.train.iter().map(|b| size_words(b.ball_mm, unit)).collect();
            let first = if method.fill.is_some() { "raised first, while empty; " } else { "" };
            lines.push(format!("{first}balls in order: {}", balls.join(", ")));
        } else if method.fill.is_some() {
            lines.push(format!("raised first, while empty, with a head of {}", size_words(method.size_mm, unit)));
        } else if self.has_tool_inside() {
            lines.push(match &method.pose {
                Some(p) if p.head_mm > p.diameter_mm => {
                    format!("head {}, shank {}; lies as drawn (pose solved)", size_words(p.head_mm, unit), size_words(p.diameter_mm, unit))
                }
                _ => format!("working size {}; lies as drawn", size_words(method.size_mm, unit)),
            });
        }
        if let Some(c) = method.contact.as_ref().filter(|_| method.fill.is_none()) {
            let air = |t: &reach::Touching| fine_words(t.gap_mm.value.max(0.0), unit);
            lines.push(format!(
                "air between tool and wall: {} when the work begins, {} at its end ({} allowed)",
                air(&c.start),
                air(&c.end),
                fine_words(c.allowed_mm, unit)
            ));
        }
        let most_off = self.stations().iter().map(|u| self.plane.off(self.axis(*u))).fold(0.0, f64::max);
        if most_off > 0.2 * self.laid.radius_mm() {
            lines.push(format!(
                "the tube leaves the plane of the drawing by up to {}: lengths there look shorter",
                show_length(most_off, unit)
            ));
        }
        lines
    }
}
